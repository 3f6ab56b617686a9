"""
The rest of the day from what really happened: the past is frozen, the old order is kept where wrap is not harmed.

A plan input, the schedule that was followed, the day's events and the moment come in; a ``Replan`` goes out. First the
old order is run as it is; only if that is not provably shortest, or breaks a limit, is the solver asked. Limits that
cannot be kept are overrun as little as possible and named: there is always an answer.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from shootplan.model.day import DayRow, RowKind
from shootplan.model.planning import Activity, ActivityKind, Assignment, PlanInput, Schedule, SolveStatus
from shootplan.model.replanning import Fact, LogEvent, Move, Replan, Run, RunState
from shootplan.plan.bounds import lower_bound
from shootplan.plan.day import pending_limits, running_meanwhile, steps_by_clock
from shootplan.plan.fixed_order import fixed_network, fixed_order
from shootplan.plan.graph import ORIGIN, Edge, EdgeKind, Ends, PositiveCycle, network_of
from shootplan.plan.greedy import best_list_schedule
from shootplan.plan.happened import Happened, happened, runs_of
from shootplan.plan.lateness import broken_limits, lateness_s, least_late, no_later_than
from shootplan.plan.old_order import OldOrder
from shootplan.plan.planner import heats_late, horizon_of
from shootplan.plan.rest import Rest, look_in_id, rest_of
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
_NEXT = 3
#: How many places on in the old plan two steps still count as neighbours.
_NEAR = 6
_WORTH_SAYING_S = 60
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
        This moment, in seconds from call.
    budget
        Deterministic time units of the solver.

    Raises
    ------
    InfeasiblePlan
        If things alone make the rest impossible, such as two dishes that each wait for the other's pan.
    """
    now_s = max(0, now_s)
    known = happened(plan_input, schedule, events, now_s)
    rest = rest_of(plan_input, known, now_s)
    order = OldOrder(rest, schedule, now_s)
    planned = _Planner(rest, order, budget * (_FILMED if plan_input.cameras else 1)).plan()
    return _Answer(plan_input, schedule, known, rest, planned, now_s, order).replan()


@dataclass(slots=True)
class _Planned:
    """A plan of the rest: what it was checked against, the schedule, a bound; proven the least late if so."""

    plan_input: PlanInput
    schedule: Schedule
    bound_s: int
    is_proven: bool = False


@dataclass(slots=True)
class _Planner:
    """Looks for the shortest rest that keeps all limits, or that overruns them least."""

    rest: Rest
    order: OldOrder
    budget: float

    def plan(self) -> _Planned:
        strict = self.rest.plan_input
        try:
            bound_s = lower_bound(strict, network_of(strict))
        except PositiveCycle:
            return self._late()
        kept = self.order.best(strict)
        if kept is not None and kept.makespan_s <= bound_s:
            return _Planned(strict, _tidy(strict, kept), bound_s)
        return self._shortest(strict, kept, bound_s) or self._late()

    # ------------------------------------------------------------------------------------------------ all limits kept

    def _shortest(self, strict: PlanInput, kept: Schedule | None, bound_s: int) -> _Planned | None:
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
            if outcome.status is not SolveStatus.INFEASIBLE and is_split == is_pausable:
                bound_s = max(bound_s, outcome.bound)
            best = min((item for item in (best, outcome.schedule) if item is not None), key=_length, default=None)
        if best is None:
            return None
        is_kept = kept is not None and kept.makespan_s <= best.makespan_s
        best = kept if kept is not None and is_kept else self._nearest(strict, best)
        return _Planned(strict, _tidy(strict, best), min(bound_s, best.makespan_s))

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

    def _late(self) -> _Planned:
        loose = self.rest.softened()
        known = self.order.best(loose)
        if known is None:
            bound_s = lower_bound(loose, network_of(loose))
            known = _sound(loose, best_list_schedule(loose, bound_s=bound_s))
        upper_s = max(known.makespan_s if known is not None else 0, horizon_of(loose))
        budget = self.budget
        for _ in range(_TRIES):
            best, status = least_late(self.rest, loose, known, upper_s, budget)
            if best is not None:
                bound_s = lower_bound(loose, network_of(loose))
                best = self._nearest(loose, best, is_late=True)
                return _Planned(loose, _tidy_late(self.rest, loose, best), bound_s, status is SolveStatus.OPTIMAL)
            if status is SolveStatus.INFEASIBLE:
                break
            budget *= 10
        raise InfeasiblePlan((Conflict(rule=_STUCK),))


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


# ---------------------------------------------------------------------------------------------------- the answer


