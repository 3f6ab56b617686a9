"""
The shortest makespan of a plan too large for one model: a short look at the whole, then stretches, then the whole.

A ``PlanInput``, bounds and the best list schedule come in, a verdict with the shortest plan found goes out. The first
look proves what is easy to prove, the last one what stretches leave open.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from shootplan.model.planning import PlanInput, Schedule, SolveStatus
from shootplan.plan.cp_sat import Limits, Model, Outcome
from shootplan.plan.stretches import made_shorter

__all__ = ["shortest_of_large"]

#: The first look at the whole, in deterministic time units and as a share of all, and the share of the stretches.
_LOOK, _LOOK_SHARE = 0.07, 0.5
_STRETCHES_SHARE = 0.6
#: Only a look of more time units than this is worth simplifying the model first.
_LONG = 0.1


def shortest_of_large(
    plan_input: PlanInput,
    listed: Schedule | None,
    *,
    bound_s: int,
    upper_s: int,
    limits: Limits,
    tell: Callable[[str], None],
) -> Outcome:
    """
    Return the verdict on the shortest makespan, with nothing broken off.

    Parameters
    ----------
    plan_input
        The plan.
    listed
        The best schedule so far, if there is one.
    bound_s
        A lower bound on the makespan in seconds.
    upper_s
        The longest makespan to look at, in seconds; that of ``listed`` if there is one.
    limits
        The budget for all together, workers and seed.
    tell
        Called with a few words as plans are found.
    """
    look = limits if listed is None else replace(limits, budget=min(_LOOK, _LOOK_SHARE * limits.budget))
    first = _whole(plan_input, listed, bound_s, upper_s, replace(look, is_presolved=listed is None), tell)
    best = first.schedule or listed
    if first.status in (SolveStatus.OPTIMAL, SolveStatus.INFEASIBLE) or best is None or first.is_stopped:
        return first
    bound_s = max(bound_s, first.bound)
    on_stretches = replace(limits, budget=_STRETCHES_SHARE * limits.budget)
    shorter = made_shorter(plan_input, best, bound_s=bound_s, limits=on_stretches, tell=tell)
    best = shorter.schedule
    left = limits.budget - first.spent - shorter.spent
    status = SolveStatus.OPTIMAL if best.makespan_s <= bound_s else SolveStatus.FEASIBLE
    answer = replace(first, status=status, schedule=best, bound=bound_s, spent=first.spent + shorter.spent)
    if status is SolveStatus.OPTIMAL or shorter.is_stopped or left <= 0:
        return replace(answer, is_stopped=shorter.is_stopped)
    last = _whole(
        plan_input, best, bound_s, best.makespan_s, replace(limits, budget=left, is_presolved=left > _LONG), tell
    )
    return replace(
        last, schedule=last.schedule or best, bound=max(bound_s, last.bound), spent=answer.spent + last.spent
    )


def _whole(
    plan_input: PlanInput,
    known: Schedule | None,
    bound_s: int,
    upper_s: int,
    limits: Limits,
    tell: Callable[[str], None],
) -> Outcome:
    model = Model(plan_input, bound_s, upper_s)
    if known is not None:
        model.hint(known)
    model.shortest()
    return model.solve(limits, tell)
