"""
A small episode made by hand, resolved and costed, for tests of figures and of the cut.

The dish and its prices are those of our own first demo episode; amounts and costs were worked on paper.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

from shootplan.model.clock import Range
from shootplan.model.costing import EpisodeCost, LineCost, OptionCost, RecipeCost, Servings
from shootplan.model.episode import Episode, Kitchen, Pace, PriceBook
from shootplan.model.money import Cost
from shootplan.model.quantity import Amount
from shootplan.model.recipe import Equipment, IngredientLine, Mention, Part, PartKind, Recipe, Serves, Shot, Step
from shootplan.model.resolved import Measured, ResolvedEpisode, ResolvedLine, ResolvedRecipe, Use
from shootplan.model.times import EpisodeTimes, RecipeTimes
from shootplan.problems import Span

PATH = "recipes/leek-bean-bake.md"


def line(
    identifier: str,
    item: str,
    metric: Amount | None,
    household: Amount | None = None,
    *,
    size: str = "",
    optional: bool = False,
    typed: Amount | None = None,
) -> ResolvedLine:
    """Return an ingredient line with both measures; ``typed`` is the author's first measure, else the metric one."""
    source = IngredientLine(
        id=identifier,
        item=item,
        amount=typed or metric,
        second=household,
        second_size=size,
        is_optional=optional,
    )
    measured = Measured(
        metric=metric,
        household=household,
        metric_shown=metric,
        household_shown=(household,) if household else (),
        household_size=size,
    )
    return ResolvedLine(line=source, measured=measured)


LINES = (
    line("floury-potatoes", "floury potatoes", Amount.of(900, "g"), Amount.of(5), size="medium"),
    line("leeks", "leeks", Amount.of(500, "g"), Amount.of(3), typed=Amount.of(3)),
    line("butter-beans", "butter beans", None, Amount.of(2, "tin"), typed=Amount.of(2, "tin")),
    line("vegetable-oil", "vegetable oil", Amount.of(15, "ml"), Amount.of(1, "tbsp")),
    line("milk", "semi-skimmed milk", Amount.of(360, "ml"), Amount.of("3/2", "cup")),
    line("salt", "fine salt", Amount.of(3, "g"), Amount.of("1/2", "tsp")),
    line("lemon", "lemon", None, Amount.of("1/2"), typed=Amount.of("1/2")),
    line("chilli-sauce", "chilli sauce", None, Amount(Fraction(1), Fraction(2), "tbsp")),
    line("parsley", "flat-leaf parsley", Amount.of(10, "g"), Amount.of(3, "tbsp"), optional=True),
)
#: Cost used of each line, in pounds.
COSTS = {
    "floury-potatoes": Fraction("0.702"),
    "leeks": Fraction("1.6"),
    "butter-beans": Fraction("1.4"),
    "vegetable-oil": Fraction("0.02925"),
    "milk": Fraction(360 * 165, 2272 * 100),
    "parsley": Fraction("0.65") / 3,
}


def step(name: str, number: int = 1, **values: object) -> Step:
    """Return a step; its ``say`` and ``caption`` stand on line 40 and 41, from column 12 on."""
    spans = (("say", Span(PATH, 40, 12, 90)), ("caption", Span(PATH, 41, 12, 90)))
    identifier = name.casefold().replace(" ", "-")
    values.setdefault("field_spans", spans)
    return Step(id=identifier, name=name, number=number, **values)  # type: ignore[arg-type]


def milk_part(step_id: str, millilitres: int, *, held: bool = False, later: bool = False) -> Use:
    """Return the use of a part of the milk."""
    amount = Amount.of(millilitres, "ml")
    cups = Amount.of(Fraction(millilitres, 240), "cup")
    measured = Measured(metric=amount, metric_shown=amount, household=cups, household_shown=(cups,))
    return Use(
        step=step_id,
        line="milk",
        share=Fraction(millilitres, 360),
        measured=measured,
        is_held_back=held,
        from_held_back=later,
    )


