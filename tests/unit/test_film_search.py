"""Large filmed days: dish by dish, stretch by stretch, and stopped by the user; every plan is sound."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from shootplan.model.planning import PlanInput, Schedule, SolveStatus
from shootplan.plan import film_planner
from shootplan.plan.cp_sat import Limits, Model, Outcome
from shootplan.plan.film_planner import solve_filmed
from shootplan.plan.film_search import fit_in_dishes, made_shorter
from shootplan.plan.verify import verify
from shootplan.problems import InfeasiblePlan
from tests.film_helpers import after, day, left, shot, work

#: Two dishes: overhead 4, hob 3 and a pot of 20 each, and a closing after both.
TWO = day(
    *(shot(f"{d} chop", 4, "over", recipe=d) for d in ("one", "two")),
    *(shot(f"{d} fry", 3, "hob", recipe=d) for d in ("one", "two")),
    *(left(f"{d} pot", 20, recipe=d) for d in ("one", "two")),
    shot("bye", 1, "over", recipe="closing"),
    lags=tuple(
        lag
        for d in ("one", "two")
        for lag in (after(f"{d} chop", f"{d} fry"), after(f"{d} fry", f"{d} pot", 5), after(f"{d} pot", "bye"))
    ),
)


def solve(plan_input: PlanInput, orders: list[tuple[str, str]], upper_s: int) -> Schedule | None:
    """Solve with orders kept."""
    model = Model(plan_input, 0, upper_s)
    model.in_order(orders)
    model.shortest()
    return model.solve(Limits(budget=0.5)).schedule


def test_dishes_fitted_in_one_after_the_other_make_a_sound_day() -> None:
    """
    Worked by hand: the first dish chops 0-4, moves, fries 12-15; the second is fitted in behind it.

    Chopping both first (0-8), frying both (16-22) ends at 42 + 1; the fallback may keep the first dish's place.
    """
    found = fit_in_dishes(TWO, solve)
    assert found is not None
    assert verify(TWO, found) == ()
    assert found.makespan_s >= 43 * 60


def test_a_stretch_made_anew_never_makes_the_day_longer() -> None:
    """From a clumsy plan (each dish after the other, 60 minutes and more) to the shortest: 8 + 8 + 6 + 20 + 1 = 43."""
    orders = [("one pot", "two chop")]
    clumsy = solve(TWO, orders, 200 * 60)
    assert clumsy is not None
    assert clumsy.makespan_s > 50 * 60
    better = made_shorter(TWO, clumsy, solve, least_s=0)
    assert verify(TWO, better) == ()
    assert better.makespan_s == 43 * 60


def test_a_dish_that_cannot_be_fitted_in_is_begun_after_all_others() -> None:
    """
    The solver finds the second dish only where it is told to begin at the end of the first.

    The first chops to 4, the camera moves to 12, it fries to 15, its pot goes on to 35; the second takes as long again.
    """
    made: list[Schedule] = []

    def only_after(plan_input: PlanInput, orders: list[tuple[str, str]], upper_s: int) -> Schedule | None:
        names = {item.id for item in plan_input.activities}
        if "two chop" in names and "bye" not in names and ("one pot", "two chop") not in orders:
            return None
        found = solve(plan_input, orders, upper_s)
        made.extend([found] if found is not None else [])
        return found

    found = fit_in_dishes(TWO, only_after)
    assert [plan.makespan_s // 60 for plan in made[:2]] == [35, 70]
    assert made[1].of("two chop").start_s >= made[1].of("one pot").end_s
    assert found is not None
    assert verify(TWO, found) == ()


def test_where_one_dish_does_not_fit_there_is_no_day() -> None:
    """The second dish cannot keep its limit at all."""
    broken = replace(TWO, lags=(*TWO.lags, after("two chop", "two fry", 2)))
    assert fit_in_dishes(broken, solve) is None


def test_a_day_for_which_the_solver_finds_nothing_is_made_dish_by_dish(monkeypatch: pytest.MonkeyPatch) -> None:
    """The whole day is "unknown", whatever is asked of it; its parts are solved as usual."""

    def unknown(*_: object, **__: object) -> Outcome:
        return Outcome(status=SolveStatus.UNKNOWN, schedule=None, bound=0, spent=1.0)

    monkeypatch.setattr(film_planner._Run, "_wrapped", unknown)
    monkeypatch.setattr(film_planner._Run, "_fewest", unknown)
    solved, result = solve_filmed(TWO)
    assert result.schedule is not None
    assert verify(solved, result.schedule) == ()


def test_the_last_look_proves_what_it_finds(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is easy, no dish is fitted in, no re-rig counted: the whole model finds 43 minutes and proves them."""
    usual = film_planner._Run._wrapped

    def last_only(
        self: Any, upper_s: int, phase: str, *, start: Schedule | None = None, most: int | None = None
    ) -> Outcome:
        if phase == "easy":
            return Outcome(status=SolveStatus.UNKNOWN, schedule=None, bound=0, spent=1.0)
        return usual(self, upper_s, phase, start=start, most=most)

    monkeypatch.setattr(film_planner._Run, "_wrapped", last_only)
    monkeypatch.setattr(film_planner._Run, "_dish_by_dish", lambda *_: None)
    monkeypatch.setattr(film_planner, "is_countable", lambda _: False)
    _, result = solve_filmed(TWO)
    assert result.schedule is not None
    assert (result.schedule.makespan_s, result.bound_s) == (43 * 60, 43 * 60)
    with pytest.raises(InfeasiblePlan, match=r"no plan ends by the latest wrap, 42 min after call.* 1 min over"):
        solve_filmed(TWO, latest_s=42 * 60)


