"""
A plan made shorter stretch by stretch: what begins in a stretch is planned anew so that all after it comes earlier.

A ``PlanInput`` and a sound schedule come in, a schedule that is no longer goes out. What begins before the stretch
stands, what begins after it moves as one; so a small model tells how far, and most of the plan is left out of it. Large
days are shortened far sooner than by one model of the whole day (a large neighbourhood search: Shaw 1998, CP98;
Palpant, Artigues and Michelon 2004, Annals of Operations Research 131).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import field, replace
from math import ceil
from typing import Any

from shootplan.model.planning import Assignment, PlanInput, Schedule, SolveStatus
from shootplan.plan.cp_sat import Limits, Model, Outcome, time_unit
from shootplan.plan.graph import ORIGIN, Edge, Event, Network, network_of
from shootplan.plan.orders import with_units
from shootplan.records import dataclass

__all__ = ["Shortened", "made_shorter"]

#: How many activities begin in a stretch at first, and how much larger it grows where none helps any more.
_ACTIVITIES = 30
_GROWTH = 1.4
#: Deterministic time units for one stretch, and what to make its model is reckoned at for each activity in it.
_STRETCH_BUDGET = 0.02
_MAKING = 8e-5


@dataclass(frozen=True, slots=True)
class Shortened:
    """The shortest plan found, the deterministic time units spent, and whether the user stopped it (Ctrl-C)."""

    schedule: Schedule
    spent: float = 0.0
    is_stopped: bool = False


def made_shorter(
    plan_input: PlanInput,
    schedule: Schedule,
    *,
    bound_s: int,
    limits: Limits,
    tell: Callable[[str], None],
    is_split: bool = False,
) -> Shortened:
    """
    Return a plan no longer than ``schedule``.

    Parameters
    ----------
    plan_input
        The plan; over several days or filmed it is left as it is.
    schedule
        A sound schedule.
    bound_s
        A lower bound on the makespan in seconds: a plan that meets it is not made shorter.
    limits
        The budget for all stretches together, workers and seed of the solver.
    tell
        Called with a few words as plans are found.
    is_split
        Whether pausable work may be broken off; without it nothing in ``schedule`` may be.
    """
    if plan_input.closed or plan_input.cameras or plan_input.breaks:
        return Shortened(schedule)
    broken_off = frozenset(item.id for item in plan_input.activities if is_split and item.is_pausable)
    network, unit = network_of(plan_input, broken_off=broken_off), time_unit(plan_input)
    count = len(plan_input.activities)
    spent, most = 0.0, min(_ACTIVITIES, count)
    hopeless: set[tuple[tuple[str, int], ...]] = set()
    try:
        while True:
            before_s = schedule.makespan_s
            for place in range(0, count, max(1, most // 2)):
                if schedule.makespan_s <= bound_s or spent >= limits.budget:
                    return Shortened(schedule, spent)
                starts = [*sorted(item.start_s for item in schedule.assignments), schedule.makespan_s + 1]
                till_s = next(start for start in starts[min(place + most, count) :] if start > starts[place])
                stretch = _Stretch(plan_input, schedule, network, unit, starts[place], till_s, bound_s, is_split)
                key = stretch.key()
                if key in hopeless:
                    continue
                found, outcome = stretch.solved(replace(limits, budget=_STRETCH_BUDGET, is_stoppable=False))
                spent += outcome.spent + _MAKING * len(stretch.inside)
                if found is not None:
                    schedule = found
                    tell(f"a plan of {schedule.makespan_s // 60} min")
                elif outcome.status is SolveStatus.INFEASIBLE:
                    hopeless.add(key)
            if schedule.makespan_s < before_s:
                continue
            if most == count:
                return Shortened(schedule, spent)
            most = min(count, ceil(most * _GROWTH))
    except KeyboardInterrupt:
        return Shortened(schedule, spent, is_stopped=True)


@dataclass(slots=True)
class _Stretch:
    """What begins from ``since_s`` until before ``till_s`` is free; what is near it is in the model too."""

    input: PlanInput
    schedule: Schedule
    network: Network
    unit: int
    since_s: int
    till_s: int
    bound_s: int
    is_split: bool
    placed: dict[str, Assignment] = field(default_factory=dict)
    inside: frozenset[str] = frozenset()
    ends_s: int = 0

    def __post_init__(self) -> None:
        self.placed = {item.activity: item for item in self.schedule.assignments}
        ends = [item.end_s for item in self.schedule.assignments if item.start_s < self.till_s]
        self.ends_s = max(ends)
        self.inside = frozenset(self._near())

    def key(self) -> tuple[tuple[str, int], ...]:
        """Return what makes this stretch the one that it is, wherever in the day it lies."""
        return tuple((name, self.placed[name].start_s - self.since_s) for name in sorted(self.inside))

    def solved(self, limits: Limits) -> tuple[Schedule | None, Outcome]:
        """Return a shorter plan if one is found, with as little broken off as that allows, and the verdict."""
        model = Model(self._part(), 0, self.schedule.makespan_s, self.is_split, is_pooled=False, unit=self.unit)
        assert model.long is not None
        earlier = model.model.new_int_var(1, max(1, self._most_earlier_s() // self.unit), "earlier")
        self._bind(model, earlier)
        pieces = model.long.extra_pieces
        model.model.maximize((len(pieces) + 1) * earlier - sum(pieces))
        model.hint(Schedule(assignments=tuple(self.placed[name] for name in sorted(self.inside))))
        outcome = model.solve(limits)
        if outcome.schedule is None:
            return None, outcome
        return self._whole(outcome.schedule, -(-outcome.value // (len(pieces) + 1)) * self.unit), outcome

    # ------------------------------------------------------------------------------------------------ what is in it

    def _is_free(self, name: str) -> bool:
        return self.since_s <= self.placed[name].start_s < self.till_s

    def _moves(self, name: str) -> bool:
        return self.placed[name].start_s >= self.till_s

    def _most_earlier_s(self) -> int:
        return min(self.schedule.makespan_s - self.bound_s, self.till_s - self.since_s)

    def _near(self) -> Iterator[str]:
        """Yield what is in use together with something free, and all that an oven's order depends on."""
        after_s = max([0, *(held.after_s for held in self.input.occupations)])
        reach_s = self.ends_s + after_s + self._most_earlier_s()
        if any(till_s > self.since_s for worker in self.input.workers for _, till_s in worker.away):
            reach_s = self.schedule.makespan_s + 1
        for item in self.input.activities:
            placed = self.placed[item.id]
            is_between = placed.end_s >= self.since_s and placed.start_s < reach_s
            if item.oven is not None or self._is_free(item.id) or is_between:
                yield item.id
        for held in self.input.occupations:
            ends_s = self.placed[held.last].end_s + held.after_s
            if ends_s > self.since_s and self.placed[held.first].start_s < reach_s:
                yield from (held.first, held.last)

    def _part(self) -> PlanInput:
        """Return the plan of what is in the model."""
        return replace(
            self.input,
            activities=tuple(item for item in self.input.activities if item.id in self.inside),
            lags=tuple(lag for lag in self.input.lags if {lag.predecessor, lag.successor} <= self.inside),
            occupations=tuple(held for held in self.input.occupations if {held.first, held.last} <= self.inside),
            heroes=(),
        )

    # ------------------------------------------------------------------------------------------------ what holds

    def _bind(self, model: Model, earlier: Any) -> None:
        """What lies before stands, what lies after comes ``earlier`` as one, what is free stays between."""
        assert model.long is not None
        for name in sorted(self.inside):
            start, begun = model.long.start[name], self.placed[name].start_s // self.unit
            if self._is_free(name):
                model.model.add(start >= self.since_s // self.unit)
                model.model.add(model.long.end[name] <= self.ends_s // self.unit)
            else:
                model.model.add(start == (begun - earlier if self._moves(name) else begun))
                self._keep_pieces(model, name, earlier)
        model.model.add(model.long.makespan <= self.schedule.makespan_s // self.unit - earlier)
        self._keep_people(model)
        for edge in self.network.edges:
            self._keep(model, edge, earlier)

    def _keep_pieces(self, model: Model, name: str, earlier: Any) -> None:
        assert model.long is not None
        pieces = self.placed[name].pieces
        for number, (begin, finish, is_there) in enumerate(model.long.pieces.get(name, ())):
            if number >= len(pieces):
                model.model.add(is_there == 0)
                continue
            first, last = (moment // self.unit for moment in pieces[number])
            model.model.add(begin == (first - earlier if self._moves(name) else first))
            model.model.add(finish == (last - earlier if self._moves(name) else last))

    def _keep_people(self, model: Model) -> None:
        assert model.long is not None
        for activity, item in model.long.items():
            if self._is_free(activity.id):
                continue
            placed = self.placed[activity.id]
            name = placed.look_ins[item.look_in - 1][2] if item.look_in else placed.worker
            for group in model.groups:
                literal = model.long.does(activity, item, group) if group.name == name else True
                if literal is not True:
                    model.model.add(literal == 1)

    def _keep(self, model: Model, edge: Edge, earlier: Any) -> None:
        """Keep a wait between what is in the model and what is not, or between what stands and what moves."""
        if edge.target == ORIGIN or edge.source.activity == edge.target.activity:
            return
        is_inside = [event.activity in self.inside for event in (edge.source, edge.target)]
        is_rigid = not self._moves(edge.target.activity) or (
            edge.source != ORIGIN and self._moves(edge.source.activity)
        )
        if all(is_inside) or (edge.source == ORIGIN and is_inside[1]) or (not any(is_inside) and is_rigid):
            return
        source, target = (self._moment(model, event, earlier) for event in (edge.source, edge.target))
        model.model.add(target >= source + edge.weight_s // self.unit)

    def _moment(self, model: Model, event: Event, earlier: Any) -> Any:
        if event == ORIGIN:
            return 0
        if event.activity in self.inside:
            assert model.long is not None
            return model.long.start[event.activity] if event.mark == 0 else model.long.end[event.activity]
        item = self.placed[event.activity]
        moment = (item.start_s if event.mark == 0 else item.end_s) // self.unit
        return moment - earlier if self._moves(event.activity) else moment

    # ------------------------------------------------------------------------------------------------ the answer

    def _whole(self, part: Schedule, earlier_s: int) -> Schedule:
        """Return the whole plan with the stretch as it was planned."""
        made = {item.activity: item for item in part.assignments}
        for name, item in self.placed.items():
            if name not in made:
                made[name] = _earlier(item, earlier_s) if self._moves(name) else item
        return with_units(self.input, Schedule(assignments=tuple(made[item.id] for item in self.input.activities)))


def _earlier(item: Assignment, by_s: int) -> Assignment:
    return replace(
        item,
        pieces=tuple((start - by_s, end - by_s) for start, end in item.pieces),
        look_ins=tuple((start - by_s, end - by_s, name) for start, end, name in item.look_ins),
    )
