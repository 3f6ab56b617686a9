"""
An ingredient line with its price row, its amounts in both measures and what is bought of it.

A line, its recipe and the price book come in; a ``ResolvedLine`` goes out, problems go into the ``Desk``. Nothing is
costed here: a line that cannot be priced says why and stays unknown.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import field, replace
from fractions import Fraction
from functools import partial

from shootplan.model.episode import Episode, PriceRow
from shootplan.model.larder import Certainty, OwnRow, Rung
from shootplan.model.quantity import VOLUME
from shootplan.model.recipe import Alternate, IngredientLine, Purpose, Recipe, RecipeKind
from shootplan.model.resolved import Measured, ResolvedLine
from shootplan.model.show import amount_text
from shootplan.problems import Problem, Severity
from shootplan.records import dataclass
from shootplan.resolve.amounts import Bought, ItemWeights, bought, in_unit, size_difference
from shootplan.resolve.measures import measured
from shootplan.resolve.names import plain
from shootplan.resolve.prices import Prices
from shootplan.resolve.table_weights import source_words, table_weights, weight_disagreement, yield_of

__all__ = ["Desk", "measure_part", "resolve_line"]

#: Makes a ``ResolvedLine`` from what is known of it so far and what is given in addition.
_Known = Callable[..., ResolvedLine]
_ALL = Fraction(100)
_WATER_WORDS = frozenset(
    {"water", "ice", "cube", "hot", "cold", "warm", "boiling", "iced", "tap", "cooking", "lukewarm"}
)


@dataclass(slots=True)
class Desk:
    """What resolving needs at hand, and the problems found so far."""

    episode: Episode
    prices: Prices
    batches: dict[str, Recipe]
    problems: list[Problem] = field(default_factory=list)
    rows_used: list[PriceRow] = field(default_factory=list)

    @classmethod
    def of(cls, episode: Episode) -> Desk:
        """Return an empty desk for an episode."""
        return cls(episode=episode, prices=Prices.of(episode), batches=_batches(episode.recipes))

    def system(self, recipe: Recipe) -> str:
        """Return the measure system of a recipe (rule A1)."""
        return recipe.measures or self.episode.measures

    def warn(self, line: IngredientLine, code: str, message: str, hint: str | None = None) -> None:
        """Note a warning at a line's item."""
        self.problems.append(
            Problem(span=line.item_span, code=code, message=message, severity=Severity.WARNING, hint=hint)
        )


def _batches(recipes: Iterable[Recipe]) -> dict[str, Recipe]:
    """Return the sub-preparation recipes by every name that a line may call them."""
    found: dict[str, Recipe] = {}
    for recipe in recipes:
        if recipe.kind is RecipeKind.SUB_PREPARATION:
            for name in (recipe.makes_name, recipe.title, recipe.id):
                if name:
                    found.setdefault(plain(name), recipe)
    return found


def resolve_line(desk: Desk, recipe: Recipe, line: IngredientLine) -> ResolvedLine:
    """Return the line with its price row and amounts, its alternates resolved the same way."""
    resolved = _resolve_one(desk, recipe, line)
    if not line.alternates:
        return resolved
    alternates = tuple(_resolve_one(desk, recipe, _as_line(line, item)) for item in line.alternates)
    return replace(resolved, alternates=alternates)


def _as_line(base: IngredientLine, alternate: Alternate) -> IngredientLine:
    """Return an alternate as a line: with its own amount, or with all measures of its base."""
    line = replace(base, item=alternate.item, buy=None, alternates=(), item_span=alternate.span)
    if alternate.amount is None:
        return line
    return replace(line, amount=alternate.amount, second=None, second_size="", size="", each=None, drained=None)


def _resolve_one(desk: Desk, recipe: Recipe, line: IngredientLine) -> ResolvedLine:
    row = desk.prices.find(line.buy or line.item)
    shown = _both_measures(desk, recipe, line, row)
    is_staple = line.is_staple if line.is_staple is not None else row is not None and row.is_staple
    known = partial(
        ResolvedLine, line=line, measured=shown, is_staple=is_staple, allergens=_allergens(line, row)
    )  # what more is known of a line decides how it is completed
    if line.purpose is Purpose.WATER or _is_water(line.item):
        return known(is_free=True)
    batch = desk.batches.get(plain(line.buy or line.item))
    if batch is not None and batch.id != recipe.id:
        return _from_batch(desk, recipe, batch, line, known)
    if line.amount is None:
        return _without_amount(desk, line, known, is_staple=is_staple)
    if row is None:
        return _without_price(desk, line, known)
    return _priced(desk, recipe, line, partial(known, price=row), row)


