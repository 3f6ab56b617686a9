"""
The edit as a CMX 3600 list: one event for each row of the script, captions as markers.

A ``Cut`` comes in, the text of an ``.edl`` file goes out. Laid out as device manuals and the public adapter for
OpenTimelineIO read it: event, reel of up to eight characters, track, type, source in and out, record in and out.
"""

from __future__ import annotations

from collections.abc import Iterator

from shootplan.model.cut import Cut
from shootplan.model.timecode import Rate, label
from shootplan.timing.caption_text import clean_lines
from shootplan.timing.edit_rows import EditRow, edit_rows

__all__ = ["MOST_EVENTS", "write_edit_lists"]

#: Event numbers have three digits.
MOST_EVENTS = 999
#: Titles of up to 70 characters are read everywhere (from memory).
_TITLE = 70


def write_edit_lists(cut: Cut, rate: Rate, title: str) -> dict[str, str]:
    """
    Return {file name: text}; what goes beyond 999 events stands in ``edit_2.edl`` and so on.

    Record times begin at 01:00:00:00 by custom. Each event's clip name is the id of its row, its reel the row's own
    ("R012"), and source times are counted from the start of the row, so that a caption's offset can be found again.
    """
    rows = edit_rows(cut, rate)
    parts = [rows[first : first + MOST_EVENTS] for first in range(0, len(rows), MOST_EVENTS)] or [()]
    return {
        f"edit{'' if number == 1 else f'_{number}'}.edl": "\n".join(_lines(part, rate, title)) + "\n"
        for number, part in enumerate(parts, start=1)
    }


def _lines(rows: tuple[EditRow, ...], rate: Rate, title: str) -> Iterator[str]:
    yield f"TITLE: {' '.join(clean_lines(title))[:_TITLE].strip() or 'edit'}"
    yield f"FCM: {'DROP FRAME' if rate.is_drop else 'NON-DROP FRAME'}"
    hour_f = _hour(rate)
    for number, item in enumerate(rows, start=1):
        times = (0, item.end_f - item.start_f, hour_f + item.start_f, hour_f + item.end_f)
        yield ""
        yield f"{number:03d}  {item.reel:<8} V     C        {' '.join(label(frame, rate) for frame in times)}"
        yield f"* FROM CLIP NAME: {item.row.id}"
        for mark in item.marks:
            yield f"* LOC: {label(hour_f + item.start_f + mark.in_f, rate)} GREEN   {mark.caption.id}"


def _hour(rate: Rate) -> int:
    """Return the frame that is labelled 01:00:00:00."""
    return rate.base * 3600 - rate.dropped * 54
