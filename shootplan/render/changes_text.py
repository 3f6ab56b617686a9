"""
What changed between two editions, as a terminal shows it and for machines.

A ``ChangeReport`` comes in, text or plain values go out.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from shootplan.model.changes import Change, ChangeReport, FactKind
from shootplan.model.show import join_words
from shootplan.render.table_text import bold

__all__ = ["changes_json", "changes_view"]

_HEADINGS: tuple[tuple[FactKind, str], ...] = (
    (FactKind.EPISODE, "settings"),
    (FactKind.RECIPE, "recipes"),
    (FactKind.ALLERGEN, "allergens and cautions"),
    (FactKind.PRICE_ROW, "price rows"),
    (FactKind.CLAIM, "claims"),
    (FactKind.SERVING, "prices of recipes"),
    (FactKind.TOTAL, "prices of the episode"),
    (FactKind.LINE, "cost of lines"),
    (FactKind.AMOUNT, "amounts"),
    (FactKind.TIME, "times"),
    (FactKind.DAY, "the day, from call"),
    (FactKind.FILMED, "the filmed day"),
    (FactKind.LENGTH, "the video"),
    (FactKind.TEXT, "printed texts"),
)
#: Texts of up to so many words are shown whole, of longer ones what differs with so many words on either side.
_SHORT, _AROUND = 24, 4
_BURNED = ((FactKind.CAPTION, "captions"), (FactKind.NARRATION, "spoken"))


def changes_view(report: ChangeReport, *, colour: bool = False) -> str:
    """Return the changes in words: figures old → new, what the finished video holds, what is built again."""
    if not report.changes:
        return "\n".join([f"{report.title}: nothing changes", *_not_compared(report)])
    lines = [f"{report.title}: {report.old} → {report.new}"]
    if report.recipes:
        lines.append(f"recipes concerned: {join_words(report.recipes)}")
    for kind, heading in _HEADINGS:
        lines += _block(heading, (change for change in report.changes if change.kind is kind), colour)
    lines += ["", bold("fixed in the picture and in the sound of a finished video", colour=colour)]
    lines += ["  nothing"] if not report.burned else []
    for kind, heading in _BURNED:
        lines += [f"  {heading}: {_line(change)}" for change in report.burned if change.kind is kind]
    lines += ["", bold("put right by building again", colour=colour)]
    lines += [f"  {name}" for name in report.editable]
    return "\n".join([*lines, *_not_compared(report)])


def changes_json(report: ChangeReport) -> dict[str, Any]:
    """Return the report for machines."""
    return {
        "schema_version": 1,
        "old": report.old,
        "new": report.new,
        "title": report.title,
        "recipes": list(report.recipes),
        "changes": [
            {
                "kind": change.kind.value,
                "about": change.about,
                "label": change.label,
                "old": change.old or None,
                "new": change.new or None,
                "is_burned": change.kind.is_burned,
                "documents": list(change.documents),
            }
            for change in report.changes
        ],
        "documents": list(report.editable),
        "not_compared": list(report.not_compared),
    }


def _block(heading: str, changes: Iterable[Change], colour: bool) -> list[str]:
    lines = [f"  {change.about + ': ' if change.about else ''}{_line(change)}" for change in changes]
    return ["", bold(heading, colour=colour), *lines] if lines else []


def _line(change: Change) -> str:
    if not change.old:
        return f"{change.label}: new: {change.new}"
    if not change.new:
        return f"{change.label}: gone: {change.old}"
    if change.prints_alike:
        return f"{change.label}: {change.new}, exact figure moves by less than is printed"
    old, new = _where_it_differs(change.old, change.new)
    return f"{change.label}: {old} → {new}"


def _where_it_differs(old: str, new: str) -> tuple[str, str]:
    """Return of two long texts the words that differ with a few around them, else both whole."""
    olds, news = old.split(), new.split()
    if max(len(olds), len(news)) <= _SHORT:
        return " ".join(olds), " ".join(news)
    same = next((n for n, (a, b) in enumerate(zip(olds, news, strict=False)) if a != b), min(len(olds), len(news)))
    start, rest = max(0, same - _AROUND), min(len(olds), len(news)) - same
    behind = next((n for n in range(rest) if olds[-1 - n] != news[-1 - n]), rest)
    end = max(0, behind - _AROUND)
    return _excerpt(olds, start, end), _excerpt(news, start, end)


def _excerpt(words: list[str], start: int, end: int) -> str:
    """Return the words without the first ``start`` and the last ``end``, with dots where some are left out."""
    inside = words[start : len(words) - end]
    return " ".join([*(["…"] if start else []), *inside, *(["…"] if end else [])])


def _not_compared(report: ChangeReport) -> list[str]:
    return [f"not compared, in one of the two only: {join_words(report.not_compared)}"] if report.not_compared else []
