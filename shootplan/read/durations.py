"""
Durations, waits and temperatures as cooks type them.

Text comes in, whole seconds (kitchen clock) or whole degrees Celsius go out, or a ``Wrong``. Parts of a second are
rounded half up; nothing else is rounded. Times of day are in ``values``.
"""

from __future__ import annotations

import re
from fractions import Fraction

from shootplan.model.clock import Known, Range, Window
from shootplan.read.values import NUMBER, Wrong, exact_number, quoted

__all__ = [
    "leading_duration",
    "read_days",
    "read_duration",
    "read_known",
    "read_range",
    "read_temperature",
    "read_wait",
]

_SECONDS = {"s": 1, "min": 60, "h": 3600, "day": 86400, "week": 604800}
_SPELLINGS = {
    "s": r"s|secs?|seconds?",
    "min": r"min|mins|minutes?",
    "h": r"h|hrs?|hours?",
    "day": r"d|days?",
    "week": r"weeks?",
}
_UNIT = "(?:" + "|".join(_SPELLINGS.values()) + r")(?![a-z])"
_PIECE = rf"{NUMBER}\s*{_UNIT}"
_WHOLE = rf"{_PIECE}(?:\s*(?:and\s+)?{_PIECE})*"
_DASH = r"\s*(?:–|—|-|\bto\b)\s*"
_ABOUT = re.compile(r"^(?:about|around|roughly|ca\.?|some)\s+", re.I)
_LONGEST_S = 366 * 86400
_HINT = 'write a time such as "6–8 min", "1 h 30 min" or "90 s"'
_WINDOW_HINT = 'write a time such as "12–15 min", or "at least 5 min, at most 15 min" where you choose'


def read_duration(text: str) -> int | Wrong:
    """Return one duration in seconds: "90 s", "1 h 30 min", "½ h", "14 days"; a leading "about" is passed over."""
    text = _ABOUT.sub("", text.strip())
    if not re.fullmatch(_WHOLE, text, re.I):
        return _not_a_duration(text)
    pieces = [_piece_s(match) for match in re.finditer(rf"({NUMBER})\s*({_UNIT})", text, re.I)]
    if None in pieces:
        return _not_a_duration(text)
    seconds = sum((piece for piece in pieces if piece is not None), Fraction(0))
    if seconds > _LONGEST_S:
        return Wrong("duration-bad", f"{quoted(text)} is longer than a year", _HINT)
    return int(seconds + Fraction(1, 2))


def read_range(text: str, hint: str = _HINT) -> Range | Wrong:
    """Return a duration or a range of two: "6–8 min", "45 min to 1 h", "5 min"."""
    text = _ABOUT.sub("", text.strip())
    single = read_duration(text)
    if not isinstance(single, Wrong):
        return Range(single, single)
    ends = _range_ends(text)
    if ends is None:
        return Wrong(single.code, single.message, hint if single.hint == _HINT else single.hint)
    low, high = (read_duration(end) for end in ends)
    if isinstance(low, Wrong):
        return low
    if isinstance(high, Wrong):
        return high
    if low > high:
        return Wrong("duration-bad", f"{quoted(text)} runs backwards", "write the shorter time first")
    return Range(low, high)


def read_known(text: str) -> Known | Wrong:
    """Return a range, or a window where the author wrote "at least" or "at most"."""
    wait = read_wait(text)
    return read_range(text, _WINDOW_HINT) if wait is None else wait


def read_wait(text: str) -> Window | Wrong | None:
    """
    Return a window: "at once", "within 5 min", "at least 5 min", "at most 15 min", "at least 5 min, at most 15 min".

    ``None`` says that the text does not begin like one.
    """
    text = text.strip()
    if re.fullmatch(r"at\s+once", text, re.I):
        return Window(0, 0)
    match = re.match(
        r"at\s+least\s+(?P<least>.+?)(?:(?:,|\band\b)?\s*(?:at\s+most|within)\s+(?P<most>.+))?$", text, re.I
    )
    if match is None:
        match = re.match(r"(?P<least>)(?:at\s+most|within)\s+(?P<most>.+)$", text, re.I)
    if match is None:
        return None
    return _window(text, match["least"], match["most"])


