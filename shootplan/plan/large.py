"""
The shortest makespan of a plan too large for one model: a search over list schedules, stretches, looks at the whole.

A ``PlanInput``, bounds and the best list schedule come in, a verdict with the shortest plan found goes out. A short
look at the whole proves what is easy to prove, the last one what stretches leave open.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from shootplan.model.planning import PlanInput, Schedule, SolveStatus
from shootplan.plan.cp_sat import Limits, Model, Outcome
from shootplan.plan.list_search import searched
from shootplan.plan.stretches import made_shorter
from shootplan.plan.verify import verify
from shootplan.records import dataclass

__all__ = ["shortest_of_large"]

#: The first look at the whole, in deterministic time units and as the most of all that it may be.
_LOOK, _LOOK_SHARE = 0.1, 0.4
#: Only a look of more time units than this is worth simplifying the model first.
_LONG = 0.1
#: The most of all that the search may take, a placement being reckoned at so many time units, and how much longer plans
#: than the first one it looks at, in percent.
_SEARCH_SHARE, _PLACEMENT, _LONGER = 0.5, 1e-6, 30
#: What stretches may take of what a search and a look leave.
_STRETCHES_SHARE = 0.75


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
    run = _Large(plan_input, limits, tell, bound_s, upper_s, listed)
    return run.outcome()


@dataclass(slots=True)
class _Large:
    """The run: the best plan and bound so far, and the time units spent."""

    input: PlanInput
    limits: Limits
    tell: Callable[[str], None]
    bound_s: int
    upper_s: int
    best: Schedule | None
    spent: float = 0.0
    is_impossible: bool = False
    is_stopped: bool = False

    def outcome(self) -> Outcome:
        total = self.limits.budget
        self._search()
        if self._is_open():
            self._look(min(_LOOK, _LOOK_SHARE * total) if self.best is not None else total - self.spent)
        if self._is_open():
            self._shorten(_STRETCHES_SHARE * (total - self.spent))
        if self._is_open():
            self._look(total - self.spent)
        status = SolveStatus.UNKNOWN if self.best is None else SolveStatus.FEASIBLE
        if self.is_impossible or self._is_proven():
            status = SolveStatus.INFEASIBLE if self.is_impossible else SolveStatus.OPTIMAL
        return Outcome(
            status=status, schedule=self.best, bound=self.bound_s, spent=self.spent, is_stopped=self.is_stopped
        )

    def _is_open(self) -> bool:
        return not (self.is_impossible or self.is_stopped or self._is_proven())

    def _is_proven(self) -> bool:
        return self.best is not None and self.best.makespan_s <= self.bound_s

    def _look(self, budget: float) -> None:
        """Solve the model of the whole, from the best plan."""
        if budget <= 0:
            return
        upper_s = self.best.makespan_s if self.best is not None else self.upper_s
        model = Model(self.input, self.bound_s, upper_s)
        if self.best is not None:
            model.hint(self.best)
        model.shortest()
        found = model.solve(replace(self.limits, budget=budget, is_presolved=budget > _LONG), self.tell)
        self.spent += found.spent
        self.is_stopped = found.is_stopped
        self.is_impossible = found.status is SolveStatus.INFEASIBLE
        self.bound_s = max(self.bound_s, found.bound)
        self.best = found.schedule or self.best

    def _search(self) -> None:
        """Search among list schedules."""
        top_s = self.best.makespan_s * (100 + _LONGER) // 100 if self.best is not None else self.upper_s
        work = round(_SEARCH_SHARE * (self.limits.budget - self.spent) / _PLACEMENT)
        found = searched(self.input, self.best, bound_s=self.bound_s, top_s=top_s, work=work, seed=self.limits.seed)
        self.spent += found.work * _PLACEMENT
        self.is_stopped = found.is_stopped
        if found.schedule is not None and found.schedule is not self.best:
            broken = verify(self.input, found.schedule)
            if broken:
                raise RuntimeError(f"a list schedule broke a rule ({broken[0].rule}): {broken[0].message}")
            self.best = found.schedule
            self.tell(f"a plan of {self.best.makespan_s // 60} min")

    def _shorten(self, budget: float) -> None:
        """Make the best plan shorter stretch by stretch."""
        if self.best is None:
            return
        limits = replace(self.limits, budget=budget)
        found = made_shorter(self.input, self.best, bound_s=self.bound_s, limits=limits, tell=self.tell)
        self.best, self.is_stopped = found.schedule, found.is_stopped
        self.spent += found.spent
