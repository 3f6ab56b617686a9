"""
``prep.ics``: the jobs before the day, what leaves the fridge, call and wrap, with alarms (iCalendar, RFC 5545).

A publication with its ``Prep`` comes in, the text of the file goes out. Times are local and float, as the crew's clocks
do; stamps come from the episode's date, never from the clock, so that the same input gives the same file. The
icalendar library escapes and folds.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, time, timedelta
from typing import TYPE_CHECKING

from shootplan.model.prep import Prep
from shootplan.records import dataclass
from shootplan.render.basis import Basis
from shootplan.render.views_prep import ahead_row, best_slot

if TYPE_CHECKING:
    import icalendar

__all__ = ["prep_calendar"]

_ALARM_MIN = 15


@dataclass(frozen=True, slots=True, kw_only=True)
class _Event:
    """One entry: an id that is the same in each build, seconds from call, words; ``alarms`` are minutes before it."""

    id: str
    start_s: int
    end_s: int
    summary: str
    description: str = ""
    alarms: tuple[int, ...] = (_ALARM_MIN,)


def prep_calendar(basis: Basis, prep: Prep) -> str:
    """Return the file, lines ended by CRLF and folded at 75 octets (RFC 5545, section 3.1)."""
    from icalendar import Calendar

    calendar = Calendar()
    for name, value in (("version", "2.0"), ("prodid", "-//shootplan//prep//EN"), ("calscale", "GREGORIAN")):
        calendar.add(name, value)
    for event in sorted(_events(basis, prep), key=lambda item: (item.start_s, item.id)):
        calendar.add_component(_entry(basis, event))
    return str(calendar.to_ical().decode("utf-8"))


def _events(basis: Basis, prep: Prep) -> Iterator[_Event]:
    for job in prep.ahead:
        slot = best_slot(basis, job)
        if slot is None:
            continue
        row = ahead_row(basis, job)
        words = f"{row.limit}. Used {row.used}. Hands: {row.hands}. Label: {row.label}"
        last_call = () if slot[1] - slot[0] < 2 * _ALARM_MIN * 60 else (-((slot[1] - slot[0]) // 60 - _ALARM_MIN),)
        yield _Event(
            id=f"{job.recipe}-{job.steps[0]}",
            start_s=slot[0],
            end_s=max(slot[1], slot[0] + max(job.hands_s, 60)),
            summary=f"{row.do}: {row.dish}",
            description=words,
            alarms=(_ALARM_MIN, *last_call),
        )
    for item in prep.fridge:
        start = item.planned_s if item.earliest_s is None else item.earliest_s
        end = item.latest_s if item.latest_s is not None else item.planned_s
        yield _Event(
            id=f"{item.recipe}-out-{item.what}",
            start_s=start,
            end_s=max(end, start + 60),
            summary=f"Out of the fridge: {item.what} ({basis.title(item.recipe)})",
            description=f"For {item.used_by}, {basis.clock(item.used_at_s)}",
            alarms=(5,) if item.latest_s is not None else (),
        )
    yield _Event(id="call", start_s=0, end_s=900, summary=f"Call: {basis.episode.title}", alarms=(60,))
    filmed, schedule = basis.publication.filmed, basis.publication.plan.schedule
    if filmed is not None or schedule is not None:
        wrap = filmed.parts.total_s if filmed is not None else schedule.makespan_s if schedule is not None else 0
        words = "Planned wrap" if filmed is not None else "Cooking planned to end"
        yield _Event(id="wrap", start_s=wrap, end_s=wrap + 900, summary=f"{words}; leftovers cooled and labelled")


def _entry(basis: Basis, event: _Event) -> icalendar.Event:
    from icalendar import Alarm, Event

    name = basis.episode.id or "episode"
    uid = "".join(sign if sign.isalnum() else "-" for sign in f"{name}-{event.id}".casefold())
    entry = Event()
    entry.add("uid", f"{uid}@shootplan.invalid")
    entry.add("dtstamp", datetime.combine(basis.episode.shoot_date, time(), tzinfo=UTC))
    entry.add("dtstart", _local(basis, event.start_s))
    entry.add("dtend", _local(basis, event.end_s))
    entry.add("summary", _printable(event.summary))
    if event.description:
        entry.add("description", _printable(event.description))
    for minutes in event.alarms:
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("trigger", timedelta(minutes=-minutes))
        alarm.add("description", _printable(event.summary))
        entry.add_component(alarm)
    return entry


def _local(basis: Basis, seconds: int) -> datetime:
    """Return a floating local time, RFC 5545 section 3.3.5 form 1."""
    clock = basis.episode.clock
    call = clock if isinstance(clock, datetime) else datetime.combine(basis.episode.shoot_date, clock)
    return call + timedelta(seconds=seconds)


def _printable(words: str) -> str:
    return "".join(sign for sign in words if sign.isprintable() or sign == "\n")
