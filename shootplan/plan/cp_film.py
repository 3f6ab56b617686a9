"""
The rules of the filmed day in the solver's model: cameras and their re-rigs, noise, the meal break.

A copy of the model comes in, constraints are added to it; each rule has the name that it has in ``verify``. One
literal orders each two recordings at different positions: a circuit over all of them proves nothing in this time.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import TYPE_CHECKING, Any

from shootplan.model.planning import Activity, ActivityKind, Anchor, Lag
from shootplan.plan.films import CameraWork, camera_work, meal_lags, noise_pairs
from shootplan.plan.graph import Ends, duration_at
from shootplan.plan.groups import items_of

if TYPE_CHECKING:
    from shootplan.plan.cp_sat import ModelCopy

__all__ = ["add_filming", "least_standing", "shortest_camera"]


def add_filming(copy: ModelCopy) -> None:
    """Add every rule of filming to a copy of the model."""
    for work in camera_work(copy.owner.plan_input):
        _Camera(copy, work).add()
    noise(copy)
    meal(copy)


class _Camera:
    """One camera's rules."""

    def __init__(self, copy: ModelCopy, work: CameraWork) -> None:
        self._copy = copy
        self._work = work
        self._model = copy.model
        self._owner = copy.owner

    def add(self) -> None:
        self.cameras()
        for one, other in combinations(self._work.shots, 2):
            move = self._owner.units(self._work.move_s(one, other))
            back = self._owner.units(self._work.move_s(other, one))
            if move or back:
                self.rerig(one, other, move, back)

    def cameras(self) -> None:
        """One recording at a time, none before the camera is ready or while its operator is away or works."""
        camera = self._work.camera
        busy = [interval for item in self._work.shots for interval in self._recordings(item)]
        busy += [interval for item in self._work.others for interval in self._intervals(item)]
        busy += list(self._away(camera.operator))
        self._model.add_no_overlap(busy)
        for item in self._work.shots:
            self._model.add(self._copy.start[item.id] >= self._owner.units(camera.ready_s))

    def _recordings(self, item: Activity) -> Iterator[Any]:
        live = self._owner.live(item)
        if not live:
            yield from self._copy.intervals[item.id]
            return
        length = self._owner.units(duration_at(item, self._copy.ends))
        yield self._model.new_optional_fixed_size_interval_var(self._copy.start[item.id], length, live[0], "recording")

    def _intervals(self, item: Activity) -> Iterator[Any]:
        for own in items_of(item, is_short=self._copy.ends is Ends.SHORT):
            begin = self._copy.start[item.id] + self._owner.units(own.offset_s)
            length = self._owner.units(own.length_s)
            yield self._model.new_fixed_size_interval_var(begin, length, f"operator {item.id} {own.look_in}")

    def _away(self, operator: str) -> Iterator[Any]:
        for worker in self._owner.plan_input.workers:
            if worker.name == operator:
                for since, till in worker.away:
                    first, last = self._owner.units(since), self._owner.units(till)
                    yield self._model.new_fixed_size_interval_var(first, last - first, "operator away")

    def rerig(self, one: Activity, other: Activity, move: int, back: int) -> None:
        """Between two positions lies the re-rig, less what else the operator does meanwhile, the meal included."""
        is_first = self._owner.literal("camera", one.id, other.id)
        for before, after, gap, literal in ((one, other, move, is_first), (other, one, back, ~is_first)):
            taken = self._taken(before, after) + self._closed(before, after) if gap else 0
            start, end = self._copy.start[after.id], self._copy.end[before.id]
            both = [*self._owner.live(one), *self._owner.live(other)]
            self._model.add(start >= end + gap + taken).only_enforce_if([literal, *both])

    def _taken(self, before: Activity, after: Activity) -> Any:
        """Return the operator's other work between two recordings, the first of which comes first."""
        total: Any = 0
        for item in (*self._work.others, *self._meals()):
            for own in items_of(item, is_short=self._copy.ends is Ends.SHORT) or _whole(item, self._copy.ends):
                length = self._owner.units(own.length_s)
                key = (item.id, own.look_in)
                begin = self._copy.start[item.id] + self._owner.units(own.offset_s)
                total += length * (
                    self._is_after(key, begin, length, before) - self._is_after(key, begin, length, after)
                )
        return total

    def _closed(self, before: Activity, after: Activity) -> Any:
        """Return the closed times between two recordings: nobody moves a camera then."""
        closed = enumerate(self._owner.plan_input.closed)
        return sum(
            (self._owner.units(till) - self._owner.units(since)) * self._copy.is_between(before.id, after.id, number)
            for number, (since, till) in closed
        )

    def _meals(self) -> Iterator[Activity]:
        if self._work.camera.operator:
            yield from (item for item in self._owner.plan_input.activities if item.kind is ActivityKind.BREAK)

    def _is_after(self, key: tuple[str, int], begin: Any, length: int, shot: Activity) -> Any:
        """Return the literal "that work comes after the recording"; else it comes before it."""
        name = ("after shot", *key, shot.id)
        is_new = (self._copy.ends, *name) not in self._copy.known
        literal = self._owner.literal(*name)
        if is_new:
            self._copy.known.add((self._copy.ends, *name))
            live = self._owner.live(shot)
            self._model.add(begin >= self._copy.end[shot.id]).only_enforce_if([literal, *live])
            self._model.add(begin + length <= self._copy.start[shot.id]).only_enforce_if([~literal, *live])
        return literal


