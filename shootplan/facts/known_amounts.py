"""
The amounts, counts and shares that a recipe has for what a text names, and whether a typed one is among them.

Words and a resolved recipe come in; amounts go out. Units of one kind compare exactly; spoons and cups against
millilitres, and ounces against grams, within 5 %, because cooks round there.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from shootplan.facts.names import find_names, name_words
from shootplan.facts.parts import StepShare, step_share
from shootplan.model.quantity import Amount
from shootplan.model.recipe import Step
from shootplan.model.resolved import Measured, ResolvedRecipe, Use

__all__ = ["find_line", "find_line_before", "fits", "is_comparable", "known_amounts", "known_shares", "used_here"]

#: How many of a smaller unit one unit holds, where it is the same everywhere.
_BASE: dict[str, tuple[str, Fraction]] = {
    "mg": ("g", Fraction(1, 1000)),
    "kg": ("g", Fraction(1000)),
    "cl": ("ml", Fraction(10)),
    "dl": ("ml", Fraction(100)),
    "l": ("ml", Fraction(1000)),
    "can": ("tin", Fraction(1)),
}
#: Grams and millilitres of the other measures. Ounce and pound: NIST Handbook 44, Appendix C.
_ABOUT: dict[str, tuple[str, Fraction]] = {
    "oz": ("g", Fraction(45359237, 1600000)),
    "lb": ("g", Fraction(45359237, 100000)),
    "tsp": ("ml", Fraction(5)),
    "tbsp": ("ml", Fraction(15)),
}
_CUPS = {"metric": Fraction(250), "Australian": Fraction(250), "dl": Fraction(100), "US label": Fraction(240)}
_US_CUP = Fraction(473176473, 2000000)
_NEAR = Fraction(5, 100)


def find_line(words: str, recipe: ResolvedRecipe, step: Step | None = None) -> str | None:
    """
    Return the id of the line, or the name of the product, that the words begin with: the longest run of them that names
    just one; up to two words of praise or size may come first ("spotty bananas"). What the step uses goes first.
    """
    if not words:
        return None
    names, parts = _names(recipe), words.split()
    if step is not None:
        keys = {use.line or use.product for use in recipe.uses_in(step.id)}
        here = _begun({key: name for key, name in names.items() if key in keys}, parts)
        if here is not None:
            return here
    return _begun(names, parts)


def _begun(names: dict[str, str], parts: list[str]) -> str | None:
    for skipped in range(min(3, len(parts))):
        for count in range(len(parts), skipped, -1):
            key = _only(parts[skipped:count], names)
            if key is not None:
                return key
    return None


def find_line_before(words: str, recipe: ResolvedRecipe) -> str | None:
    """Return the id of the line, or the name of the product, that the words end with."""
    if not words:
        return None
    names, parts = _names(recipe), words.split()
    keys = (_only(parts[start:], names) for start in range(len(parts)))
    return next((key for key in keys if key is not None), None)


def _names(recipe: ResolvedRecipe) -> dict[str, str]:
    names = {line.line.id: line.line.item for line in recipe.lines}
    return names | {product.name: product.name for product in recipe.products if product.name not in names}


def _only(parts: list[str], names: dict[str, str]) -> str | None:
    """Return the one thing that the words name whole: "butter" is not "butter beans"."""
    found = find_names(" ".join(parts), names)
    if len(found) == 1 and name_words(names[found[0]])[-1:] == name_words(parts[-1])[-1:]:
        return found[0]
    return None


def used_here(key: str, recipe: ResolvedRecipe, step: Step | None) -> tuple[Use, ...]:
    """Return what the step uses of a line or product."""
    uses = recipe.uses_in(step.id) if step is not None else ()
    return tuple(use for use in uses if key in (use.line, use.product))


def known_amounts(key: str, recipe: ResolvedRecipe, step: Step | None) -> tuple[Amount, ...]:
    """
    Return every amount that may be said of a line or product at a place.

    In a step that uses a part of it: that part, each alone and all together. Elsewhere: the whole and every part.
    """
    here = used_here(key, recipe, step)
    if here and sum((use.share for use in here), Fraction(0)) != 1:
        share = step_share(key, recipe, step)
        together = _amounts(share.measured) if isinstance(share, StepShare) else ()
        return tuple(dict.fromkeys((*together, *(amount for use in here for amount in _amounts(use.measured)))))
    return tuple(dict.fromkeys(_anywhere(key, recipe)))


def _anywhere(key: str, recipe: ResolvedRecipe) -> Iterator[Amount]:
    line = recipe.line(key)
    if line is not None:
        source, own = line.line, recipe.recipe.scale == 1
        typed = (source.amount, source.second, source.each, source.drained) if own else ()
        yield from (amount for amount in typed if amount is not None)
        yield from _amounts(line.measured)
    for product in recipe.products:
        if product.name == key:
            yield from (item for item in (product.used, product.batch, product.leftover) if item is not None)
    for use in recipe.uses:
        if key in (use.line, use.product):
            yield from _amounts(use.measured)


def _amounts(measured: Measured) -> tuple[Amount, ...]:
    found = (measured.metric, measured.metric_shown, measured.household, *measured.household_shown)
    return tuple(amount for amount in found if amount is not None)


def known_shares(key: str, recipe: ResolvedRecipe, step: Step | None) -> tuple[Fraction, ...]:
    """Return the shares of a line or product that are used: in this step if it uses any, else in any step."""
    here = used_here(key, recipe, step) or tuple(use for use in recipe.uses if key in (use.line, use.product))
    return tuple(dict.fromkeys(use.share for use in here))


# ---------------------------------------------------------------------------------------------------- comparing


def is_comparable(unit: str, amount: Amount, measures: str) -> bool:
    """Return whether a typed unit measures what the amount's unit does."""
    return _in_base(Fraction(1), unit)[1] == _in_base(Fraction(1), amount.unit)[1] or _about(
        Fraction(1), unit, measures
    )[1] == (_about(Fraction(1), amount.unit, measures)[1] or "none")


def fits(low: Fraction, high: Fraction, unit: str, amount: Amount, measures: str, *, slack: Fraction) -> bool:
    """Return whether a typed amount lies in a known one, ``slack`` (a share) wider at both ends."""
    ends = [_in_base(value, unit) for value in (low, high)]
    known = [_in_base(value, amount.unit) for value in (amount.low, amount.high)]
    if ends[0][1] != known[0][1]:
        ends, slack = [_about(value, unit, measures) for value in (low, high)], max(slack, _NEAR)
        known = [_about(value, amount.unit, measures) for value in (amount.low, amount.high)]
    if ends[0][1] != known[0][1] or (not ends[0][1] and unit != amount.unit):
        return False
    return known[0][0] * (1 - slack) <= ends[0][0] and ends[1][0] <= known[1][0] * (1 + slack)


def _in_base(value: Fraction, unit: str) -> tuple[Fraction, str]:
    base, factor = _BASE.get(unit, (unit, Fraction(1)))
    return value * factor, base


def _about(value: Fraction, unit: str, measures: str) -> tuple[Fraction, str]:
    """Return the value in grams or millilitres and which, or an empty unit."""
    value, base = _in_base(value, unit)
    if base == "cup":
        return value * _CUPS.get(measures, _US_CUP), "ml"
    if base == "tbsp" and measures == "Australian":
        return value * 20, "ml"
    if base in ("g", "ml"):
        return value, base
    name, factor = _ABOUT.get(base, ("", Fraction(1)))
    return value * factor, name
