"""
Other servings in the page: every amount of every demo recipe, 1 to 12, is the program's own, letter by letter.

The program's figures come from resolving the same recipe scaled, with the rules of ``model.rounding``; those are held
against published sizes in ``tests/unit/test_rounding.py`` and ``tests/external``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from test_pages import opened

from shootplan.app import DiskFiles
from shootplan.model.publication import Publication
from shootplan.model.recipe import Recipe
from shootplan.model.resolved import ResolvedRecipe
from shootplan.read import read_episode
from shootplan.render.views_amounts import IngredientRow, ingredient_groups, optional_rows
from shootplan.resolve import resolve_episode

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

#: What the page shows: the cells of each line, the notes, the alternates, the amounts of groups and steps.
_SHOWN = """() => ({
  rows: [...document.querySelectorAll('table.lines tbody tr')].map(
    row => [...row.children].map(cell => cell.textContent)),
  plain: [...document.querySelectorAll('[data-plain]')].map(place => place.textContent),
  parts: [...document.querySelectorAll('[data-part]')].map(place => place.textContent),
})"""


def _scaled(publication: Publication, count: int) -> dict[str, ResolvedRecipe]:
    """Return every recipe as the program resolves it for so many servings, from its files."""
    episode, _ = read_episode(publication.resolved.episode.folder, DiskFiles())
    assert episode is not None

    def scaled(recipe: Recipe) -> Recipe:
        return replace(recipe, scale=Fraction(count, recipe.serves.hearty))

    recipes = tuple(scaled(recipe) for recipe in episode.recipes)
    resolved, _ = resolve_episode(replace(episode, recipes=recipes))
    return {item.id: item for item in resolved.recipes}


def _row(row: IngredientRow) -> list[str]:
    note = f", {row.note}" if row.note else ""
    return [
        row.metric or "–",
        row.household or "–",
        row.item + note + "".join(f"or {other}" for other in row.alternates),
    ]


def _ask(page: Page, count: int) -> dict[str, list[list[str]]]:
    page.fill("#servings", str(count))
    shown: dict[str, list[list[str]]] = page.evaluate(_SHOWN)
    return shown


def test_amounts_are_those_of_the_program(
    browser: Browser, demo_documents: Mapping[str, str], demo_publication: Publication, tmp_path: Path
) -> None:
    """Both measures, notes, held-back portions, batches and alternates, for 1 to 12 servings."""
    told = {count: _scaled(demo_publication, count) for count in range(1, 13)}
    for recipe in demo_publication.resolved.recipes:
        path = tmp_path / f"{recipe.id}.html"
        path.write_text(demo_documents[f"blog/{recipe.id}.html"], encoding="utf-8")
        with opened(browser, path) as (page, noise):
            as_built = page.evaluate(_SHOWN)
            for count, scaled in told.items():
                ours = scaled[recipe.id]
                groups = ingredient_groups(ours)
                rows = [row for group in groups for row in group.rows] + list(optional_rows(ours))
                shown = _ask(page, count)
                assert shown["rows"] == [_row(row) for row in rows], (recipe.id, count)
                assert shown["plain"] == [group.makes for group in groups if group.makes], (recipe.id, count)
            made = recipe.recipe.serves.hearty
            assert _ask(page, made) == as_built
            assert noise == []


def test_parts_in_the_method_follow(
    browser: Browser, demo_documents: Mapping[str, str], demo_publication: Publication, tmp_path: Path
) -> None:
    """The amounts in the text of a step are those that the program writes for the scaled recipe."""
    from shootplan.facts.mentions import plain_instruction

    found = 0
    for recipe in demo_publication.resolved.recipes:
        path = tmp_path / f"{recipe.id}.html"
        path.write_text(demo_documents[f"blog/{recipe.id}.html"], encoding="utf-8")
        with opened(browser, path) as (page, _):
            for count in (1, 3, 7, 12):
                ours = _scaled(demo_publication, count)[recipe.id]
                page.fill("#servings", str(count))
                for step in ours.recipe.steps:
                    if page.locator(f"#step-{step.number} [data-part]").count():
                        text = page.locator(f"#step-{step.number} h3 + p").inner_text()
                        assert " ".join(text.split()) == " ".join(plain_instruction(step, ours).split()), (
                            step.id,
                            count,
                        )
                        found += 1
    assert found or demo_publication.resolved.episode.id == "six-lunches"


def test_the_tool_is_there_only_where_it_works(
    browser: Browser, demo_documents: Mapping[str, str], tmp_path: Path
) -> None:
    """Without JavaScript the page reads the same and shows no dead control; with it, keys and buttons work."""
    name = next(
        path for path in sorted(demo_documents) if path.startswith("blog/") and "amounts" in demo_documents[path]
    )
    path = tmp_path / "page.html"
    path.write_text(demo_documents[name], encoding="utf-8")
    with opened(browser, path, java_script_enabled=False) as (page, _):
        assert page.locator("#servings-tool").is_hidden()
        assert page.locator("table.lines td").first.inner_text() != ""
    with opened(browser, path) as (page, noise):
        made = int(page.input_value("#servings"))
        page.click("#more")
        assert int(page.input_value("#servings")) == made + 1
        assert f"are for {made}" in page.locator("#servings-note").inner_text()
        page.click("#fewer")
        assert page.locator("#servings-note").inner_text() == ""
        for nonsense in ("", "0", "1.5", "1000"):
            before = page.evaluate(_SHOWN)
            page.fill("#servings", nonsense)
            assert page.evaluate(_SHOWN) == before
        assert noise == []
