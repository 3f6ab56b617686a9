"""Fewer re-rigs for a later wrap: worked by hand, within every limit on the wrap, and what a filmed plan is worth."""

from __future__ import annotations

from dataclasses import replace

import pytest

from shootplan.model.planning import PlanInput, SolveStatus
from shootplan.plan.cp_sat import Model
from shootplan.plan.film_planner import FilmedPlan, rerig_count, solve_filmed
from shootplan.plan.film_trade import fewer_rerigs, served_at, times_set_up
from shootplan.plan.verify import verify
from tests.film_helpers import after, day, left, meal, shot

MIN = 60


def soup(toast: int, **fields: object) -> PlanInput:
    """
    Return a day: chop 2 (over), a pot of 20, serve 2 (over); toast of some minutes (hob) at any time before serving.

    Early: chop 0-2, re-rig to 10, toast, re-rig to 18 + toast, serve 22-24: two re-rigs. With one: toast, re-rig 8,
    chop 2, pot 20, serve 2: 32 + toast.
    """
    shots = (shot("chop", 2, "over"), left("pot", 20), shot("toast", toast, "hob"), shot("serve", 2, "over"))
    lags = (after("chop", "pot"), after("pot", "serve"), after("toast", "serve"))
    return day(*shots, lags=lags, heroes=("serve",), **fields)


def planned(plan_input: PlanInput) -> FilmedPlan:
    """Return the filmed plan: wrap 24, two re-rigs, both proven."""
    found, result = solve_filmed(plan_input, aims=("rerigs",))
    assert result.schedule is not None
    assert (result.schedule.makespan_s // MIN, rerig_count(found, result.schedule)) == (24, 2)
    return FilmedPlan(plan_input=found, result=result)


@pytest.mark.parametrize(
    ("toast", "within", "expected"),
    [(1, 10, (33, 1)), (1, 8, (24, 2)), (3, 10, (24, 2)), (3, 20, (35, 1)), (3, 11, (35, 1)), (4, 60, (36, 1))],
)
def test_one_re_rig_is_saved_where_the_wrap_may_be_later(toast: int, within: int, expected: tuple[int, int]) -> None:
    """Toast of 1 min: 33, nine later. Of 3: 35, eleven later; of 4: 36, however late it might be. All is proven."""
    plan = planned(soup(toast))
    found = fewer_rerigs(plan, within * MIN)
    assert found.schedule is not None
    assert verify(plan.plan_input, found.schedule) == ()
    assert (found.schedule.makespan_s // MIN, rerig_count(plan.plan_input, found.schedule)) == expected
    assert [phase.is_proven for phase in found.phases] == [True, True]
    assert [phase.value for phase in found.phases] == [expected[1], expected[0] * MIN]
    assert (found.status is SolveStatus.OPTIMAL) == (expected[0] == 24)
    assert found.bound_s == 24 * MIN


def test_no_limit_of_the_day_is_passed_for_a_re_rig() -> None:
    """With a latest wrap at 32, or a meal due after 32 that the short day does not need, 33 is too late."""
    plan = planned(soup(1))
    assert rerigs_of(plan, 20, latest_s=32 * MIN) == 2
    assert rerigs_of(plan, 20, latest_s=33 * MIN) == 1
    hungry = planned(soup(1, meal=meal(30, 32, 10)))
    assert rerigs_of(hungry, 20) == 2
    assert [phase.is_proven for phase in fewer_rerigs(hungry, 20 * MIN).phases] == [False, True]
    assert rerigs_of(planned(soup(1, meal=meal(30, 33, 10))), 20) == 1


def rerigs_of(plan: FilmedPlan, within: int, latest_s: int | None = None) -> int:
    """Return the fewest re-rigs found."""
    schedule = fewer_rerigs(plan, within * MIN, latest_s=latest_s).schedule
    assert schedule is not None
    assert verify(plan.plan_input, schedule) == ()
    return rerig_count(plan.plan_input, schedule)


def test_what_is_proven_of_every_day_is_not_looked_for_again(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where no day at all has fewer re-rigs than two, no later wrap can save one, and the solver is not asked."""
    plan = planned(soup(1))
    known = replace(plan, result=replace(plan.result, least_rerigs=2))

    def refused(*_: object) -> None:
        raise AssertionError("the solver was asked")

    monkeypatch.setattr(Model, "solve", refused)
    found = fewer_rerigs(known, 20 * MIN)
    assert found.schedule == plan.result.schedule
    assert [(phase.value, phase.is_proven) for phase in found.phases] == [(2, True), (24 * MIN, True)]


def test_a_day_too_large_to_count_claims_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the model that counts re-rigs would be too large the planned day is given, unproven."""
    plan = planned(soup(1))
    monkeypatch.setattr("shootplan.plan.film_trade.is_countable", lambda _: False)
    found = fewer_rerigs(replace(plan, result=replace(plan.result, least_rerigs=0)), 20 * MIN)
    assert found.schedule == plan.result.schedule
    assert [phase.is_proven for phase in found.phases] == [False, True]


def test_the_same_is_found_every_time() -> None:
    """Two runs give the same plan to the second."""
    plan = planned(soup(3))
    assert fewer_rerigs(plan, 20 * MIN) == fewer_rerigs(plan, 20 * MIN)


def test_set_ups_and_serving_are_read_off_the_schedule() -> None:
    """Early: over, hob, over, served at 22; with one re-rig: hob, over, served at 33."""
    plan = planned(soup(3))
    schedule, later = plan.result.schedule, fewer_rerigs(plan, 20 * MIN).schedule
    assert schedule is not None and later is not None
    assert times_set_up(plan.plan_input, schedule) == (("over", 2), ("hob", 1))
    assert served_at(plan.plan_input, schedule) == (("dish", 22 * MIN),)
    assert times_set_up(plan.plan_input, later) == (("hob", 1), ("over", 1))
    assert served_at(plan.plan_input, later) == (("dish", 33 * MIN),)


def test_without_a_plan_there_is_nothing_to_compare() -> None:
    """A result without a schedule is refused."""
    plan = planned(soup(1))
    with pytest.raises(ValueError, match="no plan to compare with"):
        fewer_rerigs(replace(plan, result=replace(plan.result, schedule=None)), 600)
