"""
Reading a planned day: rows by the clock, what runs alone meanwhile, limits that run, equipment at once.

A plan input and its schedule come in; the frozen rows of ``model.day`` go out. Nothing is scheduled or changed here.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from shootplan.model.day import DayRow, EquipmentPeak, PendingLimit, RowKind, RowPart, RunningTask
from shootplan.model.planning import Activity, ActivityKind, Anchor, Assignment, Lag, PlanInput, Schedule
from shootplan.model.prep import Washing
from shootplan.plan.orders import unit_uses

__all__ = ["equipment_peaks", "pending_limits", "running_meanwhile", "steps_by_clock", "washing_up"]

_ALONE = (ActivityKind.LEAVE, ActivityKind.HEAT)


def running_meanwhile(plan_input: PlanInput, schedule: Schedule, at_s: int) -> tuple[RunningTask, ...]:
    """Return what is left alone or heating at a moment (start included, end not), the next to end first."""
    placed = _placed(schedule)
    found = [
        RunningTask(
            activity=activity.id,
            recipe=activity.recipe,
            step=activity.step,
            label=activity.label,
            ends_s=placed[activity.id].end_s,
        )
        for activity in plan_input.activities
        if activity.kind in _ALONE and placed[activity.id].start_s <= at_s < placed[activity.id].end_s
    ]
    return tuple(sorted(found, key=lambda task: (task.ends_s, task.activity)))


def pending_limits(plan_input: PlanInput, schedule: Schedule, from_s: int, to_s: int) -> tuple[PendingLimit, ...]:
    """
    Return the limits on waiting that run at any moment from ``from_s`` to ``to_s``, the next to expire first.

    A limit runs from the moment it is counted from until what it waits for happens. The joined parts of one step have
    no limits to watch. Two recipes that must land together limit whichever comes later.
    """
    placed = _placed(schedule)
    steps = {activity.id: (activity.recipe, activity.step) for activity in plan_input.activities}
    found = [
        limit
        for lag in plan_input.lags
        if steps[lag.predecessor] != steps[lag.successor]
        for counted_from, limit in _limits(lag, placed)
        if counted_from <= to_s and limit.planned_s >= max(from_s, counted_from)
    ]
    return tuple(sorted(found, key=lambda limit: (limit.latest_s, limit.rule)))


def steps_by_clock(plan_input: PlanInput, schedule: Schedule) -> tuple[DayRow, ...]:
    """Return the day's rows in order of the clock: one for each step or batch, one for each look-in."""
    reader = _Reader(plan_input, schedule)
    rows = [row for run in _runs(plan_input.activities) for row in reader.rows(run)]
    return tuple(sorted(rows, key=lambda row: (row.clock_s, row.kind is RowKind.LOOK_IN, row.end_s, row.activities)))


def equipment_peaks(plan_input: PlanInput, schedule: Schedule) -> tuple[EquipmentPeak, ...]:
    """Return the peak of each kind of equipment in the order of the input, ovens (their shelves) last."""
    placed = _placed(schedule)
    peaks = []
    for resource in plan_input.resources:
        uses = list(_uses(plan_input, placed, resource.id))
        peaks.append(_peak(resource.id, resource.label or resource.id, resource.capacity, uses))
    for oven, shelves in plan_input.oven_shelves:
        uses = [
            (placed[item.id].start_s, placed[item.id].end_s, item.oven.shelves)
            for item in plan_input.activities
            if item.oven is not None and item.oven.oven == oven and item.kind is not ActivityKind.HEAT
        ]
        peaks.append(_peak(oven, f"{oven} shelf", shelves, uses))
    return tuple(peaks)


