"""
Captions of one row that would stand on each other, and what is done about it, in this order.

Each moves behind the one before; neighbours that fit on the screen together become one; the row is lengthened. A hold
is never shortened. Captions and the length of the row without them come in; captions and findings go out.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from shootplan.model.cut import Caption, Row
from shootplan.model.filled import CaptionText
from shootplan.model.show import decimal_text
from shootplan.problems import Finding
from shootplan.timing.holds import ITEM_MARK, CaptionStyle, caption_need_ms, fits, wrap
from shootplan.timing.placing import LEAD_IN_MS

__all__ = ["merge_captions", "merged_text", "tell_collisions"]

_RULE = "BCAP guidance on superimposed text as published by Clearcast; BBC subtitle guidelines"
_NAMED = 3


def merge_captions(
    captions: tuple[CaptionText, ...], room_ms: int, style: CaptionStyle
) -> tuple[tuple[CaptionText, ...], int]:
    """
    Return the captions of a row, and how many were merged because one after the other they outlast the row.

    Neighbours merge while that is so, those first that save most; only where both fit on the screen together and the
    merged one is read faster than the two, since a new caption has to be noticed first.
    """
    merged = 0
    while _needs_ms(captions) > room_ms:
        best = max(_merges(captions, style), key=lambda found: found[0], default=None)
        if best is None or best[0] <= 0:
            break
        captions, merged = best[1], merged + 1
    return captions, merged


def _needs_ms(captions: Sequence[CaptionText]) -> int:
    return sum(caption_need_ms(caption.text) for caption in captions)


def _merges(captions: tuple[CaptionText, ...], style: CaptionStyle) -> Iterator[tuple[int, tuple[CaptionText, ...]]]:
    """Yield (milliseconds saved, captions afterwards) for each pair of neighbours that fits on the screen."""
    for idx, (first, second) in enumerate(pairwise(captions)):
        text = merged_text(first.text, second.text, style)
        if text is None:
            continue
        sources = dict.fromkeys(source for source in (first.source, second.source) if source)
        one = replace(first, text=text, source=", ".join(sources))
        saved_ms = _needs_ms((first, second)) - _needs_ms((one,))
        yield saved_ms, (*captions[:idx], one, *captions[idx + 2 :])


def merged_text(first: str, second: str, style: CaptionStyle) -> str | None:
    """Return two captions as one, ``None`` if they do not fit on the screen together."""
    items = (first, second)
    lines = items if fits(items, style) else wrap(ITEM_MARK.join(_flat(item) for item in items), style)
    return "\n".join(lines) if fits(lines, style) else None


def _flat(text: str) -> str:
    """Return a caption on one line; the dot between items, which a line break stands for, comes back."""
    return ITEM_MARK.join(text.split("\n"))


def tell_collisions(
    rows: Sequence[Row], captions: Sequence[Caption], merged: Sequence[str], lengthened: Sequence[tuple[str, int]]
) -> Iterator[Finding]:
    """
    Yield what was done: one finding for each way, naming the first few steps.

    Parameters
    ----------
    rows, captions
        As placed.
    merged
        Steps whose captions were merged, one for each merge.
    lengthened
        (step, milliseconds) for each row that lasts longer because of its captions.
    """
    starts = {row.id: row for row in rows}
    first = {caption.row: caption for caption in reversed(captions)}
    moved = [starts[row].action for row, item in first.items() if item.in_ms > starts[row].start_ms + LEAD_IN_MS]
    if moved:
        yield _finding("caption-moved", f"{_count(moved, 'caption')} later, clear of the one before: {_names(moved)}")
    if merged:
        yield _finding("caption-merged", f"{_count(merged, 'pair')} of captions shown as one: {_names(merged)}")
    if lengthened:
        seconds = decimal_text(Fraction(sum(length_ms for _, length_ms in lengthened), 1000), 1)
        names = _names([step for step, _ in lengthened])
        row = _count([step for step, _ in lengthened], "row")
        yield _finding("caption-lengthens", f"{row} longer, {seconds} s in all, so that captions can be read: {names}")


def _finding(code: str, message: str) -> Finding:
    return Finding(code=code, message=message, about="", source=_RULE)


def _count(items: Sequence[str], noun: str) -> str:
    return f"{len(items)} {noun}{'' if len(items) == 1 else 's'}"


def _names(items: Sequence[str]) -> str:
    names = list(dict.fromkeys(items))
    more = len(names) - _NAMED
    return ", ".join(names[:_NAMED]) + (f" and {more} more" if more > 0 else "")
