"""
Filmed days that are too large to be proven: dishes fitted in one after the other, and stretches of a plan made anew.

A ``PlanInput`` and perhaps a schedule come in, a schedule goes out. Both keep most orders of a plan and leave a part
of it to the solver; small budgets, fixed seeds, so the same day gives the same plan.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from dataclasses import replace
from itertools import pairwise

from shootplan.model.planning import Activity, ActivityKind, PlanInput, Schedule
from shootplan.plan.film_tasks import CLOSING
from shootplan.plan.films import camera_work
from shootplan.plan.planner import horizon_of

__all__ = ["fit_in_dishes", "made_shorter"]

#: Stretches of the day that are made anew, in seconds, and how far the next one lies on.
_STRETCH_S = 50 * 60
_STEP_S = 25 * 60
#: How often the whole day is gone through.
_ROUNDS = 2

#: Solves a plan with some orders kept, in less than so many seconds; ``None`` if it finds none.
Solve = Callable[[PlanInput, list[tuple[str, str]], int], Schedule | None]


def fit_in_dishes(plan_input: PlanInput, solve: Solve) -> Schedule | None:
    """Return a plan made dish by dish, the orders of those before kept, or ``None`` where one does not fit."""
    names = list(dict.fromkeys(item.recipe for item in plan_input.activities if item.recipe != CLOSING))
    stages = [*names, CLOSING]
    schedule: Schedule | None = None
    for number in range(1, len(stages) + 1):
        part = _part(plan_input, set(stages[:number]) | {""})
        orders = list(_orders(part, schedule, {item.activity for item in schedule.assignments})) if schedule else []
        alone_s = horizon_of(_part(plan_input, {stages[number - 1], ""}))
        longest_s = horizon_of(part)
        soon_s = min(longest_s, alone_s + (schedule.makespan_s if schedule is not None else 0))
        after = _after_all(part, schedule) if schedule is not None else []
        tries = ((orders, soon_s), (orders + after, soon_s), (orders, longest_s))
        schedule = next((plan for kept, most_s in tries if (plan := solve(part, kept, most_s)) is not None), None)
        if schedule is None:
            return None
    return schedule


def _after_all(part: PlanInput, schedule: Schedule) -> list[tuple[str, str]]:
    """Return orders that put everything new after the end of a plan."""
    placed = {item.activity for item in schedule.assignments}
    last = max(schedule.assignments, key=lambda item: item.end_s).activity
    return [(last, item.id) for item in part.activities if item.id not in placed]


def made_shorter(plan_input: PlanInput, schedule: Schedule, solve: Solve, *, least_s: int) -> Schedule:
    """Return a plan no longer than ``schedule``: one stretch of the day after the other is left to the solver."""
    best = schedule
    for _ in range(_ROUNDS):
        start_s, before_s = 0, best.makespan_s
        while start_s < best.makespan_s and best.makespan_s > least_s:
            free = {item.activity for item in best.assignments if _lies_in(item.start_s, item.end_s, start_s)}
            kept = {item.activity for item in best.assignments} - free
            found = solve(plan_input, list(_orders(plan_input, best, kept)), best.makespan_s - 60)
            if found is not None and found.makespan_s < best.makespan_s:
                best = found
            start_s += _STEP_S
        if best.makespan_s == before_s:
            break
    return best


def _lies_in(start_s: int, end_s: int, from_s: int) -> bool:
    return start_s < from_s + _STRETCH_S and end_s > from_s


def _part(plan_input: PlanInput, recipes: Collection[str]) -> PlanInput:
    """Return the plan of some dishes alone."""
    activities = tuple(item for item in plan_input.activities if item.recipe in recipes)
    names = {item.id for item in activities}
    return replace(
        plan_input,
        activities=activities,
        lags=tuple(lag for lag in plan_input.lags if {lag.predecessor, lag.successor} <= names),
        day_rules=tuple(rule for rule in plan_input.day_rules if {rule.one, rule.other} <= names),
        occupations=tuple(held for held in plan_input.occupations if {held.first, held.last} <= names),
        heroes=tuple(name for name in plan_input.heroes if name in names),
    )


def _orders(plan_input: PlanInput, schedule: Schedule, kept: Collection[str]) -> Iterator[tuple[str, str]]:
    """Yield (before, after) of what each person does by hand and each camera records, among what is kept."""
    placed = {item.activity: item for item in schedule.assignments}

    def chained(items: list[Activity]) -> Iterator[tuple[str, str]]:
        own = [item for item in items if item.id in kept and item.id in placed and item.long_s]
        own.sort(key=lambda item: (placed[item.id].start_s, item.id))
        yield from pairwise(item.id for item in own)

    for worker in plan_input.workers:
        bound = (ActivityKind.HANDS, ActivityKind.WATCH)
        work = [item for item in plan_input.activities if item.kind in bound and item.workers == (worker.name,)]
        yield from chained(work)
    for work_of in camera_work(plan_input):
        yield from chained(list(work_of.shots))
