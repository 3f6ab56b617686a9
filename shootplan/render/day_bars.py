"""
The day as text bars for the terminal: a line for each person, ring and oven, the row's number where a bar begins.

Day rows, plan and schedule come in, lines go out. "=" is hands-on, "~" left alone, "^" an oven that heats, "+" a
look-in; nothing but plain letters, so it reads the same on every terminal and in black and white.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from shootplan.model.clock import Clock
from shootplan.model.day import DayRow
from shootplan.model.planning import ActivityKind, PlanInput, Schedule
from shootplan.model.show import clock_text
from shootplan.records import dataclass
from shootplan.render.views_day import row_numbers

__all__ = ["day_bars"]

#: Seconds that a column may stand for.
_SCALES = (60, 120, 300, 600, 900, 1800, 3600)
_WIDTH = 100
_MARKS = {ActivityKind.HANDS: "=", ActivityKind.WATCH: "=", ActivityKind.LEAVE: "~", ActivityKind.HEAT: "^"}
_KEY = "= hands-on  ~ left alone  ^ oven heats  + look-in; numbers are those of the list"


@dataclass(frozen=True, slots=True)
class _Bar:
    """From when to when something is drawn, with which mark, under which number (empty for none)."""

    start_s: int
    end_s: int
    mark: str
    number: str = ""


def day_bars(plan_input: PlanInput, schedule: Schedule, rows: Sequence[DayRow], call: Clock) -> str:
    """Return the bars, a line of times above and the key below; empty for a day without work."""
    wrap_s = schedule.makespan_s
    if not wrap_s:
        return ""
    if plan_input.closed:
        return _each_day(plan_input, schedule, rows, call)
    scale = next((item for item in _SCALES if wrap_s <= item * _WIDTH), -(-wrap_s // _WIDTH))
    numbers = row_numbers(tuple(rows))
    lanes = [*_people(plan_input, schedule, numbers), *_things(plan_input, schedule, numbers)]
    margin = max(len(name) for name, _ in lanes) + 2 if lanes else 0
    lines = [" " * margin + _times(call, wrap_s, scale)]
    lines += [f"{name:<{margin}}{_drawn(bars, wrap_s, scale)}" for name, bars in lanes if bars]
    minutes = f"{scale // 60} min" if scale % 60 == 0 else f"{scale} s"
    return "\n".join([*lines, f"{_KEY}; a column is {minutes}"])


def _each_day(plan_input: PlanInput, schedule: Schedule, rows: Sequence[DayRow], call: Clock) -> str:
    """Return the bars of one day below those of the other, the closed times left out."""
    opens, days = 0, list[tuple[int, int]]()
    for since_s, till_s in (*plan_input.closed, (schedule.makespan_s, schedule.makespan_s)):
        closes = min(since_s, schedule.makespan_s)
        days += [(opens, closes)] if closes > opens else []
        opens = till_s
    longest = max(closes - opens for opens, closes in days)
    scale = next((item for item in _SCALES if longest <= item * _WIDTH), -(-longest // _WIDTH))
    numbers = row_numbers(tuple(rows))
    lanes = [*_people(plan_input, schedule, numbers), *_things(plan_input, schedule, numbers)]
    margin = max(len(name) for name, _ in lanes) + 2 if lanes else 0
    lines = []
    for opens, closes in days:
        lines.append(f"from {clock_text(call, opens)}:")
        marks = [clock_text(call, opens + column * scale)[:5] for column in range(0, -(-(closes - opens) // scale), 10)]
        lines.append(" " * margin + "".join(f"{mark:<10}" for mark in marks).rstrip())
        for name, bars in lanes:
            here = [_within(bar, opens, closes) for bar in bars if bar.start_s < closes and bar.end_s > opens]
            lines += [f"{name:<{margin}}{_drawn(here, closes - opens, scale)}"] if here else []
    minutes = f"{scale // 60} min" if scale % 60 == 0 else f"{scale} s"
    return "\n".join([*lines, f"{_KEY}; a column is {minutes}"])


def _within(bar: _Bar, opens_s: int, closes_s: int) -> _Bar:
    """Return the part of a bar that lies in a day, counted from its beginning; a number stands where it begins."""
    number = bar.number if bar.start_s >= opens_s else ""
    return _Bar(max(bar.start_s, opens_s) - opens_s, min(bar.end_s, closes_s) - opens_s, bar.mark, number)


def _people(plan_input: PlanInput, schedule: Schedule, numbers: Mapping[str, int]) -> Iterator[tuple[str, list[_Bar]]]:
    for worker in plan_input.workers:
        bars = []
        for item in schedule.assignments:
            number = str(numbers.get(item.activity, ""))
            if item.worker == worker.name:
                bars += [_Bar(start, end, "=", number) for start, end in item.pieces]
            bars += [_Bar(start, end, "+") for start, end, who in item.look_ins if who == worker.name]
        yield worker.name, bars


def _things(plan_input: PlanInput, schedule: Schedule, numbers: Mapping[str, int]) -> Iterator[tuple[str, list[_Bar]]]:
    """Yield the rings one by one and each oven; vessels stand in the list."""
    placed = {item.activity: item for item in schedule.assignments}
    lanes: dict[str, list[_Bar]] = {}
    for activity in plan_input.activities:
        item = placed[activity.id]
        names = [f"ring {unit}" for resource, unit in item.units if resource == "ring"]
        names += [activity.oven.oven] if activity.oven is not None else []
        for name in names:
            bars = lanes.setdefault(name, [])
            number = str(numbers.get(activity.id, ""))
            bars += [_Bar(start, end, _MARKS[activity.kind], number) for start, end in item.pieces]
    yield from sorted(lanes.items())


def _drawn(bars: Sequence[_Bar], wrap_s: int, scale: int) -> str:
    """Return a lane; what begins in a column stands over what ends there, and a number never covers another bar."""
    columns = [" "] * (-(-wrap_s // scale))
    ordered = sorted((bar for bar in bars if bar.end_s > bar.start_s), key=lambda bar: (bar.start_s, bar.end_s))
    for bar in ordered:
        first, last = bar.start_s // scale, max(bar.start_s // scale + 1, -(-bar.end_s // scale))
        for column in range(first, min(last, len(columns))):
            columns[column] = bar.mark
    for place, bar in enumerate(ordered):
        first = bar.start_s // scale
        until = ordered[place + 1].start_s // scale if place + 1 < len(ordered) else len(columns)
        room = min(until, max(first + 1, -(-bar.end_s // scale))) - first
        if bar.number and len(bar.number) <= room:
            columns[first : first + len(bar.number)] = bar.number
    return "".join(columns).rstrip()


def _times(call: Clock, wrap_s: int, scale: int) -> str:
    """Return the line of times, one each ten columns from call."""
    marks = [clock_text(call, column * scale)[:5] for column in range(0, -(-wrap_s // scale), 10)]
    return "".join(f"{mark:<10}" for mark in marks).rstrip()
