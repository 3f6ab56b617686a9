"""
Captions that the author did not type: ingredients with price tags, step notes, totals, and notices.

A ``FactBook`` comes in, items for the screen go out, with weights: which of them stand is decided on the cut clock,
where the time to read them is known. Every figure is the one that the texts get, so a tag agrees with the costing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from shootplan.facts.book import FactBook, Figure, Place
from shootplan.facts.forms import amount_forms, is_household_first, unbroken
from shootplan.facts.parts import StepShare, line_share
from shootplan.model.costing import RecipeCost
from shootplan.model.episode import ClaimScope
from shootplan.model.filled import CaptionText, FilledEpisode, NoticeText
from shootplan.model.larder import Hazard
from shootplan.model.quantity import COUNT
from shootplan.model.recipe import Step
from shootplan.model.resolved import ResolvedRecipe, Use
from shootplan.model.show import join_words

__all__ = ["derived_captions", "price_words", "with_notices"]

#: An ingredient gets a price tag from this part of the dish's cost on; below, a tag says little (common practice).
_TAGGED = Fraction(1, 20)
#: What stays longest where time is short: the price of a serving, dear ingredients, others, notes, water.
_PRICE, _INGREDIENT, _NOTE, _FREE = 2000, 200, 150, 100
_STOPS = "stop"
_MOST_SHOPS = 2
#: A clause longer than that is parted at a comma, so that two lines hold it.
_LONG_CLAUSE = 60


# ---------------------------------------------------------------------------------------------------- of a step


def derived_captions(book: FactBook, recipe: ResolvedRecipe, step: Step) -> tuple[CaptionText, ...]:
    """Return the items of a step in the order of use: what goes in, then its minutes with the cue, then the price."""
    place = Place(recipe, step)
    return (*_ingredients(book, recipe, step), *_notes(book, place), *_serving(book, place))


def _ingredients(book: FactBook, recipe: ResolvedRecipe, step: Step) -> Iterator[CaptionText]:
    uses = recipe.uses_in(step.id)
    for line_id in dict.fromkeys(use.line for use in uses if use.line):
        share = line_share(line_id, recipe, step)
        if share.line is not None:
            yield _ingredient(book, recipe, share, tuple(use for use in uses if use.line == line_id))


def _ingredient(book: FactBook, recipe: ResolvedRecipe, share: StepShare, uses: tuple[Use, ...]) -> CaptionText:
    """Return amount and name in one measure, the tag where the price matters, and whether it may be left out."""
    assert share.line is not None
    line, source = share.line.line, f"{recipe.id} {share.key}"
    is_counted = line.amount is not None and line.amount.dimension == COUNT
    how = "household" if is_household_first(share.measured) else ""
    forms = amount_forms(share.measured, share.name, how=how, is_counted=is_counted)
    text = forms.shown if forms is not None else share.name
    if all(use.is_held_back for use in uses):
        text = f"keep {text}"
    part = _part_of_cost(share, book.costs.recipe(recipe.id))
    is_tagged = part >= _TAGGED and not any(use.from_held_back for use in uses)
    price = book.line_price(share.name, recipe, share, source) if is_tagged else None
    if isinstance(price, Figure):
        text = f"{text} {price.text.shown}"
    return CaptionText(
        text=f"{text}, optional" if line.is_optional else text,
        kind="ingredient",
        source=source,
        has_price=isinstance(price, Figure),
        weight=_INGREDIENT + int(1000 * part) if part else _FREE,
    )


def _part_of_cost(share: StepShare, costs: RecipeCost | None) -> Fraction:
    """Return the part of the dish's cost that goes in here; an option counts against the dish without it."""
    lines = costs.lines if costs is not None else ()
    cost = next((item.cost for item in lines if share.line and item.line.line.id == share.line.line.id), None)
    if costs is None or cost is None or not costs.core.exact:
        return Fraction(0)
    return min(Fraction(1), cost.times(share.share).exact / costs.core.exact)


def _notes(book: FactBook, place: Place) -> Iterator[CaptionText]:
    """Yield the oven's settings where it is heated; minutes with the cue where somebody waits or cooks on heat."""
    step, recipe = place.step, place.recipe
    assert step is not None
    assert recipe is not None
    source = f"{recipe.id} {step.id}"
    if step.heats is not None:
        oven = book.look_up("oven", place)
        if isinstance(oven, Figure):
            yield CaptionText(text=oven.text.shown, kind="step", source=source, weight=_NOTE + 1)
        return
    if not step.has_time or not (step.watch or step.leave or step.is_on_heat):
        return
    time = book.look_up("time", place)
    if isinstance(time, Figure):
        cue = unbroken(f", until {step.until}") if step.until else ""
        yield CaptionText(text=f"{time.text.shown}{cue}", kind="step", source=source, weight=_NOTE)


