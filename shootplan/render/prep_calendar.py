"""
``prep.ics``: the jobs before the day, what leaves the fridge, call and wrap, with alarms (iCalendar, RFC 5545).

A publication with its ``Prep`` comes in, the text of the file goes out. Times are local and float, as the crew's clocks
do; stamps come from the episode's date, never from the clock, so that the same input gives the same file. The file is
written here, and read by the icalendar library in the tests: importing that takes longer than the whole day's papers.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from shootplan.model.prep import Prep
from shootplan.records import dataclass
from shootplan.render.basis import Basis
from shootplan.render.views_prep import ahead_row, best_slot

__all__ = ["prep_calendar"]

_ALARM_MIN = 15
#: RFC 5545, section 3.1: a line is at most 75 octets, its end left out.
_OCTETS = 75


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
    """Return the file, lines ended by CRLF and folded at 75 octets."""
    stamp = f"{basis.episode.shoot_date:%Y%m%d}T000000Z"
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//shootplan//prep//EN", "CALSCALE:GREGORIAN"]
    for event in sorted(_events(basis, prep), key=lambda item: (item.start_s, item.id)):
        lines += _entry(basis, event, stamp)
    lines.append("END:VCALENDAR")
    return "".join(f"{piece}\r\n" for line in lines for piece in _folded(line))


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
    schedule = basis.publication.plan.schedule
    if schedule is not None:
        wrap = schedule.makespan_s
        yield _Event(id="wrap", start_s=wrap, end_s=wrap + 900, summary="Planned wrap; leftovers cooled and labelled")


def _entry(basis: Basis, event: _Event, stamp: str) -> Iterator[str]:
    name = basis.episode.id or "episode"
    uid = "".join(sign if sign.isalnum() else "-" for sign in f"{name}-{event.id}".casefold())
    yield "BEGIN:VEVENT"
    yield f"UID:{uid}@shootplan.invalid"
    yield f"DTSTAMP:{stamp}"
    yield f"DTSTART:{_local(basis, event.start_s)}"
    yield f"DTEND:{_local(basis, event.end_s)}"
    yield f"SUMMARY:{_text(event.summary)}"
    if event.description:
        yield f"DESCRIPTION:{_text(event.description)}"
    for minutes in event.alarms:
        sign = "-" if minutes > 0 else ""
        yield from ("BEGIN:VALARM", "ACTION:DISPLAY", f"TRIGGER:{sign}PT{abs(minutes)}M")
        yield f"DESCRIPTION:{_text(event.summary)}"
        yield "END:VALARM"
    yield "END:VEVENT"


def _local(basis: Basis, seconds: int) -> str:
    """Return a floating local time, RFC 5545 section 3.3.5 form 1."""
    called = datetime.combine(basis.episode.shoot_date, basis.episode.call_time)
    return f"{called + timedelta(seconds=seconds):%Y%m%dT%H%M%S}"


def _text(words: str) -> str:
    """Escape a text value (section 3.3.11)."""
    escaped = words.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")
    return "".join(sign for sign in escaped.replace("\n", "\\n") if sign.isprintable())


def _folded(line: str) -> Iterator[str]:
    """Yield a line in pieces of at most 75 octets, each but the first led by a space; no character is cut."""
    piece, room = "", _OCTETS
    for sign in line:
        size = len(sign.encode())
        if size > room:
            yield piece
            piece, room = " ", _OCTETS - 1
        piece, room = piece + sign, room - size
    yield piece
