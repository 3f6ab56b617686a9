"""Ovens, held pans, look-ins and times away: no shorter plan is found by trying every start against the verifier."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from hypothesis import given, settings
from hypothesis import strategies as st

from shootplan.model.planning import (
    Activity,
    ActivityKind,
    Assignment,
    Lag,
    LookInTask,
    Occupation,
    OvenState,
    PlanInput,
    Resource,
    Schedule,
    SolveStatus,
    Worker,
)
from shootplan.plan import solve
from shootplan.plan.chain import critical_chain, slack
from shootplan.plan.verify import verify
from shootplan.problems import InfeasiblePlan

SOME = settings(max_examples=25, derandomize=True, deadline=None)

lengths = st.integers(1, 3)
limits = st.sampled_from((None, None, 0, 2))


def heat(name: str, celsius: int, seconds: int) -> Activity:
    """Return a heating of the only oven."""
    state = OvenState(oven="oven", temperature_c=celsius)
    return Activity(id=name, kind=ActivityKind.HEAT, short_s=seconds, long_s=seconds, oven=state)


def bake(name: str, celsius: int, seconds: int, shelves: int) -> Activity:
    """Return a bake in the heat of its name."""
    state = OvenState(oven="oven", temperature_c=celsius, heat=f"heat {name}", shelves=shelves)
    return Activity(id=name, kind=ActivityKind.LEAVE, short_s=seconds, long_s=seconds, oven=state)


@st.composite
def baking_days(draw: st.DrawFn) -> PlanInput:
    """Return two bakes with a heat each, one of them prepared by hand; the second may turn the dial of its own heat."""
    first_c, second_c = draw(st.sampled_from((180, 185, 200))), draw(st.sampled_from((180, 185, 200)))
    turned_c = draw(st.sampled_from((second_c, second_c, 220, 180)))
    activities = [
        heat("heat one", first_c, draw(lengths)),
        bake("one", first_c, draw(lengths), draw(st.integers(1, 2))),
        heat("heat two", second_c, draw(lengths)),
        bake("two", turned_c, draw(lengths), 1),
        Activity(id="mix", kind=ActivityKind.HANDS, short_s=2, long_s=2, workers=("cook",)),
    ]
    after = draw(st.sampled_from(("one", "two")))
    return PlanInput(
        activities=tuple(activities),
        lags=(Lag(predecessor="mix", successor=after, at_most_s=draw(limits)),),
        workers=(Worker(name="cook", away=draw(st.sampled_from(((), ((1, 3),))))),),
        oven_shelves=(("oven", draw(st.integers(1, 2) if activities[1].oven.shelves == 1 else st.just(2))),),  # type: ignore[union-attr]
        oven_tolerance_c=(("oven", draw(st.sampled_from((0, 10)))),),
        oven_change_s=(("oven", draw(st.integers(0, 2))),),
    )


@st.composite
def pan_days(draw: st.DrawFn) -> PlanInput:
    """Return two dishes that hold the only pan and must be washed, with look-ins and one cook who may go away."""
    activities, lags, held = [], [], []
    for dish in ("a", "b"):
        look = draw(st.sampled_from((None, LookInTask(every_s=1, for_s=1), LookInTask(every_s=2, for_s=1))))
        fry, simmer = f"fry {dish}", f"simmer {dish}"
        seconds, left = draw(lengths), draw(lengths)
        activities += [
            Activity(id=fry, kind=ActivityKind.HANDS, short_s=seconds, long_s=seconds, workers=("cook",)),
            Activity(
                id=simmer, kind=ActivityKind.LEAVE, short_s=1, long_s=left, workers=("cook",), look_in=look, recipe=dish
            ),
        ]
        lags.append(Lag(predecessor=fry, successor=simmer, at_most_s=draw(limits)))
        wash = draw(st.integers(0, 2))
        held.append(Occupation(id=dish, resource="pan", first=fry, last=simmer, after_s=wash))
    return PlanInput(
        activities=tuple(activities),
        lags=tuple(lags),
        occupations=tuple(held),
        resources=(Resource(id="pan", capacity=draw(st.integers(1, 2))),),
        workers=(Worker(name="cook", away=draw(st.sampled_from(((), ((2, 4),))))),),
    )


def schedules(plan_input: PlanInput, horizon: int) -> Iterator[Schedule]:
    """Yield every schedule of whole seconds that ends by the horizon, sound or not."""
    change = dict(plan_input.oven_change_s).get("oven", 0)
    choices = []
    for item in plan_input.activities:
        lasting = {item.long_s, change, 0} if item.kind is ActivityKind.HEAT else {item.long_s}
        choices.append([(s, s + d) for d in sorted(lasting) for s in range(horizon - d + 1)])
    for picked in itertools.product(*choices):
        yield Schedule(
            assignments=tuple(_placed(item, *span) for item, span in zip(plan_input.activities, picked, strict=True))
        )


def _placed(item: Activity, start: int, end: int) -> Assignment:
    look = item.look_in
    moments = look.offsets(item.long_s) if look is not None else ()
    return Assignment(
        activity=item.id,
        pieces=((start, end),),
        worker="cook" if item.kind is ActivityKind.HANDS else "",
        look_ins=tuple((start + at, start + at + look.for_s, "cook") for at in moments if look is not None),
    )


def assert_shortest(plan_input: PlanInput, most: int) -> None:
    """The plan is sound, no schedule a second shorter is, and where there is no plan, none exists within ``most``."""
    try:
        result = solve(plan_input)
    except InfeasiblePlan as error:
        assert error.conflicts
        assert all(verify(plan_input, schedule) for schedule in schedules(plan_input, most))
        return
    assert result.schedule is not None
    assert result.status is SolveStatus.OPTIMAL
    assert verify(plan_input, result.schedule) == ()
    if result.schedule.makespan_s - 1 <= most:
        shorter = schedules(plan_input, result.schedule.makespan_s - 1)
        assert all(verify(plan_input, schedule) for schedule in shorter)


@given(pan_days())
@SOME
def test_held_pans_washing_look_ins_and_time_away_cost_no_second_too_much(plan_input: PlanInput) -> None:
    """Four activities of whole seconds: every start is tried."""
    assert_shortest(plan_input, 9)


@given(baking_days())
@settings(SOME, max_examples=10)
def test_heats_changes_and_shelves_cost_no_second_too_much(plan_input: PlanInput) -> None:
    """Five activities, heats with every length they may have: every start is tried."""
    assert_shortest(plan_input, 7)


@given(st.one_of(pan_days(), baking_days()))
@SOME
def test_the_chain_that_decides_the_end_has_no_slack(plan_input: PlanInput) -> None:
    """Rule T10: the chain ends with the plan, is in order of time, and each of its links but heats is without slack."""
    try:
        schedule = solve(plan_input).schedule
    except InfeasiblePlan:
        return
    assert schedule is not None
    chain = critical_chain(plan_input, schedule)
    room = slack(plan_input, schedule)
    assert chain[-1].end_s == schedule.makespan_s
    assert all(room[link.activity] == 0 for link in chain)
