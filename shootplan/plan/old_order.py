"""
The rest of the day in the order in which it was planned before.

A rest and the old schedule come in; schedules of the rest that follow the old order go out, with ranks for whoever
looks for another one. Nothing is searched here.
"""

from __future__ import annotations

from dataclasses import field, replace

from shootplan.model.planning import Activity, ActivityKind, Assignment, PlanInput, Schedule
from shootplan.plan.fixed_order import fixed_order
from shootplan.plan.graph import Ends
from shootplan.plan.greedy import ordered_schedule
from shootplan.plan.rest import NOW, Rest
from shootplan.plan.rest_ovens import AGAIN
from shootplan.plan.verify import verify
from shootplan.records import dataclass

__all__ = ["OldOrder"]

_BINDING = (ActivityKind.HANDS, ActivityKind.WATCH)


@dataclass(slots=True)
class OldOrder:
    """
    The old schedule seen from now.

    ``pinned`` are activities whose moment is given: now, what runs, looking in on it, what the oven is at. ``ranks``
    gives each activity its place in the old plan, the pinned ones first.
    """

    rest: Rest
    old: Schedule
    now_s: int
    pinned: frozenset[str] = frozenset()
    ranks: dict[str, int] = field(default_factory=dict)
    _placed: dict[str, Assignment] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._placed = {item.activity: item for item in self.old.assignments}
        activities = self.rest.plan_input.activities
        runs = {lag.successor for lag in self.rest.plan_input.lags if lag.predecessor == NOW and lag.at_most_s == 0}
        fixed = {item.id for item in activities if item.deadline_s is not None}
        self.pinned = frozenset({*runs, *fixed, *self.rest.look_ins})
        order = sorted(range(len(activities)), key=lambda number: self._key(activities[number], number))
        self.ranks = {activities[number].id: place for place, number in enumerate(order)}

    def _key(self, activity: Activity, number: int) -> tuple[bool, int, int]:
        item = self._placed.get(activity.id.removesuffix(AGAIN) if self.rest.days.closings else activity.id)
        return activity.id not in self.pinned, item.start_s if item is not None else 0, number

    @property
    def is_broken_off(self) -> bool:
        """Whether the old plan breaks work off that is still ahead."""
        return any(len(item.pieces) > 1 and item.activity in self.ranks for item in self.old.assignments)

    def best(self, plan_input: PlanInput) -> Schedule | None:
        """Return the shortest sound plan that follows the old order, the more faithful of two equals, or ``None``."""
        found = [self._kept(plan_input), ordered_schedule(plan_input, self.ranks)]
        sound = [item for item in found if item is not None and not verify(plan_input, item)]
        return min(sound, key=lambda item: item.makespan_s, default=None)

    def _kept(self, plan_input: PlanInput) -> Schedule | None:
        """
        Return the old plan with every one of its orders kept, what should have begun already moved behind now.

        What is planned for a later day stays there.
        """
        free = [item.id for item in plan_input.activities if item.id not in self.pinned and item.id in self._placed]
        shift = max(0, self.now_s - min((self._placed[name].start_s for name in free), default=self.now_s)) + 1
        assignments = tuple(
            self._assignment(plan_input, item, self._shift(item.id, shift)) for item in plan_input.activities
        )
        return fixed_order(plan_input, Schedule(assignments=assignments), ends=Ends.LONG)

    def _shift(self, name: str, shift_s: int) -> int:
        tomorrow_s = next((till_s for _, till_s in self.rest.days.closed), None)
        is_later = tomorrow_s is not None and name in self._placed and self._placed[name].start_s >= tomorrow_s
        return 0 if is_later else shift_s

    def _assignment(self, plan_input: PlanInput, activity: Activity, shift: int) -> Assignment:
        item = self._placed.get(activity.id)
        if item is None or activity.id in self.pinned:
            waits = [
                lag.at_least_s or 0
                for lag in plan_input.lags
                if lag.predecessor == NOW and lag.successor == activity.id
            ]
            start = self.now_s + max(waits, default=0)
            worker = activity.workers[0] if activity.kind in _BINDING and activity.workers else ""
            return Assignment(activity=activity.id, pieces=((start, start + activity.long_s),), worker=worker)
        pieces = tuple((start + shift, end + shift) for start, end in item.pieces)
        if activity.kind is not ActivityKind.HEAT and sum(end - start for start, end in pieces) != activity.long_s:
            pieces = ((pieces[0][0], pieces[0][0] + activity.long_s),)
        looks = tuple((start + shift, end + shift, name) for start, end, name in item.look_ins)
        worker = item.worker if item.worker in activity.workers else ""
        return replace(item, pieces=pieces, worker=worker, look_ins=looks if activity.look_in is not None else ())

    def inversions(self, schedule: Schedule) -> int:
        """Return how many pairs of the free activities begin in another order than in the old plan."""
        starts = [
            (self.ranks[item.activity], item.start_s)
            for item in schedule.assignments
            if item.activity not in self.pinned
        ]
        starts.sort()
        return sum(starts[i][1] > starts[j][1] for j in range(len(starts)) for i in range(j))
