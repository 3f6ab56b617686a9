"""Amounts at the start of a text are read exactly, and nothing that is not plainly one is taken for one."""

from __future__ import annotations

import time
from fractions import Fraction

import pytest

from shootplan.model.quantity import COUNT, Amount, dimension
from shootplan.read.amounts import COUNTED, MEASURES, read_amount, read_unit


@pytest.mark.parametrize(
    ("text", "value"),
    [("1/2", "1/2"), ("½", "1/2"), ("1 ½", "3/2"), ("1½", "3/2"), ("1 1/2", "3/2"), ("1 and 1/2", "3/2"),
     ("1⁄3", "1/3"), ("1.5", "3/2"), (".5", "1/2"), ("half", "1/2"), ("two thirds of a", "2/3"), ("twelve", "12"),
     ("half a dozen", "6"), ("a couple of", "2")],
)  # fmt: skip
def test_numbers_of_the_kitchen_are_exact(text: str, value: str) -> None:
    """Fractions, decimals and words have their exact value."""
    match = read_amount(f"{text} cups")
    assert match is not None
    assert match.amount == Amount.of(value, "cup")


@pytest.mark.parametrize(
    "text", ["1–2 tbsp", "1-2 tbsp", "1 to 2 tbsp", "1 or 2 tbsp", "1 tbsp–2 tbsp", "one to two tbsp"]
)
def test_a_range_has_both_ends(text: str) -> None:
    """Every way to write a range gives the same range."""
    match = read_amount(text)
    assert match is not None
    assert match.amount == Amount(Fraction(1), Fraction(2), "tbsp")


@pytest.mark.parametrize("canonical", sorted(MEASURES))
def test_every_spelling_of_a_measure_is_known(canonical: str) -> None:
    """All spellings, in small and capital letters, mean the canonical word."""
    for spelling in MEASURES[canonical]:
        for typed in (spelling, spelling.capitalize(), spelling.upper()):
            match = read_amount(f"2 {typed} x")
            assert match is not None
            assert (match.amount.unit, match.rest) == (canonical, "x"), typed


def test_a_counted_noun_is_a_count_in_its_singular() -> None:
    """Tins and cans stay the author's words; plurals with -es and -ves are known."""
    words = ["tins", "cans", "bunches", "leaves", "loaves", "boxes", "slices"]
    found = [match.amount.unit for word in words if (match := read_amount(f"2 {word}"))]
    assert found == ["tin", "can", "bunch", "leaf", "loaf", "box", "slice"]
    assert {dimension(noun) for noun in COUNTED} == {COUNT}


def test_a_gallon_is_four_quarts() -> None:
    """A gallon has four quarts (NIST Handbook 44, Appendix C; in the UK, Weights and Measures Act 1985, Schedule 1)."""
    match = read_amount("1 gallon")
    assert match is not None
    assert match.amount == Amount.of(4, "quart")


@pytest.mark.parametrize(
    "text",
    ["", "salt", "9**9", "9 ** 9", "1e999", "9" * 400, "1" + "0" * 6, "7up", "5-spice powder", "50 % cream",
     "85% chocolate", "1/0 cup", "1 3/2 cups", "2–1 tbsp", "-2 eggs", "1,5 dl", "1,000 g", "1.2.3 g", "1/2/3",
     "180 °C", "1:30", "١ cup"],
)  # fmt: skip
def test_what_is_not_plain_is_no_amount(text: str) -> None:
    """Sums, shares, huge and unclear numbers, compound words: no match rather than a wrong one."""
    assert read_amount(text) is None


def test_hostile_text_is_quick() -> None:
    """Long runs of digits, blanks and words are refused at once."""
    start = time.perf_counter()
    for text in ("9" * 100_000, "1 " * 50_000, " " * 100_000 + "1", "one and " * 20_000, "1-" * 50_000, "½" * 50_000):
        read_amount(text)
    assert time.perf_counter() - start < 1


def test_the_rest_begins_behind_the_amount() -> None:
    """What is read and what is left are the whole text, with "of" read."""
    text = "  a pinch of salt"
    match = read_amount(text)
    assert match is not None
    assert (match.length, match.rest) == (13, "salt")


def test_size_manner_and_about_are_told_apart() -> None:
    """Size words, the filling of a spoon and "about" are kept beside the amount."""
    match = read_amount("about 2 small heads broccoli")
    heaped = read_amount("1 heaped tbsp flour")
    assert match is not None
    assert heaped is not None
    assert (match.size, match.is_approximate, match.rest) == ("small", True, "broccoli")
    assert (heaped.manner, heaped.is_approximate) == ("heaped", True)


def test_a_unit_word_is_read_alone() -> None:
    """The word and the "of" behind it are read; a food is no unit."""
    assert read_unit("tins of tomatoes") == ("tin", 8)
    assert read_unit("tomatoes") is None
