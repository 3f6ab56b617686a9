"""
Filming in the rest of a day: where each camera stands, what records now, whether the break is still to come.

A plan input and what happened come in; what the rest has of cameras and meal goes out. What was begun together is
believed, even where it breaks a rule of filming: the rule is dropped for what runs.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from shootplan.model.days import day_of, staffed_s
from shootplan.model.filming import Camera, Meal
from shootplan.model.planning import Activity, PlanInput
from shootplan.model.replanning import Fact

__all__ = ["RestFilm"]

#: Later than any day: the hour by which the break must begin is a limit of its own in the rest, which may give.
_NO_HOUR_S = 10**8


class RestFilm:
    """What filming asks of the rest."""

    def __init__(self, plan_input: PlanInput, facts: Mapping[str, Fact], now_s: int) -> None:
        self._input, self._facts, self._now_s = plan_input, facts, now_s
        self._running = [
            item
            for item in plan_input.activities
            if item.id in facts and not facts[item.id].is_done and not facts[item.id].is_waiting
        ]

    def from_s(self, activity: Activity) -> int:
        """Return the first moment at which a recording may begin, its camera moved there from where it stands."""
        film = activity.film
        if film is None:
            return 0
        known = [
            (self._facts[item.id].start_s, self._facts[item.id].end_s, item.film.position)
            for item in self._input.activities
            if item.id in self._facts and item.film is not None and item.film.camera == film.camera
        ]
        camera = self._camera(film.camera)
        opens_s = staffed_s(self._input)[day_of(self._input, self._now_s)][0]
        ready_s = opens_s + camera.ready_s if opens_s and all(start_s < opens_s for start_s, _, _ in known) else 0
        if not known:
            return ready_s
        _, end_s, position = max(known)
        return max(ready_s, self._moved_s(end_s, camera.move_s(position, film.position)))

    def _moved_s(self, from_s: int, move_s: int) -> int:
        """Return when a camera that is moved from a moment on stands: nobody moves it while the kitchen is closed."""
        for since_s, till_s in self._input.closed:
            if from_s < till_s and since_s < from_s + move_s:
                return till_s + move_s - max(0, since_s - from_s)
        return from_s + move_s

    def _camera(self, name: str) -> Camera:
        return next(camera for camera in self._input.cameras if camera.name == name)

    def running(self, activity: Activity) -> Activity:
        """Return what runs without what cannot be asked of it any more: a camera that is elsewhere, silence."""
        if activity.film is not None and not self._is_recorded(activity):
            activity = replace(activity, film=None)
        if activity.is_noisy and any(item.film is not None and item.id != activity.id for item in self._running):
            activity = replace(activity, is_noisy=False)
        return activity

    def _is_recorded(self, activity: Activity) -> bool:
        """Whether the camera is on this: on the latest begun, and its operator does nothing else."""
        assert activity.film is not None
        camera = self._camera(activity.film.camera)
        rivals = [item for item in self._running if item.film is not None and item.film.camera == camera.name]
        latest = max(rivals, key=lambda item: (self._facts[item.id].start_s, item.id))
        busy = {self._facts[item.id].worker for item in self._running if item.id != activity.id}
        return latest.id == activity.id and not (camera.operator and camera.operator in busy)

    def cameras(self) -> tuple[Camera, ...]:
        """Return the cameras; one that records already is set up."""
        rolling = {item.film.camera for item in self._running if item.film is not None}
        return tuple(
            replace(camera, ready_s=min(camera.ready_s, self._now_s)) if camera.name in rolling else camera
            for camera in self._input.cameras
        )

    def meal(self) -> Meal | None:
        """Return the rule of the break while it is to come or runs; when it must begin is a limit that may give."""
        meal = self._input.meal
        return self._left_of(meal) if meal is not None and meal.activity else None

    def earlier_meals(self) -> tuple[Meal, ...]:
        """Return the same for the breaks of the days before the last."""
        left = (self._left_of(meal) for meal in self._input.earlier_meals)
        return tuple(meal for meal in left if meal is not None)

    def _left_of(self, meal: Meal) -> Meal | None:
        fact = self._facts.get(meal.activity)
        if fact is not None and fact.is_done:
            return None
        return replace(meal, within_s=_NO_HOUR_S, from_s=0 if fact is not None else meal.from_s)
