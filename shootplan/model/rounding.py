"""
Rounding of amounts for showing: metric steps, kitchen fractions, the limits of error, whole counts (rules A2, A3).

Exact amounts come in; amounts that can be weighed or measured go out, with words for the cook where no measure comes
near enough. Sizes of cups and spoons are given by the caller (``resolve.units``). Nothing here is used for costing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from fractions import Fraction
from functools import lru_cache

from shootplan.model.quantity import COUNT, Amount, dimension
from shootplan.model.show import amount_text, number_text
from shootplan.records import dataclass

__all__ = [
    "LIMIT",
    "TIGHT_LIMIT",
    "SpoonSizes",
    "error_of",
    "household_unit",
    "limit_of",
    "nearest",
    "shown_count",
    "shown_household",
    "shown_metric",
]

#: The largest rounding error of an amount, and of a leavener, salt, yeast or setting agent (rule A3).
LIMIT = Fraction(10, 100)
TIGHT_LIMIT = Fraction(5, 100)

#: Metric steps: below the first number, by the second (rule A2).
_METRIC_STEPS = ((10, Fraction(1, 2)), (50, Fraction(1)), (250, Fraction(5)), (1000, Fraction(10)))
_METRIC_STEP_ABOVE = Fraction(50)
#: Finer steps where the rule's own is too coarse for so small an amount.
_FINER_STEPS = (Fraction(1, 10), Fraction(1, 20), Fraction(1, 100), Fraction(1, 1000))
_TO_BASE = {
    "mg": Fraction(1, 1000), "g": Fraction(1), "kg": Fraction(1000),
    "ml": Fraction(1), "cl": Fraction(10), "dl": Fraction(100), "l": Fraction(1000),
}  # fmt: skip

_HALF, _QUARTER, _EIGHTH = Fraction(1, 2), Fraction(1, 4), Fraction(1, 8)
#: Parts of a measure are counted in twenty-fourths: every fraction below is a whole number of them.
_PART = 24
#: Fractions that a kitchen has a measure for (rule A2; dl, dsp, pints, ounces and pounds: common practice, no source).
_HALVES, _QUARTERS, _QUARTERS_AND_THIRDS = (12,), (6, 12, 18), (6, 8, 12, 16, 18)
_PARTS: Mapping[str, tuple[int, ...]] = {
    "cup": _QUARTERS_AND_THIRDS, "dl": _QUARTERS, "tbsp": _HALVES, "dsp": _HALVES, "tsp": _QUARTERS, "fl oz": _HALVES,
    "pint": _QUARTERS, "quart": _QUARTERS, "oz": _QUARTERS, "lb": _QUARTERS,
}  # fmt: skip
#: The smallest spoon of all; above one teaspoon it is only added to another measure ("1 tsp + ⅛ tsp").
_SMALLEST = {"tsp": (3,)}
#: The measures of a kitchen from the large one to the small: a sum names the larger first.
_FINENESS = {"cup": 0, "dl": 0, "tbsp": 1, "tsp": 2}
#: Spoons are counted up to here, then the next larger measure is taken (rule A2: "then 1/4 cup").
_MOST_TABLESPOONS = 4
#: From three teaspoons on a tablespoon is taken where it is exact (common practice, no source).
_TEASPOONS_TO_LEAVE = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class SpoonSizes:
    """
    The measures of a kitchen: the ``large`` one ("cup" or "dl"), and millilitres of it, of "tbsp" and of "tsp".

    The default keeps to 16 tablespoons a cup and 3 teaspoons a tablespoon (NIST SP 430).
    """

    large: str = "cup"
    sizes: Mapping[str, Fraction] = field(
        default_factory=lambda: {"cup": Fraction(240), "tbsp": Fraction(15), "tsp": Fraction(5)}
    )
    __eq__ = object.__eq__  # a kitchen is itself: results are remembered by it
    __hash__ = object.__hash__


_DEFAULT_SPOONS = SpoonSizes()


def limit_of(*, is_tight: bool) -> Fraction:
    """Return the largest rounding error allowed (rule A3)."""
    return TIGHT_LIMIT if is_tight else LIMIT


def error_of(shown: Fraction, exact: Fraction) -> Fraction:
    """Return by what part of ``exact`` the shown value is off; 0 for 0."""
    return abs(shown - exact) / exact if exact else Fraction(0)


def _is_near(shown: Fraction, exact: Fraction, limit: Fraction) -> bool:
    """Return whether ``error_of`` is within the limit, in whole numbers: fractions take ten times as long."""
    if not exact:
        return True
    whole, part = exact.numerator, exact.denominator
    off = abs(shown.numerator * part - whole * shown.denominator)
    return off * limit.denominator <= limit.numerator * whole * shown.denominator


def nearest(value: Fraction, step: Fraction) -> Fraction:
    """Return the multiple of ``step`` nearest to ``value``, the upper of two that are equally near."""
    whole = value.denominator * step.numerator
    steps = (2 * value.numerator * step.denominator + whole) // (2 * whole)  # in whole numbers, as floor(v / s + 1/2)
    return Fraction(steps * step.numerator, step.denominator)


# ---------------------------------------------------------------------------------------------------- metric


def shown_metric(amount: Amount, *, is_tight: bool = False) -> tuple[Amount, tuple[str, ...]]:
    """
    Return a metric weight or volume by the steps of rule A2, in its own unit, and words for the cook.

    Steps are for grams and millilitres: below 10 by 0.5, below 50 by 1, below 250 by 5, below 1000 by 10, above by 50.
    Where the step is too coarse for the limit of error (rule A3), a finer one is taken and said.

    Raises
    ------
    ValueError
        If the unit is not metric.
    """
    factor = _TO_BASE.get(amount.unit)
    if factor is None:
        raise ValueError(f"{amount.unit or 'a count'} is not a metric unit")
    limit = limit_of(is_tight=is_tight)
    base = "g" if dimension(amount.unit) == "mass" else "ml"
    told = amount.told_in(base, factor)
    high, is_finer = _metric(told.high, limit)
    low = _metric(told.low, limit)[0] if told.is_range else high
    flags = (f"weigh or measure it finely: {number_text(high, 3)} {base}",) if is_finer else ()
    return Amount(low, high, base).told_in(amount.unit, 1 / factor if factor != 1 else 1), flags


def _metric(value: Fraction, limit: Fraction) -> tuple[Fraction, bool]:
    """Return the rounded value and whether it took a finer step than the rule's."""
    whole = value.numerator // value.denominator
    step = next((step for below, step in _METRIC_STEPS if whole < below), _METRIC_STEP_ABOVE)
    shown = nearest(value, step)
    if _is_near(shown, value, limit):
        return shown, False
    finer = (nearest(value, fine) for fine in _FINER_STEPS)
    return next((shown for shown in finer if _is_near(shown, value, limit)), value), True


