"""
How often the cameras are moved, in the solver's model: recordings of one set-up hang together.

A copy of the model comes in, constraints are added, the number of re-rigs goes out. A circuit over all recordings
proves nothing in useful time. Two ways do, each where the other does not. To prove the fewest re-rigs: each recording
may be tied to one earlier in the list that it shares a set-up with, so that ties make trees, one for each set-up, and
every recording from elsewhere lies on one side of a tie. To find a short day with so many re-rigs: the set-ups are
numbered in their order, and what a camera has done before a recording and has left after it bounds the clock.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import TYPE_CHECKING, Any

from shootplan.model.planning import Activity, PlanInput, Schedule
from shootplan.plan.films import CameraWork, camera_work

if TYPE_CHECKING:
    from shootplan.plan.cp_sat import ModelCopy

__all__ = ["fewest_rerigs", "hint_rerigs", "number_set_ups", "tie_rules"]


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


def tie_rules(plan_input: PlanInput) -> int:
    """Return how many rules ``fewest_rerigs`` adds to a model: for each tie two with each recording from elsewhere."""
    return sum(_SetUps.rules(work) for work in camera_work(plan_input))


def number_set_ups(copy: ModelCopy, least: int, most: int) -> None:
    """Let the cameras be moved ``most`` times at most, all together; no day does with fewer than ``least`` moves."""
    moved = [work for work in camera_work(copy.owner.plan_input) if work.least_move_s]
    copy.model.add_linear_constraint(sum(_numbered(copy, work, most) for work in moved), least, most)


def _numbered(copy: ModelCopy, work: CameraWork, most: int) -> Any:
    """Number the set-ups of a camera from 0 in their order, and return the last one's number."""
    owner, model = copy.owner, copy.model
    number = {item.id: model.new_int_var(0, most, f"set-up {item.id}") for item in work.shots}
    last = model.new_int_var(0, most, f"last set-up {work.camera.name}")
    before: dict[str, Any] = dict.fromkeys(number, 0)
    after: dict[str, Any] = dict.fromkeys(number, 0)
    for one, other in combinations(work.shots, 2):
        is_first = owner.literal("camera", one.id, other.id)
        is_moved = int(bool(work.move_s(one, other) and work.move_s(other, one)))
        for first, second, literal in ((one, other, is_first), (other, one, ~is_first)):
            model.add(number[second.id] >= number[first.id] + is_moved).only_enforce_if(literal)
            if not is_moved:
                model.add(copy.start[second.id] >= copy.end[first.id]).only_enforce_if(literal)
            before[second.id] += owner.units(first.long_s) * literal
            after[first.id] += owner.units(second.long_s) * literal
    move, ready = owner.units(work.least_move_s), owner.units(work.camera.ready_s)
    for item in work.shots:
        model.add(last >= number[item.id])
        model.add(copy.start[item.id] >= ready + before[item.id] + move * number[item.id])
        model.add(copy.makespan >= copy.end[item.id] + after[item.id] + move * (last - number[item.id]))
    return last


class _SetUps:
    """The set-ups of one camera."""

    def __init__(self, copy: ModelCopy, work: CameraWork) -> None:
        self._copy = copy
        self._work = work
        self._places = _places(work)

    @staticmethod
    def rules(work: CameraWork) -> int:
        """Return how many rules keep the ties of a camera."""
        shots = len(work.shots)
        return sum(len(place) * (len(place) - 1) * (shots - len(place)) for place in _places(work))

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
        return _is_moved(self._work, one, other)


def _is_moved(work: CameraWork, one: Activity, other: Activity) -> bool:
    return bool(work.move_s(one, other) or work.move_s(other, one))


def _places(work: CameraWork) -> list[list[Activity]]:
    """Return a camera's recordings by place: those with no move between."""
    found: list[list[Activity]] = []
    for item in work.shots:
        own = next((place for place in found if not _is_moved(work, place[0], item)), None)
        if own is None:
            found.append([item])
        else:
            own.append(item)
    return found
