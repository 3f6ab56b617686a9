"""
The keys of the kitchen file, table by table: how each value is read, and the model's name for it.

Values come in as TOML gave them, values of the model or ``Wrong`` go out; the tables are walked by ``kitchen``.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import time
from decimal import Decimal
from fractions import Fraction

from shootplan.model.timecode import RATES
from shootplan.read.durations import read_duration, read_range
from shootplan.read.values import Wrong, choice, quoted, read_time, read_time_window

__all__ = [
    "CAMERAS",
    "FOOD",
    "FRIDGE",
    "HOB",
    "HOME",
    "HOURS",
    "OVEN",
    "PACE",
    "PERSON",
    "POSITION",
    "VESSEL",
    "Keys",
    "as_texts",
    "wrong_kind",
]

Reader = Callable[[object], object]
#: By key: the model's name for it and the reader of its value.
Keys = Mapping[str, tuple[str, Reader]]


def wrong_kind(value: object, expected: str, hint: str) -> Wrong:
    """Return the complaint about a value of another kind than a key takes."""
    shown = quoted(value) if isinstance(value, str) else f"a value of another kind ({_kind(value)})"
    return Wrong("value-kind", f"{shown} is not {expected}", hint)


def _kind(value: object) -> str:
    names = {bool: "true or false", int: "a number", Decimal: "a number", dict: "a table", list: "a list"}
    return names.get(type(value), "a date or time")


def _text(value: object) -> object:
    if isinstance(value, str) and value.strip():
        return value.strip()
    return wrong_kind(value, "text", "write text in double quotes")


def _said(read: Callable[[str], object]) -> Reader:
    """Return a reader for text that ``read`` understands."""

    def parse(value: object) -> object:
        text = _text(value)
        return read(text) if isinstance(text, str) else text

    return parse


def _whole(least: int, most: int = 9999) -> Reader:
    """Return a reader for a whole number between two bounds."""

    def parse(value: object) -> object:
        if isinstance(value, int) and not isinstance(value, bool) and least <= value <= most:
            return value
        return wrong_kind(
            value, f"a whole number from {least} to {most}", f"write a number without quotes, such as {max(least, 2)}"
        )

    return parse


def _flag(value: object) -> object:
    return (
        value if isinstance(value, bool) else wrong_kind(value, "true or false", "write true or false, without quotes")
    )


def _factor(value: object) -> object:
    is_number = isinstance(value, int | Decimal) and not isinstance(value, bool)
    if is_number and Decimal("0.01") <= Decimal(str(value)) <= 100:
        return Fraction(Decimal(str(value)))
    return wrong_kind(value, "a factor from 0.01 to 100", "write a number without quotes, such as 1.2")


def as_texts(value: object) -> object:
    """Return a list of texts as a tuple, else what is wrong."""
    if isinstance(value, list) and all(isinstance(item, str) and item.strip() for item in value):
        return tuple(item.strip() for item in value)
    return wrong_kind(value, "a list of texts", 'write a list such as ["one", "two"]')


def _clock(value: object) -> object:
    return value.replace(microsecond=0, tzinfo=None) if isinstance(value, time) else _said(read_time)(value)


def _degrees_apart(text: str) -> int | Wrong:
    """A difference of temperatures, not a temperature: "10 °C"."""
    match = re.fullmatch(r"([0-9]{1,3})\s*°?\s*C", text)
    if match is None:
        return Wrong(
            "temperature-bad", f"{quoted(text)} is not a difference of temperatures", 'write for example "10 °C"'
        )
    return int(match[1])


def _milliseconds(text: str) -> int | Wrong:
    match = re.fullmatch(r"([0-9]{1,3})[.]([0-9]{1,3})\s*s", text)
    if match is not None:
        return int(match[1]) * 1000 + int(match[2].ljust(3, "0"))
    seconds = read_duration(text)
    return seconds if isinstance(seconds, Wrong) else seconds * 1000


def _meal(text: str) -> tuple[int, int] | Wrong:
    match = re.fullmatch(r"(.+?)\s+within\s+(.+)", text, re.I)
    wrong = Wrong(
        "meal-bad", f"{quoted(text)} is not a rule for the meal break", 'write for example "30 min within 6 h"'
    )
    if match is None:
        return wrong
    length, within = read_duration(match[1]), read_duration(match[2])
    if isinstance(length, Wrong) or isinstance(within, Wrong) or not 0 < length < within:
        return wrong
    return length, within


# ---------------------------------------------------------------------------------------------------- keys

PERSON: Keys = {
    "name": ("name", _text),
    "role": ("role", _said(choice({"cook": "cook", "helper": "helper"}))),
    "presenter": ("is_presenter", _flag),
    "skills": ("skills", as_texts),
    "start": ("start", _clock),
    "end": ("end", _clock),
}
OVEN: Keys = {
    "name": ("name", _text),
    "shelves": ("shelves", _whole(1, 99)),
    "heat_up": ("heat_up_s", _said(read_range)),
    "change": ("change_s", _said(read_duration)),
    "tolerance": ("tolerance_c", _said(_degrees_apart)),
    "fan_offset": ("fan_offset_c", _said(_degrees_apart)),
}
VESSEL: Keys = {
    "count": ("count", _whole(0)),
    "wash": ("wash_s", _said(read_duration)),
    "noise": ("is_noisy", _flag),
}
POSITION: Keys = {"name": ("name", _text), "camera": ("camera", _text)}
HOB: Keys = {"rings": ("rings", _whole(0, 99)), "sizes": ("sizes", as_texts)}
CAMERAS: Keys = {
    "rerig": ("rerig_s", _said(read_duration)),
    "frame_rate": ("frame_rate", _said(choice(RATES))),
    "pick_ups": ("pick_ups", _flag),
}
PACE: Keys = {
    "words_per_minute": ("words_per_minute", _whole(40, 400)),
    "speech_factor": ("speech_factor", _factor),
    "filming_factor": ("filming_factor", _factor),
    "picture": ("picture_ms", _said(_milliseconds)),
}
HOURS: Keys = {
    "call": ("call", _clock),
    "latest_wrap": ("latest_wrap", _clock),
    "set_up": ("set_up_s", _said(read_duration)),
    "strike": ("strike_s", _said(read_duration)),
    "staffed": ("staffed", _said(read_time_window)),
    "evening": ("evening", _said(read_time_window)),
    "meal": ("meal", _said(_meal)),
}
HOME: Keys = {
    "cooks": ("home_cooks", _whole(1, 99)),
    "rings": ("home_rings", _whole(0, 99)),
    "ovens": ("home_ovens", _whole(0, 99)),
}
FOOD: Keys = {"limits": ("keeps_food_limits", _said(choice({"caution": False, "rule": True})))}
FRIDGE: Keys = {"places": ("fridge_places", _whole(0))}
