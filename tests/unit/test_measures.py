"""An amount in both measures: typed, derived, scaled, compared."""

from __future__ import annotations

from fractions import Fraction

import pytest

from shootplan.model.quantity import Amount
from shootplan.model.recipe import IngredientLine, Recipe, Serves
from shootplan.model.resolved import Measured
from shootplan.resolve.measures import measured, with_whole_second

SIX_OF_FOUR = Fraction(3, 2)


def of(text: str) -> Amount:
    """Return "1/2 cup" or "2" as an amount."""
    value, _, unit = text.partition(" ")
    return Amount.of(value, unit)


def scaled(
    amount: str,
    second: str | None = None,
    *,
    density: Fraction | None = None,
    is_tight: bool = False,
    to: Fraction = SIX_OF_FOUR,
) -> Measured:
    """Return both measures at 240 ml a cup, from four to six servings unless said."""
    found, disagreement = measured(
        of(amount),
        of(second) if second else None,
        system="US label",
        density_g_per_ml=density,
        is_tight=is_tight,
        scale=to,
    )
    assert disagreement is None
    return found


def shown(found: Measured) -> str:
    """Write what is shown: "190 g / 3/2 cup"."""
    metric = found.metric_shown
    left = f"{metric.high} {metric.unit}" if metric else "-"
    return f"{left} / " + (" + ".join(f"{one.high} {one.unit}".strip() for one in found.household_shown) or "-")


# ---------------------------------------------------------------- scaling four to six, worked by hand, cup of 240 ml


def test_flour_by_the_cup_is_told_in_grams() -> None:
    """1 cup of 125 g: 1½ cups; 187.5 → 190 g (+1.3 %)."""
    found = scaled("1 cup", density=Fraction(125, 240))
    assert shown(found) == "190 g / 3/2 cup"
    assert found.metric == Amount.of("187.5", "g")


def test_oil_by_the_spoon_is_told_in_millilitres() -> None:
    """1 tbsp: 1½ tbsp, 22.5 → 23 ml; no density is needed from volume to volume."""
    assert shown(scaled("1 tbsp")) == "23 ml / 3/2 tbsp"


def test_baking_powder_keeps_within_five_percent() -> None:
    """6.9 g (1½ tsp): 2¼ tsp; 10.35 → 10 g (-3.4 %, inside 5)."""
    found = scaled("69/10 g", "3/2 tsp", is_tight=True)
    assert shown(found) == "10 g / 9/4 tsp"
    assert found.flags == ()


def test_milk_by_the_third_of_a_cup() -> None:
    """⅓ cup: ½ cup, 120 ml."""
    assert shown(scaled("1/3 cup")) == "120 ml / 1/2 cup"


def test_salt_is_split() -> None:
    """¼ tsp: ⅜ is neither ¼ nor ½ within 5 %, so "¼ tsp + ⅛ tsp"."""
    found = scaled("1/4 tsp", is_tight=True)
    assert found.household_shown == (Amount.of("1/4", "tsp"), Amount.of("1/8", "tsp"))
    assert found.flags == ()


def test_eggs_are_whole_or_asked_for() -> None:
    """2 eggs: 3; 1 egg: 1½, ask."""
    assert shown(scaled("2")) == "- / 3"
    one = scaled("1")
    assert one.household == Amount.of("3/2")
    assert one.flags == ("1½ of them: no such part in the recipe, so ask",)


@pytest.mark.parametrize(("system", "grams"), [("US customary", "123.2"), ("metric", "130.2"), ("US label", "125.0")])
def test_the_same_flour_in_other_cups(system: str, grams: str) -> None:
    """125 g in a 240 ml cup are 123.2 g in the 236.588 ml cup and 130.2 g in the 250 ml cup."""
    found, _ = measured(of("1 cup"), None, system=system, density_g_per_ml=Fraction(125, 240))
    assert found.metric is not None
    assert round(found.metric.high, 1) == Fraction(grams)


# ---------------------------------------------------------------------------------------------------- typed, derived


def test_what_the_author_typed_is_shown_as_typed() -> None:
    """At scale 1 neither measure is rounded, whatever the steps are."""
    found = scaled("225/10 ml", "3/2 tbsp", to=Fraction(1))
    assert shown(found) == "45/2 ml / 3/2 tbsp"
    assert shown(scaled("6/5 g", "1 tsp", to=Fraction(1))) == "6/5 g / 1 tsp"
    assert shown(scaled("85 g", "6 tbsp", to=Fraction(1))) == "85 g / 6 tbsp"


