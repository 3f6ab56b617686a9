"""
How numbers look in print: minutes, times of day, running time, fractions, amounts, lists of words.

Values of the model come in, short texts go out. Money is not here (it needs the locale), nor anything that computes.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from fractions import Fraction

from shootplan.model.clock import MINUTE, Clock, Range
from shootplan.model.money import half_up
from shootplan.model.quantity import Amount

__all__ = [
    "amount_text",
    "bought_text",
    "clock_text",
    "decimal_text",
    "exact_text",
    "fraction_text",
    "join_words",
    "known_text",
    "minutes_text",
    "number_text",
    "range_text",
    "running_text",
    "spreadsheet_cell",
    "unit_text",
]

_DAY_S = 24 * 3600
_HOUR_S = 3600
_WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
#: The vulgar fractions of Unicode that a kitchen uses.
_GLYPHS = {
    Fraction(1, 2): "½",
    Fraction(1, 3): "⅓",
    Fraction(2, 3): "⅔",
    Fraction(1, 4): "¼",
    Fraction(3, 4): "¾",
    Fraction(1, 8): "⅛",
    Fraction(3, 8): "⅜",
    Fraction(5, 8): "⅝",
    Fraction(7, 8): "⅞",
    Fraction(1, 5): "⅕",
    Fraction(2, 5): "⅖",
    Fraction(3, 5): "⅗",
    Fraction(4, 5): "⅘",
    Fraction(1, 6): "⅙",
    Fraction(5, 6): "⅚",
}
_ABBREVIATED = frozenset({"mg", "g", "kg", "oz", "lb", "ml", "cl", "dl", "l", "tsp", "dsp", "tbsp", "fl oz"})
#: Units of weight and volume that are read in decimals; spoons, cups and counts are read in fractions.
_DECIMAL_UNITS = frozenset({"mg", "g", "kg", "ml", "cl", "l"})
_PLURALS = {"leaf": "leaves", "loaf": "loaves", "half": "halves", "knife": "knives"}


# ---------------------------------------------------------------------------------------------------- time


def minutes_text(seconds: int) -> str:
    """
    Return a duration in words, up to the next minute from ten minutes on.

    "45 s", "8 min", "90 min"; from two hours "2 h 5 min"; from two days on whole days "14 days".
    """
    if seconds % MINUTE and seconds < 10 * MINUTE:
        whole, rest = divmod(seconds, MINUTE)
        return f"{whole} min {rest} s" if whole else f"{rest} s"
    minutes = -(-seconds // MINUTE)
    hours, rest = divmod(minutes, 60)
    if hours >= 48 and not rest and not hours % 24:
        return f"{hours // 24} days"
    if hours >= 2:
        return f"{hours} h {rest} min" if rest else f"{hours} h"
    return f"{minutes} min"


def range_text(low_s: int, high_s: int) -> str:
    """Return two ends of a duration: "6–8 min", "10–12 h", "4 h 50 min–5 h 10 min"; one if they are equal."""
    low, high = minutes_text(low_s), minutes_text(high_s)
    if low_s < 2 * _HOUR_S <= high_s < 3 * _HOUR_S:
        low, high = (f"{-(-end_s // MINUTE)} min" for end_s in (low_s, high_s))
    if low == high:
        return low
    if low_s == 0:
        return f"up to {high}"
    low_words, high_words = low.split(" "), high.split(" ")
    if len(low_words) == len(high_words) == 2 and low_words[1] == high_words[1]:
        return f"{low_words[0]}–{high}"
    return f"{low}–{high}"


def known_text(known: Range) -> str:
    """Return a range as ``range_text`` does."""
    return range_text(known.low_s, known.high_s)


def clock_text(call: Clock, seconds: int) -> str:
    """
    Return the time of day ``seconds`` after call, 24 hours: "09:27", with seconds where they are not zero.

    Another day is said: "19:30 the day before", "01:10 the day after". After a call with its date, every day is said:
    "09:27 Tue".
    """
    if isinstance(call, datetime):
        moment = call + timedelta(seconds=seconds)
        of_day_s = moment.hour * _HOUR_S + moment.minute * MINUTE + moment.second
        return f"{_hours_text(of_day_s)} {_WEEKDAYS[moment.weekday()]}"
    total = call.hour * _HOUR_S + call.minute * MINUTE + call.second + seconds
    day, rest = divmod(total, _DAY_S)
    text = _hours_text(rest)
    if day == 0:
        return text
    days = "day" if abs(day) == 1 else f"{abs(day)} days"
    which = "before" if day < 0 else "after"
    return f"{text} the {days} {which}" if abs(day) == 1 else f"{text} {days} {which}"


def _hours_text(seconds: int) -> str:
    hours, rest = divmod(seconds, _HOUR_S)
    minutes, second = divmod(rest, MINUTE)
    return f"{hours:02d}:{minutes:02d}" + (f":{second:02d}" if second else "")


def running_text(milliseconds: int, *, tenths: bool = False) -> str:
    """Return a position or length of the video: "4:12", "1:02:07"; with ``tenths`` "4:12.3" (both cut down)."""
    seconds, rest = divmod(milliseconds, 1000)
    minutes, second = divmod(seconds, 60)
    hours, minute = divmod(minutes, 60)
    text = f"{hours}:{minute:02d}:{second:02d}" if hours else f"{minute}:{second:02d}"
    return f"{text}.{rest // 100}" if tenths else text


# ---------------------------------------------------------------------------------------------------- numbers


def exact_text(value: Fraction) -> str:
    """Return the exact value as "n/d", whole numbers as "n/1", for machines."""
    return f"{value.numerator}/{value.denominator}"


def decimal_text(value: Fraction, places: int) -> str:
    """Return the value rounded half up to ``places`` decimals, all of them shown: "1.2773"."""
    return f"{half_up(value, places):f}"


def number_text(value: Fraction, places: int = 2) -> str:
    """Return the value rounded half up to at most ``places`` decimals without zeros at the end: "2.6", "900"."""
    text = decimal_text(value, places)
    return text.rstrip("0").rstrip(".") if "." in text else text


def fraction_text(value: Fraction) -> str:
    """Return the value with a vulgar fraction where a kitchen has one ("1½", "⅔"), else as a decimal ("2.6")."""
    whole, rest = divmod(value, 1)
    if rest == 0:
        return str(whole)
    glyph = _GLYPHS.get(rest)
    if glyph is None:
        return number_text(value)
    return f"{whole}{glyph}" if whole else glyph


def unit_text(unit: str, value: Fraction) -> str:
    """Return the unit for that many: "cup" up to one, "cups" above; abbreviations stay as they are."""
    if not unit or unit in _ABBREVIATED or value <= 1:
        return unit
    first, _, rest = unit.partition(" ")
    plural = _PLURALS.get(first) or _plural(first)
    return f"{plural} {rest}" if rest else plural


def _plural(noun: str) -> str:
    if noun.endswith(("s", "x", "z", "ch", "sh")):
        return noun + "es"
    if noun.endswith("y") and noun[-2:-1] not in "aeiou":
        return noun[:-1] + "ies"
    return noun + "s"


def amount_text(amount: Amount) -> str:
    """Return an amount with its unit: "900 g", "1½ cups", "1–2 tbsp", "2 tins", a bare count as "3"."""
    write = number_text if amount.unit in _DECIMAL_UNITS else fraction_text
    number = write(amount.high) if not amount.is_range else f"{write(amount.low)}–{write(amount.high)}"
    unit = unit_text(amount.unit, amount.high)
    return f"{number} {unit}" if unit else number


def bought_text(amount: Amount) -> str:
    """Return an amount as one buys and weighs it: less than a kilogram in grams, less than a litre in millilitres."""
    smaller = {"kg": "g", "l": "ml"}.get(amount.unit)
    if smaller is None or amount.high >= 1:
        return amount_text(amount)
    return amount_text(amount.told_in(smaller, 1000))


# ---------------------------------------------------------------------------------------------------- words


def join_words(words: Iterable[str], last: str = "and") -> str:
    """Return "a", "a and b", "a, b and c"; empty for none."""
    items = [word for word in words if word]
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} {last} {items[-1]}"


def spreadsheet_cell(text: str) -> str:
    """Return a text that no spreadsheet runs: an apostrophe goes before what looks like a formula."""
    return f"'{text}" if text.startswith(("=", "+", "-", "@", "\t", "\r")) else text
