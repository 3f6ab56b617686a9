"""
Both measures of an ingredient, exact and as shown (rules A1 to A5).

The author's one or two measures, the measure system and the item's own density come in; a ``Measured`` goes out, with a
sentence where the two measures disagree. Volume becomes weight through that density only, never by taking things for
water.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from shootplan.model.quantity import COUNT, MASS, VOLUME, Amount
from shootplan.model.recipe import IngredientLine, Recipe
from shootplan.model.resolved import Measured, MeasuredFrom
from shootplan.model.rounding import household_unit, limit_of, shown_household, shown_metric
from shootplan.model.show import amount_text, number_text
from shootplan.records import dataclass
from shootplan.resolve.units import convert, has_unit, per_gram, spoon_sizes

__all__ = ["measured", "with_whole_second"]

_METRIC = frozenset({"mg", "g", "kg", "ml", "cl", "dl", "l"})
#: From a litre on, decilitres say nothing that the litres do not.
_LITRE = 1000
#: Sizes without a standard: never told in grams or millilitres, never compared.
_INFORMAL = frozenset({"pinch", "dash", "drop"})
#: Between which parts of one measure the other lies if they agree, by whether the limits are tight (rule A3).
_AGREE = {is_tight: (1 - limit_of(is_tight=is_tight), 1 + limit_of(is_tight=is_tight)) for is_tight in (False, True)}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Kitchen:
    """What turns one measure of an item into the other."""

    system: str
    density_g_per_ml: Fraction | None
    is_tight: bool
    scale: Fraction
    share: Fraction
    factor: Fraction  #: by what both measures are multiplied: scale and share

    def is_metric(self, amount: Amount) -> bool:
        """Whether the amount goes into the metric column; decilitres are household measures where they replace cups."""
        return amount.unit in _METRIC and not (amount.unit == "dl" and self.system == "dl")

    def can_tell(self, amount: Amount) -> bool:
        """Whether the amount has a standard size in this measure system."""
        return amount.dimension != COUNT and amount.unit not in _INFORMAL and has_unit(amount.unit, self.system)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Household:
    """A household measure as typed; ``plus`` is added to it, ``total`` is both in the unit of the first."""

    first: Amount
    plus: Amount | None
    total: Amount

    @property
    def typed(self) -> tuple[Amount, ...]:
        """The measures as the author has them."""
        return (self.first,) if self.plus is None else (self.first, self.plus)

    @property
    def text(self) -> str:
        """The measures in words: "¼ cup + 2 tbsp"."""
        return " + ".join(amount_text(amount) for amount in self.typed)


def measured(
    amount: Amount,
    second: Amount | None,
    *,
    system: str,
    density_g_per_ml: Fraction | None,
    is_tight: bool = False,
    scale: Fraction = Fraction(1),
    second_size: str = "",
    second_plus: Amount | None = None,
    share: Fraction = Fraction(1),
) -> tuple[Measured, str | None]:
    """
    Return an amount in both measures, and a sentence if the author's two measures disagree.

    Parameters
    ----------
    amount, second
        The author's measures, before scaling; either may be the metric one.
    system
        The measure system, which says what a cup holds.
    density_g_per_ml
        The item's own density; ``None`` if it is not known. Then volume and weight stay apart, and measures of the two
        kinds are not compared. A volume is told in millilitres and a household volume the other way round all the same.
    is_tight
        Whether the limits are those of leaveners, salt, yeast and setting agents.
    scale
        Multiplies both measures. At 1 what the author typed is shown as typed; otherwise it is rounded.
    second_size
        The size word of a counted second measure ("5 medium").
    second_plus
        The part of ``second`` that the author wrote behind a plus sign: of ⅜ cup, the 2 tbsp in "¼ cup + 2 tbsp".
    share
        The part of the line that is meant ("[lemon: half]"); it too multiplies both measures, and gives the author's
        word for that part of a whole thing.

    Returns
    -------
    tuple[Measured, str | None]
        A measure derived by us is left out where no kitchen measure is near enough, or the unit has no standard size.

    Raises
    ------
    ValueError
        If the measure system is unknown, or the density is not above zero.
    """
    if density_g_per_ml is not None and density_g_per_ml.numerator <= 0:
        raise ValueError(f"a density is above zero, got {density_g_per_ml}")
    spoon_sizes(system)  # an unknown system is refused even where no volume is told
    kitchen = _Kitchen(
        system=system,
        density_g_per_ml=density_g_per_ml,
        is_tight=is_tight,
        scale=scale,
        share=share,
        factor=scale * share if share.numerator != share.denominator else scale,
    )
    metric, household = _roles(kitchen, amount, second, second_plus)
    derived = _in_metric(kitchen, household.total) if metric is None and household is not None else None
    volume = _in_millilitres(kitchen, metric) if metric is not None and household is None else None
    size = second_size if household is not None and household.first is second else ""
    disagreement = _disagreement(kitchen, metric, household)
    parts = (_metric_part(kitchen, metric, derived), _household_part(kitchen, volume, household))
    (exact_metric, metric_shown, metric_flags), (exact_household, household_shown, household_flags) = parts
    shown = Measured(
        metric=exact_metric,
        household=exact_household,
        metric_shown=metric_shown,
        household_shown=household_shown,
        household_size=size,
        flags=_flags(metric, metric_flags, household_shown, household_flags),
        source=MeasuredFrom(
            metric=metric or derived,
            is_metric_typed=metric is not None,
            household=household.total if household is not None else None,
            typed=household.typed if household is not None else (),
            volume=volume,
            is_tight=is_tight,
            share=share,
        ),
    )
    return shown, disagreement


def _flags(
    metric: Amount | None, of_metric: tuple[str, ...], shown: tuple[Amount, ...], of_household: tuple[str, ...]
) -> tuple[str, ...]:
    """Return what the cook must be told: nothing about one column where the other can be used as it is."""
    if shown and shown[0].dimension != COUNT and not of_household:
        return ()
    is_weighed = metric is not None and bool(shown) and shown[0].dimension == COUNT
    return of_metric if is_weighed else (*of_metric, *of_household)


def _roles(
    kitchen: _Kitchen, amount: Amount, second: Amount | None, plus: Amount | None
) -> tuple[Amount | None, _Household | None]:
    """Return the metric measure and the household one among the author's, the first of each kind."""
    metric, first = (amount, None) if kitchen.is_metric(amount) else (None, amount)
    if second is not None:
        metric, first = (metric or second, first) if kitchen.is_metric(second) else (metric, first or second)
    if first is None:
        return metric, None
    added = plus if first is second else None
    return metric, _Household(first=_without(kitchen, first, added), plus=added, total=first)


