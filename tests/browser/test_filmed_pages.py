"""The pages of a filmed build and the live board by the rules of every other page: silent, fitting, WCAG 2.2 AA."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from board_helpers import Served, write_episode
from test_accessibility import _OUT, _OVERLAPS, _violations
from test_pages import _OUTSIDE, _SPILL, opened

from tests.conftest import DEMOS, published

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

#: The pages that a filmed day changes; the others are the same in every build. One demo stands for the
#: three: planning the filmed day of each takes longer than all these tests.
PAGES = ("board.html", "call_sheet.html", "index.html", "shoot_day.html")


@pytest.fixture(scope="session", params=["tuesday-supper"])
def filmed(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with the pages of a demo's filmed build, planned once in a session."""
    from shootplan.app import documents, load
    from shootplan.app.film import film

    name = str(request.param)
    made = replace(published(name), filmed=film(load(DEMOS / name)))
    files = documents(made)
    folder = tmp_path_factory.mktemp(f"filmed-{name}")
    for page in PAGES:
        (folder / page).write_text(files[page], encoding="utf-8")
    return folder


def test_the_pages_of_a_filmed_build_keep_every_rule(browser: Browser, filmed: Path) -> None:
    """On a phone in the dark, on a tablet and on a desk: nothing said, asked for, reaching out or over another text."""
    for name in PAGES:
        for size, scheme in (("phone", "dark"), ("desk", "light")):
            with opened(browser, filmed / name, size, color_scheme=scheme) as (page, noise):
                for width in (page.viewport_size or {"width": 0})["width"], 820:
                    page.set_viewport_size({"width": width, "height": 900})
                    assert page.evaluate("document.documentElement.scrollWidth") <= width, (name, width)
                    assert page.evaluate(_OUTSIDE) == [], (name, width)
                    assert page.evaluate(_SPILL) == [], (name, width)
                    assert page.evaluate(_OVERLAPS) == [], (name, width)
                    assert page.evaluate(_OUT) == [], (name, width)
                assert noise == [], name
                assert _violations(page) == [], (name, size)


def heard(page: Page) -> list[str]:
    """Return a list that gathers what the console says and every request that fails."""
    noise: list[str] = []
    page.on("console", lambda message: noise.append(message.text))
    page.on("pageerror", lambda error: noise.append(str(error)))
    page.on("requestfailed", lambda request: noise.append(request.url))
    return noise


@pytest.fixture(scope="module")
def live(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """Serve the board of the small episode."""
    served = Served(write_episode(tmp_path_factory.mktemp("live") / "soup-night"))
    yield served
    served.stop()


def test_the_live_board_keeps_every_rule(browser: Browser, live: Served) -> None:
    """With something on and a thing going on by itself: on a phone, a tablet and a desk, light and dark."""
    for width, scheme in ((390, "dark"), (820, "light"), (1440, "light")):
        context = browser.new_context(viewport={"width": width, "height": 900}, color_scheme=scheme)  # type: ignore[arg-type]
        page = context.new_page()
        noise = heard(page)
        page.goto(live.url)
        page.locator("#day").wait_for(state="visible")
        begin = page.locator(".card", has_text="Chop onions").get_by_role("button", name="Begin", exact=True)
        if begin.count():
            begin.first.click()
        page.locator("#now .card", has_text="Chop onions").wait_for()
        for summary in page.locator("summary:visible").all():
            summary.click()
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert page.evaluate(_OUTSIDE) == []
        assert _violations(page) == [], width
        assert noise == []
        context.close()
