"""A filmed day planned again: orders carried over to a changed day, and what is said of a saving that is not proven."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from types import SimpleNamespace
from typing import Any

import pytest

from shootplan.model.clock import Range
from shootplan.model.money import Cost
from shootplan.model.planning import Schedule, SolveStatus
from shootplan.model.swaps import SwapPlan, SwapReport
from shootplan.plan import film_again
from shootplan.plan.film_again import carried_over, plan_again
from shootplan.plan.film_planner import FilmedPlan, solve_filmed
from shootplan.plan.verify import verify
from shootplan.problems import InfeasiblePlan
from shootplan.render.swaps_text import _remark, proof_text
from tests.film_helpers import after, day, left, shot, starts, work

MIN = 60
#: Chop 4 (over), a pot of 30, season 2 within 5 min of it, serve 3 (over): 4 + 30 + 2 + 3 = 39.
LAGS = (after("chop", "pot"), after("pot", "season", 5), after("season", "serve"))
LONG = day(shot("chop", 4, "over"), left("pot", 30), work("season", 2), shot("serve", 3, "over"), lags=LAGS)
#: The same with a pot that is ready: 9.
READY = day(shot("chop", 4, "over"), left("pot", 0), work("season", 2), shot("serve", 3, "over"), lags=LAGS)


def solved(plan_input: Any) -> FilmedPlan:
    """Return a day with its plan."""
    found, result = solve_filmed(plan_input)
    return FilmedPlan(plan_input=found, result=result)


def schedule_of(plan: FilmedPlan) -> Schedule:
    """Return the schedule, which must be there."""
    assert plan.result.schedule is not None
    return plan.result.schedule


def test_orders_are_carried_over_with_the_new_times() -> None:
    """The pot is ready at 4: season to 6, serve to 9."""
    before = schedule_of(solved(LONG))
    assert before.makespan_s == 39 * MIN
    found = carried_over(READY, before)
    assert found is not None
    assert verify(READY, found) == ()
    assert starts(found) == {"chop": 0, "pot": 4, "season": 4, "serve": 6}


def test_new_work_and_broken_limits_carry_nothing_over() -> None:
    """A duplicate that is made on the day has no place in the old plan; with serving before the pot nothing fits."""
    before = schedule_of(solved(LONG))
    assert carried_over(replace(READY, activities=(*READY.activities, work("more", 5))), before) is None
    turned = replace(READY, lags=(*READY.lags, after("serve", "pot")))
    assert (
        carried_over(replace(turned, lags=tuple(lag for lag in turned.lags if lag.predecessor != "season")), before)
        is None
    )


@pytest.mark.parametrize(
    ("status", "makespan_min", "bound_min", "expected"),
    [
        (SolveStatus.FEASIBLE, 20, 5, (9, SolveStatus.FEASIBLE)),
        (SolveStatus.FEASIBLE, 20, 9, (9, SolveStatus.OPTIMAL)),
        (SolveStatus.FEASIBLE, 9, 5, (9, SolveStatus.FEASIBLE)),
        (SolveStatus.UNKNOWN, None, 5, (9, SolveStatus.FEASIBLE)),
        (SolveStatus.OPTIMAL, 20, 20, (20, SolveStatus.OPTIMAL)),
    ],
)
def test_where_the_solver_proves_nothing_the_old_orders_are_tried(
    monkeypatch: pytest.MonkeyPatch,
    status: SolveStatus,
    makespan_min: int | None,
    bound_min: int,
    expected: tuple[int, SolveStatus],
) -> None:
    """A solver that finds 20 minutes, 9 or nothing: the 9 of the old orders are given unless it has proven its own."""
    before, right = solved(LONG), solved(READY)
    schedule = None
    if makespan_min is not None:
        late = makespan_min * MIN - 9 * MIN
        moved = [
            replace(item, pieces=((item.start_s + late, item.end_s + late),)) if item.activity == "serve" else item
            for item in schedule_of(right).assignments
        ]
        schedule = Schedule(assignments=tuple(moved))
    poor = replace(right.result, status=status, schedule=schedule, bound_s=bound_min * MIN)
    monkeypatch.setattr(film_again, "plan_filmed_day", lambda *_, **__: replace(right, result=poor))
    monkeypatch.setattr(film_again, "time_to_wrap", lambda _: None)
    resolved: Any = None
    found = plan_again(resolved, before, budget=1.0)
    assert (schedule_of(found).makespan_s // MIN, found.result.status) == expected


def report(wrap: int, bound: int, plan_wrap: int, plan_bound: int) -> tuple[SwapReport, SwapPlan]:
    """Return a report of one plan, in minutes."""
    plan = SwapPlan(
        keys=(),
        wrap_s=plan_wrap * MIN,
        saved_s=(wrap - plan_wrap) * MIN,
        cost=Cost(Fraction(1), "GBP"),
        hands=Range(0, 0),
        bound_s=plan_bound * MIN,
    )
    return SwapReport(wrap_s=wrap * MIN, bound_s=bound * MIN, is_proven=wrap == bound, steps=(), plans=(plan,)), plan


@pytest.mark.parametrize(
    ("minutes", "between", "words"),
    [
        ((100, 100, 80, 80), (20, 20), "proven"),
        ((100, 100, 80, 70), (20, 30), "not proven: 20 min to 30 min"),
        ((100, 90, 80, 80), (10, 20), "not proven: 10 min to 20 min"),
        ((100, 90, 95, 60), (-5, 40), "not proven: 40 min at most"),
        ((100, 90, 100, 100), (-10, 0), "proven: saves nothing"),
    ],
)
def test_what_is_saved_lies_between_the_bounds(
    minutes: tuple[int, int, int, int], between: tuple[int, int], words: str
) -> None:
    """
    Of days of 100 (none under 90) and 80 (none under 70): the true ones are 90-100 and 70-80 long.

    So it saves 90 - 80 at least and 100 - 70 at most.
    """
    told, plan = report(*minutes)
    assert told.saved_between_s(plan) == (between[0] * MIN, between[1] * MIN)
    assert proof_text(told, plan) == words


def test_a_row_says_where_other_shots_are_picked_up() -> None:
    """What is proven of it is proven with those; where they are the same nothing is said."""
    told, plan = report(100, 100, 80, 80)
    told = replace(told, is_filmed=True, pick_ups=3)
    assert _remark(told, replace(plan, pick_ups=3)) == "proven"
    other = replace(plan, pick_ups=3, has_other_pick_ups=True)
    assert _remark(told, other) == "proven with other shots picked up later: 3"


@pytest.mark.parametrize("may_pick_up", [True, False])
def test_where_no_day_has_the_same_pick_ups_they_are_looked_for_anew(
    monkeypatch: pytest.MonkeyPatch, may_pick_up: bool
) -> None:
    """The same pick-ups clash: others are looked for, with more time; where none may be there is no plan."""
    asked: list[tuple[object, float]] = []

    def planned(_: object, **told: Any) -> FilmedPlan:
        asked.append((told["pick_ups"], told["budget"]))
        assert not told["is_explained"]
        if told["pick_ups"] is not None:
            raise InfeasiblePlan(())
        return solved(READY)

    monkeypatch.setattr(film_again, "plan_filmed_day", planned)
    resolved: Any = SimpleNamespace(episode=SimpleNamespace(kitchen=SimpleNamespace(pick_ups=may_pick_up)))
    if may_pick_up:
        assert schedule_of(plan_again(resolved, solved(LONG), budget=1.0)).makespan_s == 9 * MIN
        assert asked == [((), 1.0), (None, 2.0)]
    else:
        with pytest.raises(InfeasiblePlan):
            plan_again(resolved, solved(LONG), budget=1.0)
        assert asked == [((), 1.0)]