def washing_up(plan_input: PlanInput, schedule: Schedule) -> tuple[Washing, ...]:
    """Return each vessel that is washed and then used again, by the clock; no hands are planned for the washing."""
    labels = {activity.id: activity.label or activity.id for activity in plan_input.activities}
    things = {resource.id: resource.label or resource.id for resource in plan_input.resources}
    lasts = {(held.resource, held.first): held for held in plan_input.occupations}
    found = []
    for thing, units in unit_uses(plan_input, schedule).items():
        for before, after in (pair for uses in units.values() for pair in pairwise(uses)):
            held = lasts.get((thing, before.activity))
            if held is not None and held.after_s:
                found.append(
                    Washing(
                        label=things[thing],
                        free_s=before.end_s - held.after_s,
                        clean_s=before.end_s,
                        wanted_s=after.start_s,
                        before=labels[held.last],
                        after=labels[after.activity],
                    )
                )
    return tuple(sorted(found, key=lambda item: (item.free_s, item.label, item.wanted_s)))


# ---------------------------------------------------------------------------------------------------- rows


class _Reader:
    """Makes the rows of one step's activities."""

    def __init__(self, plan_input: PlanInput, schedule: Schedule) -> None:
        self.plan_input = plan_input
        self.schedule = schedule
        self._placed = _placed(schedule)
        self._recipes = {activity.id: activity.recipe for activity in plan_input.activities}
        self._after = _followers(plan_input)
        self._reached: dict[str, set[str]] = {}

    def rows(self, run: tuple[Activity, ...]) -> Iterator[DayRow]:
        yield self._step_row(run, self._placed)
        for activity in run:
            for start_s, end_s, worker in self._placed[activity.id].look_ins:
                yield self._look_in_row(activity, start_s, end_s, worker)

    def _step_row(self, run: tuple[Activity, ...], placed: dict[str, Assignment]) -> DayRow:
        first, clock_s = run[0], placed[run[0].id].start_s
        end_s = placed[run[-1].id].end_s
        own = {activity.id for activity in run}
        busy_until = max((placed[item.id].end_s for item in run if item.kind not in _ALONE), default=clock_s)
        return DayRow(
            clock_s=clock_s,
            end_s=end_s,
            kind=RowKind.STEP,
            recipe=first.recipe,
            step=first.step,
            label=first.label,
            activities=tuple(activity.id for activity in run),
            who=next((placed[item.id].worker for item in run if placed[item.id].worker), ""),
            parts=tuple(_row_parts(run, placed)),
            equipment=self._equipment(run),
            look_ins=tuple(start for item in run for start, _, _ in placed[item.id].look_ins),
            meanwhile=self._meanwhile(clock_s, own),
            limits=self._limits(clock_s, busy_until, own),
        )

    def _look_in_row(self, activity: Activity, start_s: int, end_s: int, worker: str) -> DayRow:
        return DayRow(
            clock_s=start_s,
            end_s=end_s,
            kind=RowKind.LOOK_IN,
            recipe=activity.recipe,
            step=activity.step,
            label=activity.label,
            activities=(activity.id,),
            who=worker,
            parts=(RowPart(kind="hands", start_s=start_s, end_s=end_s),),
            meanwhile=self._meanwhile(start_s, {activity.id}),
            limits=self._limits(start_s, end_s, {activity.id}),
        )

    def _meanwhile(self, at_s: int, own: set[str]) -> tuple[RunningTask, ...]:
        running = running_meanwhile(self.plan_input, self.schedule, at_s)
        return tuple(task for task in running if task.activity not in own)

    def _limits(self, from_s: int, to_s: int, own: set[str]) -> tuple[PendingLimit, ...]:
        """Return the limits that run while a row lasts, less those that another row meets as this one begins."""
        found = pending_limits(self.plan_input, self.schedule, from_s, to_s)
        return tuple(limit for limit in found if limit.planned_s > from_s or limit.successor in own)

    def _equipment(self, run: tuple[Activity, ...]) -> tuple[str, ...]:
        words = [_counted(name, count) for item in run for name, count in item.needs]
        ids = {activity.id for activity in run}
        for held in self.plan_input.occupations:
            is_own = self._recipes[held.first] == run[0].recipe
            if is_own and ids & self._reach(held.first) and any(held.last in self._reach(item) for item in ids):
                words.append(_counted(held.resource, held.count))
        for item in run:
            if item.oven is not None:
                words.append(f"{item.oven.oven} {item.oven.temperature_c} °C")
        return tuple(dict.fromkeys(words))

    def _reach(self, start: str) -> set[str]:
        """Return an activity and all that wait for it: a step between taking and freeing a vessel works with it."""
        if start not in self._reached:
            found, waiting = {start}, [start]
            while waiting:
                new = self._after.get(waiting.pop(), set()) - found
                found |= new
                waiting += sorted(new)
            self._reached[start] = found
        return self._reached[start]


