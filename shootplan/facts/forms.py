"""
The three forms of one figure: printed on pages, shown on the screen, said by the presenter.

Amounts, costs, lengths of time and temperatures come in, ``FilledText`` goes out. Rounding has happened before; only
money is rounded here, half up, because it is exact until it is printed.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from shootplan.facts.names import name_words
from shootplan.facts.say_out import NUMBER, say_out
from shootplan.facts.spoken import say_amount, say_amounts, say_cardinal, say_degrees, say_money
from shootplan.model.costing import EpisodeCost
from shootplan.model.filled import FilledText
from shootplan.model.money import Cost
from shootplan.model.quantity import COUNT, SPOON_UNITS, Amount
from shootplan.model.resolved import Measured
from shootplan.model.show import amount_text
from shootplan.printing import money_text
from shootplan.records import dataclass

__all__ = [
    "NO_BREAK",
    "Forms",
    "amount_forms",
    "is_household_first",
    "joined",
    "plain",
    "readable",
    "unbroken",
    "verbatim",
]

NO_BREAK = "\u00a0"
_UNIT_AFTER_NUMBER = re.compile(rf"({NUMBER}) (?=(?:m?g|kg|[mcd]?l|tsp|dsp|tbsp|oz|lb|°C|°F|%|min|h|s|cm|mm|kr)(?!\w))")


def unbroken(typed: str) -> str:
    """Return typed text with number and unit kept on one line."""
    return _UNIT_AFTER_NUMBER.sub(rf"\1{NO_BREAK}", typed)


def verbatim(text: str) -> FilledText:
    """Return one wording for all three forms."""
    return FilledText(printed=text, shown=text, spoken=text)


def plain(text: str) -> FilledText:
    """Return a figure whose spoken form is read out from the printed one; on the screen it does not break."""
    return FilledText(printed=text, shown=text.replace(" ", NO_BREAK), spoken=say_out(text))


def joined(head: str, tail: FilledText) -> FilledText:
    """Return a figure led by the same words in all forms ("at least")."""
    return FilledText(printed=f"{head} {tail.printed}", shown=f"{head} {tail.shown}", spoken=f"{head} {tail.spoken}")


# ---------------------------------------------------------------------------------------------------- amounts


#: Below one of these, the smaller unit is read: 60 ml, not 0.06 l.
_SMALLER = {"l": "ml", "kg": "g"}
#: Parts of a spoon, cup or piece that a kitchen measures: halves, thirds, quarters, eighths.
_KITCHEN_PARTS = (1, 2, 3, 4, 8)


def readable(amount: Amount) -> Amount:
    """Return less than a litre in millilitres and less than a kilogram in grams."""
    smaller = _SMALLER.get(amount.unit)
    return replace(amount.scaled(1000), unit=smaller) if smaller and amount.high < 1 else amount


def _shown_metric(measured: Measured) -> tuple[Amount, ...]:
    found = measured.metric_shown or measured.metric
    return (readable(found),) if found else ()


def _shown_household(measured: Measured) -> tuple[Amount, ...]:
    """Return the household measure, unless no spoon or cup has it ("0.17 cup"): the metric one then speaks alone."""
    found = measured.household_shown or ((measured.household,) if measured.household else ())
    has_spoons = all(amount.high.denominator in _KITCHEN_PARTS for amount in found)
    return found if has_spoons or measured.metric is None else ()


def is_household_first(measured: Measured) -> bool:
    """Return whether the figure leads with the household measure: spoons and cups do, "5 medium" does not."""
    household = _shown_household(measured)
    return bool(household) and all(amount.unit in SPOON_UNITS for amount in household)


def _written(amounts: Sequence[Amount], size: str) -> str:
    text = " + ".join(amount_text(amount) for amount in amounts)
    return f"{text} {size}" if size else text


def _is_bare(amounts: Sequence[Amount], name: str) -> bool:
    """Return whether the name itself is what is counted: "3 leeks", and "2 eggs" rather than "2 eggs of eggs"."""
    unit = amounts[-1].unit
    words = name_words(name)
    return not unit or bool(words and name_words(unit)[-1:] == words[-1:])


def _without_unit(amounts: Sequence[Amount]) -> tuple[Amount, ...]:
    return tuple(Amount(amount.low, amount.high, "") for amount in amounts)


def _named(amounts: Sequence[Amount], size: str, name: str, *, also: str = "", is_american: bool = False) -> FilledText:
    """Return amount and name: "1 tbsp (15 ml) oil", said "one tablespoon of oil"; "3 leeks", said "three leeks"."""
    is_bare = _is_bare(amounts, name)
    amounts = _without_unit(amounts) if is_bare else amounts
    written = _written(amounts, size)
    figure = f"{written} ({also})" if also else written
    said = say_amounts(amounts, is_american=is_american)
    said = _say_bare(amounts[-1], name, size, is_american=is_american) if is_bare else f"{said} of {name}"
    shown = written.replace(" ", NO_BREAK) + (f" ({also.replace(' ', NO_BREAK)})" if also else "")
    return FilledText(printed=f"{figure} {name}", shown=f"{shown} {name}", spoken=said)


def _say_bare(amount: Amount, name: str, size: str, *, is_american: bool) -> str:
    """Return "three leeks", "five medium potatoes", "half a lemon", "a quarter of a cabbage"."""
    noun = f"{size} {name}" if size else name
    words = say_amount(amount, is_american=is_american)
    if amount.is_range or amount.high >= 1 or amount.high == 0:
        return f"{words} {noun}"
    article = "an" if noun[:1].casefold() in tuple("aeiou") else "a"
    return f"{words} {article} {noun}" if words == "half" else f"{words} of {article} {noun}"


def amount_forms(
    measured: Measured, name: str, *, how: str = "", is_counted: bool = False, is_american: bool = False
) -> FilledText | None:
    """
    Return an amount with its name in three forms, or ``None`` where there is no amount at all.

    Parameters
    ----------
    measured
        The amount in both measures, rounded for showing.
    name
        The words that follow, as the author typed them.
    how
        "metric" or "household" for one measure (the other stands in where it is missing); else spoons and cups lead,
        the metric amount in brackets, and everything else is metric.
    is_counted
        Whether the author's first measure is a count: then it leads ("3 leeks", "2 tins butter beans").
    is_american
        Leaves the "and" out of hundreds.
    """
    metric, household = _shown_metric(measured), _shown_household(measured)
    size = measured.household_size
    counts = household if household and household[0].dimension == COUNT else ()
    if how == "metric" and metric:
        return _named(metric, "", name, is_american=is_american)
    if household and (how == "household" or (is_counted and counts and not how)):
        return _named(household, size, name, is_american=is_american)
    if is_household_first(measured) and not how:
        also = _written(metric, "") if metric and metric != household else ""
        return _named(household, size, name, also=also, is_american=is_american)
    if metric:
        return _named(metric, "", name, is_american=is_american)
    return _named(household, size, name, is_american=is_american) if household else None


# ---------------------------------------------------------------------------------------------------- money, heat


@dataclass(frozen=True, slots=True)
class Forms:
    """The forms of money and temperatures in one episode's locale; ``places`` is how many decimals a price has."""

    locale: str
    places: int
    is_american: bool = False

    @classmethod
    def of(cls, costs: EpisodeCost, locale: str) -> Forms:
        """Return the forms for an episode's costs and locale ("en_US" says hundreds without "and")."""
        return cls(locale, costs.places, locale.replace("-", "_").casefold() == "en_us")

    def price(self, cost: Cost, *, is_lower_bound: bool = False) -> FilledText:
        """Return a price rounded half up once, led by "at least" where lines are unpriced."""
        money = cost.rounded(self.places)
        text = money_text(money, self.locale, self.places)
        forms = FilledText(
            printed=text, shown=text.replace(" ", NO_BREAK), spoken=say_money(money, is_american=self.is_american)
        )
        return joined("at least", forms) if is_lower_bound else forms

    def count(self, value: int, noun: str = "") -> FilledText:
        """Return a whole number with a noun: "16 buns", said "sixteen buns"."""
        said = say_cardinal(value, is_american=self.is_american)
        if not noun:
            return FilledText(printed=str(value), shown=str(value), spoken=said)
        return FilledText(printed=f"{value} {noun}", shown=f"{value}{NO_BREAK}{noun}", spoken=f"{said} {noun}")

    def oven(self, celsius: int, fan_offset: int) -> FilledText:
        """Return both settings: "200 °C / fan 180 °C", said "two hundred degrees, … with a fan"."""
        fan = celsius - fan_offset
        text = f"{celsius} °C / fan {fan} °C"
        shown = f"{celsius}{NO_BREAK}°C / fan{NO_BREAK}{fan}{NO_BREAK}°C"
        said = f"{say_degrees(celsius, is_american=self.is_american)}, {say_cardinal(fan)} with a fan"
        return FilledText(printed=text, shown=shown, spoken=said)
