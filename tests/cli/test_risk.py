"""Ranges and risk from the command line."""

from __future__ import annotations

import json
from pathlib import Path

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