# ---------------------------------------------------------------------------------------------------- spoons and cups


def shown_household(
    amount: Amount, *, is_tight: bool = False, spoons: SpoonSizes | None = None, written: Amount | None = None
) -> tuple[tuple[Amount, ...], tuple[str, ...]]:
    """
    Return an amount in measures that a kitchen has, a sum where one does not do, and words for the cook.

    Parameters
    ----------
    amount
        Spoons, cups, pints, ounces or a count, exact. A range keeps both ends, each rounded by itself.
    is_tight
        Whether the limit of error is 5 % rather than 10 % (rule A3).
    spoons
        The sizes of cup (or decilitre), tablespoon and teaspoon; by default 48 : 3 : 1.
    written
        For counts: the author's own amount before scaling. Halves are shown only where the author has them.

    Returns
    -------
    tuple[tuple[Amount, ...], tuple[str, ...]]
        One amount, or two to be added. Where nothing is within the limit, the nearest, with a flag.
    """
    if amount.dimension == COUNT or amount.unit in ("pinch", "dash", "drop"):
        shown, flags = shown_count(amount, written=written or amount, is_tight=is_tight)
        return (shown,), flags
    limit = limit_of(is_tight=is_tight)
    sizes = spoons or _DEFAULT_SPOONS
    high, is_near = _household(amount.high, amount.unit, limit, sizes)
    flags = () if is_near else (f"no kitchen measure is within {int(limit * 100)} %: weigh it",)
    if not amount.is_range:
        return high, flags
    low = _nearest_in(amount.low, amount.unit)
    top = _nearest_in(amount.high, amount.unit)
    is_near = _is_near(low, amount.low, limit) and _is_near(top, amount.high, limit)
    return (Amount(low, max(low, top), amount.unit),), () if is_near else flags or _range_flag(limit)


