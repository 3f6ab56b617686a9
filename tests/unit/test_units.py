"""Units convert exactly inside their dimension and measure system, and nowhere else."""

from __future__ import annotations

import subprocess
import sys
from fractions import Fraction

import pytest

from shootplan.model.quantity import Amount
from shootplan.resolve.units import SYSTEMS, convert, has_unit, millilitres, spoon_sizes, unit_names


@pytest.mark.parametrize(
    ("system", "cup", "tbsp", "tsp"),
    [("US label", 240, 15, 5), ("metric", 250, 15, 5), ("Australian", 250, 20, 5)],
)
def test_the_cup_and_spoons_of_each_system(system: str, cup: int, tbsp: int, tsp: int) -> None:
    """Cup, tablespoon and teaspoon depend on the measure system (rule A1)."""
    found = [millilitres(Amount.of(1, unit), system) for unit in ("cup", "tbsp", "tsp")]
    assert found == [cup, tbsp, tsp]


def test_the_us_cup_is_exact() -> None:
    """A customary cup is a sixteenth of 231 cubic inches, 2.54 cm each (NIST Handbook 44, Appendix C)."""
    cubic_inch = Fraction("2.54") ** 3
    assert millilitres(Amount.of(1, "cup"), "US customary") == 231 * cubic_inch / 16


def test_the_decilitre_system_has_no_cup() -> None:
    """A cup in decilitre measures is refused by name, not guessed."""
    assert not has_unit("cup", "dl")
    assert has_unit("tin", "dl")
    with pytest.raises(ValueError, match="'dl' has no cup"):
        millilitres(Amount.of(1, "cup"), "dl")


def test_an_unknown_system_is_refused() -> None:
    """The message names the systems that there are."""
    with pytest.raises(ValueError, match="US customary"):
        millilitres(Amount.of(1, "cup"), "Martian")


@pytest.mark.parametrize(("unit", "to"), [("g", "ml"), ("cup", "g"), ("tin", "g"), ("g", ""), ("clove", "head")])
def test_unlike_things_do_not_convert(unit: str, to: str) -> None:
    """Volume never becomes weight without a density, and a count only counts itself."""
    with pytest.raises(ValueError, match="cannot be converted"):
        convert(Amount.of(1, unit), to, "metric")


def test_millilitres_are_of_a_volume_only() -> None:
    """A weight has no millilitres."""
    with pytest.raises(ValueError, match="not a volume"):
        millilitres(Amount.of(1, "kg"), "metric")


def test_a_range_converts_at_both_ends() -> None:
    """1–2 tbsp are 15–30 ml; the upper end is the volume to cost by."""
    amount = Amount(Fraction(1), Fraction(2), "tbsp")
    assert convert(amount, "ml", "metric") == Amount(Fraction(15), Fraction(30), "ml")
    assert millilitres(amount, "metric") == 30


def test_a_count_stays_itself() -> None:
    """Converting to the same noun changes nothing."""
    assert convert(Amount.of(2, "tin"), "tin", "metric") == Amount.of(2, "tin")


def test_the_names_cover_every_system() -> None:
    """The list of unit words holds those of every system, each once."""
    names = unit_names()
    assert set().union(*SYSTEMS.values()) == set(names)
    assert len(names) == len(set(names))


def test_the_large_measure_is_the_cup_or_the_decilitre() -> None:
    """A kitchen with decilitre measures has those in place of cups."""
    assert spoon_sizes("dl").large == "dl"
    assert spoon_sizes("dl").sizes == {"dl": 100, "tbsp": 15, "tsp": 5}
    assert spoon_sizes("metric").large == "cup"


def test_the_units_load_late_and_without_numpy() -> None:
    """Importing loads no unit library; the first conversion loads it and hides numpy from it only for that time."""
    code = (
        "import sys; from shootplan.resolve.units import millilitres; from shootplan.model.quantity import Amount\n"
        "assert 'pint' not in sys.modules\n"
        "assert millilitres(Amount.of(1, 'cup'), 'metric') == 250\n"
        "assert 'pint' in sys.modules and 'numpy' not in sys.modules\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True, timeout=60)
