"""
Money as it is printed: exact costs rounded half up once, written the way of the episode's locale (CLDR, by Babel).

A ``Cost`` comes in, a text goes out. Nothing is added up here.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from shootplan.model.money import Cost, Money, half_up
from shootplan.printing import currency_places, money_text
from shootplan.records import dataclass

__all__ = ["MoneyPrinter"]


@dataclass(frozen=True, slots=True)
class MoneyPrinter:
    """Prints money in one currency and locale; ``places`` is how many decimals a printed price has."""

    currency: str
    locale: str
    places: int

    def money(self, cost: Cost | None, *, at_least: bool = False) -> str:
        """Return the price as printed ("£1.28"), "unknown" for ``None``, led by "at least" where lines are missing."""
        if cost is None:
            return "unknown"
        text = self.shown(cost.rounded(self.places))
        return f"at least {text}" if at_least else text

    def line(self, cost: Cost) -> str:
        """Return the price of one line: "under £0.01" where something is left that rounds to nothing."""
        if cost.exact > 0 and cost.rounded(self.places).amount == 0:
            return f"under {self.shown(Money(Decimal(1).scaleb(-self.places), self.currency))}"
        return self.money(cost)

    def shown(self, money: Money) -> str:
        """Return an amount of money that is rounded already."""
        return money_text(money, self.locale, max(self.places, -_exponent(money.amount)))

    def change(self, cost: Cost | None) -> str:
        """Return a difference with its sign: "+£0.05", "−£0.20", "no change" where nothing is left after rounding."""
        if cost is None:
            return "unknown"
        amount = cost.rounded(self.places).amount
        if amount == 0:
            return "no change"
        text = money_text(Money(abs(amount), self.currency), self.locale, self.places)
        return ("−" if amount < 0 else "+") + text

    def exact(self, cost: Cost | None, places: int = 4) -> str:
        """Return the bare number to ``places`` decimals, a point before them, for tables and CSV: "0.7020"."""
        return "" if cost is None else f"{half_up(cost.exact, places):f}"

    def other(self, cost: Cost, currency: str, factor: Fraction) -> str:
        """Return the price in a second currency, "about" and with its own decimals; ``factor`` is one of ours (M7)."""
        amount = half_up(cost.exact * factor, currency_places(currency))
        return f"about {money_text(Money(amount, currency), self.locale)}"


def _exponent(amount: Decimal) -> int:
    exponent = amount.as_tuple().exponent
    return exponent if isinstance(exponent, int) else 0
