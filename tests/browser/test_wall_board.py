"""The board for the wall in a browser: its line follows the clock, the side shows what is to come, print shows all."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime, time, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

#: The hand-made day: call 09:00, Simmer alone 09:10 to 09:40 with a look-in at 09:30, wrap 09:47.
DAY = "2026-11-17"


@contextmanager
def board(browser: Browser, built: Path, moment: str, **options: Any) -> Iterator[tuple[Page, list[str]]]:
    """Open the board at a moment of the device's clock; the list gathers what the console says."""
    context = browser.new_context(viewport={"width": 1180, "height": 820}, timezone_id="Europe/Paris", **options)
    page, noise = context.new_page(), []
    page.on("console", lambda message: noise.append(message.text))
    page.on("pageerror", lambda error: noise.append(str(error)))
    now = datetime.fromisoformat(moment)
    page.clock.install(time=now - timedelta(minutes=1))
    page.goto((built / "board.html").as_uri())
    page.clock.pause_at(now)  # however long the page took to open
    yield page, noise
    context.close()


def shown(page: Page, name: str) -> list[str]:
    return [item.inner_text() for item in page.locator(f"#{name} > li").all() if item.is_visible()]


def test_the_line_stands_where_the_devices_clock_is(browser: Browser, built: Path) -> None:
    """09:13 in the kitchen: after Toast began, before the look-in; Toast is on, Simmer is at the side."""
    with board(browser, built, f"{DAY}T09:13:00+01:00") as (page, noise):
        assert page.locator("#clock").inner_text() == "09:13"
        assert page.locator("#change").inner_text() == "34:00 left"
        before = page.locator(".here").evaluate("item => item.previousElementSibling.querySelector('h3').textContent")
        after = page.locator(".here").evaluate("item => item.nextElementSibling.querySelector('h3').textContent")
        assert (before, after) == ("3 Toast", "Look in: Simmer")
        assert [item.inner_text() for item in page.locator(".is-on h3").all()] == ["3 Toast"]
        (simmer,) = shown(page, "alone")
        assert "to 09:40 27:00" in simmer.replace("\n", " ")
        assert len(shown(page, "look-ins")) == 1
        assert noise == []


def test_the_line_moves_by_itself(browser: Browser, built: Path) -> None:
    """Half an hour later the look-in is over, what went on by itself is gone and Rest has taken its place."""
    with board(browser, built, f"{DAY}T09:13:00+01:00") as (page, _):
        page.clock.fast_forward("28:00")
        page.locator("#alone", has_text="Rest").wait_for()
        assert [item.inner_text() for item in page.locator("#alone .what:visible").all()] == ["4 Rest"]
        assert shown(page, "look-ins") == []
        assert page.locator("#look-ins + .nothing").is_visible()
        x = float(page.locator("#strip .now-line").get_attribute("x1") or "nan")
        assert x == pytest.approx(41 / 47 * 1000, abs=1)


@pytest.mark.parametrize(
    ("moment", "words"),
    [
        (f"{DAY}T08:59:00+01:00", "call in 1:00"),
        (f"{DAY}T10:00:00+01:00", "is over by the plan"),
        ("2026-11-18T09:13:00+01:00", f"this is the plan of {DAY}"),
    ],
)
def test_before_after_and_on_another_day(browser: Browser, built: Path, moment: str, words: str) -> None:
    """The page says how long to call, that the day is over, or that the plan is of another date."""
    with board(browser, built, moment) as (page, _):
        assert page.locator("#change").inner_text() == words


def test_what_is_past_can_be_shown(browser: Browser, built: Path) -> None:
    """Past rows but the last three are out of the way, and come back at a press of the button."""
    with board(browser, built, f"{DAY}T09:46:00+01:00") as (page, _):
        order = page.locator("#order > .card")
        assert [item.is_visible() for item in order.all()] == [False, False, True, True, True, True]
        page.get_by_role("button", name="Show what is past").click()
        assert all(item.is_visible() for item in order.all())


