"""
How long a caption must stay to be read, and how it is broken into lines.

A caption's text comes in; milliseconds, lines, or several shorter captions go out. Where on the clock a caption stands
is decided in ``placing``.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import combinations, pairwise

from shootplan.records import dataclass

__all__ = [
    "ITEM_MARK",
    "VERTICAL",
    "WIDE",
    "CaptionStyle",
    "caption_need_ms",
    "caption_words",
    "fits",
    "split_caption",
    "wrap",
]


@dataclass(frozen=True, slots=True)
class CaptionStyle:
    """How much may stand on the screen at once: lines, and characters a line."""

    lines: int
    characters: int


#: Two lines of at most 37 characters (BBC subtitle guidelines, 16:9).
WIDE = CaptionStyle(2, 37)
#: Three lines of at most 25 characters (BBC subtitle guidelines, 9:16: narrower lines, three at most).
VERTICAL = CaptionStyle(3, 25)
#: Parts the items of one caption ("3 tbsp flour · 300 ml milk").
ITEM_MARK = " · "
_AFTER_STOP = re.compile(r"[:;,.!?·–+]$")
_MOST_WORDS = 60


def caption_words(text: str) -> int:
    """Return the pieces between spaces; a no-break space or a line break parts words too."""
    return len(text.split())


def caption_need_ms(text: str) -> int:
    """
    Return the shortest hold in milliseconds at which a caption can be read, 0 for an empty one.

    hold = max(0.2 s x words + 2 s (3 s from ten words on), 0.3 s x words, characters / 15), up to the next 0.1 s.
    A line break counts as one character, as the space it stands for.

    References
    ----------
    BCAP guidance on superimposed text as published by Clearcast (0.2 s a word, 2 s up to nine words, 3 s above); BBC
    subtitle guidelines section 4.1 (0.3 s a word at least); 15 characters a second: UNE 153010.
    """
    words = caption_words(text)
    if words == 0:
        return 0
    recognition_ms = 2000 if words <= 9 else 3000
    by_characters_ms = -(-len(text.strip()) * 1000 // 15)
    need_ms = max(200 * words + recognition_ms, 300 * words, by_characters_ms)
    return -(-need_ms // 100) * 100


def wrap(text: str, style: CaptionStyle = WIDE) -> tuple[str, ...]:
    """
    Return the lines of a caption, broken at spaces and never at a no-break space.

    A short text stays on one line. Several lines, as few as will do, break after a colon, comma or dot between items
    where that fits, else where the lines are most alike; a text too long for the style fills as many as it needs.
    """
    lines = tuple(" ".join(filter(None, line.split(" "))) for line in text.split("\n") if line.strip())
    if fits(lines, style):
        return lines
    whole = " ".join(lines)
    for count in range(1, style.lines + 1):
        if found := _broken(whole, count, style.characters):
            return found
    return _greedy(whole, style.characters)


def _broken(text: str, count: int, characters: int) -> tuple[str, ...]:
    """Return the best way of breaking a text into so many lines, none if there is no way."""
    fitting = [lines for lines in _ways(text, count) if max(map(len, lines)) <= characters]
    if not fitting:
        return ()
    best = min(fitting, key=_unevenness)
    return (*(line.removesuffix(ITEM_MARK.rstrip()) for line in best[:-1]), best[-1])


def _ways(text: str, count: int) -> Iterator[tuple[str, ...]]:
    words = text.split(" ")
    # A text with too many words for trying every way is far too long for the screen anyway.
    for cuts in combinations(range(1, min(len(words), _MOST_WORDS)), count - 1):
        ends = (0, *cuts, len(words))
        yield tuple(" ".join(words[start:end]) for start, end in pairwise(ends))


def _unevenness(lines: tuple[str, ...]) -> tuple[int, int]:
    """Return (breaks that do not follow a stop, longest minus shortest line)."""
    lengths = [len(line) for line in lines]
    return sum(not _AFTER_STOP.search(line) for line in lines[:-1]), max(lengths) - min(lengths)


def _greedy(text: str, characters: int) -> tuple[str, ...]:
    lines: list[str] = []
    for word in text.split(" "):
        if lines and len(lines[-1]) + len(word) < characters:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return tuple(lines)


def fits(lines: tuple[str, ...], style: CaptionStyle = WIDE) -> bool:
    """Return whether the lines are no more and no longer than the style allows."""
    return len(lines) <= style.lines and all(len(line) <= style.characters for line in lines)


def split_caption(text: str, style: CaptionStyle = WIDE) -> tuple[str, ...]:
    """
    Return a caption's text with its line breaks; several captions where its items do not fit on the screen together.

    Exactly two items become one line each. A single item that is too long is kept whole; ``fits`` tells.
    """
    items = [item.strip() for item in text.split(ITEM_MARK) if item.strip()]
    if len(items) == 2 and fits(tuple(items), style):
        return ("\n".join(items),)
    found: list[str] = []
    for item in items:
        longer = f"{found[-1]}{ITEM_MARK}{item}" if found else item
        if found and fits(wrap(longer, style), style):
            found[-1] = longer
        else:
            found.append(item)
    return tuple("\n".join(wrap(item, style)) for item in found)
