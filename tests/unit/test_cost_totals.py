"""The sheet's totals and details: nothing left out, each figure worked by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from costing_helpers import amount, claim, episode, line, mention, recipe, row, steps

from shootplan.cost import cash_rounded, cost_episode, in_second_currency
from shootplan.cost.second import in_currency, rate_words
from shootplan.model.costing import EpisodeCost
from shootplan.model.episode import Episode, SecondCurrency, StaplesPolicy
from shootplan.model.money import Cost, Money
from shootplan.model.recipe import Alternate, Group, Purpose, RecipeKind
from shootplan.resolve import resolve_episode

RATE = SecondCurrency(currency="EUR", rate=Decimal("1.25"), on=date(2026, 11, 20))


def costed(made: Episode) -> EpisodeCost:
    return cost_episode(resolve_episode(made)[0])[0]


def pounds(text: str) -> Cost:
    return Cost(Fraction(text), "GBP")


#: Soup 4.00 for four and dill 0.40; pie 9.00 for six and cress 1.20; stock, which is in no total.
DISHES = [
    recipe("soup", [line("peas", "1"), line("dill", "1", is_optional=True)], hearty=4),
    recipe("pie", [line("crust", "1"), line("cress", "1", is_optional=True)], hearty=6),
    recipe("stock", [line("bones", "1")], kind=RecipeKind.SUB_PREPARATION, makes=amount("1 l"), makes_name="stock"),
]
PRICES = [
    row("peas", "1", "4.00"),
    row("dill", "1", "0.40"),
    row("crust", "1", "9.00"),
    row("cress", "1", "1.20"),
    row("bones", "1", "2.00"),
]


def test_totals_are_over_the_dishes() -> None:
    """By hand: 13.00 and 14.60; one serving of each 1.00 + 1.50 and 1.10 + 1.70; the mean half of that."""
    costs = costed(episode(DISHES, PRICES))
    assert (costs.core, costs.with_options) == (pounds("13.00"), pounds("14.60"))
    assert (costs.head_core, costs.head_with_options) == (pounds("2.50"), pounds("2.80"))
    assert (costs.average_core, costs.average_with_options) == (pounds("1.25"), pounds("1.40"))
    assert (costs.currency, costs.places) == ("GBP", 2)
    assert [item.is_sub_preparation for item in costs.recipes] == [False, False, True]


def test_an_episode_without_dishes_has_no_average() -> None:
    """Nothing divided by nothing is not nothing; the totals are."""
    costs = costed(episode(DISHES[2:], PRICES))
    assert (costs.average_core, costs.average_with_options) == (None, None)
    assert (costs.core, costs.head_core) == (pounds("0"), pounds("0"))


@pytest.mark.parametrize(("currency", "places"), [("JPY", 0), ("KWD", 3)])
def test_a_currency_has_its_own_decimals(currency: str, places: int) -> None:
    """Unicode CLDR: none for yen, three for Kuwaiti dinars."""
    rows = [replace(item, currency=currency) for item in PRICES]
    assert costed(episode(DISHES, rows, currency=currency)).places == places


def test_servings_are_those_of_the_recipe_as_scaled() -> None:
    """Four or six, half as much again: six or nine; 6.00 are 1.00 and 0.666… a serving. One without small ones."""
    dish = recipe("pie", [line("crust", "4")], hearty=4, small=6, scale=Fraction(3, 2))
    cost = costed(episode([dish, DISHES[0]], [row("crust", "1", "1.00"), *PRICES[:2]])).recipes[0]
    assert (cost.hearty, cost.small) == (6, 9)
    assert (cost.core_per.per_hearty, cost.core_per.per_small) == (pounds("1"), pounds("2/3"))
    plain = costed(episode(DISHES, PRICES)).recipes[0]
    assert (plain.hearty, plain.small, plain.core_per.per_small) == (4, None, None)


def test_the_flat_sum_for_staples_is_told_apart() -> None:
    """0.05 a serving for four are 0.20, contained in the core; a sub-preparation has none."""
    flat = {"staples": StaplesPolicy.FLAT, "staples_flat": Decimal("0.05")}
    soup, _, stock = costed(episode(DISHES, PRICES, **flat)).recipes
    assert (soup.staples_flat, soup.core) == (pounds("0.20"), pounds("4.20"))
    assert (stock.staples_flat, stock.core) == (None, pounds("2.00"))
    assert costed(episode(DISHES, PRICES)).recipes[0].staples_flat is None


def test_only_a_counted_line_rests_on_an_estimate() -> None:
    """Oil and oats marked by hand as estimated: under a policy that leaves staples out, oil is no matter."""
    dish = recipe("dish", [line("oats", "1"), line("oil", "1")])
    rows = [row("oats", "1", "1.00"), row("oil", "1", "1.00", is_staple=True)]
    for policy, names in ((StaplesPolicy.COUNT, ("oats", "oil")), (StaplesPolicy.FREE, ("oats",))):
        resolved, _ = resolve_episode(episode([dish], rows, staples=policy))
        lines = tuple(replace(item, is_estimated=True) for item in resolved.recipes[0].lines)
        marked = replace(resolved, recipes=(replace(resolved.recipes[0], lines=lines),))
        assert cost_episode(marked)[0].recipes[0].estimated == names


# ------------------------------------------------------------------------------------------- options, alternates


def pickled(title: str = "Pickled red onion", *, onion: str | None = "4.00") -> EpisodeCost:
    """Return the costs of peas at 2.00 with 60 g of an optional pickle of 240 g: onion 4.00 and vinegar 0.80."""
    made = recipe(
        "soup",
        [line("peas", "1"), line("onion", "1", group="pickle"), line("vinegar", "1", group="pickle")],
        groups=(Group(id="pickle", title=title, makes=amount("240 g"), is_optional=True),),
        steps=steps(
            ("Pickle", [mention("onion"), mention("vinegar")], {"makes": title}),
            ("Boil", [mention("peas")]),
            ("Serve", [mention(title, "60 g")]),
        ),
    )
    rows = [row("peas", "1", "2.00"), row("vinegar", "1", "0.80")]
    return costed(episode([made], rows if onion is None else [*rows, row("onion", "1", onion)]))


def test_a_group_is_one_option_of_all_its_lines() -> None:
    """A quarter of 4.80 is 1.20; on a core of 2.00 for four it makes 0.80 a serving."""
    cost = pickled().recipes[0]
    (option,) = cost.options
    assert (option.name, option.group) == ("pickled red onion", "pickle")
    assert [item.line.item for item in option.lines] == ["onion", "vinegar"]
    assert option.line == option.lines[0]
    assert (option.cost, option.per_serving_with) == (pounds("1.20"), pounds("0.80"))
    assert [(item.group, item.share) for item in cost.lines] == [
        (None, 1), ("pickle", Fraction(1, 4)), ("pickle", Fraction(1, 4)),
    ]  # fmt: skip


def test_an_option_with_a_line_unpriced_has_no_cost() -> None:
    """The vinegar alone is not the pickle; a serving with it is at least 0.55."""
    (option,) = pickled(onion=None).recipes[0].options
    assert (option.cost, option.per_serving_with) == (None, pounds("0.55"))


def test_an_option_that_is_to_taste_has_no_cost() -> None:
    """Nothing to add up is not nothing."""
    dish = recipe("dish", [line("oats", "1"), line("pepper", None, is_to_taste=True, is_optional=True)])
    (option,) = costed(episode([dish], [row("oats", "1", "1.00")])).recipes[0].options
    assert option.cost is None


@pytest.mark.parametrize(
    ("title", "name"), [("BBQ sauce", "BBQ sauce"), ("A la carte", "A la carte"), ("Øland bread", "øland bread")]
)
def test_a_title_in_capitals_keeps_them_in_a_sentence(title: str, name: str) -> None:
    """Only a capital before a small letter is the sentence's own."""
    assert pickled(title).recipes[0].options[0].name == name


