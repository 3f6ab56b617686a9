"""Swap-outs from the command line: figures worked by hand, doubles that are bought, faults in the list of them."""

from __future__ import annotations

import json
import shutil
import sys
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from shootplan.cli import app

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from planning_helpers import pot_and_pan, recipe, write_episode

from shootplan.app import load
from shootplan.plan.film_planner import solve_filmed
from shootplan.plan.film_tasks import build_filmed_plan

MIN = 60


def run(*words: str) -> tuple[int, str, str]:
    """Run the command line in this process: exit code, stdout, stderr."""
    result = CliRunner().invoke(app, list(words))
    return result.exit_code, result.stdout, result.stderr


def swaps(folder: Path, *words: str) -> dict[str, Any]:
    """Return the report for machines."""
    code, out, err = run("swaps", str(folder), "--json", *words)
    assert (code, err) == (0, "")
    return dict(json.loads(out))


def plans(found: dict[str, Any]) -> dict[tuple[str, ...], dict[str, Any]]:
    """Return the plans by the recipes whose duplicates are ready."""
    return {tuple(sorted(key[0] for key in plan["keys"])): plan for plan in found["plans"]}


def test_a_pot_and_a_pan_save_what_the_worked_sheet_says(tmp_path: Path) -> None:
    """
    Worked by hand: wrap 62 (chop 0-10, mix 10-22, simmer 10-55, rest 22-42, fry 42-52, plate 52-57, plate 57-62).

    The pot ready: mix 0-12, chop 12-22, plate 22-27, fry 32-42, plate 42-47: saves 15, not 45, for 3.20. The batter
    ready: chop 0-10, mix 10-22, fry 22-32, plate, plate the pot at 55: saves 2 for 1.10. Both: 42 = all the hands,
    saves 20, not 17, for 4.30.
    """
    found = swaps(pot_and_pan(tmp_path / "e"))
    assert found["wrap_s"] == 62 * MIN
    by_ready = plans(found)
    expected = {("pot",): (47, 15, "3.2000"), ("pan",): (60, 2, "1.1000"), ("pan", "pot"): (42, 20, "4.3000")}
    for ready, (wrap, saved, money) in expected.items():
        plan = by_ready[ready]
        assert (plan["wrap_s"], plan["saved_s"]) == (wrap * MIN, saved * MIN)
        assert plan["cost"]["decimal"] == money
        assert plan["no_better_than"] is None
        assert plan["is_proven"]
    assert by_ready["pot",]["cost_a_minute"]["decimal"] == "0.2133"
    assert by_ready["pan",]["cost_a_minute"]["decimal"] == "0.5500"
    assert found["cheapest"] == [["pot", "simmer"]]
    assert found["earliest"] == [["pot", "simmer"], ["pan", "rest"]]


def test_duplicates_need_their_own_hands_and_may_be_too_old(tmp_path: Path) -> None:
    """
    K's duplicate takes 10 minutes of hands, L's 12. Made at 18:00 and used from 09:22, K's pot is 15 h 22 min old.

    It keeps two days; L's batter keeps two hours.
    """
    found = swaps(pot_and_pan(tmp_path / "e"))
    pot, pan = found["steps"]
    assert pot["hands"] == {"low_s": 10 * MIN, "high_s": 10 * MIN}
    assert pan["hands"] == {"low_s": 12 * MIN, "high_s": 12 * MIN}
    assert pot["alone"]["high_s"] == 45 * MIN
    assert (pot["keeping"], pan["keeping"]) == ("keeps", "too old")
    assert pot["age_s"] >= 15 * 3600 + 22 * MIN
    assert pot["cost"]["exact"] == "16/5"


def test_the_table_names_each_duplicate_once(tmp_path: Path) -> None:
    """Duplicates are lettered; money, hands and wrap stand in the row, the words for keeping below."""
    code, out, _ = run("swaps", str(pot_and_pan(tmp_path / "e")))
    assert code == 0
    rows = [line.split() for line in out.splitlines()]
    assert ["A", "09:47", "15", "min", "£3.20", "£0.21", "10", "min"] in rows
    assert ["A", "+", "B", "09:42", "20", "min", "£4.30", "£0.22", "22", "min"] in rows
    assert "cheapest minute saved: A (pot: Simmer), £0.21 a minute" in out
    assert "keeps 2 h only: too old" in out
    assert "in no published cost" in out


