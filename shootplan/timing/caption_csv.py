"""
Captions as a table for the editor's desk (RFC 4180 CSV).

A ``Cut`` comes in, the text of a ``.csv`` file goes out: with a byte order mark, so that a spreadsheet takes it for
UTF-8, and no cell that a spreadsheet would run as a formula.
"""

from __future__ import annotations

import csv
import io

from shootplan.model.cut import Cut
from shootplan.model.show import spreadsheet_cell
from shootplan.timing.caption_text import clean_lines, clock_parts

__all__ = ["HEADER", "write_caption_csv"]

HEADER = ("no", "in", "out", "hold", "need", "text", "burned in", "from")
_BYTE_ORDER_MARK = "\ufeff"


def write_caption_csv(cut: Cut) -> str:
    """
    Return one row for each caption by its in-time: number, in and out (h:mm:ss.ttt), hold and need in seconds, text.

    The lines of a caption stand in one cell, parted by a slash. Every caption is meant to be burned in.
    """
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow(HEADER)
    for number, caption in enumerate(sorted(cut.captions, key=lambda item: (item.in_ms, item.out_ms)), start=1):
        times = (_clock(caption.in_ms), _clock(caption.out_ms), _seconds(caption.hold_ms), _seconds(caption.need_ms))
        text = " / ".join(clean_lines(caption.text))
        writer.writerow(
            (number, *times, spreadsheet_cell(text), "yes", spreadsheet_cell(" ".join(clean_lines(caption.source))))
        )
    return _BYTE_ORDER_MARK + stream.getvalue()


def _clock(at_ms: int) -> str:
    hours, minute, second, milliseconds = clock_parts(at_ms)
    return f"{hours}:{minute:02d}:{second:02d}.{milliseconds:03d}"


def _seconds(length_ms: int) -> str:
    return f"{length_ms // 1000}.{length_ms % 1000:03d}"
