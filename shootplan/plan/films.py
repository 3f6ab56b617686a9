"""
What a plan's filming asks of every schedule: recordings by camera, who runs them, noise against sound, the meal.

A ``PlanInput`` comes in, facts that hold for every schedule go out. When anything happens is decided elsewhere.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import permutations

from shootplan.model.filming import Camera
from shootplan.model.planning import Activity, ActivityKind, Anchor, Lag, PlanInput
from shootplan.records import dataclass

__all__ = ["CameraWork", "camera_work", "is_mere_recording", "meal_lags", "noise_pairs", "operators", "sole_work"]

_BOUND = (ActivityKind.HANDS, ActivityKind.WATCH)


@dataclass(frozen=True, slots=True, kw_only=True)
class CameraWork:
    """
    A camera with its recordings, in the order of the input, and the other work of who runs it.

    ``others`` are activities whose hands or look-ins only the camera's operator can do; they take time from re-rigs.
    """

    camera: Camera
    shots: tuple[Activity, ...]
    others: tuple[Activity, ...]

    def move_s(self, first: Activity, second: Activity) -> int:
        """Return the seconds of a re-rig from one recording to another."""
        if first.film is None or second.film is None:
            return 0
        return self.camera.move_s(first.film.position, second.film.position)

    @property
    def least_move_s(self) -> int:
        """The seconds of the shortest re-rig between two of its recordings, 0 if there is none."""
        moves = {self.move_s(one, other) for one, other in permutations(self.shots, 2)}
        return min(moves - {0}, default=0)

    def least_s(self, rerigs: int) -> int:
        """Return the seconds from call that the camera needs with so many re-rigs, however short the waits are."""
        return self.camera.ready_s + sum(item.long_s for item in self.shots) + rerigs * self.least_move_s


def camera_work(plan_input: PlanInput) -> tuple[CameraWork, ...]:
    """Return the cameras that record anything; what takes no time is nothing."""
    found = []
    for camera in plan_input.cameras:
        shots = [item for item in plan_input.activities if item.film is not None and item.long_s]
        own = tuple(item for item in shots if item.film is not None and item.film.camera == camera.name)
        if own:
            others = tuple(item for item in sole_work(plan_input, camera.operator) if item not in own)
            found.append(CameraWork(camera=camera, shots=own, others=others))
    return tuple(found)


def is_mere_recording(item: Activity) -> bool:
    """Whether an activity is there for the camera alone: without its shot there is nothing to do."""
    return item.film is not None and "+" in item.id


def sole_work(plan_input: PlanInput, name: str) -> Iterator[Activity]:
    """Yield the work that only one person can do: hands, watching and looking in."""
    for item in plan_input.activities:
        is_work = item.kind in _BOUND or item.look_in is not None
        if name and item.workers == (name,) and is_work:
            yield item


def operators(plan_input: PlanInput) -> frozenset[str]:
    """Return those who run a camera."""
    return frozenset(work.camera.operator for work in camera_work(plan_input) if work.camera.operator)


def noise_pairs(plan_input: PlanInput) -> Iterator[tuple[Activity, Activity]]:
    """Yield each noisy activity with each recording of another step whose sound it would spoil."""
    loud = [item for item in plan_input.activities if item.is_noisy and item.long_s]
    for noisy in loud:
        for shot in plan_input.activities:
            is_heard = shot.film is not None and shot.film.has_sync_sound and shot.long_s > 0
            if is_heard and (shot.recipe, shot.step) != (noisy.recipe, noisy.step):
                yield noisy, shot


def meal_lags(plan_input: PlanInput) -> Iterator[Lag]:
    """Yield the limits on waiting that no meal break may fall into: those counted from the end of something."""
    for lag in plan_input.lags:
        is_wait = lag.predecessor_anchor is Anchor.END and lag.at_most_s is not None and lag.at_most_s > 0
        if is_wait and lag.at_least_s is not None and lag.at_least_s >= 0:
            yield lag
