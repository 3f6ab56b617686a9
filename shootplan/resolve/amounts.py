"""
What is bought of a line, in a unit of its price row's pack.

A line and its row come in; the amount as bought and the pack in one unit go out, or a sentence that says why there is
none. Volume becomes mass only through the item's own density, pieces only through the item's own weight (rule A1).
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from shootplan.model.episode import PriceRow
from shootplan.model.quantity import COUNT, MASS, VOLUME, Amount, dimension
from shootplan.model.recipe import IngredientLine
from shootplan.model.show import unit_text
from shootplan.records import dataclass
from shootplan.resolve.names import plain
from shootplan.resolve.units import convert, has_unit, per_gram

__all__ = ["Bought", "ItemWeights", "bought", "in_unit", "same_count", "size_difference", "unit_words"]

#: Nouns for one whole thing: a bare "1" and "1 head" count the same, as do the names of one container.
_SAME_NOUN = {
    "": "piece", "piece": "piece", "each": "piece", "whole": "piece", "head": "piece", "unit": "piece",
    "tin": "tin", "can": "tin", "pack": "pack", "packet": "pack", "carton": "pack",
    "stick": "stick", "stalk": "stick", "rib": "stick",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Bought:
    """The amount as bought and the pack, both in one unit; ``None`` with the reason in ``because``."""

    amount: Amount | None = None
    pack: Amount | None = None
    because: str = ""


@dataclass(frozen=True, slots=True)
class ItemWeights:
    """What an item weighs: grams of a millilitre and of one ``noun`` of it, ``None`` where nobody knows."""

    density_g_per_ml: Fraction | None = None
    piece_g: Fraction | None = None
    noun: str = ""


def bought(
    line: IngredientLine,
    row: PriceRow,
    *,
    system: str,
    weights: ItemWeights,
    yield_percent: Fraction,
    scale: Fraction = Fraction(1),
) -> Bought:
    """
    Return what is bought of a line (rules M1 and M8): upper end of a range, prepared / yield, times ``scale``.

    Of the line's measures the first that is of the same kind as a measure of the pack decides; density and piece
    weight are used only where none is.
    """
    packs = [pack for pack in row.pack if pack.high]
    if not packs:
        return Bought(because=f'the pack of "{row.item}" is not an amount')
    measures = list(_measures(line, yield_percent))
    if _is_other_size(line, packs):
        measures.insert(0, measures.pop())
    for change in (_same_kind, _through_weights):
        for measure in measures:
            for pack in packs:
                amount = change(measure, pack.unit, line.item, system, weights)
                if amount is not None:
                    return Bought(amount.upper().scaled(scale), pack.upper())
    have = " or ".join(dict.fromkeys(unit_words(measure.unit) for measure in measures))
    want = " or ".join(dict.fromkeys(unit_words(pack.unit) for pack in packs))
    return Bought(because=f"{have} of {line.item} cannot be told in {want}, in which it is sold")


def size_difference(line: IngredientLine, row: PriceRow, system: str) -> tuple[Amount, Amount] | None:
    """
    Return what one piece weighs in the line and in the pack where both say it and they differ by more than a tenth.

    A count is bought by count: "1 small cabbage (600 g)" takes the whole of "1 head (700 g)". The limit is that of
    rule A3.
    """
    count, weight = line.amount, line.second
    if count is not None and weight is not None and count.dimension != COUNT:
        count, weight = weight, count
    if count is None or weight is None or count.dimension != COUNT or weight.dimension == COUNT or not count.high:
        return None
    pieces = next((pack for pack in row.pack if pack.dimension == COUNT and pack.high), None)
    if pieces is None or not same_count(count.unit, pieces.unit, line.item):
        return None
    own = weight.upper().scaled(1 / count.high)
    for pack in row.pack:
        theirs = in_unit(pack.scaled(1 / pieces.high), own.unit, system=system) if pack.dimension != COUNT else None
        if theirs is not None and abs(own.high - theirs.high) * 10 > theirs.high:
            return own, theirs
    return None


def _measures(line: IngredientLine, yield_percent: Fraction) -> Iterator[Amount]:
    """Yield the measures of a line as bought; of a prepared line only the first, which the yield is about."""
    if line.amount is None:
        return
    if line.is_prepared:
        yield line.amount.scaled(Fraction(100) / yield_percent)
        return
    yield line.amount
    if line.second is not None:
        yield line.second
    if line.each is not None and line.amount.dimension == COUNT:
        yield line.each.scaled(line.amount.high)


def _is_other_size(line: IngredientLine, packs: list[Amount]) -> bool:
    """Return whether the line's tins or packs are of another net weight than those of the price row."""
    each = line.each
    if each is None or line.amount is None or line.is_prepared or line.amount.dimension != COUNT:
        return False
    return any(pack.unit == each.unit and pack.high != each.high for pack in packs)


