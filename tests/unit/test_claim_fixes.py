"""What would heal a refused claim, and how far prices may rise before an allowed one fails; worked by hand."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from costing_helpers import amount, claim, episode, line, recipe, row

from shootplan.cost import cost_episode
from shootplan.model.costing import ClaimFix, ClaimVerdict
from shootplan.model.episode import Claim, PriceRow, StaplesPolicy
from shootplan.model.recipe import Recipe, RecipeKind
from shootplan.resolve import resolve_episode


def judged(made: Claim, recipes: list[Recipe], rows: list[PriceRow], **more: object) -> ClaimVerdict:
    """Return the verdict on one claim."""
    resolved, _ = resolve_episode(episode(recipes, rows, claims=(made,), **more))
    return cost_episode(resolved)[0].verdicts[0]


@pytest.mark.parametrize(
    ("now", "passing", "percent"),
    [
        ("3 g", "1 g", "66.7"),
        ("3 ml", "1 ml", "66.7"),
        ("3 tsp", "5/4 tsp", "58.3"),
        ("3 tbsp", "1 tbsp", "66.7"),
        ("3 cup", "5/4 cup", "58.3"),
        ("3 dl", "1 dl", "66.7"),
        *((f"3 {unit}", f"29/20 {unit}", "51.7") for unit in ("kg", "l", "oz", "lb", "cl", "pint", "quart", "fl oz")),
        ("3 clove", "1 clove", "66.7"),
    ],
)
def test_an_amount_is_cut_in_the_steps_of_its_unit(now: str, passing: str, percent: str) -> None:
    """
    3 of anything at 1.00 each, under 1.50: below 1.495 in steps of 1/2 g or ml, 1/4 tsp or cup, 1/2 tbsp or dl.

    Kilograms and the like go in twentieths, pieces whole. 1 of 3 is a cut of 66.7 %, 1.25 of 58.3 %, 1.45 of 51.7 %.
    """
    unit = now.split(" ", 1)[1]
    dish = recipe("pie", [line("crust", now)], hearty=1)
    verdict = judged(claim("under", "1.50", "pie"), [dish], [row("crust", f"1 {unit}", "1.00")])
    assert verdict.fixes == (
        ClaimFix(
            recipe="pie", item="crust", amount_now=amount(now), amount=amount(passing), cut_percent=Decimal(percent)
        ),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("limit", "passing"),
    [
        ("0.10", "9 g"),  # 9.5 costs 0.095, which prints 0.10
        ("0.11", "10 g"),
        ("0.30", "29 g"),
        ("0.51", "50 g"),
        ("2.00", "195 g"),
        ("2.51", "250 g"),
        ("5.00", "490 g"),
        ("10.01", "1000 g"),
        ("15.00", "1450 g"),
    ],
)
def test_grams_are_cut_in_coarser_steps_the_more_there_are(limit: str, passing: str) -> None:
    """1 g costs 0.01: half a gram up to 10 g, 1 up to 50, 5 up to 250, 10 up to 1000, then 50 (rule A2)."""
    dish = recipe("pie", [line("crust", "3000 g")], hearty=1)
    verdict = judged(claim("under", limit, "pie"), [dish], [row("crust", "100 g", "1.00")])
    assert [fix.amount for fix in verdict.fixes] == [amount(passing)]


def test_below_a_step_the_finer_one_counts() -> None:
    """4.95 a 100 g, under 0.50: below 10 g exactly, where half grams are still weighed, so 9.5."""
    for unit in ("g", "ml"):
        dish = recipe("pie", [line("crust", f"30 {unit}")], hearty=1)
        verdict = judged(claim("under", "0.50", "pie"), [dish], [row("crust", f"100 {unit}", "4.95")])
        assert [fix.amount for fix in verdict.fixes] == [amount(f"19/2 {unit}")]


def test_a_line_that_is_all_of_the_excess_cannot_heal_it() -> None:
    """Crust 1.495 and egg 0.50, under 1.50: without any egg it still prints 1.50; of the crust a third would go."""
    dish = recipe("pie", [line("crust", "299 g"), line("egg", "100 g")], hearty=1)
    rows = [row("crust", "200 g", "1.00"), row("egg", "200 g", "1.00")]
    verdict = judged(claim("under", "1.50", "pie"), [dish], rows)
    assert [fix.item for fix in verdict.fixes] == ["crust"]
    assert verdict.tipping_line == "crust"


def test_an_amount_is_cut_from_what_the_scaled_recipe_takes() -> None:
    """2 g for one, scaled by 3/2 to 3 g: as above, 1 g passes, told of the 3."""
    dish = recipe("pie", [line("crust", "2 g")], hearty=2, scale=Fraction(3, 2))
    (fix,) = judged(claim("under", "0.50", "pie"), [dish], [row("crust", "1 g", "1.00")]).fixes
    assert (fix.amount_now, fix.amount) == (amount("3 g"), amount("1 g"))


# ------------------------------------------------------------------------------------------- several recipes

#: 4.00 and 8.00 for four each: 1.00 and 2.00 a serving, one gram 0.01 of a dish.
TWO = [recipe("soup", [line("soup", "400 g")]), recipe("pie", [line("pie", "800 g")])]
TWO_PRICES = [row("soup", "100 g", "1.00"), row("pie", "100 g", "1.00")]


@pytest.mark.parametrize(
    ("scope", "limit", "tipping", "fixes"),
    [
        # the mean of 1.50 must lose 0.105: 0.21 of one serving, 0.84 of a dish: below 716 and 316 g
        ("average", "1.40", "pie", [("pie", "710 g", "11.3"), ("soup", "310 g", "22.5")]),
        # the sum of 3.00 must lose 0.105 of one serving, 0.42 of a dish: below 758 and 358 g
        ("total", "2.90", "pie", [("pie", "750 g", "6.3"), ("soup", "350 g", "12.5")]),
        ("total", "1.00", "soup", []),
        # only the dearest is too dear: 0.105 of one serving again
        ("every", "1.90", "pie", [("pie", "750 g", "6.3")]),
    ],
)
def test_lines_of_all_recipes_behind_the_figure_may_heal_it(
    scope: str, limit: str, tipping: str, fixes: list[tuple[str, str, str]]
) -> None:
    """The least cut first; what alone reaches the ceiling is named."""
    verdict = judged(claim("under", limit, scope), TWO, TWO_PRICES)
    assert verdict.tipping_line == tipping
    assert [(fix.recipe, fix.amount, str(fix.cut_percent)) for fix in verdict.fixes] == [
        (name, amount(text), percent) for name, text, percent in fixes
    ]


@pytest.mark.parametrize(("scale", "tipping"), [(Fraction(1), "cheese"), (Fraction(2), "cheese")])
def test_a_line_adds_to_a_small_serving_what_a_small_serving_has_of_it(scale: Fraction, tipping: str) -> None:
    """For four or six, pie 4.80 and cheese 1.20: the small serving is 0.80, with the cheese 1.00."""
    dish = recipe("pie", [line("pie", "1"), line("cheese", "1")], hearty=4, small=6, scale=scale)
    rows = [row("pie", "1", "4.80"), row("cheese", "1", "1.20")]
    assert judged(claim("under", "1.00", "pie", is_small=True), [dish], rows).tipping_line == tipping


# ------------------------------------------------------------------------------------------- staples as a flat sum


@pytest.mark.parametrize(
    ("scope", "limit", "tipping"),
    [
        ("average", "0.58", "pie"),  # 0.05 flat and 0.50 of the soup are 0.55, below 0.575
        ("average", "0.55", "soup"),  # and above 0.545
        ("total", "1.08", "soup"),  # 0.10 flat for two servings and 1.00 of the soup
        ("total", "1.11", "pie"),  # 1.10 is below 1.105
        ("every", "0.05", ""),  # the flat sum alone prints 0.05
    ],
)
def test_the_flat_sum_stands_before_all_lines(scope: str, limit: str, tipping: str) -> None:
    """0.05 a serving: of the mean 0.05, of the sum 0.10."""
    flat = {"staples": StaplesPolicy.FLAT, "staples_flat": Decimal("0.05")}
    assert judged(claim("under", limit, scope), TWO, TWO_PRICES, **flat).tipping_line == tipping


def test_no_item_is_the_dearest_where_nothing_but_the_flat_sum_costs() -> None:
    """Oil alone, which the policy leaves out, or no line at all: no price could rise."""
    oil = recipe("pie", [line("oil", "10 ml")])
    rows = [row("oil", "100 ml", "1.00", is_staple=True)]
    flat = {"staples": StaplesPolicy.FLAT, "staples_flat": Decimal("0.05")}
    for dish in (oil, recipe("pie", [])):
        verdict = judged(claim("under", "0.10", "pie"), [dish], rows, **flat)
        assert verdict.is_allowed
        assert (verdict.dearest_item, verdict.dearest_may_rise_percent) == ("", None)


# ------------------------------------------------------------------------------------------- how far a price may rise


def test_an_item_bought_once_for_two_lines_is_dearest_by_both() -> None:
    """
    Worked by hand: butter 0.60 twice is more than 1.00 of the yeast; 2.20, under 2.50: 0.295 of 1.20 are 24.6 %.

    The item is called as the price book calls it.
    """
    lines = [line("butter", "1"), line("yeast", "1"), line("more butter", "1", buy="butter")]
    rows = [row("butter", "1", "0.60"), row("yeast", "1", "1.00")]
    verdict = judged(claim("under", "2.50", "pie"), [recipe("pie", lines, hearty=1)], rows)
    assert (verdict.dearest_item, verdict.dearest_may_rise_percent) == ("butter", Decimal("24.6"))


def test_what_is_made_and_not_bought_is_called_by_its_line() -> None:
    """A batch of 500 ml for 5.00, all of it: 5.00, under 6.00: 0.995 of 5.00 are 19.9 %."""
    sauce = recipe(
        "sauce", [line("tomato", "1")], kind=RecipeKind.SUB_PREPARATION, makes=amount("500 ml"), makes_name="red sauce"
    )
    dish = recipe("dish", [line("red sauce", "500 ml")], hearty=1)
    verdict = judged(claim("under", "6.00", "dish"), [dish, sauce], [row("tomato", "1", "5.00")])
    assert (verdict.dearest_item, verdict.dearest_may_rise_percent) == ("red sauce", Decimal("19.9"))
