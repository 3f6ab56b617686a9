"""
Numbers in words read back: "two and a half tablespoons" holds 2 1/2.

A text comes in and goes out with number words as digits, so that one search finds figures in either writing.
"""

from __future__ import annotations

import re
from fractions import Fraction

__all__ = ["digits_for_words"]

_ONES = {
    word: value
    for value, word in enumerate(
        (
            *(
                "zero",
                "one",
                "two",
                "three",
                "four",
                "five",
                "six",
                "seven",
                "eight",
                "nine",
                "ten",
                "eleven",
                "twelve",
            ),
            *("thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"),
        )
    )
}
_TENS = {
    word: 10 * value
    for value, word in enumerate(
        ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"), start=2
    )
}
_PARTS = {"half": 2, "third": 3, "thirds": 3, "quarter": 4, "quarters": 4, "eighth": 8, "eighths": 8}
_WORD = "|".join(sorted([*_ONES, *_TENS, "hundred", "thousand"], key=len, reverse=True))
_CARDINAL = rf"(?:{_WORD})(?:(?:[ -]|[ ]and[ ])(?:{_WORD}))*"
_PART = "|".join(sorted(_PARTS, key=len, reverse=True))
_MIXED = re.compile(
    rf"\b(?:(?P<whole>{_CARDINAL})[ ]and[ ]an?[ ](?P<part>{_PART})"
    rf"|(?P<count>one|two|three|an?)[ -](?P<parts>third|thirds|quarter|quarters|eighth|eighths)"
    rf"|(?P<half>half)(?=[ ]an?[ ])|(?P<cardinal>{_CARDINAL}))\b",
    re.IGNORECASE,
)


def _cardinal(text: str) -> int:
    total = current = 0
    for word in re.split(r"[ -]", text.casefold()):
        if word == "hundred":
            current = max(current, 1) * 100
        elif word == "thousand":
            total, current = total + max(current, 1) * 1000, 0
        else:
            current += _ONES.get(word, 0) + _TENS.get(word, 0)
    return total + current


def _value(match: re.Match[str]) -> Fraction:
    if match["whole"]:
        return _cardinal(match["whole"]) + Fraction(1, _PARTS[match["part"].casefold()])
    if match["parts"]:
        count = _ONES.get(match["count"].casefold(), 1)
        return Fraction(count, _PARTS[match["parts"].casefold()])
    if match["half"]:
        return Fraction(1, 2)
    return Fraction(_cardinal(match["cardinal"]))


def _digits(match: re.Match[str]) -> str:
    whole, rest = divmod(_value(match), 1)
    if rest == 0:
        return str(whole)
    return f"{whole} {rest.numerator}/{rest.denominator}" if whole else f"{rest.numerator}/{rest.denominator}"


def digits_for_words(text: str) -> str:
    """Return the text with number words as digits: "one and a half" is "1 1/2", "three quarters" "3/4"."""
    return _MIXED.sub(_digits, text)