def _is_water(item: str) -> bool:
    words = set(plain(item).split())
    return bool(words & {"water", "ice"}) and words <= _WATER_WORDS


def _without_amount(desk: Desk, line: IngredientLine, known: _Known, *, is_staple: bool) -> ResolvedLine:
    """Return a line without an amount: not costed if to taste, a staple or for a purpose (rule M8), else unknown."""
    if line.is_to_taste or is_staple or line.purpose is not Purpose.DISH:
        return known(is_not_costed=True)
    hint = 'write how much, or "to taste"'
    desk.warn(line, "amount-missing", f'"{line.item}" has no amount, so it cannot be priced', hint)
    return known(unpriced_because="it has no amount")


def _without_price(desk: Desk, line: IngredientLine, known: _Known) -> ResolvedLine:
    name = line.buy or line.item
    hint = desk.prices.near(name) or f'add a row "{name}" to the price book, or say "buy: ITEM" below the line'
    desk.warn(line, "price-missing", f'no price for "{name}" on the day of the episode', hint)
    return known(unpriced_because="it is not in the price book")


def _priced(desk: Desk, recipe: Recipe, line: IngredientLine, known: _Known, row: PriceRow) -> ResolvedLine:
    """Return the line with its row; what is wrong with the row's price leaves it unknown, never zero."""
    desk.rows_used.append(row)
    if row.price == 0:
        return known(unpriced_because="its price in the book is 0")
    if row.currency != desk.episode.currency:
        return known(unpriced_because=f"its price is in {row.currency}")
    usable, source = _yield_percent(line, row)
    if usable is None:
        hint = "say how much is left after trimming: yield: 79 %"
        desk.warn(line, "yield-missing", f'"{line.item}" is prepared, and nothing says what it yields', hint)
        return known(unpriced_because="what it yields when trimmed is not known")
    _check_sizes(desk, recipe, line, row)
    found, weights_from = _bought(desk, line, row, desk.system(recipe), usable, recipe.scale)
    if found.amount is None:
        hint = "give the line a second measure in brackets, or the pack: 1 head (700 g)"
        desk.warn(line, "unit-unconvertible", found.because, hint)
        return known(unpriced_because=found.because)
    return known(
        as_bought=found.amount,
        pack=found.pack,
        yield_percent=usable,
        weight_source="; ".join(filter(None, (source, weights_from))),
        is_estimated=weights_from.startswith(Rung.ESTIMATE.value),
    )


def _check_sizes(desk: Desk, recipe: Recipe, line: IngredientLine, row: PriceRow) -> None:
    """Warn where a piece of the line and a piece of the pack are of different weights."""
    sizes = size_difference(line, row, desk.system(recipe))
    if sizes is not None:
        own, theirs = (amount_text(size) for size in sizes)
        message = f'one "{line.item}" is {own} in the line and {theirs} in the price book; it is priced by the piece'
        desk.warn(line, "pack-size-differs", message, "write the weight first, or correct one of the two")


def _bought(
    desk: Desk, line: IngredientLine, row: PriceRow, system: str, usable: Fraction, scale: Fraction
) -> tuple[Bought, str]:
    """Return what is bought, and the table behind it where the author's and the book's own weights do not do."""
    own = ItemWeights(row.density_g_per_ml, row.piece_g)
    found = bought(line, row, system=system, weights=own, yield_percent=usable, scale=scale)
    if found.amount is not None:
        return found, ""
    tables = table_weights(line, row, system=system, own=desk.episode.own_table)
    for with_estimates in (False, True):
        weights = tables.weights(with_estimates=with_estimates)
        by_table = bought(line, row, system=system, weights=weights, yield_percent=usable, scale=scale)
        figure = tables.used(line)
        if by_table.amount is not None and figure is not None:
            source = source_words(figure, tables.usable_of(figure))
            if with_estimates:
                hint = "weigh it once and write the weight in brackets"
                desk.warn(line, "weight-estimated", f'the weight of "{line.item}" is an {source}', hint)
            return by_table, source
    return found, ""