def leading_duration(text: str) -> tuple[int, str] | None:
    """Return the seconds that ``text`` begins with and what follows: "3 days in the fridge"."""
    match = re.match(rf"(?:about\s+|up\s+to\s+)?({_WHOLE})(?![\w])", text.strip(), re.I)
    if match is None:
        return None
    seconds = read_duration(match[1])
    return None if isinstance(seconds, Wrong) else (seconds, text.strip()[match.end() :].lstrip(" ,"))


def read_days(text: str) -> int | Wrong:
    """Return a whole number of days: "30 days"."""
    seconds = read_duration(text)
    if isinstance(seconds, Wrong) or seconds % 86400 or not seconds:
        return Wrong("duration-bad", f"{quoted(text)} is not a number of days", 'write for example "30 days"')
    return seconds // 86400


def read_temperature(text: str) -> int | Wrong:
    """
    Return whole degrees Celsius: "200 °C", "200 C", "400 °F" (rounded half up to the degree; F to C as defined).

    From -60 to 1200 °C: a kitchen has nothing beyond.
    """
    match = re.fullmatch(r"([-−]?)\s*([0-9]{1,4})\s*°?\s*([CF])", text.strip(), re.I)
    hint = 'write for example "200 °C"'
    if match is None:
        return Wrong("temperature-bad", f"{quoted(text)} is not a temperature", hint)
    degrees = Fraction(int(match[2])) * (-1 if match[1] else 1)
    if match[3].upper() == "F":
        degrees = (degrees - 32) * Fraction(5, 9)
    if not -60 <= degrees <= 1200:
        return Wrong("temperature-bad", f"{quoted(text)} is no temperature of a kitchen", hint)
    return (2 * degrees.numerator + degrees.denominator) // (2 * degrees.denominator)


# ---------------------------------------------------------------------------------------------------- pieces


def _piece_s(match: re.Match[str]) -> Fraction | None:
    number = exact_number(match[1])
    word = match[2].casefold()
    unit = next(name for name, pattern in _SPELLINGS.items() if re.fullmatch(pattern, word))
    return None if number is None else number * _SECONDS[unit]


def _range_ends(text: str) -> tuple[str, str] | None:
    """Split "6–8 min" into "6 min" and "8 min", "45 min–1 h" at its dash."""
    match = re.fullmatch(rf"({_WHOLE}|{NUMBER}){_DASH}({_WHOLE})", text, re.I)
    if match is None:
        return None
    low, high = match[1], match[2]
    if exact_number(low) is not None:
        unit = re.search(rf"{_UNIT}", high, re.I)
        low = f"{low} {unit[0] if unit else ''}"
    return low, high


def _window(text: str, least: str | None, most: str | None) -> Window | Wrong:
    low = read_duration(least) if least else 0
    high = read_duration(most.rstrip(" ,")) if most else None
    if isinstance(low, Wrong):
        return Wrong(low.code, low.message, _WINDOW_HINT)
    if isinstance(high, Wrong):
        return Wrong(high.code, high.message, _WINDOW_HINT)
    if high is not None and high < low:
        return Wrong("duration-bad", f'in {quoted(text)} "at most" is shorter than "at least"', _WINDOW_HINT)
    return Window(low, high)


def _not_a_duration(text: str) -> Wrong:
    number_only = exact_number(text) is not None or re.fullmatch(rf"{NUMBER}{_DASH}{NUMBER}", text)
    hint = f'say the unit: "{text} min"' if number_only else _HINT
    return Wrong("duration-bad", f"{quoted(text)} is not a time", hint)
