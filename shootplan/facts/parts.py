"""
How much of an ingredient a text means: in a step the part used there, else the whole line.

A name with its recipe and step comes in, a ``StepShare`` goes out, or the ids between which the name cannot choose.
"""

from __future__ import annotations

from fractions import Fraction

from shootplan.facts.names import find_names
from shootplan.model.quantity import Amount
from shootplan.model.recipe import Step
from shootplan.model.resolved import Measured, ResolvedLine, ResolvedRecipe, Use
from shootplan.records import dataclass

__all__ = ["StepShare", "line_share", "step_share"]


@dataclass(frozen=True, slots=True, kw_only=True)
class StepShare:
    """
    What a name means at a place: ``key`` the line's id or the product's name, ``name`` the item's words.

    ``share`` is the part of the whole line, ``measured`` its amount; ``line`` is ``None`` for a product of a step.
    """

    key: str
    name: str
    line: ResolvedLine | None
    measured: Measured
    share: Fraction = Fraction(1)


def step_share(name: str, recipe: ResolvedRecipe, step: Step | None) -> StepShare | tuple[str, ...]:
    """Return what ``name`` means in a step (or the whole recipe): a share, or the ids it cannot choose between."""
    uses = recipe.uses_in(step.id) if step is not None else ()
    names = {_key(use): _words(use, recipe) for use in uses}
    found = find_names(name, names)
    if len(found) == 1:
        return _used(found[0], tuple(use for use in uses if _key(use) == found[0]), recipe)
    found = found or find_names(name, _all_names(recipe))
    return _whole(found[0], recipe) if len(found) == 1 else found


def line_share(line_id: str, recipe: ResolvedRecipe, step: Step) -> StepShare:
    """Return the part of a line that a step uses, which it does."""
    return _used(line_id, tuple(use for use in recipe.uses_in(step.id) if use.line == line_id), recipe)


def _key(use: Use) -> str:
    return use.line or use.product


def _words(use: Use, recipe: ResolvedRecipe) -> str:
    line = recipe.line(use.line)
    return line.line.item if line is not None else use.product


def _all_names(recipe: ResolvedRecipe) -> dict[str, str]:
    lines = {item.line.id: item.line.item for item in recipe.lines}
    return lines | {product.name: product.name for product in recipe.products if product.name not in lines}


def _whole(key: str, recipe: ResolvedRecipe) -> StepShare:
    line = recipe.line(key)
    if line is not None:
        return StepShare(key=key, name=line.line.item, line=line, measured=line.measured)
    product = next(item for item in recipe.products if item.name == key)
    amount = product.used or product.batch
    return StepShare(key=key, name=key, line=None, share=product.share_used, measured=Measured(metric=amount))


def _used(key: str, uses: tuple[Use, ...], recipe: ResolvedRecipe) -> StepShare:
    """Return the part used in a step; a portion that is only set aside counts where nothing else is used."""
    line = recipe.line(key)
    taken = tuple(use for use in uses if not use.is_held_back) or uses
    share = sum((use.share for use in taken), Fraction(0))
    measured = line.measured if line is not None and share == 1 else _together(taken)
    name = line.line.item if line is not None else key
    return StepShare(key=key, name=name, line=line, share=share, measured=measured)


def _together(uses: tuple[Use, ...]) -> Measured:
    """Return the sum of a few uses in one step: metric amounts add up, household ones stand side by side."""
    if len(uses) == 1:
        return uses[0].measured
    shown = tuple(use.measured for use in uses)
    return Measured(
        metric=_sum(tuple(item.metric for item in shown)),
        metric_shown=_sum(tuple(item.metric_shown for item in shown)),
        household_shown=tuple(amount for item in shown for amount in item.household_shown),
        household_size=shown[0].household_size,
    )


def _sum(amounts: tuple[Amount | None, ...]) -> Amount | None:
    known = [amount for amount in amounts if amount is not None]
    if len(known) < len(amounts) or len({amount.unit for amount in known}) != 1:
        return None
    return Amount(
        sum((item.low for item in known), Fraction(0)), sum((item.high for item in known), Fraction(0)), known[0].unit
    )
