"""
The orders that a filmed schedule fixes: which recording follows which, what runs beside noise, when the meal lies.

A plan and its schedule come in; edges that keep those orders go out, and the recordings with their re-rigs. Times of
the schedule are read only to find the orders.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise

from shootplan.model.filming import DayParts, Recording
from shootplan.model.planning import Activity, ActivityKind, Anchor, Assignment, PlanInput, Schedule
from shootplan.plan.films import CameraWork, camera_work, meal_lags, noise_pairs
from shootplan.plan.graph import ORIGIN, Edge, EdgeKind, Ends, Event, ends_of, starts_of
from shootplan.plan.groups import items_of

__all__ = ["day_parts", "film_edges", "recordings_of"]


def film_edges(plan_input: PlanInput, schedule: Schedule, *, is_short: bool = False) -> Iterator[Edge]:
    """Yield the edges that keep the orders of recordings, noise and meal break."""
    placed = {item.activity: item for item in schedule.assignments}
    for work in camera_work(plan_input):
        yield from _Camera(plan_input, work, placed, is_short).edges()
    for loud, shot in noise_pairs(plan_input):
        first, second = sorted((loud.id, shot.id), key=lambda name: (placed[name].start_s, placed[name].end_s))
        yield Edge(ends_of(first), starts_of(second), 0, EdgeKind.CAMERA, "waits because of the noise")
    for rest in plan_input.breaks:
        yield from _meal_edges(plan_input, placed, rest.activity)


class _Camera:
    """The edges of one camera."""

    def __init__(
        self, plan_input: PlanInput, work: CameraWork, placed: Mapping[str, Assignment], is_short: bool
    ) -> None:
        self._input = plan_input
        self._work = work
        self._placed = placed
        self._ends = Ends.SHORT if is_short else Ends.LONG

    def edges(self) -> Iterator[Edge]:
        shots = sorted(self._work.shots, key=lambda item: (self._placed[item.id].start_s, item.id))
        for shot in shots:
            yield Edge(ORIGIN, starts_of(shot.id), self._work.camera.ready_s, EdgeKind.CAMERA, "waits for the set-up")
            yield from self._away(shot)
        for before, after in pairwise(shots):
            yield self._to_next(before, after)
        yield from self._other_work(shots)

    def _to_next(self, before: Activity, after: Activity) -> Edge:
        weight = self._work.move_s(before, after)
        reason = "waits for the camera"
        if weight and after.film is not None:
            reason = f"waits for the camera to be moved to {after.film.position}"
            weight += sum(length for _, length in self._between(before, after))
            first_s, then_s = self._placed[before.id].start_s, self._placed[after.id].start_s
            weight += sum(till - since for since, till in self._input.closed if first_s <= since and till <= then_s)
        return Edge(ends_of(before.id), starts_of(after.id), weight, EdgeKind.CAMERA, reason)

    def _between(self, before: Activity, after: Activity) -> Iterator[tuple[str, int]]:
        since, till = self._placed[before.id].end_s, self._placed[after.id].start_s
        for name, begin, length, _ in self._others():
            if since <= begin < till:
                yield name, length

    def _others(self) -> Iterator[tuple[str, int, int, int]]:
        """Yield (activity, start, length at this end, offset) of what else takes the operator's time."""
        for item in self._work.others:
            for own in items_of(item, is_short=self._ends is Ends.SHORT):
                yield item.id, self._placed[item.id].start_s + own.offset_s, own.length_s, own.offset_s
        for rest in self._input.breaks if self._work.camera.operator else ():
            meal = self._placed[rest.activity]
            yield meal.activity, meal.start_s, meal.end_s - meal.start_s, 0

    def _other_work(self, shots: list[Activity]) -> Iterator[Edge]:
        """Keep what else the operator does on its side of each recording."""
        for name, begin, length, offset in self._others():
            for shot in shots:
                reason = "waits for the camera's operator"
                if self._placed[shot.id].start_s <= begin:
                    yield Edge(ends_of(shot.id), starts_of(name), -offset, EdgeKind.CAMERA, reason)
                else:
                    yield Edge(starts_of(name), starts_of(shot.id), offset + length, EdgeKind.CAMERA, reason)

    def _away(self, shot: Activity) -> Iterator[Edge]:
        operator = self._work.camera.operator
        for worker in self._input.workers:
            if worker.name != operator:
                continue
            for since, till in worker.away:
                if self._placed[shot.id].start_s >= till:
                    yield Edge(ORIGIN, starts_of(shot.id), till, EdgeKind.CALENDAR, f"waits for {operator} to be back")
                else:
                    yield Edge(ends_of(shot.id), ORIGIN, -since, EdgeKind.CALENDAR, f"{operator} goes away")


