"""
Ingredient lines as they are printed: both measures, what is optional, what is held back for which step.

A resolved recipe comes in, frozen rows of ready strings go out.
"""

from __future__ import annotations

from dataclasses import replace

from shootplan.model.recipe import Group
from shootplan.model.resolved import Measured, ResolvedLine, ResolvedProduct, ResolvedRecipe, Use
from shootplan.model.show import amount_text, join_words
from shootplan.records import dataclass

__all__ = [
    "IngredientGroup",
    "IngredientRow",
    "group_heading",
    "held_back_words",
    "ingredient_groups",
    "is_optional",
    "measures",
    "optional_rows",
    "product_of_group",
    "row_of",
    "weights_of",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class IngredientRow:
    """
    One ingredient: ``line`` is its line's id, ``metric`` and ``household`` may be empty.

    ``notes`` are short words after the name, ``alternates`` what may be used instead.
    """

    item: str
    line: str = ""
    metric: str = ""
    household: str = ""
    notes: tuple[str, ...] = ()
    alternates: tuple[str, ...] = ()

    @property
    def amount(self) -> str:
        """Both measures in one text: "900 g (5 medium)"."""
        if self.metric and self.household:
            return f"{self.metric} ({self.household})"
        return self.metric or self.household

    @property
    def note(self) -> str:
        """The notes as one text."""
        return ", ".join(self.notes)


@dataclass(frozen=True, slots=True, kw_only=True)
class IngredientGroup:
    """Lines under one heading; ``title`` is empty for the dish's own, ``makes`` for what is no sub-preparation."""

    id: str
    title: str
    makes: str
    rows: tuple[IngredientRow, ...]


def measures(measured: Measured, line: ResolvedLine | None = None) -> tuple[str, str]:
    """Return the metric and the household amount as shown; where neither is known, the amount as typed."""
    metric = amount_text(measured.metric_shown) if measured.metric_shown is not None else ""
    household = " + ".join(amount_text(amount) for amount in measured.household_shown)
    if household and measured.household_size:
        household = f"{household} {measured.household_size}"
    typed = line.line.amount if line is not None else None
    if not metric and not household and typed is not None:
        metric = amount_text(typed)
    return metric, household


def group_heading(group: Group) -> str:
    """Return a group's heading in the form in which it is read: "Pickled red onion (makes 250 g, optional)"."""
    words = [f"makes {amount_text(group.makes)}"] if group.makes is not None else []
    words += ["optional"] if group.is_optional else []
    words += [f"keeps {group.keeps}"] if group.keeps else []
    return f"{group.title} ({', '.join(words)})" if words else group.title


def ingredient_groups(recipe: ResolvedRecipe) -> tuple[IngredientGroup, ...]:
    """Return the lines that the core recipe needs, by group, in the author's order."""
    groups = {group.id: group for group in recipe.recipe.groups}
    found: dict[str, list[IngredientRow]] = {}
    for line in recipe.lines:
        group = groups.get(line.line.group or "")
        if not is_optional(line, recipe):
            found.setdefault(group.id if group else "", []).append(row_of(line, recipe))
    titles = {"": "", **{group.id: group.title for group in groups.values()}}
    made = {key: group.makes for key, group in groups.items() if group.makes is not None}
    makes = {key: amount_text(amount.scaled(recipe.recipe.scale)) for key, amount in made.items()}
    return tuple(
        IngredientGroup(id=key, title=titles[key], makes=makes.get(key, ""), rows=tuple(rows))
        for key, rows in found.items()
    )


def optional_rows(recipe: ResolvedRecipe) -> tuple[IngredientRow, ...]:
    """Return the optional lines, which stand apart and are priced apart."""
    rows = []
    for line in recipe.lines:
        if is_optional(line, recipe):
            row, batch = row_of(line, recipe), _batch(line, recipe)
            rows.append(replace(row, notes=(*row.notes, batch)) if batch else row)
    return tuple(rows)


def _batch(line: ResolvedLine, recipe: ResolvedRecipe) -> str:
    """Say which batch an ingredient goes into and how much of that is used: its cost counts by that share (rule M4)."""
    product = product_of_group(line, recipe)
    if product is None or product.batch is None:
        return ""
    used = f", of which {amount_text(product.used)} is used" if product.used is not None else ""
    return f"for {amount_text(product.batch)} of {product.name[:1].lower()}{product.name[1:]}{used}"


def product_of_group(line: ResolvedLine, recipe: ResolvedRecipe) -> ResolvedProduct | None:
    """Return the batch that a line goes into, ``None`` if its group makes none."""
    return next((item for item in recipe.products if item.group and item.group == line.line.group), None)


def is_optional(line: ResolvedLine, recipe: ResolvedRecipe) -> bool:
    """Return whether a line is left out of the core: by itself, or with its group."""
    groups = {group.id for group in recipe.recipe.groups if group.is_optional}
    return line.line.is_optional or line.line.group in groups


def row_of(line: ResolvedLine, recipe: ResolvedRecipe, *, with_held_back: bool = True) -> IngredientRow:
    """Return one line as printed, with or without the portion that is held back."""
    metric, household = measures(line.measured, line)
    source = line.line
    notes = [source.form, *weights_of(line), *line.measured.flags]
    notes += ["to taste"] if source.is_to_taste else []
    if with_held_back:
        notes += [_held_back(use, recipe) for use in recipe.uses if use.line == source.id and use.is_held_back]
    about = "about " if source.is_approximate and metric else ""
    item = f"{source.size} {source.item}" if source.size else source.item
    return IngredientRow(
        item=item,
        line=source.id,
        metric=about + metric,
        household=household,
        notes=tuple(dict.fromkeys(note for note in notes if note)),
        alternates=tuple(_alternate(other) for other in line.alternates),
    )


def weights_of(line: ResolvedLine) -> list[str]:
    """Return what one tin or pack weighs, and what is left of it when drained."""
    words = [f"{amount_text(line.line.each)} each"] if line.line.each is not None else []
    return words + ([f"{amount_text(line.line.drained)} drained"] if line.line.drained is not None else [])


def _held_back(use: Use, recipe: ResolvedRecipe) -> str:
    """Name the held-back portion and the step that uses it."""
    amount = IngredientRow(item="", metric=measures(use.measured)[0], household=measures(use.measured)[1]).amount
    return f"hold back {amount or 'a part'}{held_back_words(use, recipe)}"


def held_back_words(use: Use, recipe: ResolvedRecipe) -> str:
    """Return ' for "Mash the potatoes"': the steps that use a held-back portion."""
    later = [item.step for item in recipe.uses if item.line == use.line and item.from_held_back]
    names = [step.name for step in recipe.recipe.steps if step.id in later]
    return f' for "{join_words(names)}"' if names else ""


def _alternate(other: ResolvedLine) -> str:
    metric, household = measures(other.measured, other)
    row = IngredientRow(item=other.line.item, metric=metric, household=household)
    return f"{row.amount} {row.item}".strip()
