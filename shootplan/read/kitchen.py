"""
The kitchen file: people, hob, ovens, vessels, tools, cameras, pace, hours and the home kitchen of the blog's times.

TOML text comes in, a ``Kitchen`` goes out; what is left out keeps the model's default. Every table has its list of
keys with a reader each, so that an unknown key gets a "did you mean".
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import time
from decimal import Decimal
from fractions import Fraction
from typing import Any

from shootplan.model.episode import CameraPosition, Hob, Kitchen, Oven, Pace, Person, Vessel
from shootplan.problems import Problem, did_you_mean
from shootplan.read.durations import read_duration, read_range
from shootplan.read.passage import Log
from shootplan.read.text import clean_text
from shootplan.read.toml_text import Path, Places, parse_toml
from shootplan.read.values import Wrong, choice, quoted, read_time, read_time_window

__all__ = ["read_kitchen"]

Reader = Callable[[object], object]
Keys = Mapping[str, tuple[str, Reader]]


def read_kitchen(path: str, text: str) -> tuple[Kitchen, tuple[Problem, ...]]:
    """
    Return the kitchen that a file describes, and every problem found in it.

    Parameters
    ----------
    path
        The file as the user typed it.
    text
        The file's text (TOML 1.0).
    """
    log = Log()
    cleaned = clean_text(path, text, log)
    document, places = parse_toml(path, cleaned or "", log)
    kitchen = _Reader(document, places, log).kitchen(path)
    return kitchen, log.in_order()


# ---------------------------------------------------------------------------------------------------- values


def _wrong(value: object, expected: str, hint: str) -> Wrong:
    shown = quoted(value) if isinstance(value, str) else f"a value of another kind ({_kind(value)})"
    return Wrong("value-kind", f"{shown} is not {expected}", hint)


def _kind(value: object) -> str:
    names = {bool: "true or false", int: "a number", Decimal: "a number", dict: "a table", list: "a list"}
    return names.get(type(value), "a date or time")


def _text(value: object) -> object:
    if isinstance(value, str) and value.strip():
        return value.strip()
    return _wrong(value, "text", "write text in double quotes")


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
        return _wrong(
            value, f"a whole number from {least} to {most}", f"write a number without quotes, such as {max(least, 2)}"
        )

    return parse


def _flag(value: object) -> object:
    return value if isinstance(value, bool) else _wrong(value, "true or false", "write true or false, without quotes")


def _factor(value: object) -> object:
    is_number = isinstance(value, int | Decimal) and not isinstance(value, bool)
    if is_number and Decimal("0.01") <= Decimal(str(value)) <= 100:
        return Fraction(Decimal(str(value)))
    return _wrong(value, "a factor from 0.01 to 100", "write a number without quotes, such as 1.2")


def _texts(value: object) -> object:
    if isinstance(value, list) and all(isinstance(item, str) and item.strip() for item in value):
        return tuple(item.strip() for item in value)
    return _wrong(value, "a list of texts", 'write a list such as ["one", "two"]')


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

_PERSON: Keys = {
    "name": ("name", _text),
    "role": ("role", _said(choice({"cook": "cook", "helper": "helper"}))),
    "presenter": ("is_presenter", _flag),
    "skills": ("skills", _texts),
    "start": ("start", _clock),
    "end": ("end", _clock),
}
_OVEN: Keys = {
    "name": ("name", _text),
    "shelves": ("shelves", _whole(1, 99)),
    "heat_up": ("heat_up_s", _said(read_range)),
    "change": ("change_s", _said(read_duration)),
    "tolerance": ("tolerance_c", _said(_degrees_apart)),
    "fan_offset": ("fan_offset_c", _said(_degrees_apart)),
}
_VESSEL: Keys = {
    "count": ("count", _whole(0)),
    "wash": ("wash_s", _said(read_duration)),
    "noise": ("is_noisy", _flag),
}
_POSITION: Keys = {"name": ("name", _text), "camera": ("camera", _text)}
_HOB: Keys = {"rings": ("rings", _whole(0, 99)), "sizes": ("sizes", _texts)}
_CAMERAS: Keys = {"rerig": ("rerig_s", _said(read_duration))}
_PACE: Keys = {
    "words_per_minute": ("words_per_minute", _whole(40, 400)),
    "speech_factor": ("speech_factor", _factor),
    "filming_factor": ("filming_factor", _factor),
    "picture": ("picture_ms", _said(_milliseconds)),
}
_HOURS: Keys = {
    "call": ("call", _clock),
    "latest_wrap": ("latest_wrap", _clock),
    "staffed": ("staffed", _said(read_time_window)),
    "evening": ("evening", _said(read_time_window)),
    "meal": ("meal", _said(_meal)),
}
_HOME: Keys = {
    "cooks": ("home_cooks", _whole(1, 99)),
    "rings": ("home_rings", _whole(0, 99)),
    "ovens": ("home_ovens", _whole(0, 99)),
}
_FRIDGE: Keys = {"places": ("fridge_places", _whole(0))}
_TABLES = ("people", "hob", "ovens", "vessels", "tools", "cameras", "pace", "hours", "home", "fridge")
#: What ``hours`` gives in pairs, and the model's two names for each.
_PAIRS = {
    "staffed": ("staffed_from", "staffed_until"),
    "evening": ("evening_from", "evening_until"),
    "meal": ("meal_s", "meal_within_s"),
}


@dataclass(slots=True)
class _Reader:
    """Reads the tables of one document."""

    document: dict[str, Any]
    places: Places
    log: Log

    def kitchen(self, path: str) -> Kitchen:
        self._check_keys((), self.document, _TABLES)
        values: dict[str, Any] = {}
        for name in ("people", "ovens"):
            if name in self.document:
                values[name] = getattr(self, f"_{name}")()
        if not values.get("people", True):
            del values["people"]
        values["hob"] = Hob(**self._table("hob", _HOB))
        values["vessels"] = (*self._vessels("vessels", 180), *self._vessels("tools", 0))
        values["pace"] = Pace(**self._table("pace", _PACE))
        values |= self._hours() | self._cameras()
        values |= self._table("home", _HOME) | self._table("fridge", _FRIDGE)
        return Kitchen(path=path, **values)

    # ------------------------------------------------------------------------------------------------ tables

    def _people(self) -> tuple[Person, ...]:
        rows = self._rows("people", _PERSON)
        return tuple(Person(span=self.places.key(path), **values) for path, values in rows)

    def _ovens(self) -> tuple[Oven, ...]:
        return tuple(Oven(**values) for _, values in self._rows("ovens", _OVEN, needs_name=False))

    def _hours(self) -> dict[str, Any]:
        values = self._table("hours", _HOURS)
        for name, (first, last) in _PAIRS.items():
            if name in values:
                values[first], values[last] = values.pop(name)
        return values

    def _cameras(self) -> dict[str, Any]:
        values = self._table("cameras", _CAMERAS, also=("positions", "rerig_between"))
        table = self.document.get("cameras")
        if not isinstance(table, dict):
            return values
        if "positions" in table:
            values["positions"] = tuple(self._positions(table["positions"]))
        if "rerig_between" in table:
            values["rerig_between_s"] = tuple(self._rerigs(table["rerig_between"]))
        return values

    def _positions(self, given: object) -> Iterator[CameraPosition]:
        path: Path = ("cameras", "positions")
        for index, item in enumerate(self._list(path, given)):
            values = self._read((*path, index), item if isinstance(item, dict) else {"name": item}, _POSITION)
            if "name" in values:
                yield CameraPosition(**values)

    def _rerigs(self, given: object) -> Iterator[tuple[str, str, int]]:
        """Yield each ``["overhead", "front", "4 min"]``."""
        path: Path = ("cameras", "rerig_between")
        for item in self._list(path, given):
            texts = _texts(item)
            seconds = read_duration(texts[2]) if isinstance(texts, tuple) and len(texts) == 3 else None
            if isinstance(texts, tuple) and isinstance(seconds, int):
                yield texts[0], texts[1], seconds
            else:
                hint = 'write for example ["overhead", "front", "4 min"]'
                self._note(path, _wrong(item, "two positions and a time", hint))

    def _vessels(self, table_name: str, wash_s: int) -> Iterator[Vessel]:
        table = self.document.get(table_name, {})
        if not isinstance(table, dict):
            self._note(
                (table_name,), _wrong(table, "a table", f'write lines such as "mixing bowl" = 2 under [{table_name}]')
            )
            return
        for name, given in table.items():
            path: Path = (table_name, name)
            values = self._read(path, given if isinstance(given, dict) else {"count": given}, _VESSEL)
            if values or isinstance(given, dict):
                yield Vessel(name=name.strip(), span=self.places.key(path), **({"wash_s": wash_s} | values))

    # ------------------------------------------------------------------------------------------------ reading

    def _table(self, name: str, keys: Keys, also: tuple[str, ...] = ()) -> dict[str, Any]:
        table = self.document.get(name, {})
        if not isinstance(table, dict):
            self._note((name,), _wrong(table, "a table", f"begin the table with [{name}]"))
            return {}
        return self._read((name,), table, keys, also)

    def _rows(self, name: str, keys: Keys, *, needs_name: bool = True) -> Iterator[tuple[Path, dict[str, Any]]]:
        """Yield the values of each ``[[name]]``; names must differ."""
        seen: dict[str, Path] = {}
        for index, row in enumerate(self._list((name,), self.document[name])):
            path: Path = (name, index)
            if not isinstance(row, dict):
                self._note(path, _wrong(row, "a table", f"begin each with [[{name}]]"))
                continue
            values = self._read(path, row, keys)
            own = values.get("name", "" if needs_name else "oven")
            if not own:
                self.log.fault(
                    self.places.key(path), "name-missing", f"an entry of {name} has no name", 'add name = "…"'
                )
            elif own.casefold() in seen:
                first = self.places.value((*seen[own.casefold()], "name"))
                message = f"{quoted(own)} stands in {name} twice"
                self.log.fault(
                    self.places.value((*path, "name")), "name-twice", message, "give each its own name", first
                )
            else:
                seen[own.casefold()] = path
                yield path, values

    def _read(self, path: Path, table: dict[str, Any], keys: Keys, also: tuple[str, ...] = ()) -> dict[str, Any]:
        self._check_keys(path, table, (*keys, *also))
        values: dict[str, Any] = {}
        for key, given in table.items():
            if key not in keys:
                continue
            field, read = keys[key]
            value = read(given)
            if isinstance(value, Wrong):
                self._note((*path, key), value)
            else:
                values[field] = value
        return values

    def _list(self, path: Path, given: object) -> list[object]:
        if isinstance(given, list):
            return given
        self._note(
            path, _wrong(given, "a list", f"write [[{path[0]}]]" if len(path) == 1 else 'write a list such as ["one"]')
        )
        return []

    def _check_keys(self, path: Path, table: dict[str, Any], known: tuple[str, ...]) -> None:
        for key in table:
            if key not in known:
                hint = did_you_mean(key[:80], known) or "known are " + ", ".join(known)
                self.log.fault(self.places.key((*path, key)), "key-unknown", f"unknown key {quoted(key)}", hint)

    def _note(self, path: Path, wrong: Wrong) -> None:
        self.log.fault(self.places.value(path), wrong.code, wrong.message, wrong.hint)