def test_without_a_script_and_on_paper_everything_is_there(browser: Browser, built: Path) -> None:
    """No script: every row and list. On paper: every row, no countdown and no line, whatever the clock."""
    with board(browser, built, f"{DAY}T09:46:00+01:00", java_script_enabled=False) as (page, _):
        assert page.locator("#order > .card:visible").count() == 6
        assert page.locator("#alone > li:visible").count() == 2
    with board(browser, built, f"{DAY}T09:46:00+01:00") as (page, _):
        page.emulate_media(media="print")
        assert page.locator("#order > .card:visible").count() == 6
        assert page.locator("#alone > li:visible").count() == 2
        for gone in (".here", "#clock", ".left", ".now-line", "#whole"):
            assert page.locator(f"{gone}:visible").count() == 0
        assert "2026-11-17, call 09:00" in page.locator(".wrap-line").inner_text()


def test_the_clock_and_what_is_on_can_be_read_across_a_kitchen(browser: Browser, built: Path) -> None:
    """
    Type for three metres on a tablet.

    Common practice, no source: letters of a two-hundredth of the distance; digits of 0.73 of the type's size at 96 px
    to the inch, so 2.7rem of 18 px are 9.4 mm, and the clock of 60 px or more 11.6 mm and up.
    """
    with board(browser, built, f"{DAY}T09:13:00+01:00") as (page, _):
        size = "item => parseFloat(getComputedStyle(item).fontSize)"
        assert page.locator("#clock").evaluate(size) >= 60
        assert page.locator(".is-on h3").evaluate(size) >= 34
        assert page.locator(".is-on .when").evaluate(size) >= 28


def test_a_night_shoot_goes_on_after_midnight(browser: Browser, tmp_path: Path) -> None:
    """Called at 23:30, wrapped at 00:17: at 00:05 of the next date 12 minutes are left, and it is the plan's day."""
    from publication_factory import publication

    from shootplan.render import render_documents

    made = publication()
    kitchen = replace(made.resolved.episode.kitchen, call=time(23, 30))
    episode = replace(made.resolved.episode, kitchen=kitchen)
    night = replace(made, resolved=replace(made.resolved, episode=episode))
    (tmp_path / "board.html").write_text(render_documents(night, captions={})["board.html"], encoding="utf-8")
    with board(browser, tmp_path, "2026-11-18T00:05:00+01:00") as (page, noise):
        assert page.locator("#change").inner_text() == "12:00 left"
        assert page.locator("#clock").inner_text() == "00:05"
        assert noise == []


@pytest.fixture(scope="module")
def two_days(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the documents of an episode of two dishes of 300 min, of which a day holds one."""
    from planning_helpers import write_two_days

    from shootplan.app import build

    return build(write_two_days(tmp_path_factory.mktemp("wall") / "days")).folder


@pytest.mark.parametrize(
    ("moment", "words", "wrap", "strip"),
    [
        (
            "2026-11-20T07:59:00+01:00",
            "call in 1:00",
            "13:00",
            "08:00 to 13:00, hands-on above, by itself below; call is at 08:00",
        ),
        ("2026-11-20T12:30:00+01:00", "30:00 left", "13:00", "the line is now, 12:30"),
        ("2026-11-20T18:00:00+01:00", "is over by the plan", "13:00", "the planned end was 13:00"),
        ("2026-11-21T07:00:00+01:00", "call in 1:00:00", "13:00", "call is at 08:00"),
        ("2026-11-21T08:30:00+01:00", "4:30:00 left", "13:00", "the line is now, 08:30"),
    ],
)
def test_each_of_several_days_has_its_own_call_and_wrap(
    browser: Browser, two_days: Path, moment: str, words: str, wrap: str, strip: str
) -> None:
    """Countdown, wrap and strip are those of the day that it is; the running order names the day of each part."""
    with board(browser, two_days, moment) as (page, noise):
        assert page.locator("#change").inner_text() == words
        assert page.locator("#wrap").inner_text() == wrap
        assert strip in page.locator("#strip p").inner_text()
        number, name = (1, "Fri") if moment.startswith("2026-11-20") else (2, "Sat")
        assert page.locator("#today").inner_text() == f"{name} {moment[:10]}, day {number} of 2: call 08:00"
        assert len(page.locator("#strip rect").all()) == 1
        assert "Saturday 2026-11-21, 08:00–16:00" in page.locator("#order").inner_text()
        page.emulate_media(media="print")
        assert "13:00 Sat" in page.locator(".wrap-line").inner_text()
        assert not page.locator("#wrap").is_visible()
        assert noise == []
