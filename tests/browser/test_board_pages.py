"""The day's board: two devices in step, reload, lost network, a killed server, strangers, and texts that stay text."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from http.client import HTTPConnection
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from board_helpers import EPISODE, HOSTILE, RECIPE, Served, write_episode

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Page

pytestmark = pytest.mark.browser

PHONE = {"width": 390, "height": 844}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return write_episode(tmp_path / "soup-night")


@pytest.fixture
def board(folder: Path) -> Iterator[Served]:
    served = Served(folder)
    yield served
    served.stop()


@pytest.fixture
def device(browser: Browser) -> Iterator[BrowserContext]:
    context = browser.new_context(viewport=PHONE)
    yield context
    context.close()


def opened(context: BrowserContext, url: str, noise: list[str] | None = None) -> Page:
    """Open the board; what the console says and what goes elsewhere is noise."""
    page = context.new_page()
    if noise is not None:
        page.on("console", lambda message: noise.append(message.text))
        page.on("pageerror", lambda error: noise.append(str(error)))
        page.on("request", lambda request: noise.append(request.url) if not request.url.startswith(url) else None)
    page.goto(url)
    return page


def ready(page: Page) -> Page:
    page.locator("#day").wait_for(state="visible")
    return page


def tap(page: Page, step: str, words: str) -> None:
    page.locator(".card", has_text=step).get_by_role("button", name=words, exact=True).first.click()


def running(page: Page, step: str, *, within_ms: int = 20_000) -> None:
    """Wait until a step is among what is on now or goes on by itself."""
    page.locator("#now .card, #alone .card", has_text=step).first.wait_for(timeout=within_ms)


def asked(served: Served, method: str, path: str, body: str = "", **headers: str) -> tuple[int, str]:
    """Ask the server directly, with any headers."""
    with closing(HTTPConnection("127.0.0.1", served.port, timeout=10)) as connection:
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        connection.request(method, path, body=body or None, headers=named)
        answer = connection.getresponse()
        return answer.status, answer.read().decode()


def test_two_devices_are_in_step(browser: Browser, board: Served) -> None:
    """What one ticks the other shows, while both see the same plan; the page fits a phone and says nothing."""
    noise: list[str] = []
    one, two = browser.new_context(viewport=PHONE), browser.new_context(viewport={"width": 1180, "height": 820})
    first, second = ready(opened(one, board.url, noise)), ready(opened(two, board.url, noise))
    tap(first, "Chop onions", "Begin")
    running(second, "Chop onions")
    tap(second, "Chop onions", "Done")
    first.locator("#done li", has_text="Chop onions").wait_for(state="attached")
    assert first.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    second.locator("#done li", has_text="Chop onions").wait_for(state="attached")
    wrap = second.locator("#wrap").inner_text()
    first.wait_for_function("wrap => document.querySelector('#wrap').innerText === wrap", arg=wrap)
    sizes = first.eval_on_selector_all(
        "#day button:not(.small)", "all => all.map(b => b.getBoundingClientRect().height)"
    )
    assert sizes
    assert min(sizes) >= 48
    assert noise == []
    one.close()
    two.close()


def test_no_text_of_the_day_is_read_as_markup(device: BrowserContext, board: Served) -> None:
    """Titles, names, cues, cautions, pans, people and camera positions are shown as they were typed."""
    page = ready(opened(device, board.url))
    tap(page, "Chop <b>carrots</b>", "Begin")
    running(page, "Chop <b>carrots</b>")
    page.get_by_text("Everything after that").click()
    seen = page.inner_text("body")
    assert f"Soup night {HOSTILE}" in seen
    pan = "pan <svg onload=window.ran=5>"
    for text in ('<i onclick="window.ran=3">dice</i>', f"sharp {HOSTILE}", "host <u>me</u>", pan):
        assert text in seen
    assert page.evaluate("window.ran === undefined")
    assert page.locator("main img, main script, main svg:not(#strip > svg), main u, main i").count() == 0
    assert page.locator("#strip svg").count() == 1
    assert page.locator("#strip svg *:not(rect, rect > title, line)").count() == 0


def test_the_line_of_now_stands_where_the_clock_does(device: BrowserContext, board: Served) -> None:
    """The strip runs from call to wrap; the line is as far along as the time of the server's day, and it says so."""
    page = ready(opened(device, board.url))
    tap(page, "Chop onions", "Begin")
    running(page, "Chop onions")
    page.locator("#strip .now-line").wait_for(state="attached")
    found = page.evaluate(
        """() => { const line = document.querySelector('#strip .now-line');
        return [Number(line.getAttribute('x1')), document.querySelectorAll('#strip .on-hands').length,
                document.querySelector('#clock').textContent, document.querySelector('#strip p').textContent]; }"""
    )
    assert 0 <= found[0] <= 1000
    assert found[1] >= 1
    wrap = page.locator("#wrap").inner_text()
    assert f"to {wrap}, hands-on above" in found[3]
    moved = page.evaluate(
        """async () => { const { moveNow } = await import('/strip.js');
        const place = document.querySelector('#strip'), wrap = Number(place.dataset.wrap);
        return [0, wrap / 4, wrap * 2].map(at => { moveNow(place, at, String);
          return Number(place.querySelector('.now-line').getAttribute('x1')); }); }"""
    )
    assert moved == [0, 250, 1000]


