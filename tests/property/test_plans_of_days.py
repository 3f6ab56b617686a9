"""Tiny plans over several days against brute force: every start is tried, and the rules are checked here once more."""

from __future__ import annotations

from itertools import pairwise, product

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shootplan.model.planning import (
    Activity,
    ActivityKind,
    DayRule,
    Lag,
    OvenState,
    PlanInput,
    SolveStatus,
    Worker,
)
from shootplan.plan import solve
from shootplan.plan.verify import verify
from shootplan.problems import InfeasiblePlan

MINUTE = 60
#: Two nights in a plan of twelve minutes: staffed 0–4, 6–8, 10–12.
NIGHTS = ((4, 6), (8, 10))
END = 12
Starts = tuple[int, ...]


@st.composite
def plans(draw: st.DrawFn) -> PlanInput:
    """Return up to four activities of a minute or more, hands of one cook or left alone, with links and days."""
    count = draw(st.integers(2, 4))
    activities = []
    for number in range(count):
        is_hands = draw(st.booleans())
        length = draw(st.integers(1, 4 if is_hands else 5)) * MINUTE
        activities.append(
            Activity(
                id=f"a{number}",
                kind=ActivityKind.HANDS if is_hands else ActivityKind.LEAVE,
                short_s=length,
                long_s=length,
                workers=("cook",) if is_hands else (),
                may_run_closed=not is_hands and draw(st.booleans()),
            )
        )
    pairs = [(before, after) for after in range(count) for before in range(after)]
    lags = [
        Lag(
            predecessor=f"a{before}",
            successor=f"a{after}",
            at_most_s=draw(st.none() | st.integers(0, 4).map(lambda minutes: minutes * MINUTE)),
        )
        for before, after in draw(st.lists(st.sampled_from(pairs), max_size=3, unique=True))
    ]
    rules = [
        DayRule(one=lag.predecessor, other=lag.successor, is_apart=draw(st.booleans()))
        for lag in lags
        if draw(st.booleans())
    ]
    return PlanInput(
        activities=tuple(activities),
        lags=tuple(lags),
        workers=(Worker(name="cook"),),
        closed=tuple((since * MINUTE, till * MINUTE) for since, till in NIGHTS),
        day_rules=tuple(rules),
        horizon_s=END * MINUTE,
    )


def is_kept(plan_input: PlanInput, starts: Starts) -> bool:
    """Whether starts in minutes keep every rule: written anew, nothing of the verifier's."""
    placed = {item.id: start for item, start in zip(plan_input.activities, starts, strict=True)}
    lengths = {item.id: item.long_s // MINUTE for item in plan_input.activities}
    for item in plan_input.activities:
        first, last = placed[item.id], placed[item.id] + lengths[item.id]
        if last > END:
            return False
        # What may run closed may begin at the very moment at which the kitchen closes.
        minutes = {first} - {since for since, _ in NIGHTS} if item.may_run_closed else set(range(first, last))
        if any(since <= minute < till for since, till in NIGHTS for minute in minutes):
            return False
    for lag in plan_input.lags:
        wait = placed[lag.successor] - placed[lag.predecessor] - lengths[lag.predecessor]
        if wait < 0 or (lag.at_most_s is not None and wait > lag.at_most_s // MINUTE):
            return False
    days = {name: sum(start >= till for _, till in NIGHTS) for name, start in placed.items()}
    for rule in plan_input.day_rules:
        if rule.is_apart and days[rule.one] >= days[rule.other]:
            return False
        if not rule.is_apart and days[rule.one] != days[rule.other]:
            return False
    busy = sorted((placed[i.id], placed[i.id] + lengths[i.id]) for i in plan_input.activities if i.workers)
    return all(before[1] <= after[0] for before, after in pairwise(busy))


def shortest(plan_input: PlanInput) -> int | None:
    """Return the least end in seconds over all starts in whole minutes, ``None`` if no starts keep the rules."""
    lengths = [item.long_s // MINUTE for item in plan_input.activities]
    tried = product(*(range(END - length + 1) for length in lengths))
    ends = (
        max(start + length for start, length in zip(starts, lengths, strict=True))
        for starts in tried
        if is_kept(plan_input, starts)
    )
    least = min(ends, default=None)
    return None if least is None else least * MINUTE


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(plans())
def test_the_planner_finds_what_brute_force_finds(plan_input: PlanInput) -> None:
    """The same shortest end, proven, or the same "no plan"; and the verifier agrees with the rules written here."""
    least = shortest(plan_input)
    try:
        result = solve(plan_input, is_explained=False)
    except InfeasiblePlan:
        assert least is None
        return
    assert result.schedule is not None
    starts = tuple(item.start_s // MINUTE for item in result.schedule.assignments)
    assert result.status is SolveStatus.OPTIMAL
    assert result.schedule.makespan_s == result.bound_s == least
    assert is_kept(plan_input, starts)
    assert verify(plan_input, result.schedule) == ()
    assert solve(plan_input, is_explained=False) == result


@settings(max_examples=25, deadline=None)
@given(plans())
def test_a_clash_is_told_by_rules_that_are_all_needed(plan_input: PlanInput) -> None:
    """Whatever cannot be planned names at least one rule, in words."""
    if shortest(plan_input) is not None:
        return
    try:
        solve(plan_input)
    except InfeasiblePlan as clash:
        assert clash.conflicts
        assert all(item.rule for item in clash.conflicts)
        return
    raise AssertionError("planned what cannot be")


def test_an_oven_heats_anew_after_a_night_by_brute_force() -> None:
    """
    One oven, two bakes of three minutes at one temperature on two days: heats of one minute each, by hand.

    Staffed 0–4 and 6–8 and 10–12: heat 0–1, bake 1–4; the second bake and its heat take four minutes more than the
    two of the second day and the two of the third: no plan. With bakes of one minute: heat 0–1, bake 1–2, cold after
    the night: heat 6–7, bake 7–8, because the two are told to be on different days.
    """

    def plan(bake_s: int) -> PlanInput:
        def heat(name: str) -> Activity:
            state = OvenState(oven="oven", temperature_c=200)
            return Activity(id=name, kind=ActivityKind.HEAT, short_s=MINUTE, long_s=MINUTE, oven=state)

        def bake(name: str, on: str) -> Activity:
            state = OvenState(oven="oven", temperature_c=200, heat=on)
            return Activity(id=name, kind=ActivityKind.LEAVE, short_s=bake_s, long_s=bake_s, oven=state)

        return PlanInput(
            activities=(heat("h1"), bake("b1", "h1"), heat("h2"), bake("b2", "h2")),
            closed=tuple((since * MINUTE, till * MINUTE) for since, till in NIGHTS),
            day_rules=(
                DayRule(one="h1", other="b1"),
                DayRule(one="h2", other="b2"),
                DayRule(one="b1", other="b2", is_apart=True),
            ),
            oven_shelves=(("oven", 1),),
            oven_change_s=(("oven", 0),),
            horizon_s=END * MINUTE,
        )

    result = solve(plan(MINUTE))
    assert result.schedule is not None
    placed = {item.activity: (item.start_s // MINUTE, item.end_s // MINUTE) for item in result.schedule.assignments}
    assert placed == {"h1": (0, 1), "b1": (1, 2), "h2": (6, 7), "b2": (7, 8)}
    try:
        solve(plan(3 * MINUTE))
    except InfeasiblePlan:
        return
    raise AssertionError("an oven that is cold in the morning was taken for hot")
