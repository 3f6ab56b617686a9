"""Lines tied to price rows: which row, how much is bought, and what is said where that is not known."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from costing_helpers import DAY, amount, episode, line, recipe, row

from shootplan.model.episode import PriceKind, PriceRow
from shootplan.model.quantity import Amount
from shootplan.model.recipe import Alternate, IngredientLine, RecipeKind
from shootplan.model.resolved import ResolvedLine
from shootplan.problems import Problem, Severity, Span
from shootplan.resolve import resolve_episode
from shootplan.resolve.names import is_within, plain


def resolved(
    made: IngredientLine, rows: list[PriceRow], *, scale: str = "1", **more: Any
) -> tuple[ResolvedLine, list[Problem]]:
    """Return one line resolved, and the problems."""
    dish = recipe("dish", [made], scale=Fraction(scale))
    result, problems = resolve_episode(episode([dish], rows, **more))
    return result.recipes[0].lines[0], list(problems)


def bought(made: IngredientLine, priced: PriceRow, **more: Any) -> tuple[Amount | None, Amount | None]:
    """Return what is bought and its pack."""
    found, _ = resolved(made, [priced], **more)
    return found.as_bought, found.pack


# ------------------------------------------------------------------------------------------- names


@pytest.mark.parametrize(
    ("name", "other"),
    [
        ("Floury  Potatoes", "floury potato"),
        ("tomatoes", "Tomato"),
        ("berries", "berry"),
        ("bay leaves", "bay leaf"),
        ("radishes", "radish"),
        ("day-old bread", "day old bread"),
        ("chives", "chive"),
    ],
)
def test_case_spaces_and_plain_plurals_do_not_matter(name: str, other: str) -> None:
    """The two names find the same row."""
    assert plain(name) == plain(other)


@pytest.mark.parametrize(("name", "other"), [("oats", "oat milk"), ("leek", "leeks soup"), ("couscous", "couscou")])
def test_anything_further_apart_is_another_name(name: str, other: str) -> None:
    """Exact only, never near."""
    assert plain(name) != plain(other)


def test_words_stand_within_a_name_in_any_number() -> None:
    """ "potatoes" is within "floury potatoes"; no words are within nothing."""
    assert is_within("potatoes", "floury potato")
    assert not is_within("", "floury potato")


# ------------------------------------------------------------------------------------------- which row


def test_the_newest_row_that_is_not_in_the_future_counts() -> None:
    """A receipt of next week is no price of today's episode."""
    rows = [
        row("oats", "1 kg", "1.00", seen=date(2026, 10, 1)),
        row("oats", "1 kg", "1.20", seen=date(2026, 11, 25)),
        row("oats", "1 kg", "9.00", seen=date(2026, 11, 26)),
        row("oats", "1 kg", "1.10", seen=None),
    ]
    found, _ = resolved(line("oats", "50 g"), rows)
    assert found.price is not None
    assert found.price.price == Decimal("1.20")


def test_a_regular_price_comes_before_a_newer_offer() -> None:
    """An offer counts only where there is no regular row (rule M5)."""
    rows = [
        row("oats", "1 kg", "1.20", seen=date(2026, 11, 1)),
        row("oats", "1 kg", "0.80", seen=date(2026, 11, 20), kind=PriceKind.OFFER),
    ]
    found, _ = resolved(line("oats", "50 g"), rows)
    assert found.price is rows[0]


def test_an_offer_that_names_its_regular_price_counts_by_its_day() -> None:
    """It says what the item costs regularly, later than the older row does."""
    offer = row("oats", "1 kg", "0.80", kind=PriceKind.OFFER, regular_price=Decimal("1.30"))
    found, _ = resolved(line("oats", "50 g"), [row("oats", "1 kg", "1.20", seen=date(2026, 11, 1)), offer])
    assert found.price is offer


def test_buy_names_another_row() -> None:
    """ "buy:" overrides the item's name."""
    found, problems = resolved(line("rocket", "50 g", buy="salad leaves"), [row("salad leaves", "100 g", "1.00")])
    assert found.price is not None
    assert "price-missing" not in [p.code for p in problems]


