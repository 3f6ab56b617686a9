"""Properties of running a fixed plan again: at the planned times it is the plan."""

from __future__ import annotations

from dataclasses import replace

import numpy
from hypothesis import assume, given, settings
from test_plans import tiny

from shootplan.model.planning import PlanInput
from shootplan.plan import solve
from shootplan.plan.fixed_order import fixed_order
from shootplan.plan.graph import Ends
from shootplan.plan.rerun import FixedPlan
from shootplan.problems import InfeasiblePlan

FEW = settings(max_examples=60, derandomize=True, deadline=None)


@FEW
@given(tiny())
def test_at_the_long_ends_the_run_is_the_plan(plan_input: PlanInput) -> None:
    """Every start is as planned and every limit is kept."""
    try:
        schedule = solve(plan_input).schedule
    except InfeasiblePlan:
        assume(False)
        return
    assert schedule is not None
    early = fixed_order(plan_input, schedule, ends=Ends.LONG)
    assert early is not None
    outcome = FixedPlan(plan_input, schedule).run(
        numpy.array([[item.long_s] for item in plan_input.activities], dtype=numpy.int64)
    )
    assert outcome.starts[:, 0].tolist() == [early.of(item.id).start_s for item in plan_input.activities]
    assert outcome.wrap[0] == early.makespan_s
    assert all(over[0] == 0 for over in outcome.over.values())


@FEW
@given(tiny())
def test_without_limits_the_run_at_the_short_ends_is_the_plan_there(plan_input: PlanInput) -> None:
    """With nothing to hold back for, foresight makes no difference; shorter times never wrap later."""
    free = replace(plan_input, lags=tuple(replace(lag, at_most_s=None) for lag in plan_input.lags))
    schedule = solve(free).schedule
    assert schedule is not None
    short = fixed_order(free, schedule, ends=Ends.SHORT)
    assert short is not None
    ends = numpy.array([[item.long_s, item.short_s] for item in free.activities], dtype=numpy.int64)
    outcome = FixedPlan(free, schedule).run(ends)
    assert outcome.starts[:, 1].tolist() == [short.of(item.id).start_s for item in free.activities]
    assert outcome.wrap[1] <= outcome.wrap[0]
    assert all((over == 0).all() for over in outcome.over.values())
