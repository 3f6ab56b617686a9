"""What if: the day with another crew, kitchen or call, or without a recipe; figures worked by hand."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

from typer.testing import CliRunner

from shootplan.cli import app

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from planning_helpers import pot_and_pan, recipe, write_episode

MIN = 60


def run(*words: str) -> tuple[int, str, str]:
    """Run the command line in this process: exit code, stdout, stderr."""
    result = CliRunner().invoke(app, list(words))
    return result.exit_code, result.stdout, result.stderr


def asked(folder: Path, *words: str) -> dict[str, Any]:
    """Return {change in words: its row}, the day as it is under "as it is"."""
    code, out, err = run("what-if", str(folder), "--json", *words)
    assert (code, err) == (0, "")
    found = json.loads(out)
    return {row["label"]: row for row in (found["as_it_is"], *found["rows"])}


def wraps(rows: dict[str, Any]) -> dict[str, int | None]:
    """Return the minutes from call to wrap of each change."""
    return {label: None if row["wrap_s"] is None else row["wrap_s"] // MIN for label, row in rows.items()}


def test_the_usual_set_of_a_pot_and_a_pan(tmp_path: Path) -> None:
    """
    Worked by hand: 62 with one cook (its hands wait for the pot until 55, then plate two dishes, 55 + 5 or 57 + 5).

    With a second cook the pot alone decides: 10 + 45 + 5 = 60. More rings help nobody. On one ring the frying waits for
    the pot: from 55 the cook fries 10 and plates twice 5, to 75 (frying first would start the pot at 42). Without the
    pot 12 + 20 + 10 + 5 = 47, without the pan 60.
    """
    rows = asked(pot_and_pan(tmp_path / "e"))
    assert wraps(rows) == {
        "as it is": 62,
        "2 cooks": 60,
        "3 rings": 62,
        "4 rings": 62,
        "2 cooks and 3 rings": 60,
        "1 ring": 75,
        "call 08:00": 62,
        "without pot": 47,
        "without pan": 60,
    }
    assert rows["call 08:00"]["call"] == "08:00:00"
    assert (rows["2 cooks"]["earlier_s"], rows["1 ring"]["earlier_s"]) == (2 * MIN, -13 * MIN)
    assert all(row["is_proven"] for row in rows.values())


def test_changes_named_stand_alone_and_together(tmp_path: Path) -> None:
    """Two changes give three rows: each alone and both."""
    rows = asked(pot_and_pan(tmp_path / "e"), "--cooks", "2", "--without", "pan", "--call", "10:15")
    assert wraps(rows) == {
        "as it is": 62,
        "2 cooks": 60,
        "call 10:15": 62,
        "without pan": 60,
        "2 cooks, call 10:15 and without pan": 60,
    }
    _, out, _ = run("what-if", str(tmp_path / "e"), "--call", "10:15")
    assert ["call", "10:15", "10:15", "11:17", "62", "min", "none", "shortest"] in [x.split() for x in out.splitlines()]


def test_a_second_oven_lets_two_temperatures_run_side_by_side(tmp_path: Path) -> None:
    """
    P: assemble 10 H, bake 30 at 200, rest 5. Q: assemble 15 H, bake 40 at 180, rest 10; first heat 12, change 5.

    One oven: Q 15-55, change to 60, P 60-90, rest to 95. Two: assemble P 0-10, Q 10-25, P bakes 12-42, Q 25-65, Q rests
    to 75; the other way Q 15-55, P 25-55, ends 65. P first in one oven: P 12-42, change to 47, Q 47-87, rest to 97.
    """
    oven = '[[ovens]]\nname = "oven"\nshelves = 1\nheat_up = "12 min"\nchange = "5 min"\ntolerance = "0 °C"\n'
    kitchen = f'[[people]]\nname = "cook"\n[hob]\nrings = 2\n{oven}'

    def dish(letter: str, assemble: int, bake: int, celsius: int, rest: int) -> str:
        return recipe(
            letter,
            "- 1 l water",
            f"Assemble {letter} | Use [water]. | hands: {assemble} min | after: none | pausable: no",
            f"Bake {letter} | Bake. | leave: {bake} min | uses: oven {celsius} °C | until: gold",
            f"Rest {letter} | Rest. | leave: {rest} min",
        )

    dishes = {"p": dish("P", 10, 30, 200, 5), "q": dish("Q", 15, 40, 180, 10)}
    folder = write_episode(tmp_path / "e", dishes, kitchen=kitchen)
    assert wraps(asked(folder, "--ovens", "2")) == {"as it is": 95, "2 ovens": 65}
    usual = asked(folder)
    assert "2 ovens" in usual
    assert wraps(usual)["oven at 200 °C (p) before 180 °C (q)"] == 97


def test_a_change_without_a_plan_says_why(tmp_path: Path) -> None:
    """No ring at all: the rules that clash are named, and the other rows stay."""
    code, out, _ = run("what-if", str(pot_and_pan(tmp_path / "e")), "--rings", "0")
    assert code == 0
    rows = [line.split() for line in out.splitlines()]
    assert ["no", "rings", "09:00", "-", "-", "-", "no", "plan"] in rows
    assert "no rings: cannot all be kept:" in out


def test_slips_on_the_command_line_end_with_2(tmp_path: Path) -> None:
    """A recipe that is not there, all recipes left out, a call that is no time."""
    folder = str(pot_and_pan(tmp_path / "e"))
    code, _, err = run("what-if", folder, "--without", "pat")
    assert code == 2
    assert "no recipe 'pat'; recipes are pot, pan" in err
    assert run("what-if", folder, "--without", "pot", "--without", "pan")[0] == 2
    assert run("what-if", folder, "--call", "noon")[0] == 2


def test_the_third_demo_with_a_second_cook_takes_73_minutes(root: Path) -> None:
    """Reference of the demo: hands are the bottleneck, 130; a second cook 73, a third ring changes nothing."""
    rows = asked(root / "demo_episodes" / "six-lunches", "--cooks", "2")
    assert wraps(rows) == {"as it is": 130, "2 cooks": 73}
    rows = asked(root / "demo_episodes" / "six-lunches", "--rings", "3")
    assert wraps(rows) == {"as it is": 130, "3 rings": 130}
