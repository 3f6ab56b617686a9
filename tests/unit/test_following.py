"""The plan that a day follows: built before, kept before, or solved now; never one that does not fit."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from test_board import folder, live, state, tick, until

from shootplan.app import Solver, load
from shootplan.app.following import Followed, follow, input_again, schedule_of_text, schedule_text
from shootplan.board.day import LiveDay
from shootplan.board.serve import log_folder
from shootplan.board.store import Store

__all__ = ["folder", "live", "state", "tick", "until"]

KITCHEN = """
[[people]]
name = "host"
role = "cook"
presenter = true
[hob]
rings = 2
[cameras]
positions = ["overhead", "hob close"]
rerig = "4 min"
"""


@pytest.fixture
def filmed(folder: Path) -> Path:
    """The soup with a camera: chopping from above, serving from the hob."""
    (folder / "kitchen.toml").write_text(KITCHEN, encoding="utf-8")
    recipe = folder / "recipes" / "soup.md"
    text = recipe.read_text(encoding="utf-8")
    text = text.replace("   - hands: 4 min\n", "   - hands: 4 min\n   - shot: overhead\n")
    recipe.write_text(
        text.replace("   - hands: 2 min\n", "   - hands: 2 min\n   - shot: hob close\n"), encoding="utf-8"
    )
    return folder


def no_solving(*_: object, **__: object) -> object:
    raise AssertionError("solved again")


def test_a_built_plan_is_followed_and_one_that_does_not_fit_is_not(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    loaded = load(folder)
    solved = follow(loaded, folder)
    (folder / "out").mkdir()
    built = folder / "out" / "plan.json"
    built.write_text(json.dumps({"day": {"assignments": json.loads(schedule_text(solved.schedule))}}), encoding="utf-8")
    with monkeypatch.context() as patched:
        patched.setattr(Solver, "__call__", no_solving)
        assert follow(loaded, folder) == solved
    for broken in ("", "[]", '{"day": 5}', '{"day": {"assignments": [{"activity": "soup/chop#hands"}]}}'):
        built.write_text(broken, encoding="utf-8")
        assert follow(loaded, folder) == solved


def test_a_filmed_plan_is_kept_and_found_again(filmed: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Solved once; after that it is read, unless the recipe has changed so that it does not fit any more."""
    loaded = load(filmed)
    first = follow(loaded, filmed, is_filmed=True)
    assert first.is_filmed
    assert first.plan_input.cameras
    with monkeypatch.context() as patched:
        patched.setattr("shootplan.app.film.film", no_solving)
        assert follow(loaded, filmed, is_filmed=True) == first
    assert input_again(loaded, first) == first.plan_input
    recipe = filmed / "recipes" / "soup.md"
    recipe.write_text(recipe.read_text(encoding="utf-8").replace("leave: 20", "leave: 30"), encoding="utf-8")
    longer = follow(load(filmed), filmed, is_filmed=True)
    assert longer.schedule.makespan_s == first.schedule.makespan_s + 600
    (filmed / "day-log" / "filmed-plan.json").write_text("{}", encoding="utf-8")
    assert follow(load(filmed), filmed, is_filmed=True) == longer


def test_the_board_of_a_filmed_day_knows_where_the_camera_is(filmed: Path) -> None:
    loaded = load(filmed)
    followed = follow(loaded, filmed, is_filmed=True)
    store = Store(log_folder(filmed) / "filmed.sqlite3")
    from test_board import At

    day = LiveDay(filmed, store, At(0), loaded=loaded, followed=followed)
    told: list[str] = []
    day.publish = told.append
    day.start()
    steps = {step["run"]: step for step in json.loads(day.view())["steps"]}
    assert steps["soup/chop"]["camera"] == "overhead"
    assert steps["soup/serve"]["camera"] == "hob close"
    assert steps["soup/simmer"]["camera"] == ""
    day.tick([tick("abcdefgh", "begun", "soup/chop", 0)])
    view = until(told, lambda view: view["steps"] and state(view, "soup/chop") == "running")
    assert view["morning_wrap_s"] == followed.schedule.makespan_s
    day.stop()


def test_a_schedule_goes_through_text(folder: Path) -> None:
    followed = follow(load(folder), folder)
    assert schedule_of_text(schedule_text(followed.schedule), followed.plan_input) == followed.schedule
    assert schedule_of_text("[]", followed.plan_input) is None
    assert schedule_of_text("{", followed.plan_input) is None
    assert schedule_of_text(None, followed.plan_input) is None
    assert isinstance(followed, Followed)
