"""A seeded day goes wrong: after everything that happens the rest is planned anew, and never against what was."""

from __future__ import annotations

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_filmed_days import tiny_days
from test_plan_equipment import baking_days, pan_days
from test_plans import _solved, kitchens

from shootplan.model.planning import PlanInput, Schedule
from shootplan.model.replanning import LogEvent, LogKind, Replan, RunState
from shootplan.plan import solve
from shootplan.plan.film_planner import solve_filmed
from shootplan.plan.replan import replan
from shootplan.plan.verify import verify
from shootplan.problems import InfeasiblePlan

MINUTE = 60


class Simulator:
    """Follows the latest plan; every piece of work takes a random time between its shortest and twice its longest."""

    def __init__(self, plan_input: PlanInput, schedule: Schedule, seed: int, unit: int) -> None:
        self.unit = unit
        self.input, self.first = plan_input, schedule
        self.chance = random.Random(seed)
        self.plan = schedule
        self.events: list[LogEvent] = []
        self.begun: dict[str, int] = {}
        self.ends: dict[str, int] = {}
        self.now_s = 0

    def play(self) -> None:
        for _ in range(20 * len(self.input.activities) + 20):
            if not self.step():
                return
        raise AssertionError("the day never ends")

    def step(self) -> bool:
        answer = replan(self.input, self.plan, self.events, now_s=self.now_s)
        self.check(answer)
        self.plan = answer.schedule
        if all(state is RunState.DONE for _, state in answer.states):
            return False
        for item in answer.schedule.assignments:
            if item.activity not in self.begun and item.start_s <= self.now_s and self.may_begin(item.activity):
                self.begin(item.activity)
        starts = [item.start_s for item in answer.schedule.assignments if item.activity not in self.begun]
        ahead = [start for start in starts if start > self.now_s]
        running = [end for name, end in self.ends.items() if name not in self.done()]
        self.now_s = max(self.now_s, min([*ahead, *running], default=self.now_s))
        for name, end in sorted(self.ends.items()):
            if end <= self.now_s and name not in self.done():
                self.events.append(LogEvent(kind=LogKind.DONE, run=name, at_s=end))
        return True

    def done(self) -> set[str]:
        return {event.run for event in self.events if event.kind is LogKind.DONE}

    def may_begin(self, name: str) -> bool:
        """Nobody begins what waits for something that still runs, though it was planned to be over."""
        waits = [lag.predecessor for lag in self.input.lags if lag.successor == name]
        waits += [item.oven.heat for item in self.input.activities if item.id == name and item.oven and item.oven.heat]
        return set(waits) <= self.done()

    def begin(self, name: str) -> None:
        activity = next(item for item in self.input.activities if item.id == name)
        least, most = activity.short_s // self.unit, 2 * activity.long_s // self.unit
        self.begun[name] = self.now_s
        self.ends[name] = self.now_s + self.unit * self.chance.randint(least, max(least, most))
        self.events.append(LogEvent(kind=LogKind.BEGUN, run=name, at_s=self.now_s))

    def check(self, answer: Replan) -> None:
        assert verify(answer.rest, answer.rest_schedule) == ()
        for name, start_s in self.begun.items():
            item = answer.schedule.of(name)
            assert item.start_s == start_s
            if name in self.done():
                assert item.end_s == self.ends[name]
            else:
                assert item.end_s > self.now_s
        for item in answer.schedule.assignments:
            if item.activity not in self.begun:
                assert item.start_s >= self.now_s
        if answer.broken:
            rest = strict_rest(self.input, self.events, self.plan, self.now_s)
            with pytest.raises(InfeasiblePlan):
                _ = solve_filmed(rest) if rest.cameras else solve(rest)


def strict_rest(plan_input: PlanInput, events: list[LogEvent], schedule: Schedule, now_s: int) -> PlanInput:
    from shootplan.plan.happened import happened
    from shootplan.plan.rest import rest_of

    return rest_of(plan_input, happened(plan_input, schedule, events, now_s), now_s).plan_input


@given(kitchens(), st.integers(0, 10**6))
@settings(max_examples=25, derandomize=True, deadline=None)
def test_no_prefix_of_a_day_is_contradicted(plan_input: PlanInput, seed: int) -> None:
    """
    After every event of a random day: the past stands, the rest is sound, nothing lies before now, and a limit is
    overrun only where the planner proves that all of them cannot be kept.
    """
    Simulator(plan_input, _solved(plan_input), seed, MINUTE).play()


@given(baking_days(), st.integers(0, 10**6))
@settings(max_examples=20, derandomize=True, deadline=None)
def test_ovens_that_run_late_are_heated_as_they_are(plan_input: PlanInput, seed: int) -> None:
    """The same with two temperatures, shelves and a dial that is turned."""
    Simulator(plan_input, _solved(plan_input), seed, 1).play()


@given(pan_days(), st.integers(0, 10**6))
@settings(max_examples=20, derandomize=True, deadline=None)
def test_pans_in_use_stay_in_use(plan_input: PlanInput, seed: int) -> None:
    """The same with a pan that is held, washed, and a cook who goes away."""
    Simulator(plan_input, _solved(plan_input), seed, 1).play()


@given(tiny_days(), st.integers(0, 10**6))
@settings(max_examples=20, derandomize=True, deadline=None)
def test_the_camera_goes_on_from_where_it_stands(plan_input: PlanInput, seed: int) -> None:
    """The same on a filmed day: positions, re-rigs, an operator who cooks too, limits between shots."""
    filmed, result = solve_filmed(plan_input)
    assert result.schedule is not None
    Simulator(filmed, result.schedule, seed, MINUTE).play()


@st.composite
def careless_logs(draw: st.DrawFn, plan_input: PlanInput, unit: int) -> list[LogEvent]:
    """Return what careless people tick: any words, of any step, at any time, in any order, several times."""
    names = st.sampled_from([item.id for item in plan_input.activities])
    most = 2 * sum(item.long_s for item in plan_input.activities) // unit
    events = st.builds(
        LogEvent,
        kind=st.sampled_from(LogKind),
        run=names,
        at_s=st.integers(-3, most).map(lambda count: count * unit),
        late_s=st.integers(0, 5).map(lambda count: count * unit),
    )
    return draw(st.lists(events, max_size=8))


@given(st.data())
@settings(max_examples=60, derandomize=True, deadline=None)
def test_whatever_is_ticked_there_is_a_sound_rest(data: st.DataObject) -> None:
    """
    However little sense a log makes, the rest is sound and lies ahead; only things that are physically stuck, each
    holding what the other needs, are refused, in words.
    """
    make, unit = data.draw(st.sampled_from(((kitchens, MINUTE), (baking_days, 1), (pan_days, 1), (tiny_days, MINUTE))))
    plan_input = data.draw(make())
    if plan_input.cameras:
        plan_input, result = solve_filmed(plan_input)
        assert result.schedule is not None
        plan = result.schedule
    else:
        plan = _solved(plan_input)
    events = data.draw(careless_logs(plan_input, unit))
    now_s = data.draw(st.integers(-3, 2 * plan.makespan_s // unit)) * unit
    try:
        answer = replan(plan_input, plan, events, now_s=now_s)
    except InfeasiblePlan as error:
        assert "holds" in str(error)
        return
    assert verify(answer.rest, answer.rest_schedule) == ()
    states = dict(answer.states)
    assert all(item.start_s >= now_s for item in answer.schedule.assignments if states[item.activity] is RunState.AHEAD)
    assert {item.activity for item in answer.schedule.assignments} == {item.id for item in plan_input.activities}
