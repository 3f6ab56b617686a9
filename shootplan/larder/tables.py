"""The shipped tables as rows and as one index of phrases, loaded once when first asked for."""

from __future__ import annotations

import csv
from collections import defaultdict
from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from importlib.resources import files
from io import StringIO
from operator import itemgetter

from shootplan.larder.text import words
from shootplan.records import dataclass

__all__ = [
    "Category",
    "Phrase",
    "Weight",
    "Yield",
    "categories",
    "named_categories",
    "phrases",
    "rows",
    "weights",
    "yields",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Weight:
    """
    Grams of one household measure of a food; ``size`` small, medium or large, ``form`` "chopped", "grated" …

    ``has_skin`` says that the weight is of the food in its skin.
    """

    food: str
    category: str
    state: str
    measure: str
    size: str
    form: str
    grams: Fraction
    density: Fraction | None
    source: str
    has_skin: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Yield:
    """The edible part of a food as purchased, in percent."""

    food: str
    state: str
    percent: Fraction
    lost: str
    is_second_source: bool
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Phrase:
    """One name of a food: its words, and the (food, state) pairs it may mean."""

    words: tuple[str, ...]
    foods: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Category:
    """Median density of a category and state in kg per litre, with its quartiles."""

    median: Fraction
    low: Fraction
    high: Fraction
    foods: int
    source: str


@cache
def _lines(table: str) -> tuple[list[str], ...]:
    """Return the cells of ``data/tables/TABLE.csv``, line by line, the head first."""
    text = (files("shootplan") / "data" / "tables" / f"{table}.csv").read_text(encoding="utf-8")
    return tuple(csv.reader(StringIO(text)))


def rows(table: str) -> list[dict[str, str]]:
    """Return the rows of ``data/tables/TABLE.csv``."""
    head, *lines = _lines(table)
    return [dict(zip(head, line, strict=True)) for line in lines]


def _columns(table: str, *names: str) -> Iterator[tuple[str, ...]]:
    """Return some cells of each row, in the order asked for: most of a long table is not asked for."""
    head, *lines = _lines(table)
    return map(itemgetter(*(head.index(name) for name in names)), lines)


def _exact(text: str) -> Fraction:
    """Return a decimal number exactly; ``Fraction`` reads a text five times as slowly as two whole numbers."""
    whole, _, part = text.partition(".")
    return Fraction(int(whole + part), 10 ** len(part))


@cache
def weights(food: str, state: str) -> tuple[Weight, ...]:
    """Return the household weights of a food in a state, in table order; none where it has none."""
    columns = _lines("weights")[0]
    return tuple(_weight(dict(zip(columns, line, strict=True))) for line in _weight_lines().get((food, state), ()))


@cache
def _weight_lines() -> dict[tuple[str, str], list[list[str]]]:
    head, *lines = _lines("weights")
    name, state = head.index("name"), head.index("state")
    found: dict[tuple[str, str], list[list[str]]] = defaultdict(list)
    for line in lines:
        found[line[name], line[state]].append(line)
    return dict(found)


def _weight(row: dict[str, str]) -> Weight:
    return Weight(
        food=row["name"],
        category=row["category"],
        state=row["state"],
        measure=row["measure"],
        size=row["size"],
        form=row["qualifier"],
        grams=_exact(row["grams"]),
        density=_exact(row["density_kg_per_l"]) if row["density_kg_per_l"] else None,
        source=row["source"],
        has_skin=row["skin"] == "yes",
    )


@cache
def named_categories() -> dict[tuple[str, str], str]:
    """Return the category of each (food, state) that has a name and no weight."""
    return {(row["name"], row["state"]): row["category"] for row in rows("names")}


_YIELD_STATES = {"as purchased": "raw", "in the pod": "raw", "with husk and cob": "raw", "in the shell": "dry"}


@cache
def yields() -> dict[str, tuple[Yield, ...]]:
    """Return edible-portion yields of food as purchased by food name; cooking gains and boning are left out."""
    found: dict[str, list[Yield]] = defaultdict(list)
    for row in rows("yields"):
        if row["kind"].startswith("edible portion") and row["from_state"] in _YIELD_STATES:
            found[row["name"]].append(
                Yield(
                    food=row["name"],
                    state=_YIELD_STATES[row["from_state"]],
                    percent=_exact(row["yield_pct"]),
                    lost=row["what_is_lost"],
                    is_second_source="second source" in row["kind"],
                    source=row["source"],
                )
            )
    return {key: tuple(value) for key, value in found.items()}


@cache
def categories() -> dict[tuple[str, str], Category]:
    """Return median densities by (category, state)."""
    return {
        (row["category"], row["state"]): Category(
            median=Fraction(row["median"]),
            low=Fraction(row["low"]),
            high=Fraction(row["high"]),
            foods=int(row["foods"]),
            source=row["source"],
        )
        for row in rows("densities")
    }


@cache
def phrases() -> dict[tuple[str, ...], tuple[tuple[str, str], ...]]:
    """
    Return the index of names: words of a name → the (food, state) pairs it may mean, in table order.

    A name with a comma stands in both orders: "butter beans, dried" also as "dried butter bean".
    """
    found: dict[tuple[str, ...], dict[tuple[str, str], None]] = defaultdict(dict)
    columns = ("name", "synonyms", "state")
    # A food stands in a row for each of its measures: once is enough.
    for name, synonyms, state in dict.fromkeys((*_columns("weights", *columns), *_columns("names", *columns))):
        for order in _all_orders(name, synonyms):
            found[order][name, state] = None
    for name, synonyms, bought_as in dict.fromkeys(_columns("yields", "name", "synonyms", "from_state")):
        if state := _YIELD_STATES.get(bought_as, ""):
            for order in _all_orders(name, synonyms):
                found[order].setdefault((name, state), None)
    for generic in ((), ("spread",)):  # names that are too wide to mean one food
        found.pop(generic, None)
    return {key: tuple(value) for key, value in found.items()}


def _all_orders(name: str, synonyms: str) -> Iterator[tuple[str, ...]]:
    for one in (name, *synonyms.split(";")):
        if one.strip() and "closest" not in one:
            yield from _orders(one)


def _orders(name: str) -> tuple[tuple[str, ...], ...]:
    """Return a name's words as written and, around a comma, turned about."""
    parts = [words(part) for part in name.split(",")]
    straight = tuple(word for part in parts for word in part)
    turned = tuple(word for part in reversed(parts) for word in part)
    head = parts[0]
    return tuple(dict.fromkeys((straight, turned, head) if len(parts) > 1 else (straight,)))
