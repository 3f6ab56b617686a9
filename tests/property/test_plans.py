"""Properties of plans: as short as brute force, verified always, rejected when damaged, the same twice."""

from __future__ import annotations

import itertools
from dataclasses import replace

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from shootplan.model.planning import (
    Activity,
    ActivityKind,
    Assignment,
    Lag,
    LookInTask,
    PlanInput,
    Resource,
    Schedule,
    SolveStatus,
    Worker,
)
from shootplan.plan import solve
from shootplan.plan.cp_sat import Limits, Model
from shootplan.plan.fixed_order import fixed_order
from shootplan.plan.groups import Item
from shootplan.plan.verify import verify
from shootplan.problems import InfeasiblePlan

FEW = settings(max_examples=40, derandomize=True, deadline=None)


@st.composite
def tiny(draw: st.DrawFn) -> PlanInput:
    """Return three to five pieces of work of whole seconds with one cook, a ring or two, and a few limits."""
    count = draw(st.integers(3, 5))
    activities = []
    for k in range(count):
        is_hands = draw(st.booleans())
        long_s = draw(st.integers(1, 4))
        activities.append(
            Activity(
                id=str(k),
                kind=ActivityKind.HANDS if is_hands else ActivityKind.LEAVE,
                short_s=draw(st.integers(1, long_s)),
                long_s=long_s,
                workers=("cook",) if is_hands else (),
                needs=(("ring", 1),) if draw(st.booleans()) else (),
            )
        )
    pairs = [(a, b) for b in range(count) for a in range(b)]
    chosen = draw(st.lists(st.sampled_from(pairs), unique=True, max_size=4))
    lags = [Lag(predecessor=str(a), successor=str(b), at_most_s=draw(st.sampled_from((None, 0, 2)))) for a, b in chosen]
    return PlanInput(
        activities=tuple(activities),
        lags=tuple(lags),
        resources=(Resource(id="ring", capacity=draw(st.integers(1, 2)), label="ring"),),
        workers=(Worker(name="cook"),),
    )


def _at(plan_input: PlanInput, starts: tuple[int, ...]) -> Schedule:
    return Schedule(
        assignments=tuple(
            Assignment(
                activity=item.id,
                pieces=((start, start + item.long_s),),
                worker=item.workers[0] if item.workers else "",
            )
            for item, start in zip(plan_input.activities, starts, strict=True)
        )
    )


def brute_force(plan_input: PlanInput) -> int | None:
    """Return the shortest makespan by trying every start within the sum of all lengths, by plain arithmetic."""
    horizon = sum(item.long_s for item in plan_input.activities)
    ranges = [range(horizon - item.long_s + 1) for item in plan_input.activities]
    best = None
    for starts in itertools.product(*ranges):
        end = max(s + item.long_s for s, item in zip(starts, plan_input.activities, strict=True))
        if (best is None or end < best) and _is_kept(plan_input, starts):
            best = end
    return best


def _is_kept(plan_input: PlanInput, starts: tuple[int, ...]) -> bool:
    ends = {a.id: s + a.long_s for a, s in zip(plan_input.activities, starts, strict=True)}
    begins = {a.id: s for a, s in zip(plan_input.activities, starts, strict=True)}
    for lag in plan_input.lags:
        wait = begins[lag.successor] - ends[lag.predecessor]
        if wait < 0 or (lag.at_most_s is not None and wait > lag.at_most_s):
            return False
    capacity = plan_input.resources[0].capacity
    for second in range(max(ends.values())):
        running = [a for a in plan_input.activities if begins[a.id] <= second < ends[a.id]]
        if sum(bool(a.workers) for a in running) > 1 or sum(bool(a.needs) for a in running) > capacity:
            return False
    return True


@given(tiny())
@FEW
def test_the_plan_is_as_short_as_trying_everything(plan_input: PlanInput) -> None:
    """On tiny inputs every start is tried; the planner proves the same length, or that there is none."""
    assume(sum(item.long_s for item in plan_input.activities) <= 13)
    shortest = brute_force(plan_input)
    if shortest is None:
        try:
            result = solve(plan_input)
        except InfeasiblePlan as error:
            assert error.conflicts
            return
        # Waiting beyond the sum of all lengths may be needed only where limits pull apart: then it is longer.
        assert result.schedule is not None
        assert result.schedule.makespan_s > sum(item.long_s for item in plan_input.activities)
        return
    result = solve(plan_input)
    assert result.status is SolveStatus.OPTIMAL
    assert result.schedule is not None
    assert result.schedule.makespan_s == shortest == result.bound_s