def test_a_reload_shows_the_day_as_it_was(device: BrowserContext, board: Served) -> None:
    page = ready(opened(device, board.url))
    tap(page, "Chop onions", "Begin")
    running(page, "Chop onions")
    page.reload()
    running(ready(page), "Chop onions")


def test_ticks_of_a_lost_network_come_in_with_their_own_time(browser: Browser, board: Served) -> None:
    """Ticked while out of reach: shown at once and marked, kept through a reload's worth of waiting, then merged."""
    lost, other = browser.new_context(viewport=PHONE), browser.new_context()
    page, second = ready(opened(lost, board.url)), ready(opened(other, board.url))
    lost.set_offline(True)
    tap(page, "Chop onions", "Begin")
    running(page, "Chop onions")
    page.get_by_text("1 tick kept here").wait_for()
    page.wait_for_timeout(2500)
    tap(second, "Chop <b>carrots</b>", "Begin")
    running(second, "Chop <b>carrots</b>")
    lost.set_offline(False)
    second.locator("#now .card, #later .card, #notes li", has_text="Chop onions").first.wait_for(state="attached")
    page.wait_for_function("() => localStorage.getItem('board-ticks') === '[]'")
    told = [line for line in asked(board, "GET", "/log.txt")[1].splitlines() if not line.startswith("#")]
    assert [line.split(" ", 1)[1] for line in told] == ["begun soup: Chop onions", "begun soup: Chop <b>carrots</b>"]
    assert told[0] < told[1]
    lost.close()
    other.close()


def test_no_tick_is_lost_when_the_server_is_killed(device: BrowserContext, folder: Path) -> None:
    """Killed right after a tick was answered, and one ticked while it is down: both are there after the restart."""
    served = Served(folder)
    page = ready(opened(device, served.url))
    tap(page, "Chop onions", "Begin")
    page.wait_for_function("() => localStorage.getItem('board-ticks') === '[]'")
    served.kill()
    tap(page, "Chop onions", "Done")
    page.get_by_text("1 tick kept here").wait_for()
    again = Served(folder, port=served.port)
    page.wait_for_function("() => localStorage.getItem('board-ticks') === '[]'")
    page.locator("#done li", has_text="Chop onions").wait_for(state="attached")
    assert any("going on with the rehearsal" in line for line in again.lines)
    kinds = [line.split(" ")[1] for line in asked(again, "GET", "/log.txt")[1].splitlines()[1:]]
    assert kinds == ["begun", "done"]
    again.stop()
    with closing(sqlite3.connect(folder / "day-log" / "rehearsal.sqlite3")) as base:
        assert base.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    assert "done soup: Chop onions" in (folder / "day-log" / "rehearsal.txt").read_text(encoding="utf-8")


