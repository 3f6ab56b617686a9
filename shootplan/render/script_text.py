"""
The script in the terminal, two columns side by side, and for machines.

A cut comes in, text without a line feed at the end or plain JSON values go out; the width is the caller's business.
"""

from __future__ import annotations

import textwrap
from itertools import zip_longest
from typing import Any

from shootplan.model.cut import Cut
from shootplan.model.episode import Episode
from shootplan.render.encode import encode
from shootplan.render.table_text import bold, shown_width
from shootplan.render.views_script import ScriptRow, script_view

__all__ = ["script_json", "script_text"]

_TIME = 9
_WIDEST, _NARROWEST = 160, 76
SCHEMA_VERSION = 1


def script_json(episode: Episode, cut: Cut) -> dict[str, Any]:
    """Return the rows and captions in whole milliseconds, and the length asked for in seconds."""
    return {
        "schema_version": SCHEMA_VERSION,
        "target": {"low_s": episode.length_low_s, "high_s": episode.length_high_s},
        **encode(cut),
    }


def script_text(episode: Episode, cut: Cut, *, width: int = 120, colour: bool = False) -> str:
    """Return the script: time, picture, sound and captions side by side, a blank line between rows."""
    view = script_view(episode, cut)
    width = max(_NARROWEST, min(width, _WIDEST))
    lines = [f"{what}: {figure}" + (f" ({detail})" if detail else "") for what, figure, detail in view.figures]
    lines += [line for sentence in view.length for line in textwrap.wrap(sentence, width)]
    columns = _columns(width)
    head = _joined((["TIME"], ["PICTURE"], ["SOUND"], ["CAPTIONS"]), columns)
    for section in view.sections:
        lines += ["", bold(f"{section.title}, from {section.at}, {section.length} long", colour=colour), *head]
        for row in section.rows:
            lines += [*_joined(_cells(row), columns), ""]
        lines.pop()
    return "\n".join(lines)


def _columns(width: int) -> tuple[int, int, int, int]:
    """Return the widths of the four columns, three spaces of gaps left out; sound gets the most."""
    rest = width - _TIME - 6
    picture, captions = rest * 30 // 100, rest * 30 // 100
    return _TIME, picture, rest - picture - captions, captions


def _cells(row: ScriptRow) -> tuple[list[str], list[str], list[str], list[str]]:
    picture = [row.action, ", ".join(word for word in (row.set_up, row.framing) if word)]
    picture.append(f"wait {row.wait}" if row.wait else "")
    sound = [row.advice.upper()] if row.advice else []
    if row.say:
        length, band, words = row.sound
        sound = [f"{row.speaker}: {row.say}", f"{words}, {length} s ({band}){' tight' if row.tight else ''}", *sound]
    captions = [
        text for caption in row.captions for text in (*caption.lines, f"  in {caption.comes_in}, hold {caption.hold} s")
    ]
    return [row.at, f"{row.seconds} s"], [text for text in picture if text], sound or ["-"], captions or ["-"]


def _joined(cells: tuple[list[str], ...], columns: tuple[int, ...]) -> list[str]:
    """Return the lines of one row, each cell wrapped to its column."""
    wrapped = [
        [piece for text in cell for piece in _wrapped(text, width)] for cell, width in zip(cells, columns, strict=True)
    ]
    return [
        "  ".join(text + " " * (width - shown_width(text)) for text, width in zip(parts, columns, strict=True)).rstrip()
        for parts in zip_longest(*wrapped, fillvalue="")
    ]


def _wrapped(text: str, width: int) -> list[str]:
    indent = " " * (len(text) - len(text.lstrip(" ")))
    return textwrap.wrap(text, width, subsequent_indent=indent, break_on_hyphens=False)