def test_a_missing_price_is_a_warning_with_a_hint() -> None:
    """The nearest name is a hint, never a match."""
    found, problems = resolved(line("rolled oat flakes", "50 g"), [row("rolled oats", "1 kg", "1.00")])
    missing = [p for p in problems if p.code == "price-missing"]
    assert [(p.severity, p.hint) for p in missing] == [(Severity.WARNING, 'did you mean "rolled oats"?')]
    assert (found.price, found.as_bought) == (None, None)
    assert found.unpriced_because


def test_a_price_of_zero_is_no_price() -> None:
    """Only water is free."""
    found, problems = resolved(line("salt", "3 g"), [row("salt", "1 kg", "0")])
    assert "price-zero" in [p.code for p in problems]
    assert found.unpriced_because


def test_another_currency_is_no_price() -> None:
    """Euros are not added to pounds."""
    found, problems = resolved(line("salt", "3 g"), [row("salt", "1 kg", "1.00", currency="EUR")])
    assert "price-currency" in [p.code for p in problems]
    assert found.unpriced_because


def test_a_pack_price_read_as_a_unit_price_is_noticed() -> None:
    """1.00 a kilo last month, 6.00 a kilo now: more than five times."""
    for price, expected in (("6.00", True), ("5.00", False)):
        rows = [
            row("oats", "1 kg", "1.00", seen=date(2026, 10, 1)),
            row("oats", "1 kg", price, span=Span("prices.csv", 3)),
        ]
        _, problems = resolved(line("oats", "50 g"), rows)
        jumps = [p for p in problems if p.code == "price-jump"]
        assert [(p.severity, p.span) for p in jumps] == [(Severity.WARNING, Span("prices.csv", 3))] * expected


def test_an_offer_that_ended_is_skipped() -> None:
    """The offer counted to the day before the shoot; on its last day it still counts."""
    for until, price in ((DAY - timedelta(days=1), "1.00"), (DAY, "0.60")):
        rows = [
            row("oats", "1 kg", "1.00", seen=date(2026, 10, 1)),
            row("oats", "1 kg", "0.60", kind=PriceKind.OFFER, regular_price=Decimal("1.00"), until=until),
        ]
        found, _ = resolved(line("oats", "50 g"), rows)
        assert found.price is not None
        assert found.price.price == Decimal(price)


def test_water_and_ice_need_no_price() -> None:
    """Listed, free, and no problem; coconut water is bought."""
    for name in ("hot water", "water", "ice cubes"):
        found, _ = resolved(line(name, "200 ml"), [])
        assert found.is_free
    assert not resolved(line("coconut water", "200 ml"), [])[0].is_free


def test_no_amount_is_fine_to_taste_and_unknown_otherwise() -> None:
    """ "salt, to taste" is not costed; "cheese" without an amount cannot be."""
    found, _ = resolved(line("salt", None, is_to_taste=True), [])
    assert found.is_not_costed
    found, problems = resolved(line("cheese", None), [row("cheese", "1 kg", "9.00")])
    assert not found.is_not_costed
    assert found.unpriced_because
    assert "amount-missing" in [p.code for p in problems]


# ------------------------------------------------------------------------------------------- how much


@pytest.mark.parametrize(
    ("made", "priced", "expected"),
    [
        (line("oats", "50 g"), row("oats", "1 kg", "1"), "1/20 kg"),
        (line("oil", "2 tbsp"), row("oil", "1 l", "1"), "3/100 l"),
        (line("mustard", "1 tbsp", second="15 g"), row("mustard", "180 g", "1"), "15 g"),
        (line("tomatoes", "2 tin"), row("tomatoes", "1 can", "1"), "2 can"),
        (line("tomatoes", "2 tin", each="400 g"), row("tomatoes", "400 g", "1"), "800 g"),
        (line("tomatoes", "2 tin", each="400 g"), row("tomatoes", "1 tin, 400 g", "1"), "2 tin"),
        (line("tomatoes", "2 tin", each="400 g"), row("tomatoes", "1 tin, 240 g", "1"), "800 g"),
        (line("cabbage", "1"), row("cabbage", "1 head", "1"), "1 head"),
        (line("eggs", "2 egg"), row("eggs", "12", "1"), "2"),
        (line("garlic", "2 clove"), row("garlic", "10 clove, 1 bulb", "1"), "2 clove"),
        (line("garlic", "1 bulb"), row("garlic", "10 clove, 1 bulb", "1"), "1 bulb"),
        (line("chilli sauce", "1-2 tbsp"), row("chilli sauce", "300 ml", "1"), "30 ml"),
        (line("syrup", "2 tbsp"), row("syrup", "700 g", "1", density_g_per_ml="7/5"), "42 g"),
        (line("syrup", "42 g"), row("syrup", "500 ml", "1", density_g_per_ml="7/5"), "30 ml"),
        (line("onions", "2"), row("onions", "1 kg", "1", piece_g="110"), "11/50 kg"),
        (line("onions", "220 g"), row("onions", "1", "1", piece_g="110"), "2"),
    ],
    ids=lambda value: getattr(value, "item", None),
)
def test_what_is_bought_is_told_in_a_unit_of_the_pack(made: IngredientLine, priced: PriceRow, expected: str) -> None:
    """Through the line's own measures first, then the item's density or piece weight; upper end of a range."""
    assert bought(made, priced)[0] == amount(expected)


