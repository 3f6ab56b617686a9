"""
Figures typed in free text, said out: "Add 400 g" becomes "Add four hundred grams".

A text comes in and goes out with every figure in words; words stay as they are. English only. What a placeholder puts
in is said by ``spoken`` directly and does not pass here.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from functools import cache

from shootplan.facts.spoken import (
    UNIT_WORDS,
    say_amount,
    say_cardinal,
    say_decimal,
    say_money,
    say_number,
    say_ordinal,
    say_year,
)
from shootplan.model.money import Money
from shootplan.model.quantity import Amount
from shootplan.records import dataclass

__all__ = ["NUMBER", "SPACE", "read_number", "say_out"]

GLYPHS = {
    "½": Fraction(1, 2),
    "⅓": Fraction(1, 3),
    "⅔": Fraction(2, 3),
    "¼": Fraction(1, 4),
    "¾": Fraction(3, 4),
    "⅛": Fraction(1, 8),
    "⅜": Fraction(3, 8),
    "⅝": Fraction(5, 8),
    "⅞": Fraction(7, 8),
}
#: Two ranges compile fast; a fraction among them that is not in ``GLYPHS`` is no number for ``read_number``.
_GLYPH = "[¼-¾⅓-⅞]"
#: A narrow no-break space (U+202F) becomes a no-break space before any search: small classes compile fast.
SPACE = "[ \u00a0]"
#: A number as cooks type it: 1,500 · 2½ · 2 1/2 · 3/4 · ½ · 1.5 · 400. Nine digits at most.
NUMBER = (
    rf"(?:\d{{1,3}}(?:,\d{{3}})+(?:\.\d{{1,3}})?|\d{{1,3}}{SPACE}?{_GLYPH}|\d{{1,3}}{SPACE}\d{{1,2}}/\d{{1,2}}"
    rf"|\d{{1,2}}/\d{{1,2}}|{_GLYPH}|\d{{1,9}}(?:[.,]\d{{1,3}})?)"
)
_START = r"(?<![\w.,/])"
_END = r"(?![\w/]|[.,]\d)"
_DASH = rf"(?:{SPACE}?[–-]{SPACE}?|{SPACE}to{SPACE})"
_SIGNS = {"£": "GBP", "€": "EUR", "$": "USD", "US$": "USD", "CA$": "CAD", "A$": "AUD", "NZ$": "NZD", "¥": "JPY"}
_CODES = "EUR|GBP|USD|CAD|AUD|NZD|SEK|NOK|DKK|CHF|PLN|CZK|INR|ZAR|JPY"
_MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


@dataclass(frozen=True, slots=True)
class _Rule:
    """How figures of one kind are said; tried, and compiled, for texts alone that have one of the signs."""

    pattern: str
    say: Callable[[re.Match[str], _Voice], str]
    signs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Voice:
    """How it is said: which crowns "kr" are, and whether hundreds take "and"."""

    currency: str
    is_american: bool


def read_number(text: str) -> Fraction:
    """
    Return the value of a number as ``NUMBER`` finds it; a comma is a decimal mark unless three digits follow.

    Raises
    ------
    ValueError
        If it is not such a number, or a fraction has no denominator.
    """
    text = re.sub(SPACE, " ", text).strip()
    if re.fullmatch(r"\d{1,3}(,\d{3})+(\.\d+)?", text):
        return Fraction(text.replace(",", ""))
    if text[-1:] in GLYPHS:
        return Fraction(text[:-1].strip() or 0) + GLYPHS[text[-1]]
    whole, _, part = text.rpartition(" ")
    if part.endswith("/0") or part.endswith("/00"):
        raise ValueError(f"{text!r} divides by zero")
    return Fraction(whole or 0) + Fraction(part.replace(",", "."))


# ---------------------------------------------------------------------------------------------------- the rules


def _date(match: re.Match[str], _voice: _Voice) -> str:
    year, month, day = (int(group) for group in match.groups())
    if not (1 <= month <= 12 and 1 <= day <= 31):
        return match[0]
    return f"the {say_ordinal(day)} of {_MONTHS[month - 1]} {say_year(year)}"


def _time_of_day(match: re.Match[str], _voice: _Voice) -> str:
    hour, minute = int(match[1]), int(match[2])
    if minute == 0:
        return f"{say_cardinal(hour)} o'clock"
    return f"{say_cardinal(hour)} {'oh ' if minute < 10 else ''}{say_cardinal(minute)}"


def _money(match: re.Match[str], voice: _Voice) -> str:
    found = match.groupdict()
    number = found.get("before") or found.get("after") or found.get("pence") or ""
    mark = found.get("sign") or found.get("mark") or ""
    if found.get("pence"):
        return say_money(Money(Decimal(number) / 100, "GBP"))
    currency = _SIGNS.get(mark, mark)
    if mark == "kr":
        currency = voice.currency if voice.currency in ("SEK", "NOK", "DKK") else "SEK"
    if mark == "$" and voice.currency in ("CAD", "AUD", "NZD"):
        currency = voice.currency
    value = read_number(number)
    return say_money(
        Money(Decimal(value.numerator) / Decimal(value.denominator), currency), is_american=voice.is_american
    )


def _amount(match: re.Match[str], voice: _Voice) -> str:
    low = read_number(match["low"])
    high = read_number(match["high"]) if match["high"] else low
    unit = _canonical(match["unit"])
    if low > high:
        words = say_number(low, is_american=voice.is_american)
        return f"{words} to {say_amount(Amount(high, high, unit), is_american=voice.is_american)}"
    return say_amount(Amount(low, high, unit), is_american=voice.is_american)


def _heat(match: re.Match[str], voice: _Voice) -> str:
    low = say_number(read_number(match["low"]), is_american=voice.is_american)
    high = f" to {say_number(read_number(match['high']), is_american=voice.is_american)}" if match["high"] else ""
    return f"{low}{high} degrees{' Fahrenheit' if match['scale'] == 'F' else ' Celsius'}"


def _canonical(unit: str) -> str:
    unit = re.sub(SPACE, " ", unit)
    return {"litre": "l", "litres": "l"}.get(unit, unit)


def _ordinal(match: re.Match[str], _voice: _Voice) -> str:
    return say_ordinal(int(match[1]))


def _year(match: re.Match[str], _voice: _Voice) -> str:
    return say_year(int(match[0]))


def _half_a(match: re.Match[str], _voice: _Voice) -> str:
    noun = match[1]
    return f"half {'an' if noun[0].casefold() in 'aeiou' else 'a'} {noun}"


def _range(match: re.Match[str], voice: _Voice) -> str:
    low, high = (say_number(read_number(match[group]), is_american=voice.is_american) for group in ("low", "high"))
    return f"{low} to {high}"


def _bare(match: re.Match[str], voice: _Voice) -> str:
    text = match[0]
    value = read_number(text)
    if re.fullmatch(r"\d+[.,]\d+", text) and not re.fullmatch(r"\d{1,3},\d{3}", text):
        return say_decimal(value, is_american=voice.is_american)
    return say_number(value, is_american=voice.is_american)


_UNITS = "|".join(
    sorted((re.escape(unit).replace(r"\ ", SPACE) for unit in (*UNIT_WORDS, "litre", "litres")), key=len, reverse=True)
)
_ENDS = rf"(?P<low>{NUMBER})(?:{_DASH}(?P<high>{NUMBER}))?"
_RULES = (
    _Rule(r"(?<!\d)(\d{4})-(\d{2})-(\d{2})(?!\d)", _date, ("-",)),
    _Rule(r"(?<![\d:.])([01]?\d|2[0-3]):([0-5]\d)(?![\d:])", _time_of_day, (":",)),
    _Rule(
        rf"(?P<sign>US\$|CA\$|NZ\$|A\$|[£€$¥]|\b(?:{_CODES})\b){SPACE}?(?P<before>{NUMBER}){_END}",
        _money,
        ("$", "£", "€", "¥", *_CODES.split("|")),
    ),
    _Rule(
        rf"{_START}(?P<after>{NUMBER}){SPACE}?(?P<mark>kr|€|{_CODES})(?!\w)", _money, ("kr", "€", *_CODES.split("|"))
    ),
    _Rule(rf"{_START}(?P<pence>\d{{1,3}})p(?!\w)", _money, ("p",)),
    _Rule(rf"{_START}{_ENDS}{SPACE}?(?:°|degrees?{SPACE}){SPACE}?(?P<scale>[CF])(?!\w)", _heat, ("°", "degree")),
    _Rule(rf"{_START}{_ENDS}{SPACE}?(?P<unit>{_UNITS})(?!\w)", _amount, ("",)),
    _Rule(rf"{_START}(\d{{1,4}})(?:st|nd|rd|th)(?!\w)", _ordinal, ("st", "nd", "rd", "th")),
    _Rule(rf"{_START}(?:1[1-9]|20)\d\d{_END}", _year, ("1", "2")),
    _Rule(
        rf"(?<!\d[ \u00a0])(?<!and[ ]){_START}(?:½|1/2){SPACE}(?!of\b|an?\b|the\b|to\b|and\b|or\b)([^\W\d_]{{2,}})",
        _half_a,
        ("½", "1/2"),
    ),
    _Rule(rf"{_START}(?P<low>{NUMBER})(?:{SPACE}?[–-]{SPACE}?)(?P<high>{NUMBER}){_END}", _range, ("–", "-")),
    _Rule(rf"{_START}{NUMBER}{_END}", _bare, ("",)),
    _Rule(r"(?<=\w)–(?=\w)", lambda _match, _voice: " to ", ("–",)),
    _Rule(rf"(?<=\w){SPACE}×{SPACE}(?=\w)", lambda _match, _voice: " times ", ("×",)),
)
#: Without any of these a text is said as it is typed.
_HINT = re.compile(rf"\d|{_GLYPH}|[–×]")


def say_out(text: str, *, currency: str = "", is_american: bool = False) -> str:
    """
    Return the text with its figures said: amounts, money, ranges, temperatures, dates, ordinals, bare numbers.

    Parameters
    ----------
    text
        What was typed; a no-break space joins number and unit as a space does.
    currency
        ISO 4217 code that decides whose crowns "kr" and whose dollars "$" are.
    is_american
        Leaves the "and" out of hundreds.
    """
    if _HINT.search(text) is None:
        return text
    voice = _Voice(currency, is_american)
    text = text.replace("\u202f", "\u00a0")
    for rule in _RULES:
        if any(sign in text for sign in rule.signs):
            pattern = _compiled(rule.pattern)
            text = pattern.sub(lambda match, rule=rule: _safely(rule, match, voice), text)  # type: ignore[misc]
    return text


@cache
def _compiled(pattern: str) -> re.Pattern[str]:
    return re.compile(pattern)


def _safely(rule: _Rule, match: re.Match[str], voice: _Voice) -> str:
    """Leave a figure as typed where it is none ("1/0")."""
    try:
        return rule.say(match, voice)
    except ValueError:
        return match[0]