def test_the_first_demo_saves_what_its_reference_says(root: Path) -> None:
    """Reference of the demo: a baked crumble 98 to 84 for 2.82, a ready bake to 85 for 5.11, both still 84."""
    found = swaps(root / "demo_episodes" / "tuesday-supper")
    assert found["wrap_s"] == 98 * MIN
    by_ready = plans(found)
    crumble, bake = by_ready["oat-crumble",], by_ready["leek-bean-bake",]
    both = by_ready["leek-bean-bake", "oat-crumble"]
    assert (crumble["wrap_s"], bake["wrap_s"], both["wrap_s"]) == (84 * MIN, 85 * MIN, 84 * MIN)
    assert (crumble["cost"]["decimal"], bake["cost"]["decimal"]) == ("2.8154", "5.1090")
    assert both["no_better_than"] == [["oat-crumble", "bake-the-crumble"]]
    assert found["cheapest"] == found["earliest"] == [["oat-crumble", "bake-the-crumble"]]


def test_any_wait_is_looked_at_when_asked(tmp_path: Path) -> None:
    """With nothing marked there is nothing to say; ``--any`` takes the waits of ten minutes that are not refused."""
    folder = pot_and_pan(tmp_path / "e")
    for name, say in (("pot", ""), ("pan", "swap-out: no")):
        path = folder / "recipes" / f"{name}.md"
        text = path.read_text(encoding="utf-8").replace("   - swap-out: yes\n", f"   - {say}\n" if say else "")
        path.write_text(text, encoding="utf-8")
    assert swaps(folder)["steps"] == []
    assert "--any" in run("swaps", str(folder))[1]
    found = swaps(folder, "--any")
    assert [(item["recipe"], item["is_marked"]) for item in found["steps"]] == [("pot", False)]


# ---------------------------------------------------------------------------------------------------- chosen ones


def test_a_chosen_swap_out_is_planned_bought_and_printed(tmp_path: Path) -> None:
    """The day wraps at 47, not 62; a second kilo of beans is bought, herbs are single, the published cost stays."""
    folder = pot_and_pan(tmp_path / "e", more="swap-outs: pot: Simmer\n")
    code, _, err = run("build", str(folder))
    assert (code, err) == (0, "")
    plan = json.loads((folder / "out" / "plan.json").read_text(encoding="utf-8"))
    assert plan["day"]["wrap_s"] == 47 * MIN
    assert plan["times"]["elapsed"]["high_s"] == 62 * MIN
    assert plan["costs"]["core"]["decimal"] == "5.3000"
    assert plan["swaps"]["plans"][0]["saved_s"] == 15 * MIN
    order = (folder / "out" / "shooting_order.md").read_text(encoding="utf-8")
    assert "**A**: pot: Simmer: hands-on 10 min, left alone 45 min, ingredients £3.20" in order
    assert "without them wrap would be 10:02" in order
    (row,) = (line for line in order.splitlines() if line.startswith("|") and "Simmer" in line.split("|")[5])
    assert row.split("|")[5].strip() == "Simmer (duplicate comes in)"
    assert row.split("|")[6].strip() == "the duplicate comes in"
    page = (folder / "out" / "shooting_order.html").read_text(encoding="utf-8")
    assert "Swap-outs: ready before call" in page
    bought = {row["item"]: row for row in json.loads(run("shop", str(folder), "--json")[1])["shopping"]["items"]}
    assert (bought["beans"]["packs"], bought["herbs"]["packs"], bought["flour"]["packs"]) == (2, 1, 1)


@pytest.mark.parametrize(
    ("listed", "code", "column"),
    [
        ("pot: Simmr", "swap-out-unknown", 17),
        ("pod: Simmer", "recipe-unknown", 12),
        ("Plate the pot", "swap-out-refused", 12),
    ],
)
def test_a_swap_out_that_cannot_be_is_told_with_its_place(tmp_path: Path, listed: str, code: str, column: int) -> None:
    """An unknown recipe, an unknown step and a step that is no wait are errors at their words."""
    folder = pot_and_pan(tmp_path / "e", more=f"swap-outs: {listed}\n")
    exit_code, _, err = run("check", str(folder))
    assert exit_code == 1
    assert f"episode.md:6:{column}: error[{code}]" in err


