"""
Thirty worked examples of other people, each through the program: the way from line and price row, or from a measure.

Source: food/worked_examples.csv, whose every row names its page. Where a page rounds between its steps, both are
checked: the exact figure by our arithmetic, the printed one by going the page's way.
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from costing_helpers import amount, episode, line, recipe, row
from demo_money import no_faults

from shootplan.cost import cost_episode
from shootplan.larder import grams, identify
from shootplan.model.money import half_up
from shootplan.model.quantity import Amount
from shootplan.model.recipe import RecipeKind
from shootplan.read.durations import read_temperature
from shootplan.resolve import resolve_episode
from shootplan.resolve.units import convert, millilitres

with (Path(__file__).parent / "food" / "worked_examples.csv").open(encoding="utf-8", newline="") as _file:
    ROWS = {entry["id"]: entry for entry in csv.DictReader(_file)}


# ---------------------------------------------------------------------------------------------- through the program


def cost_of(text: str, pack: str, price: str, *, usable: Fraction | int | None = None) -> Fraction:
    """Return the exact cost of one line through the whole way from line and price row."""
    fields = {"is_prepared": True, "yield_percent": Fraction(usable)} if usable is not None else {}
    made = recipe("dish", [line("thing", text, **fields)], hearty=1)
    resolved, problems = resolve_episode(episode([made], [row("thing", pack, price)]))
    assert not no_faults(problems)
    return cost_episode(resolved)[0].core.exact


def bought(text: str, *, usable: Fraction | int | None = None, scale: Fraction | int = 1) -> Fraction:
    """Return how much of a thing is bought for a line, in the line's own unit."""
    fields = {"is_prepared": True, "yield_percent": Fraction(usable)} if usable is not None else {}
    made = recipe("dish", [line("thing", text, **fields)], hearty=1, scale=Fraction(scale))
    unit = amount(text).unit
    resolved, _ = resolve_episode(episode([made], [row("thing", f"1 {unit}", "1")]))
    found = resolved.recipes[0].lines[0].as_bought
    assert found is not None and found.unit == unit
    return found.high


def share_of_batch(used: str, makes: str) -> Fraction:
    """Return which part of a batch that ``makes`` so much a dish takes (rule M4)."""
    batch = recipe(
        "soup", [line("thing", "1 oz")], makes=amount(makes), makes_name="soup", kind=RecipeKind.SUB_PREPARATION
    )
    dish = recipe("cups", [line("soup", used)])
    resolved, _ = resolve_episode(episode([batch, dish], [row("thing", "1 oz", "1")]))
    taken = resolved.recipes[1].lines[0]
    assert taken.as_bought is not None and taken.pack is not None
    return taken.as_bought.high / taken.pack.high


def in_unit(text: str, unit: str, system: str) -> Fraction:
    """Return an amount in another unit."""
    return convert(amount(text), unit, system).high


def weight(text: str, measure: str, *, measure_ml: Fraction | None = None) -> Fraction:
    """Return grams of one measure of a food from the shipped tables."""
    figure = grams(identify(text), measure, measure_ml=measure_ml)
    assert figure.value is not None
    return figure.value


def celsius(text: str) -> Fraction:
    """Return a temperature as the program reads it, whole degrees."""
    found = read_temperature(text)
    assert isinstance(found, int)
    return Fraction(found)


