"""
A filmed day planned again after a change that left its work much as it was: with the same shots taken later.

A resolved episode and the plan from before the change come in, a ``FilmedPlan`` goes out. The solver looks for the
shortest day; where it does not prove that it has found it, the orders of the plan before are run with the new times.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from shootplan.model.filming import PickUp
from shootplan.model.planning import Assignment, PlanInput, Schedule, SolveStatus
from shootplan.model.resolved import ResolvedEpisode
from shootplan.plan.film_planner import FilmedPlan, plan_filmed_day, time_to_wrap
from shootplan.plan.fixed_order import fixed_order
from shootplan.plan.graph import Ends
from shootplan.plan.keeping import Keep, made_anew
from shootplan.plan.verify import verify
from shootplan.problems import InfeasiblePlan

__all__ = ["carried_over", "plan_again"]

#: How much longer it takes where pick-ups are looked for too.
_ANEW = 2


def plan_again(
    resolved: ResolvedEpisode,
    before: FilmedPlan,
    *,
    budget: float,
    workers: int = 1,
    progress: Callable[[str], None] | None = None,
    keep: Keep = made_anew,
) -> FilmedPlan:
    """
    Return the shortest filmed day that is found in which the same shots are picked up later as before.

    Where no day is possible so, they are looked for anew.

    Parameters
    ----------
    resolved
        The episode as it is now.
    before
        The plan from before the change.
    budget
        Deterministic time units of the solver.
    workers
        Solver threads.
    progress
        Called with a few words as plans are found.
    keep
        Where what was solved is kept for another run.

    Raises
    ------
    InfeasiblePlan
        If no plan keeps all rules; which ones clash is not looked for.
    """

    def planned(pick_ups: tuple[PickUp, ...] | None, budget: float) -> FilmedPlan:
        return plan_filmed_day(
            resolved,
            aims=(),
            budget=budget,
            workers=workers,
            progress=progress,
            pick_ups=pick_ups,
            keep=keep,
            is_explained=False,
        )

    try:
        found = planned(before.pick_ups, budget)
    except InfeasiblePlan:
        if not resolved.episode.kitchen.pick_ups:
            raise
        found = planned(None, _ANEW * budget)
    old, new = before.result.schedule, found.result.schedule
    if old is None or found.result.status is SolveStatus.OPTIMAL:
        return found
    latest_s = time_to_wrap(resolved)
    longest_s = new.makespan_s - 1 if new is not None else min(old.makespan_s, latest_s or old.makespan_s)
    start = carried_over(found.plan_input, old)
    if start is None or start.makespan_s > longest_s:
        return found
    status = SolveStatus.OPTIMAL if start.makespan_s <= found.result.bound_s else SolveStatus.FEASIBLE
    return replace(
        found, result=replace(found.result, status=status, schedule=start, short_schedule=None, notes=(), phases=())
    )


def carried_over(plan_input: PlanInput, before: Schedule) -> Schedule | None:
    """Return a sound schedule in the orders of another, ``None`` where they do not fit or some of the work is new."""
    for placed in _placed(plan_input, before):
        moved = fixed_order(plan_input, placed, ends=Ends.LONG)
        if moved is not None and not verify(plan_input, moved):
            return moved
    return None


def _placed(plan_input: PlanInput, before: Schedule) -> Iterator[Schedule]:
    """Yield the activities where they were; what takes no time any more at its old end, or at its old start."""
    known = {item.activity: item for item in before.assignments}
    if any(item.id not in known for item in plan_input.activities):
        return
    for is_end in (True, False):
        found = []
        for item in plan_input.activities:
            old = known[item.id]
            moment = old.end_s if is_end else old.start_s
            is_gone = not item.long_s and old.end_s > old.start_s
            found.append(Assignment(activity=item.id, pieces=((moment, moment),)) if is_gone else old)
        yield Schedule(assignments=tuple(found))
