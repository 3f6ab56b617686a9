"""
One recipe file: front matter, title, headnote, ingredients, method and the sections that are printed as written.

The file's text comes in, a ``Recipe`` and problems go out. Names stay names; nothing is looked up, converted or
scaled.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from pathlib import PurePosixPath

from shootplan.model.quantity import Amount
from shootplan.model.recipe import Recipe, RecipeKind, Serves, Step, When
from shootplan.problems import Problem
from shootplan.read.amounts import read_amount
from shootplan.read.front_matter import Entry, Settings, read_front_matter, read_settings
from shootplan.read.lines import read_ingredients, read_whole_amount
from shootplan.read.markdown import parse_page
from shootplan.read.passage import Log, slug
from shootplan.read.sections import Outline, split_sections
from shootplan.read.steps import read_steps
from shootplan.read.structure import check_recipe
from shootplan.read.text import clean_text
from shootplan.read.values import Wrong, choice, quoted, read_number
from shootplan.records import dataclass

__all__ = ["MEASURES", "RecipeFile", "read_recipe", "read_recipe_file"]

SECTIONS = ("Ingredients", "Method", "Serve", "Keep", "Notes")
#: Front-matter fields that are printed as written.
PRINTED = ("keeps", "diet", "allergens", "storage", "freezes", "reheats", "course", "tags", "tested", "source", "level")
_SYSTEMS = ("US customary", "US label", "metric", "Australian", "dl")
#: The measure systems by the words that name them.
MEASURES = {name: name for name in _SYSTEMS}
#: Recipe files whose reading a running process keeps.
_FILES_KEPT = 32


@dataclass(frozen=True, slots=True)
class RecipeFile:
    """A recipe and the line of its budget, which the episode turns into a claim."""

    recipe: Recipe
    budget: Entry | None = None


def read_recipe(path: str, text: str, *, decimal_comma: bool = False) -> tuple[Recipe | None, tuple[Problem, ...]]:
    """
    Return the recipe in ``text``, and every problem found in it.

    Parameters
    ----------
    path
        The file as the user typed it; its stem becomes the recipe's id.
    text
        The file's text.
    decimal_comma
        Whether "1,5" is one and a half in amounts.

    Returns
    -------
    tuple
        The recipe without what could not be read, ``None`` only if the file is too large; problems by place.
    """
    log = Log()
    found = read_recipe_file(path, text, log, decimal_comma=decimal_comma)
    return (found.recipe if found is not None else None), log.in_order()


def read_recipe_file(path: str, text: str, log: Log, *, decimal_comma: bool = False) -> RecipeFile | None:
    """Return what ``read_recipe`` returns, with the budget's place; problems go into ``log``."""
    found, problems = _read_once(path, text, decimal_comma)
    log.problems.extend(problems)
    return found


@lru_cache(maxsize=_FILES_KEPT)
def _read_once(path: str, text: str, decimal_comma: bool) -> tuple[RecipeFile | None, tuple[Problem, ...]]:
    """Read a file, or give what was read of the same text before: a board builds on every save of one of many files."""
    log = Log()
    found = _read(path, text, log, decimal_comma)
    return found, tuple(log.problems)


def _read(path: str, text: str, log: Log, decimal_comma: bool) -> RecipeFile | None:
    cleaned = clean_text(path, text, log)
    if cleaned is None:
        return None
    front = read_front_matter(path, cleaned, log)
    settings = read_settings(front, _readers(decimal_comma), PRINTED, log)
    page = parse_page(path, cleaned, first_line_idx=front.body_idx)
    outline = split_sections(page, SECTIONS, log, body_idx=front.body_idx)
    recipe = _with_method(_head(path, settings, outline, log), outline, log, decimal_comma)
    check_recipe(recipe, log)
    return RecipeFile(recipe, next((entry for entry in front.entries if entry.key == "budget"), None))


