"""
What to buy for the whole episode (rules M2 and M3).

Resolved recipes come in; packs, loose amounts, deposits, leftovers and bills go out. Stock is free here and nowhere
else; doubles and spares are bought here and are never in a published cost.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import field
from fractions import Fraction
from math import ceil

from shootplan.cost.currency import cash_rounded, minor_digits
from shootplan.cost.recipes import is_optional_line
from shootplan.larder import fridge_life
from shootplan.model.episode import PriceRow
from shootplan.model.money import Money, half_up
from shootplan.model.quantity import Amount
from shootplan.model.recipe import RecipeKind
from shootplan.model.resolved import ResolvedEpisode, ResolvedLine, ResolvedRecipe
from shootplan.model.shopping import Bill, NeededFor, Shopping, ShoppingItem
from shootplan.records import dataclass

__all__ = ["shop_episode"]

#: Nouns for one whole thing, which counts as a bare number does.
_ONE = {"piece": "", "each": "", "whole": "", "unit": ""}
_METRIC = {
    "mg": ("g", Fraction(1, 1000)),
    "kg": ("g", Fraction(1000)),
    "cl": ("ml", Fraction(10)),
    "dl": ("ml", Fraction(100)),
    "l": ("ml", Fraction(1000)),
}


@dataclass(slots=True)
class _Need:
    """What all recipes need of one item, in packs (exact fractions of one)."""

    row: PriceRow
    pack: Amount
    single: dict[str, Fraction] = field(default_factory=dict)
    optional_only: dict[str, bool] = field(default_factory=dict)
    doubles: Fraction = Fraction(0)
    spares: Fraction = Fraction(0)

    @property
    def packs(self) -> Fraction:
        """What one making of each recipe takes."""
        return sum(self.single.values(), Fraction(0))


@dataclass(frozen=True, slots=True)
class _Extra:
    """What is made over again: whole recipes, and shares of single lines."""

    batches: Mapping[str, int] = field(default_factory=dict)
    shares: Mapping[tuple[str, str], Fraction] = field(default_factory=dict)

    def of(self, recipe: ResolvedRecipe, line: ResolvedLine) -> Fraction:
        """Return how many more times a line is needed."""
        return self.batches.get(recipe.id, 0) + self.shares.get((recipe.id, line.line.id), Fraction(0))


def shop_episode(
    resolved: ResolvedEpisode,
    *,
    with_options: bool = True,
    doubles: Mapping[str, int] | None = None,
    line_doubles: Mapping[tuple[str, str], Fraction] | None = None,
) -> Shopping:
    """
    Return the shopping list of the episode and its bills.

    Parameters
    ----------
    resolved
        The episode; a sub-preparation is bought for whole batches.
    with_options
        Whether optional lines are on the list.
    doubles
        Extra batches by recipe id.
    line_doubles
        Extra shares of single lines by (recipe id, line id): what duplicates take that are not finished dishes.
    """
    currency, places = resolved.episode.currency, minor_digits(resolved.episode.currency)
    extra = _Extra(doubles or {}, line_doubles or {})
    needs = _needs(resolved, with_options=with_options, extra=extra)
    items = tuple(_item(need, currency, places) for need in needs.values())
    return Shopping(
        currency=currency,
        places=places,
        items=items,
        bill=_bill(items, currency, places),
        empty_cupboard=_empty_cupboard(resolved, currency, places, with_options=False),
        empty_cupboard_with_options=_empty_cupboard(resolved, currency, places, with_options=True),
        not_on_list=_unknown(resolved, with_options=with_options),
    )


def _empty_cupboard(resolved: ResolvedEpisode, currency: str, places: int, *, with_options: bool) -> Bill:
    """Return what it costs to make each recipe once with nothing in the house."""
    needs = _needs(resolved, with_options=with_options, extra=_Extra())
    items = [_item(need, currency, places, with_stock=False, with_spares=False) for need in needs.values()]
    return _bill(items, currency, places)


# ------------------------------------------------------------------------------------------------ needs


def _needs(resolved: ResolvedEpisode, *, with_options: bool, extra: _Extra) -> dict[PriceRow, _Need]:
    """Return the needs by price row, in the order in which the recipes name them."""
    needs: dict[PriceRow, _Need] = {}
    optional_batches = _optional_batches(resolved)
    for recipe in resolved.recipes:
        for line in recipe.lines:
            is_optional = is_optional_line(recipe, line) or recipe.id in optional_batches
            if line.price is None or line.as_bought is None or line.pack is None or (is_optional and not with_options):
                continue
            need = needs.setdefault(line.price, _Need(line.price, line.pack))
            _add(need, recipe, line, extra=extra.of(recipe, line), is_optional=is_optional)
    return needs


def _add(need: _Need, recipe: ResolvedRecipe, line: ResolvedLine, *, extra: Fraction, is_optional: bool) -> None:
    if line.as_bought is None or line.pack is None:
        return
    packs = line.as_bought.high / line.pack.high
    need.single[recipe.id] = need.single.get(recipe.id, Fraction(0)) + packs
    need.optional_only[recipe.id] = need.optional_only.get(recipe.id, True) and is_optional
    need.doubles += packs * extra
    need.spares += packs * _spare_share(recipe, line)


def _spare_share(recipe: ResolvedRecipe, line: ResolvedLine) -> Fraction:
    """Return the part of a line that retakes lose: what one take loses, for each take after the first."""
    single, amount = line.line.single_use, line.line.amount
    if single is None or amount is None or amount.high == 0:
        return Fraction(0)
    shares = [_ratio(single, whole) for whole in (amount, line.line.second) if whole is not None]
    share = next((share for share in shares if share is not None), None)
    if share is None:
        return Fraction(0)
    used_in = dict.fromkeys(use.step for use in recipe.uses if use.line == line.line.id and not use.is_held_back)
    shots = [step.shot for step in recipe.recipe.steps if step.id in used_in and step.shot is not None]
    retakes = sum(shot.takes - 1 for shot in shots)
    return share * retakes / recipe.recipe.scale


def _optional_batches(resolved: ResolvedEpisode) -> set[str]:
    """Return the sub-preparation recipes that only options use."""
    found = set()
    for batch in resolved.recipes:
        if batch.recipe.kind is RecipeKind.SUB_PREPARATION:
            using = [(r, line) for r in resolved.recipes for line in r.lines if line.sub_recipe == batch.id]
            if using and all(is_optional_line(recipe, line) for recipe, line in using):
                found.add(batch.id)
    return found


def _unknown(resolved: ResolvedEpisode, *, with_options: bool) -> tuple[str, ...]:
    """Return the items that must be bought and whose price or amount is not known, and those not costed."""
    lines = [(recipe, line) for recipe in resolved.recipes for line in recipe.lines]
    unknown = [
        line.line.buy or line.line.item
        for recipe, line in lines
        if (line.unpriced_because or line.is_not_costed) and (with_options or not is_optional_line(recipe, line))
    ]
    return tuple(dict.fromkeys(unknown))


# ------------------------------------------------------------------------------------------------ items, bills


def _item(
    need: _Need, currency: str, places: int, *, with_stock: bool = True, with_spares: bool = True
) -> ShoppingItem:
    """Return one item: ceil((need - stock) / pack) packs, loose goods exactly and rounded once (rule M2)."""
    row, pack = need.row, need.pack
    stock = _stock_packs(need) if with_stock else Fraction(0)
    spares = need.spares if with_spares else Fraction(0)
    wanted = need.packs + need.doubles + spares
    to_buy = max(Fraction(0), wanted - stock)
    bought = to_buy if row.is_loose else Fraction(ceil(to_buy))
    deposit = Fraction(row.deposit) * ceil(bought)
    till = half_up(bought * Fraction(row.price) + deposit, places)
    return ShoppingItem(
        item=row.item,
        row=row,
        pack=pack,
        need=pack.scaled(need.packs),
        doubles=pack.scaled(need.doubles),
        spares=pack.scaled(spares),
        spares_cost=Money(half_up(spares * Fraction(row.price), places), currency),
        stock=pack.scaled(stock),
        to_buy=pack.scaled(to_buy),
        packs=0 if row.is_loose else int(bought),
        till=Money(till, currency),
        deposit=Money(half_up(deposit, places), currency),
        leftover=pack.scaled(stock + bought - wanted),
        needed_for=tuple(
            NeededFor(recipe=name, amount=pack.scaled(packs), is_optional=need.optional_only[name])
            for name, packs in need.single.items()
        ),
        keeps=fridge_life(row.item),
    )


def _stock_packs(need: _Need) -> Fraction:
    """Return the stock in packs; stock in a measure that the pack does not have counts as none."""
    stock = need.row.stock
    if stock is None:
        return Fraction(0)
    parts = [_ratio(stock, pack) for pack in need.row.pack]
    return next((part for part in parts if part is not None), Fraction(0))


def _ratio(part: Amount, whole: Amount) -> Fraction | None:
    """Return a part of a whole in the same unit or another metric one of its kind, or ``None``."""
    unit, factor = _METRIC.get(part.unit, (_ONE.get(part.unit, part.unit), Fraction(1)))
    whole_unit, whole_factor = _METRIC.get(whole.unit, (_ONE.get(whole.unit, whole.unit), Fraction(1)))
    if unit != whole_unit or whole.high == 0:
        return None
    return part.high * factor / (whole.high * whole_factor)


def _bill(items: Iterable[ShoppingItem], currency: str, places: int) -> Bill:
    total = sum((Fraction(item.till.amount) for item in items), Fraction(0))
    money = Money(half_up(total, places), currency)
    return Bill(total=money, in_cash=cash_rounded(money))
