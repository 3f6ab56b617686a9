"""
Where in a narration the figure is said that a caption shows, and whether the two keep together (check C13).

Narration and a caption's text come in, the place of the first figure that both have goes out; a cut comes in, what
comes too early or too late goes out.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from shootplan.facts.figures import Typed, find_figures
from shootplan.facts.names import name_words
from shootplan.model.agreement import FigureKind
from shootplan.model.cut import Caption, Cut, Row

__all__ = ["check_order", "first_spoken"]

_KINDS = (FigureKind.AMOUNT, FigureKind.TIME, FigureKind.TEMPERATURE, FigureKind.MONEY)
#: A caption may come so much before the word and so much behind it (reference on scripts and captions, C13).
_EARLY_MS, _LATE_MS = 1500, 2000
#: The estimate of when a word is said may be wrong by this share of the narration before it (reference, section 2).
_BAND = Fraction(1, 5)


def first_spoken(say: str, shown: str) -> int | None:
    """
    Return where in a narration the first figure begins that a caption shows too, ``None`` if they share none.

    Amounts, times, temperatures and prices are compared by value and unit; "ten minutes" is said of "10–15 min".
    """
    if not say or not any(sign.isalnum() for sign in shown):
        return None
    # Laid out as check C2 reads it, so that each text is looked through only once.
    figures = [typed for typed in find_figures(shown.replace("\n", " · ")) if typed.kind in _KINDS]
    spoken = find_figures(say) if figures else ()
    places = [said.start for said in spoken if any(_is_same(said, figure) for figure in figures)]
    return min(places, default=None)


def _is_same(said: Typed, shown: Typed) -> bool:
    """Return whether a figure said lies in the one shown; a currency may be written as a sign or a code."""
    if said.kind is not shown.kind or not (shown.low <= said.low <= shown.high or said.low <= shown.low <= said.high):
        return False
    if said.kind is FigureKind.AMOUNT:
        names = set(name_words(said.name)), set(name_words(shown.name))
        return said.unit == shown.unit and (not all(names) or bool(names[0] & names[1]))
    return said.kind is not FigureKind.TEMPERATURE or said.unit == shown.unit or not (said.unit and shown.unit)


def check_order(cut: Cut, length_of: Callable[[str], int]) -> tuple[int, list[str]]:
    """
    Return how many captions were compared with the narration of their row or the row before, and which are apart.

    ``length_of`` tells how long a text takes to say. A caption of several figures goes by the one that is said first.
    """
    compared, broken = 0, list[str]()
    rows = cut.rows
    before = {row.id: rows[at - 1] if at else None for at, row in enumerate(rows)}
    own = {row.id: row for row in rows}
    for caption in cut.captions:
        row = own.get(caption.row)
        for said in (row, before.get(caption.row)):
            at = first_spoken(said.say, caption.text) if said is not None else None
            if said is not None and at is not None:
                compared += 1
                broken += _fault(said, caption, at, length_of)
                break
    return compared, broken


def _fault(row: Row, caption: Caption, at: int, length_of: Callable[[str], int]) -> list[str]:
    share = Fraction(length_of(row.say[:at]), max(length_of(row.say), 1))
    into_ms = min(share, Fraction(1)) * row.speech_ms
    off_ms = caption.in_ms - row.start_ms - into_ms
    if -_EARLY_MS - _BAND * into_ms <= off_ms <= _LATE_MS + _BAND * into_ms:
        return []
    when = f"{abs(float(off_ms)) / 1000:.1f} s {'before' if off_ms < 0 else 'after'}"
    words = " / ".join(caption.text.split("\n"))
    return [f'row {row.id}: the caption "{words}" comes {when} its figure is said']
