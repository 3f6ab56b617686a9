"""What a figure was found to be, and the words before it that loosen or bound it."""

from __future__ import annotations

import re

from shootplan.facts.book import Place
from shootplan.facts.figures import Typed
from shootplan.model.agreement import FigureKind, Verdict
from shootplan.problems import Span
from shootplan.records import dataclass

__all__ = ["Judgement", "TextPlace", "agrees", "bound_of", "differs", "is_about", "no_fact"]

_ABOUT = re.compile(
    r"\b(?:about|around|roughly|nearly|almost|some|approximately|close to|just over|just under|a good|a scant)\W*$",
    re.IGNORECASE,
)
_BOUND = re.compile(
    r"\b(?P<under>just under|under|less than|below|cheaper than|no more than|within)\W*(?:an?\s+)?$"
    r"|\b(?P<over>over|more than|above|from|at least)\W*(?:an?\s+)?$",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class TextPlace:
    """
    Where a text stands: its recipe and step, its kind in words ("narration"), its place in the file.

    ``has_columns`` says that the text begins at ``span``, so that a figure in it has a column of its own.
    """

    place: Place
    text: str
    span: Span
    has_columns: bool = False


@dataclass(frozen=True, slots=True)
class Judgement:
    """The verdict, the fact in words, what it is said of; ``kind`` where it is another than the text seemed to say."""

    verdict: Verdict
    fact: str = ""
    about: str = ""
    kind: FigureKind | None = None


def agrees(fact: str, about: str = "", kind: FigureKind | None = None) -> Judgement:
    """Return that a figure says what is known."""
    return Judgement(Verdict.AGREES, fact, about, kind)


def differs(fact: str, about: str = "", kind: FigureKind | None = None) -> Judgement:
    """Return that a figure says something else than is known."""
    return Judgement(Verdict.DIFFERS, fact, about, kind)


def no_fact(kind: FigureKind | None = None) -> Judgement:
    """Return that nothing known is what a figure speaks of."""
    return Judgement(Verdict.NO_FACT, kind=kind)


def is_about(typed: Typed) -> bool:
    """Return whether a figure is given loosely ("about", "nearly")."""
    return _ABOUT.search(typed.lead) is not None


def bound_of(typed: Typed) -> str:
    """Return "under" or "over" where the words before a figure make it a bound, else an empty text."""
    match = _BOUND.search(typed.lead)
    return "" if match is None else "under" if match["under"] else "over"
