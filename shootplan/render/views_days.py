"""
The days of a plan over several days, in words: their names and hours, what stands overnight, the first row of each.

A publication's basis comes in, ready texts go out; empty where the episode has one day.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from shootplan.model.episode import Episode, ShootDay
from shootplan.model.planning import Assignment, PlanInput, Schedule
from shootplan.model.show import minutes_text
from shootplan.records import dataclass
from shootplan.render.basis import Basis, step_name

__all__ = ["DayLine", "date_of", "dates_text", "day_name", "days_lines", "first_rows"]

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


@dataclass(frozen=True, slots=True, kw_only=True)
class DayLine:
    """One day for the call sheet: its name, when hands work, what goes on or stands overnight after it."""

    name: str
    hands: str
    overnight: tuple[str, ...]


def days_lines(basis: Basis) -> tuple[DayLine, ...]:
    """Return a line for each day of the plan, none for an episode of one day."""
    plan_input, schedule = basis.crew_plan
    if schedule is None:
        return ()
    lines = []
    for day, (opens_s, closes_s) in zip(basis.episode.days, basis.episode.staffed_s, strict=True):
        rows = [row for row in basis.crew_rows if opens_s <= row.clock_s < closes_s and row.hands_s]
        hands = "nothing is planned"
        if rows:
            last = max(part.end_s for row in rows for part in row.parts if part.kind in ("hands", "watch"))
            span = f"{basis.clock(rows[0].clock_s)[:5]}–{basis.clock(last)[:5]}"
            hands = f"{span}, {minutes_text(sum(row.hands_s for row in rows))} hands-on"
        lines.append(
            DayLine(name=day_name(day), hands=hands, overnight=tuple(_overnight(basis, plan_input, schedule, closes_s)))
        )
    return tuple(lines)


def _overnight(basis: Basis, plan_input: PlanInput, schedule: Schedule, closes_s: int) -> Iterator[str]:
    """Yield what goes on or stands through the closed time that begins then: where, and when it is used."""
    placed = {item.activity: item for item in schedule.assignments}
    opens_s = dict(plan_input.closed).get(closes_s)
    seen: set[tuple[str, str]] = set()
    for item in reversed([item for item in plan_input.activities if "+" not in item.id]):
        used_s = _used_s(plan_input, placed, item.id)
        is_over = opens_s is not None and placed[item.id].start_s <= closes_s and (used_s or 0) >= opens_s
        if not is_over or used_s is None or (item.recipe, item.step) in seen:
            continue
        seen.add((item.recipe, item.step))
        step = basis.step(item.recipe, item.step)
        place = f", {step.ahead_place}" if step is not None and step.ahead_place else ""
        yield f"{step_name(item.label)} ({basis.title(item.recipe)}){place}: used {basis.clock(used_s)}"


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
