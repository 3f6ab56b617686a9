"""
The kitchen file: people, hob, ovens, vessels, tools, cameras, pace, hours and the home kitchen of the blog's times.

TOML text comes in, a ``Kitchen`` goes out; what is left out keeps the model's default. Every table has its list of
keys with a reader each, so that an unknown key gets a "did you mean".
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from shootplan.model.episode import CameraPosition, Hob, Kitchen, Oven, Pace, Person, Vessel
from shootplan.problems import Problem, did_you_mean
from shootplan.read.durations import read_duration
from shootplan.read.kitchen_keys import (
    CAMERAS,
    FOOD,
    FRIDGE,
    HOB,
    HOME,
    HOURS,
    OVEN,
    PACE,
    PERSON,
    POSITION,
    VESSEL,
    Keys,
    as_texts,
    wrong_kind,
)
from shootplan.read.passage import Log
from shootplan.read.text import clean_text
from shootplan.read.toml_text import Path, Places, parse_toml
from shootplan.read.values import Wrong, quoted
from shootplan.records import dataclass

__all__ = ["read_kitchen"]

_TABLES = ("people", "hob", "ovens", "vessels", "tools", "cameras", "pace", "hours", "home", "fridge", "food")
#: What ``hours`` gives in pairs, and the model's two names for each.
_PAIRS = {
    "staffed": ("staffed_from", "staffed_until"),
    "evening": ("evening_from", "evening_until"),
    "meal": ("meal_s", "meal_within_s"),
}


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
        values["hob"] = Hob(**self._table("hob", HOB))
        values["vessels"] = (*self._vessels("vessels", 180), *self._vessels("tools", 0))
        values["pace"] = Pace(**self._table("pace", PACE))
        values |= self._hours() | self._cameras()
        values |= self._table("home", HOME) | self._table("fridge", FRIDGE)
        values |= self._table("food", FOOD)
        return Kitchen(path=path, **values)

    # ------------------------------------------------------------------------------------------------ tables

    def _people(self) -> tuple[Person, ...]:
        rows = self._rows("people", PERSON)
        return tuple(Person(span=self.places.key(path), **values) for path, values in rows)

    def _ovens(self) -> tuple[Oven, ...]:
        return tuple(Oven(**values) for _, values in self._rows("ovens", OVEN, needs_name=False))

    def _hours(self) -> dict[str, Any]:
        values = self._table("hours", HOURS)
        for name, (first, last) in _PAIRS.items():
            if name in values:
                values[first], values[last] = values.pop(name)
        return values

    def _cameras(self) -> dict[str, Any]:
        values = self._table("cameras", CAMERAS, also=("positions", "rerig_between"))
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
            values = self._read((*path, index), item if isinstance(item, dict) else {"name": item}, POSITION)
            if "name" in values:
                yield CameraPosition(**values)

    def _rerigs(self, given: object) -> Iterator[tuple[str, str, int]]:
        """Yield each ``["overhead", "front", "4 min"]``."""
        path: Path = ("cameras", "rerig_between")
        for item in self._list(path, given):
            texts = as_texts(item)
            seconds = read_duration(texts[2]) if isinstance(texts, tuple) and len(texts) == 3 else None
            if isinstance(texts, tuple) and isinstance(seconds, int):
                yield texts[0], texts[1], seconds
            else:
                hint = 'write for example ["overhead", "front", "4 min"]'
                self._note(path, wrong_kind(item, "two positions and a time", hint))

    def _vessels(self, table_name: str, wash_s: int) -> Iterator[Vessel]:
        table = self.document.get(table_name, {})
        if not isinstance(table, dict):
            self._note(
                (table_name,),
                wrong_kind(table, "a table", f'write lines such as "mixing bowl" = 2 under [{table_name}]'),
            )
            return
        for name, given in table.items():
            path: Path = (table_name, name)
            values = self._read(path, given if isinstance(given, dict) else {"count": given}, VESSEL)
            if values or isinstance(given, dict):
                yield Vessel(name=name.strip(), span=self.places.key(path), **({"wash_s": wash_s} | values))

    # ------------------------------------------------------------------------------------------------ reading

    def _table(self, name: str, keys: Keys, also: tuple[str, ...] = ()) -> dict[str, Any]:
        table = self.document.get(name, {})
        if not isinstance(table, dict):
            self._note((name,), wrong_kind(table, "a table", f"begin the table with [{name}]"))
            return {}
        return self._read((name,), table, keys, also)

    def _rows(self, name: str, keys: Keys, *, needs_name: bool = True) -> Iterator[tuple[Path, dict[str, Any]]]:
        """Yield the values of each ``[[name]]``; names must differ."""
        seen: dict[str, Path] = {}
        for index, row in enumerate(self._list((name,), self.document[name])):
            path: Path = (name, index)
            if not isinstance(row, dict):
                self._note(path, wrong_kind(row, "a table", f"begin each with [[{name}]]"))
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
            path,
            wrong_kind(given, "a list", f"write [[{path[0]}]]" if len(path) == 1 else 'write a list such as ["one"]'),
        )
        return []

    def _check_keys(self, path: Path, table: dict[str, Any], known: tuple[str, ...]) -> None:
        for key in table:
            if key not in known:
                hint = did_you_mean(key[:80], known) or "known are " + ", ".join(known)
                self.log.fault(self.places.key((*path, key)), "key-unknown", f"unknown key {quoted(key)}", hint)

    def _note(self, path: Path, wrong: Wrong) -> None:
        self.log.fault(self.places.value(path), wrong.code, wrong.message, wrong.hint)
