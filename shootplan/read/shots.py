"""
How a step is filmed: ``hob close, tip-in, at the start, 12 s on screen, 2 takes, reset 2 min, no sync sound``.

A field's text comes in, a ``Shot`` (or ``None`` for "none") goes out. The first piece is the camera position; pieces
with a meaning of their own are recognised, all others are what is in the picture. What is poured or tipped in is
filmed as its step begins, and where a lid is lifted hands are in the picture, whether or not that is said.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from shootplan.model.recipe import Shot
from shootplan.read.durations import read_duration
from shootplan.read.passage import Log, Passage
from shootplan.read.values import Wrong, read_count

__all__ = ["read_shot"]

_TIMED: tuple[tuple[re.Pattern[str], str, Callable[[str], object]], ...] = (
    (re.compile(r"^(?P<value>[0-9].*?)\s+on screen$", re.I), "screen_s", read_duration),
    (re.compile(r"^(?P<value>[0-9].*?)\s+(?:of\s+)?action$", re.I), "action_s", read_duration),
    (re.compile(r"^reset\s+(?P<value>[0-9].*)$", re.I), "reset_s", read_duration),
    (re.compile(r"^(?P<value>[0-9]+)\s+takes?$", re.I), "takes", read_count),
)
_FLAGS: dict[str, tuple[str, object]] = {
    "one take only": ("is_repeatable", False),
    "no sync sound": ("has_sync_sound", False),
    "noise": ("is_noisy", True),
    "at the start": ("moment", "start"),
    "at the end": ("moment", "end"),
    "with hands": ("has_hands", True),
    "no hands": ("has_hands", False),
}
#: What is in the picture of these happens once, as the step begins.
_GOES_IN = re.compile(r"\b(?:pour|tip-in|goes in|tipped in|poured in)\b", re.I)
#: What nobody can do without a hand (a common-sense list, no source).
_BY_HAND = re.compile(r"\b(?:lid lift|lift(?:ing)? (?:the )?lid|flip|stir|shake|toss|hands?)\b", re.I)


def read_shot(passage: Passage, log: Log) -> Shot | None:
    """Return how a step is filmed, ``None`` for "none"."""
    line = passage.on_one_line()
    if line.text.casefold() == "none":
        return None
    pieces = line.pieces(",")
    if not pieces:
        return None
    values: dict[str, Any] = {}
    framing = [piece.text for piece in pieces[1:] if not _recognised(piece, values, log)]
    if any(_GOES_IN.search(text) for text in framing):
        values.setdefault("moment", "start")
    if any(_GOES_IN.search(text) or _BY_HAND.search(text) for text in framing):
        values.setdefault("has_hands", True)
    return Shot(set_up=pieces[0].text, framing=", ".join(framing), span=passage.span(), **values)


def _recognised(piece: Passage, values: dict[str, Any], log: Log) -> bool:
    flag = _FLAGS.get(piece.text.casefold())
    if flag is not None:
        values[flag[0]] = flag[1]
        return True
    for pattern, name, read in _TIMED:
        match = pattern.match(piece.text)
        if match is None:
            continue
        value = read(match["value"])
        if isinstance(value, Wrong):
            log.fault(piece.span(), value.code, value.message, value.hint)
        else:
            values[name] = value
        return True
    return False
