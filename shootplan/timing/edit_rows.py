"""
The cut on the grid of frames: which frames of the finished video each row takes.

A ``Cut`` and a frame rate come in, rows in frames go out. Every edge is rounded once, from exact milliseconds.
"""

from __future__ import annotations

from shootplan.model.cut import Caption, Cut, Row
from shootplan.model.timecode import Rate, frame_of_ms, least_frames
from shootplan.records import dataclass

__all__ = ["EditRow", "Mark", "edit_rows"]


@dataclass(frozen=True, slots=True)
class Mark:
    """A caption in frames counted from the start of its row; ``length_f`` is never below its need."""

    caption: Caption
    in_f: int
    length_f: int


@dataclass(frozen=True, slots=True)
class EditRow:
    """
    A row of the script as one shot of the edit, frames counted from the start of the video, end not included.

    ``reel`` is its own name of at most eight characters ("R012"); the shot's source begins at frame 0 of that reel.
    """

    row: Row
    reel: str
    start_f: int
    end_f: int
    marks: tuple[Mark, ...]


def edit_rows(cut: Cut, rate: Rate) -> tuple[EditRow, ...]:
    """
    Return the rows by their starts; the breath between two rows belongs to the picture before it.

    A row too short for a single frame is left out.
    """
    rows = sorted(cut.rows, key=lambda row: row.start_ms)
    starts = [frame_of_ms(row.start_ms, rate) for row in rows]
    ends = [*starts, frame_of_ms(cut.length_ms, rate)][1:]
    captions = {row.id: tuple(item for item in cut.captions if item.row == row.id) for row in rows}
    found = [
        EditRow(row, f"R{number:03d}", start, end, tuple(_mark(item, start, rate) for item in captions[row.id]))
        for number, (row, start, end) in enumerate(zip(rows, starts, ends, strict=True), start=1)
    ]
    return tuple(item for item in found if item.end_f > item.start_f)


def _mark(caption: Caption, start_f: int, rate: Rate) -> Mark:
    in_f, out_f = frame_of_ms(caption.in_ms, rate), frame_of_ms(caption.out_ms, rate)
    return Mark(caption, in_f - start_f, max(out_f - in_f, least_frames(caption.need_ms, rate)))
