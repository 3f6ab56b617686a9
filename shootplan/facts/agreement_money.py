"""
Prices typed in free text, against the costs: a serving, a line, a pack, the totals.

A typed figure with its place comes in, a ``Judgement`` goes out. Which plate is meant (with an option, with everything,
small) is read from the clause; "under" and "about" are kept to the rules of claims (M5).
"""

from __future__ import annotations

import re
from fractions import Fraction

from shootplan.facts.book import FactBook
from shootplan.facts.figures import Typed
from shootplan.facts.judgement import Judgement, TextPlace, agrees, bound_of, differs, is_about, no_fact
from shootplan.facts.known import Price, episode_prices, line_prices, recipe_prices
from shootplan.facts.known_amounts import find_line, find_line_before
from shootplan.facts.names import name_words
from shootplan.facts.parts import StepShare, step_share
from shootplan.model.agreement import FigureKind
from shootplan.model.money import half_up

__all__ = ["judge_money"]

_SERVING = re.compile(
    r"\b(?:an?|per|each|every|one|1)\s+(?:small\s+|large\s+|hearty\s+)?(?:serving|portion|head|person|bowl|plate|slice|knot|bun"
    r"|fritter|helping|piece)\b|\b(?:each|apiece)\b|\bfor (?:two|2) slices\b|\ball (?:three|four|five|six|in)\b",
    re.IGNORECASE,
)
_COSTS = re.compile(r"\b(?:costs?|comes? to|priced|for (?:only|just)|bill|total|works out)\b", re.IGNORECASE)
_EVERYTHING = re.compile(
    r"\b(?:everything|every (?:option|extra|optional)|all (?:the )?(?:options|extras|trimmings|toppings|optional)"
    r"|options|extras|trimmings|the works|the lot)\b",
    re.IGNORECASE,
)
_KRONA, _DOLLAR, _CENT = ("SEK", "NOK", "DKK"), ("USD", "CAD", "AUD", "NZD"), ("EUR", "USD", "CAD", "AUD", "NZD", "ZAR")
_OPEN = {"kr": _KRONA, "$": _DOLLAR, "cent": _CENT}
#: Where the next price begins, so that "1.28 a serving; 1.33 with parsley" is two clauses even without a comma.
_MONEY_AHEAD = r"[£€$]|\b(?:or|and)\s+\d"


def judge_money(typed: Typed, at: TextPlace, book: FactBook) -> Judgement | None:
    """Judge a price by the line it stands beside, else by the servings; "under", "about" and the options count."""
    low = typed.low + typed.high / 100 if typed.how == "pair" else typed.low
    high = low if typed.how == "pair" else typed.high
    if typed.how == "pair" and not _SERVING.search(typed.tail[:24]):
        return no_fact(FigureKind.NUMBER)
    currency = _currency(typed.unit, book)
    if currency is None:
        return differs(f"money here is {book.costs.currency}", "currency", FigureKind.MONEY)
    lines = _line_candidates(typed, at, book)
    is_serving = _SERVING.search(typed.sentence) is not None
    if lines and not is_serving:
        return _judge_price(typed, low, high, lines, is_held=True)
    prices = _serving_candidates(typed, at, book)
    if currency != book.costs.currency:
        prices = _converted(prices, book)
    is_held = is_serving or at.text in ("title", "thumbnail", "caption") or _COSTS.search(typed.lead) is not None
    return _judge_price(typed, low, high, prices, is_held=is_held or bool(bound_of(typed)))


def _judge_price(typed: Typed, low: Fraction, high: Fraction, prices: tuple[Price, ...], *, is_held: bool) -> Judgement:
    words = " or ".join(dict.fromkeys(price.words for price in prices[:4]))
    bound = bound_of(typed)
    for price in prices:
        if _is_price(low, high, price.value, bound, is_loose=is_about(typed) and bound != "under"):
            return agrees(price.words, price.recipe, FigureKind.MONEY)
    if not prices or not is_held:
        return no_fact(FigureKind.MONEY)
    return differs(words, prices[0].recipe, FigureKind.MONEY)


def _is_price(low: Fraction, high: Fraction, value: Fraction, bound: str, *, is_loose: bool) -> bool:
    if bound == "under":
        return value < low
    if bound == "over" and value > low:
        return True
    if is_loose:
        return abs(value - low) * 20 <= low
    return low <= value <= high


