"""
Sizes of measures against published definitions, pint's own registry and published kitchen equivalents.

Sources: NIST Handbook 44 Appendix C, NIST SP 430, 21 CFR 101.9(b)(5)(viii), NSW Healthy Kids conversion chart, the UK
Weights and Measures Act 1985, USDA SR28; units/SOURCE.md names the figures of each.
"""

from __future__ import annotations

import csv
from fractions import Fraction
from pathlib import Path

import pytest

from shootplan.model.quantity import MASS, Amount
from shootplan.resolve.measures import measured
from shootplan.resolve.units import SYSTEMS, convert, millilitres

SIZES = Path(__file__).parent / "units" / "sizes.csv"


def sizes() -> list[dict[str, str]]:
    """The published sizes."""
    with SIZES.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("row", sizes(), ids=lambda row: f"{row['published_name']}-{row['system']}")
def test_a_measure_has_its_published_size(row: dict[str, str]) -> None:
    """Each unit holds exactly what its publication says (source in the row)."""
    amount = Amount.of(1, row["unit"])
    found = convert(amount, "g" if amount.dimension == MASS else "ml", row["system"])
    assert found.high == Fraction(row["value"])


@pytest.mark.parametrize(
    ("of", "per", "count"),
    [("tbsp", "tsp", 3), ("cup", "tbsp", 16), ("cup", "fl oz", 8), ("cup", "tsp", 48)],
)
@pytest.mark.parametrize("system", ["US customary", "US label"])
def test_household_equivalents_of_the_united_states(system: str, of: str, per: str, count: int) -> None:
    """NIST SP 430, Household Weights and Measures: 3 tsp = 1 tbsp; 16 tbsp = 8 fl oz = 48 tsp = 1 cup."""
    assert convert(Amount.of(1, of), per, system) == Amount.of(count, per)


def test_a_litre_is_about_four_and_a_fifth_cups() -> None:
    """NIST SP 430 gives 4.2 cups a litre, two digits."""
    cups = convert(Amount.of(1, "l"), "cup", "US customary").high
    assert round(cups, 1) == Fraction("4.2")


def test_two_cups_of_the_united_states_and_two_pints_differ() -> None:
    """Label to customary cup 1.0144 (NIST HB 44, 21 CFR 101.9); imperial to US pint 1.2009 (a published chart)."""
    label = millilitres(Amount.of(1, "cup"), "US label") / millilitres(Amount.of(1, "cup"), "US customary")
    pints = millilitres(Amount.of(1, "pint"), "metric") / millilitres(Amount.of(1, "pint"), "US customary")
    assert round(label, 4) == Fraction("1.0144")
    assert abs(pints - Fraction("1.2009")) < Fraction(1, 10_000)


def test_metric_measuring_sets_round_thirds_and_quarters() -> None:
    """NSW Healthy Kids: a third of a cup is sold as 80 ml, a quarter as 60 ml, a half as 125 ml; ours within 5 %."""
    for part, printed in ((Fraction(1, 3), 80), (Fraction(1, 4), 60), (Fraction(1, 2), 125)):
        exact = millilitres(Amount.of(part, "cup"), "metric")
        assert abs(exact - printed) / exact <= Fraction(5, 100)


@pytest.mark.parametrize(
    ("density_of_cup", "amount", "grams", "tolerance"),
    [
        # USDA SR28, NDB 01077 whole milk: 244 g a cup; NDB 20120 elbow macaroni: 122 g a cup, so 2 cups are 244 g
        ("244", Amount.of(1, "cup"), "244", "0"),
        ("122", Amount.of(2, "cup"), "244", "0"),
        # USDA SR28, NDB 01001 butter: cup 227 g, tablespoon 14.2 g: 16 of them are 227.2 g
        ("227", Amount.of(1, "tbsp"), "14.2", "0.05"),
    ],
)
def test_cups_weigh_what_the_tables_say(density_of_cup: str, amount: Amount, grams: str, tolerance: str) -> None:
    """The table's grams of a cup, as a density, give back the table's grams of other measures."""
    density = Fraction(density_of_cup) / millilitres(Amount.of(1, "cup"), "US customary")
    found, _ = measured(amount, None, system="US customary", density_g_per_ml=density)
    assert found.metric is not None
    assert abs(found.metric.high - Fraction(grams)) <= Fraction(tolerance)


def test_a_metric_cup_weighs_more() -> None:
    """244 g of milk in the US cup are 257.8 g in the metric cup (computed: 244 x 250 / 236.588)."""
    density = Fraction(244) / millilitres(Amount.of(1, "cup"), "US customary")
    found, _ = measured(Amount.of(1, "cup"), None, system="metric", density_g_per_ml=density)
    assert found.metric is not None
    assert round(found.metric.high, 1) == Fraction("257.8")


#: Our unit in a measure system → the unit of that name in pint's default registry.
ORACLE = {
    ("US customary", "cup"): "cup",
    ("US customary", "tbsp"): "tablespoon",
    ("US customary", "tsp"): "teaspoon",
    ("US customary", "fl oz"): "US_fluid_ounce",
    ("US customary", "pint"): "US_pint",
    ("US customary", "quart"): "US_liquid_quart",
    ("metric", "pint"): "imperial_pint",
    ("metric", "quart"): "imperial_quart",
    ("metric", "fl oz"): "imperial_fluid_ounce",
    ("metric", "oz"): "ounce",
    ("metric", "lb"): "pound",
}


def test_pint_agrees_on_every_unit_that_it_knows() -> None:
    """Pint's default registry, which the program never loads, has the same sizes to within one part in 10^12."""
    import pint

    oracle = pint.UnitRegistry()
    for (system, unit), name in ORACLE.items():
        amount = Amount.of(1, unit)
        base = "g" if amount.dimension == MASS else "ml"
        ours = float(convert(amount, base, system).high)
        theirs = oracle.Quantity(1, name).to("gram" if base == "g" else "milliliter").magnitude
        assert ours == pytest.approx(float(theirs), rel=1e-12), (system, unit)


def test_every_system_is_checked_against_a_publication() -> None:
    """No measure system is without a published row."""
    assert {row["system"] for row in sizes()} == set(SYSTEMS)