def _yield_percent(line: IngredientLine, row: PriceRow | None) -> tuple[Fraction | None, str]:
    """Return the percentage that trimming leaves and its published source, if it is not the author's own."""
    if not line.is_prepared:
        return _ALL, ""
    own = line.yield_percent or (row.yield_percent if row is not None else None)
    if own:
        return own, ""
    figure = yield_of(line.item)
    return figure.value or None, f"yield, {source_words(figure)}" if figure.value else ""


def _from_batch(desk: Desk, recipe: Recipe, batch: Recipe, line: IngredientLine, known: _Known) -> ResolvedLine:
    """Return a line that is taken from another recipe's batch; its cost is the share of the batch (rule M4)."""
    known = partial(known, sub_recipe=batch.id)
    if line.amount is None or batch.makes is None:
        hint = "say how much is used, and in the other recipe how much it makes"
        desk.warn(line, "unit-unconvertible", f'how much of "{line.item}" is used is not known', hint)
        return known(unpriced_because="the part of the batch is not known")
    for measure in filter(None, (line.amount, line.second)):
        amount = in_unit(measure, batch.makes.unit, system=desk.system(recipe), item=line.item)
        if amount is not None:
            pack = batch.makes.upper().scaled(batch.scale)
            return known(as_bought=amount.upper().scaled(recipe.scale), pack=pack)
    because = f'"{line.item}" is not given in the unit in which {batch.title} says what it makes'
    desk.warn(line, "unit-unconvertible", because, f"give it in {batch.makes.unit or 'pieces'}")
    return known(unpriced_because=because)


def _both_measures(desk: Desk, recipe: Recipe, line: IngredientLine, row: PriceRow | None) -> Measured:
    system, own = desk.system(recipe), desk.episode.own_table
    shown, disagreement = measure_part(line, row, system=system, scale=recipe.scale, own=own)
    if disagreement is not None:
        desk.warn(line, "measures-differ", f"{line.item}: {disagreement}", "correct one of the two measures")
    else:
        far = weight_disagreement(line, system=system, own=own)
        if far is not None:
            hint = f"yours is used; the table is {far[1]}"
            desk.warn(line, "weight-differs", far[0], hint)
    return shown


def measure_part(
    line: IngredientLine,
    row: PriceRow | None,
    *,
    system: str,
    scale: Fraction,
    share: Fraction = Fraction(1),
    own: tuple[OwnRow, ...] = (),
) -> tuple[Measured, str | None]:
    """Return a line or a share of it in both measures, and a sentence where the author's two measures disagree."""
    if line.amount is None:
        return Measured(), None
    return measured(
        line.amount,
        line.second,
        system=system,
        density_g_per_ml=_shown_density(line, row, system, own),
        is_tight=line.is_tight,
        scale=scale,
        second_size=line.second_size,
        second_plus=line.second_plus,
        share=share,
    )


def _shown_density(line: IngredientLine, row: PriceRow | None, system: str, own: tuple[OwnRow, ...]) -> Fraction | None:
    """Return the density for showing the other measure: the row's; the tables' only where spoons or cups are given."""
    if row is not None and row.density_g_per_ml:
        return row.density_g_per_ml
    if line.amount is None or line.amount.dimension != VOLUME or line.second is not None:
        return None
    if line.purpose is Purpose.WATER or _is_water(line.item):
        return None
    return table_weights(line, row, system=system, own=own).shown_density()


def _allergens(line: IngredientLine, row: PriceRow | None) -> tuple[str, ...]:
    """Return the groups that the item's name suggests, each as sure as it is, and what the price book says."""
    from shootplan.larder import allergens

    named = [
        note.group if note.certainty is Certainty.CONTAINS else f"{note.group} ({note.certainty.value}: read the label)"
        for note in allergens(f"{line.item} {line.form}".strip())
    ]
    stated = row.allergens.replace(";", ",").split(",") if row is not None and row.allergens else []
    return tuple(dict.fromkeys((*named, *filter(None, map(str.strip, stated)))))