def _range_flag(limit: Fraction) -> tuple[str, ...]:
    return (f"the ends are rounded by more than {int(limit * 100)} %",)


@lru_cache(maxsize=4096)
def _household(value: Fraction, unit: str, limit: Fraction, spoons: SpoonSizes) -> tuple[tuple[Amount, ...], bool]:
    """Return the measures to show and whether they are within the limit."""
    if value == 0:
        return (Amount.of(0, unit),), True
    if unit not in spoons.sizes:
        shown = _nearest_in(value, unit)
        return (Amount.of(shown, unit),), _is_near(shown, value, limit)
    exact = value * spoons.sizes[unit]
    choice = _as_is(exact, unit, spoons, limit) or _one_measure(exact, spoons, limit) or _two(exact, spoons, limit)
    if choice is not None:
        return choice, True
    fallback = min(_singles(exact, spoons), key=lambda one: error_of(_volume(one, spoons), exact), default=None)
    return (fallback or Amount.of(_nearest_in(value, unit), unit),), False


def _as_is(exact: Fraction, unit: str, spoons: SpoonSizes, limit: Fraction) -> tuple[Amount, ...] | None:
    """Return one measure in the author's own unit, unless so many of it call for the next larger one."""
    value = exact / spoons.sizes[unit]
    shown = _nearest_in(value, unit)
    if unit == "tsp" and shown >= _TEASPOONS_TO_LEAVE:
        larger = shown * spoons.sizes["tsp"] / spoons.sizes["tbsp"]
        if _nearest_in(larger, "tbsp") == larger:
            return _as_is(exact, "tbsp", spoons, limit)
    if (unit == "tbsp" and value > _MOST_TABLESPOONS) or _is_too_many(shown, unit):
        return None
    one = Amount.of(shown, unit)
    return (one,) if _is_near(_volume(one, spoons), exact, limit) else None


def _one_measure(exact: Fraction, spoons: SpoonSizes, limit: Fraction) -> tuple[Amount, ...] | None:
    """Return the one measure of any unit that is nearest, the larger unit if two are equally near."""
    near = [one for one in _singles(exact, spoons) if _is_near(_volume(one, spoons), exact, limit)]
    return (min(near, key=lambda one: abs(_volume(one, spoons) - exact)),) if near else None


def _two(exact: Fraction, spoons: SpoonSizes, limit: Fraction) -> tuple[Amount, ...] | None:
    """Return the sum of two measures that is nearest, larger unit first; of equals that with the larger second."""
    best: tuple[Fraction, Fraction] | None = None
    found: tuple[Amount, ...] | None = None
    for first in _below(exact, spoons):
        rest = exact - _volume(first, spoons)
        for second in (*_singles(rest, spoons), *_eighth(rest, spoons)):
            if _FINENESS[second.unit] < _FINENESS[first.unit]:
                continue
            volume = _volume(second, spoons)
            off = abs(volume - rest)
            if (best is None or (off, -volume) < best) and off <= limit * exact:
                best, found = (off, -volume), (first, second)
    return found


def _volume(one: Amount, spoons: SpoonSizes) -> Fraction:
    return one.high * spoons.sizes[one.unit]