def test_a_prepared_amount_is_divided_by_the_yield() -> None:
    """300 g at 79 %: the line's own yield, else the price book's (rule M1)."""
    made = line("savoy cabbage", "300 g", is_prepared=True)
    by_row = bought(made, row("savoy cabbage", "700 g", "1", yield_percent="79"))[0]
    assert by_row == Amount.of(Fraction(30000, 79), "g")
    by_line = line("savoy cabbage", "300 g", is_prepared=True, yield_percent=Fraction(50))
    assert bought(by_line, row("savoy cabbage", "700 g", "1", yield_percent="79"))[0] == amount("600 g")


def test_a_yield_is_not_applied_to_what_is_given_as_bought() -> None:
    """The book's 79 % is for prepared amounts only."""
    assert bought(line("savoy cabbage", "300 g"), row("savoy cabbage", "700 g", "1", yield_percent="79"))[0] == amount(
        "300 g"
    )


def test_a_published_yield_steps_in_and_is_named() -> None:
    """Apples yield 76 % ("Bakery and Business Math", open textbook, ch. 25): 152 g prepared are 200 g bought."""
    found, _ = resolved(line("apples", "152 g", is_prepared=True), [row("apples", "1 kg", "1", is_loose=True)])
    assert (found.yield_percent, found.as_bought) == (76, amount("1/5 kg"))
    assert "Bakery and Business Math" in found.weight_source


def test_a_prepared_amount_without_any_yield_stays_unknown() -> None:
    """Not 100 %: that would be too little bought."""
    found, problems = resolved(line("glimmer root", "300 g", is_prepared=True), [row("glimmer root", "700 g", "1")])
    assert found.as_bought is None
    assert "yield-missing" in [p.code for p in problems]


def test_a_published_weight_steps_in_and_is_named() -> None:
    """A US cup of granulated sugar is 200 g (USDA SR28); a label cup of 240 ml is 240 / 236.588 of that."""
    found, _ = resolved(line("sugar", "1 cup"), [row("sugar", "1 kg", "1")])
    assert found.as_bought is not None
    assert abs(found.as_bought.high - Fraction("0.20288")) < Fraction(1, 10000)
    assert found.weight_source


@pytest.mark.parametrize(
    ("made", "priced"),
    [
        (line("glimmer root", "1 cup"), row("glimmer root", "100 g", "1")),
        (line("glimmer root", "2 clove"), row("glimmer root", "1 bulb", "1")),
        (line("chickpeas", "1 tin"), row("chickpeas", "1 kg", "1")),
    ],
    ids=["volume for weight", "cloves for a bulb", "a tin without its weight"],
)
def test_what_cannot_be_compared_is_said_and_stays_unknown(made: IngredientLine, priced: PriceRow) -> None:
    """Never water's density, never a guessed bulb."""
    found, problems = resolved(made, [priced])
    assert found.as_bought is None
    assert made.item in found.unpriced_because
    assert [p.severity for p in problems if p.code == "unit-unconvertible"] == [Severity.WARNING]


def test_scaling_scales_what_is_bought() -> None:
    """Four to six: 100 g become 150 g, and the flags say what does not scale (rule A4)."""
    dish = recipe("dish", [line("oats", "100 g")], scale=Fraction(3, 2))
    result, _ = resolve_episode(episode([dish], [row("oats", "1000 g", "1")]))
    assert result.recipes[0].lines[0].as_bought == amount("150 g")
    assert [flag.split(":")[0] for flag in result.recipes[0].flags] == [
        "minutes are not scaled", "pan size is not scaled", "oven temperature is not scaled"
    ]  # fmt: skip


