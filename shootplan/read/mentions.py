"""
Mentions in a step's text: ``[potatoes]``, ``[oil: half]``, ``[milk: hold back 60 ml]``, ``[milk: held back]``.

The text comes in, ``Mention`` values with their places go out. Links (``[text](url)``), images and code stay text.
Which ingredient is meant, and whether the parts add up, is for the resolving stage.
"""

from __future__ import annotations

import re
from fractions import Fraction

from shootplan.model.quantity import Amount
from shootplan.model.recipe import Mention, Part, PartKind
from shootplan.read.amounts import read_amount
from shootplan.read.passage import Log, Passage
from shootplan.read.values import Wrong, exact_number, quoted

__all__ = ["read_mentions", "read_part"]

_CODE = re.compile(r"(`+)(?!`).+?(?<!`)\1(?!`)", re.S)
_MENTION = re.compile(r"(?<![!\\\]])\[([^\[\]]{0,300})\](?![(\[])")
_WORDS = {
    "half": Fraction(1, 2),
    "a half": Fraction(1, 2),
    "a third": Fraction(1, 3),
    "one third": Fraction(1, 3),
    "two thirds": Fraction(2, 3),
    "a quarter": Fraction(1, 4),
    "one quarter": Fraction(1, 4),
    "three quarters": Fraction(3, 4),
    "a fifth": Fraction(1, 5),
}
_HINT = 'write "half", "1/3", "300 ml", "all but 60 ml", "rest", "hold back 60 ml" or "held back"'


def read_mentions(passage: Passage, log: Log, *, decimal_comma: bool = False) -> tuple[Mention, ...]:
    """Return the mentions of a text in its order; those that cannot be read are reported and left out."""
    text = _CODE.sub(lambda match: " " * len(match[0]), passage.text)
    found = (_mention(passage, match, log, decimal_comma) for match in _MENTION.finditer(text))
    return tuple(mention for mention in found if mention is not None)


def read_part(text: str, *, decimal_comma: bool = False) -> tuple[Part, bool] | Wrong:
    """Return which part is meant, and whether it is only set aside."""
    text = " ".join(text.casefold().split())
    is_held_back = text.startswith("hold back")
    part = _part(text.removeprefix("hold back").removeprefix(" of").strip(), decimal_comma)
    if part is None or (is_held_back and part.kind in (PartKind.HELD_BACK, PartKind.WHOLE)):
        return Wrong("part-bad", f"{quoted(text)} is not a part", _HINT)
    return part, is_held_back


def _mention(passage: Passage, match: re.Match[str], log: Log, decimal_comma: bool) -> Mention | None:
    span = passage.span(match.start(), match.end())
    name, colon, part_text = match[1].partition(":")
    name = " ".join(name.split())
    if not name or (colon and not part_text.strip()):
        log.fault(span, "mention-bad", f"{quoted(match[0])} names nothing", 'write "[name]" or "[name: part]"')
        return None
    if not colon:
        return Mention(name=name, part=Part(PartKind.WHOLE), span=span)
    part = read_part(part_text, decimal_comma=decimal_comma)
    if isinstance(part, Wrong):
        start = match.start(1) + match[1].index(":") + 1
        log.fault(passage.part(start, match.end(1)).span(), part.code, part.message, part.hint)
        return None
    return Mention(name=name, part=part[0], is_held_back=part[1], span=span)


def _part(text: str, decimal_comma: bool) -> Part | None:
    if text in ("rest", "the rest"):
        return Part(PartKind.REST)
    if text in ("whole", "all"):
        return Part(PartKind.WHOLE)
    if text == "held back":
        return Part(PartKind.HELD_BACK)
    if text.startswith("all but "):
        amount = _amount(text.removeprefix("all but "), decimal_comma)
        return None if amount is None else Part(PartKind.ALL_BUT, amount=amount)
    fraction = _fraction(text)
    if fraction is not None:
        return Part(PartKind.FRACTION, fraction=fraction)
    amount = _amount(text, decimal_comma)
    return None if amount is None else Part(PartKind.AMOUNT, amount=amount)


def _fraction(text: str) -> Fraction | None:
    """Return a share between 0 and 1: a word, "1/3", "½" or "50 %"."""
    share = _WORDS.get(text)
    if share is None and text.endswith("%"):
        number = exact_number(text[:-1])
        share = None if number is None else number / 100
    if share is None and not text.isdigit():
        share = exact_number(text)
    return share if share is not None and 0 < share < 1 else None


def _amount(text: str, decimal_comma: bool) -> Amount | None:
    match = read_amount(text, decimal_comma=decimal_comma)
    return match.amount if match is not None and not match.rest.strip() else None