def test_a_tick_is_taken_back(device: BrowserContext, board: Served) -> None:
    page = ready(opened(device, board.url))
    tap(page, "Chop onions", "Begin")
    running(page, "Chop onions")
    page.get_by_role("button", name="Take back: Chop onions begun").click()
    page.locator("#next .card", has_text="Chop onions").wait_for()
    assert "begun" not in asked(board, "GET", "/log.txt")[1]


def test_a_pot_left_alone_counts_down_and_is_looked_in_on(device: BrowserContext, board: Served) -> None:
    """Hands off after a minute of simmering: the pot moves to what goes on by itself, with its look-in."""
    page = ready(opened(device, board.url))
    for step in ("Chop <b>carrots</b>", "Chop onions"):
        tap(page, step, "Begin")
        running(page, step)
        tap(page, step, "Done")
    tap(page, "Simmer", "Begin")
    running(page, "Simmer")
    tap(page, "Simmer", "Hands off")
    pot = page.locator("#alone .card", has_text="Simmer")
    pot.get_by_text("look in").wait_for()
    assert pot.locator("[data-at]").first.inner_text().startswith(("19:", "20:"))


def test_the_board_follows_the_editor(device: BrowserContext, folder: Path, board: Served) -> None:
    """A longer simmer moves the wrap on the open page; a broken file is said and the last sound plan kept."""
    page = ready(opened(device, board.url))
    before = page.locator("#wrap").inner_text()
    recipe = folder / "recipes" / "soup.md"
    recipe.write_text(RECIPE.replace("leave: 20 min", "leave: 50 min"), encoding="utf-8")
    page.wait_for_function("wrap => document.getElementById('wrap').textContent !== wrap", arg=before)
    longer = page.locator("#wrap").inner_text()
    recipe.write_text(RECIPE.replace("leave: 20 min", "leave: soon"), encoding="utf-8")
    page.locator("#warnings p", has_text="In the files:").first.wait_for()
    assert page.locator("#wrap").inner_text() == longer


# ---------------------------------------------------------------------------------------------------- strangers


def test_other_names_and_other_pages_are_refused(board: Served) -> None:
    """A name that is not ours (DNS rebinding), a foreign origin, a form of another site: refused before anything."""
    own = f"127.0.0.1:{board.port}"
    tick = json.dumps({"ticks": [{"id": "abcdefgh", "kind": "begun", "run": "soup/chop-onions", "at_s": 0}]})
    assert asked(board, "GET", "/state", Host="board.example")[0] == 403
    assert asked(board, "GET", "/state", Host="10.0.0.9:80")[0] == 403
    assert asked(board, "GET", "/state", Host=own, Origin="http://elsewhere.example")[0] == 403
    assert asked(board, "GET", "/state", Host=own, Sec_Fetch_Site="cross-site")[0] == 403
    assert asked(board, "POST", "/ticks", tick, Host=own)[0] == 403
    assert asked(board, "POST", "/ticks", tick, Host=own, Origin="http://elsewhere.example")[0] == 403
    assert asked(board, "GET", "/log.txt")[1].count("\n") == 1
    assert asked(board, "POST", "/ticks", tick, Host=own, Origin=f"http://{own}") == (200, '{"kept":["abcdefgh"]}')


def test_what_is_not_a_tick_is_refused_and_nothing_is_kept(board: Served) -> None:
    own = f"127.0.0.1:{board.port}"
    short = '{"ticks":[{"id":"x","kind":"begun","run":"a","at_s":0}]}'
    for body in ("", "[]", "{}", short, '{"ticks":[1]}', "x" * 300_000):
        assert asked(board, "POST", "/ticks", body, Host=own, Origin=f"http://{own}")[0] == 400
    assert asked(board, "GET", "/log.txt")[1].count("\n") == 1