@st.composite
def kitchens(draw: st.DrawFn) -> PlanInput:
    """Return a small day of two dishes with look-ins, breakable work, ranges and two people."""
    activities, lags = [], []
    for dish in ("a", "b"):
        previous = None
        for k in range(draw(st.integers(2, 4))):
            is_hands = draw(st.booleans())
            long_s = 60 * draw(st.integers(1, 12))
            name = f"{dish}{k}"
            activities.append(
                Activity(
                    id=name,
                    kind=ActivityKind.HANDS if is_hands else ActivityKind.LEAVE,
                    short_s=60 * draw(st.integers(1, long_s // 60)),
                    long_s=long_s,
                    recipe=dish,
                    workers=("host", "helper")[: draw(st.integers(1, 2))],
                    needs=(("ring", 1),) if draw(st.booleans()) else (),
                    look_in=None if is_hands or not draw(st.booleans()) else LookInTask(every_s=180, for_s=60),
                    is_pausable=is_hands and draw(st.booleans()),
                )
            )
            if previous is not None:
                lags.append(Lag(predecessor=previous, successor=name, at_most_s=draw(st.sampled_from((None, 300)))))
            previous = name
    return PlanInput(
        activities=tuple(activities),
        lags=tuple(lags),
        resources=(Resource(id="ring", capacity=1, label="ring"),),
        workers=(Worker(name="host"), Worker(name="helper")),
    )


def _solved(plan_input: PlanInput) -> Schedule:
    try:
        result = solve(plan_input)
    except InfeasiblePlan:
        assume(False)
        raise
    assert result.schedule is not None
    return result.schedule


@given(kitchens())
@FEW
def test_every_plan_passes_the_verifier_at_both_ends(plan_input: PlanInput) -> None:
    """The verifier knows no solver; the same plan run short keeps its rules too or is not offered."""
    schedule = _solved(plan_input)
    assert verify(plan_input, schedule) == ()
    short = fixed_order(plan_input, schedule)
    if short is not None:
        assert verify(plan_input, short, is_short=True) == ()
        assert short.makespan_s <= schedule.makespan_s


@given(kitchens())
@settings(max_examples=15, derandomize=True, deadline=None)
def test_the_same_input_gives_the_same_plan(plan_input: PlanInput) -> None:
    """Fixed seed, one worker, deterministic limits."""
    assert _solved(plan_input) == _solved(plan_input)


@given(kitchens())
@FEW
def test_no_plan_is_told_that_is_shorter_than_the_one_given(plan_input: PlanInput) -> None:
    """What is said while planning are plans at the long ends, never the shorter days of the short ends."""
    told: list[str] = []
    try:
        schedule = solve(plan_input, progress=told.append).schedule
    except InfeasiblePlan:
        return
    assert schedule is not None
    assert all(int(word) >= schedule.makespan_s // 60 for words in told for word in words.split() if word.isdigit())


@given(kitchens(), st.data())
@FEW
def test_a_damaged_plan_is_rejected(plan_input: PlanInput, data: st.DataObject) -> None:
    """Cut short, made longer, dropped, doubled, taken from its worker, given to a stranger, or begun before zero."""
    schedule = _solved(plan_input)
    victim = data.draw(st.sampled_from(schedule.assignments))
    start, end = victim.pieces[-1]
    damages: dict[str, tuple[Assignment, ...]] = {
        "cut short": (replace(victim, pieces=(*victim.pieces[:-1], (start, end - 1))),),
        "made longer": (replace(victim, pieces=(*victim.pieces[:-1], (start, end + 1))),),
        "dropped": (),
        "doubled": (victim, victim),
        "given to a stranger": (replace(victim, worker="nobody we know"),),
        "begun before zero": (replace(victim, pieces=((victim.start_s - 10**6, victim.end_s - 10**6),)),),
    }
    if victim.worker:
        damages["taken from its worker"] = (replace(victim, worker=""),)
    kind = data.draw(st.sampled_from(sorted(damages)))
    changed = [item for item in schedule.assignments if item is not victim] + list(damages[kind])
    assert verify(plan_input, Schedule(assignments=tuple(changed))), kind


@given(kitchens())
@FEW
def test_one_rule_more_never_makes_the_day_shorter(plan_input: PlanInput) -> None:
    """Putting the second dish after the first cannot win time against leaving them free."""
    free = _solved(plan_input)
    last = [item.id for item in plan_input.activities if item.recipe == "a"][-1]
    bound = replace(plan_input, lags=(*plan_input.lags, Lag(predecessor=last, successor="b0")))
    assert _solved(bound).makespan_s >= free.makespan_s


class _AllOpen(Model):
    """A model that leaves the order of every two pieces of work to the solver."""

    def known_order(self, one: Item, other: Item) -> None:
        """Know nothing."""


@FEW
@given(tiny(), st.booleans())
def test_orders_that_are_known_leave_the_best_short_end_as_it_is(plan_input: PlanInput, has_helper: bool) -> None:
    """Work whose order leaves no choice at one end is ordered so at both, and nothing is lost by that."""
    if has_helper:
        both = tuple(
            replace(item, workers=("cook", "helper")) if item.workers else item for item in plan_input.activities
        )
        plan_input = replace(plan_input, activities=both, workers=(Worker(name="cook"), Worker(name="helper")))
    try:
        found = solve(plan_input).schedule
    except InfeasiblePlan:
        assume(False)
    assert found is not None
    values = []
    for kind in (Model, _AllOpen):
        model = kind(plan_input, 0, found.makespan_s, is_pooled=False)
        model.share_orders(0)
        model.shortest(is_short=True)
        outcome = model.solve(Limits(budget=1.0))
        values.append((outcome.status, outcome.value))
    assert values[0] == values[1]
