"""
The days of a plan over several days, in words: their names and hours, what stands overnight, the first row of each.

A publication's basis comes in, ready texts go out; empty where the episode has one day.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from shootplan.model.episode import Episode, ShootDay
from shootplan.model.planning import Assignment, PlanInput, Schedule
from shootplan.model.show import clock_text, join_words, minutes_text
from shootplan.render.basis import Basis

__all__ = ["date_of", "dates_text", "day_name", "days_lines", "first_rows", "overnight_lines"]

_NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def day_name(day: ShootDay) -> str:
    """Return "Tuesday 2026-10-06, 08:30–17:00", an evening named as one."""
    evening = ", the evening before" if day.is_evening else ""
    return f"{_NAMES[day.on.weekday()]} {day.on.isoformat()}, {day.opens:%H:%M}–{day.closes:%H:%M}{evening}"


def dates_text(episode: Episode) -> str:
    """Return the date of an episode, or the first and the last of its days."""
    if len(episode.days) < 2:
        return episode.shoot_date.isoformat()
    return f"{episode.days[0].on.isoformat()} to {episode.days[-1].on.isoformat()}"


def date_of(episode: Episode, seconds: int) -> date:
    """Return the date on which the moment lies, so many seconds after the first call."""
    first = episode.days[0].on if episode.days else episode.shoot_date
    call = episode.call_time
    return first + timedelta(seconds=seconds + call.hour * 3600 + call.minute * 60 + call.second)


def first_rows(episode: Episode, starts: tuple[int, ...]) -> dict[int, str]:
    """Return {number of the row: name of the day} for the first row of each day, rows given by their starts."""
    found: dict[int, str] = {}
    for day, (opens_s, _) in zip(episode.days, episode.staffed_s, strict=True):
        later = [number for number, start_s in enumerate(starts) if start_s >= opens_s]
        if later:
            found[later[0]] = day_name(day)
    return found


def days_lines(basis: Basis) -> tuple[tuple[str, str], ...]:
    """Return (day, what it holds) for each day: from when to when hands work, and what stands overnight after it."""
    schedule = basis.publication.plan.schedule
    if schedule is None:
        return ()
    nights = dict(overnight_lines(basis.episode, basis.publication.plan_input, schedule))
    lines = []
    for number, (day, (opens_s, closes_s)) in enumerate(zip(basis.episode.days, basis.episode.staffed_s, strict=True)):
        rows = [row for row in basis.publication.day if opens_s <= row.clock_s < closes_s and row.hands_s]
        hands = sum(row.hands_s for row in rows)
        words = "nothing is planned"
        if rows:
            last = max(part.end_s for row in rows for part in row.parts if part.kind in ("hands", "watch"))
            words = f"hands from {basis.clock(rows[0].clock_s)} to {basis.clock(last)}, {minutes_text(hands)} in all"
        night = nights.get(number, "")
        lines.append((day_name(day), f"{words}; overnight: {night}" if night else words))
    return tuple(lines)


def overnight_lines(episode: Episode, plan_input: PlanInput, schedule: Schedule) -> Iterator[tuple[int, str]]:
    """Yield (number of the day, what goes on or stands after it, with its latest use) for each closed time."""
    placed = {item.activity: item for item in schedule.assignments}
    for number, (since_s, till_s) in enumerate(plan_input.closed):
        found: dict[str, str] = {}
        for item in plan_input.activities:
            used_s = _used_s(plan_input, placed, item.id)
            is_over = placed[item.id].start_s <= since_s and used_s is not None and used_s >= till_s
            if is_over and item.step and used_s is not None:
                found[item.label] = f"{item.label}, used {clock_text(episode.clock, used_s)}"
        if found:
            yield number, join_words(found.values())


def _used_s(plan_input: PlanInput, placed: dict[str, Assignment], name: str) -> int | None:
    """Return when what an activity leaves is used first by another step, ``None`` if never."""
    own = {(item.recipe, item.step) for item in plan_input.activities if item.id == name}
    keys = {item.id: (item.recipe, item.step) for item in plan_input.activities}
    starts = [
        placed[lag.successor].start_s
        for lag in plan_input.lags
        if lag.predecessor == name and lag.at_least_s is not None and keys[lag.successor] not in own
    ]
    return min(starts, default=None)
