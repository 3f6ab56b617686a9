"""
What must be minded with each dish: allergens of the core, of options and alternates; hazards; vegetable portions.

Resolved recipes come in; notes with their publishers and findings go out. The program reminds and certifies nothing:
only the label decides, and local rules override.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from math import floor

from shootplan.cost.recipes import group_of, is_optional_line, servings_of
from shootplan.larder import allergens_of_all, edible_yield, grams, hazards, identify, identify_line
from shootplan.model.care import AllergenPart, Portions, RecipeCare
from shootplan.model.larder import Hazard, Identity, Rung
from shootplan.model.quantity import COUNT, MASS, Amount
from shootplan.model.resolved import ResolvedEpisode, ResolvedLine, ResolvedRecipe
from shootplan.problems import Finding

__all__ = ["care_findings", "care_of"]

#: WHO, Healthy diet fact sheet (five portions are 400 g); NHS, 5 A Day portion sizes (both from memory).
PORTION_G = Fraction(80)
PORTION_SOURCE = "80 g a portion: WHO healthy diet fact sheet; UK NHS 5 A Day; both from memory"
_PLANTS = frozenset({"vegetable", "leafy", "fruit", "tomato"})
_PULSES = frozenset({"pulse"})
#: Starchy roots and fruits that do not count (WHO: "not potatoes, sweet potatoes, cassava and other starchy roots").
_STARCHY = ("potato", "cassava", "taro", "plantain", "yam")
_SEASONING = ("garlic", "ginger", "chilli", "lemon", "lime")


def care_of(resolved: ResolvedEpisode) -> tuple[RecipeCare, ...]:
    """Return what must be minded, recipe by recipe in screen order."""
    return tuple(_care(resolved, recipe) for recipe in resolved.recipes)


def care_findings(resolved: ResolvedEpisode, cares: Iterable[RecipeCare]) -> tuple[Finding, ...]:
    """Return each hazard as a caution that names its publisher."""
    found = []
    for care in cares:
        recipe = resolved.recipe(care.recipe)
        about = recipe.recipe.title if recipe is not None else care.recipe
        for hazard in care.hazards:
            who = "" if hazard.audience in ("", "everyone") else f" (concerns: {hazard.audience.replace(';', ', ')})"
            source = f"{hazard.source}, from memory" if hazard.is_from_memory else hazard.source
            message = f"{hazard.title}: {hazard.rule}{who}"
            found.append(Finding(code="food-hazard", message=message, about=about, source=source))
    return tuple(found)


def _care(resolved: ResolvedEpisode, recipe: ResolvedRecipe) -> RecipeCare:
    core = [line for line in recipe.lines if not is_optional_line(recipe, line)]
    return RecipeCare(
        recipe=recipe.id,
        core=_part("", _opened(resolved, core)),
        options=_options(resolved, recipe),
        alternates=tuple(
            _part(f"{other.line.item} instead of {line.line.item}", _opened(resolved, [other]))
            for line in recipe.lines
            for other in line.alternates
        ),
        hazards=_hazards(recipe),
        portions=_portions(recipe, core),
    )


# ------------------------------------------------------------------------------------------------ allergens


def _opened(resolved: ResolvedEpisode, lines: Iterable[ResolvedLine]) -> list[ResolvedLine]:
    """Return lines with those of each sub-preparation behind the line that uses it, at any depth."""
    found: list[ResolvedLine] = []
    waiting, seen = list(lines), set[str]()
    while waiting:
        line = waiting.pop(0)
        found.append(line)
        batch = resolved.recipe(line.sub_recipe) if line.sub_recipe and line.sub_recipe not in seen else None
        if batch is not None:
            seen.add(batch.id)
            waiting[:0] = batch.lines
    return found


def _options(resolved: ResolvedEpisode, recipe: ResolvedRecipe) -> tuple[AllergenPart, ...]:
    """Return each option alone: a line, or all lines of an optional sub-preparation."""
    parts: dict[str, list[ResolvedLine]] = {}
    for line in recipe.lines:
        if is_optional_line(recipe, line):
            group = group_of(recipe, line)
            parts.setdefault(group.title if group is not None else line.line.item, []).append(line)
    return tuple(_part(name, _opened(resolved, lines)) for name, lines in parts.items())


def _part(name: str, lines: list[ResolvedLine]) -> AllergenPart:
    texts = [f"{line.line.item} {line.line.form}".strip() for line in lines]
    stated = [word for line in lines if line.price is not None for word in _stated(line.price.allergens)]
    return AllergenPart(
        name=name,
        notes=allergens_of_all(texts),
        stated=tuple(dict.fromkeys(stated)),
        not_assessed=tuple(dict.fromkeys(line.line.item for line in lines if _is_unknown(line))),
    )


def _stated(text: str) -> list[str]:
    return [word.strip() for word in text.replace(";", ",").split(",") if word.strip()]


def _is_unknown(line: ResolvedLine) -> bool:
    """Return whether nothing is known of an ingredient: no food, no allergen word, nothing in the price book."""
    if line.is_free or line.sub_recipe or (line.price is not None and line.price.allergens):
        return False
    text = f"{line.line.item} {line.line.form}"
    return not allergens_of_all([text]) and not identify(line.line.item).matched


def _food(line: ResolvedLine) -> Identity:
    """Return which food a line is."""
    source = line.line
    counted_in = source.amount.unit if source.amount is not None else ""
    return identify_line(f"{source.second_size or source.size} {source.item}".strip(), counted_in=counted_in)


# ------------------------------------------------------------------------------------------------ hazards


def _hazards(recipe: ResolvedRecipe) -> tuple[Hazard, ...]:
    lines = [f"{line.line.item}, {line.line.form}" for line in recipe.lines]
    lines += [other.line.item for line in recipe.lines for other in line.alternates]
    made = recipe.recipe
    texts = [made.title, made.makes_name, *(group.title for group in made.groups)]
    return hazards(lines, [*filter(None, texts), *(f"{step.name}. {step.text}" for step in made.steps)])


# ------------------------------------------------------------------------------------------------ portions


def _portions(recipe: ResolvedRecipe, lines: list[ResolvedLine]) -> Portions | None:
    """Return the portions in a hearty serving of the core, or ``None`` where nothing that counts is in it."""
    eaten: dict[str, Fraction] = {}
    pulses, unknown = Fraction(0), []
    for line in lines:
        food = _food(line)
        if not _counts(food):
            continue
        mass = _eaten_g(line, food)
        if mass is None:
            unknown.append(line.line.item)
        elif food.category in _PULSES:
            pulses += mass / servings_of(recipe)
            eaten[line.line.item] = Fraction(0)
        else:
            eaten[line.line.item] = eaten.get(line.line.item, Fraction(0)) + mass / servings_of(recipe)
    total = sum(eaten.values(), Fraction(0)) + min(pulses, PORTION_G)
    if not total:
        return None
    return Portions(
        portions=Fraction(floor(2 * total / PORTION_G), 2),
        grams=total,
        counted=tuple(eaten),
        unknown=tuple(dict.fromkeys(unknown)),
        source=PORTION_SOURCE,
    )


def _counts(food: Identity) -> bool:
    """Return whether a food counts: a vegetable, fruit or pulse that is eaten as such, not dry, no starchy root."""
    name = food.food.split(",")[0]
    is_plant = food.category in _PLANTS or food.category in _PULSES
    return is_plant and food.state != "dry" and not any(word in name for word in (*_STARCHY, *_SEASONING))


def _eaten_g(line: ResolvedLine, food: Identity) -> Fraction | None:
    """Return grams eaten: a tin drained, things as bought less what trimming takes.

    ``None`` where the weight is unknown, or a raw thing is weighed whole and nobody says what trimming leaves of it.
    """
    source = line.line
    if source.drained is not None and source.amount is not None and source.amount.dimension == COUNT:
        return _in_grams(source.drained.scaled(source.amount.high)) if source.drained.dimension == MASS else None
    weighed = [a for a in (line.measured.metric, line.measured.household) if a is not None and a.dimension == MASS]
    if weighed:
        usable = _usable_percent(line, food)
        return _in_grams(weighed[0]) * usable / 100 if usable is not None else None
    counted = line.measured.household
    if counted is None or counted.dimension != COUNT:
        return None
    figure = grams(food, counted.unit)
    return counted.low * figure.value if figure.value is not None and figure.rung is Rung.EXACT else None


def _usable_percent(line: ResolvedLine, food: Identity) -> Fraction | None:
    """Return what is left after trimming, in percent: the author's, the price book's, the table's, else unknown."""
    if food.state != "raw" or line.line.is_prepared:
        return Fraction(100)
    if line.line.yield_percent is not None:
        return line.line.yield_percent
    if line.price is not None and line.price.yield_percent is not None:
        return line.price.yield_percent
    return edible_yield(food).value


def _in_grams(amount: Amount) -> Fraction:
    factors = {"g": Fraction(1), "kg": Fraction(1000), "mg": Fraction(1, 1000)}
    imperial = {"oz": Fraction("28.349523125"), "lb": Fraction("453.59237")}  # NIST Handbook 44, Appendix C
    return amount.low * (factors | imperial)[amount.unit]
