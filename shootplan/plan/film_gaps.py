"""
The filmed day minute by minute for the main camera, and what could be shot while it waits.

A plan input and its schedule come in. ``stretches_of`` cuts the day into the parts of rule T5, each moment in exactly
one of them; ``camera_gaps`` finds the waits and the later shots that would fit in, re-rigs there and back included.
Nothing is planned anew: a shot fits if everything else may stay where it is.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from shootplan.model.filming import CameraGap, Film, Recording, Stretch
from shootplan.model.planning import Activity, Anchor, Assignment, PlanInput, Schedule
from shootplan.plan.film_orders import recordings_of
from shootplan.plan.verify import verify

__all__ = ["camera_gaps", "stretches_of"]

Interval = tuple[int, int]


def stretches_of(plan_input: PlanInput, schedule: Schedule, *, strike_s: int = 0) -> tuple[Stretch, ...]:
    """
    Return the day from call to the end of the strike, cut into parts that neither overlap nor leave a gap (rule T5).

    A re-rig is put at the latest moment before its recording; resets lie between takes of equal length.
    """
    main = plan_input.cameras[0] if plan_input.cameras else None
    own = [item for item in recordings_of(plan_input, schedule) if main is not None and item.camera == main.name]
    films = {item.id: item.film for item in plan_input.activities}
    breaks, closed = _breaks(plan_input, schedule), list(plan_input.closed)
    found: list[Stretch] = []
    reached = main.ready_s if main is not None else 0
    if reached:
        found.append(Stretch(part="set-up", start_s=0, end_s=reached))
    for item in own:
        found += _between(reached, item.start_s, item.rerig_s, breaks, closed)
        found += _takes(item, films[item.activity])
        reached = item.end_s
    found += _between(reached, schedule.makespan_s, 0, breaks, closed)
    found = list(_with_set_ups(found, {till for _, till in closed}, main.ready_s if main is not None else 0))
    if strike_s:
        found.append(Stretch(part="strike", start_s=schedule.makespan_s, end_s=schedule.makespan_s + strike_s))
    return tuple(found)


def _breaks(plan_input: PlanInput, schedule: Schedule) -> list[Interval]:
    items = [schedule.of(rest.activity) for rest in plan_input.breaks]
    return [(item.start_s, item.end_s) for item in items]


def _with_set_ups(found: list[Stretch], begins: set[int], ready_s: int) -> Iterator[Stretch]:
    """Yield the stretches, each further day beginning with its set-up, which takes from the waiting before its shot."""
    for item in found:
        if ready_s and item.start_s in begins and item.end_s - item.start_s >= ready_s:
            yield Stretch(part="set-up", start_s=item.start_s, end_s=item.start_s + ready_s)
            if item.end_s > item.start_s + ready_s:
                yield replace(item, start_s=item.start_s + ready_s)
        else:
            yield item


def _between(start_s: int, end_s: int, rerig_s: int, breaks: list[Interval], closed: list[Interval]) -> list[Stretch]:
    """Return the time between two recordings: breaks, closed times, the re-rig at its latest, waiting for the rest."""
    free: list[Interval] = []
    found: list[Stretch] = []
    reached = start_s
    for since, till in sorted([*breaks, *closed]):
        if start_s <= since and till <= end_s:
            free.append((reached, since))
            part = "closed" if (since, till) in closed else "break"
            found.append(Stretch(part=part, start_s=since, end_s=till))
            reached = till
    free.append((reached, end_s))
    left = rerig_s
    for since, till in reversed(free):
        moving = min(left, till - since)
        left -= moving
        found.append(Stretch(part="camera wait", start_s=since, end_s=till - moving))
        found.append(Stretch(part="re-rig", start_s=till - moving, end_s=till))
    return sorted((item for item in found if item.end_s > item.start_s), key=lambda item: item.start_s)


def _takes(item: Recording, film: Film | None) -> Iterator[Stretch]:
    """Yield the takes of a recording with the resets between them; what does not divide goes to the last take."""
    takes, resets = (film.takes, film.resets_s) if film is not None else (1, 0)
    length = item.end_s - item.start_s
    if takes < 2 or resets >= length:
        yield Stretch(part="recording", start_s=item.start_s, end_s=item.end_s, activity=item.activity)
        return
    take, reset = (length - resets) // takes, resets // (takes - 1)
    at = item.start_s
    for number in range(takes):
        till = item.end_s if number == takes - 1 else at + take
        yield Stretch(part="recording", start_s=at, end_s=till, activity=item.activity)
        if number < takes - 1 and reset:
            yield Stretch(part="reset", start_s=till, end_s=till + reset, activity=item.activity)
        at = till + reset


# ---------------------------------------------------------------------------------------------------- what would fit


def camera_gaps(plan_input: PlanInput, schedule: Schedule, *, least_s: int = 0) -> tuple[CameraGap, ...]:
    """
    Return when the main camera waits for ``least_s`` or more, by the clock, with the later shots that would fit.

    A gap reaches from one recording to the next, with the re-rig that it holds.
    """
    main = plan_input.cameras[0] if plan_input.cameras else None
    own = [item for item in recordings_of(plan_input, schedule) if main is not None and item.camera == main.name]
    waits = [item for item in stretches_of(plan_input, schedule) if item.part == "camera wait"]
    found = []
    for before, after in zip([None, *own], [*own, None], strict=True):
        start = before.end_s if before is not None else 0
        end = after.start_s if after is not None else schedule.makespan_s
        wait = sum(item.end_s - item.start_s for item in waits if start <= item.start_s and item.end_s <= end)
        if wait >= max(1, least_s):
            found.append(
                CameraGap(
                    start_s=start if before is not None or main is None else main.ready_s,
                    end_s=end,
                    wait_s=wait,
                    before=before.position if before is not None else "",
                    after=after.position if after is not None else "",
                    fits=tuple(_fitting(plan_input, schedule, start, end)) if after is not None else (),
                )
            )
    return tuple(found)


def _fitting(plan_input: PlanInput, schedule: Schedule, start_s: int, end_s: int) -> Iterator[str]:
    placed = {item.activity: item for item in schedule.assignments}
    main = plan_input.cameras[0].name
    for item in plan_input.activities:
        old = placed[item.id]
        is_shot = item.film is not None and item.film.camera == main and len(old.pieces) == 1
        if not is_shot or old.start_s < end_s or item.long_s > end_s - start_s or item.look_in is not None:
            continue
        for at_s in _moments(plan_input, placed, item, start_s, end_s):
            moved = replace(old, pieces=((at_s, at_s + item.long_s),), units=())
            tried = (moved if other is old else replace(other, units=()) for other in schedule.assignments)
            if not verify(plan_input, Schedule(assignments=tuple(tried))):
                yield item.label or item.id
                break


def _moments(
    plan_input: PlanInput, placed: dict[str, Assignment], item: Activity, start_s: int, end_s: int
) -> tuple[int, ...]:
    """Return when a shot is tried: as soon as all is ready, after each re-rig to it, before each re-rig from it."""
    ready = max(start_s, item.release_s)
    for lag in plan_input.lags:
        if lag.successor == item.id and lag.successor_anchor is Anchor.START and (lag.at_least_s or 0) >= 0:
            before = placed[lag.predecessor]
            counted = before.end_s if lag.predecessor_anchor is Anchor.END else before.start_s
            ready = max(ready, counted + (lag.at_least_s or 0))
    latest = end_s - item.long_s
    moves = {seconds for _, _, seconds in plan_input.cameras[0].moves}
    tried = {ready, *(start_s + move for move in moves), latest, *(latest - move for move in moves)}
    return tuple(sorted(moment for moment in tried if ready <= moment <= latest))
