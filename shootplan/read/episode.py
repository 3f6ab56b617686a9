"""
An episode's folder: ``episode.md`` and the recipes, price list and kitchen that it names.

Files come in through ``Files``, one ``Episode`` and the problems of all files go out. A file that is missing or
broken does not keep the others from being read.
"""

from __future__ import annotations

import posixpath
import re
from dataclasses import field, replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

from shootplan.model.clock import Range
from shootplan.model.episode import (
    Claim,
    ClaimScope,
    Episode,
    Kitchen,
    PriceBook,
    ShootDay,
    StaplesPolicy,
)
from shootplan.model.recipe import Recipe, RecipeKind, Step
from shootplan.problems import Problem, Span, did_you_mean
from shootplan.read.claims import ClaimReader, KnownRecipes, read_corrections, read_together
from shootplan.read.episode_settings import MODEL_NAMES, PRINTED, SETTINGS, has_decimal_comma
from shootplan.read.files import Files
from shootplan.read.front_matter import Entry, FrontMatter, Settings, read_front_matter, read_settings
from shootplan.read.kitchen import read_kitchen
from shootplan.read.markdown import Item, parse_page
from shootplan.read.passage import Log, Passage
from shootplan.read.paths import join, read_path
from shootplan.read.prices import read_prices
from shootplan.read.recipe import RecipeFile, read_recipe_file
from shootplan.read.sections import Outline, split_sections
from shootplan.read.shoot_days import read_shoot_days
from shootplan.read.steps import read_rows
from shootplan.read.structure import check_episode_links
from shootplan.read.swap_outs import read_swap_outs
from shootplan.read.text import MAX_RECIPES, clean_text
from shootplan.read.values import (
    Wrong,
    quoted,
)
from shootplan.records import dataclass

__all__ = ["read_episode"]

SECTIONS = ("Opening", "Recipes", "Between", "Closing", "Claims", "Together", "Corrections")
#: The blog keeps this name for its own first page.
_TAKEN = "index"
_LINK = re.compile(r"^\[(?P<title>(?:[^\[\]\\]|\\.)*)\]\((?P<path>[^()\s]+)\)(?P<rest>.*)$", re.S)


def read_episode(folder: str, files: Files) -> tuple[Episode | None, tuple[Problem, ...]]:
    """
    Return the episode in ``folder``, and every problem of all its files.

    Parameters
    ----------
    folder
        The episode's folder as the user typed it.
    files
        Gives the text of each file.

    Returns
    -------
    tuple
        The episode without what could not be read; ``None`` if ``episode.md`` cannot be read or names no date, no
        currency or no recipe that can be read. Problems by path, line and column.
    """
    log = Log()
    path = join(folder, "episode.md")
    text = _Shelf(files, log).text(path, Span(path))
    cleaned = clean_text(path, text, log) if text is not None else None
    episode = None if cleaned is None else _Reader(folder, path, cleaned, _Shelf(files, log), log).episode()
    return episode, log.in_order()


@dataclass(slots=True)
class _Shelf:
    """Fetches files and turns what goes wrong into problems at the place that named the file."""

    files: Files
    log: Log

    def text(self, path: str, named_at: Span) -> str | None:
        try:
            return self.files.text(path)
        except FileNotFoundError:
            self.log.fault(named_at, "file-missing", f'there is no file "{path}"', self._near(path))
        except UnicodeDecodeError as error:
            message = f'"{path}" is not UTF-8 text (byte {error.start})'
            self.log.fault(named_at, "file-unreadable", message, "save the file as UTF-8")
        except (OSError, ValueError) as error:
            self.log.fault(
                named_at, "file-unreadable", f'"{path}" cannot be read: {error}', "check the file and its folder"
            )
        return None

    def _near(self, path: str) -> str:
        folder, name = posixpath.split(path)
        return did_you_mean(name[:100], self.files.names(folder)) or f'add the file, or name another than "{name}"'


@dataclass(frozen=True, slots=True)
class _Listed:
    """One entry of the list of recipes: which file, for how many, and where that stands."""

    path: str
    item: Passage
    servings: int | None


