"""Cost used: lines, options, alternates, staples, sub-preparations; figures worked by hand."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from costing_helpers import amount, episode, line, mention, recipe, row, steps

from shootplan.cost import cost_episode, in_second_currency, shop_episode
from shootplan.cost.currency import cash_rounded
from shootplan.model.costing import EpisodeCost
from shootplan.model.episode import Episode, PriceKind, SecondCurrency, StaplesPolicy
from shootplan.model.money import Cost, Money, half_up
from shootplan.model.recipe import Alternate, Group, Purpose, RecipeKind
from shootplan.model.shopping import Shopping
from shootplan.printing import money_text
from shootplan.resolve import resolve_episode


def costed(made: Episode) -> EpisodeCost:
    return cost_episode(resolve_episode(made)[0])[0]


def codes(made: Episode) -> list[str]:
    return [finding.code for finding in cost_episode(resolve_episode(made)[0])[1]]


def shopped(made: Episode, **more: object) -> Shopping:
    return shop_episode(resolve_episode(made)[0], **more)  # type: ignore[arg-type]


# ------------------------------------------------------------------------------------------- a pot of barley


BARLEY = recipe(
    "barley",
    [
        line("barley", "150 g"),
        line("savoy cabbage", "300 g", is_prepared=True, yield_percent=Fraction(79)),
        line("onion", "110 g"),
        line("oil", "15 ml"),
        line("stock cube", "2 cube"),
        line("tomatoes", "1 tin"),
        line("salt", "3 g"),
        line("cheese", "40 g", is_optional=True),
    ],
    hearty=4,
    small=6,
)
BARLEY_PRICES = [
    row("barley", "500 g", "0.90"),
    row("savoy cabbage", "1 head, 700 g", "0.95"),
    row("onion", "1 kg", "1.00"),
    row("oil", "1 l", "1.90"),
    row("stock cube", "12 cube", "0.96"),
    row("tomatoes", "1 tin", "0.45"),
    row("salt", "750 g", "0.60"),
    row("cheese", "350 g", "2.80"),
]


def test_each_line_costs_as_bought_over_pack_times_price() -> None:
    """Worked by hand: the cabbage is 300 / 0.79 / 700 of 0.95, and nothing is rounded on the way."""
    cost = costed(episode([BARLEY], BARLEY_PRICES)).recipes[0]
    lines = [str(half_up(item.cost.exact, 6)) for item in cost.lines if item.cost]
    expected = ["0.270000", "0.515371", "0.110000", "0.028500", "0.160000", "0.450000", "0.002400", "0.320000"]
    assert lines == expected
    assert str(half_up(cost.core.exact, 6)) == "1.536271"
    assert str(half_up(cost.with_options.exact, 6)) == "1.856271"


def test_servings_share_the_exact_sum() -> None:
    """Worked by hand: 0.38 for four, 0.26 for six; with cheese 0.46 and 0.31."""
    cost = costed(episode([BARLEY], BARLEY_PRICES)).recipes[0]
    figures = [cost.core_per, cost.with_options_per]
    assert [str(f.per_hearty.rounded(2).amount) for f in figures] == ["0.38", "0.46"]
    assert [str(f.per_small.rounded(2).amount) for f in figures if f.per_small] == ["0.26", "0.31"]


def test_the_till_charges_whole_packs() -> None:
    """Worked by hand: 6.76 without the cheese, 9.56 with it."""
    shopping = shopped(episode([BARLEY], BARLEY_PRICES))
    assert str(shopping.empty_cupboard.total.amount) == "6.76"
    assert str(shopping.empty_cupboard_with_options.total.amount) == "9.56"


def test_a_forgotten_yield_is_another_figure() -> None:
    """Worked by hand: taken as bought, the same lines come to 1.428043."""
    lines = [line("savoy cabbage", "300 g") if i.item == "savoy cabbage" else i for i in BARLEY.lines]
    cost = costed(episode([recipe("barley", lines)], BARLEY_PRICES)).recipes[0]
    assert str(half_up(cost.core.exact, 6)) == "1.428043"


# ------------------------------------------------------------------------------------------- what cannot be known


def test_a_line_without_a_price_is_never_zero() -> None:
    """The cost is unknown, the recipe names it as missing, and a finding says "at least"."""
    made = episode([recipe("dish", [line("oats", "50 g"), line("saffron", "1 g")])], [row("oats", "1 kg", "1.00")])
    cost = costed(made).recipes[0]
    assert [item.cost for item in cost.lines] == [Cost(Fraction(1, 20), "GBP"), None]
    assert cost.missing == ("saffron",)
    assert not cost.is_complete
    assert "cost-at-least" in codes(made)


def test_to_taste_is_listed_and_not_costed() -> None:
    """Rule M8: no amount, no cost, but named."""
    made = episode(
        [recipe("dish", [line("oats", "50 g"), line("pepper", None, is_to_taste=True)])], [row("oats", "1 kg", "1.00")]
    )
    cost = costed(made).recipes[0]
    assert cost.not_costed == ("pepper",)
    assert cost.is_complete
    assert "not-costed" in codes(made)


def test_water_costs_nothing() -> None:
    """Water is listed, free, and never missing."""
    made = episode([recipe("dish", [line("hot water", "200 ml", purpose=Purpose.WATER), line("ice", "4")])], [])
    cost = costed(made).recipes[0]
    assert cost.core.exact == 0
    assert cost.is_complete


def test_a_range_costs_its_upper_end() -> None:
    """Rule M8: 1 to 2 tbsp at 1.00 for 10 tbsp costs 0.20."""
    made = episode([recipe("dish", [line("chilli sauce", "1-2 tbsp")])], [row("chilli sauce", "10 tbsp", "1.00")])
    assert costed(made).core.exact == Fraction(1, 5)


# ------------------------------------------------------------------------------------------- options, alternates


def test_each_option_is_priced_alone() -> None:
    """Two options of 0.40 and 0.20 on a core of 1.00 for four: 0.35 and 0.30 a serving, 0.40 with both."""
    lines = [line("a", "1"), line("b", "1", is_optional=True), line("c", "1", is_optional=True)]
    rows = [row("a", "1", "1.00"), row("b", "1", "0.40"), row("c", "1", "0.20")]
    cost = costed(episode([recipe("dish", lines)], rows)).recipes[0]
    assert [option.per_serving_with.exact for option in cost.options] == [Fraction("0.35"), Fraction("0.30")]
    assert cost.with_options_per.per_hearty.exact == Fraction("0.40")


def test_an_alternate_is_a_difference() -> None:
    """Rule M4: the base is costed, the alternate says what it adds to dish and serving, and which allergens."""
    base = line(
        "cheddar", "60 g", alternates=(Alternate(item="vegan block"), Alternate(item="brie", amount=amount("30 g")))
    )
    rows = [row("cheddar", "600 g", "3.00"), row("vegan block", "600 g", "7.00"), row("brie", "100 g", "1.00")]
    rows[1] = row("vegan block", "600 g", "7.00", allergens="soya; nuts")
    cost = costed(episode([recipe("dish", [base])], rows)).recipes[0]
    assert cost.core.exact == Fraction("0.30")
    deltas = [item.delta.exact for item in cost.alternates if item.delta]
    assert deltas == [Fraction("0.40"), 0]
    assert cost.alternates[0].per_serving_delta == Cost(Fraction("0.10"), "GBP")
    assert cost.alternates[0].allergens_added == ("soya", "nuts")
    assert cost.alternates[0].allergens_removed == ("milk",)


def test_an_alternate_without_a_price_has_no_difference() -> None:
    """Unknown stays unknown."""
    base = line("cheddar", "60 g", alternates=(Alternate(item="moon cheese"),))
    cost = costed(episode([recipe("dish", [base])], [row("cheddar", "600 g", "3.00")])).recipes[0]
    assert cost.alternates[0].delta is None


# ------------------------------------------------------------------------------------------- staples, prices

STAPLES = recipe("dish", [line("oats", "100 g"), line("oil", "10 ml")])
STAPLE_PRICES = [row("oats", "1 kg", "2.00"), row("oil", "100 ml", "1.00", is_staple=True)]


@pytest.mark.parametrize(
    ("policy", "core"), [(StaplesPolicy.COUNT, "0.30"), (StaplesPolicy.FREE, "0.20"), (StaplesPolicy.FLAT, "0.40")]
)
def test_staples_follow_the_policy(policy: StaplesPolicy, core: str) -> None:
    """Oats 0.20 and oil 0.10: counted, free, or 0.05 a serving for four."""
    cost = costed(episode([STAPLES], STAPLE_PRICES, staples=policy, staples_flat=Decimal("0.05")))
    assert cost.core.exact == Fraction(core)


def test_a_policy_that_leaves_staples_out_is_said() -> None:
    """Oil is not forgotten silently."""
    assert "staples-policy" in codes(episode([STAPLES], STAPLE_PRICES, staples=StaplesPolicy.FREE))
    assert "staples-policy" not in codes(episode([STAPLES], STAPLE_PRICES))


def test_an_offer_counts_at_its_regular_price_and_is_paid_at_the_offer() -> None:
    """Rule M5 for what is published, the receipt for the till."""
    offer = row("cheese", "100 g", "1.00", kind=PriceKind.OFFER, regular_price=Decimal("1.60"))
    made = episode([recipe("dish", [line("cheese", "50 g")])], [offer])
    cost = costed(made).recipes[0]
    assert cost.core.exact == Fraction("0.80")
    assert cost.lines[0].pack_price == Money(Decimal("1.60"), "GBP")
    assert cost.offers == ()
    assert shopped(made).bill.total.amount == Decimal("1.00")


def test_prices_that_are_old_on_offer_or_guessed_are_named() -> None:
    """Each with its own finding."""
    rows = [
        row("a", "1", "1.00", seen=date(2026, 10, 1)),
        row("b", "1", "1.00", kind=PriceKind.OFFER),
        row("c", "1", "1.00", source="guess"),
        row("d", "1", "1.00", seen=None),
    ]
    made = episode([recipe("dish", [line(name, "1") for name in "abcd"])], rows)
    cost = costed(made).recipes[0]
    assert (cost.stale, cost.offers, cost.guessed) == (("a", "d"), ("b",), ("c",))
    assert [c for c in codes(made) if c.startswith("price-")] == ["price-stale", "price-offer", "price-guessed"]


def test_a_price_is_old_after_the_limit_and_not_on_it() -> None:
    """Thirty days is the limit: 26 October is not old on 25 November, 25 October is."""
    for seen, expected in ((date(2026, 10, 26), ()), (date(2026, 10, 25), ("a",))):
        made = episode([recipe("dish", [line("a", "1")])], [row("a", "1", "1.00", seen=seen)])
        assert costed(made).recipes[0].stale == expected


def test_lines_that_do_not_add_up_as_rounded_are_no_finding() -> None:
    """Three lines of 0.004 print 0.00 each and 0.01 together: the total is right, so only the cost table says so."""
    made = episode([recipe("dish", [line(name, "1") for name in "abc"])], [row(name, "250", "1.00") for name in "abc"])
    assert codes(made) == []


# ------------------------------------------------------------------------------------------- sub-preparations


def test_a_group_costs_by_the_share_of_its_batch_that_steps_use() -> None:
    """Rule M4: 60 g of a 240 g batch that costs 4.00 is 1.00; the rest is left over."""
    group = Group(id="pickle", title="Pickle", makes=amount("240 g"), is_optional=True)
    made = recipe(
        "soup",
        [line("peas", "1"), line("onion", "1", group="pickle")],
        groups=(group,),
        steps=steps(
            ("Pickle the onion", [mention("onion")], {"makes": "pickle"}),
            ("Boil", [mention("peas")]),
            ("Serve", [mention("pickle", "60 g")]),
        ),
    )
    resolved, problems = resolve_episode(episode([made], [row("peas", "1", "2.00"), row("onion", "1", "4.00")]))
    assert problems == ()
    cost = cost_episode(resolved)[0].recipes[0]
    assert (cost.core.exact, cost.with_options.exact) == (2, 3)
    assert [(option.name, option.cost) for option in cost.options] == [("pickle", Cost(Fraction(1), "GBP"))]
    assert resolved.recipes[0].products[0].leftover == amount("180 g")


def test_a_recipe_may_use_another_recipes_batch() -> None:
    """A sauce of 500 ml for 5.00, of which 100 ml: 1.00; the sauce itself is in no total, but bought once."""
    sauce = recipe(
        "sauce", [line("tomato", "1")], kind=RecipeKind.SUB_PREPARATION, makes=amount("500 ml"), makes_name="red sauce"
    )
    dish = recipe("dish", [line("red sauce", "100 ml")])
    made = episode([dish, sauce], [row("tomato", "1", "5.00")])
    costs = costed(made)
    assert [item.core.exact for item in costs.recipes] == [1, 5]
    assert costs.core.exact == 1
    assert shopped(made).bill.total.amount == Decimal("5.00")


# ------------------------------------------------------------------------------------------- money in words


def test_money_is_written_as_the_locale_does() -> None:
    """Unicode CLDR by way of its library: "£1.28" in British English, "6,37 kr" with a no-break space in Swedish."""
    assert money_text(Money(Decimal("1.28"), "GBP"), "en_GB") == "£1.28"
    assert money_text(Money(Decimal("6.37"), "SEK"), "sv_SE") == "6,37\u00a0kr"
    assert money_text(Money(Decimal("1.28"), "GBP"), "no such place") == "£1.28"


def test_the_second_currency_is_the_exact_cost_times_the_dated_rate() -> None:
    """Worked by hand: 1.4949 at 1.27 is 1.898523, about 1.90; of the rounded 1.49 it would be 1.89."""
    also = SecondCurrency(currency="EUR", rate=Decimal("1.27"), on=date(2026, 10, 1))
    assert in_second_currency(Cost(Fraction("1.4949"), "GBP"), also) == Money(Decimal("1.90"), "EUR")


def test_coins_that_cldr_leaves_out_round_too() -> None:
    """From memory: the smallest coins are 5 cents in Australia and 10 cents in New Zealand."""
    assert cash_rounded(Money(Decimal("1.97"), "AUD")) == Money(Decimal("1.95"), "AUD")
    assert cash_rounded(Money(Decimal("1.95"), "NZD")) == Money(Decimal("2.00"), "NZD")
