"""
A filmed day that may take a little longer for fewer re-rigs, and what a filmed plan is worth beside another.

A ``FilmedPlan`` comes in, another in which the cameras are moved less goes out, or the proof that there is none.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from itertools import groupby
from typing import TYPE_CHECKING

from shootplan.model.filming import SolvePhase
from shootplan.model.planning import PlanInput, Schedule, SolveResult, SolveStatus
from shootplan.plan.film_orders import recordings_of
from shootplan.plan.film_planner import AIMS, FilmedPlan, is_countable, rerig_count
from shootplan.plan.fixed_order import fixed_order
from shootplan.plan.graph import Ends
from shootplan.plan.keeping import Keep, made_anew
from shootplan.plan.planner import heats_late, is_sound
from shootplan.plan.verify import verify

if TYPE_CHECKING:
    from shootplan.plan.cp_sat import Outcome

__all__ = ["TRADE_BUDGET", "WITH_SO_FEW", "fewer_rerigs", "served_at", "times_set_up"]

#: What the last phase of a plan with fewer re-rigs is called.
WITH_SO_FEW = "wrap with so few re-rigs"
#: Deterministic time units for one limit on the wrap; half of them prove, the rest find and shorten.
TRADE_BUDGET = 6.0
_PROOF, _SEARCH, _SHORTEN = 0.5, 0.2, 0.3


def fewer_rerigs(
    plan: FilmedPlan,
    within_s: int,
    *,
    latest_s: int | None = None,
    budget: float = TRADE_BUDGET,
    workers: int = 1,
    progress: Callable[[str], None] | None = None,
    keep: Keep = made_anew,
) -> SolveResult:
    """
    Return the plan with the fewest re-rigs that wraps so much later at most, and of those the shortest.

    Parameters
    ----------
    plan
        The filmed day as it is planned.
    within_s
        Seconds by which its wrap may be exceeded.
    latest_s
        Seconds from call to the latest wrap, the strike not in them; ``None`` for none.
    budget
        Deterministic time units of the solver.
    workers
        Solver threads.
    progress
        Called with a few words.
    keep
        Where what was solved is kept for another run.

    Returns
    -------
    SolveResult
        Its phases are the re-rigs and the wrap, each with its proof: that no plan within the limit has fewer, and that
        none with so few wraps earlier; its status and bound are of any plan, as ever. Where no fewer are found it has
        the plan's own schedule. A day that becomes so long that a meal is due which the plan does not have is not
        looked at.

    Raises
    ------
    ValueError
        If the plan has no schedule.
    RuntimeError
        If a plan breaks a rule: a bug of ours.
    """
    schedule = plan.result.schedule
    if schedule is None:
        raise ValueError("there is no plan to compare with")
    asked_s = min(schedule.makespan_s + within_s, latest_s or schedule.makespan_s + within_s)
    most_s = max(schedule.makespan_s, min(asked_s, _meal_due_s(plan.plan_input, asked_s)))
    run = _Run(plan, most_s, budget, workers, is_cut=most_s < asked_s)
    if progress is not None:
        progress("looking for fewer re-rigs")
    known = f"{plan.result.bound_s} {plan.result.least_rerigs} {schedule!r}"
    settings = f"fewer re-rigs {most_s} of {asked_s} {budget} from {known}"
    return keep(plan.plan_input, settings, run.solve, lambda found: is_sound(plan.plan_input, found))


def _meal_due_s(plan_input: PlanInput, otherwise_s: int) -> int:
    """Return how long a day may be before a meal falls due that the plan does not have."""
    rule = plan_input.meal
    return rule.within_s if rule is not None and not rule.activity else otherwise_s


class _Run:
    """
    The fewest re-rigs, then the shortest day with so few.

    ``is_cut`` is that longer days were allowed but have a meal, of which nothing is proven here.
    """

    def __init__(self, plan: FilmedPlan, most_s: int, budget: float, workers: int, *, is_cut: bool) -> None:
        assert plan.result.schedule is not None
        self._input = plan.plan_input
        self._first = plan.result.schedule
        self._least = plan.result.least_rerigs
        self._bound_s = min(plan.result.bound_s, self._first.makespan_s)
        self._most_s = most_s
        self._budget = budget
        self._workers = workers
        self._is_cut = is_cut
        self._is_stopped = False

    def solve(self) -> SolveResult:
        best, is_fewest = self._fewest()
        count = rerig_count(self._input, best)
        bound_s = self._bound_s
        if count < rerig_count(self._input, self._first):
            best, bound_s = self._shortest(best, count)
        best = self._early(best)
        is_shortest = best.makespan_s <= bound_s
        phases = (
            SolvePhase(name=AIMS["rerigs"], value=rerig_count(self._input, best), unit="", is_proven=is_fewest),
            SolvePhase(name=WITH_SO_FEW, value=best.makespan_s, unit="s", is_proven=is_shortest),
        )
        is_proven = best.makespan_s <= self._bound_s
        return SolveResult(
            status=SolveStatus.OPTIMAL if is_proven else SolveStatus.FEASIBLE,
            schedule=best,
            bound_s=min(self._bound_s, best.makespan_s),
            engine="cp-sat",
            phases=phases,
            is_stopped=self._is_stopped,
        )

    def _fewest(self) -> tuple[Schedule, bool]:
        """Return a plan within the limit and whether none has fewer re-rigs; the proof first, then more search."""
        best = self._first
        if rerig_count(self._input, best) <= self._least or not is_countable(self._input):
            return best, rerig_count(self._input, best) <= self._least
        for share, linearization in ((_PROOF, 1), (_SEARCH, 0)):
            outcome = self._asked(best, share, linearization)
            best = outcome.schedule or best
            if rerig_count(self._input, best) <= self._least:
                return best, True
            if outcome.status is SolveStatus.OPTIMAL:
                return best, not self._is_cut
        return best, False

    def _asked(self, best: Schedule, share: float, linearization: int, rerigs: int | None = None) -> Outcome:
        """Ask for the fewest re-rigs, or for the shortest day with so many at most."""
        from shootplan.plan.cp_sat import Limits, Model

        model = Model(self._input, self._bound_s, self._most_s if rerigs is None else best.makespan_s)
        model.hint(best)
        if rerigs is None:
            model.aim("rerigs", best)
        else:
            model.keep("rerigs", rerigs, best)
            model.shortest()
        outcome = model.solve(Limits(budget=share * self._budget, workers=self._workers, linearization=linearization))
        self._is_stopped = self._is_stopped or outcome.is_stopped
        return outcome

    def _shortest(self, best: Schedule, count: int) -> tuple[Schedule, int]:
        outcome = self._asked(best, _SHORTEN, 1, count)
        return outcome.schedule or best, max(self._bound_s, outcome.bound)

    def _early(self, best: Schedule) -> Schedule:
        """Move everything as early as its orders allow, heats as late as their bakes allow."""
        early = fixed_order(self._input, best, ends=Ends.LONG)
        if early is None or verify(self._input, early):
            raise RuntimeError("a sound plan cannot keep its own orders")
        return heats_late(self._input, early)


# ---------------------------------------------------------------------------------------------------- what it is worth


def times_set_up(plan_input: PlanInput, schedule: Schedule) -> tuple[tuple[str, int], ...]:
    """Return how often a camera is set up at each position, in the order of the first recording there."""
    found: Counter[str] = Counter()
    shots = recordings_of(plan_input, schedule)
    for camera in dict.fromkeys(shot.camera for shot in shots):
        own = (shot.position for shot in shots if shot.camera == camera)
        found.update(position for position, _ in groupby(own))
    return tuple((position, found[position]) for position in dict.fromkeys(shot.position for shot in shots))


def served_at(plan_input: PlanInput, schedule: Schedule) -> tuple[tuple[str, int], ...]:
    """Return when the serving of each dish begins, in seconds from call, in the order of the input."""
    recipes = {item.id: item.recipe for item in plan_input.activities}
    return tuple((recipes[name], schedule.of(name).start_s) for name in plan_input.heroes)
