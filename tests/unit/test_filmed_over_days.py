"""An episode filmed over several days as one plan: nights, re-rigs, set-ups and meals, worked by hand."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from planning_helpers import recipe, write_episode

from shootplan.app import Loaded, load, publish
from shootplan.app import documents as all_documents
from shootplan.app.film import film
from shootplan.app.risk import risk
from shootplan.model.filmed_day import FilmedDay
from shootplan.model.planning import Assignment, Schedule
from shootplan.model.show import clock_text
from shootplan.plan.verify import verify
from shootplan.problems import InfeasiblePlan

MINUTE = 60
KITCHEN = """
[[people]]
name = "host"
presenter = true
[[people]]
name = "operator"
role = "helper"
[hob]
rings = 1
[cameras]
positions = ["overhead", "front"]
rerig = "10 min"
pick_ups = false
[hours]
staffed = "08:00–12:00"
evening = "18:00–20:00"
"""
TWO_DAYS = "days: 2026-11-20, 2026-11-21"


def filmed(
    folder: Path, recipes: dict[str, str], days: str = TWO_DAYS, kitchen: str = KITCHEN
) -> tuple[Loaded, FilmedDay]:
    """Plan the filmed days of recipes, checked without the solver, their parts adding up to wrap less call (T5)."""
    write_episode(folder, recipes, more=days, kitchen=kitchen)
    path = folder / "episode.md"
    path.write_text(path.read_text(encoding="utf-8").replace("call: 09:00\n", ""), encoding="utf-8")
    loaded = load(folder)
    day = film(loaded)
    assert day.result.schedule is not None
    assert verify(day.plan_input, day.result.schedule) == ()
    strike_s = loaded.episode.kitchen.strike_s
    assert day.parts.total_s == day.result.schedule.makespan_s + strike_s
    spans = [(item.start_s, item.end_s) for item in day.stretches]
    assert spans[0][0] == 0
    assert spans[-1][1] == day.parts.total_s
    assert all(before[1] == after[0] for before, after in pairwise(spans))
    return loaded, day


def starts(loaded: Loaded, day: FilmedDay) -> dict[str, str]:
    """Return {step: when it begins} of the rows."""
    found: dict[str, str] = {}
    for row in day.rows:
        found.setdefault(row.label.partition(": ")[2], clock_text(loaded.episode.clock, row.clock_s))
    return found


def dish(minutes: int, position: str, name: str = "Cut") -> str:
    """Return a dish of one filmed step."""
    return recipe("Dish", "- 500 g beans", f"{name} | Do the [beans]. | hands: {minutes} min | shot: {position}, hands")


def test_nobody_moves_a_camera_in_the_night(tmp_path: Path) -> None:
    """
    Days of 240 min. One dish fills the first day from overhead; the other, from the front, is re-rigged for next day.

    230 min and a re-rig of 10 end at 12:00: the front is filmed at 08:00. 235 min leave 5 of the 10 to the morning:
    08:05.
    """
    loaded, day = filmed(tmp_path / "fits", {"one": dish(230, "overhead", "One"), "two": dish(200, "front", "Two")})
    assert starts(loaded, day) == {"One": "08:00 Fri", "Two": "08:00 Sat"}
    loaded, day = filmed(tmp_path / "not", {"one": dish(235, "overhead", "One"), "two": dish(200, "front", "Two")})
    assert starts(loaded, day) == {"One": "08:00 Fri", "Two": "08:05 Sat"}
    (move,) = (item for item in day.recordings if item.rerig_s)
    assert clock_text(loaded.episode.clock, move.rerig_from_s) == "11:55 Fri"
    assert day.parts.closed_s == 20 * 3600


def test_a_re_rig_that_lies_in_the_night_is_verified(tmp_path: Path) -> None:
    """Begun at 08:00 the second shot would have had five minutes of the ten."""
    _, day = filmed(tmp_path, {"one": dish(235, "overhead", "One"), "two": dish(200, "front", "Two")})
    assert day.result.schedule is not None
    early = []
    for item in day.result.schedule.assignments:
        shift = 5 * MINUTE if item.activity.startswith("two/") else 0
        early.append(replace(item, pieces=tuple((start - shift, end - shift) for start, end in item.pieces)))
    assert {item.rule for item in verify(day.plan_input, Schedule(assignments=tuple(early)))} == {"rerig"}


def test_each_day_begins_with_its_set_up(tmp_path: Path) -> None:
    """A set-up of 15 min: the first shot of each day is at 08:15, and both are in the parts of the day."""
    kitchen = KITCHEN + 'set_up = "15 min"\n'
    loaded, day = filmed(
        tmp_path, {"one": dish(200, "overhead", "One"), "two": dish(200, "overhead", "Two")}, kitchen=kitchen
    )
    assert sorted(starts(loaded, day).values()) == ["08:15 Fri", "08:15 Sat"]
    assert day.parts.set_up_s == 30 * MINUTE
    assert [item.part for item in day.stretches if item.part == "set-up"] == ["set-up", "set-up"]


def test_each_long_day_has_its_meal(tmp_path: Path) -> None:
    """Days of ten hours: a break in each, begun within six hours; the last only because it gets long."""
    kitchen = KITCHEN.replace("08:00–12:00", "08:00–18:00")
    dishes = {name: dish(170, "overhead", name) for name in ("a", "b", "c", "d", "e", "f")}
    loaded, day = filmed(tmp_path / "long", dishes, kitchen=kitchen)
    assert day.result.schedule is not None
    meals = [day.result.schedule.of(item.activity) for item in day.plan_input.breaks]
    opens = [opens_s for opens_s, _ in loaded.episode.staffed_s]
    assert len(meals) == 2
    for meal, opens_s in zip(meals, opens, strict=True):
        assert 3 * 3600 <= meal.start_s - opens_s <= 6 * 3600
    # Three dishes of 170 and a break of 30 a day: 540 min, to 17:00.
    assert clock_text(loaded.episode.clock, day.result.schedule.makespan_s) == "17:00 Sat"
    loaded, day = filmed(tmp_path / "short", dict(list(dishes.items())[:4]), kitchen=kitchen)
    assert len(day.plan_input.breaks) == 1


def test_the_evening_before_is_filmed_in_the_evening(tmp_path: Path) -> None:
    """Rinsing is filmed in its window, the soak goes on through the night, the rest is filmed on the day."""
    peas = recipe(
        "Peas",
        "- 500 g beans",
        "Rinse | Rinse the [beans]. | hands: 2 min | when: evening before | after: none | shot: front, tap",
        "Soak | Soak. | leave: at least 10 h, at most 14 h | when: evening before | after: Rinse at once",
        "Drain | Drain. | hands: 2 min | shot: front, sieve",
    )
    days = "days: evening before, 2026-11-20 08:00–12:00"
    loaded, day = filmed(tmp_path, {"peas": peas}, days)
    found = starts(loaded, day)
    assert found["Rinse"].endswith("Thu")
    assert "18:00" <= found["Rinse"][:5] <= "19:58"
    assert found["Drain"] == "08:00 Fri"
    assert [item.position for item in day.recordings] == ["front", "front"]


def test_days_too_short_to_film_in_say_so(tmp_path: Path) -> None:
    """Three dishes of 200 min do not go into two days of 240."""
    dishes = {name: dish(200, "overhead", name) for name in ("a", "b", "c")}
    with pytest.raises(InfeasiblePlan) as caught:
        filmed(tmp_path, dishes)
    rules = [item.rule for item in caught.value.conflicts]
    assert "everything is done by 12:00 Sat, when the last day ends" in rules
    assert "nobody is there from 12:00 Fri to 08:00 Sat" in rules


def test_the_shoot_day_page_names_the_days(tmp_path: Path) -> None:
    """The filmed plan is written with the weekday of each entry, twice the same."""
    loaded, day = filmed(tmp_path, {"one": dish(235, "overhead", "One"), "two": dish(200, "front", "Two")})
    publication = replace(publish(loaded), filmed=day)
    files = all_documents(publication)
    assert "11:55 Fri" in files["shoot_day.md"]
    assert "| closed | 20 h |" in files["shoot_day.md"]
    assert "08:05 Sat" in files["shoot_day.html"]
    assert film(loaded) == day


def test_one_assignment_is_not_two(tmp_path: Path) -> None:
    """A recording in the night is a fault of its own."""
    _, day = filmed(tmp_path, {"one": dish(100, "overhead", "One")})
    assert day.result.schedule is not None
    (item,) = day.result.schedule.assignments
    late = Assignment(activity=item.activity, pieces=((5 * 3600, 5 * 3600 + 6000),), worker=item.worker)
    assert "closed_hours" in {found.rule for found in verify(day.plan_input, Schedule(assignments=(late,)))}


def test_the_risk_of_filmed_days_has_set_ups_and_the_strike(tmp_path: Path) -> None:
    """
    Set-up 15 min on both days, strike 10 min after the last: 180–200 min end between 11:15 and 11:35 on the first day,
    150–200 between 10:55 and 11:45 on the second; by the uniform distribution half the runs by 11:25 and by 11:20.
    """
    kitchen = KITCHEN + 'set_up = "15 min"\nstrike = "10 min"\n'
    one, two = (dish(200, place, name).replace("200 min", f"{low}–200 min") for place, name, low in SPREADS)
    loaded, _ = filmed(tmp_path, {"one": one, "two": two}, kitchen=kitchen)
    report = risk(loaded, is_filmed=True, runs=20_000)
    planned = [day.planned_s for day in report.days]
    assert [clock_text(loaded.episode.clock, seconds or 0) for seconds in planned] == ["11:35 Fri", "11:45 Sat"]
    assert report.planned_s == planned[1]
    opens_s = 24 * 3600
    for found, minutes in ((report.days[0].p50_s, 205), (report.days[1].p50_s, opens_s // MINUTE + 200)):
        assert found is not None
        assert abs(found / MINUTE - minutes) < 0.5
    assert [day.closes_s for day in report.days] == [4 * 3600, opens_s + 4 * 3600]


SPREADS = (("overhead", "One", 180), ("front", "Two", 150))
