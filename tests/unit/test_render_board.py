"""The board for the wall: its rows and lists on days worked by hand, its page without anything from elsewhere."""

from __future__ import annotations

import base64
import hashlib
import re
from dataclasses import replace

from publication_factory import publication
from test_render_documents import Page
from test_render_timeline_film import filmed

from shootplan.model.day import DayRow, PendingLimit, RowKind, RowPart
from shootplan.model.planning import SolveResult, SolveStatus
from shootplan.model.publication import Publication
from shootplan.render import render_documents
from shootplan.render.basis import Basis
from shootplan.render.views_board import BoardView, board_view

MIN = 60


def view_of(made: Publication) -> BoardView:
    found = board_view(Basis.of(made))
    assert found is not None
    return found


def test_the_running_order_has_a_row_for_everything_that_begins() -> None:
    """Call 09:00; numbers are those of the shooting order, a look-in has none; what needs nobody says so."""
    view = view_of(publication())
    assert [(row.clock, row.number, row.label, row.kind) for row in view.rows] == [
        ("09:00", "1", "Chop the onion", "step"),
        ("09:10", "2", "Simmer", "alone"),
        ("09:12", "3", "Toast", "step"),
        ("09:30", "", "Look in: Simmer", "look-in"),
        ("09:40", "4", "Rest", "alone"),
        ("09:45", "5", "Serve the soup", "step"),
    ]
    assert (view.call_s, view.wrap_s, view.call, view.wrap) == (9 * 3600, 47 * MIN, "09:00", "09:47")
    assert view.rows[1].work == "by itself to 09:40 (30 min)"
    assert view.rows[1].facts == "ring · 3 l pan"
    assert view.rows[0].work == "to 09:10 (10 min)"


def test_what_goes_on_by_itself_stands_by_its_end() -> None:
    """From, until, cue and look-ins of each; it is to be seen while it goes on."""
    simmer, rest = view_of(publication()).alone
    assert (simmer.clock, simmer.what, simmer.from_s, simmer.until_s) == ("09:40", "2 Simmer", 10 * MIN, 40 * MIN)
    assert simmer.detail.endswith(" · from 09:10 · until the barley is tender · look in 09:30")
    assert (rest.clock, rest.from_s) == ("09:45", 40 * MIN)


def test_look_ins_tell_who_and_how_long() -> None:
    """One look-in, at 09:30, of a minute; it stays until it is over."""
    (found,) = view_of(publication()).look_ins
    assert (found.clock, found.what, found.until_s) == ("09:30", "Simmer", 31 * MIN)
    assert found.detail.endswith(" · cook · 1 min")


def test_a_limit_stands_once_from_where_it_runs_until_it_is_kept() -> None:
    """Two rows run under one limit: it is listed once, until 09:10, when it is kept, counted down to 09:20."""
    limit = PendingLimit(rule="Simmer starts within 10 min", successor="s", latest_s=20 * MIN, planned_s=10 * MIN)
    made = publication()
    rows = tuple(replace(row, limits=(limit,)) for row in made.day)
    (found,) = view_of(replace(made, day=rows)).limits
    assert (found.clock, found.what, found.detail) == ("09:20", "Simmer starts within 10 min", "planned 09:10")
    assert (found.from_s, found.until_s, found.at_s) == (0, 10 * MIN, 20 * MIN)


def test_hands_then_alone_is_one_row_and_one_thing_at_the_side() -> None:
    """Ten minutes of hands, twenty alone: the side has it from 09:10 to 09:30."""
    parts = (RowPart(kind="hands", start_s=0, end_s=600), RowPart(kind="leave", start_s=600, end_s=1800))
    chop = replace(publication().day[0], parts=parts, end_s=1800)
    view = view_of(replace(publication(), day=(chop,)))
    assert view.rows[0].work == "hands-on to 09:10 (10 min), then by itself to 09:30 (20 min)"
    assert view.rows[0].is_alone_after
    (alone,) = view.alone
    assert (alone.from_s, alone.until_s) == (600, 1800)


def test_the_filmed_day_has_re_rigs_the_break_and_positions() -> None:
    """The re-rig from 09:20 is a row of its own, the meal is at 09:22, a recording by itself is the camera's."""
    view = view_of(filmed())
    rows = {row.label: row for row in view.rows}
    assert rows["Re-rig: camera to hob"].clock == "09:20"
    assert rows["Meal break for everybody"].work == "to 09:52 (30 min)"
    assert rows["chop"].camera == "over"
    assert view.is_filmed
    assert view.wrap == "10:20"
    shots = [(item.clock, item.detail) for item in view.shots]
    assert ("09:10", "over · dish") in shots
    assert ("09:58", "hob · dish · re-rig from 09:20") in shots
    assert view.alone == ()


def test_without_a_plan_there_is_no_board() -> None:
    """Nothing was found: no page, and no link to one on the cover."""
    nothing = SolveResult(status=SolveStatus.INFEASIBLE, schedule=None, bound_s=0, engine="by hand")
    made = replace(publication(), plan=nothing, day=())
    assert board_view(Basis.of(made)) is None
    files = render_documents(made, captions={})
    assert "board.html" not in files
    assert 'href="board.html"' not in files["index.html"]


def test_the_page_lets_only_its_own_script_run() -> None:
    """The policy names the hash of the script in the page (W3C CSP 3) and nothing else may be loaded."""
    files = render_documents(publication(), captions={})
    page = files["board.html"]
    script = re.search(r"<script>(.*?)</script>", page, re.DOTALL)
    assert script is not None
    digest = base64.b64encode(hashlib.sha256(script.group(1).encode()).digest()).decode()
    assert f"default-src 'none'; script-src 'sha256-{digest}'; style-src 'unsafe-inline'" in page
    assert "import " not in script.group(1)
    assert "export " not in script.group(1)
    assert 'href="board.html"' in files["index.html"]


def test_texts_of_the_day_stay_texts() -> None:
    """A step's name with markup in it is shown as it was written."""
    row = DayRow(
        clock_s=0, end_s=60, kind=RowKind.STEP, recipe="barley-soup", step="x", label='barley-soup: <b onclick="x">Cut',
        activities=("barley-soup/chop#hands",), parts=(RowPart(kind="hands", start_s=0, end_s=60),), who="cook",
    )  # fmt: skip
    page = render_documents(replace(publication(), day=(row,)), captions={})["board.html"]
    assert "<b onclick" not in page
    assert '<b onclick="x">Cut' in Page(page).text
