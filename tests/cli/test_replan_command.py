"""The rest of the day from the command line, on the first demo."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from planning_helpers import write_two_days
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


# ---------------------------------------------------------------------------------------------------- over several days


@pytest.fixture
def two_days(tmp_path: Path) -> Path:
    """Return an episode of two dishes of 300 min, of which a day of 480 min holds one."""
    return write_two_days(tmp_path / "days")


def test_the_rest_of_two_days_is_told_by_day(two_days: Path) -> None:
    """Cut runs from 09:30 to 14:30, Slice is next day's: each day's wrap, and weekdays at all times."""
    words = ("--at", "2026-11-20 10:00", "--running", "Cut@09:30")
    code, out, err = run("replan", str(two_days), *words)
    assert (code, err) == (0, "")
    assert out.startswith("10:00 Fri: wrap 13:00 Sat, as planned")
    assert "Fri: wrap 14:30, 90 min later (the kitchen closes at 16:00)" in out
    assert "Sat: wrap 13:00, as planned (the kitchen closes at 16:00)" in out
    answer = seen(two_days, *words)
    assert answer["begins"] == "2026-11-20T08:00:00"
    assert [day["wrap_s"] for day in answer["days"]] == [390 * 60, 29 * 3600]  # type: ignore[attr-defined]


def test_a_log_of_two_days_says_its_dates_once(two_days: Path, tmp_path: Path) -> None:
    log = tmp_path / "log.txt"
    log.write_text("2026-11-20 08:00 begun Cut\n13:00 done Cut\n2026-11-21 08:10 begun Slice\n", encoding="utf-8")
    code, out, err = run("replan", str(two_days), "--at", "09:00", "--log", str(log))
    assert (code, err) == (0, "")
    assert out.startswith("09:00 Sat: wrap 13:10 Sat, 10 min later")
    code, out, err = run("replan", str(two_days), "--at", "09:00")
    assert (code, out) == (1, "")
    assert "--at:1:1: error[log-day-unclear]: 09:00 may be of any of the days 2026-11-20, 2026-11-21" in err
    assert 'write the date before it, as in "2026-11-21 09:00"' in err


def test_real_minutes_of_two_days(two_days: Path, tmp_path: Path) -> None:
    """Cut took 290 min, Slice 310 on the other day."""
    log = tmp_path / "log.txt"
    days = ("2026-11-20 08:00 begun Cut\n12:50 done Cut\n", "2026-11-21 08:10 begun Slice\n13:20 done Slice\n")
    log.write_text("".join(days), encoding="utf-8")
    code, out, err = run("real-minutes", str(two_days), str(log), "--json")
    assert (code, err) == (0, "")
    assert {step["label"]: step["real_s"] // 60 for step in json.loads(out)["steps"]} == {
        "one: Cut": 290,
        "two: Slice": 310,
    }
    log.write_text("".join(days).replace("2026-11-20 ", ""), encoding="utf-8")
    code, _, err = run("real-minutes", str(two_days), str(log))
    assert code == 1
    assert err.count("error[log-day-unclear]") == 2