@dataclass(slots=True)
class _Reader:
    """Reads one episode; the steps of reading are its methods, in order."""

    folder: str
    path: str
    text: str
    shelf: _Shelf
    log: Log
    front: FrontMatter = field(default_factory=FrontMatter)
    budgets: list[tuple[str, Entry]] = field(default_factory=list)
    all_read: bool = True

    def episode(self) -> Episode | None:
        self.front = read_front_matter(self.path, self.text, self.log)
        settings = read_settings(self.front, SETTINGS, PRINTED, self.log)
        page = parse_page(self.path, self.text, first_line_idx=self.front.body_idx)
        outline = split_sections(page, SECTIONS, self.log, body_idx=self.front.body_idx)
        for key in ("date", "currency"):
            self._require(key, settings)
        recipes = self._recipes(outline, settings)
        kitchen = self._kitchen(settings)
        days = self._days(settings, kitchen)
        prices = self._prices(settings)
        values = self._parts(outline, settings, recipes)
        check_episode_links(recipes, self._known(recipes), self.log)
        _check_positions(
            (*_all_steps(recipes), *values["opening"], *values["between"], *values["closing"]), kitchen, self.log
        )
        if not recipes or "date" not in settings.values or "currency" not in settings.values:
            return None
        return self._assembled(settings, outline, recipes=recipes, kitchen=kitchen, prices=prices, days=days, **values)

    def _require(self, key: str, settings: Settings) -> None:
        if key not in settings.spans:
            example = {"date": "2026-11-17", "currency": "GBP"}[key]
            hint = f'write "{key}: {example}" between the "---" lines at the top'
            self.log.fault(Span(self.path), "key-missing", f'the episode has no "{key}:"', hint)

    # ------------------------------------------------------------------------------------------------ other files

    def _recipes(self, outline: Outline, settings: Settings) -> tuple[Recipe, ...]:
        listed = self._listed(outline)
        self.all_read = bool(listed) and len(listed) == len(outline.sections["recipes"].blocks)
        comma = has_decimal_comma(settings.values.get("locale", "en_GB"))
        found: dict[str, Recipe] = {}
        for entry in listed:
            file = self._recipe_file(entry, decimal_comma=comma)
            if file is None:
                self.all_read = False
                continue
            recipe = self._scaled(file.recipe, entry)
            if recipe.id in found:
                message = f'the recipe "{recipe.id}" is listed twice'
                first = found[recipe.id].span
                self.log.fault(entry.item.span(), "recipe-twice", message, "list it once, or rename one file", first)
                continue
            if recipe.id.casefold() == _TAKEN:
                message = f'a recipe cannot be called "{recipe.id}": its blog page would be the blog\'s first page'
                hint = 'rename the file after the dish, as in "recipes/pea-soup.md"'
                self.log.fault(entry.item.span(), "recipe-name-taken", message, hint)
            found[recipe.id] = recipe
            if file.budget is not None:
                self.budgets.append((recipe.id, file.budget))
        return tuple(found.values())

    def _listed(self, outline: Outline) -> tuple[_Listed, ...]:
        items = outline.items("recipes", self.log)
        if not items:
            section = outline.sections.get("recipes")
            span = section.heading.title.span() if section is not None else outline.span
            hint = 'write "## Recipes" and a list of links: "1. [Title](recipes/name.md)"'
            self.log.fault(span, "recipes-missing", "the episode lists no recipes", hint)
        if len(items) > MAX_RECIPES:
            span = items[MAX_RECIPES].span
            self.log.fault(span, "recipes-too-many", f"more than {MAX_RECIPES} recipes", "split the episode")
        entries = (self._entry(item.text.on_one_line()) for item in items[:MAX_RECIPES])
        return tuple(entry for entry in entries if entry is not None)

    def _entry(self, text: Passage) -> _Listed | None:
        link = _LINK.match(text.text)
        if link is None:
            hint = 'write "[Title](recipes/name.md)", and "for 6" behind it for other servings'
            self.log.fault(text.span(), "link-bad", f"{quoted(text.text)} is not a link to a recipe", hint)
            return None
        path = self._relative(text.part(*link.span("path")))
        servings = self._servings(text.part(*link.span("rest")))
        return None if path is None else _Listed(path, text, servings)

    def _servings(self, rest: Passage) -> int | None:
        if not rest.text:
            return None
        match = re.fullmatch(r",?\s*for\s+([0-9]{1,4})", rest.text, re.I)
        if match is not None and int(match[1]) > 0:
            return int(match[1])
        message = f"{quoted(rest.text)} is not a number of servings"
        self.log.fault(rest.span(), "serves-bad", message, 'write "for 6" behind the link')
        return None

    def _relative(self, text: Passage) -> str | None:
        path = read_path(text.text)
        if isinstance(path, Wrong):
            self.log.fault(text.span(), path.code, path.message, path.hint)
            return None
        return join(self.folder, path)

    def _recipe_file(self, entry: _Listed, *, decimal_comma: bool) -> RecipeFile | None:
        text = self.shelf.text(entry.path, entry.item.span())
        return None if text is None else read_recipe_file(entry.path, text, self.log, decimal_comma=decimal_comma)

    def _scaled(self, recipe: Recipe, entry: _Listed) -> Recipe:
        if entry.servings is None:
            return recipe
        if recipe.kind is RecipeKind.SUB_PREPARATION:
            message = f'"{recipe.id}" is a sub-preparation and has no servings'
            self.log.fault(entry.item.span(), "serves-bad", message, 'use "scale:" in its own file')
            return recipe
        return replace(recipe, scale=Fraction(entry.servings, recipe.serves.hearty))

    def _kitchen(self, settings: Settings) -> Kitchen:
        text, path = self._named("kitchen", "kitchen.toml", settings)
        if text is None:
            return Kitchen()
        kitchen, problems = read_kitchen(path, text)
        self.log.problems.extend(problems)
        return kitchen

    def _days(self, settings: Settings, kitchen: Kitchen) -> tuple[ShootDay, ...]:
        for entry in self.front.entries:
            if entry.key == "days":
                return read_shoot_days(entry.value, kitchen, settings, self.log)
        return ()

    def _prices(self, settings: Settings) -> PriceBook:
        text, path = self._named("prices", "prices.csv", settings)
        if text is None:
            return PriceBook(path=path)
        prices, problems = read_prices(path, text, currency=settings.values.get("currency", "XXX"))
        self.log.problems.extend(problems)
        return prices

    def _named(self, key: str, default: str, settings: Settings) -> tuple[str | None, str]:
        """Return text and path of the file that the front matter names, or of the one beside the episode."""
        if key in settings.spans and key not in settings.values:
            return None, ""
        path = join(self.folder, settings.values.get(key, default))
        return self.shelf.text(path, settings.spans.get(key, Span(self.path))), path

    # ------------------------------------------------------------------------------------------------ parts

    def _parts(self, outline: Outline, settings: Settings, recipes: tuple[Recipe, ...]) -> dict[str, Any]:
        known = self._known(recipes)
        values: dict[str, Any] = {
            name: read_rows(outline.items(name, self.log), self.log) for name in ("opening", "between", "closing")
        }
        values["claims"] = self._claims(outline.items("claims", self.log), settings, known)
        values["together"] = read_together(outline.items("together", self.log), known, self.log)
        values["corrections"] = read_corrections(outline.items("corrections", self.log), self.log)
        values["swap_outs"] = tuple(
            swap
            for entry in self.front.entries
            if entry.key == "swap-outs"
            for swap in read_swap_outs(entry.value, recipes, known, self.log)
        )
        return values

    def _known(self, recipes: tuple[Recipe, ...]) -> KnownRecipes:
        return KnownRecipes(tuple(recipe.id for recipe in recipes), self.all_read)

    def _claims(self, items: tuple[Item, ...], settings: Settings, known: KnownRecipes) -> tuple[Claim, ...]:
        """Return the claims of the list, then what the budgets of episode and recipes claim."""
        also = settings.values.get("also")
        second = also.currency if also is not None else ""
        reader = ClaimReader(settings.values.get("currency", "XXX"), known, self.log, second)
        claims = list(reader.read(items))
        for entry in self.front.entries:
            if entry.key == "budget":
                claims += reader.budget(entry.value, ClaimScope.EVERY)
        for recipe_id, entry in self.budgets:
            claims += reader.budget(entry.value, ClaimScope.RECIPE, recipe_id)
        return tuple(claims)

    def _assembled(self, settings: Settings, outline: Outline, **parts: Any) -> Episode:
        given = settings.values
        length = given.get("length")
        staples, flat = given.get("staples", (StaplesPolicy.COUNT, Decimal(0)))
        id_ = posixpath.basename(posixpath.normpath(self.folder)) if self.folder.strip("./") else "episode"
        plain = {MODEL_NAMES[key]: value for key, value in given.items() if key in MODEL_NAMES}
        return Episode(
            title=" ".join(outline.title.text.split()) if outline.title is not None else id_,
            id=id_,
            length_low_s=length.low_s if isinstance(length, Range) else None,
            length_high_s=length.high_s if isinstance(length, Range) else None,
            staples=staples,
            staples_flat=flat,
            headnote=outline.headnote,
            attributes=settings.attributes,
            folder=self.folder,
            path=self.path,
            span=outline.span,
            **plain,
            **parts,
        )


# ---------------------------------------------------------------------------------------------------- cameras


def _all_steps(recipes: tuple[Recipe, ...]) -> tuple[Step, ...]:
    return tuple(step for recipe in recipes for step in recipe.steps)


def _check_positions(steps: tuple[Step, ...], kitchen: Kitchen, log: Log) -> None:
    """Report shots from a camera position that the kitchen does not list, where it lists any."""
    names = {position.name.casefold(): position.name for position in kitchen.positions}
    for step in steps:
        if names and step.shot is not None and step.shot.set_up.casefold() not in names:
            said = step.shot.set_up
            hint = did_you_mean(said[:80], names.values()) or "positions are " + ", ".join(names.values())
            log.fault(
                step.shot.span, "position-unknown", f"{quoted(said)} is not a camera position of the kitchen", hint
            )
