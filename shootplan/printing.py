"""
Money as it is written, one way for every stage: the locale's pattern (CLDR, by Babel), rounded before, half up.

Rounded money comes in, text goes out. English text writes decimals with a point in amounts and money alike, also where
the locale's own money has a comma ("6.37 kr" beside "1.75 l"), so that a page has one decimal sign.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from shootplan.model.money import Money

if TYPE_CHECKING:
    from babel import Locale

__all__ = ["currency_places", "money_text"]


@lru_cache(maxsize=4096)
def money_text(money: Money, locale: str, places: int | None = None) -> str:
    """
    Return money as the locale writes it: "£1.28", "6,37 kr" with a no-break space (Swedish), "6.37 kr" (English).

    Parameters
    ----------
    money
        Already rounded half up: the library by itself rounds half to even.
    locale
        A CLDR locale ("en_GB"); an unknown one counts as "en_GB".
    places
        Decimals to show; ``None`` for the currency's own.
    """
    from babel.numbers import format_currency

    found = _locale(locale)
    if places is None:
        places = currency_places(money.currency)
    digits = "." + "0" * places if places else ""
    pattern = found.currency_formats["standard"].pattern.replace(".00", digits)
    text = str(format_currency(money.amount, money.currency, pattern, locale=found, currency_digits=False))
    return _pointed(text, found)


def currency_places(currency: str) -> int:
    """Return how many decimals a currency has (Unicode CLDR): 2 for GBP, 0 for JPY, 3 for KWD."""
    from babel.numbers import get_currency_precision

    return int(get_currency_precision(currency))


def _locale(name: str) -> Locale:
    from babel import Locale
    from babel.core import UnknownLocaleError

    try:
        return Locale.parse(name.replace("-", "_"))
    except (UnknownLocaleError, ValueError):
        return Locale.parse("en_GB")


def _pointed(text: str, locale: Locale) -> str:
    """Return the text of an English locale with a point for decimals."""
    symbols = locale.number_symbols.get("latn", {})
    is_comma = symbols.get("decimal") == "," and symbols.get("group") != "."
    return text.replace(",", ".") if locale.language == "en" and is_comma else text