def _without(kitchen: _Kitchen, total: Amount, plus: Amount | None) -> Amount:
    """Return the first term of a sum, given the sum and its second term."""
    if plus is None or not _adds_up(total, plus, kitchen.system):
        return total
    less = convert(plus, total.unit, kitchen.system)
    return Amount(total.low - less.low, total.high - less.high, total.unit)


def _adds_up(one: Amount, other: Amount, system: str) -> bool:
    is_measure = one.dimension == other.dimension != COUNT
    return is_measure and has_unit(one.unit, system) and has_unit(other.unit, system)


def with_whole_second(recipe: Recipe, system: str) -> Recipe:
    """
    Return the recipe with second measures that were read as a sum as one amount: "¼ cup + 2 tbsp" as ⅜ cup.

    How many tablespoons a cup has depends on the measure system, so reading leaves the sum open. ``second_plus`` stays,
    for showing the sum as typed; where the system lacks one of the units nothing changes.
    """
    if not any(line.second_plus for line in recipe.lines):
        return recipe
    return replace(recipe, lines=tuple(_whole_second(line, system) for line in recipe.lines))


def _whole_second(line: IngredientLine, system: str) -> IngredientLine:
    first, plus = line.second, line.second_plus
    if first is None or plus is None or not _adds_up(first, plus, system):
        return line
    more = convert(plus, first.unit, system)
    return replace(line, second=Amount(first.low + more.low, first.high + more.high, first.unit))


# ---------------------------------------------------------------------------------------------------- the two columns


def _metric_part(
    kitchen: _Kitchen, metric: Amount | None, derived: Amount | None
) -> tuple[Amount | None, Amount | None, tuple[str, ...]]:
    """Return the metric measure, exact and shown, and flags; ``derived`` is the household one told in grams or ml."""
    if metric is not None and kitchen.factor == 1:
        return metric, metric, ()
    if metric is not None:
        scaled = _below_one(metric.scaled(kitchen.factor))
        if kitchen.scale == 1 and scaled.low.denominator == scaled.high.denominator == 1:
            return scaled, scaled, ()  # whole parts of what the author wrote add up to it: 45 ml and 435 ml of 480 ml
        shown, flags = shown_metric(scaled, is_tight=kitchen.is_tight)
        return scaled, shown, flags
    if derived is None:
        return None, None, ()
    derived = derived.scaled(kitchen.factor)
    return derived, shown_metric(derived, is_tight=kitchen.is_tight)[0], ()


