"""Properties of swap-outs: a duplicate in place of a wait never hurts, and helps by no more than the wait is long."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import assume, given, settings
from hypothesis import strategies as st
from test_plans import brute_force, tiny

from shootplan.model.planning import ActivityKind, PlanInput
from shootplan.plan import solve
from shootplan.plan.swaps import with_swaps

FEW = settings(max_examples=40, derandomize=True, deadline=None)


@st.composite
def tiny_with_a_wait(draw: st.DrawFn) -> tuple[PlanInput, str]:
    """Return a tiny plan and a step of it that is left alone."""
    plan_input = draw(tiny())
    named = replace(
        plan_input, activities=tuple(replace(item, recipe="dish", step=item.id) for item in plan_input.activities)
    )
    waits = [item.id for item in named.activities if item.kind is ActivityKind.LEAVE]
    assume(waits)
    return named, draw(st.sampled_from(waits))


@FEW
@given(tiny_with_a_wait())
def test_a_duplicate_gives_the_day_that_trying_every_start_finds(case: tuple[PlanInput, str]) -> None:
    """Against brute force on both sides: what is saved is the difference of the two, and never less than nothing."""
    plan_input, step = case
    swapped = with_swaps(plan_input, [("dish", step)])
    before, after = brute_force(plan_input), brute_force(swapped)
    assume(before is not None)
    assert before is not None and after is not None
    schedule = solve(swapped).schedule
    assert schedule is not None
    assert schedule.makespan_s == after
    assert after <= before


@FEW
@given(tiny_with_a_wait())
def test_without_limits_a_duplicate_saves_at_most_the_wait(case: tuple[PlanInput, str]) -> None:
    """Whatever is planned with the duplicate can be planned without it, everything later by the wait."""
    plan_input, step = case
    free = replace(plan_input, lags=tuple(replace(lag, at_most_s=None) for lag in plan_input.lags))
    wait = next(item.long_s for item in free.activities if item.id == step)
    with_it, without = solve(with_swaps(free, [("dish", step)])).schedule, solve(free).schedule
    assert with_it is not None and without is not None
    assert 0 <= without.makespan_s - with_it.makespan_s <= wait


@FEW
@given(tiny_with_a_wait())
def test_choosing_nothing_changes_nothing(case: tuple[PlanInput, str]) -> None:
    """No keys, or keys of other recipes, leave the plan as it is."""
    plan_input, step = case
    assert with_swaps(plan_input, []) == plan_input
    assert with_swaps(plan_input, [("other", step)]) == plan_input
