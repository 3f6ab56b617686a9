"""
Weights, densities and yields from tables, where neither the author nor the price book gives one.

A line and the kitchen's own table come in; figures with their rung and source go out. The ladder of the larder is kept:
own table, exact row, another measure of the same food, an estimate that is called one, unknown. An author's own weight
always wins; where it is far from the table's, a sentence says so.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction

from shootplan.model.episode import PriceRow
from shootplan.model.larder import Figure, Identity, OwnRow, Rung
from shootplan.model.quantity import COUNT, MASS, SPOON_UNITS, VOLUME, Amount
from shootplan.model.recipe import IngredientLine
from shootplan.model.show import amount_text, number_text
from shootplan.records import dataclass
from shootplan.resolve.amounts import ItemWeights
from shootplan.resolve.units import convert, has_unit

__all__ = ["TableWeights", "source_words", "table_weights", "weight_disagreement", "yield_of"]

#: Containers differ from country to country: their weight is on the label, never in a table.
_CONTAINERS = frozenset({"tin", "can", "pack", "packet", "jar", "bottle", "bag", "box", "carton", "tube", "tub"})
_CERTAIN_RUNGS = (Rung.OWN_TABLE, Rung.EXACT, Rung.OTHER_MEASURE)
_OWN_MEASURES = ("cup", "dl", "tbsp", "tsp", "ml", "l")
#: An author's weight may differ from the table's by 15 % before it is said.
_LEAST, _MOST = Fraction(85, 100), Fraction(115, 100)


@dataclass(frozen=True, slots=True, kw_only=True)
class TableWeights:
    """
    What tables say of an item: grams of a millilitre and of one ``noun``, as eaten.

    ``usable`` is the part of the food as bought that can be eaten, in percent: published household weights are of that
    part, so what is bought is more. ``usable_in_skin`` is the same for weights that were taken with the skin.
    """

    per_ml: Figure
    piece: Figure | None
    noun: str
    usable: Figure | None = None
    usable_in_skin: Figure | None = None

    def usable_of(self, figure: Figure) -> Figure | None:
        """Return the usable part that a figure's weight is of."""
        return self.usable_in_skin if figure.has_skin else self.usable

    def weights(self, *, with_estimates: bool = False) -> ItemWeights:
        """Return the weights as bought; a category's median only where asked for."""
        return ItemWeights(
            self._bought(self.per_ml, with_estimates),
            self._bought(self.piece, with_estimates) if self.piece is not None else None,
            self.noun,
        )

    def shown_density(self) -> Fraction | None:
        """Return grams of a millilitre as measured out, or ``None`` where nothing certain is known."""
        return self.per_ml.value if self.per_ml.rung in _CERTAIN_RUNGS else None

    def used(self, line: IngredientLine) -> Figure | None:
        """Return the figure that a line's amount goes through."""
        is_count = line.amount is not None and line.amount.dimension == COUNT
        is_piece = self.piece is not None and self.piece.value is not None
        return self.piece if is_piece and (is_count or self.per_ml.value is None) else self.per_ml

    def _bought(self, figure: Figure, with_estimates: bool) -> Fraction | None:
        if figure.value is None or not (with_estimates or figure.rung in _CERTAIN_RUNGS):
            return None
        usable = self.usable_of(figure)
        if usable is None or not usable.value or figure.rung is Rung.OWN_TABLE:
            return figure.value
        return figure.value * 100 / usable.value


def table_weights(
    line: IngredientLine, row: PriceRow | None, *, system: str, own: Iterable[OwnRow] = ()
) -> TableWeights:
    """Return what the kitchen's own table and the published ones say of a line's item."""
    from shootplan.larder import edible_yield, grams

    food, own = _food(line), tuple(own)
    noun = _noun(line, row)
    is_raw = food.state == "raw" and not line.is_prepared
    return TableWeights(
        per_ml=_density(food, system, own, line.amount.unit if line.amount is not None else ""),
        piece=grams(food, noun, own=own) if noun not in _CONTAINERS else None,
        noun=noun,
        usable=edible_yield(food) if is_raw else None,
        usable_in_skin=edible_yield(food, in_skin=True) if is_raw else None,
    )


def _food(line: IngredientLine) -> Identity:
    from shootplan.larder import identify_line

    counted_in = line.amount.unit if line.amount is not None else ""
    return identify_line(f"{line.second_size or line.size} {line.item}".strip(), counted_in=counted_in, form=line.form)


def _noun(line: IngredientLine, row: PriceRow | None) -> str:
    """Return what is counted: by the line, else by the pack."""
    packs = row.pack if row is not None else ()
    counted = [a for a in (line.amount, *packs) if a is not None and a.dimension == COUNT]
    return counted[0].unit if counted else ""


