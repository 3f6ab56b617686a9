"""
Durations and times of the three clocks.

Kitchen clock: what a recipe takes; whole seconds, names end in ``_s``. Shoot clock: whole seconds from call
(negative before it). Cut clock: whole milliseconds from the first frame of the video, names end in ``_ms``.
"""

from __future__ import annotations

from datetime import datetime, time

from shootplan.records import dataclass

__all__ = ["MINUTE", "Clock", "Known", "Range", "Window", "minutes_outward"]

MINUTE = 60
#: Where a clock begins: the call's time of day, or its date and time where a plan is over several days.
Clock = time | datetime


@dataclass(frozen=True, slots=True)
class Range:
    """
    A time that is not known beforehand, between ``low_s`` and ``high_s`` seconds; the cue decides.

    The day is planned on ``high_s``; both ends are published (rule T6). One value has equal ends.

    Raises
    ------
    ValueError
        If ``low_s`` is negative or above ``high_s``.
    """

    low_s: int
    high_s: int

    def __post_init__(self) -> None:
        if not 0 <= self.low_s <= self.high_s:
            raise ValueError(f"a range needs 0 <= low <= high, got {self.low_s} and {self.high_s}")


@dataclass(frozen=True, slots=True)
class Window:
    """
    A time that we choose: at least ``at_least_s``, at most ``at_most_s`` seconds (``None``: no limit).

    Planning uses the minimum at both ends; the maximum is a limit to check (rule T7).

    Raises
    ------
    ValueError
        If a bound is negative or the two are in the wrong order.
    """

    at_least_s: int
    at_most_s: int | None

    def __post_init__(self) -> None:
        if self.at_least_s < 0 or (self.at_most_s is not None and self.at_most_s < self.at_least_s):
            raise ValueError(f"a window needs 0 <= at least <= at most, got {self.at_least_s} and {self.at_most_s}")

    @property
    def low_s(self) -> int:
        """The minimum: the planned length at the short end."""
        return self.at_least_s

    @property
    def high_s(self) -> int:
        """The minimum again: the planned length at the long end (rule T7)."""
        return self.at_least_s


Known = Range | Window


def minutes_outward(low_s: int, high_s: int, step_min: int = 5) -> tuple[int, int]:
    """Return both ends in minutes rounded outward to ``step_min``: low down, high up (rule T8, blog times)."""
    step = step_min * MINUTE
    return (low_s // step * step_min, -(-high_s // step) * step_min)
