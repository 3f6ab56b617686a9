"""
Money: an exact cost that is still being computed, and an amount of money that is shown.

``Cost`` holds an exact fraction of the currency unit, because 300/0.79/700 of a price has no end in decimals; it
becomes ``Money`` (Decimal) exactly once, rounded half up, when it is printed (rule "exact decimals, round half up, only
when printing" of the costing; half up because shops and readers expect it, where Python and CLDR libraries round half
to even).
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from shootplan.records import dataclass

__all__ = ["Cost", "Money", "half_up"]


def half_up(value: Fraction, places: int) -> Decimal:
    """
    Return ``value`` rounded half up (away from zero) to ``places`` decimal places, computed without a float.

    Raises
    ------
    ValueError
        If ``places`` is negative.
    """
    if places < 0:
        raise ValueError("places must not be negative")
    scaled = 2 * abs(value.numerator) * 10**places
    whole = (scaled + value.denominator) // (2 * value.denominator)
    sign = "-" if value.numerator < 0 and whole else ""
    return Decimal(f"{sign}{whole}e-{places}")  # as a text, because arithmetic would round to the context's digits


@dataclass(frozen=True, slots=True)
class Money:
    """An amount of money as shown or as read from a price list: a Decimal and an ISO 4217 code."""

    amount: Decimal
    currency: str


@dataclass(frozen=True, slots=True)
class Cost:
    """
    An exact, unrounded cost in units of ``currency`` (ISO 4217).

    Costs of one currency add and subtract; unlike currencies raise ``ValueError``.
    """

    exact: Fraction
    currency: str

    @classmethod
    def zero(cls, currency: str) -> Cost:
        """Return no cost at all."""
        return cls(Fraction(0), currency)

    def __add__(self, other: Cost) -> Cost:
        self._same_currency(other)
        return Cost(self.exact + other.exact, self.currency)

    def __sub__(self, other: Cost) -> Cost:
        self._same_currency(other)
        return Cost(self.exact - other.exact, self.currency)

    def times(self, factor: Fraction | int) -> Cost:
        """Return the cost times an exact factor."""
        return Cost(self.exact * factor, self.currency)

    def per(self, count: int) -> Cost:
        """Return the cost divided by ``count`` servings."""
        return Cost(self.exact / count, self.currency)

    def rounded(self, places: int) -> Money:
        """Return the money that is printed: half up to ``places`` decimals."""
        return Money(half_up(self.exact, places), self.currency)

    def _same_currency(self, other: Cost) -> None:
        if self.currency != other.currency:
            raise ValueError(f"cannot add {self.currency} and {other.currency}")
