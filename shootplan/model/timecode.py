"""
SMPTE timecode at exact rational rates: frames to labels and back, drop-frame and non-drop.

Rates are ``Fraction`` frames per second (30000/1001, 25, …). A label's counting base is the rate rounded up; drop-frame
counting skips labels ;00 and ;01 (four labels at 59.94) at the start of each minute but every tenth, so that labels
keep to the clock (SMPTE ST 12-1). A label that drop-frame counting skips does not exist and is refused.
"""

from __future__ import annotations

import re
from fractions import Fraction

from shootplan.records import dataclass

__all__ = ["RATES", "Rate", "frame_of_ms", "label", "least_frames", "ms_of_frame", "parse_label", "parse_rate"]

_LABEL = re.compile(r"(\d{2,3}):([0-5]\d):([0-5]\d)([:;.])(\d{2,3})")


@dataclass(frozen=True, slots=True)
class Rate:
    """
    A frame rate: exact frames per second, and whether labels drop.

    Raises
    ------
    ValueError
        If the rate is not positive, or drop-frame is asked of a rate that has none (only n*30000/1001 has).
    """

    frames_per_s: Fraction
    is_drop: bool = False

    def __post_init__(self) -> None:
        if self.frames_per_s <= 0:
            raise ValueError("a frame rate must be above zero")
        if self.is_drop and self.frames_per_s not in (Fraction(30000, 1001), Fraction(60000, 1001)):
            raise ValueError("only 29.97 and 59.94 frames a second have drop-frame labels")

    @property
    def name(self) -> str:
        """Its shortest name in ``RATES`` ("25", "29.97 drop"); the bare fraction for a rate without one."""
        names = [name for name, rate in RATES.items() if rate == self]
        return min(names, key=len) if names else str(self.frames_per_s)

    @property
    def base(self) -> int:
        """Labels a second: the rate rounded up (30 for 29.97)."""
        return -(-self.frames_per_s.numerator // self.frames_per_s.denominator)

    @property
    def dropped(self) -> int:
        """How many labels a dropping minute skips: 2 at 29.97, 4 at 59.94."""
        return self.base // 15 if self.is_drop else 0


#: The names under which rates are written.
RATES = {
    "23.976": Rate(Fraction(24000, 1001)),
    "23.98": Rate(Fraction(24000, 1001)),
    "24": Rate(Fraction(24)),
    "25": Rate(Fraction(25)),
    "29.97": Rate(Fraction(30000, 1001)),
    "29.97 non-drop": Rate(Fraction(30000, 1001)),
    "29.97 drop": Rate(Fraction(30000, 1001), is_drop=True),
    "30": Rate(Fraction(30)),
    "50": Rate(Fraction(50)),
    "59.94": Rate(Fraction(60000, 1001)),
    "59.94 non-drop": Rate(Fraction(60000, 1001)),
    "59.94 drop": Rate(Fraction(60000, 1001), is_drop=True),
    "60": Rate(Fraction(60)),
}


def parse_rate(text: str) -> Rate:
    """
    Return the rate of that name ("25", "29.97 drop").

    Raises
    ------
    ValueError
        If there is no such rate; the message lists those that there are.
    """
    try:
        return RATES[" ".join(text.casefold().split())]
    except KeyError:
        raise ValueError(f'unknown frame rate "{text}"; known are {", ".join(RATES)}') from None


def label(frame: int, rate: Rate) -> str:
    """
    Return the timecode of a frame counted from zero, ``;`` before the frames of drop-frame labels.

    Raises
    ------
    ValueError
        If the frame is negative.
    """
    if frame < 0:
        raise ValueError("frames count from zero")
    counted = frame + _skipped_before(frame, rate) if rate.is_drop else frame
    seconds, frames = divmod(counted, rate.base)
    hours, rest = divmod(seconds, 3600)
    mark = ";" if rate.is_drop else ":"
    return f"{hours:02}:{rest // 60:02}:{rest % 60:02}{mark}{frames:02}"


def parse_label(text: str, rate: Rate) -> int:
    """
    Return the frame number of a label, counted from zero.

    Raises
    ------
    ValueError
        If it is no timecode, its frames reach the base, or drop-frame counting skips it.
    """
    match = _LABEL.fullmatch(text.strip())
    if match is None:
        raise ValueError(f'"{text}" is no timecode like 00:01:02:03')
    hours, minutes, seconds, frames = (int(match[k]) for k in (1, 2, 3, 5))
    if frames >= rate.base:
        raise ValueError(f'"{text}" has more than {rate.base} frames in a second')
    if rate.is_drop and frames < rate.dropped and seconds == 0 and minutes % 10:
        raise ValueError(f'"{text}" does not exist: drop-frame counting skips it')
    total_minutes = 60 * hours + minutes
    counted = (total_minutes * 60 + seconds) * rate.base + frames
    return counted - rate.dropped * (total_minutes - total_minutes // 10)


def ms_of_frame(frame: int, rate: Rate) -> int:
    """Return when a frame starts, in milliseconds rounded half up."""
    return _half_up(Fraction(frame) * 1000 / rate.frames_per_s)


def frame_of_ms(ms: int | Fraction, rate: Rate) -> int:
    """Return the frame nearest to a time in milliseconds, half up."""
    return _half_up(Fraction(ms) * rate.frames_per_s / 1000)


def least_frames(ms: int, rate: Rate) -> int:
    """Return how few frames last at least so many milliseconds, also once both ends are rounded to milliseconds."""
    exact = Fraction(ms) * rate.frames_per_s / 1000
    return -(-exact.numerator // exact.denominator)


def _half_up(value: Fraction) -> int:
    return (2 * value.numerator + value.denominator) // (2 * value.denominator)


def _skipped_before(frame: int, rate: Rate) -> int:
    """Return how many labels drop-frame counting skipped before a frame."""
    minute = rate.base * 60 - rate.dropped
    ten_minutes = rate.base * 600 - 9 * rate.dropped
    tens, rest = divmod(frame, ten_minutes)
    # The first minute of ten keeps all its labels, so it is longer by the number dropped.
    dropping = 0 if rest < rate.base * 60 else 1 + (rest - rate.base * 60) // minute
    return rate.dropped * (9 * tens + dropping)
