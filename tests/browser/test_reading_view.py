"""The reading view as the presenter meets it: keys, remaining time, running at the planned pace, size, mirror."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from test_pages import SIZES, opened

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def built_demo(root: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the documents of a demo."""
    from shootplan.app import build

    out = tmp_path_factory.mktemp("reading")
    build(root / "demo_episodes" / "tuesday-supper", out=out)
    return out


@pytest.fixture
def page(browser: Browser, built_demo: Path) -> Iterator[Page]:
    """Return the reading view of the demo on a desk; nothing may be said on the console."""
    with opened(browser, built_demo / "reading.html") as (shown, noise):
        yield shown
        assert noise == []


def current(page: Page) -> int:
    """Return the index of the piece being read."""
    found = page.evaluate("[...document.querySelectorAll('.piece')].findIndex(p => p.hasAttribute('aria-current'))")
    return int(found)


def left_s(page: Page) -> int:
    """Return the seconds left, as shown."""
    minutes, seconds = (page.locator("#left").text_content() or "").split(":")
    return int(minutes) * 60 + int(seconds)


def test_keys_go_from_piece_to_piece(page: Page) -> None:
    """Space and arrows forward, arrows and page keys back, home and end; the time left follows."""
    assert current(page) == 0
    whole = left_s(page)
    for key, index in [(" ", 1), ("ArrowDown", 2), ("PageDown", 3), ("ArrowUp", 2), ("Shift+ ", 1), ("Home", 0)]:
        page.keyboard.press(key.replace("+ ", "+Space"))
        page.wait_for_timeout(60)
        assert current(page) == index, key
        top = page.locator(".piece").nth(index).bounding_box()
        head = page.locator("header").bounding_box()
        assert top is not None
        assert head is not None
        assert abs(top["y"] - head["height"] - 900 * 0.12) < 4 or index == 0
    page.keyboard.press("End")
    page.wait_for_timeout(60)
    assert current(page) == page.locator(".piece").count() - 1
    assert 0 < left_s(page) < whole


def test_it_runs_and_holds(page: Page) -> None:
    """R runs: the clock counts down and the words move; R again holds."""
    page.keyboard.press("End")
    before, at = left_s(page), page.evaluate("scrollY")
    page.keyboard.press("Home")
    page.keyboard.press("r")
    assert page.locator("#run").get_attribute("aria-pressed") == "true"
    page.wait_for_timeout(2500)
    page.keyboard.press("r")
    page.wait_for_timeout(60)
    assert page.locator("#run").text_content() == "Run"
    whole = int(page.locator("#bar").get_attribute("max") or 0) // 1000
    assert before < left_s(page) < whole
    assert 0 < page.evaluate("scrollY") < at


def test_size_and_mirror(page: Page) -> None:
    """Plus makes the words larger; M turns them for the glass and back."""
    size = "parseFloat(getComputedStyle(document.querySelector('.piece')).fontSize)"
    before = page.evaluate(size)
    page.keyboard.press("+")
    assert page.evaluate(size) > before
    page.keyboard.press("-")
    assert page.evaluate(size) == before
    page.keyboard.press("m")
    assert page.evaluate("getComputedStyle(document.querySelector('main')).transform").startswith("matrix(-1")
    page.locator("#mirror").click()
    assert page.evaluate("getComputedStyle(document.querySelector('main')).transform") == "none"


@pytest.mark.parametrize("size", SIZES)
def test_it_is_large_and_fits(browser: Browser, built_demo: Path, size: str) -> None:
    """30 px and more on a phone, 60 and more on a desk, no wider than the window (common practice)."""
    with opened(browser, built_demo / "reading.html", size) as (page, noise):
        found = page.evaluate("parseFloat(getComputedStyle(document.querySelector('.piece')).fontSize)")
        assert found >= (30 if size == "phone" else 60)
        assert page.evaluate("document.documentElement.scrollWidth") <= SIZES[size][0]
        assert noise == []


def test_it_prints_in_black_on_white(browser: Browser, built_demo: Path) -> None:
    """The buttons go."""
    with opened(browser, built_demo / "reading.html") as (page, _):
        page.emulate_media(media="print")
        assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
        assert not page.locator("#run").is_visible()
