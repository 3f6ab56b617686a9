"""
Small values as people type them: yes and no, counts, exact numbers, percentages, dates, times of day, money.

Each reader takes the text of one value and returns the value or a ``Wrong`` that says what is the matter; none
knows where the text stands. Durations and temperatures are in ``durations``.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from datetime import date, time
from decimal import Decimal
from fractions import Fraction
from typing import TypeVar

from shootplan.problems import did_you_mean
from shootplan.records import dataclass

__all__ = [
    "NUMBER",
    "Wrong",
    "choice",
    "exact_number",
    "not_among",
    "quoted",
    "read_count",
    "read_currency",
    "read_date",
    "read_locale",
    "read_number",
    "read_percent",
    "read_price",
    "read_time",
    "read_time_window",
    "read_web_address",
    "read_yes_no",
]

T = TypeVar("T")

_VULGAR = {"¼": (1, 4), "½": (1, 2), "¾": (3, 4), "⅐": (1, 7), "⅑": (1, 9), "⅒": (1, 10), "⅓": (1, 3), "⅔": (2, 3)}
_VULGAR |= {"⅕": (1, 5), "⅖": (2, 5), "⅗": (3, 5), "⅘": (4, 5), "⅙": (1, 6), "⅚": (5, 6)}
_VULGAR |= {"⅛": (1, 8), "⅜": (3, 8), "⅝": (5, 8), "⅞": (7, 8)}
#: All of ``_VULGAR``, as two ranges: they compile fast.
_MARKS = "¼-¾⅐-⅞"
#: A number without sign: "12", "1.5", "1,5", "1/2", "1 1/2", "½", "1½"; at most nine digits each side.
NUMBER = (
    rf"(?-i:[0-9]{{1,9}}\s?[{_MARKS}]|[{_MARKS}]|[0-9]{{1,9}}[ ][0-9]{{1,4}}/[0-9]{{1,4}}|[0-9]{{1,9}}/[0-9]{{1,9}}"
    r"|[0-9]{1,9}(?:[.,][0-9]{1,9})?)"
)
_NUMBER = re.compile(NUMBER)


@dataclass(frozen=True, slots=True)
class Wrong:
    """Why a text is not a value: a problem code, what is wrong, what to write instead."""

    code: str
    message: str
    hint: str | None = None


def quoted(text: str, limit: int = 60) -> str:
    """Return the text in double quotes for a message, shortened in the middle of nothing but at its end."""
    flat = " ".join(text.split())
    return f'"{flat}"' if len(flat) <= limit else f'"{flat[:limit]}…"'


def exact_number(text: str) -> Fraction | None:
    """Return the number that the whole of ``text`` is (see ``NUMBER``), or ``None``."""
    text = text.strip()
    if not _NUMBER.fullmatch(text):
        return None
    if text[-1] in _VULGAR:
        whole = text[:-1].strip()
        return Fraction(int(whole or 0)) + Fraction(*_VULGAR[text[-1]])
    whole, _, fraction = text.rpartition(" ")
    top, slash, bottom = fraction.partition("/")
    if slash:
        return int(whole or 0) + Fraction(int(top), int(bottom)) if int(bottom) else None
    return Fraction(text.replace(",", "."))


def read_number(text: str) -> Fraction | Wrong:
    """Return an exact number above zero."""
    number = exact_number(text)
    if number is None or number <= 0:
        return Wrong(
            "number-bad", f"{quoted(text)} is not a number above zero", 'write a number such as "1 1/2" or "1.5"'
        )
    return number


def read_count(text: str) -> int | Wrong:
    """Return a whole number from 1 to 9999."""
    if not re.fullmatch(r"[0-9]{1,4}", text) or int(text) == 0:
        return Wrong("number-bad", f"{quoted(text)} is not a whole number from 1 to 9999", 'write a number such as "2"')
    return int(text)


def read_percent(text: str) -> Fraction | Wrong:
    """Return a share above 0 and up to 100, in percent; the sign may be left out."""
    number = exact_number(text.removesuffix("%"))
    if number is None or not 0 < number <= 100:
        return Wrong("percent-bad", f"{quoted(text)} is not a share of up to 100 %", 'write for example "79 %"')
    return number


def read_yes_no(text: str) -> bool | Wrong:
    """Return whether the author says yes."""
    word = text.casefold()
    if word in ("yes", "no"):
        return word == "yes"
    return Wrong("yes-no-bad", f"{quoted(text)} is neither yes nor no", 'write "yes" or "no"')


def choice(known: Mapping[str, T]) -> Callable[[str], T | Wrong]:
    """Return a reader for one of the words in ``known``, letters' case apart."""
    by_word = {word.casefold(): value for word, value in known.items()}

    def read(text: str) -> T | Wrong:
        value = by_word.get(" ".join(text.casefold().split()))
        return value if value is not None else not_among(text, known)

    return read


