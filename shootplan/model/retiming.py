"""
What is known of the finished edit, and where the script's rows and captions stand in it.

Positions are exact frames (``Fraction``) from the start of the finished video at the edit's rate, until captions are
settled on whole frames. The source of a shot is counted from the start of its row.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum
from fractions import Fraction

from shootplan.model.cut import Cut
from shootplan.model.timecode import Rate
from shootplan.problems import Finding
from shootplan.records import dataclass

__all__ = [
    "CaptionMove",
    "FinishedEdit",
    "Place",
    "Placing",
    "Point",
    "RetimeReport",
    "RowMove",
    "RowPlace",
    "Shot",
    "Way",
]


class Way(Enum):
    """By what the places were found, the most trusted first."""

    SHOTS = "shots of the edit"
    MARKERS = "markers"
    SPEECH = "subtitles of the speech"
    LENGTH = "length alone"


@dataclass(frozen=True, slots=True, kw_only=True)
class Shot:
    """
    A piece of picture in the finished edit, from ``in_f`` to ``out_f`` (not included).

    ``source_f`` is the source frame shown at ``in_f``, on the source's own count; ``base_f``, where it is known, the
    source frame at which the row begins (``None``: where the row's earliest used frame is). ``speed`` is source frames
    a frame of the edit: 1 as shot, 2 twice as fast, below zero backwards, 0 a frame that stands still.
    """

    name: str
    reel: str
    row: str
    in_f: Fraction
    out_f: Fraction
    source_f: Fraction
    speed: Fraction = Fraction(1)
    base_f: Fraction | None = None

    @property
    def lowest_f(self) -> Fraction:
        """The earliest source frame that the shot shows."""
        length_f = self.out_f - self.in_f
        return self.source_f if self.speed >= 0 else self.source_f + length_f * self.speed + 1

    def place_of(self, source_f: Fraction) -> Fraction | None:
        """Return when a source frame is shown, ``None`` if it is not: the first included, the last end not."""
        if self.speed == 0:
            return self.in_f if self.source_f <= source_f < self.source_f + 1 else None
        at_f = self.in_f + (source_f - self.source_f) / self.speed
        return at_f if self.in_f <= at_f < self.out_f else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """A marker: the id of the row or caption that it names, and when."""

    id: str
    at_f: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class FinishedEdit:
    """What an edit list or a timeline holds: shots by their starts, markers, the length of the video."""

    shots: tuple[Shot, ...]
    points: tuple[Point, ...] = ()
    length_f: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a caption should come in, and the stretch of its own picture, which it should not leave."""

    at_f: Fraction
    low_f: Fraction
    high_f: Fraction
    remark: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RowPlace:
    """The stretch of the finished video that a row takes, of its first use where it is used again."""

    start_f: Fraction
    end_f: Fraction
    remark: str = ""
    is_repeated: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Placing:
    """Places of rows and captions by their ids; what has none is in ``lost`` by its id, with the reason."""

    way: Way
    rows: Mapping[str, RowPlace]
    captions: Mapping[str, Place]
    lost: Mapping[str, str]
    length_f: Fraction
    is_provisional: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class RowMove:
    """
    A row in the plan and in the finished video, in milliseconds; without ``start_ms`` it is lost.

    Lengths run to the next picture.
    """

    id: str
    planned_ms: int
    planned_length_ms: int
    start_ms: int | None = None
    length_ms: int = 0
    remark: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CaptionMove:
    """A caption in the plan and in the finished video, in milliseconds; without ``in_ms`` and ``out_ms`` it is lost."""

    id: str
    row: str
    text: str
    planned_in_ms: int
    planned_out_ms: int
    need_ms: int
    in_ms: int | None = None
    out_ms: int | None = None
    remark: str = ""

    @property
    def is_lost(self) -> bool:
        """Whether it has no place in the finished video."""
        return self.in_ms is None or self.out_ms is None

    @property
    def moved_ms(self) -> int:
        """How much later it comes in; 0 if it is lost."""
        return 0 if self.in_ms is None else self.in_ms - self.planned_in_ms

    @property
    def longer_ms(self) -> int:
        """How much longer it stays; 0 if it is lost."""
        if self.in_ms is None or self.out_ms is None:
            return 0
        return self.out_ms - self.in_ms - (self.planned_out_ms - self.planned_in_ms)


@dataclass(frozen=True, slots=True, kw_only=True)
class RetimeReport:
    """
    The re-timed cut and how it differs from the plan.

    Rows and captions stand in script order. ``frame_ms`` is the length of a frame, rounded up.
    """

    way: Way
    rate: Rate
    cut: Cut
    planned_ms: int
    rows: tuple[RowMove, ...]
    captions: tuple[CaptionMove, ...]
    frame_ms: int
    is_provisional: bool = False
    findings: tuple[Finding, ...] = ()

    @property
    def rows_lost(self) -> tuple[str, ...]:
        """The ids of the rows that are not in the finished video."""
        return tuple(row.id for row in self.rows if row.start_ms is None)
