"""
The written recipe for the blog: everything in the order in which a reader needs it.

A publication comes in, one view for each recipe goes out; the template only lays it out.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from shootplan.model.care import RecipeCare
from shootplan.model.costing import AlternateCost
from shootplan.model.money import Money
from shootplan.model.recipe import Recipe, RecipeKind, Step
from shootplan.model.resolved import ResolvedRecipe
from shootplan.model.show import amount_text, fraction_text, join_words, unit_text
from shootplan.records import dataclass
from shootplan.render.basis import Basis
from shootplan.render.care_text import part_texts, portions_text
from shootplan.render.views_amounts import IngredientGroup, IngredientRow, ingredient_groups, optional_rows
from shootplan.render.views_costing import CostingView, costing_view, price_line
from shootplan.render.views_notes import NoteView, notes_of
from shootplan.render.views_servings import Servings, servings_view
from shootplan.render.views_times import ahead_text, blog_times, step_limits, step_time, when_text

__all__ = ["AllergenView", "BlogView", "MethodRow", "blog_view", "counted", "keeps_of", "serves_text", "tools_of"]


#: The sizes behind each measure system, as rule A1 asks; a test compares them with the unit file.
_MEASURES = {
    "US customary": "US customary (cup 236.6 ml, tablespoon 14.8 ml, teaspoon 4.9 ml)",
    "US label": "US label (cup 240 ml, tablespoon 15 ml, teaspoon 5 ml)",
    "metric": "metric (cup 250 ml, tablespoon 15 ml, teaspoon 5 ml)",
    "Australian": "Australian (cup 250 ml, tablespoon 20 ml, teaspoon 5 ml)",
    "dl": "decilitre (dl 100 ml, tablespoon 15 ml, teaspoon 5 ml)",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class MethodRow:
    """One step: minutes and cue both; ``text`` is CommonMark."""

    id: str
    number: int
    name: str
    text: str
    time: str
    until: str
    when: str
    is_optional: bool
    limits: tuple[str, ...]
    caution: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AllergenView:
    """Allergens: what the author states first, then a sentence for the core, each option and each alternate."""

    stated: str
    parts: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CostTotal:
    """The foot of the cost table: the whole recipe and a serving, as printed; ``small`` may be empty."""

    label: str
    whole: str
    serving: str
    small: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BlogView:
    """The page of one recipe; every string is ready, prose is CommonMark."""

    id: str
    title: str
    headnote: str
    price_line: str
    disclosure: str
    video: str
    times_line: str
    ahead: tuple[str, ...]
    unknown: str
    serves: str
    measures: str
    groups: tuple[IngredientGroup, ...]
    servings: Servings | None
    options: tuple[IngredientRow, ...]
    method: tuple[MethodRow, ...]
    serve: str
    keep: str
    keeps: tuple[tuple[str, str], ...]
    notes: str
    allergens: AllergenView
    portions: str
    cautions: tuple[NoteView, ...]
    costing: CostingView
    cost_totals: tuple[CostTotal, ...]
    cost_note: str
    tools: str
    alternates: tuple[str, ...]
    flags: tuple[str, ...]
    leftovers: tuple[str, ...]
    corrections: tuple[tuple[str, str], ...]


def blog_view(basis: Basis, recipe_id: str) -> BlogView:
    """Return the page of one recipe."""
    resolved = basis.publication.resolved.recipe(recipe_id)
    if resolved is None:
        raise KeyError(recipe_id)
    recipe, filled = resolved.recipe, basis.filled(recipe_id)
    care = next((item for item in basis.publication.care if item.recipe == recipe_id), None)
    times = basis.publication.times.recipe(recipe_id)
    groups, options = ingredient_groups(resolved), optional_rows(resolved)
    return BlogView(
        id=recipe_id,
        title=recipe.title,
        headnote=filled.headnote.printed,
        price_line=price_line(basis, recipe_id),
        disclosure=next((item.value for item in basis.episode.attributes if item.key == "disclosure"), ""),
        video=basis.episode.video,
        times_line=blog_times(times) if times is not None else "",
        ahead=tuple(ahead_text(work) for work in times.ahead) if times is not None else (),
        unknown=join_words(_names(resolved, times.unknown)) if times is not None else "",
        serves=serves_text(resolved),
        measures=_MEASURES.get(resolved.measures, resolved.measures),
        groups=groups,
        servings=servings_view(resolved, groups, options),
        options=options,
        method=_method(basis, resolved),
        serve=filled.serve.printed,
        keep=filled.keep.printed,
        keeps=keeps_of(resolved),
        notes=filled.notes.printed,
        allergens=_allergens(resolved, care),
        portions=portions_text(care.portions) if care is not None else "",
        cautions=tuple(replace(note, about="") for note in notes_of(basis, recipe_id)),
        costing=costing_view(basis, recipe_id),
        cost_totals=tuple(_cost_totals(basis, recipe_id)),
        cost_note=_cost_note(basis, recipe_id),
        tools=join_words(tools_of(recipe)),
        alternates=tuple(_alternate(basis, item) for item in basis.cost(recipe_id).alternates),
        flags=resolved.flags,
        leftovers=_leftovers(resolved),
        corrections=tuple((item.on.isoformat(), item.text) for item in basis.episode.corrections),
    )


def _names(resolved: ResolvedRecipe, steps: tuple[str, ...]) -> list[str]:
    names = {step.id: step.name for step in resolved.recipe.steps}
    return [names.get(step, step) for step in steps]


def serves_text(resolved: ResolvedRecipe) -> str:
    """Return "Serves 4 hearty or 6 small", "Makes 16 buns", "Makes 250 g pickled onion"."""
    recipe = resolved.recipe
    if recipe.kind is RecipeKind.SUB_PREPARATION and recipe.makes is not None:
        return f"Makes {amount_text(recipe.makes)} {recipe.makes_name}".rstrip()
    serves, scale = recipe.serves, recipe.scale
    hearty = fraction_text(serves.hearty * scale)
    if serves.small is None or serves.small == serves.hearty:
        return f"Serves {hearty}" if serves.noun == "servings" else f"Makes {hearty} {serves.noun}"
    return f"Serves {hearty} hearty or {fraction_text(serves.small * scale)} small"


def _method(basis: Basis, resolved: ResolvedRecipe) -> tuple[MethodRow, ...]:
    texts = {step.id: step.text.printed for step in basis.filled(resolved.id).steps}
    titles = {item.id: item.recipe.title for item in basis.recipes}
    return tuple(
        _method_row(step, texts.get(step.id, step.text), step_limits(step, resolved.recipe, titles))
        for step in resolved.recipe.steps
    )


def _method_row(step: Step, text: str, limits: tuple[str, ...]) -> MethodRow:
    core = f"core {step.core_temperature_c} °C" if step.core_temperature_c is not None else ""
    until = step.until if not core or core in step.until else join_words([step.until, core])
    return MethodRow(
        id=step.id,
        number=step.number,
        name=step.name,
        text=text,
        time=step_time(step),
        until=until,
        when=when_text(step),
        is_optional=step.is_optional,
        limits=limits,
        caution=step.caution,
    )


def keeps_of(resolved: ResolvedRecipe) -> tuple[tuple[str, str], ...]:
    """Return (what, how long) of the printed fields on keeping, of groups and of steps done ahead."""
    recipe = resolved.recipe
    fields = [(key.capitalize(), recipe.attribute(key)) for key in ("keeps", "storage", "reheats")]
    fields += [(group.title, f"keeps {group.keeps}") for group in recipe.groups if group.keeps]
    for step in recipe.steps:
        place = f", {step.ahead_place}" if step.ahead_place else ""
        if step.keeps:
            fields.append((step.makes or step.name, f"keeps {step.keeps}{place}"))
    return tuple((what, text) for what, text in fields if text)


def tools_of(recipe: Recipe) -> tuple[str, ...]:
    """Return what the method needs besides food, each once, in order of use, the most of it in one step."""
    most: dict[str, int] = {}
    for step in recipe.steps:
        heated = (step.heats,) if step.heats is not None else ()
        for item in (*step.uses, *step.holds, *heated):
            most[item.kind] = max(item.count, most.get(item.kind, 0))
    return tuple(counted(name, count) for name, count in most.items())


def counted(name: str, count: int) -> str:
    """Return "board" for one, "6 bowls" for several."""
    return f"{count} {unit_text(name, Fraction(count))}" if count > 1 else name


def _allergens(resolved: ResolvedRecipe, care: RecipeCare | None) -> AllergenView:
    parts = part_texts(care) if care is not None else ()
    return AllergenView(stated=resolved.recipe.attribute("allergens"), parts=parts)


def _cost_totals(basis: Basis, recipe_id: str) -> Iterator[CostTotal]:
    """Yield the totals of the cost table: without options, and with all of them where there are any."""
    cost = basis.cost(recipe_id)
    sums = [("Without options", cost.core, cost.core_per)]
    if any(line.is_optional for line in cost.lines):
        sums.append(("With all options", cost.with_options, cost.with_options_per))
    for label, total, per in sums:
        small = basis.price(per.per_small, cost) if per.per_small is not None else ""
        yield CostTotal(
            label=label, whole=basis.price(total, cost), serving=basis.price(per.per_hearty, cost), small=small
        )


def _cost_note(basis: Basis, recipe_id: str) -> str:
    """Say whether the lines as printed add up to the whole as printed, and why not where they do not."""
    cost, places = basis.cost(recipe_id), basis.printer.places
    lines = [line.cost for line in cost.lines if line.cost is not None and not line.is_optional]
    added = sum((line.rounded(places).amount for line in lines), Decimal(0))
    if cost.staples_flat is not None:
        added += cost.staples_flat.rounded(places).amount
    how = "A serving is the exact cost of the whole, divided and rounded once."
    if added == cost.core.rounded(places).amount:
        return f"The lines without options add up to the whole recipe as printed. {how}"
    shown = basis.printer.shown(Money(added, basis.printer.currency))
    return f"Each line is rounded for reading, so the lines add up to {shown}; the whole is rounded once. {how}"


def _alternate(basis: Basis, item: AlternateCost) -> str:
    base, other = item.base.line.item, item.alternate.line.item
    amount = amount_text(item.alternate.line.amount) + " " if item.alternate.line.amount is not None else ""
    change = f"{basis.printer.change(item.per_serving_delta)} a serving"
    words = [f"{amount}{other} instead of {base}: {change}"]
    words += [f"adds {join_words(item.allergens_added)}"] if item.allergens_added else []
    words += [f"takes away {join_words(item.allergens_removed)}"] if item.allergens_removed else []
    return "; ".join(words)


def _leftovers(resolved: ResolvedRecipe) -> tuple[str, ...]:
    return tuple(
        f"{amount_text(product.leftover)} of the {product.name[:1].lower()}{product.name[1:]} is left over"
        for product in resolved.products
        if product.leftover is not None and product.leftover.high
    )
