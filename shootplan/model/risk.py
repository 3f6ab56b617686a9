"""What the ranges of a plan's times do to its wrap: percentiles, limits that break, the ranges that matter."""

from __future__ import annotations

from enum import Enum
from fractions import Fraction

from shootplan.model.clock import Range
from shootplan.records import dataclass

__all__ = ["DayRisk", "LimitRisk", "RangeEffect", "RiskReport", "Spread"]


class Spread(Enum):
    """How a time is spread over its range: any value equally likely, or the middle the likeliest (a triangle)."""

    UNIFORM = "uniform"
    TRIANGULAR = "triangular"


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitRisk:
    """
    A limit that some runs break: in how many, by how many seconds in the middle one of those and at worst.

    ``breaks_short`` is whether it breaks where every time takes its short end.
    """

    rule: str
    broken: int
    typical_s: int
    worst_s: int
    breaks_short: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class RangeEffect:
    """
    What one range does to the wrap.

    ``swing_s`` is how much later the wrap is with this time at its long end than at its short end, all others in the
    middle. ``rank_correlation`` is Spearman's, over all runs, to the hundredth.
    """

    activity: str
    label: str
    range: Range
    swing_s: int
    rank_correlation: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class DayRisk:
    """
    One day of a plan over several days: its hours, its wrap as planned and over the runs, all in seconds from call.

    ``late`` counts the runs in which somebody has to stay after ``closes_s``. The wraps are ``None`` for a day on which
    nothing is planned. What goes on overnight counts with its beginning only.
    """

    opens_s: int
    closes_s: int
    planned_s: int | None = None
    p10_s: int | None = None
    p50_s: int | None = None
    p90_s: int | None = None
    late: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class RiskReport:
    """
    The fixed plan at both ends and over its ranges, wrap in seconds from call.

    ``planned_s`` is the wrap at the long ends, ``short_s`` at the short ends (``None`` where a limit cannot be kept
    there whatever is foreseen). ``p10_s``, ``p50_s`` and ``p90_s``: so many percent of the runs wrap by then.
    ``late`` counts the runs that wrap after ``latest_s``. ``limits`` are those that break in some run, the most often
    broken first; ``ranges`` those that move the wrap, the strongest first. ``days`` are those of a plan over several
    days, in order: the end of each one's hours is its limit.
    """

    runs: int
    seed: int
    spread: Spread
    planned_s: int
    short_s: int | None
    mean_s: int
    p10_s: int
    p50_s: int
    p90_s: int
    latest_s: int | None = None
    late: int = 0
    limits: tuple[LimitRisk, ...] = ()
    ranges: tuple[RangeEffect, ...] = ()
    days: tuple[DayRisk, ...] = ()
