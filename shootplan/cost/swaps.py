"""
What the ingredients of a duplicate cost, and how much of each line it takes.

A resolved recipe, its costs and the steps that the duplicate goes through come in; an exact cost goes out. It is no
part of any published cost (rule M3).
"""

from __future__ import annotations

from collections.abc import Collection
from fractions import Fraction

from shootplan.cost.recipes import is_optional_line
from shootplan.model.costing import RecipeCost
from shootplan.model.money import Cost
from shootplan.model.resolved import ResolvedRecipe

__all__ = ["duplicate_cost", "duplicate_shares"]


def duplicate_shares(recipe: ResolvedRecipe, steps: Collection[str]) -> tuple[tuple[str, Fraction], ...]:
    """
    Return (line id, share of the line) of what some steps use up, in the order of the lines; options are left out.

    What is only held back there is not used up; what was held back is, where it goes in.
    """
    shares: dict[str, Fraction] = {}
    for use in recipe.uses:
        if use.line and use.step in steps and not use.is_held_back:
            shares[use.line] = shares.get(use.line, Fraction(0)) + use.share
    return tuple(
        (line.line.id, shares[line.line.id])
        for line in recipe.lines
        if shares.get(line.line.id) and not is_optional_line(recipe, line)
    )


def duplicate_cost(recipe: ResolvedRecipe, cost: RecipeCost, steps: Collection[str]) -> tuple[Cost, tuple[str, ...]]:
    """Return the exact cost of what some steps use up, and the items of it that have no price (then "at least")."""
    total = Cost.zero(cost.core.currency)
    unpriced: list[str] = []
    lines = {item.line.line.id: item for item in cost.lines}
    for line_id, share in duplicate_shares(recipe, steps):
        item = lines.get(line_id)
        if item is None or item.cost is None:
            unpriced.append(item.line.line.item if item is not None else line_id)
        else:
            total += item.cost.times(share)
    return total, tuple(unpriced)
