"""
The description that goes under the finished video: plain text to paste.

A publication comes in, ready lines go out; the template only lays them out. Claim and link stand in the first two
lines, which is all that most viewers see; a disclosure follows them at once. Only claims that may be made are said.
"""

from __future__ import annotations

from shootplan.model.chapters import Chapter, chapters_of
from shootplan.model.costing import ClaimVerdict, RecipeCost
from shootplan.model.episode import ClaimScope, ClaimWord
from shootplan.model.show import running_text
from shootplan.records import dataclass
from shootplan.render.basis import Basis
from shootplan.render.care_text import part_texts
from shootplan.render.views_costing import price_note, price_with_options, second_currency, serving_noun

__all__ = ["NO_LINK", "DescriptionView", "description_view"]

#: What stands where the address of the written recipes belongs until the episode has ``link:``.
NO_LINK = "[put the link to the blog page here]"
#: Which claim leads: the widest one.
_WIDEST = (ClaimScope.TOTAL, ClaimScope.EVERY, ClaimScope.AVERAGE, ClaimScope.RECIPE)


@dataclass(frozen=True, slots=True, kw_only=True)
class DescriptionView:
    """
    The description; every string is one line.

    ``prices`` are the dishes that have no chapter of their own; ``allergens`` are (dish, sentences).
    """

    claim: str
    link: str
    disclosure: str
    chapters: tuple[str, ...]
    prices: tuple[str, ...]
    total: str
    price_note: str
    allergens: tuple[tuple[str, str], ...]
    corrections: tuple[tuple[str, str], ...]


def description_view(basis: Basis) -> DescriptionView:
    """Return the description of the video: chapters are those of the cut that the publication holds."""
    chapters = chapters_of(basis.publication.cut)
    dishes = tuple(cost for cost in basis.publication.costs.recipes if not cost.is_sub_preparation)
    own = {item.recipes[0] for item in chapters if len(item.recipes) == 1}
    printed = {item.key: item.value for item in basis.episode.attributes}
    link = printed.get("link", "")
    return DescriptionView(
        claim=_flat(_claim(basis, dishes)),
        link=_flat(f"Recipes, amounts and full costing: {link or NO_LINK}"),
        disclosure=_flat(printed.get("disclosure", "")),
        chapters=tuple(_flat(_chapter(basis, item)) for item in chapters),
        prices=tuple(
            _flat(f"{basis.title(cost.recipe)}: {_price(basis, cost)}") for cost in dishes if cost.recipe not in own
        ),
        total=_flat(_total(basis, dishes)),
        price_note=_flat(price_note(basis, dishes)),
        allergens=tuple(_allergens(basis, dishes)),
        corrections=tuple((item.on.isoformat(), _flat(item.text)) for item in basis.episode.corrections),
    )


def _claim(basis: Basis, dishes: tuple[RecipeCost, ...]) -> str:
    """Return the widest price claim that may be made, else what a serving costs."""
    verdicts = [
        verdict
        for verdict in basis.publication.costs.verdicts
        if verdict.is_allowed and verdict.wording and verdict.claim.word is not ClaimWord.WITHIN_MINUTES
    ]
    if not verdicts:
        return f"{basis.episode.title}: {_figures(basis, dishes)}"
    best = min(verdicts, key=lambda verdict: _WIDEST.index(verdict.claim.scope))
    return f"{_subject(basis, best)}: {best.wording}"


def _subject(basis: Basis, verdict: ClaimVerdict) -> str:
    claim = verdict.claim
    return basis.title(claim.recipe) if claim.scope is ClaimScope.RECIPE else basis.episode.title


def _figures(basis: Basis, dishes: tuple[RecipeCost, ...]) -> str:
    if len(dishes) == 1:
        (cost,) = dishes
        return (
            f"{basis.price(cost.core_per.per_hearty, cost)} a {serving_noun(basis, cost.recipe)}{_options(basis, cost)}"
        )
    return _total(basis, dishes) or "what it costs, dish by dish"


def _chapter(basis: Basis, chapter: Chapter) -> str:
    """Return "0:24 Leek bake £1.28 (£1.33 with parsley)"; a chapter of several dishes has no price in its line."""
    line = f"{running_text(chapter.start_ms)} {chapter.title}"
    cost = basis.publication.costs.recipe(chapter.recipes[0]) if len(chapter.recipes) == 1 else None
    return line if cost is None or cost.is_sub_preparation else f"{line} {_price(basis, cost)}"


def _price(basis: Basis, cost: RecipeCost) -> str:
    noun = serving_noun(basis, cost.recipe)
    per = "" if noun == "serving" else f" a {noun}"
    return f"{basis.price(cost.core_per.per_hearty, cost)}{per}{_options(basis, cost)}"


def _options(basis: Basis, cost: RecipeCost) -> str:
    options = price_with_options(basis, cost)
    return f" ({options})" if options else ""


def _total(basis: Basis, dishes: tuple[RecipeCost, ...]) -> str:
    costs = basis.publication.costs
    if costs.head_core is None or len(dishes) < 2:
        return ""
    at_least = not all(cost.is_complete for cost in dishes)
    core = basis.printer.money(costs.head_core, at_least=at_least)
    everything = basis.printer.money(costs.head_with_options, at_least=at_least)
    options = f", {everything} with every option" if everything != core else ""
    second = second_currency(basis, costs.head_core)
    return f"One serving of each: {core}{options}." + (f" {second}." if second else "")


def _allergens(basis: Basis, dishes: tuple[RecipeCost, ...]) -> list[tuple[str, str]]:
    found = []
    for cost in dishes:
        resolved = basis.publication.resolved.recipe(cost.recipe)
        care = next((item for item in basis.publication.care if item.recipe == cost.recipe), None)
        stated = resolved.recipe.attribute("allergens") if resolved is not None else ""
        parts = [f"by the author: {stated}."] if stated else []
        parts += list(part_texts(care)) if care is not None else []
        if parts:
            found.append((_flat(basis.title(cost.recipe)), _flat(" ".join(parts))))
    return found


def _flat(text: str) -> str:
    return " ".join(text.split(" ")).replace("\n", " ").strip()