def _below_one(amount: Amount) -> Amount:
    """Return less than a litre in millilitres and less than a kilogram in grams: nobody measures 0.06 l."""
    smaller = {"l": "ml", "kg": "g"}.get(amount.unit)
    if smaller is None or amount.high >= 1:
        return amount
    return amount.told_in(smaller, 1000)


def _household_part(
    kitchen: _Kitchen, volume: Amount | None, household: _Household | None
) -> tuple[Amount | None, tuple[Amount, ...], tuple[str, ...]]:
    """Return the household measure, exact and shown, and flags; ``volume`` is the metric one told in millilitres."""
    if household is not None and kitchen.factor == 1:
        return household.total, household.typed, ()
    spoons = spoon_sizes(kitchen.system)
    if household is not None:
        scaled = household.total.scaled(kitchen.factor)
        written = household.total.scaled(kitchen.share)
        shown, flags = shown_household(scaled, is_tight=kitchen.is_tight, spoons=spoons, written=written)
        return scaled, shown, flags
    if volume is None or volume.high == 0:
        return None, (), ()
    volume = volume.scaled(kitchen.factor)
    if spoons.large == "dl" and volume.high >= _LITRE:
        return None, (), ()
    derived = convert(volume, household_unit(volume.high, spoons), kitchen.system)
    shown, flags = shown_household(derived, is_tight=kitchen.is_tight, spoons=spoons)
    return (derived, shown, ()) if not flags else (None, (), ())


def _in_metric(kitchen: _Kitchen, amount: Amount) -> Amount | None:
    """Return grams of a weight, grams of a volume if the density is known, else its millilitres."""
    if not kitchen.can_tell(amount):
        return None
    if amount.dimension == MASS:
        return convert(amount, "g", kitchen.system)
    volume = convert(amount, "ml", kitchen.system)
    return _times(volume, kitchen.density_g_per_ml, "g") or volume


def _in_millilitres(kitchen: _Kitchen, amount: Amount) -> Amount | None:
    """Return millilitres of a volume, or of a weight if the density is known."""
    if amount.dimension == VOLUME:
        return convert(amount, "ml", kitchen.system)
    if kitchen.density_g_per_ml is None or amount.dimension != MASS:
        return None
    return convert(amount, "g", kitchen.system).told_in("ml", per_gram(kitchen.density_g_per_ml))


def _times(amount: Amount, factor: Fraction | None, unit: str) -> Amount | None:
    return amount.told_in(unit, factor) if factor is not None else None


# ---------------------------------------------------------------------------------------------------- do they agree


def _disagreement(kitchen: _Kitchen, metric: Amount | None, household: _Household | None) -> str | None:
    """Return what is wrong with the author's two measures, or ``None`` if they agree or cannot be compared."""
    if metric is None or household is None or not kitchen.can_tell(household.total):
        return None
    told = _comparable(kitchen, household.total, metric.unit)
    least, most = _AGREE[kitchen.is_tight]
    if told is None or (metric.low <= told.high * most and metric.high >= told.low * least):
        return None
    near = metric.low if metric.low > told.high else metric.high
    far = told.high if metric.low > told.high else told.low
    percent = f" by {number_text(abs(near - far) / far * 100, 0)} %" if far else ""
    own = amount_text(Amount(told.low, told.high, told.unit))
    return f"{amount_text(metric)} and {household.text} differ{percent}: {household.text} is {own}"


def _comparable(kitchen: _Kitchen, amount: Amount, unit: str) -> Amount | None:
    """Return the household measure in the unit of the metric one, or ``None`` without a density that it takes."""
    target = Amount.of(0, unit).dimension
    if amount.dimension == target:
        return convert(amount, unit, kitchen.system)
    if kitchen.density_g_per_ml is None:
        return None
    if target == MASS:
        grams = _times(convert(amount, "ml", kitchen.system), kitchen.density_g_per_ml, "g")
        return convert(grams, unit, kitchen.system) if grams is not None else None
    volume = convert(amount, "g", kitchen.system).told_in("ml", per_gram(kitchen.density_g_per_ml))
    return convert(volume, unit, kitchen.system)
