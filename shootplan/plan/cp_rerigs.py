"""
How often the cameras are moved, in the solver's model: recordings of one set-up hang together.

A copy of the model comes in, constraints are added, the number of re-rigs goes out. A circuit over all recordings
proves nothing in useful time; here each recording may be tied to one earlier in the list that it shares a set-up with,
so that ties make trees, one for each set-up, and every recording from elsewhere lies on one side of a tie.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import TYPE_CHECKING, Any

from shootplan.model.planning import Activity, Schedule
from shootplan.plan.films import CameraWork, camera_work

if TYPE_CHECKING:
    from shootplan.plan.cp_sat import ModelCopy

__all__ = ["fewest_rerigs", "hint_rerigs"]


def fewest_rerigs(copy: ModelCopy) -> Any:
    """
    Return the number of re-rigs: set-ups less one for each camera, a set-up being recordings with no move between.

    A camera's moves there and back are alike in whether they take time, as those of a kitchen file are.
    """
    return sum(_SetUps(copy, work).count() - 1 for work in camera_work(copy.owner.plan_input))


def hint_rerigs(copy: ModelCopy, schedule: Schedule) -> None:
    """Start the search from the set-ups of a schedule; ``fewest_rerigs`` has been asked for."""
    for work in camera_work(copy.owner.plan_input):
        _SetUps(copy, work).hint(schedule)


class _SetUps:
    """The set-ups of one camera."""

    def __init__(self, copy: ModelCopy, work: CameraWork) -> None:
        self._copy = copy
        self._work = work
        self._places: list[list[Activity]] = []
        for item in work.shots:
            own = next((place for place in self._places if not self._is_moved(place[0], item)), None)
            if own is None:
                self._places.append([item])
            else:
                own.append(item)

    def count(self) -> Any:
        """Return the number of set-ups: recordings less ties, at least one for each place."""
        ties = []
        for place in self._places:
            others = [item for item in self._work.shots if item not in place]
            for number, later in enumerate(place):
                own = [self._tie(earlier, later) for earlier in place[:number]]
                for earlier, tie in zip(place, own, strict=False):
                    self._together(earlier, later, tie, others)
                self._copy.model.add_at_most_one(own)
                ties += own
        most = len(self._work.shots)
        total = self._copy.model.new_int_var(len(self._places), most, f"set-ups {self._work.camera.name}")
        self._copy.model.add(total == most - sum(ties))
        return total

    def hint(self, schedule: Schedule) -> None:
        start = {item.activity: item.start_s for item in schedule.assignments}
        set_up: dict[str, int] = {}
        number, before = 0, None
        for item in sorted(self._work.shots, key=lambda item: (start[item.id], item.id)):
            number += before is not None and self._is_moved(before, item)
            set_up[item.id], before = number, item
        for place in self._places:
            for k, later in enumerate(place):
                alike = [item for item in place[:k] if set_up[item.id] == set_up[later.id]]
                for earlier in place[:k]:
                    self._copy.model.add_hint(self._tie(earlier, later), earlier in alike[:1])
        for one, other in self._pairs():
            is_first = self._copy.owner.literal("camera", one.id, other.id)
            self._copy.model.add_hint(is_first, start[one.id] < start[other.id])

    def _together(self, earlier: Activity, later: Activity, tie: Any, others: list[Activity]) -> None:
        """Let a tie hold only where no recording from elsewhere lies between the two."""
        for item in others:
            one, other = self._is_before(item, earlier), self._is_before(item, later)
            self._copy.model.add_bool_or([~tie, ~one, other])
            self._copy.model.add_bool_or([~tie, one, ~other])

    def _tie(self, earlier: Activity, later: Activity) -> Any:
        return self._copy.owner.literal("one set-up", earlier.id, later.id)

    def _is_before(self, one: Activity, other: Activity) -> Any:
        """Return the literal "the first is recorded before the second", whose order in the list says its name."""
        shots = self._work.shots
        if shots.index(one) < shots.index(other):
            return self._copy.owner.literal("camera", one.id, other.id)
        return ~self._copy.owner.literal("camera", other.id, one.id)

    def _pairs(self) -> Iterator[tuple[Activity, Activity]]:
        return ((one, other) for one, other in combinations(self._work.shots, 2) if self._is_moved(one, other))

    def _is_moved(self, one: Activity, other: Activity) -> bool:
        return bool(self._work.move_s(one, other) or self._work.move_s(other, one))