METRIC_CUP = Fraction(250)
#: Row → what the program makes of it, and the same by the page's formula, in exact fractions worked by hand.
WORKED: dict[str, tuple[Callable[[], tuple[Fraction, ...]], tuple[str, ...]]] = {
    "w01": (lambda: (cost_of("1 oz", "1 oz", "0.106", usable=75),), ("106/750",)),
    "w02": (lambda: (cost_of("4 oz", "1 oz", "0.106", usable=75),), ("424/750",)),
    "w03": (lambda: (3 / bought("1 lb", usable=95),), ("285/100",)),
    "w06": (lambda: (cost_of("10 lb", "10 lb", "5.60", usable=75),), ("560/75",)),
    "w08": (lambda: (cost_of("1 lb", "1 lb", "1.86", usable=75),), ("186/75",)),
    "w09": (lambda: (cost_of("1 oz", "19 oz", "2.49"),), ("249/1900",)),
    "w11": (
        lambda: (100 * cost_of("1 g", "750 g", "5.95"), 100 * cost_of("1 g", "1 kg", "8.00")),
        ("595/750", "800/1000"),
    ),
    "w12": (lambda: (100 * cost_of("1", "12", "1.50"), 100 * cost_of("1", "20", "3.00")), ("150/12", "300/20")),
    "w13": (lambda: (Fraction(3650) / bought("36.5 oz", usable=Fraction("45.625")),), ("365/8",)),
    "w14": (lambda: (bought("1 lb", scale=75 / Fraction("2.44")),), ("7500/244",)),
    "w15": (lambda: (bought("41 lb", scale=Fraction(75, 100)),), ("123/4",)),
    "w16": (lambda: (bought("1 kg", scale=Fraction(50 * 230, 35 * 185)),), ("11500/6475",)),
    "w17": (lambda: (share_of_batch(f"{10 * 4} oz", f"{5 * 8} oz"),), ("1",)),
    "w18": (lambda: (bought("1 g", scale=Fraction(15, 10)),), ("3/2",)),
    "w20": (lambda: (Fraction(3 * 12 * 16) / bought("3 oz", usable=47),), ("27072/300",)),
    "w22": (lambda: (460 / bought("4.6 kg", usable=Fraction(4600, 52)),), ("4600/52",)),
    "w23": (lambda: (cost_of("1 kg", "1 kg", "11.95", usable=Fraction(4600, 52)),), ("6214/460",)),
    "w25": (lambda: (cost_of("1 tin", "16 tin", "9.29"),), ("929/1600",)),
    "w27": (lambda: (1 / cost_of("2.5 lb", "40 lb", "1"),), ("16",)),
    "w28": (lambda: (celsius("400 °F"),), ("204",)),
    "w29": (lambda: (celsius("392 °F"),), ("200",)),
    "w30": (lambda: (in_unit("1 cup", "tsp", "US customary"),), ("48",)),
    "w31": (
        lambda: (millilitres(Amount.of(1, "cup"), "US label") / millilitres(Amount.of(1, "cup"), "US customary"),),
        ("2400000000/2365882365",),
    ),
    "w32": (
        lambda: (millilitres(Amount.of(1, "pint"), "metric") / millilitres(Amount.of(1, "pint"), "US customary"),),
        ("568261250/473176473",),
    ),
    "w33": (lambda: (cost_of("1 kg", "1 tin, 400 g", "1.49"),), ("149/40",)),
    "w34": (lambda: (cost_of("1 l", "750 ml", "2.35"),), ("235/75",)),
    "w35": (lambda: (cost_of("1 kg", "1 kg", "1.20"),), ("6/5",)),
    "w36": (lambda: (16 * weight("butter", "tbsp"), weight("butter", "cup")), ("2272/10", "227")),
    "w37": (
        lambda: (weight("whole milk", "cup"), weight("whole milk", "cup", measure_ml=METRIC_CUP)),
        ("244", "61000000000000/236588236500"),
    ),
    "w38": (
        lambda: (2 * weight("dry macaroni", "cup"), 2 * weight("dry macaroni", "cup", measure_ml=METRIC_CUP)),
        ("244", "61000000000000/236588236500"),
    ),
}
#: What the pages print as unrounded figures, copied from the column of that name, each as far as it is printed.
UNROUNDED = {
    "w01": "0.141333", "w02": "0.565333", "w03": "2.85", "w06": "7.466667", "w08": "2.48", "w09": "0.131053",
    "w11": "0.793333 0.8", "w12": "12.5 15", "w13": "45.625", "w14": "30.737705", "w15": "30.75", "w16": "1.776062",
    "w17": "1.0", "w18": "1.5", "w20": "90.24", "w22": "88.461538", "w23": "13.508696", "w25": "0.580625", "w27": "16",
    "w28": "204", "w29": "392", "w30": "48", "w31": "1.014421", "w32": "1.200950", "w33": "3.725", "w34": "3.133333",
    "w35": "1.2", "w36": "227.2 227", "w37": "244 257.8", "w38": "244 257.8",
}  # fmt: skip
#: Rows whose printed figure is not the exact one rounded half up; a test of its own goes the page's way.
OTHER_WAY = {"w02", "w06", "w20", "w28", "w29", "w36"}


def as_printed(values: tuple[Fraction, ...], printed: list[str]) -> list[str]:
    """Return the values with as many decimals as the printed ones."""
    places = [len(text.partition(".")[2]) for text in printed]
    return [str(half_up(value, count)) for value, count in zip(values, places, strict=False)]


