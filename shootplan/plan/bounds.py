"""
Lower bounds on the makespan: no plan can be shorter, whoever plans.

A ``PlanInput`` and its temporal network come in, seconds go out. Three kinds: the longest path through all lags; the
work of each group of people, each counted thing and each oven, with the least that must lie before and after it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from shootplan.model.planning import Activity, ActivityKind, PlanInput, Worker
from shootplan.plan.closed import away_or_closed
from shootplan.plan.graph import Event, Network, ends_of, starts_of
from shootplan.plan.ovens import Oven, Session, ovens_of

__all__ = ["Load", "Work", "loads_of", "lower_bound", "temporal_bound"]


class Work(NamedTuple):
    """Work of ``amount`` (seconds x count) that starts at ``head_s`` at the earliest, ``tail_s`` before the end."""

    head_s: int
    tail_s: int
    amount: int


class Load(NamedTuple):
    """Work that shares ``capacity`` of something, whose people may be away."""

    label: str
    capacity: int
    work: tuple[Work, ...]
    workers: tuple[Worker, ...] = ()


def temporal_bound(earliest: Mapping[Event, int], activities: Iterable[Activity]) -> int:
    """Return the earliest end of the last activity in seconds, with as many hands and things as one likes."""
    return max((earliest[ends_of(activity.id)] for activity in activities), default=0)


def lower_bound(plan_input: PlanInput, network: Network) -> int:
    """
    Return the largest of the bounds in seconds.

    Raises
    ------
    PositiveCycle
        If the lags contradict one another.
    """
    earliest, _ = network.earliest()
    bounds = [temporal_bound(earliest, plan_input.activities)]
    bounds += [_bound_of(load) for load in loads_of(plan_input, network)]
    return max(bounds)


def loads_of(plan_input: PlanInput, network: Network) -> tuple[Load, ...]:
    """Return what must share people, things and ovens, with heads and tails from the temporal network."""
    earliest, _ = network.earliest()
    tails = network.tails(plan_input.activities)
    reader = _Loads(plan_input, network, earliest, tails)
    return (*reader.people(), *reader.resources(), *reader.ovens())


class _Loads:
    def __init__(
        self, plan_input: PlanInput, network: Network, earliest: Mapping[Event, int], tails: Mapping[Event, int]
    ) -> None:
        self._input = plan_input
        self._network = network
        self._earliest = earliest
        self._tails = tails

    def people(self) -> Iterator[Load]:
        """Yield a load for each set of people that some work is confined to, and one for everybody."""
        workers = {worker.name: worker for worker in self._input.workers}
        groups = {frozenset(activity.workers) for activity in self._input.activities if activity.workers}
        groups |= {frozenset(workers)} if workers else set()
        for group in sorted(groups, key=sorted):
            work = [
                item
                for activity in self._input.activities
                if activity.workers and set(activity.workers) <= group
                for item in self._work_of_people(activity)
            ]
            names = sorted(group)
            there = (replace(workers[name], away=away_or_closed(self._input, workers[name])) for name in names)
            yield Load(", ".join(names), len(names), tuple(work), tuple(there))

    def _work_of_people(self, activity: Activity) -> Iterator[Work]:
        head, tail = self._earliest[starts_of(activity.id)], self._tails[starts_of(activity.id)]
        if activity.kind in (ActivityKind.HANDS, ActivityKind.WATCH):
            yield Work(head, self._tails[ends_of(activity.id)], activity.long_s)
        if activity.look_in is not None:
            for offset in activity.look_in.offsets(activity.long_s):
                after = offset + activity.look_in.for_s
                yield Work(head + offset, max(0, tail - after), activity.look_in.for_s)

    def resources(self) -> Iterator[Load]:
        """Yield a load for each counted resource, occupations at their shortest and washing included."""
        for resource in self._input.resources:
            work = [
                Work(
                    self._earliest[starts_of(item.id)],
                    self._tails[ends_of(item.id)],
                    count * (0 if item.kind is ActivityKind.HEAT else item.long_s),
                )
                for item in self._input.activities
                for name, count in item.needs
                if name == resource.id
            ]
            for held in self._input.occupations:
                if held.resource == resource.id:
                    start, end = starts_of(held.first), ends_of(held.last)
                    length = max(0, self._network.distances(start).get(end, 0)) + held.after_s
                    work.append(Work(self._earliest[start], self._tails[end] - held.after_s, held.count * length))
            yield Load(resource.label or resource.id, resource.capacity, tuple(work))

    def ovens(self) -> Iterator[Load]:
        """Yield a load for each oven's shelves and one for sessions that all exclude one another."""
        for oven in ovens_of(self._input):
            bakes = [
                Work(self._earliest[starts_of(item.id)], self._tails[ends_of(item.id)], item.long_s * item.oven.shelves)
                for session in oven.sessions
                for item in session.bakes
                if item.oven is not None
            ]
            yield Load(f"shelf of the {oven.name}", oven.shelves, tuple(bakes))
            yield Load(oven.name, 1, tuple(self._session_work(session) for session in self._exclusive(oven)))

    def _exclusive(self, oven: Oven) -> list[Session]:
        chosen: list[Session] = []
        for session in sorted(oven.sessions, key=lambda item: (-self._session_work(item).amount, item.id)):
            if all(oven.clash(session, other) for other in chosen):
                chosen.append(session)
        return chosen

    def _session_work(self, session: Session) -> Work:
        start = starts_of(session.id)
        reached = self._network.distances(start)
        length = max([0, *(reached.get(ends_of(item.id), 0) for item in session.members)])
        tail = min(self._tails[ends_of(item.id)] for item in session.members)
        return Work(self._earliest[start], tail, length)


# ---------------------------------------------------------------------------------------------------- how long it takes


def _bound_of(load: Load) -> int:
    """
    Return the seconds that a load needs at least, and where it cannot be done at all, what the work alone needs.

    For each head h and tail q: h + (work with head >= h and tail >= q) / capacity + q.
    """
    if load.capacity <= 0:
        return 0
    best = 0
    work = sorted((item for item in load.work if item.amount > 0), key=lambda item: (-item.tail_s, item))
    is_away = any(worker.away for worker in load.workers)
    for head in sorted({item.head_s for item in work}):
        amount = 0
        for item in work:
            if item.head_s >= head:
                amount += item.amount
                done = _done_at(head, amount, load.workers) if is_away else head - (-amount // load.capacity)
                best = max(best, done + item.tail_s)
    return best


def _done_at(from_s: int, amount: int, workers: Sequence[Worker]) -> int:
    """Return when people have worked ``amount`` seconds in all, all of them working whenever they are there."""
    marks = sorted({from_s, *(mark for worker in workers for pair in worker.away for mark in pair if mark > from_s)})
    for mark, until in zip(marks, [*marks[1:], None], strict=True):
        here = sum(not any(since <= mark < till for since, till in worker.away) for worker in workers)
        if until is None or here * (until - mark) >= amount:
            return mark - (-amount // here) if here else mark
        amount -= here * (until - mark)
    return from_s
