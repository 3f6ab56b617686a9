"""
Times, temperatures, servings and prices that a text may state, each as a range with the words for it.

A resolved episode with its costs and times comes in; ``Fact`` values go out, in seconds, °C, persons, units of account.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from shootplan.facts.book import FactBook
from shootplan.facts.figures import find_figures
from shootplan.model.agreement import FigureKind
from shootplan.model.clock import Range, Window, minutes_outward
from shootplan.model.costing import RecipeCost
from shootplan.model.money import Cost, half_up
from shootplan.model.recipe import Step
from shootplan.model.resolved import ResolvedRecipe
from shootplan.model.show import range_text
from shootplan.printing import money_text
from shootplan.records import dataclass

__all__ = ["Fact", "Price", "episode_prices", "keeping_times", "line_prices", "oven_facts", "recipe_prices",
           "recipe_times", "serving_facts", "step_times", "typed_facts"]  # fmt: skip

_LIMIT = r"\b(?:within|after|before|by|wait|once|straight)\b"
_KEPT = r"\b(?:keeps?|kept|holds?|stays?|stands?|within|good|fit|wait|fridge|up to|at most)\b"
_LOOK = r"\b(?:every|stirs?|stirring|looks?|turn|folds?|toss|check|each|now and then)\b"


@dataclass(frozen=True, slots=True)
class Fact:
    """
    Something known, from ``low`` to ``high``, and the words for it.

    ``only_with`` is a pattern of the words without which a sentence does not speak of it.
    """

    low: Fraction
    high: Fraction
    words: str
    only_with: str = ""

    def may_be(self, sentence: str) -> bool:
        """Return whether a sentence may speak of it: a limit on waiting is not meant where only "5 min" is said."""
        return not self.only_with or re.search(self.only_with, sentence, re.IGNORECASE) is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """
    A price that is shown: ``value`` as printed, ``words`` for it.

    ``option`` is "" for the core, "all" with every option, else the option's name; ``is_small`` for the small serving;
    ``is_serving`` where it is the price of a serving (or of one serving of everything).
    """

    value: Fraction
    words: str
    option: str = ""
    recipe: str = ""
    is_small: bool = False
    is_serving: bool = True


# ---------------------------------------------------------------------------------------------------- times


def step_times(step: Step) -> tuple[Fact, ...]:
    """Return every length of time that a step states: its parts, their sum, look-ins, waits, how long it stays fit."""
    parts = [(part.low_s, part.high_s) for part in (step.hands, step.watch) if part is not None]
    if isinstance(step.leave, Range):
        parts.append((step.leave.low_s, step.leave.high_s))
    found = [*parts, *_window_ends(step.leave)]
    if len(parts) > 1:
        found.append((sum(low for low, _ in parts), sum(high for _, high in parts)))
    if step.batches > 1:
        found += [(low * step.batches, high * step.batches) for low, high in parts]
    known = [_fact(low, high) for low, high in dict.fromkeys(found)]
    return (*known, *_side_times(step), *typed_facts(step.until, FigureKind.TIME))


def _side_times(step: Step) -> Iterator[Fact]:
    """Yield what bounds a step rather than lasts: limits after other steps, look-ins, how long it stays fit."""
    afters = step.after or ()
    groups = (
        (_LIMIT, [after.at_most_s for after in afters] + [after.at_least_s for after in afters]),
        (_KEPT, [step.fit_s, step.keeps_s]),
        (_LOOK, [step.check.every_s, step.check.for_s] if step.check is not None else []),
    )
    for only_with, seconds in groups:
        for value in dict.fromkeys(seconds):
            if value:
                yield replace(_fact(value, value), only_with=only_with)


def _window_ends(leave: Range | Window | None) -> list[tuple[int, int]]:
    if not isinstance(leave, Window):
        return []
    if leave.at_most_s is None:
        return [(leave.at_least_s, leave.at_least_s)]
    return [(leave.at_least_s, leave.at_most_s)]


def recipe_times(recipe_id: str, book: FactBook) -> tuple[Fact, ...]:
    """Return hands-on, waiting and elapsed time of a recipe, exact and as published (rounded outward, rule T8)."""
    times = book.times.recipe(recipe_id) if book.times is not None else None
    if times is None:
        return ()
    found = []
    for span, words in ((times.active, "hands-on"), (times.passive, "waiting"), (times.elapsed, "start to table")):
        low, high = (minute * 60 for minute in minutes_outward(span.low_s, span.high_s))
        found.append(Fact(Fraction(low), Fraction(high), f"{words} {range_text(low, high)}"))
    return tuple(found)


def keeping_times(recipe: ResolvedRecipe) -> tuple[Fact, ...]:
    """Return how long things keep by the printed fields, the groups and the steps, and in any text about keeping."""
    texts = [recipe.recipe.attribute(key) for key in ("keeps", "storage", "freezes", "reheats")]
    texts += [group.keeps for group in recipe.recipe.groups]
    found = [fact for text in texts for fact in typed_facts(text, FigureKind.TIME)]
    return (*found, *(_fact(step.keeps_s, step.keeps_s) for step in recipe.recipe.steps if step.keeps_s))


def typed_facts(text: str, kind: FigureKind) -> tuple[Fact, ...]:
    """Return the figures of that kind which an author's own field states ("37 °C, not over 40 °C")."""
    return tuple(Fact(item.low, item.high, item.words) for item in find_figures(text) if item.kind is kind)