def _serving(book: FactBook, place: Place) -> Iterator[CaptionText]:
    """Yield the price of a serving where the dish is served, with its options beside it (rule M4)."""
    step, recipe = place.step, place.recipe
    assert step is not None
    assert recipe is not None
    price = book.look_up("price", place) if step.is_serving else None
    if not isinstance(price, Figure):
        return
    noun = recipe.recipe.serves.noun
    text = f"{price.text.shown} a {noun.removesuffix('s') or 'serving'}"
    options = _options(book, place)
    source = f"{recipe.id} price"
    yield CaptionText(
        text=f"{text}; {options}" if options else text, kind="price", source=source, has_price=True, weight=_PRICE
    )


def _options(book: FactBook, place: Place) -> str:
    assert place.recipe is not None
    costs = book.costs.recipe(place.recipe.id)
    dearer = book.look_up("price with options", place)
    if costs is None or not costs.options or not isinstance(dearer, Figure):
        return ""
    names = [option.name or option.line.line.item for option in costs.options]
    return f"{dearer.text.shown} with {names[0] if len(names) == 1 else 'all options'}"


# ---------------------------------------------------------------------------------------------------- of the episode


def with_notices(book: FactBook, filled: FilledEpisode) -> FilledEpisode:
    """
    Return the texts with the total on the closing and the notices of the episode.

    The total stands on the first row of the closing where nothing is typed on any; date and place of the prices are
    told where any price stands on the screen; a rule of safety that everybody must keep, once, with the first dish.
    """
    closing = filled.closing
    if closing and not any(row.captions for row in closing) and not closing[0].is_clear:
        closing = (replace(closing[0], derived=_total(book)), *closing[1:])
    rows = (*filled.opening, *filled.between, *closing, *(step for item in filled.recipes for step in item.steps))
    has_prices = any(caption.has_price for row in rows for caption in (*row.captions, *row.derived))
    return replace(filled, closing=closing, notices=tuple(_notices(book, has_prices=has_prices)))


def _total(book: FactBook) -> tuple[CaptionText, ...]:
    """Return what the episode claims of all recipes together: a head for the total, the mean for the average."""
    scopes = {claim.scope for claim in book.resolved.episode.claims}
    if ClaimScope.TOTAL in scopes or book.resolved.episode.together:
        name, words = "total price", "a head"
    elif ClaimScope.AVERAGE in scopes:
        name, words = "average price", "on average"
    else:
        return ()
    price, dearer = book.look_up(name, Place()), book.look_up(f"{name} with options", Place())
    if not isinstance(price, Figure) or not isinstance(dearer, Figure):
        return ()
    text = f"{price.text.shown} {words}"
    if dearer.text.shown != price.text.shown:
        text += f"; {dearer.text.shown} with everything"
    return (CaptionText(text=text, kind="total", source=f"episode {name}", has_price=True, weight=_PRICE),)


def _notices(book: FactBook, *, has_prices: bool) -> Iterator[NoticeText]:
    words = price_words(book) if has_prices else ""
    if words:
        yield NoticeText(captions=(CaptionText(text=words, kind="notice", source="price book"),))
    told = set[str]()
    for care in book.care:
        for hazard in care.hazards:
            if hazard.id not in told and hazard.severity == _STOPS and hazard.audience in ("", "everyone"):
                told.add(hazard.id)
                yield NoticeText(captions=_safety(hazard), recipe=care.recipe)


def price_words(book: FactBook) -> str:
    """Return "Prices of 2026-11-12, supermarket": the days and kinds of shop of every price used, empty without any."""
    rows = [line.line.price for costs in book.costs.recipes for line in costs.lines if line.line.price is not None]
    days = sorted({row.seen for row in rows if row.seen is not None})
    shops = sorted({row.shop for row in rows if row.shop})
    if not days:
        return ""
    dates = f"{days[0]}" if days[0] == days[-1] else f"{days[0]} to {days[-1]}"
    place = join_words(shops) if len(shops) <= _MOST_SHOPS else "several shops"
    return f"Prices of {dates}" + (f", {place}" if place else "")


def _safety(hazard: Hazard) -> tuple[CaptionText, ...]:
    """Return a rule as captions, a clause each, long ones in parts."""
    texts: list[str] = []
    for clause in hazard.rule.split(";"):
        parts = clause.strip().split(", ")
        texts.append(parts[0][:1].upper() + parts[0][1:])
        for part in parts[1:]:
            if len(texts[-1]) + len(part) > _LONG_CLAUSE:
                texts[-1] += ","
                texts.append(part)
            else:
                texts[-1] += f", {part}"
    return tuple(CaptionText(text=unbroken(text), kind="notice", source=hazard.source) for text in texts)