def not_among(text: str, known: Iterable[str]) -> Wrong:
    """Return the complaint about a word that is none of a few."""
    words = tuple(known)
    hint = did_you_mean(text[:80], words) or "write " + ", ".join(f'"{word}"' for word in words)
    return Wrong("choice-unknown", f"{quoted(text)} is not one of the words known here", hint)


def read_date(text: str) -> date | Wrong:
    """Return a date written as in ISO 8601, "2026-11-17"."""
    wrong = Wrong("date-bad", f"{quoted(text)} is not a date", 'write year, month and day as in "2026-11-17"')
    if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
        return wrong
    try:
        return date.fromisoformat(text)
    except ValueError:
        return wrong


def read_time(text: str) -> time | Wrong:
    """Return a time of day on the 24-hour clock, "09:00"."""
    match = re.fullmatch(r"([0-9]{1,2}):([0-9]{2})", text)
    if match is None or int(match[1]) > 23 or int(match[2]) > 59:
        return Wrong("time-bad", f"{quoted(text)} is not a time of day", 'write hours and minutes as in "09:00"')
    return time(int(match[1]), int(match[2]))


def read_time_window(text: str) -> tuple[time, time] | Wrong:
    """Return the two ends of "08:00–20:00"; the second is later than the first."""
    ends = [read_time(part.strip()) for part in re.split(r"[–-]| to ", text)]
    wrong = Wrong("time-bad", f"{quoted(text)} is not a stretch of the day", 'write it as in "08:00–20:00"')
    if len(ends) != 2:
        return wrong
    first, last = ends
    if isinstance(first, Wrong) or isinstance(last, Wrong) or first >= last:
        return wrong
    return first, last


_PRICE = re.compile(r"[0-9]{1,9}(?:[.,][0-9]{1,6})?")


def read_price(text: str) -> Decimal | Wrong:
    """Return an amount of money, zero or above, as typed in a price list: "1.95" or "1,95", no sign of a currency."""
    if not _PRICE.fullmatch(text):
        return Wrong("money-bad", f"{quoted(text)} is not a price", 'write the figure alone, as in "1.95"')
    return Decimal(text.replace(",", "."))


def read_currency(text: str) -> str | Wrong:
    """Return a currency code of three capital letters (ISO 4217)."""
    if not re.fullmatch(r"[A-Z]{3}", text):
        hint = 'write the three letters of ISO 4217, as in "GBP" or "EUR"'
        return Wrong("currency-bad", f"{quoted(text)} is not a currency code", hint)
    return text


def read_web_address(text: str) -> str | Wrong:
    """Return the address of a page on the web, https or http, with a host (RFC 3986)."""
    if re.fullmatch(r"https?://[^\s/?#<>\"\\]+[^\s<>\"\\]*", text, re.I) and len(text) <= 2000:
        return text
    hint = 'write it as the browser shows it, as in "https://videos.example/42"'
    return Wrong("address-bad", f"{quoted(text)} is not the address of a page", hint)


def read_locale(text: str) -> str | Wrong:
    """Return a locale of language and region with an underscore, "en_GB"; a hyphen is taken as well."""
    match = re.fullmatch(r"([a-z]{2,3})(?:[_-]([A-Z]{2}|[0-9]{3}))?", text)
    if match is None:
        return Wrong("locale-bad", f"{quoted(text)} is not a locale", 'write language and region, as in "en_GB"')
    return f"{match[1]}_{match[2]}" if match[2] else match[1]
