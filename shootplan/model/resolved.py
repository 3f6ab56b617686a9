"""
What ``resolve`` makes of a recipe: names tied to things, units to base units, both measures rounded for showing.

Later stages need no unit registry: every shown amount is computed here, once.
"""

from __future__ import annotations

from dataclasses import field
from fractions import Fraction

from shootplan.model.episode import Episode, PriceRow
from shootplan.model.quantity import Amount
from shootplan.model.recipe import IngredientLine, Recipe, Step
from shootplan.model.rounding import SpoonSizes
from shootplan.records import dataclass

__all__ = ["Measured", "MeasuredFrom", "ResolvedEpisode", "ResolvedLine", "ResolvedProduct", "ResolvedRecipe", "Use"]


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredFrom:
    """
    What an amount in both measures was made from, before scaling: what a page needs to make it anew for others.

    ``metric`` is exact, the author's own if ``is_metric_typed``, else derived; ``household`` is the author's own, its
    measures as typed in ``typed``; ``volume`` are millilitres where a household measure is to be derived. ``share`` is
    the part of the line that is meant.
    """

    metric: Amount | None = None
    is_metric_typed: bool = False
    household: Amount | None = None
    typed: tuple[Amount, ...] = ()
    volume: Amount | None = None
    is_tight: bool = False
    share: Fraction = Fraction(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """
    One amount in both measures, exact and as it may be shown.

    ``metric`` and ``household`` are exact; ``metric_shown`` and ``household_shown`` are rounded by rules A2 and A3
    (``household_shown`` is a sum where a split is needed: "1/4 tsp + 1/8 tsp"). Either may be absent when the
    item's density is unknown. ``flags`` are words for the cook ("half an egg: ask").
    """

    metric: Amount | None = None
    household: Amount | None = None
    metric_shown: Amount | None = None
    household_shown: tuple[Amount, ...] = ()
    household_size: str = ""
    flags: tuple[str, ...] = ()
    source: MeasuredFrom | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class ResolvedLine:
    """
    An ingredient line with its price row and its amounts, scaled to the servings wanted.

    ``as_bought`` is what is bought of it, in a unit of the price row's pack (rule M1: prepared / yield; upper end of
    a range, M8); ``pack`` is the pack in the same unit. Both are ``None`` without a price row, and
    ``unpriced_because`` then says why. ``sub_recipe`` is set where the item is another recipe's batch, which
    ``pack`` then is. ``weight_source`` names the rung and the table behind a weight that neither the author nor the
    price book gives; ``is_estimated`` marks one that is a category's median. ``allergens`` are groups of Regulation
    (EU) No 1169/2011 Annex II that the name suggests and what the
    price book says; only the label decides.
    """

    line: IngredientLine
    measured: Measured
    price: PriceRow | None = None
    as_bought: Amount | None = None
    pack: Amount | None = None
    yield_percent: Fraction = Fraction(100)
    is_staple: bool = False
    is_free: bool = False
    is_not_costed: bool = False
    unpriced_because: str = ""
    weight_source: str = ""
    is_estimated: bool = False
    sub_recipe: str = ""
    alternates: tuple[ResolvedLine, ...] = ()
    allergens: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ResolvedProduct:
    """
    An intermediate product: made by a step (or a group's last ``makes``), used by others.

    ``share_used`` is the part of the batch that the recipe uses (1 where everything is used); ``leftover`` the rest.
    """

    name: str
    made_by: str
    group: str | None = None
    batch: Amount | None = None
    share_used: Fraction = Fraction(1)
    used: Amount | None = None
    leftover: Amount | None = None
    is_optional: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """
    One use of a line or product in a step.

    ``share`` is the part of the whole line; ``measured`` the amount in both measures. ``is_held_back`` marks the
    setting-aside, ``from_held_back`` the later use of that portion, ``is_optional`` follows the line.
    """

    step: str
    line: str = ""
    product: str = ""
    share: Fraction = Fraction(1)
    measured: Measured = Measured()
    is_held_back: bool = False
    from_held_back: bool = False
    is_optional: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ResolvedRecipe:
    """
    A recipe whose names are tied; ``uses`` in step order, ``core_steps`` without optional ones.

    ``spoons`` are the sizes of its measure system.
    """

    recipe: Recipe
    lines: tuple[ResolvedLine, ...]
    products: tuple[ResolvedProduct, ...] = ()
    uses: tuple[Use, ...] = ()
    measures: str = "US customary"
    spoons: SpoonSizes = field(default_factory=SpoonSizes, compare=False, repr=False)
    flags: tuple[str, ...] = ()

    @property
    def id(self) -> str:
        """The recipe's id."""
        return self.recipe.id

    @property
    def core_steps(self) -> tuple[Step, ...]:
        """The steps that the core recipe needs, without optional ones."""
        return tuple(step for step in self.recipe.steps if not step.is_optional)

    def line(self, line_id: str) -> ResolvedLine | None:
        """Return the resolved line of that id, or ``None``."""
        return next((item for item in self.lines if item.line.id == line_id), None)

    def uses_in(self, step_id: str) -> tuple[Use, ...]:
        """Return what a step uses, in the order of its mentions."""
        return tuple(use for use in self.uses if use.step == step_id)


@dataclass(frozen=True, slots=True, kw_only=True)
class ResolvedEpisode:
    """The whole episode, resolved, recipes in screen order."""

    episode: Episode
    recipes: tuple[ResolvedRecipe, ...]

    def recipe(self, recipe_id: str) -> ResolvedRecipe | None:
        """Return the resolved recipe of that id, or ``None``."""
        return next((item for item in self.recipes if item.id == recipe_id), None)