def test_a_device_on_the_network_gives_the_code(browser: Browser, folder: Path) -> None:
    """Opened to the network: nothing without the code, a wrong one is refused, the right one works once."""
    served = Served(folder, host="0.0.0.0")
    code = next(line for line in served.lines if "code for the next device" in line).split(": ")[1].strip()
    one, two = browser.new_context(viewport=PHONE), browser.new_context(viewport=PHONE)
    page = opened(one, served.url)
    page.locator("#pair").wait_for(state="visible")
    assert asked(served, "GET", "/state")[0] == asked(served, "GET", "/events")[0] == 401
    assert asked(served, "GET", "/log.txt")[0] == 401
    page.fill("#code", "0000 0001" if code != "0000 0001" else "0000 0002")
    page.click("#pair button")
    page.get_by_text("That is not the code").wait_for()
    assert page.locator("#day").is_hidden()
    page.fill("#code", code)
    page.click("#pair button")
    ready(page)
    second = opened(two, served.url)
    second.fill("#code", code)
    second.click("#pair button")
    second.get_by_text("That is not the code").wait_for()
    fresh = served.wait_for(r"code for the next device: (\d{4} \d{4})").group(1)
    second.fill("#code", fresh)
    second.click("#pair button")
    ready(second)
    page.reload()
    ready(page)
    cookie = one.cookies()[0]
    assert (cookie["httpOnly"], cookie["sameSite"]) == (True, "Strict")
    one.close()
    two.close()
    served.stop()


def test_the_open_document_follows_the_editor(browser: Browser, folder: Path) -> None:
    """``watch``: a saved headline is in the open page; broken files are said, and the earlier page stays."""
    served = Served(folder, command="watch")
    noise: list[str] = []
    context = browser.new_context()
    page = opened(context, served.url, noise)
    document = page.frame_locator("#page")
    document.locator("h1", has_text="Soup night").wait_for()
    episode = folder / "episode.md"
    sound = episode.read_text(encoding="utf-8")
    episode.write_text(sound.replace("# Soup night", "# Stew night"), encoding="utf-8")
    document.locator("h1", has_text="Stew night").wait_for()
    episode.write_text(sound.replace("currency: GBP\n", ""), encoding="utf-8")
    page.locator("#faults li", has_text="currency").wait_for()
    assert "Stew night" in document.locator("h1").inner_text()
    assert page.evaluate("window.ran === undefined")
    assert noise == []
    assert asked(served, "GET", "/out/../episode.md")[0] == 404
    assert asked(served, "GET", "/out/index.html", Host="elsewhere.example")[0] == 403
    context.close()
    served.stop()


def test_a_whole_short_day_on_two_devices(browser: Browser, folder: Path, board: Served) -> None:
    """
    Played to the end: a delay, a device that loses the network in between, the other that goes on. The log has every
    tick once, in order, and the comparison with the plan reads it.
    """
    one, two = browser.new_context(viewport=PHONE), browser.new_context()
    cook, camera = ready(opened(one, board.url)), ready(opened(two, board.url))
    tap(cook, "Chop <b>carrots</b>", "Begin")
    running(camera, "Chop <b>carrots</b>")
    before = camera.locator("#wrap").inner_text()
    tap(camera, "Chop <b>carrots</b>", "5 min more")
    cook.wait_for_function("wrap => document.getElementById('wrap').textContent > wrap", arg=before)
    tap(cook, "Chop <b>carrots</b>", "Done")
    one.set_offline(True)
    tap(camera, "Chop onions", "Begin")
    running(camera, "Chop onions")
    tap(camera, "Chop onions", "Done")
    camera.locator("#done li", has_text="Chop onions").wait_for(state="attached")
    tap(cook, "Simmer", "Begin")
    running(cook, "Simmer")
    cook.wait_for_timeout(1100)
    tap(cook, "Simmer", "Hands off")
    cook.locator("#alone .card", has_text="Simmer").wait_for()
    one.set_offline(False)
    camera.locator("#alone .card", has_text="Simmer").wait_for()
    tap(camera, "Simmer", "Done")
    cook.locator("#done li", has_text="Simmer").wait_for(state="attached")
    tap(cook, "Serve", "Begin")
    running(camera, "Serve")
    tap(camera, "Serve", "Done")
    cook.get_by_text("Nothing is left to begin.").wait_for()
    cook.wait_for_function("() => localStorage.getItem('board-ticks') === '[]'")
    told = [line.split(" ", 1)[1] for line in asked(board, "GET", "/log.txt")[1].splitlines()[1:]]
    carrots, onions = "soup: Chop <b>carrots</b>", "soup: Chop onions"
    assert told == [
        *(f"begun {carrots}", f"late 5 min {carrots}", f"done {carrots}"),
        *(f"begun {onions}", f"done {onions}"),
        *("begun soup: Simmer", "left soup: Simmer", "done soup: Simmer", "begun soup: Serve", "done soup: Serve"),
    ]
    one.close()
    two.close()
    board.stop()
    import subprocess
    import sys

    from board_helpers import ROOT

    words = [sys.executable, "-m", "shootplan", "real-minutes", str(folder), str(folder / "day-log" / "rehearsal.txt")]
    outcome = subprocess.run([*words, "--json"], capture_output=True, text=True, cwd=ROOT, check=True)
    found = [(step["label"], step["field"]) for step in json.loads(outcome.stdout)["steps"]]
    assert found == [
        *((carrots, "hands"), (onions, "hands"), ("soup: Simmer", "hands"), ("soup: Simmer", "leave")),
        ("soup: Serve", "hands"),
    ]


