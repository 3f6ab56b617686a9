"""
What one recipe costs: lines, core, options, alternates (rules M1, M4 and M8 and the staples policy).

Resolved recipes come in, ``RecipeCost`` values go out, exact. Claims are judged elsewhere.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import field
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction

from shootplan.model.costing import AlternateCost, LineCost, OptionCost, RecipeCost, Servings
from shootplan.model.episode import PriceKind, PriceRow, StaplesPolicy
from shootplan.model.money import Cost, Money
from shootplan.model.recipe import Group, RecipeKind
from shootplan.model.resolved import ResolvedEpisode, ResolvedLine, ResolvedRecipe
from shootplan.records import dataclass

__all__ = ["Book", "basis_price", "is_optional_line", "servings_of", "share_used"]


def basis_price(row: PriceRow) -> Decimal:
    """Return what a pack costs for the published figures: the regular price, also of an offer that names it (M5)."""
    if row.kind is not PriceKind.REGULAR and row.regular_price is not None:
        return row.regular_price
    return row.price


def servings_of(recipe: ResolvedRecipe) -> Fraction:
    """Return the hearty servings of a recipe as scaled."""
    return recipe.recipe.serves.hearty * recipe.recipe.scale


def group_of(recipe: ResolvedRecipe, line: ResolvedLine) -> Group | None:
    """Return the sub-preparation that a line belongs to; a group that is only a heading is none."""
    return next((g for g in recipe.recipe.groups if g.id == line.line.group and g.makes is not None), None)


def is_optional_line(recipe: ResolvedRecipe, line: ResolvedLine) -> bool:
    """Return whether a line is an option, by itself or with its group."""
    groups = recipe.recipe.groups
    return line.line.is_optional or any(g.is_optional for g in groups if g.id == line.line.group)


def share_used(recipe: ResolvedRecipe, line: ResolvedLine) -> Fraction:
    """Return the part of a sub-preparation's batch that the recipe uses; 1 for a line outside of one (rule M4)."""
    group = group_of(recipe, line)
    shares = [p.share_used for p in recipe.products if group is not None and p.group == group.id]
    return shares[0] if shares else Fraction(1)


@dataclass(slots=True)
class Book:
    """Costs of an episode's recipes, each worked out once; ``cost`` is the way in."""

    resolved: ResolvedEpisode
    done: dict[str, RecipeCost] = field(default_factory=dict)
    open_batches: set[str] = field(default_factory=set)

    @property
    def currency(self) -> str:
        """The episode's currency."""
        return self.resolved.episode.currency

    def cost(self, recipe: ResolvedRecipe) -> RecipeCost:
        """Return the cost of a recipe (of a whole batch for a sub-preparation)."""
        if recipe.id not in self.done:
            self.open_batches.add(recipe.id)
            self.done[recipe.id] = _cost_recipe(self, recipe)
            self.open_batches.discard(recipe.id)
        return self.done[recipe.id]

    def batch(self, recipe_id: str) -> Cost | None:
        """Return what a batch costs, or ``None`` if that is not known or it is made of itself."""
        recipe = self.resolved.recipe(recipe_id)
        if recipe is None or recipe_id in self.open_batches:
            return None
        cost = self.cost(recipe)
        return cost.core if _is_core_complete(cost) else None

    def age_limit(self, row: PriceRow) -> bool:
        """Return whether a price is undated or older than the episode's limit."""
        if row.seen is None:
            return True
        episode = self.resolved.episode
        return episode.shoot_date - row.seen > timedelta(days=episode.max_price_age_days)


def _is_core_complete(cost: RecipeCost) -> bool:
    return all(item.line.line.id not in cost.missing or item.is_optional for item in cost.lines)


# ------------------------------------------------------------------------------------------------ one recipe


def _cost_recipe(book: Book, recipe: ResolvedRecipe) -> RecipeCost:
    lines = tuple(_cost_line(book, recipe, line) for line in recipe.lines)
    serves = recipe.recipe.serves
    flat = _flat_staples(book, recipe)
    core = _total(book, (item for item in lines if not item.is_optional)) + (flat or Cost.zero(book.currency))
    with_options = core + _total(book, (item for item in lines if item.is_optional))
    rows = [item.line.price for item in lines if item.line.price is not None and not item.is_left_out]
    return RecipeCost(
        recipe=recipe.id,
        hearty=int(servings_of(recipe)),
        small=int(serves.small * recipe.recipe.scale) if serves.small is not None else None,
        lines=lines,
        core=core,
        with_options=with_options,
        core_per=_per(recipe, core),
        with_options_per=_per(recipe, with_options),
        options=_options(recipe, lines, core),
        alternates=_alternates(book, recipe, lines),
        missing=tuple(item.line.line.id for item in lines if item.cost is None and not item.line.is_not_costed),
        not_costed=tuple(item.line.line.id for item in lines if item.line.is_not_costed),
        offers=_items(row for row in rows if row.kind is not PriceKind.REGULAR and row.regular_price is None),
        stale=_items(row for row in rows if book.age_limit(row)),
        guessed=_items(row for row in rows if row.source.casefold().startswith("guess")),
        estimated=_items(i.line.price for i in lines if i.line.is_estimated and not i.is_left_out and i.line.price),
        staples_flat=flat,
        is_sub_preparation=recipe.recipe.kind is RecipeKind.SUB_PREPARATION,
    )


