"""
Whether a schedule keeps the rules of a filmed day: cameras and re-rigs, noise against sound, the meal break.

A ``PlanInput`` and the placed assignments come in, each broken rule goes out as a ``Violation``. As in ``verify``
nothing is shared with the planners.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise

from shootplan.model.filming import Camera, Meal
from shootplan.model.planning import Activity, Anchor, Assignment, PlanInput, Violation

__all__ = ["film_violations"]


def film_violations(plan_input: PlanInput, placed: Mapping[str, Assignment]) -> Iterator[Violation]:
    """Yield every broken rule of filming, under the names that the solver's model gives them."""
    film = _Film(plan_input, placed)
    for camera in plan_input.cameras:
        yield from film.cameras(camera)
        yield from film.rerig(camera)
    yield from film.noise()
    yield from film.meal()


class _Film:
    """One small method for each rule."""

    def __init__(self, plan_input: PlanInput, placed: Mapping[str, Assignment]) -> None:
        self._input = plan_input
        self._placed = placed

    def cameras(self, camera: Camera) -> Iterator[Violation]:
        """One recording at a time, none before the set-up is done; its operator is there and does nothing else."""
        shots = self._shots(camera)
        for one, other in pairwise(shots):
            if self._placed[other.id].start_s < self._placed[one.id].end_s:
                message = f"{camera.name} records {_name(one)} and {_name(other)} at once"
                yield Violation(rule="cameras", activities=(one.id, other.id), message=message)
        for shot in shots:
            item = self._placed[shot.id]
            begins_s = max((till for _, till in self._input.closed if till <= item.start_s), default=0)
            if item.start_s - begins_s < camera.ready_s:
                message = f"{_name(shot)} is recorded before the set-up is done"
                yield Violation(rule="cameras", activities=(shot.id,), message=message)
            for start, end, name in self._operator_busy(camera, shot.id):
                if start < item.end_s and item.start_s < end:
                    message = f"{camera.operator} does something else while {_name(shot)} is recorded"
                    yield Violation(rule="cameras", activities=(shot.id, name), message=message)

    def rerig(self, camera: Camera) -> Iterator[Violation]:
        """Between two positions its operator has the time of the re-rig, free of other work, breaks and time away."""
        shots = self._shots(camera)
        for one, other in pairwise(shots):
            since, till = self._placed[one.id].end_s, self._placed[other.id].start_s
            taken = _covered(self._operator_busy(camera), since, till)
            needed = self._move_s(camera, one, other)
            if needed and till - since - taken < needed:
                message = f"{till - since - taken} s to move {camera.name} before {_name(other)}, {needed} s are needed"
                yield Violation(rule="rerig", activities=(one.id, other.id), message=message)

    def noise(self) -> Iterator[Violation]:
        """Nothing noisy runs while another step is recorded with its sound."""
        for loud in self._input.activities:
            for shot in self._input.activities:
                is_other = (loud.recipe, loud.step) != (shot.recipe, shot.step)
                is_heard = shot.film is not None and shot.film.has_sync_sound
                if loud.is_noisy and is_heard and is_other and self._overlap(loud.id, shot.id):
                    message = f"{_name(loud)} is heard in {_name(shot)}"
                    yield Violation(rule="noise", activities=(loud.id, shot.id), message=message)

    def meal(self) -> Iterator[Violation]:
        """A long day has its break in time, in which nobody works, nothing is recorded and no limit runs."""
        meal = self._input.meal
        wrap_s = max((item.end_s for item in self._placed.values()), default=0)
        if meal is not None and not meal.activity and wrap_s > meal.within_s:
            message = f"no break within {meal.within_s // 60} min of call"
            yield Violation(rule="meal", activities=(), message=message)
        for rest in self._input.breaks:
            yield from self._break(rest)

    def _break(self, meal: Meal) -> Iterator[Violation]:
        item = self._placed[meal.activity]
        if not meal.from_s <= item.start_s <= meal.within_s:
            message = f"the break begins {item.start_s // 60} min after call"
            yield Violation(rule="meal", activities=(meal.activity,), message=message)
        for activity in self._input.activities:
            if activity.id != meal.activity and self._is_busy(activity, item.start_s, item.end_s):
                message = f"{_name(activity)} runs into the meal break"
                yield Violation(rule="meal", activities=(activity.id, meal.activity), message=message)
        yield from self._limits_in(item)

    def _limits_in(self, meal: Assignment) -> Iterator[Violation]:
        for lag in self._input.lags:
            if lag.at_most_s is None or lag.at_least_s is None or lag.predecessor_anchor is not Anchor.END:
                continue
            if lag.at_most_s <= 0 or lag.at_least_s < 0:
                continue
            since = self._placed[lag.predecessor].end_s
            after = self._placed[lag.successor]
            till = after.start_s if lag.successor_anchor is Anchor.START else after.end_s
            if meal.start_s < till and since < meal.end_s:
                yield Violation(
                    rule="meal", activities=(lag.successor,), message=f"the break lies in a limit: {lag.rule}"
                )

    # ------------------------------------------------------------------------------------------------ readings

    def _shots(self, camera: Camera) -> list[Activity]:
        own = [
            item
            for item in self._input.activities
            if item.film is not None and item.film.camera == camera.name and self._lasts(item.id)
        ]
        return sorted(own, key=lambda item: (self._placed[item.id].start_s, self._placed[item.id].end_s))

    def _lasts(self, name: str) -> bool:
        return self._placed[name].end_s > self._placed[name].start_s

    def _move_s(self, camera: Camera, one: Activity, other: Activity) -> int:
        if one.film is None or other.film is None or one.film.position == other.film.position:
            return 0
        return {(a, b): s for a, b, s in camera.moves}[one.film.position, other.film.position]

    def _operator_busy(self, camera: Camera, recording: str = "") -> Iterator[tuple[int, int, str]]:
        """Yield what else keeps the operator: work, looking in, time away, the break; one recording apart."""
        if not camera.operator:
            return
        for name, item in self._placed.items():
            if name != recording and item.worker == camera.operator:
                yield from ((start, end, name) for start, end in item.pieces)
            yield from ((start, end, name) for start, end, who in item.look_ins if who == camera.operator)
        for worker in self._input.workers:
            if worker.name == camera.operator:
                yield from ((since, till, "") for since, till in worker.away)
        yield from ((since, till, "") for since, till in self._input.closed)
        for rest in self._input.breaks:
            meal = self._placed[rest.activity]
            yield meal.start_s, meal.end_s, meal.activity

    def _is_busy(self, activity: Activity, since: int, till: int) -> bool:
        item = self._placed[activity.id]
        manned = {camera.name for camera in self._input.cameras if camera.operator}
        is_recorded = activity.film is not None and activity.film.camera in manned
        bound = list(item.pieces) if item.worker or is_recorded else []
        bound += [(start, end) for start, end, _ in item.look_ins]
        return any(start < till and since < end and start < end for start, end in bound)

    def _overlap(self, one: str, other: str) -> bool:
        return any(
            start < end_2 and start_2 < end and start < end and start_2 < end_2
            for start, end in self._placed[one].pieces
            for start_2, end_2 in self._placed[other].pieces
        )


def _covered(busy: Iterator[tuple[int, int, str]], since: int, till: int) -> int:
    """Return how many seconds between two moments are taken, what overlaps counted once."""
    taken, reached = 0, since
    for start, end, _ in sorted(busy):
        taken += max(0, min(end, till) - max(start, reached))
        reached = max(reached, end)
    return taken


def _name(activity: Activity) -> str:
    return activity.label or activity.id