def _meal_edges(plan_input: PlanInput, placed: Mapping[str, Assignment], name: str) -> Iterator[Edge]:
    meal = placed[name]
    manned = {camera.name for camera in plan_input.cameras if camera.operator}
    for item in plan_input.activities:
        for event, other, offset, length in _bound_moments(item, placed[item.id], manned):
            if other < meal.start_s or (other == meal.start_s and length == 0):
                yield Edge(event, starts_of(name), offset + length, EdgeKind.CALENDAR, "waits for work to end")
            else:
                yield Edge(ends_of(name), event, -offset, EdgeKind.CALENDAR, "waits for the end of the meal break")
    for lag in meal_lags(plan_input):
        after = starts_of(lag.successor) if lag.successor_anchor is Anchor.START else ends_of(lag.successor)
        if meal.end_s <= placed[lag.predecessor].end_s:
            yield Edge(ends_of(name), ends_of(lag.predecessor), 0, EdgeKind.CALENDAR, "waits for the end of the break")
        else:
            yield Edge(after, starts_of(name), 0, EdgeKind.CALENDAR, f"the break waits: {lag.rule}")


def _bound_moments(item: Activity, placed: Assignment, manned: set[str]) -> Iterator[tuple[Event, int, int, int]]:
    """Yield (event, moment, offset from the event, length) of what somebody does for an activity."""
    is_worked = item.kind in (ActivityKind.HANDS, ActivityKind.WATCH) and bool(item.workers)
    if is_worked or (item.film is not None and item.film.camera in manned):
        for number, (start, end) in enumerate(placed.pieces):
            yield Event(item.id, 0 if number == 0 else 2 * number + 1), start, 0, end - start
    for start, end, _ in placed.look_ins:
        yield starts_of(item.id), start, start - placed.start_s, end - start


# ---------------------------------------------------------------------------------------------------- reading


def recordings_of(plan_input: PlanInput, schedule: Schedule) -> tuple[Recording, ...]:
    """Return every recording by the clock, each with the re-rig before it."""
    placed = {item.activity: item for item in schedule.assignments}
    meals = [placed[rest.activity] for rest in plan_input.breaks]
    rests = sorted([*((meal.start_s, meal.end_s) for meal in meals), *plan_input.closed])
    found = []
    for work in camera_work(plan_input):
        before: Activity | None = None
        for shot in sorted(work.shots, key=lambda item: (placed[item.id].start_s, item.id)):
            assert shot.film is not None
            move = work.move_s(before, shot) if before is not None else 0
            start = placed[shot.id].start_s
            found.append(
                Recording(
                    activity=shot.id,
                    camera=work.camera.name,
                    position=shot.film.position,
                    start_s=start,
                    end_s=placed[shot.id].end_s,
                    rerig_s=move,
                    rerig_from_s=_moved_from(start, move, rests) if move else 0,
                )
            )
            before = shot
    return tuple(sorted(found, key=lambda item: (item.start_s, item.end_s, item.activity)))


def _moved_from(start_s: int, move_s: int, rests: list[tuple[int, int]]) -> int:
    """Return the latest moment to begin a move that ends at ``start_s``; nobody moves a camera in a break or closed."""
    begins_s = start_s - move_s
    for since, till in reversed(rests):
        if since < start_s and till > begins_s:
            begins_s -= till - since
    return begins_s


def day_parts(plan_input: PlanInput, schedule: Schedule, *, strike_s: int = 0) -> DayParts:
    """Return the parts of the day for the first camera, which add up to wrap less call (rule T5)."""
    works = camera_work(plan_input)
    main = works[0].camera if works else None
    films = {item.id: item.film for item in plan_input.activities}
    own = [item for item in recordings_of(plan_input, schedule) if main is not None and item.camera == main.name]
    resets = sum(film.resets_s for film in (films[item.activity] for item in own) if film is not None)
    recording = sum(item.end_s - item.start_s for item in own) - resets
    rerig = sum(item.rerig_s for item in own)
    lunch = sum(meal.length_s for meal in plan_input.breaks)
    closed = sum(till - since for since, till in plan_input.closed if till <= schedule.makespan_s)
    days = 1 + sum(till <= schedule.makespan_s for _, till in plan_input.closed)
    set_up = main.ready_s * days if main is not None else 0
    wait = schedule.makespan_s - set_up - recording - resets - rerig - lunch - closed
    return DayParts(
        set_up_s=set_up,
        recording_s=recording,
        rerig_s=rerig,
        reset_s=resets,
        wait_s=wait,
        break_s=lunch,
        strike_s=strike_s,
        closed_s=closed,
    )
