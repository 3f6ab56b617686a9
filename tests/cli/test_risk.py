"""Ranges and risk from the command line."""

from __future__ import annotations

import json
from pathlib import Path

from planning_helpers import recipe, write_episode
from typer.testing import CliRunner

from shootplan.cli import app
from shootplan.render.risk_text import percent


def run(*words: str) -> tuple[int, str, str]:
    """Run the command line in this process: exit code, stdout, stderr."""
    result = CliRunner().invoke(app, list(words))
    return result.exit_code, result.stdout, result.stderr


def test_the_first_demo_stays_between_its_ends(root: Path) -> None:
    """Reference: 98 at the long ends, 86 at the short ones; drawn days lie between, the bakes matter most."""
    folder = str(root / "demo_episodes" / "tuesday-supper")
    code, out, err = run("risk", folder, "--json", "--runs", "500")
    assert (code, err) == (0, "")
    found = json.loads(out)
    assert (found["planned_s"], found["short_s"]) == (98 * 60, 86 * 60)
    assert 86 * 60 < found["p10_s"] < found["p50_s"] < found["p90_s"] < 98 * 60
    assert {item["label"].split(": ")[1] for item in found["ranges"][:2]} == {"Bake the crumble", "Bake"}
    assert found["late"] == 0
    assert run("risk", folder, "--json", "--runs", "500")[1] == out


def test_the_table_says_how_the_days_are_drawn(root: Path) -> None:
    """Seed, spread, latest wrap, limits and ranges stand in words."""
    code, out, _ = run("risk", str(root / "demo_episodes" / "tuesday-supper"), "--triangular", "--runs", "200")
    assert code == 0
    assert "200 days drawn (seed 0), each time on its own, the middle of its range the likeliest" in out
    assert "everything long: as planned  10:38  98 min" in out
    assert "after the latest wrap 17:00: none of the days" in out
    assert "starts at most" in out
    assert "no step knows how long another will take" in out


def test_shares_are_never_rounded_to_none_or_all() -> None:
    """One of 2000 is under 1 %, 1999 over 99 %; 25 of 200 is 12.5 and prints 13."""
    shares = [percent(count, 2000) for count in (0, 1, 20, 1000, 1999, 2000)]
    assert shares == ["none", "under 1 %", "1 %", "50 %", "over 99 %", "all"]
    assert percent(25, 200) == "13 %"


def test_days_have_a_table_of_their_own(tmp_path: Path) -> None:
    """Two dishes of 280–300 min in days of 480: each day by when, its closing, none late; the JSON says the same."""
    text = recipe("Dish", "- 500 g beans", "{} | Do the [beans]. | hands: 280–300 min | pausable: no")
    folder = write_episode(tmp_path / "days", {"one": text.format("Cut"), "two": text.format("Slice")})
    path = folder / "episode.md"
    days = "days: 2026-11-20 08:00–16:00, 2026-11-21 08:00–16:00"
    path.write_text(path.read_text(encoding="utf-8").replace("call: 09:00", days), encoding="utf-8")
    code, out, err = run("risk", str(folder), "--runs", "400")
    assert (code, err) == (0, "")
    assert "400 runs of all days drawn (seed 0)" in out
    (friday,) = (line.split() for line in out.split("\n") if line.startswith("Fri "))
    assert (friday[0], friday[1], friday[-2:]) == ("Fri", "13:00", ["16:00", "none"])
    assert "12:40" < friday[2] < friday[3] < friday[4] < "13:00"
    found = json.loads(run("risk", str(folder), "--runs", "400", "--json")[1])
    assert [day["planned_s"] for day in found["days"]] == [5 * 3600, 29 * 3600]
    assert found["latest_s"] is None
