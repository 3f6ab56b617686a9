"""Reading figures out of any text: nothing raises, places are right, and what is said out is read back."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from shootplan.facts.figures import find_figures
from shootplan.facts.number_words import digits_for_words, with_digits
from shootplan.facts.spoken import say_amount, say_cardinal, say_money
from shootplan.model.agreement import FigureKind
from shootplan.model.money import Money, half_up
from shootplan.model.quantity import Amount

PIECES = st.sampled_from(
    (
        *(
            "half",
            "a",
            "an",
            "hour",
            "and",
            "two",
            "twenty",
            "-",
            "–",
            "1/0",
            "½",
            "3/4",
            "£",
            "€",
            "kr",
            "p",
            "°C",
            "g",
        ),
        *("of", "the", "oil", "minutes", "serves", "people", "9" * 40, "1.2.3", "1,5", ":", ".", ";", "\n", "(", ")"),
        *("vegan", "to"),
    )
)


@given(st.lists(PIECES, max_size=25).map(" ".join) | st.text(max_size=80))
def test_any_text_can_be_read(text: str) -> None:
    """No text raises; figures stand in order, do not overlap, and are quoted from their own place."""
    found = find_figures(text)
    for item in found:
        assert item.words == text[item.start : item.end].strip()
    spans = [(item.start, item.end) for item in found if item.kind is not FigureKind.DIET]
    assert spans == sorted(spans)


@given(st.text(max_size=60))
def test_both_ways_to_digits_agree(text: str) -> None:
    """The text with places is the text without; each place lies in the source."""
    digits = with_digits(text)
    assert digits.text == digits_for_words(text)
    assert len(digits.begins) == len(digits.ends) == len(digits.text)
    assert all(0 <= begin <= end <= len(text) for begin, end in zip(digits.begins, digits.ends, strict=True))


@given(st.integers(min_value=0, max_value=9999))
def test_a_cardinal_that_is_said_is_read_back(value: int) -> None:
    """num2words says it, our reader reads it: British and American wording."""
    for is_american in (False, True):
        assert digits_for_words(say_cardinal(value, is_american=is_american)) == str(value)


@given(
    st.sampled_from(
        [Fraction(1, 2), Fraction(1, 3), Fraction(3, 4), Fraction(3, 2), Fraction(5, 2), Fraction(2), Fraction(12)]
    ),
    st.sampled_from(["tsp", "tbsp", "cup", "g", "ml", "dl"]),
)
def test_an_amount_that_is_said_is_read_back(value: Fraction, unit: str) -> None:
    """ "Two and a half tablespoons" holds 2½ tablespoons."""
    (found,) = find_figures(f"{say_amount(Amount(value, value, unit))} of oil")
    assert (found.kind, found.low, found.high, found.unit) == (FigureKind.AMOUNT, value, value, unit)
    assert found.name == "oil"


@given(st.integers(min_value=1, max_value=99999), st.sampled_from(["GBP", "EUR", "SEK"]))
def test_a_price_that_is_said_is_read_back(hundredths: int, currency: str) -> None:
    """ "One pound twenty-eight a serving" holds £1.28."""
    amount = half_up(Fraction(hundredths, 100), 2)
    (found,) = find_figures(f"{say_money(Money(amount, currency))} a serving")
    assert found.kind is FigureKind.MONEY
    assert found.low == Fraction(hundredths, 100)
