"""
How the figures of an ingredient came about, sentence by sentence: the line, its price row, its cost, then the larder.

A resolved episode and a few words come in, sentences with their sources go out.
"""

from __future__ import annotations

from shootplan.larder import explain
from shootplan.larder.text import find_phrase, words
from shootplan.model.costing import EpisodeCost
from shootplan.model.money import half_up
from shootplan.model.resolved import ResolvedEpisode, ResolvedLine, ResolvedRecipe
from shootplan.model.show import amount_text, bought_text, number_text

__all__ = ["explain_lines"]


def explain_lines(resolved: ResolvedEpisode, costs: EpisodeCost, ingredient: str) -> tuple[str, ...]:
    """Return the sentences for every line whose item contains these words, or what the larder alone knows of them."""
    found = [
        (recipe, line)
        for recipe in resolved.recipes
        for line in recipe.lines
        if find_phrase(words(ingredient), words(line.line.item)) >= 0
    ]
    if not found:
        return (f'"{ingredient}" stands in no line of the episode', *explain(ingredient))
    sentences: list[str] = []
    for recipe, line in found:
        sentences += _of_line(costs, recipe, line)
    return tuple(sentences)


def _of_line(costs: EpisodeCost, recipe: ResolvedRecipe, line: ResolvedLine) -> list[str]:
    source = line.line
    said = [f"{recipe.recipe.title}: {source.text or source.item} [{source.span}]"]
    said += [f"  {text}" for text in (*_price(line), *_cost(costs, recipe, line))]
    measure = next((a.unit for a in (source.second, source.amount) if a is not None and a.unit not in ("g", "ml")), "")
    return said + [f"  {text}" for text in explain(f"{source.item} {source.form}".strip(), measure=measure)]


def _price(line: ResolvedLine) -> list[str]:
    if line.is_free:
        return ["costs nothing: water"]
    if line.is_not_costed:
        return ["not costed: to taste, without an amount"]
    if line.price is None or line.as_bought is None or line.pack is None:
        return [f"not priced: {line.unpriced_because}"]
    row = line.price
    seen = f", seen {row.seen}" if row.seen is not None else ", undated"
    said = [
        f"price: {row.price} {row.currency} for {amount_text(line.pack)}, {row.shop or 'no shop'}{seen} [{row.span}]"
    ]
    if line.yield_percent != 100:
        said.append(
            f"as bought: {bought_text(line.as_bought)}, the amount divided by {number_text(line.yield_percent)} %"
        )
    else:
        said.append(f"as bought: {bought_text(line.as_bought)}")
    if line.weight_source:
        said.append(f"weight from: {line.weight_source}")
    return said


def _cost(costs: EpisodeCost, recipe: ResolvedRecipe, line: ResolvedLine) -> list[str]:
    counted = costs.recipe(recipe.id)
    found = next((item for item in counted.lines if item.line == line), None) if counted is not None else None
    if found is None or found.cost is None or found.pack_price is None or line.as_bought is None or line.pack is None:
        return []
    price = f"{found.pack_price.amount} {found.pack_price.currency}"
    share = f", {number_text(found.share * 100)} % of the batch" if found.share != 1 else ""
    part = f"{bought_text(line.as_bought)} of {amount_text(line.pack)} at {price}{share}"
    return [f"cost used: {half_up(found.cost.exact, 4)} {found.cost.currency} = {part}"]