def _head(path: str, settings: Settings, outline: Outline, log: Log) -> Recipe:
    values = settings.values
    stem = PurePosixPath(path).stem
    kind = values.get("kind", RecipeKind.DISH)
    makes, makes_name = values.get("makes", (None, ""))
    if kind is RecipeKind.SUB_PREPARATION and makes is None and "makes" not in settings.spans:
        hint = 'write "makes:" with the amount of a batch, as in "makes: 250 g pickled onion"'
        log.fault(settings.spans["kind"], "makes-missing", "a sub-preparation does not say how much it makes", hint)
    if kind is RecipeKind.DISH and "serves" not in settings.spans:
        hint = 'write "serves: 4" between the "---" lines at the top of the file'
        log.fault(outline.span, "serves-missing", "the recipe does not say how many it serves", hint)
    return Recipe(
        id=slug(stem),
        title=" ".join(outline.title.text.split()) if outline.title is not None else stem,
        serves=values.get("serves", Serves(1)),
        kind=kind,
        makes=makes,
        makes_name=makes_name,
        portion=values.get("portion"),
        measures=values.get("measures", ""),
        scale=values.get("scale", Fraction(1)),
        budget=values.get("budget", ""),
        headnote=outline.headnote,
        serve=outline.source("serve"),
        keep=outline.source("keep"),
        notes=outline.source("notes"),
        attributes=settings.attributes,
        path=path,
        span=outline.span,
    )


def _with_method(recipe: Recipe, outline: Outline, log: Log, decimal_comma: bool) -> Recipe:
    section = outline.sections.get("ingredients")
    if section is not None:
        lines, groups = read_ingredients(section, log, decimal_comma=decimal_comma)
        recipe = replace(recipe, lines=lines, groups=groups)
    steps = read_steps(outline.items("method", log), log, decimal_comma=decimal_comma)
    return replace(recipe, steps=_with_serving(steps))


def _with_serving(steps: tuple[Step, ...]) -> tuple[Step, ...]:
    """Mark the last step that is neither optional nor ahead as the serve step, where the author marked none."""
    if any(step.is_serving for step in steps):
        return steps
    fits = [at for at, step in enumerate(steps) if not step.is_optional and step.when is not When.AHEAD]
    return tuple(replace(step, is_serving=True) if fits and at == fits[-1] else step for at, step in enumerate(steps))


# ---------------------------------------------------------------------------------------------------- front matter


def _readers(decimal_comma: bool) -> Mapping[str, Callable[[str], object]]:
    def amount(text: str) -> Amount | Wrong:
        return read_whole_amount(text, decimal_comma=decimal_comma)

    def batch(text: str) -> tuple[Amount, str] | Wrong:
        return _batch(text, decimal_comma)

    return {
        "serves": _serves,
        "measures": choice(MEASURES),
        "kind": choice({kind.value: kind for kind in RecipeKind}),
        "makes": batch,
        "portion": amount,
        "budget": str,
        "scale": read_number,
    }


def _serves(text: str) -> Serves | Wrong:
    """Read "4", "4 large or 6 small", "16 buns"."""
    match = re.fullmatch(r"([0-9]{1,4})(?:\s+(?:large|hearty))?\s+or\s+([0-9]{1,4})\s+small", text, re.I)
    sizes = match is not None
    match = match or re.fullmatch(r"([0-9]{1,4})(?:\s+([^\W\d_][\w -]{0,40}))?", text)
    if match is None or int(match[1]) == 0 or (sizes and int(match[2]) < int(match[1])):
        hint = 'write "4", "4 large or 6 small" or "16 buns"'
        return Wrong("serves-bad", f"{quoted(text)} is not a number of servings", hint)
    if sizes:
        return Serves(int(match[1]), int(match[2]))
    return Serves(int(match[1]), noun=match[2] or "servings")


def _batch(text: str, decimal_comma: bool) -> tuple[Amount, str] | Wrong:
    match = read_amount(text, decimal_comma=decimal_comma)
    if match is None:
        return Wrong(
            "amount-bad", f"{quoted(text)} does not begin with an amount", 'write for example "250 g pickled onion"'
        )
    return match.amount, match.rest.strip()
