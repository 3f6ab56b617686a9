"""
What a page needs to show its amounts for other servings: exact figures and the words around them, as data.

A resolved recipe comes in; a mapping for ``templates/blog/servings.js`` goes out, with the keys of the places in the
page. Nothing is rounded here: the page rounds by the rules of ``model.rounding``, from exact fractions.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import field
from typing import Any

from shootplan.model.quantity import Amount
from shootplan.model.recipe import Mention, PartKind, RecipeKind, Step
from shootplan.model.resolved import Measured, ResolvedLine, ResolvedRecipe, Use
from shootplan.model.show import amount_text, exact_text, fraction_text
from shootplan.records import dataclass
from shootplan.render.views_amounts import (
    IngredientGroup,
    IngredientRow,
    held_back_words,
    is_optional,
    product_of_group,
    weights_of,
)

__all__ = ["Servings", "StepPart", "servings_view"]

_NOTE = (
    "Amounts are for the number above. Prices, times and pans are for {made}: times do not grow with the amount, so go"
    " by the cue."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class StepPart:
    """An amount in the text of a step: its words as printed, and its key in the data."""

    words: str
    key: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Servings:
    """The data of the page, keys of its places by line or group, and the parts in the texts of its steps."""

    made: str
    noun: str
    data: dict[str, Any]
    rows: dict[str, int]
    groups: dict[str, int]
    parts: dict[str, tuple[StepPart, ...]]


def servings_view(
    resolved: ResolvedRecipe, groups: tuple[IngredientGroup, ...], options: tuple[IngredientRow, ...]
) -> Servings | None:
    """Return the data for other servings; ``None`` for a batch, and where what is made is no whole number."""
    recipe = resolved.recipe
    made = recipe.serves.hearty * recipe.scale
    if recipe.kind is RecipeKind.SUB_PREPARATION or made.denominator != 1:
        return None
    return _Maker(resolved).view(groups, options)


@dataclass(slots=True)
class _Maker:
    """Numbers the amounts of a page."""

    resolved: ResolvedRecipe
    items: list[dict[str, Any]] = field(default_factory=list)
    part_list: list[dict[str, Any]] = field(default_factory=list)

    def view(self, groups: tuple[IngredientGroup, ...], options: tuple[IngredientRow, ...]) -> Servings:
        recipe, spoons = self.resolved.recipe, self.resolved.spoons
        made = fraction_text(recipe.serves.hearty * recipe.scale)
        shown = [row.line for group in groups for row in group.rows] + [row.line for row in options]
        rows = [self._row(line_id, is_option=is_optional(self._line(line_id), self.resolved)) for line_id in shown]
        made_groups = [group for group in recipe.groups if group.makes is not None]
        group_keys = {group.id: self._plain(group.makes) for group in made_groups if group.makes is not None}
        parts = {step.id: tuple(self._parts(step)) for step in recipe.steps}
        return Servings(
            made=made,
            noun=recipe.serves.noun,
            rows={line_id: key for key, line_id in enumerate(shown)},
            groups=group_keys,
            parts={step: found for step, found in parts.items() if found},
            data={
                "serves": recipe.serves.hearty,
                "made": int(made),
                "note": _NOTE.format(made=made),
                "large": spoons.large,
                "sizes": {unit: exact_text(size) for unit, size in spoons.sizes.items()},
                "items": self.items,
                "rows": rows,
                "parts": self.part_list,
            },
        )

    def _line(self, line_id: str) -> ResolvedLine:
        found = self.resolved.line(line_id)
        if found is None:
            raise KeyError(line_id)
        return found

    # ------------------------------------------------------------------------------------------ amounts

    def _item(self, measured: Measured, line: ResolvedLine | None = None) -> int:
        """Number an amount in both measures and return its key."""
        source = measured.source
        typed = line.line.amount if line is not None else None
        found: dict[str, Any] = {
            "fallback": amount_text(typed) if typed is not None else "",
            "size": measured.household_size,
            "share": "1/1",
        }
        if source is not None:
            found |= {
                "metric": _exact(source.metric),
                "isMetricTyped": source.is_metric_typed,
                "household": _exact(source.household),
                "typed": [_exact(amount) for amount in source.typed],
                "volume": _exact(source.volume),
                "isTight": source.is_tight,
                "share": exact_text(source.share),
            }
        self.items.append(found)
        return len(self.items) - 1

    def _plain(self, amount: Amount) -> int:
        """Number an amount that is only multiplied, given for the recipe as written."""
        self.items.append({"plain": _exact(amount)})
        return len(self.items) - 1

    # ------------------------------------------------------------------------------------------ rows

    def _row(self, line_id: str, *, is_option: bool) -> dict[str, Any]:
        line = self._line(line_id)
        key = self._item(line.measured, line)
        return {
            "item": key,
            "isAbout": line.line.is_approximate,
            "notes": list(self._notes(line, key, is_option)),
            "others": [[self._item(other.measured, other), other.line.item] for other in line.alternates],
        }

    def _notes(self, line: ResolvedLine, key: int, is_option: bool) -> Iterator[object]:
        """Yield the notes in the order of the printed row."""
        yield line.line.form
        yield from weights_of(line)
        yield ["flags", key, "", None]
        if line.line.is_to_taste:
            yield "to taste"
        for use in self.resolved.uses:
            if use.line == line.line.id and use.is_held_back:
                yield ["held", self._item(use.measured), held_back_words(use, self.resolved), None]
        product = product_of_group(line, self.resolved) if is_option else None
        if product is not None and product.batch is not None:
            scale = self.resolved.recipe.scale
            used = self._plain(product.used.scaled(1 / scale)) if product.used is not None else None
            name = f"{product.name[:1].lower()}{product.name[1:]}"
            yield ["batch", self._plain(product.batch.scaled(1 / scale)), name, used]

    # ------------------------------------------------------------------------------------------ parts in steps

    def _parts(self, step: Step) -> Iterator[StepPart]:
        """Yield the parts of a step whose amount stands in its text."""
        uses = self.resolved.uses_in(step.id)
        if len(uses) != len(step.mentions):
            return
        for mention, use in zip(step.mentions, uses, strict=True):
            if mention.part.kind is PartKind.AMOUNT and mention.part.amount is not None:
                yield self._part(mention, use, mention.part.amount)

    def _part(self, mention: Mention, use: Use, typed: Amount) -> StepPart:
        words = _words(use.measured, typed)
        self.part_list.append(
            {"item": self._item(use.measured), "unit": typed.unit, "typed": amount_text(typed), "shown": words}
        )
        return StepPart(words=words, key=len(self.part_list) - 1)


def _exact(amount: Amount | None) -> list[str] | None:
    return None if amount is None else [exact_text(amount.low), exact_text(amount.high), amount.unit]


def _words(measured: Measured, typed: Amount) -> str:
    """Return the words that the step's text has for a part: the measure of the author's unit, else the metric one."""
    shown = [measured.metric_shown] if measured.metric_shown is not None else []
    for amount in (*measured.household_shown, *shown):
        if amount.unit == typed.unit and len(measured.household_shown) < 2:
            return amount_text(amount)
    return amount_text(typed) if typed.unit in ("", "pinch") or not shown else amount_text(shown[0])
