"""
The orders that a schedule fixes: who does what after what, which ring or pan serves whom, how the oven goes on.

A plan and its schedule come in; units of counted things, sequences, and edges that keep those orders go out. Times of
the schedule are read only to find the orders.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from shootplan.model.days import day_of
from shootplan.model.planning import Activity, ActivityKind, Assignment, PlanInput, Schedule
from shootplan.model.planning import Sequence as Order
from shootplan.plan.closed import day_edges
from shootplan.plan.graph import ORIGIN, Edge, EdgeKind, Event, ends_of, starts_of
from shootplan.plan.ovens import Session, ovens_of
from shootplan.records import dataclass

__all__ = ["Moment", "Use", "hands_uses", "heat_seconds", "order_edges", "sequences", "unit_uses", "with_units"]


@dataclass(frozen=True, slots=True, order=True)
class Moment:
    """``offset_s`` after an event: a look-in has no event of its own."""

    event: Event
    offset_s: int = 0


@dataclass(frozen=True, slots=True, order=True)
class Use:
    """Something in use from ``start_s`` to ``end_s`` by an activity, told by the moments that bound it."""

    start_s: int
    end_s: int
    activity: str
    begins: Moment
    ends: Moment
    count: int = 1
    is_held: bool = False
    recipe: str = ""


def with_units(plan_input: PlanInput, schedule: Schedule) -> Schedule:
    """
    Return the schedule with each counted thing's units numbered from 1, at the activities that take them.

    A dish goes on where it was last, if nothing else is there: its pan is not lifted to another ring. Else a unit that
    nothing was on serves, then the one that was freed first, which leaves the most room to move.
    """
    taken: dict[str, list[tuple[str, int]]] = {}
    capacities = _capacities(plan_input)
    for thing, uses in _thing_uses(plan_input, schedule).items():
        for use, units in _units(uses, capacities[thing]):
            known = taken.setdefault(use.activity, [])
            known += [(thing, unit) for unit in units if (thing, unit) not in known]
    return Schedule(
        assignments=tuple(replace(item, units=tuple(taken.get(item.activity, ()))) for item in schedule.assignments)
    )


def sequences(plan_input: PlanInput, schedule: Schedule) -> tuple[Order, ...]:
    """Return the order in which each person, each unit and each oven serves activities, people first."""
    found = []
    for worker in plan_input.workers:
        found.append(_order(worker.name, hands_uses(plan_input, schedule, worker.name)))
    units = unit_uses(plan_input, schedule)
    for resource in plan_input.resources:
        for unit, uses in units[resource.id].items():
            found.append(_order(f"{resource.label or resource.id} {unit}", uses))
    for oven in ovens_of(plan_input):
        heats = _heat_order(oven.sessions, _placed(schedule))
        found.append(Order(resource=oven.name, activities=tuple(session.id for session in heats)))
    return tuple(found)


def _order(name: str, uses: Sequence[Use]) -> Order:
    return Order(resource=name, activities=tuple(use.activity for use in sorted(uses)))


def unit_uses(plan_input: PlanInput, schedule: Schedule) -> dict[str, dict[int, list[Use]]]:
    """Return {thing: {unit: its uses by start}} of everything counted, washing after a use included."""
    things = _thing_uses(plan_input, schedule)
    return {item.id: _by_unit(things[item.id], item.capacity) for item in plan_input.resources}


def heat_seconds(plan_input: PlanInput, schedule: Schedule, own_s: Mapping[str, int]) -> dict[str, int]:
    """Return how long each heat lasts in the schedule's order: a day's first its ``own_s``, a later one the change."""
    found: dict[str, int] = {}
    placed = _placed(schedule)
    for oven in ovens_of(plan_input):
        heats = _heat_order(oven.sessions, placed)
        found |= {session.id: own_s[session.id] for session in heats[:1]}
        for before, after in pairwise(heats):
            days = {day_of(plan_input, placed[item.id].start_s) for item in (before, after)}
            found[after.id] = own_s[after.id] if len(days) > 1 else oven.change_after(before, after)
    return found


def order_edges(plan_input: PlanInput, schedule: Schedule, *, is_short: bool = False) -> Iterator[Edge]:
    """
    Yield the edges that keep a schedule's orders, by which times it may still move.

    Parameters
    ----------
    plan_input
        The plan.
    schedule
        A sound schedule at the long ends.
    is_short
        Whether the edges are for the short ends, where the last look-ins may be gone.
    """
    for worker in plan_input.workers:
        uses = hands_uses(plan_input, schedule, worker.name, is_short=is_short)
        yield from _chain(uses, EdgeKind.HANDS, f"waits for {worker.name}'s hands")
        for since, till in worker.away:
            yield from _away_edges(uses, since, till, worker.name)
    units = unit_uses(plan_input, schedule)
    for resource in plan_input.resources:
        label = resource.label or resource.id
        for uses in units[resource.id].values():
            yield from _chain(uses, EdgeKind.GEAR, f"waits for the {label}")
    yield from _oven_edges(plan_input, schedule)
    yield from day_edges(plan_input, schedule)
    if plan_input.cameras:
        from shootplan.plan.film_orders import film_edges

        yield from film_edges(plan_input, schedule, is_short=is_short)


# ---------------------------------------------------------------------------------------------------- people and things


def _placed(schedule: Schedule) -> dict[str, Assignment]:
    return {item.activity: item for item in schedule.assignments}


def _capacities(plan_input: PlanInput) -> dict[str, int]:
    return {resource.id: resource.capacity for resource in plan_input.resources}


def _pieces(item: Assignment, count: int = 1, recipe: str = "") -> Iterator[Use]:
    """Yield the pieces of an activity as uses, bounded by the marks of its start, its pauses and its end."""
    last = len(item.pieces) - 1
    for number, (start, end) in enumerate(item.pieces):
        begins = Event(item.activity, 0 if number == 0 else 2 * number + 1)
        ends = Event(item.activity, 1 if number == last else 2 * number + 2)
        yield Use(start, end, item.activity, Moment(begins), Moment(ends), count, recipe=recipe)


def hands_uses(plan_input: PlanInput, schedule: Schedule, worker: str, *, is_short: bool = False) -> list[Use]:
    """Return what a person does in a schedule, look-ins included, by start."""
    found: list[Use] = []
    activities = {activity.id: activity for activity in plan_input.activities}
    for item in schedule.assignments:
        if item.worker == worker:
            found += [use for use in _pieces(item) if use.end_s > use.start_s]
        kept = _look_ins_kept(activities[item.activity], is_short)
        for start, end, name in item.look_ins[:kept]:
            if name == worker:
                event = starts_of(item.activity)
                begins, ends = Moment(event, start - item.start_s), Moment(event, end - item.start_s)
                found.append(Use(start, end, item.activity, begins, ends))
    return sorted(found)


def _look_ins_kept(activity: Activity, is_short: bool) -> int:
    if activity.look_in is None:
        return 0
    return len(activity.look_in.offsets(activity.short_s if is_short else activity.long_s))


def _thing_uses(plan_input: PlanInput, schedule: Schedule) -> dict[str, list[Use]]:
    """Return the uses of each counted thing that take time, by start."""
    placed = _placed(schedule)
    found: dict[str, list[Use]] = {resource.id: [] for resource in plan_input.resources}
    for activity in plan_input.activities:
        for name, count in activity.needs:
            if name in found:
                found[name] += _pieces(placed[activity.id], count, activity.recipe)
    for held in plan_input.occupations:
        if held.resource in found:
            start, end = placed[held.first].start_s, placed[held.last].end_s + held.after_s
            begins, ends = Moment(starts_of(held.first)), Moment(ends_of(held.last), held.after_s)
            found[held.resource].append(Use(start, end, held.first, begins, ends, held.count, is_held=True))
    return {name: sorted(use for use in uses if use.end_s > use.start_s) for name, uses in found.items()}


def _units(uses: Sequence[Use], capacity: int) -> Iterator[tuple[Use, tuple[int, ...]]]:
    """Yield each use with the numbers of the units that serve it, by start; a plan may take more than there are."""
    free_at, dish = [-1] * capacity, [""] * capacity
    for use in uses:
        free = [number for number, moment in enumerate(free_at) if moment <= use.start_s]
        own = [number for number in free if use.recipe and dish[number] == use.recipe]
        own.sort(key=lambda number: (-free_at[number], number))
        others = sorted(set(free) - set(own), key=lambda number: (free_at[number], number))
        chosen = [*own, *others][: use.count]
        for number in range(len(free_at), len(free_at) + use.count - len(chosen)):
            chosen.append(number)
            free_at.append(-1)
            dish.append("")
        for number in chosen:
            free_at[number], dish[number] = use.end_s, use.recipe
        yield use, tuple(number + 1 for number in chosen)


def _by_unit(uses: Sequence[Use], capacity: int) -> dict[int, list[Use]]:
    found: dict[int, list[Use]] = {}
    for use, units in _units(uses, capacity):
        for unit in units:
            found.setdefault(unit, []).append(use)
    return dict(sorted(found.items()))


def _chain(uses: Sequence[Use], kind: EdgeKind, reason: str) -> Iterator[Edge]:
    for before, after in pairwise(uses):
        if before.activity == after.activity and before.ends.event == after.begins.event:
            continue
        weight = before.ends.offset_s - after.begins.offset_s
        yield Edge(before.ends.event, after.begins.event, weight, kind, reason)


def _away_edges(uses: Sequence[Use], since_s: int, till_s: int, worker: str) -> Iterator[Edge]:
    """Keep each use on its side of a time away."""
    reason = f"waits for {worker} to be back"
    for use in uses:
        if use.start_s >= till_s:
            yield Edge(ORIGIN, use.begins.event, till_s - use.begins.offset_s, EdgeKind.CALENDAR, reason)
        elif use.end_s <= since_s:
            yield Edge(use.ends.event, ORIGIN, use.ends.offset_s - since_s, EdgeKind.CALENDAR, f"{worker} goes away")


# ---------------------------------------------------------------------------------------------------- ovens


def _heat_order(sessions: Sequence[Session], placed: Mapping[str, Assignment]) -> list[Session]:
    return sorted(sessions, key=lambda item: (placed[item.id].start_s, placed[item.id].end_s))


def _oven_edges(plan_input: PlanInput, schedule: Schedule) -> Iterator[Edge]:
    placed, shelves = _placed(schedule), dict(plan_input.oven_shelves)
    for oven in ovens_of(plan_input):
        heats = _heat_order(oven.sessions, placed)
        for number, after in enumerate(heats):
            reason = f"waits for the {oven.name} to change to {after.temperatures[0]} °C"
            for before in heats[:number]:
                ends = before.members if oven.clash(before, after) else (before.heat,)
                for item in ends:
                    yield Edge(ends_of(item.id), starts_of(after.id), 0, EdgeKind.OVEN, reason)
        uses = [
            use
            for session in oven.sessions
            for bake in session.bakes
            if bake.oven is not None and bake.kind is not ActivityKind.HEAT
            for use in _pieces(placed[bake.id], bake.oven.shelves)
            if use.end_s > use.start_s
        ]
        for shared in _by_unit(sorted(uses), shelves.get(oven.name, 1)).values():
            yield from _chain(shared, EdgeKind.OVEN, f"waits for a shelf of the {oven.name}")
