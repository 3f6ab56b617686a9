"""
The figure that a price claim speaks of, and what it is made of.

A claim and the costs come in; the exact figure, the recipes behind it and the weight of each line in it go out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction

from shootplan.cost.recipes import servings_of
from shootplan.model.costing import AlternateCost, EpisodeCost, LineCost, RecipeCost
from shootplan.model.episode import Claim, ClaimScope, ClaimWord
from shootplan.model.money import Cost, half_up
from shootplan.model.resolved import ResolvedEpisode, ResolvedRecipe
from shootplan.records import dataclass

__all__ = ["Contribution", "Dish", "Subject", "ceiling", "is_ceiling", "mean", "subject_of", "total"]


@dataclass(frozen=True, slots=True)
class Dish:
    """A recipe with its cost."""

    recipe: ResolvedRecipe
    cost: RecipeCost

    def per_serving(self, claim: Claim) -> Cost:
        """Return the cost of a serving that the claim speaks of: hearty or small, with options or without."""
        per = self.cost.with_options_per if claim.with_options else self.cost.core_per
        return per.per_small if claim.is_small and per.per_small is not None else per.per_hearty

    def lines(self, claim: Claim) -> tuple[LineCost, ...]:
        """Return the lines that the claim covers: the core, then the options if it includes them."""
        core = [item for item in self.cost.lines if not item.is_optional]
        options = [item for item in self.cost.lines if item.is_optional and claim.with_options]
        return (*core, *options)

    def missing(self, claim: Claim) -> tuple[str, ...]:
        """Return the covered lines without a price, by item."""
        return tuple(i.line.line.item for i in self.lines(claim) if i.line.line.id in self.cost.missing)

    def alternates(self, claim: Claim) -> tuple[AlternateCost, ...]:
        """Return the alternates of covered lines."""
        covered = {item.line.line.id for item in self.lines(claim)}
        return tuple(item for item in self.cost.alternates if item.base.line.id in covered)


@dataclass(frozen=True, slots=True)
class Contribution:
    """What one line adds to the figure: ``per_unit`` is the figure's change for one unit of currency in the line."""

    dish: Dish
    line: LineCost
    weight: Fraction

    @property
    def part(self) -> Fraction:
        """The line's part of the figure, exact; a line without a cost adds nothing that is known."""
        return self.line.cost.exact * self.weight if self.line.cost is not None else Fraction(0)


@dataclass(frozen=True, slots=True)
class Subject:
    """What a claim speaks of: its dishes, and the exact figure over them."""

    claim: Claim
    dishes: tuple[Dish, ...]
    figure: Cost

    def each(self) -> Iterator[tuple[Dish, Cost]]:
        """Yield each dish with its cost of a serving."""
        for dish in self.dishes:
            yield dish, dish.per_serving(self.claim)

    def dearest(self) -> Dish:
        """Return the dish with the dearest serving, the first of several."""
        return max(self.dishes, key=lambda dish: dish.per_serving(self.claim).exact)

    def behind(self) -> tuple[Dish, ...]:
        """Return the dishes whose lines make up the figure: all of them, or of "every" the dearest."""
        return (self.dearest(),) if self.claim.scope is ClaimScope.EVERY else self.dishes

    def contributions(self) -> tuple[Contribution, ...]:
        """Return what each covered line adds: core lines of all dishes first, then options."""
        count = len(self.dishes) if self.claim.scope is ClaimScope.AVERAGE else 1
        found = [
            Contribution(dish, line, 1 / (_servings(dish, self.claim) * count))
            for dish in self.behind()
            for line in dish.lines(self.claim)
        ]
        return tuple(sorted(found, key=lambda item: item.line.is_optional))

    def flat(self) -> Fraction:
        """Return the flat sum for staples that is in the figure."""
        count = len(self.dishes) if self.claim.scope is ClaimScope.AVERAGE else 1
        flats = [(dish, dish.cost.staples_flat) for dish in self.behind()]
        return sum((f.exact / (_servings(d, self.claim) * count) for d, f in flats if f is not None), Fraction(0))


def _servings(dish: Dish, claim: Claim) -> Fraction:
    small = dish.recipe.recipe.serves.small
    if claim.is_small and small:
        return small * dish.recipe.recipe.scale
    return servings_of(dish.recipe)


def subject_of(claim: Claim, resolved: ResolvedEpisode, costs: EpisodeCost) -> Subject | None:
    """Return what a claim speaks of, or ``None`` if the episode has no such recipe."""
    dishes = tuple(Dish(recipe, cost) for recipe, cost in zip(resolved.recipes, costs.recipes, strict=True))
    if claim.scope is ClaimScope.RECIPE:
        key = claim.recipe.casefold()
        dishes = tuple(d for d in dishes if key in (d.recipe.id.casefold(), d.recipe.recipe.title.casefold()))
    else:
        dishes = tuple(dish for dish in dishes if not dish.cost.is_sub_preparation)
    if not dishes:
        return None
    per = [dish.per_serving(claim).exact for dish in dishes]
    return Subject(claim, dishes, Cost(_FIGURES[claim.scope](per), costs.currency))


def mean(per: list[Fraction]) -> Fraction:
    """Return the exact mean of costs of a serving."""
    return total(per) / len(per)


def total(per: list[Fraction]) -> Fraction:
    """Return the exact sum of costs of a serving."""
    return sum(per, Fraction(0))


_FIGURES: dict[ClaimScope, Callable[[list[Fraction]], Fraction]] = {
    ClaimScope.RECIPE: max,
    ClaimScope.EVERY: max,
    ClaimScope.AVERAGE: mean,
    ClaimScope.TOTAL: total,
}


def ceiling(claim: Claim, places: int) -> Fraction:
    """
    Return the exact cost that an "under" claim must stay below to be printed below its limit.

    A printed figure is rounded half up, so what counts is half a minor unit below the limit (rules M5 and M6).
    """
    minor = Fraction(1, 10**places)
    limit = Fraction(claim.limit)
    on_grid = Fraction(half_up(limit, places))
    if on_grid < limit:
        on_grid += minor
    return on_grid - minor / 2


def is_ceiling(claim: Claim) -> bool:
    """Return whether the claim sets a ceiling."""
    return claim.word in (ClaimWord.UNDER, ClaimWord.JUST_UNDER)
