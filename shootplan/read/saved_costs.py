"""
The money of a saved edition: price rows, lines, servings, totals and claims.

The part ``costs`` of ``plan.json`` comes in, facts go out: exact figures to compare, printed ones to show.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from shootplan.model.changes import Fact, FactKind
from shootplan.model.money import Cost, Money
from shootplan.model.show import amount_text, exact_text
from shootplan.printing import money_text
from shootplan.read.saved_values import Part, WrongPart
from shootplan.read.values import Wrong, read_price
from shootplan.records import dataclass

__all__ = ["cost_facts"]

_MOST_PLACES = 6
_SERVINGS = (
    ("core_per", "per_hearty", "a serving without options"),
    ("with_options_per", "per_hearty", "a serving with all options"),
    ("core_per", "per_small", "a small serving without options"),
    ("with_options_per", "per_small", "a small serving with all options"),
)
_RECIPE_TOTALS = (("core", "the recipe without options"), ("with_options", "the recipe with all options"))
_TOTALS = (
    ("head_core", "one serving of each, without options"),
    ("head_with_options", "one serving of each, with all options"),
    ("average_core", "average serving without options"),
    ("average_with_options", "average serving with all options"),
)


@dataclass(frozen=True, slots=True)
class _Till:
    """How this edition prints money."""

    locale: str
    places: int

    def shown(self, cost: Cost) -> str:
        """Return a cost as printed."""
        return money_text(cost.rounded(self.places), self.locale, self.places)


def cost_facts(costs: Part, locale: str) -> Iterator[Fact]:
    """Yield all facts of money: price rows and lines of each recipe, servings, totals, then the claims."""
    places = costs["places"].whole()
    if not 0 <= places <= _MOST_PLACES:
        raise WrongPart(costs["places"].place, f"a number from 0 to {_MOST_PLACES}")
    till = _Till(locale, places)
    seen: set[str] = set()
    is_complete = True
    for recipe in costs["recipes"]:
        is_complete = is_complete and recipe["is_complete"].is_true()
        for line in recipe["lines"]:
            yield from _price_row(line, seen)
            yield _line(recipe, line, till)
        yield from _servings(recipe, till)
    for name, label in _TOTALS:
        found = costs.get(name)
        if found is not None:
            yield _figure(found, ("total", name), FactKind.TOTAL, label, till, is_complete=is_complete)
    for verdict in costs["verdicts"]:
        yield _claim(verdict, till)


def _cost(part: Part) -> Cost:
    return Cost(part.exact(), part["currency"].text())


def _figure(
    part: Part, key: tuple[str, ...], kind: FactKind, label: str, till: _Till, *, about: str = "", is_complete: bool
) -> Fact:
    cost = _cost(part)
    shown = till.shown(cost) if is_complete else f"at least {till.shown(cost)}"
    exact = f"{'' if is_complete else 'at least '}{exact_text(cost.exact)} {cost.currency}"
    decimal = f"{cost.rounded(4).amount:f}"
    return Fact(key=key, kind=kind, about=about, label=label, shown=f"{shown} ({decimal})", exact=exact)


def _servings(recipe: Part, till: _Till) -> Iterator[Fact]:
    about, is_complete = recipe["recipe"].text(), recipe["is_complete"].is_true()
    for name, label in _RECIPE_TOTALS:
        whole = ("recipe cost", about, name)
        yield _figure(recipe[name], whole, FactKind.SERVING, label, till, about=about, is_complete=is_complete)
    for name, size, label in _SERVINGS:
        found = recipe[name].get(size)
        if found is not None:
            key = ("serving", about, name, size)
            yield _figure(found, key, FactKind.SERVING, label, till, about=about, is_complete=is_complete)


def _line(recipe: Part, line: Part, till: _Till) -> Fact:
    about, name = recipe["recipe"].text(), line["id"].text()
    key, label, found = ("line", about, name), line["item"].text(), line.get("cost")
    if found is None:
        return Fact(key=key, kind=FactKind.LINE, about=about, label=label, shown="no price")
    return _figure(found, key, FactKind.LINE, label, till, about=about, is_complete=True)


def _price_row(line: Part, seen: set[str]) -> Iterator[Fact]:
    """Yield the price row of a line, each row once."""
    row = line.get("price")
    if row is None or row["item"].text() in seen:
        return
    item = row["item"].text()
    seen.add(item)
    pack = " = ".join(amount_text(part.amount()) for part in row["pack"])
    words = [f"{row['price'].text()} {row['currency'].text()} for {pack}", row["kind"].text()]
    words += [found.text() for found in (row.get("shop"), row.get("seen")) if found is not None and found.text()]
    yield Fact(key=("price", item), kind=FactKind.PRICE_ROW, about="", label=item, shown=", ".join(words))


def _claim(verdict: Part, till: _Till) -> Fact:
    """Return a claim with its verdict, the figure tested and the wording that is allowed."""
    text = verdict["claim"]["text"].text()
    is_allowed, wording = verdict["is_allowed"].is_true(), verdict["wording"].text()
    words = ["may be said" if is_allowed else "refused", _tested(verdict.get("shown"), till)]
    words += [f'say "{wording}"'] if wording else []
    return Fact(
        key=("claim", text), kind=FactKind.CLAIM, about=_recipe_of(verdict), label=text,
        shown=", ".join(filter(None, words)),
    )  # fmt: skip


def _recipe_of(verdict: Part) -> str:
    found = verdict["claim"].get("recipe")
    return found.text() if found is not None else ""


def _tested(shown: Part | None, till: _Till) -> str:
    if shown is None:
        return ""
    if isinstance(shown.value, int):
        return f"{shown.whole()} min"
    amount = read_price(shown["amount"].text())
    if isinstance(amount, Wrong) or not isinstance(amount, Decimal):
        raise WrongPart(shown["amount"].place, "an amount of money")
    return money_text(Money(amount, shown["currency"].text()), till.locale, till.places)
