"""The pages as a browser shows them: on a phone, on a desk, on paper, light and dark."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

PAGES = (
    "index.html",
    "blog/index.html",
    "shooting_order.html",
    "costing.html",
    "script.html",
    "blog/barley-soup.html",
    *("blog/toast.html", "board.html"),
)
SIZES = {"phone": (360, 740), "desk": (1280, 900)}
#: Elements whose text is cut off or that reach out of the window, regions that may be scrolled left out.
_OUTSIDE = """() => [...document.querySelectorAll('main *')].filter(item => {
  if (item.closest('.wide') || item.closest('thead') || getComputedStyle(item).position === 'absolute') return false;
  const box = item.getBoundingClientRect();
  return box.width > 0 && box.right > document.documentElement.clientWidth + 1;
}).map(item => item.tagName + ': ' + item.textContent.slice(0, 40))"""

#: Labels of the chart that are wider than their bars.
_SPILL = """() => [...document.querySelectorAll('.bar-label')].filter(label =>
  label.getBBox().width > label.parentNode.querySelector('rect').getBBox().width + 1).map(label => label.textContent)"""


@contextmanager
def opened(browser: Browser, path: Path, size: str = "desk", **options: Any) -> Iterator[tuple[Page, list[str]]]:
    """Open a page; the list gathers what the console says and every request for anything but the page itself."""
    width, height = SIZES[size]
    context = browser.new_context(viewport={"width": width, "height": height}, **options)
    page, noise = context.new_page(), []
    page.on("console", lambda message: noise.append(message.text))
    page.on("pageerror", lambda error: noise.append(str(error)))
    page.on("request", lambda request: noise.append(request.url) if request.url != path.as_uri() else None)
    page.goto(path.as_uri())
    yield page, noise
    context.close()


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", PAGES)
def test_a_page_fits_its_window_and_is_silent(browser: Browser, built: Path, name: str, size: str) -> None:
    """Nothing reaches out of the window, the console is empty, nothing else is asked for."""
    with opened(browser, built / name, size) as (page, noise):
        assert page.locator("h1").is_visible()
        assert page.evaluate("document.documentElement.scrollWidth") <= SIZES[size][0]
        assert page.evaluate(_OUTSIDE) == []
        assert noise == []


def test_the_policy_is_in_force(browser: Browser, built: Path) -> None:
    """A script that somebody puts into the page does not run."""
    with opened(browser, built / "index.html") as (page, noise):
        page.evaluate("document.body.insertAdjacentHTML('beforeend', '<img src=x onerror=\"window.ran = 1\">')")
        page.wait_for_timeout(100)
        assert page.evaluate("window.ran === undefined")
        assert any("Content Security Policy" in text for text in noise)


@pytest.mark.parametrize("size", SIZES)
def test_the_clock_can_be_read_at_arms_length(browser: Browser, built: Path, size: str) -> None:
    """
    The digits of the clock are at least 24 px high.

    Common practice, no source: 24 CSS px are 6.35 mm, read from over a metre; 36 px type has digits of about 26 px.
    """
    with opened(browser, built / "shooting_order.html", size) as (page, _):
        sizes = page.eval_on_selector_all(
            "tr:not(.look-in) > .clock", "items => items.map(item => parseFloat(getComputedStyle(item).fontSize))"
        )
        assert len(sizes) == 5
        assert min(sizes) >= 36


def test_a_phone_shows_the_label_of_each_cell(browser: Browser, built: Path) -> None:
    """Where the head of the table is out of sight, each cell carries its heading."""
    with opened(browser, built / "costing.html", "phone") as (page, _):
        label = page.evaluate(
            "getComputedStyle(document.querySelector('td[data-label=\"Cost used\"]'), '::before').content"
        )
        assert "Cost used" in label


@pytest.mark.parametrize(("scheme", "is_light"), [("light", True), ("dark", False)])
def test_light_and_dark_follow_the_reader(browser: Browser, built: Path, scheme: Any, is_light: bool) -> None:
    """The ground follows the reader's setting."""
    with opened(browser, built / "index.html", color_scheme=scheme) as (page, _):
        ground = page.evaluate("getComputedStyle(document.body).backgroundColor")
        parts = [int(part) for part in ground.removeprefix("rgb(").removesuffix(")").split(",")]
        assert (sum(parts) > 3 * 128) is is_light


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("name", PAGES)
def test_a_page_prints_in_black_on_white(browser: Browser, built: Path, name: str, paper: str) -> None:
    """On both papers: white ground, black text, and a file that has pages."""
    with opened(browser, built / name) as (page, _):
        page.emulate_media(media="print")
        assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
        assert page.evaluate("getComputedStyle(document.body).color") == "rgb(0, 0, 0)"
        page.set_viewport_size({"width": 680, "height": 900})
        assert page.evaluate("document.documentElement.scrollWidth") <= 680
        assert page.pdf(format=paper)[:5] == b"%PDF-"


def test_the_chart_has_a_name_and_hatching(browser: Browser, built: Path) -> None:
    """Assistive technology gets the title; left-alone bars are filled with the pattern."""
    with opened(browser, built / "index.html") as (page, _):
        assert page.get_by_role("img", name="the day from 09:00 to 09:47").count() == 1
        fills = page.eval_on_selector_all(".bar-hatched", "items => items.map(item => getComputedStyle(item).fill)")
        assert fills
        assert all("-hatch" in fill for fill in fills)


def test_bar_labels_stay_inside_their_bars(browser: Browser, built: Path) -> None:
    """No label is wider than its bar."""
    with opened(browser, built / "index.html") as (page, _):
        assert page.evaluate(_SPILL) == []


def test_a_whole_demo_fits_every_window(browser: Browser, root: Path, tmp_path: Path) -> None:
    """A built demo, as its user sees it: on a phone and on a desk nothing reaches out, no label out of its bar."""
    from shootplan.app import build

    built = build(root / "demo_episodes" / "tuesday-supper", out=tmp_path)
    for name in [path for path in built.paths if path.endswith(".html")]:
        for size in SIZES:
            with opened(browser, tmp_path / name, size) as (page, noise):
                assert page.evaluate("document.documentElement.scrollWidth") <= SIZES[size][0], name
                assert page.evaluate(_OUTSIDE) == [], name
                assert page.evaluate(_SPILL) == [], name
                assert noise == []


def test_everything_can_be_reached_by_keyboard(browser: Browser, built: Path) -> None:
    """The first stop of the tab key is a link or a region, and its outline is seen."""
    with opened(browser, built / "index.html") as (page, _):
        page.keyboard.press("Tab")
        style = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
        assert page.evaluate("document.activeElement.tagName") == "A"
        assert style == "solid"


@pytest.mark.parametrize("width", [320, 640, 760, 900, 1024])
def test_nothing_scrolls_sideways_at_any_zoom(browser: Browser, built: Path, width: int) -> None:
    """SOURCE: WCAG 2.2, 1.4.4 and 1.4.10: 200 % zoom of 1280 CSS px is a window of 640, 400 % one of 320."""
    for name in PAGES:
        with opened(browser, built / name) as (page, _):
            page.set_viewport_size({"width": width, "height": 800})
            assert page.evaluate("document.documentElement.scrollWidth") <= width, name
