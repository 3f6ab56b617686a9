"""
A small episode of our own, its costing sheet worked by hand, line by line, in exact fractions.

Invented dishes, prices and shops; published figures only where a line goes through a table: the yield of carrots, 82 %
(Bakery and Business Math, ch. 25, the lower of two sources), and a teaspoon of ground cumin, 2.1 g in 4.92892159375 ml
(USDA SR28, NDB 02014; NIST HB 44), of which the Australian spoon holds 5 ml.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction as F
from pathlib import Path

import pytest

from shootplan.app import Loaded, check, cost, documents, explain, load, publish, shop
from shootplan.model.costing import ClaimVerdict, EpisodeCost, RecipeCost
from shootplan.model.money import half_up
from shootplan.model.publication import Publication
from shootplan.read.files import MemoryFiles

EPISODE = Path(__file__).parent / "market_lunch"

CUMIN_G = F("2.1") * 5 / F("4.92892159375")
#: Line → cost used. What is used / what the pack holds x what the pack costs.
PAN = {
    "chickpeas": 2 * F("1.10"),
    "carrots": F(300) / F(82, 100) / 1000 * F("2.40"),  # prepared: 365.85 g bought
    "onion": F(150, 1000) * 3,
    "olive oil": F(40, 750) * 9,
    "garlic": F(3, 10) * F("0.90"),
    "ground cumin": CUMIN_G / 30 * F("2.10"),
    "water": F(0),
    "feta": F(100, 200) * 4,  # optional; on offer at 3.00, costed at the regular 4.00 (rule M5)
    "lemons": 2 * F("0.80"),
}
#: The flatbread is written for 4 and made for 6: everything times 3/2.
BREAD = {
    "plain flour": F(375, 1000) * F("1.60"),
    "egg": F(3, 2) / 12 * 6,
    "milk": F(225, 2000) * F("3.10"),
    "baking powder": F("7.5") / 125 * F("2.50"),
    "butter": F(30, 250) * F("4.50"),
    "ginger beer": F(3, 2) * 2,  # the deposit is paid at the till and is no cost
}
PAN_CORE = sum(cost for item, cost in PAN.items() if item != "feta")
BREAD_CORE = sum(BREAD.values())


@pytest.fixture(scope="module")
def lunch() -> Loaded:
    """The episode, read and resolved."""
    return load(EPISODE)


@pytest.fixture(scope="module")
def costs(lunch: Loaded) -> EpisodeCost:
    """Its costs."""
    return cost(lunch)[0]


@pytest.fixture(scope="module")
def published(lunch: Loaded) -> Publication:
    """Everything computed."""
    return publish(lunch)


def named(costs: EpisodeCost, name: str) -> RecipeCost:
    """Return the costs of a recipe."""
    found = costs.recipe(name)
    assert found is not None
    return found


def test_the_figures_worked_by_hand_are_these() -> None:
    """The sums of the tables above, as a calculator shows them to four places."""
    sums = (PAN_CORE, PAN_CORE + PAN["feta"], BREAD_CORE)
    assert [str(half_up(F(value), 4)) for value in sums] == ["6.0272", "8.0272", "5.3888"]


@pytest.mark.parametrize(("name", "sheet"), [("chickpea-pan", PAN), ("egg-flatbread", BREAD)])
def test_every_line_costs_what_the_calculator_says(costs: EpisodeCost, name: str, sheet: dict[str, F]) -> None:
    """Exact fractions, line by line; salt to taste is listed and not costed."""
    found = {line.line.line.item: line.cost.exact for line in named(costs, name).lines if line.cost is not None}
    assert found == sheet
    assert named(costs, name).not_costed == (("salt",) if name == "chickpea-pan" else ())


def test_servings_hearty_small_and_with_the_option(costs: EpisodeCost) -> None:
    """6.0272 by 4 is 1.51, by 6 is 1.00; with feta 8.0272: 2.01 and 1.34; 5.3888 by 6 is 0.90."""
    pan, bread = named(costs, "chickpea-pan"), named(costs, "egg-flatbread")
    assert pan.core_per.per_small is not None and pan.with_options_per.per_small is not None
    served = (
        pan.core_per.per_hearty, pan.core_per.per_small, pan.with_options_per.per_hearty,
        pan.with_options_per.per_small, bread.core_per.per_hearty,
    )  # fmt: skip
    assert [item.exact for item in served] == [
        PAN_CORE / 4, PAN_CORE / 6, (PAN_CORE + 2) / 4, (PAN_CORE + 2) / 6, BREAD_CORE / 6
    ]  # fmt: skip
    assert [str(item.rounded(2).amount) for item in served] == ["1.51", "1.00", "2.01", "1.34", "0.90"]
    assert costs.head_core is not None
    assert str(costs.head_core.rounded(2).amount) == "2.40"


def test_the_alternate_has_its_own_cost_and_allergens(costs: EpisodeCost) -> None:
    """120 of 300 g tofu at the member price 2.70 is 1.08: 0.92 less than feta, 0.23 a serving; soya for milk."""
    (tofu,) = named(costs, "chickpea-pan").alternates
    assert tofu.delta is not None and tofu.per_serving_delta is not None
    assert (tofu.delta.exact, tofu.per_serving_delta.exact) == (F("-0.92"), F("-0.23"))
    assert (tofu.allergens_added, tofu.allergens_removed) == (("soya",), ("milk",))


def verdict(costs: EpisodeCost, text: str) -> ClaimVerdict:
    """Return the verdict on the claim that begins so."""
    return next(item for item in costs.verdicts if item.claim.text.startswith(text))


def test_claims_with_their_room(costs: EpisodeCost) -> None:
    """
    Under 1.60 holds: (1.595 − 1.5068) / 1.5068 = 5.854 % of room; chickpeas alone, 2.20 of it, may rise by 16.0 %.

    0.088208 a serving is 0.352832 in all; of 2.20 that is 16.04 %.
    """
    held = verdict(costs, "chickpea-pan: under 1.60")
    assert held.is_allowed
    assert held.headroom_percent == Decimal("5.854")
    assert held.dearest_item == "chickpeas"
    assert held.dearest_may_rise_percent is not None and F(held.dearest_may_rise_percent) <= F("16.038")


def test_a_ceiling_that_fails_says_what_would_just_pass(costs: EpisodeCost) -> None:
    """
    With feta 2.01 is not under 2.00: 1.995 x 4 = 7.98, so 0.0472 must go.

    2.36 g of feta at 0.02 a gram, 16.1 g of carrots at 0.0029268 a prepared gram, 3.9 ml of oil at 0.012: by the steps
    of rule A2 95 g, 280 g and 36 ml.
    """
    failed = verdict(costs, "chickpea-pan: under 2.00")
    assert not failed.is_allowed
    assert failed.tipping_line == "feta"
    assert [(fix.item, fix.amount.high) for fix in failed.fixes[:3]] == [
        ("feta", 95),
        ("carrots", 280),
        ("olive oil", 36),
    ]
    assert failed.wording == "under $2.00 a serving without the feta"


def test_small_servings_and_old_prices_are_no_basis(costs: EpisodeCost) -> None:
    """A small serving is not what a claim speaks of, so the wording names the hearty figure; baking powder is stale."""
    small = verdict(costs, "chickpea-pan: just under 1.10")
    assert not small.is_allowed
    assert small.wording == "about $1.51 a serving without the feta"
    assert [reason.split(":")[0] for reason in verdict(costs, "every recipe").reasons] == ["stale"]
    assert named(costs, "egg-flatbread").stale == ("baking powder",)


def test_a_claim_in_the_second_currency_is_judged_in_it(costs: EpisodeCost) -> None:
    """1.506792 x 1.08 = 1.627335 prints 1.63 and is under 1.80."""
    dollars = verdict(costs, "chickpea-pan: under NZD 1.80")
    assert dollars.is_allowed
    assert dollars.shown is not None and str(getattr(dollars.shown, "amount", "")) == "1.63"


def test_the_till_counts_packs_stock_deposit_and_cash(lunch: Loaded) -> None:
    """
    Market: carrots 0.88, eggs 6.00, garlic 0.90, one lemon (one is in stock) 0.80, onion 0.45: 9.03.

    Supermarket: 2.50 + 4.50 + 2.20 + 3.00 (the offer) + 2 x (2.00 + 0.10) + 2.10 + 3.10 + 9.00 + 1.60 = 32.20. Together
    41.23, in cash 41.25 (five cents, CLDR). Without stock 42.03, without feta 39.03.
    """
    shopping = shop(lunch)
    assert str(shopping.bill.total.amount) == "41.23"
    assert shopping.bill.in_cash is not None and str(shopping.bill.in_cash.amount) == "41.25"
    assert str(shopping.empty_cupboard_with_options.total.amount) == "42.03"
    assert str(shopping.empty_cupboard.total.amount) == "39.03"
    left = {item.item: item.leftover.high for item in shopping.items}
    assert (left["butter"], left["egg"], left["lemon"]) == (220, F(21, 2), 0)


def test_what_is_odd_in_the_price_book_is_reported() -> None:
    """Butter at 4.50 after 0.45 is more than five times; the old price of baking powder and the salt are noted."""
    checked = check(EPISODE)
    assert [problem.code for problem in checked.problems] == ["price-jump"]
    about = {(finding.code, finding.about) for finding in checked.findings}
    assert {("price-stale", "Egg flatbread"), ("not-costed", "Chickpea pan")} <= about


def test_the_sheet_can_be_checked_with_a_calculator(published: Publication) -> None:
    """The price shown is the one charged; what is bought of a kilogram or litre is told in grams or millilitres."""
    sheet = documents(published)["costing.csv"]
    assert (
        "chickpea-pan,feta,100 g,crumbled,100,100 g,200 g,4.00,AUD,20.00 per kg,2026-11-12,supermarket,"
        '"offer at 3.00, costed at the regular price, receipt",2.0000,yes'
    ) in sheet
    assert "egg-flatbread,milk,225 ml / ⅔ cup + 3 tbsp,as bought,100,225 ml,2 l,3.10,AUD,1.55 per l" in sheet


def test_the_pages_name_allergens_portions_scaling_and_the_rate(published: Publication) -> None:
    """
    By hand: chickpeas 2 x 240 / 4 = 120 g count as one portion, 80; carrots 75; onion 150 x 90 % / 4 = 33.75: 188.75 g.

    That is 2.36 portions of 80 g, two when rounded down to halves.
    """
    pages = documents(published)
    pan, bread = pages["blog/chickpea-pan.md"], pages["blog/egg-flatbread.md"]
    assert "about NZD1.63 (1 AUD = 1.08 NZD on 2026-11-20)" in pan
    assert "At least 2 portions" in pan
    assert "With silken tofu instead of feta: contains soya (tofu)" in pan
    assert "contains gluten (plain flour), eggs (egg) and milk (milk)" in bread
    for flag in ("minutes are not scaled", "pan size is not scaled", "oven temperature is not scaled"):
        assert flag in bread
    assert "1½ of them: no such part in the recipe, so ask" in bread
    assert "butter**: 1 × 250 g" in pages["shopping.md"] and "keeps 30–60 days in the fridge" in pages["shopping.md"]
    assert "free from" not in pan + bread


def test_explain_tells_how_the_cumin_came_about(lunch: Loaded) -> None:
    """The line's own spoon is the exact row, not the tablespoon."""
    told = "\n".join(explain(lunch, "cumin"))
    assert "exact row (from one tsp: 2.1 g; whole): USDA SR28" in told
    assert "0.1491 AUD = 2.13 g of 30 g at 2.10 AUD" in told


