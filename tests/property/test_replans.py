"""A seeded day goes wrong: after everything that happens the rest is planned anew, and never against what was."""

from __future__ import annotations

from day_simulator import Simulator
from hypothesis import given, settings
from hypothesis import strategies as st
from test_filmed_days import tiny_days
from test_plan_equipment import baking_days, pan_days
from test_plans import _solved, kitchens

from shootplan.model.planning import PlanInput
from shootplan.model.replanning import LogEvent, LogKind, RunState
from shootplan.plan.film_planner import solve_filmed
from shootplan.plan.replan import replan
from shootplan.plan.verify import verify
from shootplan.problems import InfeasiblePlan

MINUTE = 60


@given(kitchens(), st.integers(0, 10**6))
@settings(max_examples=25, derandomize=True, deadline=None)
def test_no_prefix_of_a_day_is_contradicted(plan_input: PlanInput, seed: int) -> None:
    """
    After every event of a random day: the past stands, the rest is sound, nothing lies before now, and a limit is
    overrun only where the planner proves that all of them cannot be kept.
    """
    Simulator(plan_input, _solved(plan_input), seed).play()


@given(baking_days(), st.integers(0, 10**6))
@settings(max_examples=20, derandomize=True, deadline=None)
def test_ovens_that_run_late_are_heated_as_they_are(plan_input: PlanInput, seed: int) -> None:
    """The same with two temperatures, shelves and a dial that is turned."""
    Simulator(plan_input, _solved(plan_input), seed, unit=1).play()


@given(pan_days(), st.integers(0, 10**6))
@settings(max_examples=20, derandomize=True, deadline=None)
def test_pans_in_use_stay_in_use(plan_input: PlanInput, seed: int) -> None:
    """The same with a pan that is held, washed, and a cook who goes away."""
    Simulator(plan_input, _solved(plan_input), seed, unit=1).play()


@given(tiny_days(), st.integers(0, 10**6))
@settings(max_examples=20, derandomize=True, deadline=None)
def test_the_camera_goes_on_from_where_it_stands(plan_input: PlanInput, seed: int) -> None:
    """The same on a filmed day: positions, re-rigs, an operator who cooks too, limits between shots."""
    filmed, result = solve_filmed(plan_input)
    assert result.schedule is not None
    Simulator(filmed, result.schedule, seed).play()


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
