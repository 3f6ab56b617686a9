"""
What a file's text must be before anything is read from it: not too large, no overlong line, no hidden characters.

Text comes in, clean text of the same line and column count goes out. Line ends and a byte order mark are put right
here once more, for callers who did not read through ``app``.
"""

from __future__ import annotations

import re

from shootplan.problems import Span
from shootplan.read.passage import Log

__all__ = ["MAX_CHARACTERS", "MAX_LINE", "MAX_LINES", "MAX_PRICE_CHARACTERS", "MAX_RECIPES", "MAX_STEPS", "clean_text"]

#: Limits against files that are not recipes; a long one has 10,000 characters and 30 steps.
MAX_CHARACTERS = 1024 * 1024
#: A price book grows for years: room for some 200,000 rows.
MAX_PRICE_CHARACTERS = 16 * 1024 * 1024
MAX_LINE = 10_000
MAX_STEPS = 500
MAX_LINES = 500
MAX_RECIPES = 50

_HIDDEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\x80-\x9f\u2028\u2029]")
_ASCII_HIDDEN = {code: None for code in range(128) if _HIDDEN.match(chr(code))}
_DIRECTION = re.compile("[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")


def clean_text(path: str, text: str, log: Log, *, most: int = MAX_CHARACTERS) -> str | None:
    """Return the text with hidden characters as U+FFFD, or ``None`` where it is too large to be read at all."""
    text = text.removeprefix("\ufeff")
    if "\r" in text:
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    if len(text) > most:
        hint = f"keep a file under {most:,} characters"
        log.fault(Span(path), "file-too-long", f"the file has {len(text):,} characters", hint)
        return None
    if not _has_long_line(text) and _is_clean(text):
        return text
    lines = text.split("\n")
    _check_characters(path, lines, log)
    lines = [_within_limit(path, number, line, log) for number, line in enumerate(lines, start=1)]
    return _HIDDEN.sub("\ufffd", "\n".join(lines))


def _has_long_line(text: str) -> bool:
    """Return whether a line is over the limit: from each line's start a line end must be within reach."""
    start = 0
    while len(text) - start > MAX_LINE:
        start = text.rfind("\n", start, start + MAX_LINE + 1) + 1
        if not start:
            return True
    return False


def _is_clean(text: str) -> bool:
    """Return whether there is neither hidden character nor direction mark: one glance for plain and printable text."""
    if text.isascii():
        return len(text.translate(_ASCII_HIDDEN)) == len(text)
    return text.replace("\n", "").isprintable() or not (_HIDDEN.search(text) or _DIRECTION.search(text))


def _within_limit(path: str, number: int, line: str, log: Log) -> str:
    if len(line) <= MAX_LINE:
        return line
    span = Span(path, number, MAX_LINE + 1, len(line) + 1)
    log.fault(span, "line-too-long", f"the line has {len(line):,} characters", f"break it before {MAX_LINE:,}")
    return ""


def _check_characters(path: str, lines: list[str], log: Log) -> None:
    for number, line in enumerate(lines, start=1):
        hidden = _HIDDEN.search(line)
        if hidden is not None:
            span = Span(path, number, hidden.start() + 1, hidden.start() + 2)
            log.fault(span, "character-hidden", f"control character U+{ord(hidden[0]):04X} in the text", "delete it")
        mark = _DIRECTION.search(line)
        if mark is not None:
            span = Span(path, number, mark.start() + 1, mark.start() + 2)
            message = f"invisible direction mark U+{ord(mark[0]):04X}: names that look alike may differ"
            log.doubt(span, "character-direction", message, "delete it if you did not mean it")
