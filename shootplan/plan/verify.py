"""
Whether a schedule keeps every rule of a plan.

A ``PlanInput`` and a ``Schedule`` come in, each broken rule goes out as a ``Violation``. It knows no solver and shares
no code with the planners, so that a fault in one of them shows here. It runs after every solve, in use too.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from itertools import combinations, pairwise

from shootplan.model.planning import Activity, ActivityKind, Anchor, Assignment, PlanInput, Schedule, Violation
from shootplan.plan.verify_film import film_violations

__all__ = ["verify"]

Interval = tuple[int, int]


def verify(plan_input: PlanInput, schedule: Schedule, *, is_short: bool = False) -> tuple[Violation, ...]:
    """
    Return every rule of the plan that a schedule breaks, empty if it is sound.

    Parameters
    ----------
    plan_input
        The rules.
    schedule
        One assignment for each activity.
    is_short
        Whether durations and look-ins are those of the short ends.
    """
    return tuple(_Verifier(plan_input, schedule, is_short).violations())


class _Verifier:
    """One small method for each rule, under the name that the solver's model gives it."""

    def __init__(self, plan_input: PlanInput, schedule: Schedule, is_short: bool) -> None:
        self._input = plan_input
        self._is_short = is_short
        self._placed = {item.activity: item for item in schedule.assignments}
        self._assignments = schedule.assignments

    def violations(self) -> Iterator[Violation]:
        incomplete = tuple(self.completeness())
        if incomplete:
            yield from incomplete
            return
        yield from self.durations()
        yield from self.pieces()
        yield from self.calendar()
        yield from self.time_lags()
        yield from self.closed_hours()
        yield from self.days()
        yield from self.assignment()
        yield from self.look_ins()
        yield from self.hands()
        yield from self.away()
        yield from self.resources()
        yield from self.units()
        yield from self.oven_heats()
        yield from self.oven_sessions()
        yield from self.oven_shelves()
        yield from film_violations(self._input, self._placed)

    # ------------------------------------------------------------------------------------------------ each activity

    def completeness(self) -> Iterator[Violation]:
        """Each activity is there once with a start and an end, and nothing else is; without that no rule is asked."""
        wanted = {activity.id: 1 for activity in self._input.activities}
        planned = Counter(item.activity for item in self._assignments if item.pieces)
        for name in wanted | planned:
            if planned[name] != wanted.get(name, 0):
                message = f"{name} is planned {planned[name]} times, not {wanted.get(name, 0)}"
                yield _violation("completeness", message, name)

    def durations(self) -> Iterator[Violation]:
        """The pieces of an activity add up to its duration; an oven's later heats last as long as the change."""
        for activity in self._input.activities:
            if activity.kind is ActivityKind.HEAT:
                continue
            lasts = sum(end - start for start, end in self._placed[activity.id].pieces)
            wanted = self._own_s(activity)
            if lasts != wanted:
                yield _violation("durations", f"{_name(activity)} lasts {lasts} s, not {wanted} s", activity.id)

    def pieces(self) -> Iterator[Violation]:
        """Only what may be broken off has pieces, at most two, in order and none empty."""
        for activity in self._input.activities:
            pieces = self._placed[activity.id].pieces
            if len(pieces) > (2 if activity.is_pausable else 1):
                yield _violation("pieces", f"{_name(activity)} is broken off into {len(pieces)}", activity.id)
            if any(end < start or (end == start and len(pieces) > 1) for start, end in pieces):
                yield _violation("pieces", f"{_name(activity)} has a piece that ends before it starts", activity.id)
            if any(second[0] < first[1] for first, second in pairwise(pieces)):
                yield _violation("pieces", f"{_name(activity)} has pieces out of order", activity.id)

    def calendar(self) -> Iterator[Violation]:
        """Nothing starts before its release or ends after its deadline or the horizon."""
        for activity in self._input.activities:
            item = self._placed[activity.id]
            if item.start_s < activity.release_s or item.start_s < 0:
                yield _violation("calendar", f"{_name(activity)} starts before it may", activity.id)
            for limit in (activity.deadline_s, self._input.horizon_s):
                if limit is not None and item.end_s > limit:
                    yield _violation("calendar", f"{_name(activity)} ends after {limit} s", activity.id)

    def time_lags(self) -> Iterator[Violation]:
        """Each wait is as long as it must be and no longer than it may be; a bake comes after its heat."""
        for lag in self._input.lags:
            before = self._moment(lag.predecessor, lag.predecessor_anchor)
            wait = self._moment(lag.successor, lag.successor_anchor) - before
            if lag.at_least_s is not None and wait < lag.at_least_s:
                message = f"{lag.rule or 'a wait'}: {wait} s instead of at least {lag.at_least_s} s"
                yield _violation("time_lags", message, lag.predecessor, lag.successor)
            if lag.at_most_s is not None and wait > lag.at_most_s:
                message = f"{lag.rule or 'a wait'}: {wait} s instead of at most {lag.at_most_s} s"
                yield _violation("time_lags", message, lag.predecessor, lag.successor)

    def closed_hours(self) -> Iterator[Violation]:
        """Nothing begins while the kitchen is closed, and only what may run then runs then."""
        for activity in self._input.activities:
            item = self._placed[activity.id]
            for since, till in self._input.closed:
                if since < item.start_s < till:
                    yield _violation("closed_hours", f"{_name(activity)} begins while nobody is there", activity.id)
                elif not activity.may_run_closed and item.start_s < till and since < item.end_s:
                    yield _violation("closed_hours", f"{_name(activity)} goes on while nobody is there", activity.id)

    def days(self) -> Iterator[Violation]:
        """What belongs to one day is begun on one day, what is done on an earlier day is begun on an earlier day."""
        for rule in self._input.day_rules:
            one, other = (self._day(self._placed[name].start_s) for name in (rule.one, rule.other))
            if rule.is_apart and one >= other:
                yield _violation("days", f"{rule.rule or 'one day before the other'}: same day", rule.one, rule.other)
            if not rule.is_apart and one != other:
                yield _violation("days", f"{rule.rule or 'on one day'}: another day", rule.one, rule.other)

    def _day(self, moment_s: int) -> int:
        return sum(till <= moment_s for _, till in self._input.closed)

    # ------------------------------------------------------------------------------------------------ people

    def assignment(self) -> Iterator[Violation]:
        """Work that needs somebody has one of those who may do it; other work has nobody."""
        for activity in self._input.activities:
            item = self._placed[activity.id]
            if _binds(activity) and item.worker not in activity.workers:
                yield _violation("assignment", f'{_name(activity)} is done by "{item.worker}"', activity.id)
            if not _binds(activity) and item.worker:
                yield _violation("assignment", f"{_name(activity)} needs nobody", activity.id)

    def look_ins(self) -> Iterator[Violation]:
        """Somebody who may looks in at each full interval after the start, for as long as asked."""
        for activity in self._input.activities:
            item = self._placed[activity.id]
            wanted = self._wanted_look_ins(activity, item)
            if tuple((start, end) for start, end, _ in item.look_ins) != wanted:
                yield _violation("look_ins", f"{_name(activity)} is not looked in on as asked", activity.id)
            if any(name not in activity.workers for _, _, name in item.look_ins):
                yield _violation("look_ins", f"{_name(activity)} is looked in on by somebody who may not", activity.id)

    def _wanted_look_ins(self, activity: Activity, item: Assignment) -> tuple[Interval, ...]:
        look = activity.look_in
        if look is None or not activity.workers:
            return ()
        moments = range(look.every_s, self._own_s(activity), look.every_s)
        return tuple((item.start_s + moment, item.start_s + moment + look.for_s) for moment in moments)

    def hands(self) -> Iterator[Violation]:
        """Nobody does two things at once."""
        for worker in self._input.workers:
            for one, other in pairwise(sorted(self._busy(worker.name))):
                if other[0] < one[1]:
                    yield _violation("hands", f"{worker.name} does two things at {other[0]} s", one[2], other[2])

    def away(self) -> Iterator[Violation]:
        """Nobody works while away."""
        for worker in self._input.workers:
            for start, end, name in self._busy(worker.name):
                if any(start < till and since < end for since, till in worker.away):
                    yield _violation("away", f"{worker.name} is away between {start} s and {end} s", name)

    def _busy(self, worker: str) -> Iterator[tuple[int, int, str]]:
        for item in self._assignments:
            if item.worker == worker:
                yield from ((start, end, item.activity) for start, end in item.pieces if end > start)
            yield from ((start, end, item.activity) for start, end, name in item.look_ins if name == worker)

    # ------------------------------------------------------------------------------------------------ equipment

    def resources(self) -> Iterator[Violation]:
        """No more of anything is in use at once than there is, what is held over several steps and washed included."""
        for occupation in self._input.occupations:
            if self._placed[occupation.last].end_s < self._placed[occupation.first].start_s:
                message = f"{occupation.label or occupation.resource} is freed before it is taken"
                yield _violation("resources", message, occupation.first, occupation.last)
        for resource in self._input.resources:
            label = resource.label or resource.id
            yield from _over("resources", label, resource.capacity, self._uses(resource.id))

    def _uses(self, resource: str) -> Iterator[tuple[int, int, int, str]]:
        for activity in self._input.activities:
            for name, count in activity.needs:
                if name == resource:
                    pieces = self._placed[activity.id].pieces
                    yield from ((start, end, count, activity.id) for start, end in pieces)
        for item in self._input.occupations:
            if item.resource == resource:
                end = self._placed[item.last].end_s + item.after_s
                yield self._placed[item.first].start_s, end, item.count, item.first

    def units(self) -> Iterator[Violation]:
        """One ring, pan or board, where they are told apart, is not in two hands at once."""
        users: dict[tuple[str, int], list[tuple[int, int, str]]] = {}
        for activity in self._input.activities:
            item = self._placed[activity.id]
            needed = {name for name, _ in activity.needs}
            for resource, unit in item.units:
                if resource in needed:
                    entries = users.setdefault((resource, unit), [])
                    entries += [(start, end, activity.id) for start, end in item.pieces if end > start]
        for (resource, unit), entries in users.items():
            for one, other in pairwise(sorted(entries)):
                if other[0] < one[1]:
                    yield _violation("units", f"{resource} {unit} is used twice at {other[0]} s", one[2], other[2])

    # ------------------------------------------------------------------------------------------------ ovens

    def oven_heats(self) -> Iterator[Violation]:
        """An oven's first heat of a day lasts its own time, each later one the change; bakes come after their heat."""
        for oven, change_s in self._ovens():
            heats = self._heats(oven)
            for before, heat in pairwise(heats):
                wanted = 0 if self._left_at(before) == _celsius(heat) else change_s
                item = self._placed[heat.id]
                if self._day(self._placed[before.id].start_s) != self._day(item.start_s):
                    wanted = self._own_s(heat)
                if item.end_s - item.start_s != wanted:
                    yield _violation("oven_heats", f"{_name(heat)} does not take {wanted} s", before.id, heat.id)
                if item.start_s < self._placed[before.id].end_s:
                    yield _violation("oven_heats", f"{oven} is heated twice at {item.start_s} s", before.id, heat.id)
            for first in heats[:1]:
                item = self._placed[first.id]
                if item.end_s - item.start_s != self._own_s(first):
                    yield _violation("oven_heats", f"{_name(first)} does not take {self._own_s(first)} s", first.id)
            for heat in heats:
                for bake in self._bakes(heat):
                    if self._placed[bake.id].start_s < self._placed[heat.id].end_s:
                        yield _violation("oven_heats", f"{_name(bake)} goes into a cold oven", heat.id, bake.id)

    def oven_sessions(self) -> Iterator[Violation]:
        """Sessions at temperatures further apart than the tolerance do not overlap."""
        tolerance = dict(self._input.oven_tolerance_c)
        for oven, _ in self._ovens():
            allowed = tolerance.get(oven, 0)
            for one, other in combinations(self._heats(oven), 2):
                asked = (*self._dialled(one), *self._dialled(other))
                (start, end), (start_2, end_2) = self._session(one), self._session(other)
                if max(asked) - min(asked) > allowed and start < end_2 and start_2 < end:
                    yield _violation("oven_sessions", f"{oven} is needed at {asked} °C at once", one.id, other.id)

    def oven_shelves(self) -> Iterator[Violation]:
        """No more shelves are in use at once than the oven has."""
        shelves = dict(self._input.oven_shelves)
        for oven, _ in self._ovens():
            uses = [
                (start, end, bake.oven.shelves, bake.id)
                for bake in self._input.activities
                if bake.oven is not None and bake.oven.oven == oven and bake.oven.heat
                for start, end in self._placed[bake.id].pieces
            ]
            yield from _over("oven_shelves", f"shelf of the {oven}", shelves.get(oven, 1), uses)

    def _ovens(self) -> list[tuple[str, int]]:
        change = dict(self._input.oven_change_s)
        names = {activity.oven.oven for activity in self._input.activities if activity.oven is not None}
        return [(name, change.get(name, 0)) for name in sorted(names)]

    def _heats(self, oven: str) -> list[Activity]:
        heats = [
            item
            for item in self._input.activities
            if item.kind is ActivityKind.HEAT and item.oven is not None and item.oven.oven == oven
        ]
        return sorted(heats, key=lambda item: (self._placed[item.id].start_s, self._placed[item.id].end_s))

    def _bakes(self, heat: Activity) -> list[Activity]:
        return [item for item in self._input.activities if item.oven is not None and item.oven.heat == heat.id]

    def _dialled(self, heat: Activity) -> list[int]:
        """Return the heat's temperature and, in the order of the input, those that the dial is turned to."""
        allowed = dict(self._input.oven_tolerance_c).get(heat.oven.oven, 0) if heat.oven is not None else 0
        asked = [_celsius(bake) for bake in self._bakes(heat)]
        return [_celsius(heat), *(value for value in asked if abs(value - _celsius(heat)) > allowed)]

    def _left_at(self, heat: Activity) -> int:
        return self._dialled(heat)[-1]

    def _session(self, heat: Activity) -> Interval:
        ends = [self._placed[item.id].end_s for item in (heat, *self._bakes(heat))]
        return self._placed[heat.id].start_s, max(ends)

    # ------------------------------------------------------------------------------------------------ readings

    def _own_s(self, activity: Activity) -> int:
        return activity.short_s if self._is_short else activity.long_s

    def _moment(self, activity: str, anchor: Anchor) -> int:
        item = self._placed[activity]
        return item.start_s if anchor is Anchor.START else item.end_s


def _binds(activity: Activity) -> bool:
    return activity.kind in (ActivityKind.HANDS, ActivityKind.WATCH) and bool(activity.workers)


def _celsius(activity: Activity) -> int:
    return activity.oven.temperature_c if activity.oven is not None else 0


def _name(activity: Activity) -> str:
    return activity.label or activity.id


def _violation(rule: str, message: str, *activities: str) -> Violation:
    return Violation(rule=rule, activities=activities, message=message)


def _over(rule: str, label: str, capacity: int, uses: Iterable[tuple[int, int, int, str]]) -> Iterator[Violation]:
    """Yield each moment at which a use begins and more is in use than there is."""
    entries = sorted(uses)
    for start in dict.fromkeys(entry[0] for entry in entries):
        now = [entry for entry in entries if entry[0] <= start < entry[1]]
        count = sum(entry[2] for entry in now)
        if count > capacity:
            names = [entry[3] for entry in now]
            yield _violation(rule, f"{count} of {label} at {start} s, there are {capacity}", *names)
