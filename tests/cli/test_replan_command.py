"""The rest of the day from the command line, on the first demo."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from test_commands import run


@pytest.fixture(scope="module")
def supper(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a copy of the first demo with its documents built."""
    root = Path(__file__).resolve().parents[2]
    folder = tmp_path_factory.mktemp("replan") / "supper"
    shutil.copytree(root / "demo_episodes" / "tuesday-supper", folder, ignore=shutil.ignore_patterns("out"))
    code, _, err = run("build", str(folder))
    assert (code, err) == (0, "")
    return folder


def seen(supper: Path, *words: str) -> dict[str, object]:
    code, out, err = run("replan", str(supper), "--json", *words)
    assert (code, err) == (0, "")
    found = json.loads(out)
    assert isinstance(found, dict)
    return found


def test_a_day_that_runs_as_planned_does_not_move(supper: Path) -> None:
    """At call with nothing done, the wrap is that of the built plan and nothing moved."""
    built = json.loads((supper / "out" / "plan.json").read_text(encoding="utf-8"))["day"]
    answer = seen(supper, "--at", "09:00")
    assert answer["wrap_s"] == answer["old_wrap_s"] == built["wrap_s"]
    assert answer["moves"] == []
    assert len(answer["next"]) == 3  # type: ignore[arg-type]


def test_a_late_oven_is_told_in_words(supper: Path) -> None:
    """The oven 20 minutes late: the new wrap, the next three steps, what runs and what waits for the oven."""
    words = ("--running", "Set the oven@09:04", "--late", "Set the oven 20 min", "--done", "Rub in@09:00-09:05")
    code, out, err = run("replan", str(supper), "--at", "09:05", *words)
    assert (code, err) == (0, "")
    assert "09:05: wrap 10:5" in out
    assert "running: oat-crumble: Set the oven to 09:39" in out
    assert "Bake the crumble waits for the oven to be hot" in out
    assert out.count("\n") < 25


def test_a_log_and_the_same_words_give_the_same_day(supper: Path, tmp_path: Path) -> None:
    log = tmp_path / "day.txt"
    log.write_text("09:00 begun Rub in the butter\n09:07 done Rub in the butter\n", encoding="utf-8")
    told = seen(supper, "--at", "09:07", "--done", "Rub in the butter@09:00-09:07")
    assert seen(supper, "--at", "09:07", "--log", str(log)) == told
    assert seen(supper, "--at", "09:07", "--log", str(log)) == told


def test_a_limit_that_is_past_is_named_not_refused(supper: Path) -> None:
    """A crumble in the oven since 09:25 and nothing else begun: its pudding is served too late, and by how much."""
    code, out, _ = run("replan", str(supper), "--at", "10:20", "--running", "Bake the crumble@09:25")
    assert code == 0
    assert "CANNOT BE KEPT: oat-crumble: Serve the pudding starts at most 40 min after" in out
    assert "taken as done" in out


def test_faults_in_what_is_told_are_all_reported(supper: Path, tmp_path: Path) -> None:
    log = tmp_path / "day.txt"
    log.write_text("9.00 done x\n09:00 done Nothing of the kind\n", encoding="utf-8")
    code, out, err = run("replan", str(supper), "--at", "09:30", "--log", str(log), "--late", "Bake")
    assert (code, out) == (1, "")
    assert "error[log-line-bad]" in err
    assert "error[log-step-unknown]" in err
    assert "3 errors" in err
    code, _, err = run("replan", str(supper), "--at", "noon")
    assert code == 1
    assert "error[time-bad]" in err


def test_real_minutes_are_offered_and_written_nowhere(supper: Path, tmp_path: Path) -> None:
    """Ten minutes for what takes 4–5: the range that holds both is printed, the recipe is as it was."""
    log = tmp_path / "day.txt"
    log.write_text("09:00 begun Rub in the butter\n09:10 done Rub in the butter\n", encoding="utf-8")
    before = {path: path.read_bytes() for path in supper.rglob("*") if path.is_file()}
    code, out, err = run("real-minutes", str(supper), str(log))
    assert (code, err) == (0, "")
    assert "oat-crumble: Rub in the butter  - hands: 4–10 min" in out
    assert {path: path.read_bytes() for path in supper.rglob("*") if path.is_file()} == before
    code, out, _ = run("real-minutes", str(supper), str(log), "--json")
    assert json.loads(out)["steps"][0]["new_high_s"] == 600
