"""
What a currency asks for: decimal places, the step of a cash till, and the second currency of an episode.

Codes and costs come in, numbers go out; nothing is formatted here.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from shootplan.model.episode import SecondCurrency
from shootplan.model.money import Cost, Money, half_up

__all__ = ["cash_rounded", "cash_step", "in_second_currency", "minor_digits"]

#: Steps of cash tills that CLDR leaves out (from memory: 5 and 10 cents are the smallest coins in use).
_SMALLEST_COIN = {"AUD": Fraction(5, 100), "NZD": Fraction(10, 100)}


@lru_cache(maxsize=64)
def _fractions(currency: str) -> tuple[int, int, int, int]:
    """Return CLDR's digits, rounding, cash digits and cash rounding of a currency (supplemental data)."""
    from babel.core import get_global

    table = get_global("currency_fractions")
    digits, rounding, cash_digits, cash_rounding = table.get(currency, table["DEFAULT"])
    return digits, rounding, cash_digits, cash_rounding


def minor_digits(currency: str) -> int:
    """Return how many decimal places a currency has (Unicode CLDR): 2 for GBP, 0 for JPY, 3 for KWD."""
    return _fractions(currency)[0]


def cash_step(currency: str) -> Fraction:
    """Return the smallest step of a bill paid in cash (Unicode CLDR): 1 SEK, 0.05 CAD, one minor unit elsewhere."""
    if currency in _SMALLEST_COIN:
        return _SMALLEST_COIN[currency]
    _, _, digits, rounding = _fractions(currency)
    return Fraction(max(1, rounding), 10**digits)


def cash_rounded(bill: Money) -> Money | None:
    """Return a bill rounded half up to the cash step, or ``None`` where cash needs no rounding."""
    step = cash_step(bill.currency)
    digits = minor_digits(bill.currency)
    if step <= Fraction(1, 10**digits):
        return None
    steps = int(half_up(Fraction(bill.amount) / step, 0))
    return Money(half_up(steps * step, digits), bill.currency)


def in_second_currency(cost: Cost, also: SecondCurrency) -> Money:
    """
    Return a cost in the second currency (rule M7): times the dated rate, rounded half up once, from the exact cost.

    It is always printed with "about", the rate and its date.
    """
    exact = cost.exact * also.factor
    return Money(_half_up(exact, also.currency), also.currency)


def _half_up(exact: Fraction, currency: str) -> Decimal:
    return half_up(exact, minor_digits(currency))