def _whole(item: Activity, ends: Ends) -> Iterator[Any]:
    from shootplan.plan.groups import Item

    yield Item(item.id, 0, 0, duration_at(item, ends))


def noise(copy: ModelCopy) -> None:
    """Nothing noisy runs while another step is recorded with its sound."""
    for loud, shot in noise_pairs(copy.owner.plan_input):
        is_first = copy.owner.literal("noise", loud.id, shot.id)
        live = copy.owner.live(shot)
        copy.model.add(copy.start[shot.id] >= copy.end[loud.id]).only_enforce_if([is_first, *live])
        copy.model.add(copy.start[loud.id] >= copy.end[shot.id]).only_enforce_if([~is_first, *live])


def meal(copy: ModelCopy) -> None:
    """In the meal break no camera is run, and no limit on waiting runs across it; nobody works then either."""
    for rest in copy.owner.plan_input.breaks:
        _break(copy, rest.activity)


def _break(copy: ModelCopy, rest: str) -> None:
    plan_input = copy.owner.plan_input
    begin, end = copy.start[rest], copy.end[rest]
    manned = {camera.name for camera in plan_input.cameras if camera.operator}
    for item in plan_input.activities:
        if item.film is not None and item.film.camera in manned and item.long_s:
            is_after = copy.owner.literal("after shot", rest, 0, item.id)
            copy.model.add(begin >= copy.end[item.id]).only_enforce_if(is_after)
            copy.model.add(end <= copy.start[item.id]).only_enforce_if(~is_after)
    for number, lag in enumerate(meal_lags(plan_input)):
        is_before = copy.owner.literal("meal before", rest, number)
        copy.model.add(end <= copy.end[lag.predecessor]).only_enforce_if(is_before)
        copy.model.add(begin >= _moment(copy, lag)).only_enforce_if(~is_before)


def _moment(copy: ModelCopy, lag: Lag) -> Any:
    return copy.start[lag.successor] if lag.successor_anchor is Anchor.START else copy.end[lag.successor]


# ---------------------------------------------------------------------------------------------------- aims


def shortest_camera(copy: ModelCopy) -> Any:
    """Return how long the cameras are needed, from each one's first recording to its last."""
    total: Any = 0
    for work in camera_work(copy.owner.plan_input):
        first = copy.model.new_int_var(0, copy.top, "first recording")
        last = copy.model.new_int_var(0, copy.top, "last recording")
        for item in work.shots:
            copy.model.add(first <= copy.start[item.id])
            copy.model.add(last >= copy.end[item.id])
        total += last - first
    return total


def least_standing(copy: ModelCopy) -> Any:
    """Return how long all that goes into a served dish stands before it is plated."""
    plan_input = copy.owner.plan_input
    total: Any = 0
    for lag in plan_input.lags:
        if lag.successor in plan_input.heroes and lag.at_least_s is not None and lag.at_least_s >= 0:
            total += copy.start[lag.successor] - copy.end[lag.predecessor]
    return total
