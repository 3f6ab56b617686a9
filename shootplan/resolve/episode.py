"""
The whole episode resolved: lines, products, uses, and what scaling does not scale.

An episode comes in; a ``ResolvedEpisode`` and all problems, sorted by place, go out. Costs are another stage's.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction

from shootplan.model.episode import Episode
from shootplan.model.larder import OwnRow
from shootplan.model.recipe import Recipe, RecipeKind
from shootplan.model.resolved import Measured, ResolvedEpisode, ResolvedLine, ResolvedProduct, ResolvedRecipe, Use
from shootplan.problems import Problem, Severity
from shootplan.resolve.ledger import Ledger
from shootplan.resolve.lines import Desk, measure_part, resolve_line
from shootplan.resolve.measures import measured, with_whole_second
from shootplan.resolve.parts import Parts, ShareUsed, parts_of
from shootplan.resolve.prices import check_prices
from shootplan.resolve.things import Thing
from shootplan.resolve.units import spoon_sizes

__all__ = ["SCALING_FLAGS", "resolve_episode"]

#: What scaling leaves alone (rule A4): each needs the cook's own judgement.
SCALING_FLAGS = (
    "minutes are not scaled: go by the cue",
    "pan size is not scaled: check that it fits",
    "oven temperature is not scaled: go by the cue",
)


def resolve_episode(episode: Episode) -> tuple[ResolvedEpisode, tuple[Problem, ...]]:
    """
    Return the episode with every name tied, and all problems found on the way, sorted by place.

    A line that cannot be priced is a warning and stays unknown; a mention that names nothing or parts that do not add
    up are errors.
    """
    episode = replace(episode, recipes=tuple(_whole(episode, recipe) for recipe in episode.recipes))
    desk = Desk.of(episode)
    recipes = tuple(_resolve_recipe(desk, recipe) for recipe in episode.recipes)
    desk.problems.extend(check_prices(episode, desk.rows_used, desk.prices))
    desk.problems.extend(_check_batches(recipes))
    problems = sorted(desk.problems, key=lambda problem: problem.sort_key)
    return ResolvedEpisode(episode=episode, recipes=recipes), tuple(problems)


def _whole(episode: Episode, recipe: Recipe) -> Recipe:
    """Return the recipe with second measures that are sums ("¼ cup + 2 tbsp") as one amount."""
    return with_whole_second(recipe, recipe.measures or episode.measures)


def _resolve_recipe(desk: Desk, recipe: Recipe) -> ResolvedRecipe:
    system = desk.system(recipe)
    lines = tuple(resolve_line(desk, recipe, line) for line in recipe.lines)
    staples = frozenset(item.line.id for item in lines if item.is_staple)
    parts = parts_of(recipe, system=system, staples=staples)
    desk.problems.extend(parts.problems)
    by_id = {item.line.id: item for item in lines}
    return ResolvedRecipe(
        recipe=recipe,
        lines=lines,
        products=tuple(_product(parts, thing) for thing in parts.things if thing.is_product),
        uses=tuple(_use(parts, use, by_id, desk.episode.own_table) for use in parts.uses),
        measures=system,
        spoons=spoon_sizes(system),
        flags=SCALING_FLAGS if recipe.scale != 1 else (),
    )


# ------------------------------------------------------------------------------------------------ products, uses


def _product(parts: Parts, thing: Thing) -> ResolvedProduct:
    """Return a product with the share of its batch that is used, and what is left over."""
    ledger = parts.ledgers.get(thing.key, Ledger())
    share = ledger.total if ledger.total > 0 and thing.may_be_left_over else Fraction(1)
    batch = thing.measures[0].scaled(parts.recipe.scale) if thing.measures else None
    is_left = batch is not None and share < 1
    return ResolvedProduct(
        name=thing.name,
        made_by=thing.makers[0].id if thing.makers else "",
        group=thing.group.id if thing.group is not None else None,
        batch=batch,
        share_used=share,
        used=batch.scaled(share) if batch is not None else None,
        leftover=batch.scaled(1 - share) if batch is not None and is_left else None,
        is_optional=thing.is_optional,
    )


def _use(parts: Parts, use: ShareUsed, lines: dict[str, ResolvedLine], own: tuple[OwnRow, ...]) -> Use:
    thing = use.thing
    resolved = lines.get(thing.line.id) if thing.line is not None else None
    return Use(
        step=use.step.id,
        line=thing.line.id if thing.line is not None else "",
        product=thing.name if thing.is_product else "",
        share=use.share,
        measured=_measured_share(parts, use, resolved, own),
        is_held_back=use.is_held_back,
        from_held_back=use.from_held_back,
        is_optional=thing.is_optional or use.step.is_optional,
    )


def _measured_share(parts: Parts, use: ShareUsed, resolved: ResolvedLine | None, own: tuple[OwnRow, ...]) -> Measured:
    """Return a part in both measures; the whole line keeps the measures that it has."""
    scale = parts.recipe.scale
    if resolved is not None and use.thing.line is not None:
        if use.share == 1:
            return resolved.measured
        line, row = resolved.line, resolved.price
        return measure_part(line, row, system=parts.system, scale=scale, share=use.share, own=own)[0]
    if not use.thing.measures:
        return Measured()
    batch = use.thing.measures[0]
    return measured(batch, None, system=parts.system, density_g_per_ml=None, scale=scale, share=use.share)[0]


# ------------------------------------------------------------------------------------------------ whole episode


def _check_batches(recipes: Iterable[ResolvedRecipe]) -> list[Problem]:
    """Check that each sub-preparation recipe makes enough, and that none is made of itself."""
    known = tuple(recipes)
    found: list[Problem] = []
    for batch in known:
        if batch.recipe.kind is not RecipeKind.SUB_PREPARATION:
            continue
        taken = [line for recipe in known for line in recipe.lines if line.sub_recipe == batch.id]
        shares = [line.as_bought.high / line.pack.high for line in taken if line.as_bought and line.pack]
        if sum(shares) > 1:
            found.append(_too_small(batch, taken))
        if batch.id in _made_of(batch.id, known):
            found.append(_circular(batch))
    return found


def _too_small(batch: ResolvedRecipe, taken: list[ResolvedLine]) -> Problem:
    return Problem(
        span=batch.recipe.span,
        code="batch-too-small",
        message=f'the recipes use more of "{batch.recipe.title}" than one batch makes',
        severity=Severity.WARNING,
        hint="scale the sub-preparation, or use less of it",
        related=tuple(line.line.span for line in taken),
    )


def _circular(batch: ResolvedRecipe) -> Problem:
    message = f'"{batch.recipe.title}" is an ingredient of itself'
    return Problem(span=batch.recipe.span, code="batch-circular", message=message, hint="remove it from one of the two")


def _made_of(recipe_id: str, recipes: tuple[ResolvedRecipe, ...]) -> set[str]:
    """Return the sub-preparations that go into a recipe, near and far."""
    direct = {item.id: {line.sub_recipe for line in item.lines if line.sub_recipe} for item in recipes}
    seen: set[str] = set()
    waiting = sorted(direct.get(recipe_id, ()))
    while waiting:
        name = waiting.pop()
        if name not in seen:
            seen.add(name)
            waiting.extend(sorted(direct.get(name, ())))
    return seen