def _currency(unit: str, book: FactBook) -> str | None:
    """Return the currency meant if it is the episode's or its second one, else ``None``."""
    also = book.resolved.episode.also
    known = [book.costs.currency, *([also.currency] if also is not None else [])]
    if not unit:
        return known[0]
    return next((code for code in known if code == unit or code in _OPEN.get(unit, ())), None)


def _converted(prices: tuple[Price, ...], book: FactBook) -> tuple[Price, ...]:
    also = book.resolved.episode.also
    if also is None:
        return ()
    return tuple(
        Price(
            value=Fraction(half_up(price.value * also.factor, 2)),
            words=f"{price.words} at the dated rate",
            option=price.option,
        )
        for price in prices
    )


def _line_candidates(typed: Typed, at: TextPlace, book: FactBook) -> tuple[Price, ...]:
    recipe = at.place.recipe
    costs = book.costs.recipe(recipe.id) if recipe is not None else None
    if recipe is None or costs is None:
        return ()
    behind = "" if typed.name.casefold().startswith("with ") else typed.name
    for key in (find_line(behind, recipe, at.place.step), find_line_before(typed.before, recipe)):
        if key is not None:
            share = step_share(key, recipe, at.place.step)
            return line_prices(costs, key, share.share if isinstance(share, StepShare) else Fraction(1), book)
    return ()


def _serving_candidates(typed: Typed, at: TextPlace, book: FactBook) -> tuple[Price, ...]:
    recipe = at.place.recipe
    if recipe is not None:
        costs = book.costs.recipe(recipe.id)
        own = recipe_prices(costs, book) if costs is not None else ()
        prices = own if bound_of(typed) else (*own, *episode_prices(book))
    elif bound_of(typed) and not _told_recipes(typed, book):
        prices = _bounded(typed, book)
    else:
        told = _told_recipes(typed, book)
        of_recipes = tuple(
            price
            for item in book.costs.recipes
            if not told or item.recipe in told
            for price in recipe_prices(item, book)
        )
        prices = of_recipes if told else (*episode_prices(book), *of_recipes)
    return _as_said(typed, prices)


def _bounded(typed: Typed, book: FactBook) -> tuple[Price, ...]:
    """Return the price that "under X" of the whole episode must beat: the mean, the dearest serving, or the total."""
    if re.search(r"\b(?:average|mean|averaged)\b", typed.sentence, re.IGNORECASE):
        return tuple(price for price in episode_prices(book) if "mean" in price.words)
    if re.search(r"\b(?:each|every|all of them|any of)\b", typed.tail + typed.lead, re.IGNORECASE):
        found = [price for item in book.costs.recipes for price in recipe_prices(item, book) if not price.is_small]
        return tuple(sorted(found, key=lambda price: -price.value)[:1])
    return tuple(price for price in episode_prices(book) if "one serving" in price.words)


def _told_recipes(typed: Typed, book: FactBook) -> set[str]:
    """Return the one recipe that the words just before a price name by a word of its id ("soup 6.37 kr")."""
    clause = re.split(r"[,;·:&+]|\band\b", typed.lead)[-1]
    said = set(name_words(clause))
    found = {recipe.id for recipe in book.resolved.recipes if said & set(name_words(recipe.id.replace("-", " ")))}
    return found if len(found) == 1 else set()


def _as_said(typed: Typed, prices: tuple[Price, ...]) -> tuple[Price, ...]:
    """Keep the prices of the plate that the clause speaks of: with an option, with everything, without, small."""
    clause = f"{re.split(r'[,;]', typed.lead)[-1]} | {re.split(r'[,;]|' + _MONEY_AHEAD, typed.tail)[0]}".casefold()
    if re.search(r"\bsmall\b", clause):
        prices = tuple(price for price in prices if price.is_small) or prices
    elif bound_of(typed):
        prices = tuple(price for price in prices if not price.is_small)
    if "without" in clause:
        return tuple(price for price in prices if not price.option)
    told = re.search(r"\bwith\b(.*)", clause)
    if told is None:
        return tuple(price for price in prices if not price.option) if bound_of(typed) == "under" else prices
    if _EVERYTHING.search(told[1]):
        return tuple(price for price in prices if price.option == "all")
    said = set(name_words(told[1]))
    options = {price.option for price in prices if set(name_words(price.option)) & said and price.option != "all"}
    return tuple(price for price in prices if price.option in options) if options else prices