def _same_kind(measure: Amount, unit: str, item: str, system: str, _weights: ItemWeights) -> Amount | None:
    """Return the measure in a unit of its own kind, or ``None``."""
    return in_unit(measure, unit, system=system, item=item)


def _through_weights(measure: Amount, unit: str, item: str, system: str, weights: ItemWeights) -> Amount | None:
    """Return the measure in another kind of unit through the item's density or piece weight, or ``None``."""
    return in_unit(measure, unit, system=system, item=item, weights=weights)


def in_unit(
    amount: Amount, unit: str, *, system: str, item: str = "", weights: ItemWeights | None = None
) -> Amount | None:
    """Return ``amount`` in ``unit``, or ``None`` if the two cannot be compared; counts compare by their noun."""
    if amount.unit == unit:
        return amount
    own, target = dimension(amount.unit), dimension(unit)
    if COUNT in (own, target):
        if own == target:
            return Amount(amount.low, amount.high, unit) if same_count(amount.unit, unit, item) else None
        return _by_piece(amount, unit, target, system, item, weights)
    if not (has_unit(amount.unit, system) and has_unit(unit, system)):
        return None
    if own == target:
        return convert(amount, unit, system)
    if weights is None or not weights.density_g_per_ml:
        return None
    if target == MASS:
        return convert(_retold(convert(amount, "ml", system), weights.density_g_per_ml, "g"), unit, system)
    return convert(_retold(convert(amount, "g", system), per_gram(weights.density_g_per_ml), "ml"), unit, system)


def _by_piece(
    amount: Amount, unit: str, target: str, system: str, item: str, weights: ItemWeights | None
) -> Amount | None:
    """Return pieces as mass or mass as pieces, through the weight of one piece."""
    if weights is None or not weights.piece_g:
        return None
    if target == MASS and same_count(amount.unit, weights.noun, item):
        return convert(_retold(amount, weights.piece_g, "g"), unit, system)
    if amount.dimension == MASS and same_count(unit, weights.noun, item):
        return _retold(convert(amount, "g", system), 1 / weights.piece_g, unit)
    return None


def _retold(amount: Amount, factor: Fraction, unit: str) -> Amount:
    return amount.told_in(unit, factor)


def same_count(noun: str, other: str, item: str = "") -> bool:
    """Return whether two counted nouns mean the same: "tin" and "can", "" and "head", "" and the item's own name."""
    return _noun(noun, item) == _noun(other, item)


def _noun(noun: str, item: str) -> str:
    word = plain(noun)
    if word and word in (plain(item), plain(item).split(" ")[-1]):
        return "piece"
    return _SAME_NOUN.get(word, word)


def unit_words(unit: str) -> str:
    """Return how a kind of amount is called in a sentence: "grams", "millilitres", "pieces", "cloves"."""
    kind = dimension(unit)
    if kind == MASS:
        return "weight"
    if kind == VOLUME:
        return "volume"
    return unit_text(unit, Fraction(2)) if unit else "pieces"
