"""Numbers, times and amounts as they are printed."""

from __future__ import annotations

from datetime import time
from fractions import Fraction

import pytest

from shootplan.model.quantity import Amount
from shootplan.model.show import (
    amount_text,
    clock_text,
    decimal_text,
    exact_text,
    fraction_text,
    join_words,
    minutes_text,
    number_text,
    range_text,
    running_text,
    unit_text,
)

MIN, HOUR = 60, 3600


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (0, "0 min"),
        (45, "45 s"),
        (90, "1 min 30 s"),
        (8 * MIN, "8 min"),
        (75 * MIN, "75 min"),
        (2 * HOUR, "2 h"),
        (2 * HOUR + 5 * MIN, "2 h 5 min"),
        (12 * HOUR, "12 h"),
        (24 * HOUR, "24 h"),
        (14 * 24 * HOUR, "14 days"),
        (10 * MIN + 1, "11 min"),
    ],
)
def test_a_duration_in_words(seconds: int, text: str) -> None:
    """Minutes below two hours, hours and minutes above, seconds only for short ones."""
    assert minutes_text(seconds) == text


@pytest.mark.parametrize(
    ("low", "high", "text"),
    [
        (6 * MIN, 8 * MIN, "6–8 min"),
        (60 * MIN, 75 * MIN, "60–75 min"),
        (10 * HOUR, 12 * HOUR, "10–12 h"),
        (2 * MIN, 2 * MIN, "2 min"),
        (0, 5 * MIN, "up to 5 min"),
        (4 * HOUR + 50 * MIN, 5 * HOUR + 10 * MIN, "4 h 50 min–5 h 10 min"),
        (110 * MIN, 130 * MIN, "110–130 min"),
        (90 * MIN, 3 * HOUR + 5 * MIN, "90 min–3 h 5 min"),
    ],
)
def test_two_ends_of_a_duration(low: int, high: int, text: str) -> None:
    """One unit is said once; equal ends are one figure."""
    assert range_text(low, high) == text


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (0, "08:30"),
        (27 * MIN, "08:57"),
        (90, "08:31:30"),
        (-13 * HOUR, "19:30 the day before"),
        (-40 * HOUR, "16:30 2 days before"),
        (16 * HOUR, "00:30 the day after"),
    ],
)
def test_a_time_of_day_counts_from_call(seconds: int, text: str) -> None:
    """Another day is said in words."""
    assert clock_text(time(8, 30), seconds) == text


@pytest.mark.parametrize(("ms", "text"), [(100_500, "1:40"), (0, "0:00"), (3_727_000, "1:02:07")])
def test_a_position_in_the_video(ms: int, text: str) -> None:
    """Minutes and seconds, hours only where there are any."""
    assert running_text(ms) == text


def test_tenths_are_cut_down() -> None:
    """A caption never seems to begin later than it does."""
    assert running_text(252_090, tenths=True) == "4:12.0"


@pytest.mark.parametrize(
    ("value", "text"),
    [("3/2", "1½"), ("2/3", "⅔"), ("1/8", "⅛"), ("3", "3"), ("2.63", "2.63"), ("0", "0")],
)
def test_kitchen_fractions(value: str, text: str) -> None:
    """A kitchen fraction has its sign, another number its decimals."""
    assert fraction_text(Fraction(value)) == text


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        ("900", "g", "900 g"),
        ("3/2", "cup", "1½ cups"),
        ("1/2", "cup", "½ cup"),
        ("2", "tin", "2 tins"),
        ("2", "leaf", "2 leaves"),
        ("2", "bunch", "2 bunches"),
        ("2", "", "2"),
        ("5/2", "g", "2.5 g"),
        ("3", "tbsp", "3 tbsp"),
        ("3", "fl oz", "3 fl oz"),
    ],
)
def test_an_amount_with_its_unit(value: str, unit: str, text: str) -> None:
    """Nouns take a plural above one, abbreviations do not; weights are decimals, spoons and cups fractions."""
    assert amount_text(Amount.of(value, unit)) == text


def test_a_range_of_amounts() -> None:
    """Both ends, one unit."""
    assert amount_text(Amount(Fraction(1), Fraction(2), "tbsp")) == "1–2 tbsp"


def test_a_number_loses_only_zeros_after_the_point() -> None:
    """900 stays 900; 2.60 is 2.6."""
    assert [number_text(Fraction(900)), number_text(Fraction(13, 5)), number_text(Fraction(100), 0)] == [
        "900",
        "2.6",
        "100",
    ]


def test_exact_values_for_machines() -> None:
    """A fraction in full, and its decimals half up."""
    assert exact_text(Fraction(3, 8)) == "3/8"
    assert decimal_text(Fraction(1, 8), 2) == "0.13"


def test_words_are_joined() -> None:
    """Empty words are left out."""
    assert [join_words([]), join_words(["a"]), join_words(["a", "", "b"]), join_words("abc")] == [
        "",
        "a",
        "a and b",
        "a, b and c",
    ]


def test_the_plural_of_berries() -> None:
    """A consonant before y changes it."""
    assert unit_text("berry", Fraction(2)) == "berries"
