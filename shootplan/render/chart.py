"""
What a chart of the day holds: lanes of bars, signs and marks in chart units, ready for the template.

Records only; ``timeline`` fills them.
"""

from __future__ import annotations

from shootplan.records import dataclass

__all__ = ["CHARACTER", "SIGN", "Bar", "Chart", "Lane", "Mark", "Piece", "fitting"]

#: Width of one letter of the labels; a bar's label is cut short by it.
CHARACTER = 8.0
#: Room that the sign of a moment takes before its label.
SIGN = 22


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """
    One stretch of work: place in chart units, style, label and long title.

    ``style`` is "solid", "hatched", "outline", "away" (a break), "take" (a recording), "move" (a re-rig) or "moment":
    something that takes no time, ``width`` is then the room for its label. ``decides_wrap`` marks what the end of the
    day waits for.
    """

    x: float
    width: float
    style: str
    label: str
    title: str
    decides_wrap: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A vertical line or a small sign: a look-in, a limit, a tick of the clock."""

    x: float
    label: str
    title: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lane:
    """One lane: label, top edge, bars from left to right, look-ins, limits (latest moment of what waits), pick-ups."""

    label: str
    y: int
    bars: tuple[Bar, ...]
    look_ins: tuple[Mark, ...] = ()
    limits: tuple[Mark, ...] = ()
    pick_ups: tuple[Mark, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """
    The whole chart or a stretch of it: sizes in chart units, ticks, lanes, a description in words for those who do not
    see it. ``id`` is unique in a page; ``numbers_of`` says of what the numbers in the bars are.
    """

    id: str
    is_folded: bool
    width: int
    height: int
    left: int
    lane_height: int
    bottom: int
    title: str
    description: str
    ticks: tuple[Mark, ...]
    lanes: tuple[Lane, ...]
    has_cameras: bool = False
    numbers_of: str = "the shooting order"


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of use before it has a lane; its end is its start where it is a moment."""

    start_s: int
    end_s: int
    style: str
    label: str
    title: str
    activity: str = ""
    is_pick_up: bool = False


def fitting(label: str, width: float) -> str:
    """Return as much of a label as its bar can hold: all of it, cut short, or only its number."""
    room = int((width - 6) / CHARACTER)
    if len(label) <= room:
        return label
    number = label.split(" ", 1)[0]
    if room >= len(number) + 6:
        return label[: room - 1].rstrip() + "…"
    return number if number.isdigit() and width >= len(number) * CHARACTER + 2 else ""
