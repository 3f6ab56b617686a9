"""
Figures typed by hand that differ from what was computed.

A text of a recipe comes in, a ``Problem`` (a warning) for each amount of a known ingredient that is not one of the
amounts the recipe has for it goes out. Only a number, a unit and the ingredient's name behind them are recognised, in
digits or words; prices and times are not compared.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction

from shootplan.facts.names import find_names, name_words
from shootplan.facts.number_words import digits_for_words
from shootplan.facts.say_out import NUMBER, SPACE, read_number
from shootplan.facts.spoken import UNIT_WORDS
from shootplan.model.quantity import Amount
from shootplan.model.resolved import Measured, ResolvedRecipe
from shootplan.model.show import amount_text
from shootplan.problems import Problem, Severity, Span

__all__ = ["differing_figures"]

#: How many of a smaller unit one unit holds, where it is the same everywhere.
_BASE: dict[str, tuple[str, Fraction]] = {
    "mg": ("g", Fraction(1, 1000)),
    "g": ("g", Fraction(1)),
    "kg": ("g", Fraction(1000)),
    "ml": ("ml", Fraction(1)),
    "cl": ("ml", Fraction(10)),
    "dl": ("ml", Fraction(100)),
    "l": ("ml", Fraction(1000)),
}
_SAID = {word: unit for unit, words in UNIT_WORDS.items() for word in words} | {
    "liter": "l",
    "liters": "l",
    "cups": "cup",
}
_UNITS = (
    "mg",
    "g",
    "kg",
    "ml",
    "cl",
    "dl",
    "l",
    "tsp",
    "dsp",
    "tbsp",
    "oz",
    "lb",
    "cup",
    "tin",
    "clove",
    "slice",
    "cube",
)
_UNIT = "|".join(
    sorted(
        {*_UNITS, *(f"{unit}s" for unit in _UNITS[10:]), *(word for word, unit in _SAID.items() if unit in _UNITS)},
        key=len,
        reverse=True,
    )
)
_FIGURE = re.compile(
    rf"(?<![\w.,/–-])(?P<number>{NUMBER}){SPACE}?(?:an?{SPACE}|of{SPACE}an?{SPACE})?(?P<unit>{_UNIT})\b"
    rf"(?:{SPACE}?\([^()]*\))?{SPACE}(?:of{SPACE})?(?:the{SPACE})?"
    rf"(?P<name>[^\W\d_][\w'’-]*(?:{SPACE}[^\W\d_][\w'’-]*){{0,4}})",
    re.IGNORECASE,
)


def differing_figures(text: str, recipe: ResolvedRecipe, span: Span) -> tuple[Problem, ...]:
    """Return a warning "figure-differs" for each typed amount of an ingredient that the recipe does not have."""
    return tuple(_differences(text, recipe, span))


def _differences(text: str, recipe: ResolvedRecipe, span: Span) -> Iterator[Problem]:
    for match in _FIGURE.finditer(digits_for_words(text)):
        key = _ingredient(match["name"], recipe)
        if key is None:
            continue
        unit = _canonical(match["unit"])
        known = tuple(_known_amounts(key, recipe))
        comparable = tuple(
            amount for amount in known if _in_base(amount.low, amount.unit)[1] == _in_base(Fraction(1), unit)[1]
        )
        value = _in_base(read_number(match["number"]), unit)[0]
        if comparable and not any(_fits(value, amount) for amount in comparable):
            yield _problem(match, comparable, span)


def _problem(match: re.Match[str], known: tuple[Amount, ...], span: Span) -> Problem:
    computed = " or ".join(dict.fromkeys(amount_text(amount) for amount in known))
    typed = f"{match['number']} {match['unit']}"
    name = match["name"].split()[0]
    return Problem(
        span=span,
        code="figure-differs",
        severity=Severity.WARNING,
        message=f'"{typed}" of {name} is not an amount of this recipe: it has {computed}',
        hint="put a placeholder in braces there, so that the figure cannot drift",
    )


def _ingredient(words: str, recipe: ResolvedRecipe) -> str | None:
    """Return the one line whose item starts the words, the longest run of them first."""
    items = {line.line.id: line.line.item for line in recipe.lines}
    parts = words.split()
    for count in range(len(parts), 0, -1):
        found = find_names(" ".join(parts[:count]), items)
        if len(found) == 1 and _ends_alike(parts[count - 1], items[found[0]]):
            return found[0]
    return None


def _ends_alike(word: str, item: str) -> bool:
    """Return whether the last word is the item's noun: "butter" is not "butter beans"."""
    return name_words(item)[-1:] == name_words(word)[-1:]


def _canonical(unit: str) -> str:
    lower = unit.casefold()
    if lower in _UNITS:
        return lower
    return _SAID.get(lower, lower.removesuffix("s"))


def _in_base(value: Fraction, unit: str) -> tuple[Fraction, str]:
    base, factor = _BASE.get(unit, (unit, Fraction(1)))
    return value * factor, base


def _fits(value: Fraction, amount: Amount) -> bool:
    return _in_base(amount.low, amount.unit)[0] <= value <= _in_base(amount.high, amount.unit)[0]


def _known_amounts(key: str, recipe: ResolvedRecipe) -> Iterator[Amount]:
    line = recipe.line(key)
    if line is None:
        return
    typed = (line.line.amount, line.line.second, line.line.each, line.line.drained) if recipe.recipe.scale == 1 else ()
    yield from (amount for amount in typed if amount is not None)
    yield from _amounts(line.measured)
    for use in recipe.uses:
        if use.line == key:
            yield from _amounts(use.measured)


def _amounts(measured: Measured) -> Iterator[Amount]:
    found = (measured.metric, measured.metric_shown, measured.household, *measured.household_shown)
    yield from (amount for amount in found if amount is not None)
