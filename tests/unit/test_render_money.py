"""Prices as they are printed in different places."""

from __future__ import annotations

from fractions import Fraction

import pytest

from shootplan.model.money import Cost
from shootplan.render.money import MoneyPrinter

NBSP = "\N{NO-BREAK SPACE}"


def printer(currency: str = "GBP", locale: str = "en_GB", places: int = 2) -> MoneyPrinter:
    """Return a printer."""
    return MoneyPrinter(currency, locale, places)


@pytest.mark.parametrize(
    ("currency", "locale", "places", "text"),
    [
        # SOURCE: Unicode CLDR, number patterns and currency signs of each locale (the data that Babel carries).
        ("GBP", "en_GB", 2, "£1,277.31"),
        ("SEK", "sv_SE", 2, f"1{NBSP}277,31{NBSP}kr"),
        ("EUR", "de_DE", 2, f"1.277,31{NBSP}€"),
        ("CAD", "en_CA", 2, "$1,277.31"),
        ("JPY", "en_US", 0, "¥1,277"),
        ("GBP", "xx_YY", 2, "£1,277.31"),
    ],
)
def test_a_price_follows_the_locale(currency: str, locale: str, places: int, text: str) -> None:
    """Sign, separators and decimals are the locale's; an unknown locale is written as en_GB."""
    assert printer(currency, locale, places).money(Cost(Fraction("1277.3127"), currency)) == text


@pytest.mark.parametrize(
    ("exact", "text"), [("1.2773", "£1.28"), ("1.245", "£1.25"), ("1.2449", "£1.24"), ("1.235", "£1.24")]
)
def test_a_price_is_rounded_half_up(exact: str, text: str) -> None:
    """Half a penny goes up, whether the digit before it is odd or even (1.235 and 1.245)."""
    assert printer().money(Cost(Fraction(exact), "GBP")) == text


def test_a_lower_bound_says_so() -> None:
    """While a line has no price, the total is "at least"; no cost at all is unknown, never zero."""
    assert printer().money(Cost(Fraction(1), "GBP"), at_least=True) == "at least £1.00"
    assert printer().money(None) == "unknown"
    assert printer().exact(None) == ""


def test_a_difference_has_its_sign() -> None:
    """Dearer, cheaper, and what rounds to nothing."""
    changes = [printer().change(Cost(Fraction(text), "GBP")) for text in ("0.05", "-0.2", "0.004")]
    assert changes == ["+£0.05", "−£0.20", "no change"]
    assert printer().change(None) == "unknown"


def test_a_line_that_rounds_to_nothing_still_costs() -> None:
    """A pinch of salt is under a penny, not free."""
    assert printer().line(Cost(Fraction("0.0024"), "GBP")) == "under £0.01"
    assert printer().line(Cost(Fraction(0), "GBP")) == "£0.00"


def test_the_second_currency_is_about() -> None:
    """1.2773 at 1.17 is 1.494441, printed 1.49 (worked by hand)."""
    assert printer().other(Cost(Fraction("1.2773"), "GBP"), "EUR", Fraction("1.17")) == "about €1.49"


def test_the_second_currency_has_its_own_decimals() -> None:
    """1.2773 pounds at 190 yen are 242.687, at 0.405 dinars 0.5173065 (CLDR: JPY 0 decimals, KWD 3)."""
    cost = Cost(Fraction("1.2773"), "GBP")
    assert printer().other(cost, "JPY", Fraction(190)).endswith("243")
    assert "." not in printer().other(cost, "JPY", Fraction(190))
    assert printer().other(cost, "KWD", Fraction("0.405")).endswith("0.517")


def test_four_places_for_the_sheet() -> None:
    """300 / 0.79 of 700 g at 0.95 is 0.515371…; four places, half up."""
    assert printer().exact(Cost(Fraction(300) / Fraction("0.79") / 700 * Fraction("0.95"), "GBP")) == "0.5154"
