"""Seeded days go wrong in plans over several days: the past stands, and nobody works at night unless it is said."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest
from day_simulator import Simulator
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from planning_helpers import recipe, write_episode
from test_plan_equipment import baking_days, pan_days
from test_plans_of_days import plans
from test_replans import careless_logs

from shootplan.app import day_input, load
from shootplan.app.film import film
from shootplan.model.planning import Activity, ActivityKind, DayRule, PlanInput, Schedule
from shootplan.model.replanning import Replan, RunState
from shootplan.model.show import clock_text
from shootplan.plan import solve
from shootplan.plan.happened import runs_of
from shootplan.plan.replan import replan
from shootplan.plan.verify import verify
from shootplan.problems import InfeasiblePlan

MINUTE = 60
BEGINS = datetime(2026, 11, 20, 8, 0)


def check_nights(answer: Replan) -> None:
    """What is still to be worked lies within staffed hours, or the closing that it overruns is named, by how much."""
    late = {item.rule.replace("work on the last day ends", "the kitchen closes"): item.late_s for item in answer.broken}
    plan_input = answer.plan_input
    assert plan_input.begins is not None
    assert plan_input.horizon_s is not None
    replaced = {item.id for item in answer.rest.activities if not item.long_s}
    for item in answer.schedule.assignments:
        activity = activity_of(plan_input, item.activity)
        if item.activity in replaced:
            continue
        for since_s, till_s in (*plan_input.closed, (plan_input.horizon_s, 10**9)):
            start_s, end_s = item.pieces[-1]
            if not activity.long_s or end_s <= max(since_s, answer.now_s) or till_s <= max(start_s, answer.now_s):
                continue
            reach_s = start_s if activity.may_run_closed and till_s < 10**9 else min(end_s, till_s)
            rule = f"the kitchen closes at {clock_text(plan_input.begins, since_s)}"
            is_all_night = any("goes on through the night" in note for note in answer.notes)
            assert reach_s <= since_s + late.get(rule, 0) or is_all_night


def activity_of(plan_input: PlanInput, name: str) -> Activity:
    return next(item for item in plan_input.activities if item.id == name)


def solved(plan_input: PlanInput) -> Schedule | None:
    try:
        return solve(plan_input, is_explained=False).schedule
    except InfeasiblePlan:
        return None


@given(plans(), st.integers(0, 10**6))
@settings(max_examples=60, derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_no_prefix_of_days_is_contradicted(plan_input: PlanInput, seed: int) -> None:
    """
    After every event of random days with two nights: the past stands, the rest is sound and ahead, work after closing
    is named, and a limit gives only where the planner proves that not all of them can be kept.
    """
    plan_input = replace(plan_input, begins=BEGINS)
    schedule = solved(plan_input)
    if schedule is not None:
        for answer in Simulator(plan_input, schedule, seed).play():
            check_nights(answer)


@given(st.data())
@settings(max_examples=60, derandomize=True, deadline=None)
def test_whatever_is_ticked_on_any_day_there_is_a_sound_rest(data: st.DataObject) -> None:
    """However little sense a log makes, at any moment of the days and nights and long after the last of them."""
    plan_input = replace(data.draw(plans()), begins=BEGINS)
    schedule = solved(plan_input)
    if schedule is None:
        return
    events = data.draw(careless_logs(plan_input, MINUTE))
    now_s = data.draw(st.integers(-3, 30)) * MINUTE
    answer = replan(plan_input, schedule, events, now_s=now_s)
    assert verify(answer.rest, answer.rest_schedule) == ()
    states = dict(answer.states)
    assert all(item.start_s >= now_s for item in answer.schedule.assignments if states[item.activity] is RunState.AHEAD)
    check_nights(answer)


@st.composite
def days_with_things(draw: st.DrawFn) -> PlanInput:
    """Return a day of ovens or of pans, parted by one or two nights in which some of it may go on."""
    plan_input = draw(st.sampled_from((baking_days, pan_days)).flatmap(lambda make: make()))
    total_s = max(1, sum(item.long_s for item in plan_input.activities))
    lengths = draw(st.lists(st.integers(1, total_s), min_size=2, max_size=3))
    marks = [0]
    for length_s in lengths:
        marks += [marks[-1] + length_s, marks[-1] + length_s + draw(st.integers(1, total_s))]
    heats = [(item.oven.heat, item.id) for item in plan_input.activities if item.oven is not None and item.oven.heat]
    return replace(
        plan_input,
        activities=tuple(
            replace(item, may_run_closed=_may_stay(item) and draw(st.booleans())) for item in plan_input.activities
        ),
        closed=tuple(zip(marks[1::2][:-1], marks[2::2][:-1], strict=True)),
        horizon_s=marks[-2] + 2 * total_s,
        day_rules=tuple(DayRule(one=heat, other=bake) for heat, bake in heats),
        begins=BEGINS,
    )


def _may_stay(item: Activity) -> bool:
    return item.kind is ActivityKind.LEAVE and item.look_in is None and item.oven is None


@given(days_with_things(), st.integers(0, 10**6))
@settings(max_examples=40, derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_ovens_and_pans_over_nights(plan_input: PlanInput, seed: int) -> None:
    """The same with dials, shelves, washing and cold mornings."""
    schedule = solved(plan_input)
    if schedule is not None:
        for answer in Simulator(plan_input, schedule, seed, unit=1).play():
            check_nights(answer)
            check_ovens(answer)


@given(st.data())
@settings(max_examples=60, derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_whatever_is_ticked_of_ovens_and_pans(data: st.DataObject) -> None:
    """Only two dishes that each hold what the other needs are refused, in words."""
    plan_input = data.draw(days_with_things())
    schedule = solved(plan_input)
    if schedule is None:
        return
    events = data.draw(careless_logs(plan_input, 1))
    now_s = data.draw(st.integers(-3, 2 * schedule.makespan_s))
    try:
        answer = replan(plan_input, schedule, events, now_s=now_s)
    except InfeasiblePlan as error:
        assert "holds" in str(error)
        return
    assert verify(answer.rest, answer.rest_schedule) == ()
    check_nights(answer)


# ---------------------------------------------------------------------------------------------------- from source text

KITCHEN = """
[[people]]
name = "cook"
[[people]]
name = "helper"
role = "helper"
end = "15:00"
[hob]
rings = 1
[[ovens]]
name = "oven"
heat_up = "20 min"
change = "5 min"
[hours]
staffed = "08:00–16:00"
evening = "18:00–20:00"
"""
SOAKED = recipe(
    "Soaked",
    "- 500 g beans",
    "Rinse | Rinse the [beans]. | hands: 5 min | when: evening before",
    "Soak | Soak. | leave: at least 10 h, at most 16 h | when: evening before | place: fridge | keeps: 24 h",
    "Boil | Boil. | hands: 5 min | leave: 60–80 min | check: every 20 min for 1 min | uses: ring | until: soft",
    "Plate the beans | Plate. | hands: 10 min | within: 30 min",
)
BAKED = recipe(
    "Baked",
    "- 500 g flour",
    "Mix | Mix the [flour]. | hands: 40 min | keeps: 20 h | place: fridge",
    "Heat | Heat. | hands: 1 min | heats: oven 200 °C | after: none",
    "Bake | Bake. | hands: 5 min | leave: 45–60 min | uses: oven 200 °C | until: brown | after: Mix, Heat",
    "Cut the loaf | Cut. | hands: 15 min | within: 60 min",
)
SLOW = recipe(
    "Slow",
    "- 50 g herbs",
    "Strip | Strip the [herbs]. | hands: 240 min | pausable: no",
    "Grind | Grind them. | hands: 150 min | who: helper",
)
TWO_DAYS = "days: 2026-11-20, 2026-11-21"
EVENING = "days: evening before, 2026-11-20, 2026-11-21"


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("days", [EVENING, EVENING.replace(", 2026-11-21", " 08:00–20:00")])
def test_prefixes_of_an_episode_over_days(tmp_path: Path, days: str, seed: int) -> None:
    """A soak over night, an oven that is cold in the morning, a helper who leaves early: played through six times."""
    write_episode(tmp_path, {"soaked": SOAKED, "baked": BAKED, "slow": SLOW}, more=days, kitchen=KITCHEN)
    path = tmp_path / "episode.md"
    path.write_text(path.read_text(encoding="utf-8").replace("call: 09:00\n", ""), encoding="utf-8")
    plan_input = day_input(load(tmp_path))
    schedule = solve(plan_input).schedule
    assert schedule is not None
    answers = Simulator(plan_input, schedule, seed, most=1.5, every_s=7 * MINUTE).play()
    assert len(answers) > len(runs_of(plan_input))
    for answer in answers:
        check_nights(answer)
        check_ovens(answer)


def check_ovens(answer: Replan) -> None:
    """What goes into an oven from now on was heated for on its day, by a heat of the plan or one that is said."""
    heats = [item.id for item in answer.plan_input.activities if item.kind is ActivityKind.HEAT]
    for item in answer.schedule.assignments:
        oven = activity_of(answer.plan_input, item.activity).oven
        if oven is None or not oven.heat or item.start_s < answer.now_s:
            continue
        opens_s = max((till for _, till in answer.plan_input.closed if till <= item.start_s), default=-(10**9))
        ends = [answer.schedule.of(name).end_s for name in heats if answer.schedule.of(name).start_s >= opens_s]
        assert min(ends, default=item.start_s + 1) <= item.start_s or any(
            "heated again" in note for note in answer.notes
        )


# ---------------------------------------------------------------------------------------------------- filmed days

FILMED = """
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
staffed = "08:00–16:00"
set_up = "15 min"
strike = "10 min"
meal = "30 min within 6 h"
"""


def filmed_dish(name: str, position: str, minutes: int) -> str:
    """Return a dish that is cut, kept, boiled and plated, from one position and from the front."""
    return recipe(
        f"Dish {name}",
        "- 500 g beans",
        f"Cut {name} | Do the [beans]. | hands: {minutes} min | shot: {position}, hands | keeps: 24 h | place: fridge",
        f"Boil {name} | Boil. | hands: 3 min | leave: 20–30 min | uses: ring | until: soft | shot: front, pot",
        f"Plate {name} | Plate. | hands: 20 min | shot: {position}, plate | within: 40 min",
    )


@pytest.mark.parametrize(("seed", "most"), [(0, 1.3), (1, 1.3), (2, 2.5), (4, 2.5)])
def test_prefixes_of_filmed_days(tmp_path: Path, seed: int, most: float) -> None:
    """Re-rigs, a set-up each morning, a break on the long day, one camera whose operator does nothing else."""
    dishes = (("One", "overhead", 100), ("Two", "front", 120), ("Three", "overhead", 150), ("Four", "front", 90))
    recipes = {name.lower(): filmed_dish(name, position, minutes) for name, position, minutes in dishes}
    write_episode(tmp_path, recipes, more=TWO_DAYS, kitchen=FILMED)
    path = tmp_path / "episode.md"
    path.write_text(path.read_text(encoding="utf-8").replace("call: 09:00\n", ""), encoding="utf-8")
    day = film(load(tmp_path))
    assert day.result.schedule is not None
    for answer in Simulator(day.plan_input, day.result.schedule, seed, most=most, every_s=10 * MINUTE).play():
        check_nights(answer)
        opens_s = [0, *(till for _, till in answer.plan_input.closed)]
        for item in answer.schedule.assignments:
            activity = activity_of(answer.plan_input, item.activity)
            if activity.film is not None and item.start_s >= answer.now_s:
                assert item.start_s - max(moment for moment in opens_s if moment <= item.start_s) >= 15 * MINUTE
