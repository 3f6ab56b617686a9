"""Figures are said as a presenter says them."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from shootplan.facts.say_out import read_number, say_out
from shootplan.facts.spoken import article, say_amount, say_amounts, say_cardinal, say_degrees, say_money, say_number
from shootplan.model.money import Money
from shootplan.model.quantity import Amount

NUMBERS = [
    ("0", "zero"),
    ("7", "seven"),
    ("1234", "one thousand two hundred and thirty-four"),
    ("1/2", "half"),
    ("1/3", "a third"),
    ("2/3", "two thirds"),
    ("1/8", "an eighth"),
    ("5/2", "two and a half"),
    ("4/3", "one and a third"),
    ("1.95", "one point nine five"),
    ("0.05", "zero point zero five"),
]


@pytest.mark.parametrize(("value", "words"), NUMBERS)
def test_a_number_is_said(value: str, words: str) -> None:
    """Kitchen fractions have names, other decimals are said digit by digit."""
    assert say_number(Fraction(value)) == words


def test_an_absurd_number_is_read_digit_by_digit() -> None:
    """A slip in a text does not become a minute of speech, nor a failure."""
    assert say_cardinal(10**12).split()[:3] == ["one", "zero", "zero"]


AMOUNTS = [
    (Amount.of(1, "tbsp"), "one tablespoon"),
    (Amount.of("1/4", "cup"), "a quarter of a cup"),
    (Amount.of("3/4", "tsp"), "three quarters of a teaspoon"),
    (Amount.of("1/2", "h"), "half an hour"),
    (Amount.of("3/2", "dl"), "one and a half decilitres"),
    (Amount(Fraction(1, 2), Fraction(1), "tsp"), "half to one teaspoon"),
    (Amount(Fraction(1, 4), Fraction(1, 2), "tsp"), "a quarter to half a teaspoon"),
    (Amount(Fraction(2), Fraction(3), ""), "two to three"),
    (Amount.of(2, "leaf"), "two leaves"),
]


@pytest.mark.parametrize(("amount", "words"), AMOUNTS)
def test_an_amount_is_said(amount: Amount, words: str) -> None:
    """Units are said in full, in the number that the amount asks for."""
    assert say_amount(amount) == words


def test_a_sum_is_said_with_plus() -> None:
    """A split measure names both spoons."""
    parts = (Amount.of("1/4", "tsp"), Amount.of("1/8", "tsp"))
    assert say_amounts(parts) == "a quarter of a teaspoon plus an eighth of a teaspoon"


MONEY = [
    ("1.28", "GBP", "one pound twenty-eight"),
    ("0.01", "GBP", "one penny"),
    ("0", "GBP", "zero pounds"),
    ("-0.20", "GBP", "minus twenty pence"),
    ("6.37", "SEK", "six kronor thirty-seven"),
    ("1", "SEK", "one krona"),
    ("1.25", "CAD", "one dollar twenty-five"),
    ("1980", "JPY", "one thousand nine hundred and eighty yen"),
    ("1.500", "KWD", "one point five Kuwaiti dinars"),
    ("1", "KWD", "one Kuwaiti dinar"),
]


@pytest.mark.parametrize(("amount", "currency", "words"), MONEY)
def test_money_is_said(amount: str, currency: str, words: str) -> None:
    """Currencies without words of their own are said by their CLDR name."""
    assert say_money(Money(Decimal(amount), currency)) == words


TYPED = [
    ("Use 2 to 3 tbsp, about 45 ml", "Use two to three tablespoons, about forty-five millilitres"),
    ("1 h 15 min", "one hour fifteen minutes"),
    ("4 h 50 min–5 h 10 min", "four hours fifty minutes to five hours ten minutes"),
    ("at 10:05 or 9:00", "at ten oh five or nine o'clock"),
    ("on 2026-10-01", "on the first of October twenty twenty-six"),
    ("½ lemon and 1½ onions", "half a lemon and one and a half onions"),
    ("2 × 400 g", "two times four hundred grams"),
    ("1,500 g", "one thousand five hundred grams"),
    ("45p each", "forty-five pence each"),
    ("6,37 kr", "six kronor thirty-seven"),
    ("96 °C or 350 °F", "ninety-six degrees Celsius or three hundred and fifty degrees Fahrenheit"),
    ("Two hundred, one-eighty, B12", "Two hundred, one-eighty, B12"),
    ("1/0 tsp", "1/0 tsp"),
    ("3-2 tbsp", "three to two tablespoons"),
    ("", ""),
]


@pytest.mark.parametrize(("typed", "said"), TYPED)
def test_typed_figures_are_said_out(typed: str, said: str) -> None:
    """Words stay, figures go; what is no figure stays as typed."""
    assert say_out(typed) == said


def test_crowns_and_dollars_are_the_episodes() -> None:
    """ "kr" and "$" are those of the episode's currency."""
    assert say_out("2 kr", currency="DKK") == "two kroner"
    assert say_out("2 kr", currency="GBP") == "two kronor"
    assert say_out("$2.50", currency="CAD") == "two dollars fifty"


def test_degrees_and_articles() -> None:
    """An oven's scale goes without saying."""
    assert say_degrees(180) == "one hundred and eighty degrees"
    assert (article("hour"), article("egg"), article("cup")) == ("an", "an", "a")


READ = [("2½", "5/2"), ("1 1/2", "3/2"), ("1,500", "1500"), ("1,5", "3/2"), ("¾", "3/4"), ("400", "400")]


@pytest.mark.parametrize(("text", "value"), READ)
def test_a_typed_number_is_read(text: str, value: str) -> None:
    """Fractions, decimals with point or comma, thousands."""
    assert read_number(text) == Fraction(value)


def test_a_division_by_zero_is_refused() -> None:
    """It is the programmer's duty to ask first."""
    with pytest.raises(ValueError, match="zero"):
        read_number("1/0")
