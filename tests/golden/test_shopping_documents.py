"""The shopping list as it is written: it ticks, it opens in a spreadsheet, and its bills are the worked ones."""

from __future__ import annotations

import csv
from decimal import Decimal
from io import StringIO
from pathlib import Path

import pytest

from shootplan.app import documents, explain, load, publish, shop
from shootplan.model.publication import Publication

DEMOS = Path(__file__).resolve().parents[2] / "demo_episodes"


@pytest.fixture(scope="module")
def supper() -> Publication:
    """Return the first demo, computed."""
    return publish(load(DEMOS / "tuesday-supper"))


def _rows(text: str) -> list[dict[str, str]]:
    assert text.startswith("\ufeff")
    return list(csv.DictReader(StringIO(text.removeprefix("\ufeff"))))


def test_the_spreadsheet_adds_up_to_the_worked_till(supper: Publication) -> None:
    """The till column sums to 32.26 with every option: the home economist's figure for demo 1."""
    rows = _rows(documents(supper)["shopping.csv"])
    assert sum(Decimal(row["till"]) for row in rows) == Decimal("32.26")
    butter = next(row for row in rows if row["item"] == "butter")
    assert (butter["need"], butter["packs"], butter["till"], butter["left over"]) == ("127 g", "1", "1.99", "123 g")
    apples = next(row for row in rows if row["item"] == "cooking apples")
    assert (apples["packs"], apples["till"]) == ("loose", "1.52")


def test_the_ticking_list_is_grouped_by_kind_of_shop(supper: Publication) -> None:
    """Every item stands once behind a box to tick, and both bills are told."""
    text = documents(supper)["shopping.md"]
    assert supper.shopping is not None
    assert text.count("- [ ] ") == len(supper.shopping.items)
    assert text.index("## High-street supermarket") < text.index("## Market stall")
    assert "£29.21; with every option £32.26" in text


@pytest.mark.parametrize(
    ("name", "core", "all_in", "cash"),
    [
        ("tuesday-supper", "29.21", "32.26", None),
        ("waiting-day", "474.85", "522.04", "522"),  # Swedish tills round to whole kronor (CLDR)
        ("six-lunches", "116.79", "133.55", "133.55"),  # a multiple of 0.05 already (CLDR, CAD)
    ],
)
def test_the_bills_are_the_worked_ones(name: str, core: str, all_in: str, cash: str | None) -> None:
    """Empty cupboard, no doubles: the home economist's worked sheet."""
    bills = shop(load(DEMOS / name))
    assert bills.empty_cupboard.total.amount == Decimal(core)
    assert bills.empty_cupboard_with_options.total.amount == Decimal(all_in)
    paid = bills.empty_cupboard_with_options.in_cash
    assert (paid.amount if paid is not None else None) == (Decimal(cash) if cash is not None else None)


def test_explain_tells_the_price_row_the_cost_and_the_tables() -> None:
    """Each figure of the leeks: file and line of the price, 500 of 500 g at 1.60, and the published tables."""
    text = "\n".join(explain(load(DEMOS / "tuesday-supper"), "leeks"))
    assert "prices.csv:" in text
    assert "cost used: 1.6000 GBP = 500 g of 500 g at 1.60 GBP" in text
    assert "USDA SR28" in text


def test_explain_knows_water_optional_batches_and_strangers() -> None:
    """Water costs nothing, a batch counts by its share (60 of 250 g: 24 %), and what is in no line is said so."""
    day = load(DEMOS / "waiting-day")
    assert "costs nothing: water" in "\n".join(explain(day, "cold water"))
    assert "24 % of the batch" in "\n".join(explain(day, "wine vinegar"))
    assert explain(day, "moon dust")[0] == '"moon dust" stands in no line of the episode'


def test_cautions_stand_on_the_pages_with_their_publisher(supper: Publication) -> None:
    """Fried rice names the rice rule and who says so on its page; the supper's pages ask for local rules first."""
    lunches = documents(publish(load(DEMOS / "six-lunches")))
    assert "UK Food Standards Agency" in lunches["blog/fried-rice.html"]
    assert "within 1 h" in lunches["blog/fried-rice.md"]
    for name, text in documents(supper).items():
        if name.startswith("blog/"):
            assert "they override this" in text
