"""
The page of the whole episode on the blog: what it cost, how long it takes, and a way to each recipe.

A publication comes in, ready strings go out; prose is CommonMark.
"""

from __future__ import annotations

from collections.abc import Sequence

from shootplan.model.show import range_text
from shootplan.records import dataclass
from shootplan.render.basis import Basis
from shootplan.render.care_text import part_texts
from shootplan.render.views_blog import BlogView
from shootplan.render.views_costing import price_note, price_with_options, serving_noun
from shootplan.render.views_times import episode_times

__all__ = ["BlogIndexView", "DishCard", "blog_index_view"]


@dataclass(frozen=True, slots=True, kw_only=True)
class DishCard:
    """One recipe of the episode, as its own page says it; ``allergens`` are sentences."""

    id: str
    title: str
    headnote: str
    price: str
    times: str
    serves: str
    allergens: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BlogIndexView:
    """The page; ``total`` and ``together`` are sentences, ``video`` an address or empty."""

    title: str
    headnote: str
    total: str
    price_note: str
    together: tuple[str, ...]
    dishes: tuple[DishCard, ...]
    video: str
    disclosure: str
    corrections: tuple[tuple[str, str], ...]


def blog_index_view(basis: Basis, pages: Sequence[BlogView]) -> BlogIndexView:
    """Return the page that gathers the recipes of the episode; ``pages`` are their own, in order."""
    episode = basis.episode
    printed = {item.key: item.value for item in episode.attributes}
    return BlogIndexView(
        title=episode.title,
        headnote=basis.publication.filled.headnote.printed or episode.headnote,
        total=_total(basis),
        price_note=price_note(basis, basis.publication.costs.recipes),
        together=_together(basis),
        dishes=tuple(_card(basis, page) for page in pages),
        video=episode.video,
        disclosure=printed.get("disclosure", ""),
        corrections=tuple((item.on.isoformat(), item.text) for item in episode.corrections),
    )


def _total(basis: Basis) -> str:
    """Return what one serving of each comes to, with and without options; empty for a single dish."""
    costs = basis.publication.costs
    if costs.head_core is None or len(basis.dishes) < 2:
        return ""
    at_least = not all(item.is_complete for item in costs.recipes)
    core = basis.printer.money(costs.head_core, at_least=at_least)
    everything = basis.printer.money(costs.head_with_options, at_least=at_least)
    options = f", {everything} with every option" if everything != core else ""
    return f"One serving of each: {core}{options}."


def _together(basis: Basis) -> tuple[str, ...]:
    """Return the times of all dishes in one go with one cook, exact, beside those one after the other (rule T4)."""
    times = basis.publication.times
    if len(basis.dishes) < 2:
        return ()
    active, free, elapsed = episode_times(times)
    cooks = "one cook" if times.cooks == 1 else f"{times.cooks} cooks"
    alone = range_text(times.sum_elapsed.low_s, times.sum_elapsed.high_s)
    return (
        f"Cooked in one go by {cooks}: hands-on {active}, hands free {free}, start to table {elapsed}.",
        f"One after the other: {alone}.",
    )


def _card(basis: Basis, page: BlogView) -> DishCard:
    recipe_id, cost = page.id, basis.cost(page.id)
    options = price_with_options(basis, cost)
    price = f"{basis.price(cost.core_per.per_hearty, cost)} a {serving_noun(basis, recipe_id)}"
    care = next((item for item in basis.publication.care if item.recipe == recipe_id), None)
    return DishCard(
        id=recipe_id,
        title=page.title,
        headnote=page.headnote,
        price=price + (f" ({options})" if options else ""),
        times=page.times_line,
        serves=page.serves,
        allergens=part_texts(care) if care is not None else (),
    )