def test_which_measure_comes_first_does_not_matter() -> None:
    """ "1 cup (125 g)" and "125 g (1 cup)" are the same."""
    assert shown(scaled("1 cup", "125 g")) == shown(scaled("125 g", "1 cup")) == "190 g / 3/2 cup"


def test_grams_need_a_density_to_become_cups() -> None:
    """Without a density there is no household measure, never that of water."""
    assert shown(scaled("125 g", to=Fraction(1))) == "125 g / -"
    assert shown(scaled("125 g", density=Fraction(125, 240), to=Fraction(1))) == "125 g / 1 cup"


def test_millilitres_become_spoons_and_cups() -> None:
    """15 ml is 1 tbsp, 300 ml 1¼ cups, 5 ml 1 tsp."""
    found = [shown(scaled(text, to=Fraction(1))) for text in ("15 ml", "300 ml", "5 ml")]
    assert found == ["15 ml / 1 tbsp", "300 ml / 5/4 cup", "5 ml / 1 tsp"]


def test_a_derived_measure_that_cannot_be_measured_is_left_out() -> None:
    """0.1 ml has no spoon near it, and nobody asked for one."""
    found = scaled("1/10 ml", to=Fraction(1))
    assert found.household_shown == ()
    assert found.flags == ()


def test_a_pinch_is_never_told_in_millilitres() -> None:
    """A pinch has no standard size."""
    assert scaled("1 pinch", to=Fraction(1)).metric is None


def test_pounds_are_told_in_grams() -> None:
    """1 lb is 453.59237 g (NIST Handbook 44, Appendix C), shown as 450 g."""
    assert shown(scaled("1 lb", to=Fraction(1))) == "450 g / 1 lb"


def test_decilitres_stand_for_cups_where_they_are_the_measure() -> None:
    """In decilitre measures 2½ dl is the household measure of 250 ml; in others it is metric."""
    found, _ = measured(of("250 ml"), of("5/2 dl"), system="dl", density_g_per_ml=None)
    assert shown(found) == "250 ml / 5/2 dl"
    other, _ = measured(of("5/2 dl"), None, system="metric", density_g_per_ml=None)
    assert shown(other) == "5/2 dl / 1 cup"


def test_litres_are_not_told_in_decilitres() -> None:
    """From a litre on decilitres say nothing new."""
    found, _ = measured(of("2 l"), None, system="dl", density_g_per_ml=None)
    assert shown(found) == "2 l / -"


def test_a_cup_in_decilitre_measures_is_shown_and_not_converted() -> None:
    """What the author typed stays; nothing is made up for it."""
    found, disagreement = measured(of("1 cup"), None, system="dl", density_g_per_ml=None)
    assert (shown(found), disagreement) == ("- / 1 cup", None)


def test_a_sized_count_keeps_its_size() -> None:
    """5 medium potatoes of 900 g for six: 1350 g, 8 medium (7½, 7 % off)."""
    found, _ = measured(
        of("900 g"), of("5"), system="metric", density_g_per_ml=None, scale=SIX_OF_FOUR, second_size="medium"
    )
    assert (shown(found), found.household_size) == ("1350 g / 8", "medium")


def test_a_count_beside_a_weight_asks_nothing() -> None:
    """1½ onions need no asking where the weight is given."""
    found = scaled("110 g", "1")
    assert (shown(found), found.flags) == ("165 g / 3/2", ())


def test_a_share_is_rounded_and_counts_as_the_authors_word() -> None:
    """Half of one lemon is half a lemon; a third of 1 tbsp (15 ml) is 1 tsp (5 ml)."""
    lemon, _ = measured(of("1"), None, system="metric", density_g_per_ml=None, share=Fraction(1, 2))
    oil, _ = measured(of("15 ml"), of("1 tbsp"), system="metric", density_g_per_ml=None, share=Fraction(1, 3))
    assert (shown(lemon), lemon.flags) == ("- / 1/2", ())
    assert (shown(oil), oil.flags) == ("5 ml / 1 tsp", ())


# ---------------------------------------------------------------------------------------------------- sums


def sugar(system: str) -> Amount | None:
    """Read the whole second measure of "75 g (¼ cup + 2 tbsp) sugar"."""
    line = IngredientLine(id="s", item="sugar", amount=of("75 g"), second=of("1/4 cup"), second_plus=of("2 tbsp"))
    recipe = Recipe(id="r", title="R", serves=Serves(4), lines=(line,))
    return with_whole_second(recipe, system).lines[0].second


