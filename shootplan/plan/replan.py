"""
The rest of the day from what really happened: the past is frozen, the old order is kept where wrap is not harmed.

A plan input, the schedule that was followed, the day's events and the moment come in; a ``Replan`` goes out. First the
old order is run as it is; only if that is not provably shortest, or breaks a limit, is the solver asked. Limits that
cannot be kept are overrun as little as possible and named: there is always an answer.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from shootplan.model.planning import ActivityKind, PlanInput, Schedule, SolveStatus
from shootplan.model.replanning import LogEvent, Replan
from shootplan.plan.bounds import lower_bound
from shootplan.plan.fixed_order import fixed_order
from shootplan.plan.graph import Ends, PositiveCycle, network_of
from shootplan.plan.greedy import best_list_schedule
from shootplan.plan.happened import happened, opened_early
from shootplan.plan.lateness import lateness_s, least_late, no_later_than
from shootplan.plan.old_order import OldOrder
from shootplan.plan.planner import heats_late, horizon_of
from shootplan.plan.replan_answer import Answer, Planned, later_by
from shootplan.plan.rest import Rest, on_later_clock, rest_of
from shootplan.plan.rest_days import worked_late
from shootplan.plan.verify import verify
from shootplan.problems import Conflict, InfeasiblePlan
from shootplan.records import dataclass

__all__ = ["DEFAULT_BUDGET", "replan"]

#: Deterministic time units for the whole answer; a tenth is about a quarter of a second.
DEFAULT_BUDGET = 0.12
#: How often the budget is raised tenfold while no plan at all is found.
_TRIES = 3
#: So many times the budget for a filmed day, which has orders of shots to find.
_FILMED = 4
#: So many times the budget where the days have an end and no plan is found that keeps it.
_LONGER = 10
#: How many places on in the old plan two steps still count as neighbours.
_NEAR = 6
_STUCK = "the rest of the day: two dishes each wait for something that the other holds"
_BINDING = (ActivityKind.HANDS, ActivityKind.WATCH)


def replan(
    plan_input: PlanInput,
    schedule: Schedule,
    events: Iterable[LogEvent],
    *,
    now_s: int,
    budget: float = DEFAULT_BUDGET,
) -> Replan:
    """
    Return the rest of the day.

    Parameters
    ----------
    plan_input
        The whole day as it was planned.
    schedule
        The plan that was followed until now.
    events
        What happened; events after ``now_s`` are passed over.
    now_s
        This moment, in seconds from call; before call it counts only once something was begun.
    budget
        Deterministic time units of the solver.

    Raises
    ------
    InfeasiblePlan
        If things alone make the rest impossible, such as two dishes that each wait for the other's pan.
    """
    events = tuple(events)
    plan_input = opened_early(plan_input, (event for event in events if event.at_s <= now_s))
    if not any(event.at_s <= now_s for event in events):
        now_s = max(0, now_s)
    known = happened(plan_input, schedule, events, now_s)
    by_s = max(0, -now_s)
    rest = on_later_clock(rest_of(plan_input, known, now_s), by_s)
    order = OldOrder(rest, later_by(schedule, by_s), now_s + by_s)
    planned = _Planner(rest, order, budget * (_FILMED if plan_input.cameras else 1)).plan()
    return Answer(plan_input, schedule, known, rest, planned, now_s, by_s).replan()


@dataclass(slots=True)
class _Planner:
    """Looks for the shortest rest that keeps all limits, or that overruns them least."""

    rest: Rest
    order: OldOrder
    budget: float

    def plan(self) -> Planned:
        strict = self.rest.plan_input
        try:
            bound_s = lower_bound(strict, network_of(strict))
        except PositiveCycle:
            return self._late()
        kept = self.order.best(strict)
        if kept is not None and kept.makespan_s <= bound_s:
            return Planned(strict, _tidy(strict, kept), bound_s)
        return self._shortest(strict, kept, bound_s) or self._late()

    # ------------------------------------------------------------------------------------------------ all limits kept

    def _shortest(self, strict: PlanInput, kept: Schedule | None, bound_s: int) -> Planned | None:
        """Return the shortest rest that is found; the one in the old order unless another is shorter."""
        from shootplan.plan.cp_sat import Limits, Model

        listed = _sound(strict, best_list_schedule(strict, bound_s=bound_s))
        best = min((item for item in (kept, listed) if item is not None), key=_length, default=None)
        is_pausable = any(item.is_pausable for item in strict.activities)
        tries = [False, True] if is_pausable and (best is None or self.order.is_broken_off) else [False]
        for is_split in tries:
            if best is not None and best.makespan_s <= bound_s:
                break
            model = Model(strict, bound_s, best.makespan_s if best is not None else horizon_of(strict), is_split)
            if best is not None:
                model.hint(best)
            model.shortest()
            outcome = model.solve(Limits(budget=self.budget / 2))
            if best is None and outcome.status is SolveStatus.UNKNOWN and strict.horizon_s is not None:
                # Hours that end leave no room to be late in: rather look longer than overrun what could be kept.
                outcome = model.solve(Limits(budget=_LONGER * self.budget / 2))
            if outcome.status is not SolveStatus.INFEASIBLE and is_split == is_pausable:
                bound_s = max(bound_s, outcome.bound)
            best = min((item for item in (best, outcome.schedule) if item is not None), key=_length, default=None)
        if best is None:
            return None
        is_kept = kept is not None and kept.makespan_s <= best.makespan_s
        best = kept if kept is not None and is_kept else self._nearest(strict, best)
        return Planned(strict, _tidy(strict, best), min(bound_s, best.makespan_s))

    def _nearest(self, plan_input: PlanInput, best: Schedule, *, is_late: bool = False) -> Schedule:
        """Return a plan as short and no later than the best one that turns around little of the old order."""
        from shootplan.plan.cp_sat import Limits, Model

        if any(len(item.pieces) > 1 for item in best.assignments):
            return best
        model = Model(plan_input, 0, best.makespan_s)
        if is_late:
            no_later_than(model, self.rest, best)
        model.hint(best)
        model.model.maximize(sum(_kept_pairs(model, self.order)))
        found = model.solve(Limits(budget=self.budget / 2)).schedule
        if found is None or found.makespan_s > best.makespan_s:
            return best
        if is_late and lateness_s(self.rest, found) > lateness_s(self.rest, best):
            return best
        return min((best, found), key=self.order.inversions)

    # ------------------------------------------------------------------------------------------------ limits broken

    def _late(self) -> Planned:
        for loose in self.rest.loosened():
            found = self._least_late(loose)
            if found is not None:
                return found
        raise InfeasiblePlan((Conflict(rule=_STUCK),))

    def _least_late(self, loose: PlanInput) -> Planned | None:
        try:
            bound_s = lower_bound(loose, network_of(loose))
        except PositiveCycle:
            return None
        known = self._known(loose)
        upper_s = max(known.makespan_s if known is not None else 0, horizon_of(loose))
        budget = self.budget
        for _ in range(_TRIES):
            best, status = least_late(self.rest, loose, known, upper_s, budget)
            if best is not None:
                late = {day: late_s for day, (late_s, _) in worked_late(loose, self.rest.days, best).items()}
                worked = replace(loose, closed=self.rest.days.nights_after(late))
                best = self._nearest(worked, best, is_late=True)
                return Planned(worked, _tidy_late(self.rest, worked, best), bound_s, status is SolveStatus.OPTIMAL)
            if status is SolveStatus.INFEASIBLE:
                break
            budget *= 10
        return None

    def _known(self, loose: PlanInput) -> Schedule | None:
        """Return a plan to start from: in the old order, else a list; over several days one that keeps the nights."""
        strict = self.rest.plan_input
        kept = replace(loose, closed=strict.closed)
        for plan_input in (kept, loose) if strict.closed else (loose,):
            try:
                bound_s = lower_bound(plan_input, network_of(plan_input))
            except PositiveCycle:
                continue
            found = self.order.best(plan_input) or _sound(plan_input, best_list_schedule(plan_input, bound_s=bound_s))
            if found is not None:
                return found
        return None


def _length(schedule: Schedule) -> int:
    return schedule.makespan_s


def _sound(plan_input: PlanInput, schedule: Schedule | None) -> Schedule | None:
    """Return a list schedule if it keeps every rule: lists know nothing of cameras."""
    return None if schedule is None or verify(plan_input, schedule) else schedule


def _kept_pairs(model: Any, order: OldOrder) -> list[Any]:
    """Add a literal "begins no later" for each two activities that are near each other in the old plan."""
    hands = [
        item.id
        for item in model.plan_input.activities
        if item.id not in order.pinned and item.kind in (*_BINDING, ActivityKind.HEAT)
    ]
    hands.sort(key=lambda name: order.ranks[name])
    found = []
    for place, before in enumerate(hands):
        for after in hands[place + 1 : place + 1 + _NEAR]:
            literal = model.model.new_bool_var(f"{before} then {after}")
            model.model.add(model.long.start[after] >= model.long.start[before]).only_enforce_if(literal)
            found.append(literal)
    return found


def _tidy(plan_input: PlanInput, schedule: Schedule) -> Schedule:
    """Move everything as early as the orders allow, heats as late as their bakes allow."""
    early = fixed_order(plan_input, schedule, ends=Ends.LONG)
    if early is None or verify(plan_input, early):
        early = schedule
    return heats_late(plan_input, early)


def _tidy_late(rest: Rest, loose: PlanInput, schedule: Schedule) -> Schedule:
    """Do the same where limits are overrun, unless that would overrun them more."""
    tidy = _tidy(loose, schedule)
    return tidy if lateness_s(rest, tidy) <= lateness_s(rest, schedule) else schedule
