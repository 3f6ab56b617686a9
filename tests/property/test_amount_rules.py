"""Amounts: writing and reading, scaling there and back, rounding within its limits or flagged."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from shootplan.model.quantity import Amount
from shootplan.model.rounding import error_of, limit_of, shown_household, shown_metric
from shootplan.model.show import amount_text
from shootplan.problems import Span
from shootplan.read.amounts import COUNTED, MEASURES, read_amount
from shootplan.read.ingredient import read_ingredient_line
from shootplan.resolve.units import SYSTEMS, convert, millilitres, spoon_sizes

few = settings(max_examples=60, derandomize=True, deadline=None)
tight = st.booleans()
metric = st.sampled_from(("g", "ml"))
kitchen_parts = st.sampled_from([Fraction(0), *(Fraction(part) for part in ("1/4", "1/3", "1/2", "2/3", "3/4", "1/8"))])
numbers = st.builds(lambda whole, part: whole + part, st.integers(1, 999), kitchen_parts)
units = st.sampled_from(sorted({*MEASURES, *COUNTED, ""} - {"mg", "g", "kg", "ml", "cl", "l"}))
exact = st.fractions(min_value=Fraction(1, 8), max_value=Fraction(3000), max_denominator=64)
small = st.fractions(min_value=Fraction(1, 8), max_value=Fraction(40), max_denominator=48)


@few
@given(numbers, units)
def test_a_written_amount_is_read_again(value: Fraction, unit: str) -> None:
    """What the program writes for a reader, it reads as the same amount."""
    amount = Amount.of(value, unit)
    match = read_amount(amount_text(amount))
    assert match is not None
    assert (match.amount, match.rest) == (amount, "")


@few
@given(numbers, numbers, units)
def test_a_written_range_is_read_again(one: Fraction, other: Fraction, unit: str) -> None:
    """Ranges too."""
    amount = Amount(min(one, other), max(one, other), unit)
    match = read_amount(amount_text(amount))
    assert match is not None
    assert match.amount == amount


@few
@given(st.decimals(min_value="0.01", max_value="9999", places=2), metric)
def test_written_decimals_are_read_again(value: object, unit: str) -> None:
    """Grams and millilitres are written in decimals, and read exactly."""
    amount = Amount.of(str(value), unit)
    match = read_amount(amount_text(amount))
    assert match is not None
    assert match.amount == amount


@few
@given(st.text(alphabet="0123456789½¼⅓/.,-–x×+()*e abcdgkmlostup", max_size=60))
def test_any_text_gives_an_amount_or_nothing(text: str) -> None:
    """The rest is the text behind what was read, and nothing is raised."""
    match = read_amount(text)
    assert match is None or (text[match.length :] == match.rest and match.length > 0)


@few
@given(st.text(max_size=80) | st.text(alphabet="0123456789½/(),+ orgcuptin", max_size=80), st.booleans())
def test_any_text_gives_a_line_or_a_problem(text: str, decimal_comma: bool) -> None:
    """A line or an error inside the text, never an exception."""
    span = Span("a.md", 2, 5, 5 + len(text))
    line, problems = read_ingredient_line(text, span=span, taken_ids=(), decimal_comma=decimal_comma)
    assert line is not None or any(problem.is_error for problem in problems)
    assert all(problem.span.line == 2 and 5 <= problem.span.column <= 5 + len(text) for problem in problems)


@few
@given(exact, st.fractions(min_value=Fraction(1, 9), max_value=Fraction(9), max_denominator=9))
def test_scaling_there_and_back_changes_nothing(value: Fraction, factor: Fraction) -> None:
    """Times k and times 1/k is the same amount (rule A5)."""
    amount = Amount(value, 2 * value, "tbsp")
    assert amount.scaled(factor).scaled(1 / factor) == amount


@few
@given(exact, st.sampled_from(sorted(SYSTEMS)), st.sampled_from(("tbsp", "tsp", "dl", "ml")))
def test_converting_there_and_back_changes_nothing(value: Fraction, system: str, unit: str) -> None:
    """Conversions are exact."""
    amount = Amount.of(value, "ml")
    assert convert(convert(amount, unit, system), "ml", system) == amount


@few
@given(exact, metric, tight)
def test_metric_rounding_is_within_its_limit(value: Fraction, unit: str, is_tight: bool) -> None:
    """Shown and exact differ by no more than 10 % or 5 %, whether by the rule's step or a finer one."""
    shown, _ = shown_metric(Amount.of(value, unit), is_tight=is_tight)
    assert error_of(shown.high, value) <= limit_of(is_tight=is_tight)


@few
@given(small, st.sampled_from(("cup", "tbsp", "tsp")), tight, st.sampled_from(("US customary", "metric", "Australian")))
def test_household_rounding_is_within_its_limit_or_flagged(
    value: Fraction, unit: str, is_tight: bool, system: str
) -> None:
    """The measures shown add up to the amount within the limit, unless the cook is told otherwise."""
    amount = Amount.of(value, unit)
    shown, flags = shown_household(amount, is_tight=is_tight, spoons=spoon_sizes(system))
    total = sum((millilitres(one, system) for one in shown), Fraction(0))
    off = error_of(total, millilitres(amount, system))
    assert flags or off <= limit_of(is_tight=is_tight)
    assert len(shown) <= 2
    assert all(one.high > 0 for one in shown)


@few
@given(small, st.sampled_from(("cup", "tbsp", "tsp")), tight)
def test_what_is_shown_can_be_measured(value: Fraction, unit: str, is_tight: bool) -> None:
    """
    Rounding a single measure that is shown again gives the same volume, without a flag ("3 tsp" may say "1 tbsp").
    """
    shown, flags = shown_household(Amount.of(value, unit), is_tight=is_tight)
    if len(shown) == 1 and not flags:
        again, flags = shown_household(shown[0], is_tight=is_tight)
        volume = sum((millilitres(one, "US label") for one in again), Fraction(0))
        assert (volume, flags) == (millilitres(shown[0], "US label"), ())