def test_all_thirty_rows_are_worked() -> None:
    """No row of the table is left out, and none is made up; the figures copied here stand in the table."""
    assert len(ROWS) == 30
    assert set(WORKED) == set(UNROUNDED) == set(ROWS)
    for name, figures in UNROUNDED.items():
        table = ROWS[name]["unrounded"] + " " + ROWS[name]["expected"]
        assert all(figure in table for figure in figures.split()), name


@pytest.mark.parametrize("name", sorted(ROWS))
def test_the_program_computes_exactly_what_the_formula_says(name: str) -> None:
    """The exact fraction by the page's formula, and the page's own unrounded figure as far as it is printed."""
    compute, formula = WORKED[name]
    computed = compute()
    assert computed == tuple(Fraction(text) for text in formula)
    if name != "w29":  # read the other way about: 392 °F is 200 °C
        printed = UNROUNDED[name].split()
        assert as_printed(computed, printed) == printed


@pytest.mark.parametrize("name", sorted(set(ROWS) - OTHER_WAY))
def test_the_printed_figure_is_the_exact_one_rounded_half_up_once(name: str) -> None:
    """What the page prints is what we print."""
    printed = ROWS[name]["expected"].split(" and ")
    assert as_printed(WORKED[name][0]()[: len(printed)], printed) == printed


def test_pages_that_round_between_steps_are_reached_their_way() -> None:
    """0.141 an ounce first, then four: 0.564, not 0.565; 5.60 x 1.333 = 7.4648, not 7.4667."""
    per_ounce = half_up(WORKED["w01"][0]()[0], 3)
    assert 4 * per_ounce == Decimal(ROWS["w02"]["expected"])
    factor = half_up(Fraction(100, 75), 3)
    assert half_up(Fraction(Decimal("5.60") * factor), 3) == Decimal(ROWS["w06"]["expected"])


def test_a_yield_rounded_first_moves_the_price_by_a_cent() -> None:
    """w23: 11.95 / 88.5 % is 13.50; by the exact 5.2 / 4.6 it is 13.51. w22 prints the rounded yield."""
    by_rounded = cost_of("1 kg", "1 kg", "11.95", usable=Fraction(ROWS["w22"]["expected"]))
    assert str(half_up(by_rounded, 2)) == "13.50"
    assert str(half_up(WORKED["w23"][0]()[0], 2)) == ROWS["w23"]["expected"] == "13.51"


def test_servings_round_down() -> None:
    """w20: 90.24 servings are ninety."""
    assert WORKED["w20"][0]()[0] // 1 == int(ROWS["w20"]["expected"]) == 90


def test_half_a_cent_is_exact_and_goes_up() -> None:
    """w33, Directive 98/6/EC: 3.725 exactly prints 3.73; half to even would say 3.72."""
    exact = WORKED["w33"][0]()[0]
    assert exact == Fraction(3725, 1000)
    assert str(half_up(exact, 2)) == ROWS["w33"]["expected"] == "3.73"


def test_ovens_are_read_to_the_whole_degree() -> None:
    """w28: 400 °F is 204.44 °C, read as 204; w29: 200 °C is 392 °F exactly."""
    assert abs(WORKED["w28"][0]()[0] - Fraction(ROWS["w28"]["expected"])) < Fraction(1, 2)
    assert celsius(f"{ROWS['w29']['expected']} °F") == 200


def test_two_measures_of_one_table_differ_by_a_part_in_a_thousand() -> None:
    """w36, USDA SR28: sixteen tablespoons of butter are 227.2 g, a cup is 227 g."""
    by_spoons, by_cup = WORKED["w36"][0]()
    assert by_cup == Fraction(ROWS["w36"]["expected"])
    assert (by_spoons - by_cup) / by_cup < Fraction(1, 1000)


def test_the_cost_of_what_is_bought_is_the_cost_of_what_is_eaten() -> None:
    """w08: 37.5 lb prepared at 2.48 is 50 lb bought at 1.86, both 93.00."""
    assert cost_of("37.5 lb", "1 lb", "1.86", usable=75) == cost_of("50 lb", "1 lb", "1.86") == 93


def test_a_recipe_scaled_from_ten_to_fifteen_portions() -> None:
    """w18: 3 g of broccoli become 4.5, 2 1/2 cups of sauce become 3.75."""
    assert bought("3 g", scale=Fraction(15, 10)) == Fraction("4.5")
    assert bought("2.5 cup", scale=Fraction(15, 10)) == Fraction("3.75")
