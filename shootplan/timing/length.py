"""
The length of the video against the length asked for, row by row.

A ``Cut`` comes in; the same cut with what to cut or to fill in each row goes out. Nothing is shortened here: the writer
decides.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from shootplan.model.cut import Cut, Row
from shootplan.timing.holds import caption_need_ms

__all__ = ["fit_length"]


def fit_length(cut: Cut, low_ms: int | None, high_ms: int | None) -> Cut:
    """
    Return the cut with ``over_ms``, and with what each row should lose or may gain.

    Too long: only rows whose narration outlasts picture and captions get shorter by fewer words; what has to go is
    shared among them by what each can lose, and ``stuck_ms`` is the rest. Too short: the seconds to fill are shared
    among filmed rows by their lengths.
    """
    if high_ms is not None and cut.length_ms > high_ms:
        return _shorter(cut, cut.length_ms - high_ms)
    if low_ms is not None and cut.length_ms < low_ms:
        return _longer(cut, low_ms - cut.length_ms)
    return cut


def _shorter(cut: Cut, over_ms: int) -> Cut:
    needs = {row.id: sum(caption_need_ms(item.text) for item in cut.captions if item.row == row.id) for row in cut.rows}
    can_lose = [max(0, row.speech_ms - max(row.picture_ms, needs[row.id])) for row in cut.rows]
    shares = _shared(min(over_ms, sum(can_lose)), can_lose)
    rows = [
        replace(row, cut_ms=ms, cut_syllables=_syllables(row, ms)) for row, ms in zip(cut.rows, shares, strict=True)
    ]
    return replace(_with_rows(cut, rows), over_ms=over_ms, stuck_ms=over_ms - sum(shares))


def _syllables(row: Row, cut_ms: int) -> int:
    """Return the syllables that last so long at this row's own pace, rounded up."""
    return -(-row.syllables * cut_ms // row.speech_ms) if row.speech_ms else 0


def _longer(cut: Cut, short_ms: int) -> Cut:
    weights = [row.length_ms if row.picture_ms else 0 for row in cut.rows]
    shares = _shared(short_ms, weights) if any(weights) else [0] * len(weights)
    rows = [replace(row, fill_ms=ms) for row, ms in zip(cut.rows, shares, strict=True)]
    return replace(_with_rows(cut, rows), over_ms=-short_ms, stuck_ms=0)


def _shared(total_ms: int, weights: Sequence[int]) -> list[int]:
    """Return whole milliseconds by weight that add up to the total exactly."""
    whole, done, given = sum(weights), 0, 0
    shares = []
    for weight in weights:
        done += weight
        until = int(Fraction(total_ms * done, whole)) if whole else 0
        shares.append(until - given)
        given = until
    return shares


def _with_rows(cut: Cut, rows: Sequence[Row]) -> Cut:
    known = {row.id: row for row in rows}
    sections = tuple(replace(section, rows=tuple(known[row.id] for row in section.rows)) for section in cut.sections)
    return replace(cut, sections=sections)