def test_an_alternate_may_be_water_a_staple_or_another_recipes_batch() -> None:
    """Milk at 1.00 or water: 1.00 less; or oil, which is not counted: 1.00 less; or half a batch of 2.00: the same."""
    others = (Alternate(item="water"), Alternate(item="oil"), Alternate(item="stock"))
    dish = recipe("dish", [line("milk", "500 ml", alternates=others)], hearty=4)
    rows = [row("milk", "1 l", "2.00"), row("oil", "1 l", "8.00", is_staple=True), PRICES[-1]]
    cost = costed(episode([dish, DISHES[2]], rows, staples=StaplesPolicy.FREE)).recipes[0]
    assert [item.delta for item in cost.alternates] == [pounds("-1"), pounds("-1"), pounds("0")]
    assert [item.per_serving_delta for item in cost.alternates] == [pounds("-1/4"), pounds("-1/4"), pounds("0")]


def test_an_alternate_of_an_unpriced_base_has_no_difference() -> None:
    """What is not known on either side leaves the difference unknown."""
    dish = recipe("dish", [line("moon milk", "500 ml", alternates=(Alternate(item="milk"),))])
    assert costed(episode([dish], [row("milk", "1 l", "2.00")])).recipes[0].alternates[0].delta is None


# ------------------------------------------------------------------------------------------- batches


