"""Read ``demo_costs/lines.csv`` into episodes: ingredient lines and prices only, no steps (see SOURCE.md there)."""

from __future__ import annotations

import csv
from collections.abc import Iterable
from fractions import Fraction
from pathlib import Path
from typing import Any

from costing_helpers import amount, episode, line, recipe, row

from shootplan.model.episode import Episode, PriceRow
from shootplan.model.recipe import Recipe, RecipeKind
from shootplan.problems import Problem

TABLE = Path(__file__).parent / "demo_costs" / "lines.csv"
PICKLE = "pickled-red-onion"
DEMOS = {
    "GBP": ("leek-bean-bake", "crumb-cabbage", "oat-crumble"),
    "SEK": ("pea-soup", PICKLE, "rye-loaf", "cardamom-knots"),
    "CAD": ("fried-rice", "peanut-noodles", "bean-toast", "zucchini-fritters", "corn-chowder", "oat-pancakes"),
}
#: Hearty and small servings.
SERVES = {
    "leek-bean-bake": (4, 6), "crumb-cabbage": (4, None), "oat-crumble": (4, 6), "pea-soup": (6, 8), PICKLE: (1, None),
    "rye-loaf": (8, None), "cardamom-knots": (16, None),
}  # fmt: skip


def table() -> list[dict[str, str]]:
    """Return the rows of the worked sheet."""
    with TABLE.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file, delimiter=";"))


def demo(currency: str, **more: Any) -> Episode:
    """Return one demo episode without steps."""
    rows = [entry for entry in table() if entry["recipe"] in DEMOS[currency]]
    recipes = tuple(_recipe(name, [entry for entry in rows if entry["recipe"] == name]) for name in DEMOS[currency])
    fields = {"currency": currency, "measures": "dl" if currency == "SEK" else "US label", **more}
    return episode(recipes, _prices(rows, currency), **fields)


def _recipe(name: str, rows: Iterable[dict[str, str]]) -> Recipe:
    taken: set[str] = set()
    lines = []
    for entry in rows:
        key = entry["item"].replace(" ", "-")
        key = f"{key}-2" if key in taken else key
        taken.add(key)
        lines.append(line(entry["item"], entry["amount"], id=key, is_optional=bool(entry["option"])))
    if name == "pea-soup":
        lines.append(line("pickled red onion", "60 g", is_optional=True))
    hearty, small = SERVES.get(name, (2, None))
    more: dict[str, Any] = {"title": name.replace("-", " ")}
    if name == PICKLE:
        more |= {"kind": RecipeKind.SUB_PREPARATION, "makes": amount("250 g"), "makes_name": "pickled red onion"}
    return recipe(name, lines, hearty=hearty, small=small, **more)


def _prices(rows: Iterable[dict[str, str]], currency: str) -> list[PriceRow]:
    """Return one price row an item; "scallion" and "scallions" are one."""
    found: dict[str, PriceRow] = {}
    for entry in rows:
        made = row(
            entry["item"],
            entry["pack"],
            entry["price"],
            currency=currency,
            is_loose=bool(entry["loose"]),
            is_staple=bool(entry["staple"]),
        )
        assert found.setdefault(entry["item"].removesuffix("s"), made).price == made.price
    return list(found.values())


def no_faults(problems: Iterable[Problem]) -> list[Problem]:
    """Return the problems that are not about missing steps."""
    return [problem for problem in problems if problem.code != "ingredient-unused"]


def exact(text: str) -> Fraction:
    """Return a printed figure exactly."""
    return Fraction(text)