def _items(rows: Iterable[PriceRow]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(row.item for row in rows))


def _total(book: Book, lines: Iterable[LineCost]) -> Cost:
    """Return the sum of what is known; ``RecipeCost.missing`` says that there is more."""
    total = Cost.zero(book.currency)
    for item in lines:
        if item.cost is not None:
            total += item.cost
    return total


def _per(recipe: ResolvedRecipe, cost: Cost) -> Servings:
    small = recipe.recipe.serves.small
    return Servings(
        per_hearty=cost.times(1 / servings_of(recipe)),
        per_small=cost.times(1 / (small * recipe.recipe.scale)) if small else None,
    )


def _flat_staples(book: Book, recipe: ResolvedRecipe) -> Cost | None:
    """Return the flat sum for staples, so much a hearty serving, or ``None`` under another policy."""
    episode = book.resolved.episode
    if episode.staples is not StaplesPolicy.FLAT or recipe.recipe.kind is RecipeKind.SUB_PREPARATION:
        return None
    return Cost(Fraction(episode.staples_flat), book.currency).times(servings_of(recipe))


def _cost_line(book: Book, recipe: ResolvedRecipe, line: ResolvedLine) -> LineCost:
    """Return the cost used of a line: as bought / pack x price x share of the batch used (rules M1 and M4)."""
    is_left_out = line.is_staple and book.resolved.episode.staples is not StaplesPolicy.COUNT
    share = share_used(recipe, line)
    known = _full_cost(book, line)
    cost = Cost.zero(book.currency) if is_left_out else known.times(share) if known is not None else None
    group = group_of(recipe, line)
    row = line.price
    return LineCost(
        line=line,
        cost=cost,
        pack_price=Money(basis_price(row), row.currency) if row is not None else None,
        is_left_out=is_left_out,
        is_optional=is_optional_line(recipe, line),
        group=group.id if group is not None else None,
        share=share,
    )


def _full_cost(book: Book, line: ResolvedLine) -> Cost | None:
    """Return the cost of all that is bought of a line, ``None`` where it cannot be known."""
    if line.is_free:
        return Cost.zero(book.currency)
    if line.as_bought is None or line.pack is None or line.unpriced_because or line.is_not_costed:
        return None
    part = line.as_bought.high / line.pack.high
    if line.sub_recipe:
        batch = book.batch(line.sub_recipe)
        return batch.times(part) if batch is not None else None
    if line.price is None:
        return None
    return Cost(Fraction(basis_price(line.price)) * part, line.price.currency)


# ------------------------------------------------------------------------------------------------ options


def _options(recipe: ResolvedRecipe, lines: tuple[LineCost, ...], core: Cost) -> tuple[OptionCost, ...]:
    """Return each option alone: a line, or all lines of an optional sub-preparation."""
    together: dict[str, list[LineCost]] = {}
    for item in lines:
        if item.is_optional:
            together.setdefault(item.group or f"line {item.line.line.id}", []).append(item)
    return tuple(_option(recipe, members, core) for members in together.values())


def _option(recipe: ResolvedRecipe, members: list[LineCost], core: Cost) -> OptionCost:
    costs = [item.cost for item in members if not item.line.is_not_costed]
    cost = sum((c.exact for c in costs if c is not None), Fraction(0))
    is_known = bool(costs) and all(c is not None for c in costs)
    group = group_of(recipe, members[0].line)
    return OptionCost(
        line=members[0].line,
        cost=Cost(cost, core.currency) if is_known else None,
        per_serving_with=Cost(core.exact + cost, core.currency).times(1 / servings_of(recipe)),
        name=_in_a_sentence(group.title) if group is not None else members[0].line.line.item,
        group=members[0].group,
        lines=tuple(item.line for item in members),
    )


def _in_a_sentence(title: str) -> str:
    """Return a group's title as it stands inside a sentence: "Pickled red onion" as "pickled red onion"."""
    return title[:1].lower() + title[1:] if title[1:2].islower() else title


def _alternates(book: Book, recipe: ResolvedRecipe, lines: tuple[LineCost, ...]) -> tuple[AlternateCost, ...]:
    return tuple(_alternate(book, recipe, item, alternate) for item in lines for alternate in item.line.alternates)


def _alternate(book: Book, recipe: ResolvedRecipe, base: LineCost, alternate: ResolvedLine) -> AlternateCost:
    """Return what changes if the alternate is taken: cost of the recipe and of a serving, allergens."""
    other = _cost_line(book, recipe, alternate)
    delta = other.cost - base.cost if other.cost is not None and base.cost is not None else None
    return AlternateCost(
        base=base.line,
        alternate=alternate,
        delta=delta,
        per_serving_delta=delta.times(1 / servings_of(recipe)) if delta is not None else None,
        allergens_added=tuple(a for a in alternate.allergens if a not in base.line.allergens),
        allergens_removed=tuple(a for a in base.line.allergens if a not in alternate.allergens),
    )