def mention(name: str, kind: PartKind = PartKind.WHOLE, *, held: bool = False, **part: object) -> Mention:
    """Return a mention of a part."""
    return Mention(name=name, part=Part(kind, **part), is_held_back=held)  # type: ignore[arg-type]


def recipe(*steps: Step, uses: tuple[Use, ...] = (), **values: object) -> ResolvedRecipe:
    """Return the bake with the given steps."""
    values.setdefault("headnote", "")
    source = Recipe(
        id="leek-bean-bake",
        title="Leek and butter bean bake",
        serves=Serves(4, 6),
        lines=tuple(item.line for item in LINES),
        steps=tuple(replace(item, number=number) for number, item in enumerate(steps, start=1)),
        path=PATH,
        span=Span(PATH),
        **values,  # type: ignore[arg-type]
    )
    return ResolvedRecipe(recipe=source, lines=LINES, uses=uses)


def pounds(value: str | Fraction) -> Cost:
    """Return an exact cost in pounds."""
    return Cost(Fraction(value), "GBP")


def costs(*, missing: tuple[str, ...] = ()) -> EpisodeCost:
    """Return the cost of the bake: 5.1090 for four or six, 5.3257 with the parsley."""
    parsley = next(item for item in LINES if item.line.id == "parsley")
    bake = RecipeCost(
        recipe="leek-bean-bake",
        hearty=4,
        small=6,
        lines=tuple(
            LineCost(line=item, cost=pounds(COSTS[item.line.id]) if item.line.id in COSTS else None) for item in LINES
        ),
        core=pounds("5.109"),
        with_options=pounds("5.3257"),
        core_per=Servings(per_hearty=pounds("1.27725"), per_small=pounds("0.8515")),
        with_options_per=Servings(per_hearty=pounds("1.331425"), per_small=pounds("0.8876")),
        options=(OptionCost(line=parsley, cost=pounds(COSTS["parsley"]), per_serving_with=pounds("1.331425")),),
        missing=missing,
    )
    return EpisodeCost(
        currency="GBP",
        places=2,
        recipes=(bake,),
        core=pounds("5.109"),
        with_options=pounds("5.3257"),
        head_core=pounds("2.4514"),
        head_with_options=pounds("2.5834"),
    )


def times(*, unknown: tuple[str, ...] = ()) -> EpisodeTimes:
    """Return the bake's kitchen times: active 25-33, elapsed 62-75, passive 37-42 minutes."""
    bake = RecipeTimes(
        recipe="leek-bean-bake",
        active=Range(25 * 60, 33 * 60),
        elapsed=Range(62 * 60, 75 * 60),
        unattended=Range(70 * 60, 84 * 60),
        passive_short_s=37 * 60,
        passive_long_s=42 * 60,
        unknown=unknown,
    )
    return EpisodeTimes(
        recipes=(bake,),
        cooks=1,
        active=Range(25 * 60, 33 * 60),
        elapsed=Range(62 * 60, 75 * 60),
        hands_free_short_s=37 * 60,
        hands_free_long_s=42 * 60,
        sum_elapsed=Range(62 * 60, 75 * 60),
    )


def episode(*recipes: ResolvedRecipe, pace: Pace | None = None, **values: object) -> ResolvedEpisode:
    """Return an episode of those recipes, in pounds, at 130 words a minute."""
    source = Episode(
        title="Tuesday supper",
        shoot_date=date(2026, 10, 1),
        currency="GBP",
        recipes=tuple(item.recipe for item in recipes),
        kitchen=Kitchen(pace=pace or Pace(words_per_minute=130)),
        prices=PriceBook(),
        span=Span("episode.md"),
        **values,  # type: ignore[arg-type]
    )
    return ResolvedEpisode(episode=source, recipes=recipes)


def oven(celsius: int) -> Equipment:
    """Return an oven at a temperature."""
    return Equipment(kind="oven", temperature_c=celsius)


def shot(set_up: str = "overhead", screen_s: int | None = None) -> Shot:
    """Return a shot with the picture's least length."""
    return Shot(set_up=set_up, screen_s=screen_s)


def price(text: str) -> Decimal:
    """Return a decimal."""
    return Decimal(text)
