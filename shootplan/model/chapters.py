"""
The chapters of the finished video: where each begins and what it is called.

A ``Cut`` comes in, chapters that a platform takes go out: the first at 0:00, each at least ten seconds long by the
whole seconds that are printed, no two of one name (common platform rule). Too short a section joins a neighbour.
"""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

from shootplan.model.cut import Cut, Section
from shootplan.model.show import join_words
from shootplan.records import dataclass

__all__ = ["LEAST_CHAPTERS", "LEAST_CHAPTER_S", "Chapter", "chapters_of"]

#: A platform shows chapters that are at least so long, and only if there are so many (common platform rule).
LEAST_CHAPTER_S, LEAST_CHAPTERS = 10, 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Chapter:
    """A chapter: start on the cut clock, title on one line, the recipes and the sections in it."""

    start_ms: int
    title: str
    recipes: tuple[str, ...]
    sections: tuple[str, ...]


def chapters_of(cut: Cut) -> tuple[Chapter, ...]:
    """
    Return the chapters by their starts; none for a cut without rows.

    A section shorter than ten seconds joins the one before, the first one the one behind it. A joined chapter is named
    after its recipes, if it has none after its longest section.
    """
    groups = [[section] for section in sorted((item for item in cut.sections if item.rows), key=_start_ms)]
    while len(groups) > 1:
        lengths_s = _lengths_s(groups, cut.length_ms)
        short = next((idx for idx, length_s in enumerate(lengths_s) if length_s < LEAST_CHAPTER_S), None)
        if short is None:
            break
        first = max(short - 1, 0)
        groups[first : first + 2] = [groups[first] + groups[first + 1]]
    titles = _unique([_title(group) for group in groups])
    return tuple(
        Chapter(
            start_ms=_start_ms(group[0]) if idx else 0,
            title=title,
            recipes=tuple(name for section in group for name in _recipes(section)),
            sections=tuple(section.id for section in group),
        )
        for idx, (group, title) in enumerate(zip(groups, titles, strict=True))
    )


def _start_ms(section: Section) -> int:
    return min(row.start_ms for row in section.rows)


def _lengths_s(groups: list[list[Section]], length_ms: int) -> list[int]:
    """Return the lengths as whole printed seconds tell them."""
    starts_s = [0, *(_start_ms(group[0]) // 1000 for group in groups[1:]), length_ms // 1000]
    return [end - start for start, end in pairwise(starts_s)]


def _title(group: list[Section]) -> str:
    dishes = [section.title for section in group if _recipes(section)]
    longest = max(group, key=lambda section: sum(row.length_ms for row in section.rows))
    return " ".join((join_words(dishes) or longest.title).split())


def _recipes(section: Section) -> tuple[str, ...]:
    return tuple(dict.fromkeys(row.recipe for row in section.rows if row.recipe))


def _unique(titles: list[str]) -> list[str]:
    seen: Counter[str] = Counter()
    found = []
    for title in titles:
        seen[title] += 1
        found.append(f"{title} ({seen[title]})" if seen[title] > 1 else title)
    return found
