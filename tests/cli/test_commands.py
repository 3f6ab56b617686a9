"""The command line as its user meets it: exit codes, what goes to which stream, help."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner

from shootplan.cli import app

COMMANDS = ("check", "build", "times", "costs", "shop", "day", "script")


def run(*words: str) -> tuple[int, str, str]:
    """Run the command line in this process: exit code, stdout, stderr."""
    result = CliRunner().invoke(app, list(words))
    return result.exit_code, result.stdout, result.stderr


@pytest.fixture
def supper(root: Path, tmp_path: Path) -> Path:
    """Return a copy of the first demo that may be spoiled."""
    folder = tmp_path / "supper"
    shutil.copytree(root / "demo_episodes" / "tuesday-supper", folder, ignore=shutil.ignore_patterns("out"))
    return folder


def spoil(path: Path, old: str, new: str) -> None:
    """Replace a text that must be there."""
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def test_help_is_the_first_page_of_the_manual() -> None:
    """Every command stands in the help with one sentence."""
    code, out, _ = run("--help")
    assert code == 0
    for command in COMMANDS:
        assert f"  {command} " in out


@pytest.mark.parametrize("command", COMMANDS)
def test_each_command_explains_itself(command: str) -> None:
    """``COMMAND --help`` ends with 0 and names the episode's folder."""
    code, out, _ = run(command, "--help")
    assert code == 0
    assert "EPISODE" in out


def test_a_demo_checks_clean(demo: Path) -> None:
    """A demo prints no problem at all, and strict mode agrees."""
    code, _, err = run("check", str(demo), "--strict")
    assert err == ""
    assert code == 0


def test_an_error_in_the_input_ends_with_1_and_writes_nothing(supper: Path) -> None:
    """The place, the code and a hint are printed to stderr; the old output stays as it was."""
    assert run("build", str(supper))[0] == 0
    before = {path: path.read_bytes() for path in (supper / "out").rglob("*") if path.is_file()}
    recipe = supper / "recipes" / "leek-bean-bake.md"
    spoil(recipe, "hands: 6–8 min", "hadns: 6–8 min")
    code, out, err = run("build", str(supper))
    assert code == 1
    assert out == ""
    assert "leek-bean-bake.md:" in err
    assert "[field-unknown]" in err
    assert 'did you mean "hands"' in err
    assert {path: path.read_bytes() for path in (supper / "out").rglob("*") if path.is_file()} == before


def test_all_problems_of_all_files_come_in_one_run(supper: Path) -> None:
    """Two files with a fault each: both are printed, sorted by place, and counted."""
    spoil(supper / "recipes" / "leek-bean-bake.md", "hands: 6–8 min", "hadns: 6–8 min")
    spoil(supper / "recipes" / "oat-crumble.md", "hands: 8–10 min", "hands: 8–10 parsecs")
    code, _, err = run("check", str(supper))
    assert code == 1
    assert err.index("leek-bean-bake.md") < err.index("oat-crumble.md")
    assert "2 errors" in err


def test_a_missing_episode_is_an_input_error(tmp_path: Path) -> None:
    """A folder that is not there is named."""
    code, _, err = run("check", str(tmp_path / "nowhere"))
    assert code == 1
    assert "nowhere" in err
    assert "[file-missing]" in err


def test_a_wrong_command_line_ends_with_2() -> None:
    """An unknown option is the caller's slip, not an input error."""
    assert run("check", "--no-such-option")[0] == 2


def test_a_plan_that_cannot_be_ends_with_3(supper: Path) -> None:
    """The rules that clash are told with their lines."""
    rule = "crumb-cabbage within 5 min of leek-bean-bake"
    clash = "crumb-cabbage within 10 min after leek-bean-bake\n- leek-bean-bake within 10 min after oat-crumble"
    spoil(supper / "episode.md", rule, clash)
    code, _, err = run("day", str(supper))
    assert code == 3
    assert "no plan keeps all of these rules" in err
    assert "episode.md:" in err


