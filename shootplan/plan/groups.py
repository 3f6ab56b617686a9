"""
People who are interchangeable, and who of them does what once the times are known.

Workers with the same hours and the same work form a group; the planner counts a group, this module names the people.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from shootplan.model.planning import Activity, ActivityKind, Assignment, PlanInput, Worker
from shootplan.records import dataclass

__all__ = ["Group", "Item", "assigned", "groups_of", "items_of", "name_people"]


@dataclass(frozen=True, slots=True, order=True)
class Item:
    """Work of one person: an activity (``look_in`` 0) or its k-th look-in, ``offset_s`` after the activity's start."""

    activity: str
    look_in: int = 0
    offset_s: int = 0
    length_s: int = 0


@dataclass(frozen=True, slots=True)
class Group:
    """Interchangeable workers, in the order of the input."""

    workers: tuple[Worker, ...]

    @property
    def name(self) -> str:
        """The first worker's name."""
        return self.workers[0].name

    def may_do(self, activity: Activity) -> bool:
        """Return whether these people may do an activity."""
        return self.workers[0].name in activity.workers


def items_of(activity: Activity, *, is_short: bool = False) -> tuple[Item, ...]:
    """Return what people do for an activity; what takes no time is nothing."""
    own = activity.short_s if is_short else activity.long_s
    if not activity.workers:
        return ()
    if activity.kind in (ActivityKind.HANDS, ActivityKind.WATCH):
        return (Item(activity.id, 0, 0, own),) if activity.long_s else ()
    if activity.look_in is None:
        return ()
    offsets = activity.look_in.offsets(own)
    return tuple(Item(activity.id, k, offset, activity.look_in.for_s) for k, offset in enumerate(offsets, start=1))


def groups_of(plan_input: PlanInput, *, is_pooled: bool = True) -> tuple[Group, ...]:
    """Return the groups, each worker alone unless ``is_pooled``."""
    found: dict[object, list[Worker]] = {}
    for worker in plan_input.workers:
        work = frozenset(item.id for item in plan_input.activities if worker.name in item.workers)
        key = (work, worker.away) if is_pooled else worker.name
        if work:
            found.setdefault(key, []).append(worker)
    return tuple(Group(tuple(workers)) for workers in found.values())


def name_people(
    groups: Sequence[Group], chosen: Mapping[Item, Group], busy: Mapping[Item, Iterable[tuple[int, int]]]
) -> dict[Item, str]:
    """Return a name for each item, by start: the first of the group who is free; ``busy`` are the items' intervals."""
    names: dict[Item, str] = {}
    for group in groups:
        free_at = {worker.name: 0 for worker in group.workers}
        own = [(sorted(busy[item]), item) for item in chosen if chosen[item] == group]
        for intervals, item in sorted(own):
            start, end = intervals[0][0], intervals[-1][1]
            free = [name for name, moment in free_at.items() if moment <= start]
            if len(group.workers) == 1:
                free = [group.name]
            names[item] = free[0]
            free_at[free[0]] = end
    return names


def assigned(activity: Activity, pieces: Sequence[tuple[int, int]], names: Mapping[Item, str]) -> Assignment:
    """Return an activity's assignment: when it runs, and who does it and looks in on it."""
    start = pieces[0][0]
    own = items_of(activity)
    worker = next((names[item] for item in own if not item.look_in), "")
    if activity.kind in (ActivityKind.HANDS, ActivityKind.WATCH) and activity.workers and not worker:
        worker = activity.workers[0]
    looks = tuple(
        (start + item.offset_s, start + item.offset_s + item.length_s, names[item]) for item in own if item.look_in
    )
    return Assignment(activity=activity.id, pieces=tuple(pieces), worker=worker, look_ins=looks)