def _followers(plan_input: PlanInput) -> dict[str, set[str]]:
    followers: dict[str, set[str]] = {}
    for lag in plan_input.lags:
        if lag.successor_anchor is Anchor.START:
            followers.setdefault(lag.predecessor, set()).add(lag.successor)
    return followers


def _row_parts(run: tuple[Activity, ...], placed: dict[str, Assignment]) -> Iterator[RowPart]:
    for activity in run:
        for start_s, end_s in placed[activity.id].pieces:
            if end_s > start_s:
                yield RowPart(kind=activity.kind.value, start_s=start_s, end_s=end_s)


def _runs(activities: tuple[Activity, ...]) -> Iterator[tuple[Activity, ...]]:
    """Yield the activities of each step or batch together; a heat that no step says is a row of its own."""
    groups: dict[str, list[Activity]] = {}
    for activity in activities:
        if activity.step:
            groups.setdefault(activity.id.split("#")[0] + _apart(activity, activities), []).append(activity)
    yield from (tuple(group) for group in groups.values())


def _apart(activity: Activity, activities: tuple[Activity, ...]) -> str:
    """Tell an inserted heat, which is not joined to its step's parts, from a step that heats."""
    if activity.kind is not ActivityKind.HEAT:
        return ""
    base = activity.id.split("#")[0]
    bakes = any(item.id.startswith(f"{base}#") and item.oven and item.oven.heat == activity.id for item in activities)
    return "#heat" if bakes else ""


def _counted(name: str, count: int) -> str:
    return name if count == 1 else f"{count} × {name}"


# ---------------------------------------------------------------------------------------------------- use


def _placed(schedule: Schedule) -> dict[str, Assignment]:
    return {item.activity: item for item in schedule.assignments}


def _ends(lag: Lag, placed: dict[str, Assignment]) -> tuple[int, int]:
    before, after = placed[lag.predecessor], placed[lag.successor]
    counted_from = before.end_s if lag.predecessor_anchor is Anchor.END else before.start_s
    happens = after.end_s if lag.successor_anchor is Anchor.END else after.start_s
    return counted_from, happens


def _limits(lag: Lag, placed: dict[str, Assignment]) -> Iterator[tuple[int, PendingLimit]]:
    """Yield each maximum of a lag with the moment from which it is counted; a negative minimum is one backwards."""
    before, after = _ends(lag, placed)
    if lag.at_most_s is not None:
        latest_s = before + lag.at_most_s
        yield before, PendingLimit(rule=lag.rule, successor=lag.successor, latest_s=latest_s, planned_s=after)
    if lag.at_least_s is not None and lag.at_least_s < 0 and after < before:
        latest_s = after - lag.at_least_s
        yield after, PendingLimit(rule=lag.rule, successor=lag.predecessor, latest_s=latest_s, planned_s=before)


def _uses(plan_input: PlanInput, placed: dict[str, Assignment], resource: str) -> Iterator[tuple[int, int, int]]:
    for activity in plan_input.activities:
        for name, count in activity.needs:
            if name == resource:
                for start_s, end_s in placed[activity.id].pieces:
                    yield start_s, end_s, count
    for held in plan_input.occupations:
        if held.resource == resource:
            yield placed[held.first].start_s, placed[held.last].end_s + held.after_s, held.count


def _peak(resource: str, label: str, capacity: int, uses: list[tuple[int, int, int]]) -> EquipmentPeak:
    peak, at_s = 0, 0
    for moment in sorted({start for start, _, _ in uses}):
        used = sum(count for start, end, count in uses if start <= moment < end)
        if used > peak:
            peak, at_s = used, moment
    return EquipmentPeak(resource=resource, label=label, peak=peak, capacity=capacity, at_s=at_s)
