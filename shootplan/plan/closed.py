"""
The closed times of a plan over several days, as edges of its temporal network and ready for list schedules.

A plan comes in, edges go out: what the closed times and the rules of days ask of any plan, and what keeps a schedule's
days while it still moves.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from shootplan.model.days import day_of
from shootplan.model.planning import Activity, PlanInput, Schedule, Worker
from shootplan.plan.calendars import FOREVER_S
from shootplan.plan.graph import ORIGIN, Edge, EdgeKind, Event, Network, ends_of, starts_of
from shootplan.records import dataclass

__all__ = ["CLOSES", "Days", "add_closed_times", "away_or_closed", "day_edges", "set_up_s"]

#: What holds everything on its day; whatever breaks it is late for its day's closing.
CLOSES = "is done before the kitchen closes"
_OPENS = "waits until the kitchen opens"


def set_up_s(plan_input: PlanInput, item: Activity) -> int:
    """Return how long after a day begins something may be recorded: each day begins with the set-up of its camera."""
    if item.film is None:
        return 0
    name = item.film.camera
    return next((camera.ready_s for camera in plan_input.cameras if camera.name == name), 0)


def away_or_closed(plan_input: PlanInput, worker: Worker) -> tuple[tuple[int, int], ...]:
    """Return when a person does nothing, in order."""
    return tuple(sorted((*worker.away, *plan_input.closed)))


def add_closed_times(plan_input: PlanInput, network: Network) -> None:
    """
    Add what the closed times ask of any plan: what cannot be done before one, as early as it may be, comes after it.

    Raises
    ------
    PositiveCycle
        If the network's rules, or these with them, contradict one another.
    """
    while plan_input.closed:
        earliest, _ = network.earliest()
        later = dict(_later(plan_input, earliest))
        if not later:
            return
        for name, opens_s in later.items():
            network.add(Edge(ORIGIN, starts_of(name), opens_s, EdgeKind.CALENDAR, _OPENS))


def _later(plan_input: PlanInput, earliest: dict[Event, int]) -> Iterator[tuple[str, int]]:
    """Yield what begins later than its earliest start for the sake of a closed time, and when."""
    for item in plan_input.activities:
        start_s, end_s = earliest[starts_of(item.id)], earliest[ends_of(item.id)]
        for since_s, till_s in plan_input.closed:
            is_across = since_s < start_s if item.may_run_closed else since_s < end_s
            opens_s = till_s + set_up_s(plan_input, item)
            if start_s < opens_s and (is_across or start_s >= till_s):
                yield item.id, opens_s
                break
    for rule in plan_input.day_rules:
        one_s, other_s = earliest[starts_of(rule.one)], earliest[starts_of(rule.other)]
        day = day_of(plan_input, one_s) + (1 if rule.is_apart else 0)
        if 0 < day <= len(plan_input.closed) and other_s < plan_input.closed[day - 1][1]:
            yield rule.other, plan_input.closed[day - 1][1]
        other_day = day_of(plan_input, other_s)
        if not rule.is_apart and other_day > day_of(plan_input, one_s):
            yield rule.one, plan_input.closed[other_day - 1][1]


@dataclass(frozen=True, slots=True)
class Days:
    """
    The days of a plan, ready to be looked up: closed times, what belongs together, what comes on a later day.

    ``together`` maps an activity to all that are begun on its day, ``after`` to those begun on an earlier one.
    """

    closed: tuple[tuple[int, int], ...]
    together: Mapping[str, frozenset[str]]
    after: Mapping[str, tuple[str, ...]]

    @classmethod
    def of(cls, plan_input: PlanInput) -> Days:
        """Return the days of a plan; without closed times nothing is in them."""
        blocks: dict[str, set[str]] = {}
        after: dict[str, tuple[str, ...]] = {}
        for rule in plan_input.day_rules if plan_input.closed else ():
            if rule.is_apart:
                after[rule.other] = (*after.get(rule.other, ()), rule.one)
                continue
            joined = blocks.setdefault(rule.one, {rule.one}) | blocks.setdefault(rule.other, {rule.other})
            blocks |= dict.fromkeys(joined, joined)
        return cls(plan_input.closed, {name: frozenset(found) for name, found in blocks.items()}, after)

    def number(self, moment_s: int) -> int:
        """Return the day of a moment, counted from 0."""
        return sum(till_s <= moment_s for _, till_s in self.closed)

    def opens_s(self, day: int) -> int:
        """Return when a day begins; far away after the last."""
        return 0 if day == 0 else self.closed[day - 1][1] if day <= len(self.closed) else FOREVER_S

    def from_s(self, name: str, begun: Mapping[str, int]) -> int:
        """Return from when on an activity may begin, after what is begun already."""
        days = [self.number(begun[other]) for other in self.together.get(name, ()) if other in begun]
        days += [self.number(begun[other]) + 1 for other in self.after.get(name, ()) if other in begun]
        return self.opens_s(max(days, default=0))

    def open_from(self, item: Activity, moment_s: int, length_s: int) -> int:
        """Return ``moment_s`` if an activity may run from then, else when the kitchen opens after it."""
        for since_s, till_s in self.closed:
            ends_s = moment_s if item.may_run_closed else moment_s + length_s
            if moment_s < till_s and since_s < ends_s:
                return till_s
        return moment_s


def day_edges(plan_input: PlanInput, schedule: Schedule) -> Iterator[Edge]:
    """Yield the edges that keep everything on its day while a schedule's times move."""
    free = {item.id for item in plan_input.activities if item.may_run_closed}
    activities = {item.id: item for item in plan_input.activities}
    for item in schedule.assignments:
        for since_s, till_s in plan_input.closed:
            if item.start_s >= till_s:
                opens_s = till_s + set_up_s(plan_input, activities[item.activity])
                yield Edge(ORIGIN, starts_of(item.activity), opens_s, EdgeKind.CALENDAR, _OPENS)
            else:
                event = starts_of(item.activity) if item.activity in free else ends_of(item.activity)
                yield Edge(event, ORIGIN, -since_s, EdgeKind.CALENDAR, CLOSES)