def _files(prices: str) -> MemoryFiles:
    texts = {f"e/{path.relative_to(EPISODE)}": path.read_text() for path in EPISODE.rglob("*") if path.is_file()}
    return MemoryFiles(texts | {"e/prices.csv": prices})


def test_stock_in_another_measure_is_not_left_out_in_silence() -> None:
    """Half a kilogram of lemons in stock says nothing of lemons that are sold by the piece."""
    prices = (EPISODE / "prices.csv").read_text(encoding="utf-8")
    assert ",,,,1 piece," in prices
    problems = check("e", files=_files(prices.replace(",,,,1 piece,", ",,,,500 g,"))).problems
    assert [problem.code for problem in problems] == ["stock-unit", "price-jump"]


@pytest.mark.parametrize(
    ("sold", "price", "expected"),
    [("per kg", "2.40", PAN["carrots"]), ("per 100 g", "0.24", PAN["carrots"]), ("1 kg loose", "2.40", PAN["carrots"])],
)
def test_loose_goods_are_told_the_way_of_the_shelf(sold: str, price: str, expected: F) -> None:
    """ "per kg", "per 100 g" and "1 kg loose" are one price."""
    prices = (EPISODE / "prices.csv").read_text(encoding="utf-8").replace("1 kg loose,2.40", f"{sold},{price}", 1)
    costs = cost(load("e", files=_files(prices)))[0]
    line = next(line for line in named(costs, "chickpea-pan").lines if line.line.line.item == "carrots")
    assert line.cost is not None and line.cost.exact == expected
    assert line.line.price is not None and line.line.price.is_loose