def test_an_output_folder_that_cannot_be_written_ends_with_4(supper: Path, tmp_path: Path) -> None:
    """A file where the folder should be is said plainly."""
    blocked = tmp_path / "blocked"
    blocked.write_text("a file", encoding="utf-8")
    code, _, err = run("build", str(supper), "--out", str(blocked))
    assert code == 4
    assert "blocked" in err


@pytest.mark.parametrize("command", ["check", "times", "costs", "shop", "day"])
def test_json_is_json_with_a_schema_version(command: str, supper: Path) -> None:
    """Every view can be read by a machine."""
    code, out, _ = run(command, str(supper), "--json")
    assert code == 0
    assert json.loads(out)["schema_version"] == 1


def test_results_go_to_stdout_and_nothing_else_does(demo: Path) -> None:
    """As a process without a terminal: no progress, no colour, an empty stderr."""
    ran = subprocess.run(
        [sys.executable, "-m", "shootplan", "times", str(demo)],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
        env={**os.environ, "TERM": "xterm-256color"},
    )
    assert ran.returncode == 0, ran.stderr
    assert ran.stderr == ""
    assert "\x1b" not in ran.stdout


def test_a_missing_price_says_at_least_and_refuses_claims(supper: Path) -> None:
    """Without a price for the leeks, totals are lower bounds and name them, and the price claims fall."""
    prices = supper / "prices.csv"
    rows = [row for row in prices.read_text(encoding="utf-8").splitlines() if not row.startswith("leeks,")]
    prices.write_text("\n".join(rows) + "\n", encoding="utf-8")
    code, out, err = run("costs", str(supper))
    assert code == 0
    assert "[price-missing]" in err
    assert "at least" in out
    assert "leeks" in out


def test_the_day_says_what_decides_wrap(supper: Path) -> None:
    """The last lines are the chain to wrap, from the crumble through the oven's change to the pudding on the table."""
    code, out, _ = run("day", str(supper))
    assert code == 0
    chain = out.split("what decides wrap, link by link:\n", 1)[1].splitlines()
    assert any("waits for the oven to change to 200 °C" in line for line in chain)
    assert "Serve the pudding" in chain[-1]


def test_bring_in_writes_a_recipe_and_lists_what_it_did_not_read(tmp_path: Path) -> None:
    """The path and the remarks on stdout, problems on stderr; a second run ends with 4 and replaces nothing."""
    data = {"@type": "Recipe", "name": "Toast", "recipeIngredient": ["2 slices bread"], "image": "x.jpg"}
    file = tmp_path / "toast.json"
    file.write_text(json.dumps({**data, "recipeInstructions": "Toast the bread."}), encoding="utf-8")
    code, out, err = run("bring-in", str(file), "--out", str(tmp_path / "recipes"))
    assert code == 0
    assert out.startswith(f"Toast: {tmp_path / 'recipes' / 'toast.md'}\n")
    assert "  - not read: image\n" in out
    assert "minutes-missing" in err
    code, out, err = run("bring-in", str(file), "--out", str(tmp_path / "recipes"), "--json")
    assert (code, out) == (4, "")
    assert "is there already" in err
    code, out, _ = run("bring-in", str(file), "--out", str(tmp_path / "other"), "--json")
    assert json.loads(out)["recipes"][0]["title"] == "Toast"


def test_the_day_explains_itself(root: Path) -> None:
    """Slack stands in each step's row, then what decides wrap, the bars, idle hands and look-ins by person."""
    folder = str(root / "demo_episodes" / "tuesday-supper")
    _, out, _ = run("day", folder)
    assert out.splitlines()[1].split()[:5] == ["no", "clock", "to", "slack", "recipe:"]
    for part in ("what decides wrap, link by link:", "ring 1 ", "= hands-on", "has nothing to do", "host looks in: "):
        assert part in out
    day = json.loads(run("day", folder, "--json")[1])
    assert day["chain"][-1]["end_s"] == day["wrap_s"] == 98 * 60
    assert day["chain"][0]["words"].startswith("09:00 ")
    slack = {row["activities"][0]: row["slack_s"] for row in day["rows"] if row["kind"] == "step"}
    assert all(slack[link["activity"]] == 0 for link in day["chain"])
    assert max(slack.values()) > 0
    assert {gap["worker"] for gap in day["gaps"]} >= {"assistant"}
