"""
How much a unit holds, in each measure system (rule A1).

An ``Amount`` and the name of a measure system come in, millilitres or the amount in another unit go out, exactly. Text
is never read here, and a volume never becomes a weight: that takes an item's own density. The sizes stand in
``units.txt``.
"""

from __future__ import annotations

import sys
from fractions import Fraction
from functools import lru_cache
from importlib import resources
from types import ModuleType
from typing import TYPE_CHECKING

from shootplan.model.quantity import COUNT, VOLUME, Amount, dimension
from shootplan.model.rounding import SpoonSizes

if TYPE_CHECKING:
    import pint

__all__ = ["SYSTEMS", "convert", "has_unit", "millilitres", "per_gram", "spoon_sizes", "unit_names"]

_EVERYWHERE = {
    "mg": "milligram", "g": "gram", "kg": "kilogram", "oz": "ounce", "lb": "pound",
    "ml": "millilitre", "cl": "centilitre", "dl": "decilitre", "l": "litre",
    "dsp": "dessertspoon", "pinch": "pinch", "dash": "dash", "drop": "drop",
}  # fmt: skip
_US_LIQUID = {"pint": "us_pint", "quart": "us_quart"}
_IMPERIAL = {"pint": "imperial_pint", "quart": "imperial_quart", "fl oz": "imperial_fluid_ounce"}
_METRIC = {"cup": "metric_cup", "tbsp": "metric_tablespoon", "tsp": "metric_teaspoon"}
_US_SPOONS = {"cup": "us_cup", "tbsp": "us_tablespoon", "tsp": "us_teaspoon", "dsp": "us_dessertspoon"}
_LABEL = {"cup": "label_cup", "tbsp": "label_tablespoon", "tsp": "label_teaspoon", "fl oz": "label_fluid_ounce"}
#: Measure system → our unit word → its name in units.txt. Where a system has no pint of its own, it is the one of the
#: countries that use the system (common practice, no source); the decilitre system has no cup.
SYSTEMS: dict[str, dict[str, str]] = {
    "US customary": _EVERYWHERE | _US_LIQUID | _US_SPOONS | {"fl oz": "us_fluid_ounce"},
    "US label": _EVERYWHERE | _US_LIQUID | _LABEL,
    "metric": _EVERYWHERE | _IMPERIAL | _METRIC,
    "Australian": _EVERYWHERE | _IMPERIAL | _METRIC | {"tbsp": "australian_tablespoon"},
    "dl": _EVERYWHERE | {"tbsp": "metric_tablespoon", "tsp": "metric_teaspoon"},
}


def unit_names() -> tuple[str, ...]:
    """Return every unit word that has a size in some measure system, sorted."""
    return tuple(sorted({word for names in SYSTEMS.values() for word in names}))


def has_unit(unit: str, system: str) -> bool:
    """Return whether the measure system has that unit; every system has every count."""
    return dimension(unit) == COUNT or unit in SYSTEMS.get(system, {})


def millilitres(amount: Amount, system: str) -> Fraction:
    """
    Return how many millilitres the upper end of ``amount`` holds.

    Raises
    ------
    ValueError
        If the amount is no volume, the measure system is unknown, or it has no such unit.
    """
    if amount.dimension != VOLUME:
        raise ValueError(f"{amount.unit or 'a count'} is not a volume")
    return amount.high * _factor(amount.unit, system)


def convert(amount: Amount, to_unit: str, system: str) -> Amount:
    """
    Return ``amount`` in another unit of the same dimension, both ends, exactly.

    Raises
    ------
    ValueError
        If the two units measure different things (weight, volume, or counts of different nouns), the measure system is
        unknown, or it has no such unit.
    """
    if amount.unit == to_unit:
        return amount
    if amount.dimension == COUNT or amount.dimension != dimension(to_unit):
        raise ValueError(f"{amount.unit or 'a count'} cannot be converted to {to_unit or 'a count'}")
    return amount.told_in(to_unit, _ratio(amount.unit, to_unit, system))


_ARRAYS = ("numpy", "dask", "xarray")


@lru_cache(maxsize=16)
def spoon_sizes(system: str) -> SpoonSizes:
    """
    Return the measures that a kitchen of that system has at hand, in millilitres.

    Raises
    ------
    ValueError
        If the measure system is unknown.
    """
    large = "dl" if system == "dl" else "cup"
    return SpoonSizes(large=large, sizes={unit: _factor(unit, system) for unit in (large, "tbsp", "tsp")})


def per_gram(density_g_per_ml: Fraction) -> Fraction:
    """Return millilitres of one gram of a food of that density (g/ml)."""
    return Fraction(density_g_per_ml.denominator, density_g_per_ml.numerator)


@lru_cache(maxsize=512)
def _ratio(unit: str, to_unit: str, system: str) -> Fraction:
    """Return how many of ``to_unit`` are in one of ``unit``."""
    return _factor(unit, system) / _factor(to_unit, system)


@lru_cache(maxsize=512)
def _factor(unit: str, system: str) -> Fraction:
    """Return grams or millilitres in one of ``unit``."""
    names = SYSTEMS.get(system)
    if names is None:
        raise ValueError(f"unknown measure system {system!r}; known are {', '.join(SYSTEMS)}")
    if unit not in names:
        raise ValueError(f"the measure system {system!r} has no {unit}")
    base = "millilitre" if dimension(unit) == VOLUME else "gram"
    registry = _registry()
    return Fraction(registry.Quantity(Fraction(1), names[unit]).to(base).magnitude)


@lru_cache(maxsize=1)
def _registry() -> pint.UnitRegistry[Fraction]:
    """Return the registry of our own units: exact fractions, and a unit defined twice is an error."""
    registry: pint.UnitRegistry[Fraction] = _import_pint().UnitRegistry(
        None, non_int_type=Fraction, on_redefinition="raise", cache_folder=None
    )
    text = (resources.files("shootplan.resolve") / "units.txt").read_text(encoding="utf-8")
    registry.load_definitions(text.splitlines())
    return registry


def _import_pint() -> ModuleType:
    """Import pint without the array libraries, which we do not need and which take most of its time where installed."""
    hidden = [name for name in _ARRAYS if name not in sys.modules] if "pint" not in sys.modules else []
    for name in hidden:
        sys.modules[name] = None  # type: ignore[assignment]
    try:
        import pint
    finally:
        for name in hidden:
            del sys.modules[name]
    return pint
