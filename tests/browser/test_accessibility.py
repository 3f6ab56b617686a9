"""
Every page of every demo by the rules of WCAG 2.2 AA, at phone and desk width, light and dark; its drawings by geometry.

SOURCE: axe-core (``vendor/axe-core/SOURCE.md``), whose rules cite the success criteria.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from test_pages import _SPILL, opened

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

AXE = (Path(__file__).parent / "vendor" / "axe-core" / "axe.min.js").read_text(encoding="utf-8")
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
_RUN = """async tags => (await axe.run(document, {runOnly: {type: 'tag', values: tags}, resultTypes: ['violations']}))
  .violations.map(rule => rule.id + ': '
    + rule.nodes.map(node => node.target + ' ' + node.failureSummary).join(' | '))"""
#: Pairs of texts of one drawing whose boxes overlap by more than a hair.
_OVERLAPS = """() => [...document.querySelectorAll('svg')].flatMap(svg => {
  if (!svg.getBoundingClientRect().width) return [];
  const texts = [...svg.querySelectorAll('text')].map(text => [text.textContent, text.getBoundingClientRect()]);
  return texts.flatMap(([one, a], at) => texts.slice(at + 1).filter(([, b]) =>
    Math.min(a.right, b.right) - Math.max(a.left, b.left) > 1.5 &&
    Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 2.5
  ).map(([other]) => one + ' / ' + other));
})"""
#: Texts of a drawing that reach out of it.
_OUT = """() => [...document.querySelectorAll('svg')].filter(svg => svg.getBoundingClientRect().width).flatMap(svg => {
  const frame = svg.getBoundingClientRect();
  return [...svg.querySelectorAll('text')].filter(text => {
    const box = text.getBoundingClientRect();
    return box.left < frame.left - 2 || box.right > frame.right + 2;
  }).map(text => text.textContent);
})"""
_SCROLLED = """() => [...document.querySelectorAll('*')].filter(item => item.scrollWidth > item.clientWidth + 1 &&
  ['auto', 'scroll'].includes(getComputedStyle(item).overflowX)).map(item => item.className)"""


@pytest.fixture(scope="module")
def pages(demo_documents: Mapping[str, str], tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Return the pages of a demo on disk, by name."""
    folder = tmp_path_factory.mktemp("pages")
    found = {}
    for name, text in demo_documents.items():
        if name.endswith(".html"):
            found[name] = folder / name
            found[name].parent.mkdir(exist_ok=True)
            found[name].write_text(text, encoding="utf-8")
    return found


def _violations(page: Page) -> list[str]:
    page.evaluate(AXE)
    found: list[str] = page.evaluate(_RUN, RULES)
    return found


def test_no_rule_is_broken(browser: Browser, pages: dict[str, Path]) -> None:
    """No violation, nothing in the console, nothing asked for but the page; pages in turn light and dark."""
    for place, (name, path) in enumerate(pages.items()):
        size, scheme = [("desk", "light"), ("phone", "dark")][place % 2]
        with opened(browser, path, size, color_scheme=scheme) as (page, noise):
            assert noise == [], name
            assert _violations(page) == [], name


def test_the_checker_finds_a_planted_fault(browser: Browser, pages: dict[str, Path]) -> None:
    """A picture without words and a text over another are reported: silence means something."""
    with opened(browser, pages["index.html"]) as (page, _):
        page.evaluate("document.querySelector('main').insertAdjacentHTML('beforeend', '<img src=\"data:,\">')")
        page.evaluate("document.querySelector('svg text').after(document.querySelector('svg text').cloneNode(true))")
        assert any(found.startswith("image-alt") for found in _violations(page))
        assert page.evaluate(_OVERLAPS) != []


@pytest.mark.parametrize("size", ["phone", "desk"])
def test_texts_in_drawings_do_not_overlap(browser: Browser, pages: dict[str, Path], size: str) -> None:
    """By the boxes that the browser gives: no text over another, none out of its drawing."""
    for name, path in pages.items():
        with opened(browser, path, size) as (page, _):
            assert page.evaluate(_OVERLAPS) == [], name
            assert page.evaluate(_OUT) == [], name


def test_the_day_is_read_on_a_phone_without_scrolling_sideways(browser: Browser, pages: dict[str, Path]) -> None:
    """The chart is folded there: its letters stay above 11 px and nothing of it scrolls."""
    with opened(browser, pages["index.html"], "phone") as (page, _):
        assert page.evaluate(_SCROLLED) == []
        heights = page.eval_on_selector_all(
            ".folds .chart-lane", "items => items.map(item => item.getBoundingClientRect().height)"
        )
        assert heights
        assert min(heights) >= 11


@pytest.mark.parametrize("size", ["phone", "desk"])
def test_the_chart_of_a_filmed_day_can_be_read(browser: Browser, tmp_path: Path, size: str) -> None:
    """Cameras, re-rigs, the break, duplicates and pick-ups: no rule broken, no text over another or out of its bar."""
    from test_render_timeline_film import filmed

    from shootplan.render import render_documents

    path = tmp_path / "shoot_day.html"
    path.write_text(render_documents(filmed(), captions={})["shoot_day.html"], encoding="utf-8")
    with opened(browser, path, size) as (page, noise):
        assert noise == []
        assert page.locator("svg:visible .duplicate").count() >= 1
        assert page.locator("svg:visible .bar-move").count() >= 2
        assert page.evaluate(_OVERLAPS) == []
        assert page.evaluate(_OUT) == []
        assert page.evaluate(_SPILL) == []
        assert _violations(page) == []
