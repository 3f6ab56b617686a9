"""Episodes for the costing tests, built in code: short amounts, one price row an item, nothing read from disk."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from shootplan.model.episode import Claim, ClaimScope, ClaimWord, Episode, Kitchen, PriceBook, PriceRow
from shootplan.model.quantity import Amount
from shootplan.model.recipe import IngredientLine, Mention, Part, PartKind, Recipe, Serves, Step

DAY = date(2026, 11, 25)
SEEN = date(2026, 11, 20)


def amount(text: str) -> Amount:
    """Return "360 ml", "1/2", "1-2 tbsp" or "2 clove" as an amount."""
    number, _, unit = text.partition(" ")
    low, _, high = number.partition("-")
    return Amount(Fraction(low), Fraction(high or low), unit)


def line(item: str, text: str | None, **more: Any) -> IngredientLine:
    """Return a line; ``text`` is its amount, ``None`` for none; ``second`` and other amounts may be texts."""
    for name in ("second", "each", "drained", "single_use"):
        if isinstance(more.get(name), str):
            more[name] = amount(more[name])
    more.setdefault("id", item.replace(" ", "-"))
    return IngredientLine(item=item, amount=amount(text) if text is not None else None, **more)


def row(item: str, pack: str, price: str, **more: Any) -> PriceRow:
    """Return a price row; ``pack`` may hold several measures: "1 head, 700 g"."""
    if isinstance(more.get("stock"), str):
        more["stock"] = amount(more["stock"])
    for name in ("density_g_per_ml", "piece_g", "yield_percent"):
        if isinstance(more.get(name), str):
            more[name] = Fraction(more[name])
    measures = tuple(amount(part.strip()) for part in pack.split(","))
    fields: dict[str, Any] = {"currency": "GBP", "seen": SEEN, "source": "receipt", **more}
    return PriceRow(item=item, pack=measures, price=Decimal(price), **fields)


def recipe(
    name: str, lines: Iterable[IngredientLine], *, hearty: int = 4, small: int | None = None, **more: Any
) -> Recipe:
    """Return a recipe."""
    more.setdefault("title", name)
    return Recipe(id=name, serves=Serves(hearty, small), lines=tuple(lines), **more)


def episode(recipes: Iterable[Recipe], rows: Iterable[PriceRow], **more: Any) -> Episode:
    """Return an episode in pounds on the test day."""
    fields: dict[str, Any] = {"title": "Test", "shoot_date": DAY, "currency": "GBP", "measures": "US label", **more}
    return Episode(recipes=tuple(recipes), kitchen=Kitchen(), prices=PriceBook(rows=tuple(rows)), **fields)


def claim(word: str, limit: str, of: str = "", **more: Any) -> Claim:
    """Return a claim: ``of`` is a recipe id, or "every", "average" or "total"."""
    scopes = {"every": ClaimScope.EVERY, "average": ClaimScope.AVERAGE, "total": ClaimScope.TOTAL}
    scope = scopes.get(of, ClaimScope.RECIPE)
    name = "" if of in scopes else of
    return Claim(word=ClaimWord(word), scope=scope, limit=Decimal(limit), recipe=name, **more)


def mention(name: str, part: str = "") -> Mention:
    """Return a mention: part "", "half", "rest", "held back", "hold back 60 ml", "all but 60 ml" or an amount."""
    is_held_back = part.startswith("hold back ")
    text = part.removeprefix("hold back ")
    if not text:
        made = Part(PartKind.WHOLE)
    elif text in ("rest", "held back"):
        made = Part(PartKind(text))
    elif text == "half":
        made = Part(PartKind.FRACTION, fraction=Fraction(1, 2))
    elif text.startswith("all but "):
        made = Part(PartKind.ALL_BUT, amount=amount(text.removeprefix("all but ")))
    else:
        made = Part(PartKind.AMOUNT, amount=amount(text))
    return Mention(name=name, part=made, is_held_back=is_held_back)


def steps(*given: tuple[str, list[Mention]] | tuple[str, list[Mention], dict[str, Any]]) -> tuple[Step, ...]:
    """Return numbered steps from (name, mentions) or (name, mentions, fields)."""
    made = []
    for number, item in enumerate(given, start=1):
        fields = item[2] if len(item) == 3 else {}
        key = item[0].casefold().replace(" ", "-")
        made.append(Step(id=key, name=item[0], number=number, mentions=tuple(item[1]), **fields))
    return tuple(made)
