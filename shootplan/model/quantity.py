"""
Amounts as exact fractions with a unit.

Mass is kept in grams, volume in millilitres, counts under the noun that is counted ("clove", "tin", "" for a
bare number). Spoons and cups keep their own unit here; ``resolve.units`` knows how many millilitres they hold in the
recipe's measure system. Nothing in this module rounds.
"""

from __future__ import annotations

from fractions import Fraction

from shootplan.records import dataclass

__all__ = ["COUNT", "MASS", "SPOON_UNITS", "VOLUME", "Amount", "dimension"]

MASS = "mass"
VOLUME = "volume"
COUNT = "count"

_MASS_UNITS = frozenset({"mg", "g", "kg", "oz", "lb"})
_METRIC_VOLUME_UNITS = frozenset({"ml", "cl", "dl", "l"})
#: Volume units whose size depends on the measure system of the recipe.
SPOON_UNITS = frozenset({"tsp", "dsp", "tbsp", "cup", "fl oz", "pint", "quart", "pinch", "dash", "drop"})


def dimension(unit: str) -> str:
    """Return ``MASS``, ``VOLUME`` or ``COUNT`` for a canonical unit word; every unknown word counts something."""
    if unit in _MASS_UNITS:
        return MASS
    if unit in _METRIC_VOLUME_UNITS or unit in SPOON_UNITS:
        return VOLUME
    return COUNT


@dataclass(frozen=True, slots=True)
class Amount:
    """
    An exact amount or a range: ``low`` to ``high`` of ``unit`` (canonical word, singular; ``""`` is a bare count).

    Raises
    ------
    ValueError
        If ``low`` is negative or above ``high``.
    """

    low: Fraction
    high: Fraction
    unit: str

    def __post_init__(self) -> None:
        # Most amounts are no range: comparing fractions is slow, looking at one sign is not.
        if self.low.numerator < 0 or (self.low is not self.high and self.low > self.high):
            raise ValueError(f"an amount needs 0 <= low <= high, got {self.low} and {self.high}")

    @classmethod
    def of(cls, value: Fraction | int | str, unit: str = "") -> Amount:
        """Return the exact amount ``value`` of ``unit``; a string is read by ``Fraction`` ("7/2", "0.25")."""
        exact = Fraction(value)
        return cls(exact, exact, unit)

    @property
    def is_range(self) -> bool:
        """Whether the two ends differ."""
        return self.low is not self.high and self.low != self.high

    @property
    def dimension(self) -> str:
        """``MASS``, ``VOLUME`` or ``COUNT``."""
        return dimension(self.unit)

    def scaled(self, factor: Fraction | int) -> Amount:
        """Return both ends times ``factor`` (rule A5: a range times a factor is a range)."""
        return self.told_in(self.unit, factor)

    def told_in(self, unit: str, factor: Fraction | int) -> Amount:
        """Return both ends times ``factor`` as an amount of another unit."""
        if factor.numerator == factor.denominator:  # most scales and shares are 1
            return self if unit == self.unit else Amount(self.low, self.high, unit)
        high = self.high * factor
        return Amount(high if self.low is self.high else self.low * factor, high, unit)

    def upper(self) -> Amount:
        """Return the upper end alone: what a range costs (rule M8)."""
        return self if self.low is self.high else Amount(self.high, self.high, self.unit)