# ---------------------------------------------------------------------------------------------------- several days

TWO_DAYS = EPISODE.replace("currency", "days: 2026-10-01 09:00–09:05, 2026-10-02 09:00–12:00\ncurrency")


def test_each_day_has_its_own_call_and_wrap(device: BrowserContext, folder: Path) -> None:
    """
    A first morning of five minutes holds the chopping, which keeps; all else is of the second day and listed as such.

    On the second morning the header is of that day, and what was done the day before has its weekday.
    """
    (folder / "episode.md").write_text(TWO_DAYS, encoding="utf-8")
    kept = RECIPE.replace("- shot: side", "- keeps: 2 days\n   - place: fridge\n   - shot: side")
    kept = kept.replace("- until: small", "- keeps: 2 days\n   - place: fridge\n   - until: small")
    (folder / "recipes" / "soup.md").write_text(kept, encoding="utf-8")
    noise: list[str] = []
    with closing_board(folder, "2026-10-01 09:00") as served:
        page = ready(opened(device, served.url, noise))
        assert page.locator("#today").inner_text().startswith("Thu 2026-10-01, day 1 of 2: call 09:00, wrap 09:0")
        assert page.locator("#wrap").inner_text() < "09:06"
        page.locator("details", has_text="Everything after that").locator("summary").click()
        later = page.locator("#later").inner_text()
        assert "Fri 2026-10-02, day 2 of 2: call 09:00, wrap 09:" in later
        assert later.index("Fri 2026-10-02") < later.index("Simmer")
        assert page.locator("#later .card", has_text="Serve").locator(".when").inner_text().endswith("Fri")
        assert page.locator("#next .card", has_text="Simmer").count() == 0
        tap(page, "Chop onions", "Begin")
        running(page, "Chop onions")
        page.close()
    (folder / "day-log" / "rehearsal.sqlite3").rename(folder / "day-log" / "first.sqlite3")
    with closing_board(folder, "2026-10-02 09:00") as served:
        page = ready(opened(device, served.url, noise))
        assert page.locator("#today").inner_text().startswith("Fri 2026-10-02, day 2 of 2: call 09:00, wrap 09:")
        assert page.locator("#next .card").count() >= 2
        assert "09:00 to " in page.locator("#strip p").inner_text()
        page.close()
    assert [line for line in noise if "/" not in line] == []


@contextmanager
def closing_board(folder: Path, rehearse: str) -> Iterator[Served]:
    """Serve a rehearsal until the block ends."""
    served = Served(folder, rehearse=rehearse)
    try:
        yield served
    finally:
        served.stop()