@dataclass(slots=True)
class _Answer:
    """Puts past, present and future together and says what is new."""

    plan_input: PlanInput
    old: Schedule
    known: Happened
    rest: Rest
    planned: _Planned
    now_s: int
    order: OldOrder

    def replan(self) -> Replan:
        schedule = self._whole()
        runs = runs_of(self.plan_input)
        states = tuple((run.id, self.known.state(run)) for run in runs)
        is_proven = self.planned.is_proven or self.planned.schedule.makespan_s <= self.planned.bound_s
        return Replan(
            now_s=self.now_s,
            plan_input=self.plan_input,
            schedule=schedule,
            rest=self.planned.plan_input,
            rest_schedule=self.planned.schedule,
            old_wrap_s=self.old.makespan_s,
            status=SolveStatus.OPTIMAL if is_proven else SolveStatus.FEASIBLE,
            bound_s=max(self.planned.bound_s, max((f.end_s for f in self.known.facts.values()), default=0)),
            states=states,
            next_rows=self._next(schedule, dict(states), runs),
            running=running_meanwhile(self.plan_input, schedule, self.now_s),
            limits=pending_limits(self.plan_input, schedule, self.now_s, self.now_s),
            look_ins=self._look_ins(schedule),
            moves=self._moves(schedule, dict(states), runs),
            broken=broken_limits(self.rest, self.planned.schedule),
            notes=(*self.known.notes, *self.rest.notes, *self._meal_note(schedule)),
        )

    def _meal_note(self, schedule: Schedule) -> tuple[str, ...]:
        meal = self.plan_input.meal
        if meal is None or meal.activity or schedule.makespan_s <= meal.within_s:
            return ()
        return (f"the day is now longer than {meal.within_s // 3600} h: a break of {meal.length_s // 60} min is due",)

    def _whole(self) -> Schedule:
        """Return every activity: what happened at its real times, the rest as planned."""
        placed = {item.activity: item for item in self.planned.schedule.assignments}
        old = {item.activity: item for item in self.old.assignments}
        return Schedule(assignments=tuple(self._assignment(a, placed, old) for a in self.plan_input.activities))

    def _assignment(
        self, activity: Activity, placed: Mapping[str, Assignment], old: Mapping[str, Assignment]
    ) -> Assignment:
        fact = self.known.facts.get(activity.id)
        if fact is None:
            return placed[activity.id]
        pieces: tuple[tuple[int, int], ...] = ((fact.start_s, fact.end_s),)
        if fact.is_waiting and activity.id in placed:
            until = max(fact.start_s, min(self.now_s, fact.end_s - fact.left_s))
            pieces = ((fact.start_s, until), *placed[activity.id].pieces)
        looks = self._looked_in(activity, fact, placed)
        units = old[activity.id].units if activity.id in old else ()
        return Assignment(activity=activity.id, pieces=pieces, worker=fact.worker, look_ins=looks, units=units)

    def _looked_in(
        self, activity: Activity, fact: Fact, placed: Mapping[str, Assignment]
    ) -> tuple[tuple[int, int, str], ...]:
        """Return the look-ins on something that runs which are still to come."""
        if activity.look_in is None:
            return ()
        count = len(activity.look_in.offsets(max(0, fact.end_s - fact.start_s)))
        names = (look_in_id(activity.id, number) for number in range(1, count + 1))
        return tuple((placed[n].start_s, placed[n].end_s, placed[n].worker) for n in names if n in placed)

    def _next(self, schedule: Schedule, states: Mapping[str, RunState], runs: tuple[Run, ...]) -> tuple[DayRow, ...]:
        """Return the next steps that somebody begins."""
        ahead = {run.activities[0] for run in runs if states[run.id] is RunState.AHEAD}
        rows = [
            row
            for row in steps_by_clock(self.plan_input, schedule)
            if row.kind is RowKind.STEP and row.activities[0] in ahead and self._is_begun_by_hand(row)
        ]
        return tuple(rows[:_NEXT])

    def _is_begun_by_hand(self, row: DayRow) -> bool:
        filmed = {item.id for item in self.plan_input.activities if item.film is not None}
        return bool(row.who) or any(part.kind == "heat" for part in row.parts) or bool(filmed & set(row.activities))

    def _look_ins(self, schedule: Schedule) -> tuple[tuple[int, str, str], ...]:
        """Return (moment, activity, person) of each look-in still to come on what runs now."""
        found = [
            (start, item.activity, name)
            for item in schedule.assignments
            for start, _, name in item.look_ins
            if item.activity in self.known.facts and start >= self.now_s
        ]
        return tuple(sorted(found))

    # ------------------------------------------------------------------------------------------------ what moved

    def _moves(self, schedule: Schedule, states: Mapping[str, RunState], runs: tuple[Run, ...]) -> tuple[Move, ...]:
        new = {item.activity: item.start_s for item in schedule.assignments}
        old = {item.activity: item.start_s for item in self.old.assignments}
        reasons = self._reasons()
        ahead = [run for run in runs if states[run.id] is RunState.AHEAD and run.activities[0] in old]
        found = []
        for run in ahead:
            first = run.activities[0]
            overtaken = tuple(
                other.label
                for other in ahead
                if self._is_work(run)
                and self._is_work(other)
                and old[other.activities[0]] < old[first]
                and new[other.activities[0]] > new[first]
            )
            if abs(new[first] - old[first]) >= _WORTH_SAYING_S or overtaken:
                because = reasons.get(first, "")
                move = Move(
                    run=run.id,
                    label=run.label,
                    old_s=old[first],
                    new_s=new[first],
                    because=because if new[first] > old[first] else "",
                    overtakes=overtaken,
                )
                found.append(move)
        return tuple(sorted(found, key=lambda move: (move.new_s, move.run)))

    def _is_work(self, run: Run) -> bool:
        """Whether somebody's hands begin a run: only the order of such is anybody's choice."""
        return bool(self.planned.schedule.of(run.activities[0]).worker)

    def _reasons(self) -> dict[str, str]:
        """Return for each activity of the rest what its start waits for in the new plan."""
        try:
            network = fixed_network(self.planned.plan_input, self.planned.schedule, ends=Ends.LONG)
            _, via = network.earliest()
        except PositiveCycle:
            return {}
        found = {}
        for event, edge in via.items():
            if event.mark == 0 and edge.source.activity != event.activity:
                found[event.activity] = _reason(edge)
        return found | dict.fromkeys(self.known.releases, "told to be late")


def _reason(edge: Edge) -> str:
    """Return why something begins when it does; what only waits for this moment has no other reason."""
    if edge.source == ORIGIN:
        return ""
    if edge.kind is EdgeKind.LIMIT:
        return f"begun late because {edge.reason}"
    return edge.reason
