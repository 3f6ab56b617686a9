"""
What is new when the rest of a day was planned: past, present and future in one schedule, what comes next, what moved.

A plan of the rest and what happened come in; a ``Replan`` goes out. Nothing is planned here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from shootplan.model.day import DayRow, RowKind
from shootplan.model.days import staffed_s, wraps_of
from shootplan.model.planning import Activity, Assignment, PlanInput, Schedule, SolveStatus
from shootplan.model.replanning import DayWrap, Fact, Move, Replan, Run, RunState
from shootplan.model.show import clock_text
from shootplan.plan.day import pending_limits, running_meanwhile, steps_by_clock
from shootplan.plan.fixed_order import fixed_network
from shootplan.plan.graph import ORIGIN, Edge, EdgeKind, Ends, PositiveCycle
from shootplan.plan.happened import Happened, runs_of
from shootplan.plan.lateness import broken_limits
from shootplan.plan.rest import Rest, look_in_id
from shootplan.plan.rest_ovens import AGAIN
from shootplan.records import dataclass

__all__ = ["Answer", "Planned", "later_by"]

_NEXT = 3
_WORTH_SAYING_S = 60


@dataclass(slots=True)
class Planned:
    """A plan of the rest: what it was checked against, the schedule, a bound; proven the least late if so."""

    plan_input: PlanInput
    schedule: Schedule
    bound_s: int
    is_proven: bool = False


@dataclass(slots=True)
class Answer:
    """Puts past, present and future together and says what is new."""

    plan_input: PlanInput
    old: Schedule
    known: Happened
    rest: Rest
    planned: Planned
    now_s: int
    by_s: int = 0

    def replan(self) -> Replan:
        """Return it all."""
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
            bound_s=max(self.planned.bound_s - self.by_s, max((f.end_s for f in self.known.facts.values()), default=0)),
            states=states,
            next_rows=self._next(schedule, dict(states), runs),
            running=running_meanwhile(self.plan_input, schedule, self.now_s),
            limits=pending_limits(self.plan_input, schedule, self.now_s, self.now_s),
            look_ins=self._look_ins(schedule),
            moves=self._moves(schedule, dict(states), runs),
            broken=broken_limits(self.rest, self.planned.schedule),
            notes=(*self.known.notes, *self.rest.notes, *self._heated_again(), *self._meal_note(schedule)),
            days=tuple(self._days(schedule)),
        )

    def _days(self, schedule: Schedule) -> Iterator[DayWrap]:
        """Yield the days of a plan over several days."""
        wraps = zip(wraps_of(self.plan_input, schedule), wraps_of(self.plan_input, self.old), strict=True)
        for (opens_s, closes_s), (new_s, old_s) in zip(staffed_s(self.plan_input), wraps, strict=False):
            yield DayWrap(opens_s=opens_s, closes_s=closes_s, wrap_s=new_s, old_wrap_s=old_s)

    def _heated_again(self) -> Iterator[str]:
        """Yield when an oven that is cold by then is heated again: no step of the plan says it."""
        if not self.rest.days.closings:
            return
        begins = self.planned.plan_input.begins
        labels = {item.id: item.label or item.id for item in self.planned.plan_input.activities}
        for item in self.planned.schedule.assignments:
            if item.activity.endswith(AGAIN) and item.end_s > item.start_s:
                at = f" at {clock_text(begins, item.start_s)}" if begins is not None else ""
                yield f"{labels[item.activity]}: the oven is heated again{at}"

    def _meal_note(self, schedule: Schedule) -> tuple[str, ...]:
        meal = self.plan_input.meal
        if meal is None or meal.activity or schedule.makespan_s <= meal.within_s:
            return ()
        return (f"the day is now longer than {meal.within_s // 3600} h: a break of {meal.length_s // 60} min is due",)

    def _whole(self) -> Schedule:
        """Return every activity: what happened at its real times, the rest as planned."""
        placed = {item.activity: item for item in later_by(self.planned.schedule, -self.by_s).assignments}
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


def later_by(schedule: Schedule, by_s: int) -> Schedule:
    """Return a schedule on a clock that shows ``by_s`` more."""
    if not by_s:
        return schedule
    return Schedule(
        assignments=tuple(
            replace(
                item,
                pieces=tuple((start + by_s, end + by_s) for start, end in item.pieces),
                look_ins=tuple((start + by_s, end + by_s, name) for start, end, name in item.look_ins),
            )
            for item in schedule.assignments
        )
    )


def _reason(edge: Edge) -> str:
    """Return why something begins when it does; what only waits for this moment has no other reason."""
    if edge.source == ORIGIN:
        return ""
    if edge.kind is EdgeKind.LIMIT:
        return f"begun late because {edge.reason}"
    return edge.reason