def test_an_unscaled_recipe_has_no_flags() -> None:
    """Nothing to watch for."""
    assert resolve_episode(episode([recipe("dish", [])], []))[0].recipes[0].flags == ()


def test_two_measures_that_disagree_are_said() -> None:
    """100 ml of syrup at 1.4 g a millilitre is 140 g, not 100 g; 135 g is within the 10 % of rule A3."""
    for grams, expected in (("100 g", True), ("135 g", False)):
        made = line("syrup", grams, second="20/3 tbsp")
        _, problems = resolved(made, [row("syrup", "700 g", "1", density_g_per_ml="7/5")])
        assert ("measures-differ" in [p.code for p in problems]) is expected


# ------------------------------------------------------------------------------------------- alternates, allergens


def test_an_alternate_is_resolved_like_a_line() -> None:
    """With the base's amount where it has none of its own."""
    made = line(
        "cheddar",
        "60 g",
        second="1/2 cup",
        alternates=(Alternate(item="tofu"), Alternate(item="eggs", amount=amount("2"))),
    )
    found, _ = resolved(made, [row("cheddar", "350 g", "1"), row("tofu", "200 g", "1"), row("eggs", "12", "1")])
    assert [item.as_bought for item in found.alternates] == [amount("60 g"), amount("2")]


def test_a_line_names_the_allergens_that_it_suggests() -> None:
    """Groups of EU 1169/2011 Annex II; what is not certain says that the label decides; the book's words are added."""
    found, _ = resolved(line("butter", "28 g"), [row("butter", "250 g", "1", allergens="milk, may contain nuts")])
    assert found.allergens == ("milk", "may contain nuts")
    found, _ = resolved(line("stock cube", "1 cube"), [])
    assert any("read the label" in name for name in found.allergens)


# ------------------------------------------------------------------------------------------- batches


def batches(makes: str, used: str, *, circular: bool = False) -> list[str]:
    """Return the codes found for a dish that uses a sauce."""
    lines = [line("tomato", "1")] + ([line("stock", "1 ml")] if circular else [])
    sub = {"kind": RecipeKind.SUB_PREPARATION}
    sauce = recipe("sauce", lines, makes=amount(makes), makes_name="red sauce", **sub)
    stock = recipe("stock", [line("red sauce", "1 ml")], makes=amount("1 l"), makes_name="stock", **sub)
    recipes = [recipe("dish", [line("red sauce", used)]), sauce, *([stock] if circular else [])]
    return [p.code for p in resolve_episode(episode(recipes, [row("tomato", "1", "1.00")]))[1]]


def test_a_batch_must_be_large_enough() -> None:
    """600 ml of a 500 ml batch."""
    assert "batch-too-small" in batches("500 ml", "600 ml")
    assert "batch-too-small" not in batches("500 ml", "500 ml")


def test_a_batch_is_not_an_ingredient_of_itself() -> None:
    """Sauce of stock of sauce."""
    assert "batch-circular" in batches("500 ml", "100 ml", circular=True)
    assert "batch-circular" not in batches("500 ml", "100 ml")


def test_a_batch_is_used_in_its_own_kind_of_measure() -> None:
    """Grams of something that is made by the jar."""
    assert "unit-unconvertible" in batches("1 jar", "100 g")


def test_a_batch_without_a_size_leaves_its_share_unknown() -> None:
    """The sauce does not say how much it makes, or the dish not how much it takes."""
    for makes, used in ((None, "100 ml"), (amount("500 ml"), None)):
        sauce = recipe("sauce", [], kind=RecipeKind.SUB_PREPARATION, makes=makes, makes_name="red sauce")
        made = episode([recipe("dish", [line("red sauce", used)]), sauce], [])
        result, problems = resolve_episode(made)
        assert [p.code for p in problems] == ["unit-unconvertible"]
        assert result.recipes[0].lines[0].unpriced_because


def test_a_pack_of_nothing_sells_nothing() -> None:
    """A pack of 0 g is no divisor."""
    found, _ = resolved(line("oats", "50 g"), [row("oats", "0 g", "1.00")])
    assert found.as_bought is None
    assert found.unpriced_because
