"""
Values of foreign data as plain text: no markup, no control characters, no direction marks, of bounded length.

Whatever JSON or microdata held comes in; texts on one line, lists of them, durations in words go out.
"""

from __future__ import annotations

import html
import re
from collections.abc import Mapping
from fractions import Fraction
from typing import Any

__all__ = [
    "Node",
    "duration_words",
    "items",
    "local_name",
    "lower_ascii",
    "paragraphs",
    "text_of",
    "texts_of",
    "tidy",
    "without",
]

#: One JSON object or microdata item: property → value or list of values, the type under "@type".
Node = Mapping[str, Any]

_MOST_ITEMS = 1000
_MOST_CHARACTERS = 20_000
_BREAK = re.compile(r"<\s*(?:br|/?p|/?li|/?div|/?h[1-6]|/?[ou]l)\b[^<>]{0,2000}>", re.I)
_TAG = re.compile(r"</?[a-z][^<>]{0,2000}>", re.I)
_UNSEEN = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u061c\u200b\u200e\u200f\u202a-\u202e\u2060\u2066-\u2069\ufeff]"
)
_DURATION = re.compile(
    r"P(?:([0-9]{1,6})D)?(?:T(?:([0-9]{1,6})H)?(?:([0-9]{1,6})M)?(?:([0-9]{1,6})(?:\.[0-9]{1,9})?S)?)?", re.I
)


def local_name(kind: object) -> str:
    """Return a type or property without its vocabulary: "Recipe" of "http://schema.org/Recipe" and "schema:Recipe"."""
    return re.split(r"[/#:]", kind)[-1] if isinstance(kind, str) else ""


def items(value: object) -> list[Any]:
    """Return a value as a list: empty for none, at most a thousand."""
    if value is None or value == "":
        return []
    if isinstance(value, Mapping) and "@list" in value:
        return items(value["@list"])
    return value[:_MOST_ITEMS] if isinstance(value, list) else [value]


def paragraphs(text: str) -> list[str]:
    """Return a text's paragraphs without markup: line ends and block elements part them, entities are resolved."""
    text = text[: 10 * _MOST_CHARACTERS]
    for opening, closing in (("<!--", "-->"), ("<script", "</script>"), ("<style", "</style>")):
        text = without(text, opening, closing)
    plain = html.unescape(_TAG.sub("", _BREAK.sub("\n", text)))
    plain = _UNSEEN.sub("", plain.replace("\u2028", "\n").replace("\u2029", "\n").replace("\u2044", "/"))
    return [line for line in (" ".join(part.split()) for part in plain[:_MOST_CHARACTERS].split("\n")) if line]


def tidy(text: str) -> str:
    """Return a text on one line without markup."""
    return " ".join(paragraphs(text))


def text_of(value: object) -> str:
    """Return the first text in a value: of a list the first that has any, of an object its value, name or text."""
    return next(iter(texts_of(value)), "")


def texts_of(value: object) -> list[str]:
    """Return the texts in a value, tidied; numbers count as text."""
    found = (_one(item) for item in items(value))
    return [text for text in found if text]


def _one(item: object) -> str:
    if isinstance(item, bool):
        return ""
    if isinstance(item, str | int):
        return tidy(str(item))
    if isinstance(item, Mapping):
        for key in ("@value", "name", "text", "@id"):
            inner = item.get(key)
            if isinstance(inner, list):
                inner = inner[0] if inner else None
            if isinstance(inner, str | int) and not isinstance(inner, bool):
                return tidy(str(inner))
    return ""


def duration_words(text: str) -> str:
    """Return an ISO 8601 duration of days to seconds in words ("1 h 15 min"), empty if it is none or zero."""
    match = _DURATION.fullmatch(text.strip())
    if match is None:
        return ""
    days, hours, minutes, seconds = (int(part or 0) for part in match.groups())
    total_min = Fraction(days * 1440 + hours * 60 + minutes) + Fraction(seconds, 60)
    whole, rest = divmod(int(total_min), 60)
    words = [f"{whole} h"] if whole else []
    words += [f"{rest} min"] if rest else []
    words += [f"{seconds % 60} s"] if seconds % 60 else []
    return " ".join(words)


def lower_ascii(text: str) -> str:
    """Return the text with ASCII letters made small, so that every place stays where it is."""
    return text.translate({upper: upper + 32 for upper in range(65, 91)})


def without(text: str, opening: str, closing: str) -> str:
    """Return the text without what stands from ``opening`` to ``closing``, to the end where it is never closed."""
    kept: list[str] = []
    at = 0
    lower = lower_ascii(text)
    while True:
        start = lower.find(opening, at)
        if start < 0:
            return "".join([*kept, text[at:]])
        kept.append(text[at:start])
        end = lower.find(closing, start + len(opening))
        if end < 0:
            return "".join(kept)
        at = end + len(closing)
