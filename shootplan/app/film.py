"""
The use case of the filmed day: cameras, re-rigs, takes, the meal, beside the cook-through of the kitchen clock.

A loaded episode comes in, a ``FilmedDay`` goes out; one line per stage, and nothing is printed here.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from shootplan.app import Loaded, Solver
from shootplan.model.filmed_day import FilmedDay
from shootplan.model.resolved import ResolvedEpisode
from shootplan.problems import OutOfTime

if TYPE_CHECKING:
    from shootplan.plan.film_planner import FilmedPlan

__all__ = ["film", "filmed_day", "filmed_plan"]

#: Waits of the camera shorter than this are no use to anybody.
_LEAST_GAP_S = 5 * 60


def film(
    loaded: Loaded,
    *,
    aims: Sequence[str] = ("rerigs",),
    budget: float | None = None,
    workers: int = 1,
    progress: Callable[[str], None] | None = None,
) -> FilmedDay:
    """
    Return the filmed day as it is planned: shortest wrap first, then what ``aims`` ask, in order.

    Parameters
    ----------
    loaded
        The episode.
    aims
        Keys of ``plan.film_planner.AIMS``: "rerigs", "camera", "fresh".
    budget
        Deterministic time units of the solver, ``None`` for the usual.
    workers
        Solver threads; more than one is not repeatable.
    progress
        Called with a few words as plans are found.

    Raises
    ------
    InfeasiblePlan
        If no schedule keeps all rules, the latest wrap included.
    """
    solver = Solver(progress=progress, workers=workers)
    return filmed_day(loaded, filmed_plan(loaded.resolved, solver, aims=aims, budget=budget))


def filmed_day(loaded: Loaded, planned: FilmedPlan) -> FilmedDay:
    """
    Return everything that is read off a filmed plan.

    Raises
    ------
    OutOfTime
        If it has no schedule.
    """
    from shootplan.plan.chain import critical_chain, slack
    from shootplan.plan.day import equipment_peaks, steps_by_clock
    from shootplan.plan.film_gaps import camera_gaps, stretches_of
    from shootplan.plan.film_orders import day_parts, recordings_of
    from shootplan.plan.film_readings import standing, takes_in_time, untaken_shots

    plan_input, schedule = planned.plan_input, planned.result.schedule
    if schedule is None:
        raise OutOfTime("give --time-limit more, and let the search run to its end")
    room = slack(plan_input, schedule)
    return FilmedDay(
        plan_input=plan_input,
        result=planned.result,
        rows=tuple(replace(row, slack_s=room[row.activities[0]]) for row in steps_by_clock(plan_input, schedule)),
        peaks=equipment_peaks(plan_input, schedule),
        recordings=recordings_of(plan_input, schedule),
        parts=day_parts(plan_input, schedule, strike_s=loaded.episode.kitchen.strike_s),
        pick_ups=planned.pick_ups,
        chain=critical_chain(plan_input, schedule),
        stretches=stretches_of(plan_input, schedule, strike_s=loaded.episode.kitchen.strike_s),
        gaps=camera_gaps(plan_input, schedule, least_s=_LEAST_GAP_S),
        takes=takes_in_time(loaded.resolved, plan_input, schedule),
        untaken=untaken_shots(loaded.resolved, plan_input),
        standing=standing(plan_input, schedule),
    )


def filmed_plan(
    resolved: ResolvedEpisode, solver: Solver, *, aims: Sequence[str] = ("rerigs",), budget: float | None = None
) -> FilmedPlan:
    """
    Return the filmed plan of an episode, as ``plan_filmed_day`` does, kept between runs as every plan is.

    Raises
    ------
    InfeasiblePlan
        If no schedule keeps all rules, the latest wrap included.
    """
    from shootplan.plan.film_planner import FILM_BUDGET, plan_filmed_day

    return plan_filmed_day(
        resolved,
        aims=aims,
        budget=budget or FILM_BUDGET,
        workers=solver.workers,
        progress=solver.progress,
        keep=solver.keep,
    )
