"""Amounts are shown in steps that can be weighed or measured, within the limits of error (rules A2, A3)."""

from __future__ import annotations

from fractions import Fraction

import pytest

from shootplan.model.quantity import Amount
from shootplan.model.rounding import SpoonSizes, error_of, nearest, shown_count, shown_household, shown_metric

AUSTRALIAN = SpoonSizes(sizes={"cup": Fraction(250), "tbsp": Fraction(20), "tsp": Fraction(5)})
DECILITRES = SpoonSizes(large="dl", sizes={"dl": Fraction(100), "tbsp": Fraction(15), "tsp": Fraction(5)})


def household(text: str, *, is_tight: bool = False, spoons: SpoonSizes | None = None) -> str:
    """Return the measures shown for "3/8 tsp", with "!" where they are flagged."""
    value, unit = text.split(" ", 1)
    shown, flags = shown_household(Amount.of(value, unit), is_tight=is_tight, spoons=spoons)
    return " + ".join(f"{one.high} {one.unit}" for one in shown) + (" !" if flags else "")


@pytest.mark.parametrize(
    ("exact", "shown"),
    [("9.8", "10"), ("7.3", "7.5"), ("22.5", "23"), ("49.4", "49"), ("187.5", "190"), ("82", "80"), ("242", "240"),
     ("333", "330"), ("994", "990"), ("1012", "1000"), ("1026", "1050"), ("2000", "2000")],
)  # fmt: skip
def test_metric_steps(exact: str, shown: str) -> None:
    """Below 10 by 0.5, below 50 by 1, below 250 by 5, below 1000 by 10, above by 50; a half goes up."""
    assert shown_metric(Amount.of(exact, "g")) == (Amount.of(shown, "g"), ())


def test_kilograms_and_litres_keep_their_unit() -> None:
    """The steps are for grams and millilitres, the unit stays the author's."""
    assert shown_metric(Amount.of("1.762", "l")) == (Amount.of("1.75", "l"), ())
    assert shown_metric(Amount.of("0.187", "kg")) == (Amount.of("0.185", "kg"), ())


def test_an_amount_too_small_for_its_step_is_shown_finer_and_said() -> None:
    """1.2 g would be 1 g, 17 % off: it is shown as it is, with a word for the cook."""
    amount, flags = shown_metric(Amount.of("1.2", "g"))
    assert amount == Amount.of("1.2", "g")
    assert flags == ("weigh or measure it finely: 1.2 g",)


def test_the_limit_is_half_for_leaveners() -> None:
    """2.7 g is shown as 2.5 g (7 % off) but not of yeast, where 5 % is the limit."""
    assert shown_metric(Amount.of("2.7", "g"))[0] == Amount.of("2.5", "g")
    assert shown_metric(Amount.of("2.7", "g"), is_tight=True)[0] == Amount.of("2.7", "g")


def test_only_metric_units_have_metric_steps() -> None:
    """Spoons are refused."""
    with pytest.raises(ValueError, match="not a metric unit"):
        shown_metric(Amount.of(1, "tbsp"))


@pytest.mark.parametrize(
    ("exact", "shown"),
    [
        ("3/2 cup", "3/2 cup"),
        ("1/2 cup", "1/2 cup"),
        ("11/16 cup", "2/3 cup"),  # 3 % off
        ("1/8 cup", "2 tbsp"),  # no cup so small: 30 ml
        ("3/8 cup", "1/4 cup + 2 tbsp"),  # 90 ml; a third of a cup is 11 % off
        ("7/8 cup", "3/4 cup + 2 tbsp"),  # 210 ml
        ("3/2 tbsp", "3/2 tbsp"),
        ("4 tbsp", "4 tbsp"),
        ("5 tbsp", "1/3 cup"),  # 75 ml against 80: 7 %
        ("8 tbsp", "1/2 cup"),  # above four, cups
        ("1/3 tbsp", "1 tsp"),
        ("6 tsp", "2 tbsp"),
        ("9/4 tsp", "9/4 tsp"),
        ("5/3 tsp", "7/4 tsp"),  # 5 % off
        ("1/8 tsp", "1/8 tsp"),
        ("3/8 tsp", "1/4 tsp + 1/8 tsp"),
    ],
)
def test_kitchen_fractions(exact: str, shown: str) -> None:
    """One measure within 10 %, else a sum of two; at 240, 15 and 5 ml."""
    assert household(exact) == shown


