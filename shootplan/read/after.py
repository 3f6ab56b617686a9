"""
What a step waits for: ``none``; ``Peel potatoes``; ``Sweat leeks within 5 min, Heat the oven``; ``oat-crumble: Bake``.

A field's text comes in, ``After`` values go out. Whether such steps exist is checked in ``structure``.
"""

from __future__ import annotations

import re
from dataclasses import replace

from shootplan.model.clock import Window
from shootplan.model.recipe import After
from shootplan.read.durations import read_wait
from shootplan.read.passage import Log, Passage
from shootplan.read.values import Wrong

__all__ = ["read_after"]

_GAP = re.compile(r"(?:^|\s)(?=(?:at\s+once$|within\s+\S|at\s+least\s+[0-9½¼¾]|at\s+most\s+[0-9½¼¾]))", re.I)
_OTHER = re.compile(r"^([\w-]+):\s+(.+)$", re.S)


def read_after(passage: Passage, log: Log) -> tuple[After, ...]:
    """Return the steps waited for with their gaps; empty for "none"."""
    line = passage.on_one_line()
    if line.text.casefold() == "none":
        return ()
    found: list[After] = []
    for piece in line.pieces(r"[,;]"):
        gap_at = _GAP.search(piece.text)
        name = piece if gap_at is None else piece.part(0, gap_at.start())
        window = None if gap_at is None else _gap(piece.part(gap_at.end()), log)
        if name.text:
            found.append(_tied(_named(name), window))
        elif found:
            found[-1] = _tied(found[-1], window)
        else:
            log.fault(
                piece.span(), "after-without-step", "a gap without a step", 'name the step first: "Boil within 5 min"'
            )
    return tuple(found)


def _gap(piece: Passage, log: Log) -> Window | None:
    window = read_wait(piece.text)
    if isinstance(window, Wrong):
        log.fault(piece.span(), window.code, window.message, window.hint)
        return None
    return window


def _named(name: Passage) -> After:
    other = _OTHER.match(name.text)
    if other is None:
        return After(step=" ".join(name.text.split()), span=name.span())
    return After(step=" ".join(other[2].split()), recipe=other[1], span=name.span())


def _tied(after: After, window: Window | None) -> After:
    if window is None:
        return after
    at_least = max(after.at_least_s, window.at_least_s)
    at_most = window.at_most_s if window.at_most_s is not None else after.at_most_s
    return replace(after, at_least_s=at_least, at_most_s=at_most)