def _density(food: Identity, system: str, own: tuple[OwnRow, ...], measure: str) -> Figure:
    """Return the density by the kitchen's own cup or spoon, else the published one of the line's own measure first."""
    from shootplan.larder import density, grams

    for measure in _OWN_MEASURES if own else ():
        figure = grams(food, measure, own=own)
        if figure.rung is Rung.OWN_TABLE and figure.value is not None and has_unit(measure, system):
            volume = convert(Amount.of(1, measure), "ml", system).high
            return replace(figure, value=figure.value / volume, unit="g/ml", note=f"from one {measure}")
    return density(food, measure=measure)


def yield_of(item: str) -> Figure:
    """Return the usable part of a food as bought, in percent, with its source."""
    from shootplan.larder import edible_yield, identify

    return edible_yield(identify(item))


def source_words(figure: Figure, usable: Figure | None = None) -> str:
    """Return a figure's rung, range and source as one text: "estimate between 0.9 and 1.1 g/ml (…): USDA …"."""
    words = figure.rung.value
    if figure.rung is Rung.ESTIMATE and figure.low is not None and figure.high is not None:
        words += f" between {number_text(figure.low, 2)} and {number_text(figure.high, 2)} {figure.unit}"
    words += f" ({figure.note})" if figure.note else ""
    text = f"{words}: {figure.source}"
    if usable is not None and usable.value and usable.value != 100 and figure.rung is not Rung.OWN_TABLE:
        text += f"; as eaten, bought at {number_text(usable.value)} % yield: {usable.source}"
    return text


# ------------------------------------------------------------------------------------------- the author's own weight

#: Measures without a standard size: nothing to compare a weight with.
_WITHOUT_STANDARD = _CONTAINERS | {"pinch", "dash", "drop", "knob", "handful"}


def weight_disagreement(line: IngredientLine, *, system: str, own: Iterable[OwnRow] = ()) -> tuple[str, str] | None:
    """
    Return what is wrong with the author's weight of a household measure and the source, or ``None``.

    Only a table row for that very food, state, measure and size is compared; the weight may be as eaten or as bought.
    """
    pair = _weighed(line)
    if pair is None or line.is_approximate:
        return None
    household, weight = pair
    low, high, figure = _expected(line, household, system, tuple(own))
    if figure is None or not has_unit(weight.unit, system):
        return None
    stated = convert(weight, "g", system)
    if stated.high >= low * household.low * _LEAST and stated.low <= high * household.high * _MOST:
        return None
    said = number_text(low * household.low, 0), number_text(high * household.high, 0)
    span = said[0] if said[0] == said[1] else f"{said[0]} to {said[1]}"
    text = f'"{line.item}": {amount_text(household)} is given as {amount_text(weight)}, the table has {span} g'
    return text, f"{figure.rung.value}, {figure.source}"


def _weighed(line: IngredientLine) -> tuple[Amount, Amount] | None:
    """Return a line's household measure and its weight, or ``None`` where it has not both."""
    given = [a for a in (line.amount, line.second) if a is not None]
    if len(given) < 2 or line.is_prepared:
        return None
    weights = [a for a in given if a.dimension == MASS]
    others = [a for a in given if a.dimension == COUNT or (a.dimension == VOLUME and a.unit in SPOON_UNITS)]
    if not weights or not others or others[0].unit in _WITHOUT_STANDARD:
        return None
    return others[0], weights[0]


def _expected(
    line: IngredientLine, household: Amount, system: str, own: tuple[OwnRow, ...]
) -> tuple[Fraction, Fraction, Figure | None]:
    """Return the least and most that one household measure weighs by the table, and the figure; ``None`` if unsure."""
    from shootplan.larder import edible_yield, grams, identify

    food = identify(f"{line.second_size or line.size} {line.item} {line.form}".strip())
    size_ml = _size_ml(household, system)
    figure = grams(food, household.unit, measure_ml=size_ml, own=own)
    is_same_form = not food.form or food.form in figure.form
    is_sure = figure.rung is Rung.OWN_TABLE or (
        figure.rung is Rung.EXACT and "for " not in figure.note and is_same_form
    )
    if figure.value is None or not is_sure or (household.dimension == VOLUME and size_ml is None):
        return Fraction(0), Fraction(0), None
    is_trimmed = food.state == "raw" and figure.rung is Rung.EXACT
    usable = edible_yield(food, in_skin=figure.has_skin).value if is_trimmed else None
    return figure.value, figure.value * 100 / usable if usable else figure.value, figure


def _size_ml(household: Amount, system: str) -> Fraction | None:
    """Return millilitres of one such measure, ``None`` for a count or a measure that the system lacks."""
    if household.dimension != VOLUME or not has_unit(household.unit, system):
        return None
    return convert(Amount.of(1, household.unit), "ml", system).high