@pytest.mark.parametrize(
    ("exact", "shown"),
    [("5 tbsp", "1/4 cup + 1 tbsp"), ("11/16 cup", "2/3 cup"), ("9/8 tsp", "1 tsp + 1/8 tsp")],
)
def test_kitchen_fractions_of_a_leavener(exact: str, shown: str) -> None:
    """With 5 % the split comes sooner."""
    assert household(exact, is_tight=True) == shown


def test_what_no_spoon_measures_is_flagged() -> None:
    """A sixteenth of a teaspoon is shown as the smallest spoon, and the cook is told to weigh."""
    assert household("1/16 tsp") == "1/8 tsp !"


def test_sums_follow_the_sizes_of_the_system() -> None:
    """Ten Australian tablespoons are 200 ml: three quarters of a 250 ml cup (6 % off); 1/8 dl is 2½ tsp."""
    assert household("10 tbsp", spoons=AUSTRALIAN) == "3/4 cup"
    assert household("1/8 dl", spoons=DECILITRES) == "5/2 tsp"
    assert household("15/4 dl", spoons=DECILITRES) == "15/4 dl"


def test_other_household_measures_have_their_fractions() -> None:
    """Pints, ounces and fluid ounces are rounded in their own unit."""
    assert household("2/3 pint") == "3/4 pint !"
    assert household("13/6 oz") == "9/4 oz"
    assert household("17/8 fl oz") == "2 fl oz"


def test_a_range_keeps_both_ends() -> None:
    """1–2 tbsp times 1½ is 1½–3 tbsp (rule A5)."""
    amount = Amount(Fraction(1), Fraction(2), "tbsp").scaled(Fraction(3, 2))
    shown, flags = shown_household(amount)
    assert shown == (Amount(Fraction(3, 2), Fraction(3), "tbsp"),)
    assert flags == ()


def test_a_range_whose_end_has_no_spoon_is_flagged() -> None:
    """⅓–⅔ tsp has ends that no spoon is near."""
    _, flags = shown_household(Amount(Fraction(1, 3), Fraction(2, 3), "tsp"))
    assert flags


def test_nothing_is_nothing() -> None:
    """Zero is shown as zero, not as the smallest spoon."""
    assert household("0 cup") == "0 cup"


@pytest.mark.parametrize(
    ("exact", "written", "shown", "asks"),
    [("3", "2", "3", False), ("3/2", "1", "3/2", True), ("3/4", "1/2", "3/4", True), ("1", "1/2", "1", False),
     ("15/2", "5", "8", False), ("5/2", "2", "5/2", True)],
)  # fmt: skip
def test_counts_are_whole_unless_the_author_has_parts(exact: str, written: str, shown: str, asks: bool) -> None:
    """Two eggs become three; one and a half is asked; 7½ potatoes are 8, 7 % off."""
    found, flags = shown_count(Amount.of(exact), written=Amount.of(written))
    assert found == Amount.of(shown)
    assert bool(flags) == asks


def test_the_question_names_the_count() -> None:
    """The cook reads how many of what."""
    _, flags = shown_count(Amount.of("3/2", "clove"), written=Amount.of(1, "clove"))
    assert flags == ("1½ cloves: no such part in the recipe, so ask",)


def test_a_half_goes_up_and_zero_has_no_error() -> None:
    """Rounding half up, and no division by zero."""
    assert nearest(Fraction(5, 2), Fraction(1)) == 3
    assert error_of(Fraction(0), Fraction(0)) == 0