def _fact(low_s: int, high_s: int) -> Fact:
    return Fact(Fraction(low_s), Fraction(high_s), range_text(low_s, high_s))


# ---------------------------------------------------------------------------------------------------- heat, people


def oven_facts(step: Step, fan_offset: int) -> tuple[Fact, ...]:
    """Return the temperatures of a step: oven, oven with a fan, core, and what its cue states, in °C."""
    ovens = [
        use.temperature_c for use in (step.heats, *step.uses, *step.holds) if use is not None and use.kind == "oven"
    ]
    found = []
    for celsius in dict.fromkeys(value for value in ovens if value is not None):
        found.append(Fact(Fraction(celsius), Fraction(celsius), f"{celsius} °C"))
        fan = celsius - fan_offset
        found.append(Fact(Fraction(fan), Fraction(fan), f"fan {fan} °C"))
    if step.core_temperature_c is not None:
        found.append(
            Fact(
                Fraction(step.core_temperature_c),
                Fraction(step.core_temperature_c),
                f"core {step.core_temperature_c} °C",
            )
        )
    return (*found, *typed_facts(step.until, FigureKind.TEMPERATURE))


def serving_facts(recipe: ResolvedRecipe) -> tuple[Fact, ...]:
    """Return for how many a recipe is."""
    serves = recipe.recipe.serves
    small = r"^(?!.*\b(?:large|big|hearty|generous|full)\b)"
    large = r"^(?!.*\b(?:small|smaller|little)\b)" if serves.small is not None else ""
    found = [Fact(Fraction(serves.hearty), Fraction(serves.hearty), f"{serves.hearty} {serves.noun}", large)]
    if serves.small is not None:
        found.append(Fact(Fraction(serves.small), Fraction(serves.small), f"{serves.small} small", small))
    return tuple(found)


# ---------------------------------------------------------------------------------------------------- prices


def recipe_prices(costs: RecipeCost, book: FactBook) -> tuple[Price, ...]:
    """Return the prices of a serving: core, with all options, with each, and the small serving's."""
    found = []
    for per, option in ((costs.core_per, ""), (costs.with_options_per, "all")):
        words = "a serving with every option" if option else "a serving"
        found.append(_price(per.per_hearty, words, book, option=option, recipe=costs.recipe))
        if per.per_small is not None:
            found.append(
                _price(per.per_small, f"{words}, small", book, option=option, recipe=costs.recipe, is_small=True)
            )
    for item in costs.options:
        name = item.name or item.line.line.item
        found.append(_price(item.per_serving_with, f"a serving with {name}", book, option=name, recipe=costs.recipe))
    return tuple(found)


def line_prices(costs: RecipeCost, key: str, share: Fraction, book: FactBook) -> tuple[Price, ...]:
    """Return what a line costs as used, as used in a step (``share`` of it), and the price of its pack."""
    found = []
    for item in costs.lines:
        if item.line.line.id != key:
            continue
        if item.cost is not None:
            name = item.line.line.item
            found.append(_price(item.cost, name, book, recipe=costs.recipe, is_serving=False))
            found.append(_price(item.cost.times(share), f"the {name} used here", book, is_serving=False))
        if item.line.price is not None:
            value = Fraction(item.line.price.price)
            found.append(Price(value=value, words=f"a pack at {item.line.price.price}", is_serving=False))
    return tuple(found)


def episode_prices(book: FactBook) -> tuple[Price, ...]:
    """Return the totals: one serving of each recipe and the mean serving, without and with options."""
    costs = book.costs
    total = (costs.head_core, costs.head_with_options)
    mean = (costs.average_core, costs.average_with_options)
    pairs = ((total, "one serving of each"), (mean, "the mean serving"))
    return tuple(
        _price(cost, f"{words}{' with every option' if option else ''}", book, option=option)
        for group, words in pairs
        for cost, option in zip(group, ("", "all"), strict=True)
        if cost is not None
    )


def _price(
    cost: Cost, words: str, book: FactBook, *, option: str = "", recipe: str = "", is_small: bool = False,
    is_serving: bool = True,
) -> Price:  # fmt: skip
    money = cost.rounded(book.costs.places)
    shown = money_text(money, book.resolved.episode.locale, book.costs.places).replace("\u00a0", " ")
    return Price(
        value=Fraction(half_up(cost.exact, book.costs.places)),
        words=f"{shown} {words}",
        option=option,
        recipe=recipe,
        is_small=is_small,
        is_serving=is_serving,
    )


def kitchen_counts(book: FactBook) -> Iterator[tuple[str, Fact]]:
    """Yield what the episode's own texts may count: recipes and rings, by the words for them."""
    recipes, rings = len(book.resolved.recipes), book.resolved.episode.kitchen.hob.rings
    yield "recipe", Fact(Fraction(recipes), Fraction(recipes), f"{recipes} recipes")
    yield "ring", Fact(Fraction(rings), Fraction(rings), f"{rings} rings")
