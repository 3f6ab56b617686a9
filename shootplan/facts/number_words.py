"""
Numbers in words read back: "two and a half tablespoons" holds 2 1/2.

A text comes in and goes out with number words as digits, so that one search finds figures in either writing; the places
of the digits in the text as typed come with it.
"""

from __future__ import annotations

import re
from fractions import Fraction

from shootplan.records import dataclass

__all__ = ["PAIR", "Digits", "digits_for_words", "with_digits"]

#: Stands between two numbers said in one breath, "one twenty-eight": a price or a temperature.
PAIR = "\x1f"
_ONE = ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
_TEEN = ["ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"]
_TEN = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
_VALUES = {word: value for value, word in enumerate(("zero", *_ONE, *_TEEN))}
_VALUES |= {word: 10 * value for value, word in enumerate(_TEN, start=2)}
_PARTS = {"half": 2, "halves": 2, "third": 3, "thirds": 3, "quarter": 4, "quarters": 4, "fifth": 5, "fifths": 5}
_PARTS |= {"eighth": 8, "eighths": 8}

_ONES, _TEENS, _TENS = ("(?:" + "|".join(words) + r")\b" for words in (_ONE, _TEEN, _TEN))
_UP_TO_99 = rf"(?:{_TENS}(?:[ -]{_ONES})?|{_TEENS}|{_ONES})"
_UP_TO_999 = rf"(?:(?:{_ONES}|a)[ ]hundred(?:(?:[ ]and)?[ ]{_UP_TO_99})?|{_UP_TO_99})"
_CARDINAL = rf"(?:{_UP_TO_999}(?:[ ]thousand(?:,?(?:[ ]and)?[ ]{_UP_TO_999})?)?|zero\b)"
_PART = "|".join(sorted(_PARTS, key=len, reverse=True))
_SPOONS = r"teaspoons?|tablespoons?|tsp|tbsp|cups?|litres?|liters?|kilos?|kg|pounds?|hours?|minutes?|dozen"
#: In small letters and with each part written once: what is compiled at every start is kept small.
_MIXED = re.compile(
    rf"\b(?:(?P<six>half[ ]a[ ]dozen)|(?P<twelve>(?:a|one)[ ]dozen)|(?P<two>(?:a[ ])?couple[ ]of|a[ ]pair[ ]of)"
    rf"|(?P<count>one|two|three|four|an?)[ -](?P<parts>thirds?|quarters?|fifths?|eighths?)"
    rf"|(?P<half>half)(?=[ ]an?[ ]|[ -](?:{_SPOONS})\b)"
    rf"|(?P<first>{_ONES}|{_TEENS})[ -](?P<second>{_TENS}(?:[ -]{_ONES})?|{_TEENS})"
    rf"|(?P<cardinal>{_CARDINAL})(?:[ ]and[ ](?P<of>an?|one|two|three)[ ](?P<part>{_PART}))?)(?!\w)"
)
_SMALL = {ord(letter): letter.lower() for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ"}


@dataclass(frozen=True, slots=True)
class Digits:
    """A text with digits for its number words; ``begins`` and ``ends`` say where each character was typed."""

    text: str
    begins: tuple[int, ...]
    ends: tuple[int, ...]

    def place(self, start: int, end: int) -> tuple[int, int]:
        """Return where a piece of ``text`` stands in the text as typed."""
        return self.begins[start], self.ends[max(start, end - 1)]


def _cardinal(text: str) -> int:
    total = current = 0
    for word in re.split(r"[ ,-]+", text):
        if word == "hundred":
            current = max(current, 1) * 100
        elif word == "thousand":
            total, current = total + max(current, 1) * 1000, 0
        else:
            current += _VALUES.get(word, 0)
    return total + current


def _value(match: re.Match[str]) -> Fraction:
    if match["six"] or match["twelve"] or match["two"]:
        return Fraction(6 if match["six"] else 12 if match["twelve"] else 2)
    if match["part"]:
        count = _VALUES.get(match["of"], 1)
        return _cardinal(match["cardinal"]) + Fraction(count, _PARTS[match["part"]])
    if match["parts"]:
        return Fraction(_VALUES.get(match["count"], 1), _PARTS[match["parts"]])
    if match["half"]:
        return Fraction(1, 2)
    return Fraction(_cardinal(match["cardinal"]))


def _digits(match: re.Match[str]) -> str:
    if match["first"]:
        return f"{_cardinal(match['first'])}{PAIR}{_cardinal(match['second'])}"
    whole, rest = divmod(_value(match), 1)
    if rest == 0:
        return str(whole)
    return f"{whole} {rest.numerator}/{rest.denominator}" if whole else f"{rest.numerator}/{rest.denominator}"


def with_digits(text: str) -> Digits:
    """Return the text with number words as digits, and where each character of it was typed."""
    out: list[str] = []
    begins: list[int] = []
    ends: list[int] = []
    at = 0
    for match in _MIXED.finditer(text.translate(_SMALL)):
        digits = _digits(match)
        out += [text[at : match.start()], digits]
        begins += [*range(at, match.start()), *[match.start()] * len(digits)]
        ends += [*range(at + 1, match.start() + 1), *[match.end()] * len(digits)]
        at = match.end()
    begins += range(at, len(text))
    ends += range(at + 1, len(text) + 1)
    return Digits("".join([*out, text[at:]]), tuple(begins), tuple(ends))


def digits_for_words(text: str) -> str:
    """Return the text with number words as digits: "one and a half" is "1 1/2", "three quarters" "3/4"."""
    return with_digits(text).text
