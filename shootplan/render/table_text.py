"""
Plain-text tables: columns as wide as their widest cell as a terminal shows it.

Rows of texts come in, one text goes out. Bold is used only when asked for.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence

__all__ = ["bold", "shown_width", "table"]


def table(
    head: Sequence[str], rows: Sequence[Sequence[str]], *, right: Sequence[int] = (), colour: bool = False
) -> str:
    """Return the table; columns whose index is in ``right`` (from 0) stand at the right edge."""
    widths = [max(shown_width(row[column]) for row in (head, *rows)) for column in range(len(head))]
    lines = [bold(_line(head, widths, right), colour=colour)]
    return "\n".join([*lines, *(_line(row, widths, right) for row in rows)])


def bold(text: str, *, colour: bool) -> str:
    """Return a text in bold for terminals (ECMA-48, SGR 1) if colour is asked for."""
    return f"\x1b[1m{text}\x1b[0m" if colour else text


def shown_width(text: str) -> int:
    """Return how many columns a terminal needs: wide letters two, combining marks none (Unicode UAX 11)."""
    return sum(_letter_width(letter) for letter in text)


def _letter_width(letter: str) -> int:
    if unicodedata.combining(letter):
        return 0
    return 2 if unicodedata.east_asian_width(letter) in "WF" else 1


def _line(cells: Sequence[str], widths: Sequence[int], right: Sequence[int]) -> str:
    parts = []
    for column, (text, width) in enumerate(zip(cells, widths, strict=True)):
        space = " " * (width - shown_width(text))
        parts.append(space + text if column in right else text + space)
    return "  ".join(parts).rstrip()
