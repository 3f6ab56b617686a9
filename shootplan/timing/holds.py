"""
How long a caption must stay to be read, and how it is broken into lines.

A caption's text comes in; milliseconds, lines, or several shorter captions go out. Where on the clock a caption stands
is decided in ``placing``.
"""

from __future__ import annotations

import re

__all__ = ["ITEM_MARK", "LINES", "LINE_CHARACTERS", "caption_need_ms", "caption_words", "fits", "split_caption", "wrap"]

#: Two lines of at most 37 characters (BBC subtitle guidelines, 16:9).
LINE_CHARACTERS = 37
LINES = 2
#: Parts the items of one caption ("3 tbsp flour · 300 ml milk").
ITEM_MARK = " · "
_AFTER_STOP = re.compile(r"[:;,.!?·–+]$")


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


def wrap(text: str) -> tuple[str, ...]:
    """
    Return the lines of a caption, broken at spaces and never at a no-break space.

    A short text stays on one line. Two lines break after a colon, comma or dot between items where that fits, else
    where the lines are most alike; a text too long for two lines fills as many as it needs.
    """
    lines = tuple(" ".join(line.split(" ")).strip(" ") for line in text.split("\n") if line.strip())
    if len(lines) == LINES and all(len(line) <= LINE_CHARACTERS for line in lines):
        return lines
    whole = " ".join(lines)
    if len(whole) <= LINE_CHARACTERS:
        return (whole,) if whole else ()
    return _two_lines(whole) or _greedy(whole)


def _two_lines(text: str) -> tuple[str, ...]:
    breaks = [index for index, character in enumerate(text) if character == " "]
    pairs = [(text[:index], text[index + 1 :]) for index in breaks]
    fitting = [pair for pair in pairs if max(len(pair[0]), len(pair[1])) <= LINE_CHARACTERS]
    if not fitting:
        return ()
    best = min(fitting, key=lambda pair: (not _AFTER_STOP.search(pair[0]), abs(len(pair[0]) - len(pair[1]))))
    return (best[0].removesuffix(ITEM_MARK.rstrip()), best[1])


def _greedy(text: str) -> tuple[str, ...]:
    lines = [""]
    for word in text.split(" "):
        longer = f"{lines[-1]} {word}".strip(" ")
        if lines[-1] and len(longer) > LINE_CHARACTERS:
            lines.append(word)
        else:
            lines[-1] = longer
    return tuple(line for line in lines if line)


def fits(lines: tuple[str, ...]) -> bool:
    """Return whether the lines are at most two of at most 37 characters."""
    return len(lines) <= LINES and all(len(line) <= LINE_CHARACTERS for line in lines)


def split_caption(text: str) -> tuple[str, ...]:
    """
    Return a caption's text with its line breaks; several captions where its items do not fit on two lines.

    Exactly two items become one line each. A single item that is too long is kept whole; ``fits`` tells.
    """
    items = [item.strip() for item in text.split(ITEM_MARK) if item.strip()]
    if len(items) == LINES and all(len(item) <= LINE_CHARACTERS for item in items):
        return ("\n".join(items),)
    found: list[str] = []
    for item in items:
        longer = f"{found[-1]}{ITEM_MARK}{item}" if found else item
        if found and fits(wrap(longer)):
            found[-1] = longer
        else:
            found.append(item)
    return tuple("\n".join(wrap(item)) for item in found)