def test_a_batch_with_a_core_line_unpriced_costs_what_nobody_knows() -> None:
    """An option of the batch without a price does not spoil it."""
    for is_optional, cost in ((False, None), (True, pounds("1.00"))):
        stock = replace(DISHES[2], lines=(*DISHES[2].lines, line("saffron", "1 g", is_optional=is_optional)))
        dish = recipe("dish", [line("stock", "500 ml")])
        assert costed(episode([dish, stock], PRICES)).recipes[0].lines[0].cost == cost


def test_a_batch_made_of_itself_costs_what_nobody_knows_and_no_other_batch_does() -> None:
    """The stock takes stock: unknown, and so is what is made of it; a sauce beside it keeps its cost."""
    stock = replace(DISHES[2], lines=(*DISHES[2].lines, line("stock", "100 ml")))
    sauce = recipe(
        "sauce", [line("peas", "1")], kind=RecipeKind.SUB_PREPARATION, makes=amount("1 l"), makes_name="sauce"
    )
    dish = recipe("dish", [line("stock", "500 ml"), line("sauce", "500 ml")])
    costs = costed(episode([stock, sauce, dish], PRICES))
    assert [item.cost for item in costs.recipes[2].lines] == [None, pounds("2.00")]


# ------------------------------------------------------------------------------------------- the second currency


def test_every_cost_of_the_sheet_is_told_in_the_second_currency() -> None:
    """At 1.25: 13.00 are 16.25, one serving of each 2.50 is 3.125, the dill 0.40 is 0.50; verdicts stay behind."""
    told = in_currency(costed(episode(DISHES, PRICES, claims=(claim("under", "2.00", "pie"),))), RATE)
    assert (told.currency, told.places, told.verdicts) == ("EUR", 2, ())
    assert (told.core, told.head_core) == (Cost(Fraction("16.25"), "EUR"), Cost(Fraction("3.125"), "EUR"))
    assert told.recipes[0].lines[1].cost == Cost(Fraction("0.5"), "EUR")
    assert told.recipes[0].options[0].per_serving_with == Cost(Fraction("1.375"), "EUR")


def test_the_second_currency_has_its_own_decimals() -> None:
    """One pound at 190 yen: no decimals."""
    yen = replace(RATE, currency="JPY", rate=Decimal("190.4"))
    assert in_currency(costed(episode(DISHES, PRICES)), yen).places == 0
    assert in_second_currency(pounds("1"), yen) == Money(Decimal("190"), "JPY")


def test_a_rate_is_said_as_it_is_quoted() -> None:
    """One of ours in theirs, or one of theirs in ours, with its day."""
    assert rate_words(RATE, "GBP") == "1 GBP = 1.25 EUR on 2026-11-20"
    assert rate_words(replace(RATE, is_quoted_per_theirs=True), "GBP") == "1 EUR = 1.25 GBP on 2026-11-20"


def test_cash_is_rounded_where_the_coins_are_coarser_than_the_money() -> None:
    """CLDR: Swedish bills go to the krona and Canadian ones to 5 cents; sterling and yen need no rounding."""
    assert cash_rounded(Money(Decimal("12.50"), "SEK")) == Money(Decimal("13.00"), "SEK")
    assert cash_rounded(Money(Decimal("1.97"), "CAD")) == Money(Decimal("1.95"), "CAD")
    assert cash_rounded(Money(Decimal("1.97"), "GBP")) is None
    assert cash_rounded(Money(Decimal("197"), "JPY")) is None


def test_water_is_free_whatever_it_is_for() -> None:
    """Listed at no cost."""
    dish = recipe("dish", [line("water", "1 l", purpose=Purpose.WATER), line("peas", "1")])
    assert [item.cost for item in costed(episode([dish], PRICES)).recipes[0].lines] == [pounds("0"), pounds("4")]