@pytest.mark.parametrize(
    ("system", "whole"),
    [("US label", "3/8 cup"), ("metric", "37/100 cup"), ("Australian", "41/100 cup"), ("dl", "1/4 cup")],
)
def test_a_sum_is_whole_by_its_system(system: str, whole: str) -> None:
    """60 + 30 of 240 ml; 62.5 + 30 of 250; 62.5 + 40 of 250; no cup in decilitres, so left as it was."""
    assert sugar(system) == of(whole)


def test_a_sum_is_shown_as_typed_and_scaled_as_one() -> None:
    """ "¼ cup + 2 tbsp" stays at scale 1; for six it is 135 ml: ½ cup + 1 tbsp."""
    for scale, expected in ((Fraction(1), "75 g / 1/4 cup + 2 tbsp"), (SIX_OF_FOUR, "115 g / 1/2 cup + 1 tbsp")):
        found, _ = measured(
            of("75 g"), of("3/8 cup"), second_plus=of("2 tbsp"), system="US label", density_g_per_ml=None, scale=scale
        )
        assert shown(found) == expected


# ---------------------------------------------------------------------------------------------------- disagreement


@pytest.mark.parametrize(
    ("amount", "second", "density", "is_tight", "sentence"),
    [
        ("15 ml", "1 tbsp", None, False, None),
        ("20 ml", "1 tbsp", None, False, "20 ml and 1 tbsp differ by 33 %: 1 tbsp is 15 ml"),
        ("125 g", "1 cup", "125/240", False, None),
        ("150 g", "1 cup", "125/240", False, "150 g and 1 cup differ by 20 %: 1 cup is 125 g"),
        ("100 g", "1 cup", "125/240", False, "100 g and 1 cup differ by 20 %: 1 cup is 125 g"),
        ("150 g", "1 cup", None, False, None),
        ("134 g", "1 cup", "125/240", False, None),
        ("134 g", "1 cup", "125/240", True, "134 g and 1 cup differ by 7 %: 1 cup is 125 g"),
        ("450 g", "1 lb", None, False, None),
        ("0.5 kg", "2 lb", None, False, "0.5 kg and 2 lb differ by 45 %: 2 lb is 0.91 kg"),
        ("900 g", "5", None, False, None),
        ("9 g", "1 pinch", "1", False, None),
    ],
)
def test_measures_that_disagree_are_said(
    amount: str, second: str, density: str | None, is_tight: bool, sentence: str | None
) -> None:
    """More than 10 % apart (5 % for leaveners), by the item's own density only; unknown density, no check."""
    own = Fraction(density) if density else None
    _, found = measured(of(amount), of(second), system="US label", density_g_per_ml=own, is_tight=is_tight)
    assert found == sentence


def test_ranges_agree_where_they_meet() -> None:
    """1–2 tbsp and 20 ml agree; 1–2 tbsp and 50 ml do not."""
    spoons = Amount(Fraction(1), Fraction(2), "tbsp")
    found = [measured(of(text), spoons, system="metric", density_g_per_ml=None)[1] for text in ("20 ml", "50 ml")]
    assert found[0] is None
    assert found[1] == "50 ml and 1–2 tbsp differ by 67 %: 1–2 tbsp is 15–30 ml"


@pytest.mark.parametrize(("system", "density"), [("Martian", None), ("metric", Fraction(0))])
def test_what_a_caller_must_not_pass(system: str, density: Fraction | None) -> None:
    """An unknown system and a density of zero are refused."""
    with pytest.raises(ValueError, match=r"system|density"):
        measured(of("2"), None, system=system, density_g_per_ml=density)


def test_a_whole_part_of_the_authors_amount_is_not_rounded_again() -> None:
    """45 ml held back of 480 ml leave 435 ml, not 440: the parts add up to what was written."""
    part, _ = measured(Amount.of(480, "ml"), None, system="US label", density_g_per_ml=None, share=Fraction(435, 480))
    assert part.metric_shown == Amount.of(435, "ml")


def test_a_small_part_of_litres_is_told_in_millilitres() -> None:
    """A quarter cup of 250 ml held back of 2 l is 62.5 ml, shown as 65 ml (steps of 5 below 250), never 0.07 l."""
    part, _ = measured(Amount.of(2, "l"), None, system="metric", density_g_per_ml=None, share=Fraction(625, 20000))
    assert part.metric_shown == Amount.of(65, "ml")
