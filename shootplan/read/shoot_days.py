"""
``days:`` of an episode: the days of a plan over several days, with the hours at which somebody is there.

"evening before, 2026-10-06 08:30–17:00, 2026-10-07" comes in, the days with their hours go out; hours that are not
written are the kitchen's. What is done when is not known here.
"""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from itertools import pairwise

from shootplan.model.episode import Kitchen, ShootDay
from shootplan.read.front_matter import Settings
from shootplan.read.passage import Log, Passage
from shootplan.read.values import Wrong, quoted, read_date, read_time_window

__all__ = ["read_shoot_days"]

_EVENING = "evening before"
_EXAMPLE = 'write the days in order, as in "evening before, 2026-10-06 08:30–17:00, 2026-10-07"'
#: All days lie within a week, so that the name of the weekday tells them apart.
_MOST_DAYS = 7
#: Years in which a day can be counted on and back.
_YEARS = range(1900, 9000)
#: Daily rest in the European Union (Directive 2003/88/EC, article 3; from memory). Local law decides.
_REST = timedelta(hours=11)

Hours = tuple[time | None, time | None]


def read_shoot_days(value: Passage, kitchen: Kitchen, settings: Settings, log: Log) -> tuple[ShootDay, ...]:
    """Return the days that are listed, or none if one of them cannot be read or they do not fit together."""
    pieces = list(value.pieces(","))
    evening = pieces.pop(0) if pieces and pieces[0].text.casefold().startswith(_EVENING) else None
    days = [_day(piece, kitchen, log) for piece in pieces]
    if not days:
        log.fault(value.span(), "days-bad", f"{quoted(value.text)} names no day", _EXAMPLE)
    elif evening is not None and days[0] is not None:
        days.insert(0, _evening(evening, days[0].on - timedelta(days=1), kitchen, log))
    found = tuple(day for day in days if day is not None)
    if not days or len(found) < len(days) or not _fit_together(found, settings, log):
        return ()
    _check_rest(found, log)
    return found


def _day(piece: Passage, kitchen: Kitchen, log: Log) -> ShootDay | None:
    on = read_date(piece.text[:10])
    if isinstance(on, Wrong) or on.year not in _YEARS:
        log.fault(piece.span(), "days-bad", f"{quoted(piece.text)} does not begin with a date", _EXAMPLE)
        return None
    hours = (kitchen.staffed_from, kitchen.staffed_until)
    return _with_hours(piece, 10, on, hours, 'staffed = "08:00–20:00"', log)


def _evening(piece: Passage, on: date, kitchen: Kitchen, log: Log) -> ShootDay | None:
    hours = (kitchen.evening_from, kitchen.evening_until)
    found = _with_hours(piece, len(_EVENING), on, hours, 'evening = "18:00–20:00"', log)
    if found is None:
        return None
    return ShootDay(on=on, opens=found.opens, closes=found.closes, is_evening=True, span=found.span)


def _with_hours(piece: Passage, start: int, on: date, known: Hours, key: str, log: Log) -> ShootDay | None:
    """Return the day with the hours that are written behind it, else with those of the kitchen."""
    rest = piece.part(start)
    if rest.text:
        window = read_time_window(rest.text)
        if isinstance(window, Wrong):
            log.fault(rest.span(), window.code, window.message, window.hint)
            return None
        return ShootDay(on=on, opens=window[0], closes=window[1], span=piece.span())
    opens, closes = known
    if opens is None or closes is None:
        message = f"{quoted(piece.text)} has no hours, and the kitchen file gives none"
        hint = f'write them behind it, as in "08:30–17:00", or {key} under [hours] in the kitchen file'
        log.fault(piece.span(), "days-bad", message, hint)
        return None
    return ShootDay(on=on, opens=opens, closes=closes, span=piece.span())


def _fit_together(days: tuple[ShootDay, ...], settings: Settings, log: Log) -> bool:
    """Report what does not fit: the order of the days, the date of the episode, settings for one day."""
    count = len(log.problems)
    for before, after in pairwise(days):
        if after.on <= before.on:
            log.fault(after.span, "days-bad", "the day does not come after the one before it", _EXAMPLE)
    if (days[-1].on - days[0].on).days >= _MOST_DAYS:
        hint = "plan what lies further apart as an episode of its own"
        log.fault(days[-1].span, "days-bad", "the days lie more than a week apart", hint)
    shot_on = settings.values.get("date")
    if shot_on is not None and shot_on not in [day.on for day in days]:
        hint = f'write "date: {days[-1].on.isoformat()}", the day whose prices count'
        log.fault(settings.spans["date"], "days-bad", "the date of the episode is none of its days", hint)
    for key in ("call", "latest wrap"):
        if key in settings.spans:
            hint = f'take "{key}:" out: the hours of the days say it'
            log.fault(settings.spans[key], "days-unused", f'"{key}:" is for an episode of one day', hint)
    return len(log.problems) == count


def _check_rest(days: tuple[ShootDay, ...], log: Log) -> None:
    for before, after in pairwise(days):
        rest = datetime.combine(after.on, after.opens) - datetime.combine(before.on, before.closes)
        if rest < _REST:
            message = "fewer than 11 hours lie between this day and the one before it"
            log.doubt(after.span, "rest-short", message, "local law on rest between days decides")
