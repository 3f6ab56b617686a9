"""
Figures as a presenter says them, in English: numbers, fractions, units, money, lengths of time, temperatures.

Exact values come in, words go out. Cardinals, ordinals and years come from num2words, the rest from the rules here.
Nothing is looked for in a text (that is ``say_out``).
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from shootplan.model.money import Money, half_up
from shootplan.model.quantity import Amount
from shootplan.model.show import unit_text

__all__ = [
    "UNIT_WORDS",
    "article",
    "say_amount",
    "say_amounts",
    "say_cardinal",
    "say_degrees",
    "say_money",
    "say_number",
    "say_ordinal",
    "say_year",
]

#: Abbreviations that are said as words: one of it, several of it.
UNIT_WORDS: dict[str, tuple[str, str]] = {
    "mg": ("milligram", "milligrams"),
    "g": ("gram", "grams"),
    "kg": ("kilogram", "kilograms"),
    "oz": ("ounce", "ounces"),
    "lb": ("pound", "pounds"),
    "ml": ("millilitre", "millilitres"),
    "cl": ("centilitre", "centilitres"),
    "dl": ("decilitre", "decilitres"),
    "l": ("litre", "litres"),
    "tsp": ("teaspoon", "teaspoons"),
    "dsp": ("dessertspoon", "dessertspoons"),
    "tbsp": ("tablespoon", "tablespoons"),
    "fl oz": ("fluid ounce", "fluid ounces"),
    "mm": ("millimetre", "millimetres"),
    "cm": ("centimetre", "centimetres"),
    "m": ("metre", "metres"),
    "s": ("second", "seconds"),
    "min": ("minute", "minutes"),
    "h": ("hour", "hours"),
    "d": ("day", "days"),
    "%": ("per cent", "per cent"),
    "kcal": ("kilocalorie", "kilocalories"),
}
_DENOMINATORS = {2: "half", 3: "third", 4: "quarter", 5: "fifth", 8: "eighth", 16: "sixteenth"}
#: One and several of the unit of account, one and several of its hundredth part. Common practice, no source.
_MONEY_WORDS: dict[str, tuple[str, str, str, str]] = {
    "EUR": ("euro", "euros", "cent", "cents"),
    "GBP": ("pound", "pounds", "penny", "pence"),
    "USD": ("dollar", "dollars", "cent", "cents"),
    "CAD": ("dollar", "dollars", "cent", "cents"),
    "AUD": ("dollar", "dollars", "cent", "cents"),
    "NZD": ("dollar", "dollars", "cent", "cents"),
    "SEK": ("krona", "kronor", "öre", "öre"),
    "NOK": ("krone", "kroner", "øre", "øre"),
    "DKK": ("krone", "kroner", "øre", "øre"),
    "CHF": ("franc", "francs", "centime", "centimes"),
    "PLN": ("zloty", "zlotys", "grosz", "groszy"),
    "CZK": ("koruna", "korunas", "haler", "halers"),
    "INR": ("rupee", "rupees", "paisa", "paise"),
    "ZAR": ("rand", "rand", "cent", "cents"),
    "JPY": ("yen", "yen", "", ""),
}
#: Longer than any figure of a kitchen; keeps a slip in a text from being read out for minutes.
_LARGEST = 10**9


# ---------------------------------------------------------------------------------------------------- numbers


@lru_cache(maxsize=4096)
def say_cardinal(value: int, *, is_american: bool = False) -> str:
    """Return "one hundred and eighty" (British) or "one hundred eighty" (American); above 10⁹ the digits one by one."""
    from num2words import num2words

    if abs(value) > _LARGEST:
        return " ".join(say_cardinal(int(digit)) for digit in str(abs(value)))
    words = str(num2words(value)).replace(",", "")
    return words.replace(" and ", " ") if is_american else words


@lru_cache(maxsize=512)
def say_ordinal(value: int) -> str:
    """Return "third" for 3; above 10⁹ the cardinal."""
    from num2words import num2words

    if value > _LARGEST:
        return say_cardinal(value)
    return str(num2words(value, to="ordinal")).replace(",", "")


@lru_cache(maxsize=512)
def say_year(value: int) -> str:
    """Return "twenty twenty-six" for 2026."""
    from num2words import num2words

    return str(num2words(value, to="year")).replace(",", "")


def article(noun: str) -> str:
    """Return "a" or "an" for a noun by its first letter ("an hour" excepted)."""
    lower = noun.casefold()
    return "an" if lower[:1] in tuple("aeiou") or lower.startswith("hour") else "a"


def _kitchen_part(rest: Fraction) -> str:
    """Return "half", "a quarter", "two thirds" or an empty text for a part of one that no kitchen says."""
    name = _DENOMINATORS.get(rest.denominator)
    if name is None:
        return ""
    if rest.numerator == 1:
        return name if name == "half" else f"{article(name)} {name}"
    return f"{say_cardinal(rest.numerator)} {name}s"


def say_number(value: Fraction, *, is_american: bool = False) -> str:
    """Return a number: "four hundred", "two and a half", "three quarters", else "one point nine five"."""
    whole, rest = divmod(value, 1)
    if rest == 0:
        return say_cardinal(whole, is_american=is_american)
    part = _kitchen_part(rest)
    if not part:
        return say_decimal(value, is_american=is_american)
    if whole == 0:
        return part
    part = "a half" if part == "half" else part
    return f"{say_cardinal(whole, is_american=is_american)} and {part}"


def say_decimal(value: Fraction, *, is_american: bool = False) -> str:
    """Return a number with its decimals one by one: "one point nine five"; three decimals at most."""
    text = f"{half_up(value, 3):f}".rstrip("0").rstrip(".")
    whole, _, decimals = text.partition(".")
    words = say_cardinal(int(whole), is_american=is_american)
    return " ".join([words, "point", *(say_cardinal(int(digit)) for digit in decimals)]) if decimals else words


# ---------------------------------------------------------------------------------------------------- amounts


def _unit_words(unit: str) -> tuple[str, str]:
    return UNIT_WORDS.get(unit) or (unit, unit_text(unit, Fraction(2)))


def _say_one(value: Fraction, unit: str, *, is_american: bool) -> str:
    """Return one value with its unit: "half a teaspoon", "three quarters of a cup", "one and a half litres"."""
    singular, plural = _unit_words(unit)
    words = say_number(value, is_american=is_american)
    if not unit:
        return words
    if 0 < value < 1 and _kitchen_part(value):
        joint = "" if value == Fraction(1, 2) else "of "
        return f"{words} {joint}{article(singular)} {singular}"
    return f"{words} {singular if value == 1 else plural}"


def say_amount(amount: Amount, *, is_american: bool = False) -> str:
    """
    Return an amount with its unit: "one tablespoon", "two to three cups", "half a teaspoon", "four hundred grams".

    A bare count is the number alone.
    """
    if not amount.is_range:
        return _say_one(amount.high, amount.unit, is_american=is_american)
    low = say_number(amount.low, is_american=is_american)
    if amount.high < 1:
        return f"{low} to {_say_one(amount.high, amount.unit, is_american=is_american)}"
    singular, plural = _unit_words(amount.unit)
    high = say_number(amount.high, is_american=is_american)
    noun = singular if amount.high == 1 else plural
    return f"{low} to {high} {noun}".rstrip()


def say_amounts(amounts: Sequence[Amount], *, is_american: bool = False) -> str:
    """Return a sum: "a quarter of a teaspoon plus an eighth of a teaspoon"."""
    return " plus ".join(say_amount(amount, is_american=is_american) for amount in amounts)


# ---------------------------------------------------------------------------------------------------- money and heat


def say_money(money: Money, *, is_american: bool = False) -> str:
    """
    Return a price: "one euro ninety-five", "seventy-five cents", "two euros", "one euro five".

    A currency without words of its own here is said by its CLDR name with decimals: "one point five Kuwaiti dinars".
    """
    words = _MONEY_WORDS.get(money.currency)
    hundredths = money.amount * 100
    if words is None or hundredths != hundredths.to_integral_value() or (not words[2] and money.amount % 1):
        return _say_other_money(money, is_american=is_american)
    one, several, part, parts = words
    whole, rest = divmod(int(abs(hundredths)), 100)
    minus = "minus " if money.amount < 0 else ""
    if whole == 0 and rest:
        return f"{minus}{say_cardinal(rest)} {part if rest == 1 else parts}"
    head = f"{minus}{say_cardinal(whole, is_american=is_american)} {one if whole == 1 else several}"
    return f"{head} {say_cardinal(rest)}" if rest else head


def _say_other_money(money: Money, *, is_american: bool) -> str:
    from babel.numbers import get_currency_name

    amount = abs(money.amount)
    name = str(get_currency_name(money.currency, count=1 if amount == Decimal(1) else 2, locale="en"))
    minus = "minus " if money.amount < 0 else ""
    return f"{minus}{say_decimal(Fraction(amount), is_american=is_american)} {name}"


def say_degrees(celsius: int, *, is_american: bool = False) -> str:
    """Return "two hundred degrees": the scale goes without saying."""
    return f"{say_cardinal(celsius, is_american=is_american)} degrees"
