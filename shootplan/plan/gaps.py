"""
When hands are idle in a planned day, and which later steps would fit in there.

A plan input and its schedule come in; gaps go out. A step fits if it may be done there with everything else left where
it is: nothing is planned anew.
"""

from __future__ import annotations

from dataclasses import replace

from shootplan.model.day import IdleGap
from shootplan.model.planning import Activity, ActivityKind, Anchor, Assignment, PlanInput, Schedule
from shootplan.plan.orders import hands_uses
from shootplan.plan.verify import verify

__all__ = ["idle_gaps"]

_BINDING = (ActivityKind.HANDS, ActivityKind.WATCH)


def idle_gaps(plan_input: PlanInput, schedule: Schedule, *, least_s: int = 0) -> tuple[IdleGap, ...]:
    """
    Return when each person has nothing to do between call and wrap, by person and clock.

    Parameters
    ----------
    plan_input
        The plan; times away and closed times are no gaps.
    schedule
        A sound schedule of it.
    least_s
        Shorter gaps are left out.
    """
    found = []
    for worker in plan_input.workers:
        busy = [(use.start_s, use.end_s) for use in hands_uses(plan_input, schedule, worker.name)]
        for start, end in _free(sorted([*busy, *worker.away, *plan_input.closed]), schedule.makespan_s):
            if end - start >= max(1, least_s):
                fits = _fitting(plan_input, schedule, worker.name, start, end)
                found.append(IdleGap(worker=worker.name, start_s=start, end_s=end, fits=fits))
    return tuple(found)


def _free(busy: list[tuple[int, int]], until_s: int) -> list[tuple[int, int]]:
    free, reached = [], 0
    for start, end in busy:
        if start > reached:
            free.append((reached, min(start, until_s)))
        reached = max(reached, end)
    return [(start, end) for start, end in [*free, (reached, until_s)] if end > start]


def _fitting(plan_input: PlanInput, schedule: Schedule, worker: str, start_s: int, end_s: int) -> tuple[str, ...]:
    """Return the labels of later steps, hands-on as a whole, that this person could do in the gap."""
    placed = {item.activity: item for item in schedule.assignments}
    parts: dict[str, int] = {}
    for item in plan_input.activities:
        parts[_step(item)] = parts.get(_step(item), 0) + 1
    found = []
    for item in plan_input.activities:
        is_later = placed[item.id].start_s >= end_s and item.long_s <= end_s - start_s
        if item.kind in _BINDING and worker in item.workers and parts[_step(item)] == 1 and is_later:
            at_s = _ready_s(plan_input, placed, item, start_s)
            if at_s + item.long_s <= end_s and _is_sound(plan_input, schedule, item, worker, at_s):
                found.append(item.label or item.id)
    return tuple(found)


def _step(item: Activity) -> str:
    return item.id.partition("#")[0]


def _ready_s(plan_input: PlanInput, placed: dict[str, Assignment], item: Activity, start_s: int) -> int:
    """Return when at the earliest in a gap everything that the step waits for is done; the end of the day if never."""
    ready = max(start_s, item.release_s)
    for lag in plan_input.lags:
        if lag.successor == item.id and lag.at_least_s is not None and lag.at_least_s >= 0:
            before = placed[lag.predecessor]
            counted = before.end_s if lag.predecessor_anchor is Anchor.END else before.start_s
            length = item.long_s if lag.successor_anchor is Anchor.END else 0
            ready = max(ready, counted + lag.at_least_s - length)
        if lag.predecessor == item.id and lag.at_most_s is not None:
            after = placed[lag.successor]
            happens = after.start_s if lag.successor_anchor is Anchor.START else after.end_s
            length = item.long_s if lag.predecessor_anchor is Anchor.END else 0
            ready = max(ready, happens - lag.at_most_s - length)
    return ready


def _is_sound(plan_input: PlanInput, schedule: Schedule, item: Activity, worker: str, at_s: int) -> bool:
    moved = Assignment(activity=item.id, pieces=((at_s, at_s + item.long_s),), worker=worker)
    tried = tuple(moved if old.activity == item.id else replace(old, units=()) for old in schedule.assignments)
    return not verify(plan_input, Schedule(assignments=tried))
