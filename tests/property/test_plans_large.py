"""What large plans are made with, on small ones: packed list schedules, the search over them, stretches."""

from __future__ import annotations

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shootplan.model.planning import (
    Activity,
    ActivityKind,
    Lag,
    LookInTask,
    Occupation,
    OvenState,
    PlanInput,
    Resource,
    Schedule,
    Worker,
)
from shootplan.plan import stretches
from shootplan.plan.cp_sat import Limits
from shootplan.plan.graph import PositiveCycle
from shootplan.plan.list_search import searched
from shootplan.plan.packed import Packed
from shootplan.plan.packing import packed
from shootplan.plan.planner import bound_of, horizon_of
from shootplan.plan.stretches import made_shorter
from shootplan.plan.verify import verify
from shootplan.problems import InfeasiblePlan

MANY = settings(max_examples=150, derandomize=True, deadline=None)
SOME = settings(max_examples=40, derandomize=True, deadline=None)

minutes = st.integers(1, 8).map(lambda count: 60 * count)


@st.composite
def days(draw: st.DrawFn) -> PlanInput:
    """Return a day of two to four dishes: prep, a pan that is washed, look-ins, bakes, limits, one or two people."""
    activities: list[Activity] = []
    lags: list[Lag] = []
    held: list[Occupation] = []
    people = draw(st.sampled_from((("cook",), ("cook", "helper"), ("cook", "other"))))

    def add(name: str, kind: ActivityKind, **fields: object) -> str:
        long_s = draw(minutes)
        workers = people[: draw(st.integers(1, len(people)))] if kind is ActivityKind.HANDS else ()
        values = {"workers": workers, "recipe": dish, **fields}
        activities.append(Activity(id=name, kind=kind, short_s=60, long_s=long_s, **values))  # type: ignore[arg-type]
        return name

    def follow(before: str, after: str) -> None:
        limit = draw(st.sampled_from((None, None, 0, 120, 600)))
        lags.append(Lag(predecessor=before, successor=after, at_least_s=0, at_most_s=limit))

    for dish in "abcd"[: draw(st.integers(2, 4))]:
        prep = add(f"{dish} prep", ActivityKind.HANDS, is_pausable=draw(st.booleans()))
        begin = add(f"{dish} begin", ActivityKind.HANDS, needs=(("ring", 1),))
        look = draw(st.sampled_from((None, LookInTask(every_s=120, for_s=60), LookInTask(every_s=180, for_s=60))))
        cook = add(f"{dish} cook", ActivityKind.LEAVE, needs=(("ring", 1),), look_in=look, workers=people)
        follow(prep, begin)
        follow(begin, cook)
        after_s = draw(st.sampled_from((0, 60, 180)))
        last = cook if draw(st.booleans()) else begin
        held.append(Occupation(id=dish, resource="pan", first=begin, last=last, after_s=after_s))
        if draw(st.booleans()):
            celsius = draw(st.sampled_from((180, 185, 220)))
            state = OvenState(oven="oven", temperature_c=celsius)
            heat = add(f"{dish} heat", ActivityKind.HEAT, oven=state)
            inside = OvenState(oven="oven", temperature_c=celsius, heat=heat, shelves=draw(st.integers(1, 2)))
            follow(cook, add(f"{dish} bake", ActivityKind.LEAVE, oven=inside))
    away = draw(st.sampled_from(((), ((600, 900),))))
    return PlanInput(
        activities=tuple(activities),
        lags=tuple(lags),
        occupations=tuple(held),
        resources=(Resource(id="ring", capacity=2), Resource(id="pan", capacity=draw(st.integers(1, 2)))),
        workers=tuple(Worker(name=name, away=away if name == "helper" else ()) for name in people),
        oven_shelves=(("oven", 2),),
        oven_tolerance_c=(("oven", 10),),
        oven_change_s=(("oven", 180),),
    )


def _any_order(plan: Packed, chance: random.Random) -> list[int]:
    order: list[int] = []
    while len(order) < len(plan.blocks):
        free = [n for n, needed in enumerate(plan.needed) if n not in order and needed <= set(order)]
        order.append(chance.choice(free))
    return order


def _a_plan(plan_input: PlanInput, chance: random.Random) -> Schedule | None:
    try:
        top_s = horizon_of(plan_input) + bound_of(plan_input)
    except (InfeasiblePlan, PositiveCycle):
        return None
    plan = packed(plan_input, top_s)
    assert plan is not None
    starts = plan.forward(_any_order(plan, chance))
    return plan.schedule(starts) if starts is not None else None


@given(days(), st.randoms(use_true_random=False))
@MANY
def test_any_order_gives_a_sound_schedule_or_none(plan_input: PlanInput, chance: random.Random) -> None:
    """The verifier shares no code with the packed profile: people, vessels, look-ins, ovens, limits, time away."""
    schedule = _a_plan(plan_input, chance)
    if schedule is not None:
        assert verify(plan_input, schedule) == ()


@given(days(), st.randoms(use_true_random=False))
@SOME
def test_a_search_gives_a_sound_schedule_no_longer_and_twice_the_same(
    plan_input: PlanInput, chance: random.Random
) -> None:
    """A worse start is never handed back, and nothing depends on when or where the search runs."""
    listed = _a_plan(plan_input, chance)
    if listed is None:
        return
    bound_s, top_s = bound_of(plan_input), 2 * listed.makespan_s
    found = searched(plan_input, listed, bound_s=bound_s, top_s=top_s, work=2000, seed=1)
    assert found.schedule is not None
    assert verify(plan_input, found.schedule) == ()
    assert bound_s <= found.schedule.makespan_s <= listed.makespan_s
    assert found == searched(plan_input, listed, bound_s=bound_s, top_s=top_s, work=2000, seed=1)


@given(days(), st.randoms(use_true_random=False), st.booleans())
@SOME
def test_stretches_give_a_sound_schedule_no_longer(
    plan_input: PlanInput, chance: random.Random, is_split: bool
) -> None:
    """Stretches of four activities, so that most of the plan stands or moves as one."""
    schedule = _a_plan(plan_input, chance)
    if schedule is None:
        return
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(stretches, "_ACTIVITIES", 4)
        found = made_shorter(
            plan_input,
            schedule,
            bound_s=bound_of(plan_input),
            limits=Limits(budget=0.05),
            tell=lambda words: None,
            is_split=is_split,
        )
    assert verify(plan_input, found.schedule) == ()
    assert bound_of(plan_input) <= found.schedule.makespan_s <= schedule.makespan_s