@pytest.mark.parametrize("latest", [42, 43])
def test_what_is_not_easy_is_proven_by_its_set_ups(monkeypatch: pytest.MonkeyPatch, latest: int) -> None:
    """
    The plain model says nothing at first. 43 minutes are proven all the same, and 42 are one too few.

    What was found out about days of 42 minutes at most is forgotten when longer ones are looked at.
    """
    usual = film_planner._Run._wrapped

    def slow(self: Any, upper_s: int, phase: str, *, start: Schedule | None = None, most: int | None = None) -> Outcome:
        if phase == "easy":
            return Outcome(status=SolveStatus.UNKNOWN, schedule=None, bound=0, spent=1.0)
        return usual(self, upper_s, phase, start=start, most=most)

    monkeypatch.setattr(film_planner._Run, "_wrapped", slow)
    if latest < 43:
        with pytest.raises(InfeasiblePlan, match=r"no plan ends by the latest wrap, 42 min after call.* 1 min over"):
            solve_filmed(TWO, aims=("rerigs",), latest_s=latest * 60)
        return
    _, result = solve_filmed(TWO, aims=("rerigs",), latest_s=latest * 60)
    assert result.bound_s == 43 * 60
    assert [(phase.value, phase.is_proven) for phase in result.phases] == [(43 * 60, True), (2, True)]


def test_what_the_user_stops_ends_with_the_best_plan_so_far(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl-C ends the solver's search; the plan found is kept, later phases take next to no time, nothing is proven."""
    usual = Model.solve
    budgets: list[float] = []

    def stopped(self: Model, limits: Limits, progress: object = None) -> Outcome:
        budgets.append(limits.budget)
        return replace(usual(self, limits), status=SolveStatus.FEASIBLE, bound=0, is_stopped=True)

    monkeypatch.setattr(Model, "solve", stopped)
    solved, result = solve_filmed(TWO, aims=("rerigs",))
    assert result.schedule is not None
    assert verify(solved, result.schedule) == ()
    assert budgets[0] > 0.1
    assert set(budgets[1:]) == {0.01}
    assert not any(phase.is_proven for phase in result.phases if phase.name != "wrap")


def test_unfilmed_work_may_be_anybodys() -> None:
    """A day without any shot is planned as well, with no re-rig."""
    _, result = solve_filmed(day(work("a", 3), work("b", 4)), aims=("rerigs", "camera", "fresh"))
    assert result.schedule is not None
    assert result.schedule.makespan_s == 7 * 60
