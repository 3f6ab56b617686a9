"""
When captions stand: inside their row, one after the other, butted or at least a second apart.

Rows with the needs of their captions come in, times go out. A hold is never below its need.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from shootplan.records import dataclass

__all__ = ["LEAD_IN_MS", "LEAST_GAP_MS", "Slot", "place_captions"]

#: Between two captions: none, or at least this much (BBC subtitle guidelines, section 4.5).
LEAST_GAP_MS = 1000
#: A caption may come so long before its figure is said (reference on scripts and captions, C13).
EARLY_MS = 1500
#: A caption comes this long after its picture where the row has room (common practice, no source).
LEAD_IN_MS = 1000


@dataclass(frozen=True, slots=True)
class Slot:
    """A caption's place on the cut clock, in milliseconds."""

    in_ms: int
    out_ms: int


def place_captions(
    rows: Sequence[tuple[int, int, Sequence[int]]], words: Sequence[Sequence[int | None]] = ()
) -> tuple[tuple[Slot, ...], ...]:
    """
    Return the slots of each row's captions, in reading order.

    Parameters
    ----------
    rows
        Start and length of each row in milliseconds, ascending, and the needs of its captions, whose sum fits the row.
    words
        For each row how long after its start the figure of each caption is said, ``None`` where none is.

    Notes
    -----
    Captions of a row are butted. The first comes after a lead-in where there is room; where it would follow the last
    caption of an earlier row by less than a second, it waits, or else that one is held on until it comes. The last one
    of a row ends with the picture where less than a second would be left.

    One whose figure is said more than 1.5 s later waits for the word as far as the row has room; the one before it
    then goes, or is held on where less than a second would be left.
    """
    placed: list[list[Slot]] = []
    last: list[Slot] = []
    for at, (start_ms, length_ms, needs_ms) in enumerate(rows):
        said_ms = words[at] if words else [None] * len(needs_ms)
        slots = _in_row(start_ms, length_ms, needs_ms, said_ms, last[-1].out_ms if last else None)
        if slots and last and 0 < slots[0].in_ms - last[-1].out_ms < LEAST_GAP_MS:
            last[-1] = replace(last[-1], out_ms=slots[0].in_ms)
        placed.append(slots)
        last = slots or last
    return tuple(tuple(slots) for slots in placed)


def _in_row(
    start_ms: int, length_ms: int, needs_ms: Sequence[int], said_ms: Sequence[int | None], before_ms: int | None
) -> list[Slot]:
    if not needs_ms:
        return []
    room_ms = length_ms - sum(needs_ms)
    at_ms = start_ms + _lead_ms(start_ms, room_ms, before_ms)
    end_ms = start_ms + length_ms
    slots: list[Slot] = []
    left_ms = sum(needs_ms)
    for need_ms, word_ms in zip(needs_ms, said_ms, strict=True):
        if word_ms is not None and start_ms + word_ms - at_ms > EARLY_MS:
            at_ms = max(at_ms, min(start_ms + word_ms, end_ms - left_ms))
            if slots and at_ms - slots[-1].out_ms < LEAST_GAP_MS:
                slots[-1] = replace(slots[-1], out_ms=at_ms)
        slots.append(Slot(at_ms, at_ms + need_ms))
        at_ms += need_ms
        left_ms -= need_ms
    if end_ms - at_ms < LEAST_GAP_MS:
        slots[-1] = replace(slots[-1], out_ms=end_ms)
    return slots


def _lead_ms(start_ms: int, room_ms: int, before_ms: int | None) -> int:
    """Return the lead-in: the usual one, more if the caption before is too near and the row has room, else none."""
    lead_ms = min(LEAD_IN_MS, room_ms)
    if before_ms is None or before_ms == start_ms + lead_ms:
        return lead_ms
    wanted_ms = max(lead_ms, before_ms + LEAST_GAP_MS - start_ms)
    return wanted_ms if wanted_ms <= room_ms else lead_ms
