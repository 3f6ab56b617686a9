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
    spans = _spans(cut, rate)
    captions = {row.id: tuple(item for item in cut.captions if item.row == row.id) for row in rows}
    found = [
        EditRow(
            row, f"R{number:03d}", start, end, tuple(_mark(item, start, spans[item.id]) for item in captions[row.id])
        )
        for number, (row, start, end) in enumerate(zip(rows, starts, ends, strict=True), start=1)
    ]
    return tuple(item for item in found if item.end_f > item.start_f)


def _spans(cut: Cut, rate: Rate) -> dict[str, tuple[int, int]]:
    """
    Return the first frame and the end of each caption.

    A hold that is just its need may take a frame more than it lasts; the caption butted to it then comes a frame later,
    so that no two stand on one another.
    """
    spans: dict[str, tuple[int, int]] = {}
    before = None
    for item in sorted(cut.captions, key=lambda caption: (caption.in_ms, caption.out_ms)):
        in_f, out_f = frame_of_ms(item.in_ms, rate), frame_of_ms(item.out_ms, rate)
        if before is not None and before.out_ms <= item.in_ms:
            in_f = max(in_f, spans[before.id][1])
        spans[item.id] = in_f, max(out_f, in_f + least_frames(item.need_ms, rate))
        before = item
    return spans


def _mark(caption: Caption, start_f: int, span: tuple[int, int]) -> Mark:
    in_f, out_f = span
    return Mark(caption, in_f - start_f, out_f - in_f)