def _singles(exact: Fraction, spoons: SpoonSizes) -> list[Amount]:
    """Return the nearest measure of each unit that a cook would take for so much, largest unit first."""
    found = []
    for unit in (spoons.large, "tbsp", "tsp"):
        value = exact / spoons.sizes[unit]
        shown = _nearest_in(value, unit)
        if shown > 0 and not _is_too_many(shown, unit):
            found.append(Amount.of(shown, unit))
    return found


def _is_too_many(value: Fraction, unit: str) -> bool:
    return (unit == "tbsp" and value > _MOST_TABLESPOONS) or (unit == "tsp" and value > _TEASPOONS_TO_LEAVE)


def _below(exact: Fraction, spoons: SpoonSizes) -> list[Amount]:
    """Return for each unit the measures just below ``exact``, largest unit first."""
    found = []
    for unit in (spoons.large, "tbsp", "tsp"):
        value = exact / spoons.sizes[unit]
        whole, rest = divmod(value.numerator, value.denominator)
        for part in reversed((0, *_PARTS.get(unit, ()))):
            if (whole or part) and part * value.denominator < rest * _PART:
                step = Fraction(whole * _PART + part, _PART)
                if not _is_too_many(step, unit):
                    found.append(Amount(step, step, unit))
    return found


def _eighth(exact: Fraction, spoons: SpoonSizes) -> tuple[Amount, ...]:
    near = abs(exact - _EIGHTH * spoons.sizes["tsp"]) <= _EIGHTH * spoons.sizes["tsp"]
    return (Amount.of(_EIGHTH, "tsp"),) if near else ()


def _nearest_in(value: Fraction, unit: str) -> Fraction:
    """Return the nearest number of ``unit`` that a kitchen can measure, the larger of two equally near."""
    whole, rest = divmod(value.numerator, value.denominator)
    parts = (0, *_PARTS.get(unit, ()), _PART) if whole else (*_SMALLEST.get(unit, ()), *_PARTS.get(unit, ()), _PART)
    part = min(parts, key=lambda part: (abs(part * value.denominator - rest * _PART), -part))
    return Fraction(whole * _PART + part, _PART)


def household_unit(volume_ml: Fraction, spoons: SpoonSizes) -> str:
    """Return the unit in which a cook measures so many millilitres: cup (or dl) from a quarter on, tbsp, tsp."""
    part_of_large, spoons_at_most, half_a_spoon = _unit_limits(spoons)
    if volume_ml > spoons_at_most and volume_ml >= part_of_large:
        return spoons.large
    return "tbsp" if volume_ml >= half_a_spoon else "tsp"


@lru_cache(maxsize=16)
def _unit_limits(spoons: SpoonSizes) -> tuple[Fraction, Fraction, Fraction]:
    large, spoon = spoons.sizes[spoons.large], spoons.sizes["tbsp"]
    return large * _QUARTER, spoon * (_MOST_TABLESPOONS - 1), spoon * _HALF


# ---------------------------------------------------------------------------------------------------- counts


def shown_count(amount: Amount, *, written: Amount, is_tight: bool = False) -> tuple[Amount, tuple[str, ...]]:
    """
    Return a count in the parts that the author uses, and a flag where the cook must decide.

    "2 eggs" may become 3; "1 egg" times 1½ is shown as it is, with "ask", because half an egg takes the author's word
    (rule A3). "½ lemon" times 1½ is ¾: the author has halves and no quarters, so that is asked as well.
    """
    step = Fraction(1, max(written.low.denominator, written.high.denominator))
    limit = limit_of(is_tight=is_tight)
    ends = [nearest(end, step) for end in (amount.low, amount.high)]
    exact = (amount.low, amount.high)
    if all(end > 0 or not whole for end, whole in zip(ends, exact, strict=True)) and all(
        error_of(end, whole) <= limit for end, whole in zip(ends, exact, strict=True)
    ):
        return Amount(ends[0], ends[1], amount.unit), ()
    name = amount_text(amount) if amount.unit else f"{amount_text(amount)} of them"
    return amount, (f"{name}: no such part in the recipe, so ask",)