def test_a_step_that_refuses_or_that_two_recipes_have_is_not_chosen(tmp_path: Path) -> None:
    """``swap-out: no`` wins over the list, and a name alone must be the only one; each step counts once."""
    folder = pot_and_pan(tmp_path / "e", more="swap-outs: Rest, pot: Simmer, pot: simmer\n")
    pan = folder / "recipes" / "pan.md"
    text = pan.read_text(encoding="utf-8")
    pan.write_text(text.replace("swap-out: yes", "swap-out: no"), encoding="utf-8")
    _, _, err = run("check", str(folder))
    assert '"Rest" says "swap-out: no"' in err
    assert err.count("error[") == 1
    pan.write_text(text.replace("**Rest.**", "**Simmer.**"), encoding="utf-8")
    episode = folder / "episode.md"
    episode.write_text(episode.read_text(encoding="utf-8").replace("Rest, ", "Simmer, "), encoding="utf-8")
    assert 'write "pot: Simmer" or "pan: Simmer"' in run("check", str(folder))[2]


def test_an_oven_that_heats_for_a_duplicate_only_stays_cold(root: Path, tmp_path: Path) -> None:
    """With the crumble ready, its 180 degrees are in no row; the bake's oven heats from cold, 15 minutes long."""
    folder = tmp_path / "supper"
    shutil.copytree(root / "demo_episodes" / "tuesday-supper", folder, ignore=shutil.ignore_patterns("out"))
    episode = folder / "episode.md"
    text = episode.read_text(encoding="utf-8")
    episode.write_text(text.replace("call: 09:00", "call: 09:00\nswap-outs: Bake the crumble"), encoding="utf-8")
    day = json.loads(run("day", str(folder), "--json")[1])
    assert day["wrap_s"] == 84 * MIN
    heats = [row for row in day["rows"] if row["parts"] and row["parts"][0]["kind"] == "heat"]
    assert [(row["recipe"], row["end_s"] - row["clock_s"]) for row in heats] == [("leek-bean-bake", 15 * MIN)]


def test_the_filmed_day_takes_the_shot_of_a_swapped_bake_and_none_of_a_cold_oven(tmp_path: Path) -> None:
    """
    Heat 15, mix 10 (filmed), bake 40, serve 5 (filmed), all from one position: 60 without a duplicate.

    With the baked one ready: mix 0-10, its picture 10-11 (a minute at the oven), serve to 15 or 16; no dial is filmed.
    """
    cake = recipe(
        "Cake",
        "- 1000 g flour",
        "Heat the oven | Heat it. | heats: oven 180 °C | leave: 15 min | after: none | until: hot | shot: front, dial",
        "Mix | Mix the [flour]. | hands: 10 min | after: none | pausable: no | shot: front, hands",
        "Bake | Bake. | leave: 40 min | after: Heat the oven, Mix | uses: oven 180 °C | until: set | shot: front, door",
        "Serve | Serve. | hands: 5 min | shot: front, slice",
    )
    kitchen = """[[people]]
name = "host"
presenter = true
[[people]]
name = "operator"
role = "helper"
[hob]
rings = 1
[[ovens]]
name = "oven"
heat_up = "15 min"
[cameras]
positions = ["front", "side"]
rerig = "8 min"
[hours]
set_up = "0 min"
strike = "0 min"
"""
    folder = write_episode(tmp_path / "e", {"cake": cake}, kitchen=kitchen, more="swap-outs: Bake\n")
    plan_input = build_filmed_plan(load(folder).resolved)
    names = [item.id for item in plan_input.activities]
    assert not any("heat-the-oven" in name for name in names)
    lengths = {item.id.partition("/")[2]: item.long_s // MIN for item in plan_input.activities}
    assert lengths["bake#leave"] == 0
    assert lengths["bake+shot"] >= 1
    schedule = solve_filmed(plan_input, aims=())[1].schedule
    assert schedule is not None
    assert schedule.of("cake/bake+shot").start_s >= schedule.of("cake/bake#leave").start_s
    assert schedule.makespan_s < 20 * MIN
