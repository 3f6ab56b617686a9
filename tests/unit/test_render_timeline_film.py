"""The chart of the filmed day: cameras, re-rigs around the break, pick-ups and duplicates, on a day worked by hand."""

from __future__ import annotations

import itertools
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from publication_factory import publication

from shootplan.model.filmed_day import FilmedDay
from shootplan.model.filming import Camera, DayParts, Film, Meal, Stretch
from shootplan.model.planning import ActivityKind, Assignment, Schedule, SolveResult, SolveStatus
from shootplan.model.publication import Publication
from shootplan.plan.day import steps_by_clock
from shootplan.plan.film_orders import recordings_of
from shootplan.render import render_documents
from shootplan.render.basis import Basis
from shootplan.render.chart import Chart, Lane
from shootplan.render.timeline_film import draw_film, fold_film
from shootplan.render.views_film import film_view
from tests.film_helpers import camera, day, left, shot, work

MINUTE = 60
#: Call 09:00. Set-up to 09:10. Chop 09:10-09:20 from over. Re-rig 8 min around the meal 09:22-09:52: 09:20-09:22 and
#: 09:52-09:58. Duplicate in at 09:55. Stir 09:58-10:03 from the hob. Picked up from the hob 10:03-10:05. A fixed
#: camera runs 09:15-10:00 by itself. Strike 10:05-10:20.
TIMES = {
    "chop": (10, 20), "rest+shot": (15, 60), "break": (22, 52), "wait": (55, 55), "stir": (58, 63),
    "fold+pick-up": (63, 65),
}  # fmt: skip


def filmed() -> Publication:
    """Return the publication made by hand, with that filmed day in it."""
    fixed = Camera(name="second camera")
    lock_off = Film(camera=fixed.name, position="lock-off")
    plan_input = replace(
        day(
            shot("chop", 10, "over"),
            left("rest+shot", 45, label="dish: Rest (filmed)", film=lock_off),
            work("break", 30, kind=ActivityKind.BREAK, workers=()),
            left("wait", 0, label="dish: Bake (duplicate comes in)"),
            shot("stir", 5, "hob"),
            shot("fold+pick-up", 2, "hob", label="dish: Fold (picked up)"),
            cameras=(camera(ready=10), fixed),
        ),
        meal=Meal(activity="break", length_s=30 * MINUTE, within_s=6 * 3600),
    )
    schedule = Schedule(
        assignments=tuple(
            Assignment(
                activity=item.id,
                pieces=((TIMES[item.id][0] * MINUTE, TIMES[item.id][1] * MINUTE),),
                worker="host" if item.workers else "",
            )
            for item in plan_input.activities
        ),
    )
    parts = DayParts(
        set_up_s=600, recording_s=1020, rerig_s=480, reset_s=0, wait_s=0, break_s=1800, strike_s=900
    )  # 10 + 17 + 8 + 30 + 15 = 80 minutes
    made = FilmedDay(
        plan_input=plan_input,
        result=SolveResult(status=SolveStatus.OPTIMAL, schedule=schedule, bound_s=65 * MINUTE, engine="by hand"),
        rows=steps_by_clock(plan_input, schedule),
        peaks=(),
        recordings=recordings_of(plan_input, schedule),
        parts=parts,
        stretches=(Stretch(part="strike", start_s=65 * MINUTE, end_s=80 * MINUTE),),
    )
    return replace(publication(), filmed=made)


@pytest.fixture(scope="module")
def chart() -> Chart:
    """Return the wide chart of that day."""
    made = filmed()
    assert made.filmed is not None
    drawn = draw_film(Basis.of(made), film_view(made.resolved, made.filmed))
    assert drawn is not None
    return drawn


def lane(chart: Chart, label: str) -> Lane:
    """Return the lane of that label."""
    return next(item for item in chart.lanes if item.label == label)


def spans(chart: Chart, label: str) -> list[tuple[str, int, int]]:
    """Return the bars of a lane as (style, minute from call, minute to), read off the drawing."""
    minute = (chart.width - chart.left - 24) / 80
    return [
        (bar.style, round((bar.x - chart.left) / minute), round((bar.x + bar.width - chart.left) / minute))
        for bar in lane(chart, label).bars
    ]


def test_the_cameras_stand_first_and_nothing_is_drawn_twice(chart: Chart) -> None:
    """The recording of what rests is the camera's, not something left alone."""
    assert [item.label for item in chart.lanes] == ["camera", "second camera", "host", "duplicate in"]


def test_a_camera_sets_up_records_moves_around_the_break_and_is_struck(chart: Chart) -> None:
    """To scale, worked by hand; the re-rig is in two parts with the meal between them."""
    assert spans(chart, "camera") == [
        ("outline", 0, 10),
        ("take", 10, 20),
        ("move", 20, 22),
        ("away", 22, 52),
        ("move", 52, 58),
        ("take", 58, 63),
        ("take", 63, 65),
        ("outline", 65, 80),
    ]
    assert spans(chart, "host") == [("solid", 10, 20), ("away", 22, 52), ("solid", 58, 63), ("solid", 63, 65)]


def test_the_list_begins_the_move_before_the_break() -> None:
    """Eight minutes that end at 09:58 with the meal 09:22-09:52 in them begin at 09:20, as the chart shows."""
    made = filmed()
    assert made.filmed is not None
    (row,) = [row for row in film_view(made.resolved, made.filmed).rows if row.kind == "move"]
    assert (row.clock, row.until) == ("09:20", "09:58")


def test_a_camera_that_runs_alone_has_no_break(chart: Chart) -> None:
    """It records through the meal; no bar lies over another in any lane."""
    assert spans(chart, "second camera") == [("take", 15, 60)]
    for item in chart.lanes:
        for first, second in itertools.pairwise(item.bars):
            assert first.x + first.width <= second.x + 0.2, item.label


def test_pick_ups_and_duplicates_are_said_in_words_and_signs(chart: Chart) -> None:
    """Both have a sign of their own and a title; what the numbers are of is said."""
    (mark,) = lane(chart, "camera").pick_ups
    assert "Fold" in mark.title
    assert "picked up from hob, 10:03 to 10:05" in mark.title
    (bar,) = lane(chart, "duplicate in").bars
    assert (bar.style, bar.label) == ("moment", "Bake")
    assert "the duplicate comes in at 09:55" in bar.title
    assert chart.numbers_of == "the list by the clock"
    assert "the duplicate comes in at 09:55" in chart.description


def test_numbers_are_those_of_the_list_on_the_page() -> None:
    """Each recording carries the number of its row; the page holds the chart, wide and folded, well-formed."""
    made = filmed()
    assert made.filmed is not None
    rows = film_view(made.resolved, made.filmed).rows
    number = next(row.number for row in rows if "stir" in row.activities)
    files = render_documents(made, captions={})
    page = files["shoot_day.html"]
    assert f"<title>{number} stir (dish), recorded from hob, 09:58 to 10:03 (5 min)</title>" in page
    drawings = [text.split("</svg>")[0] + "</svg>" for text in page.split("<svg ")[1:]]
    assert len(drawings) == 4
    for text in drawings:
        ElementTree.fromstring("<svg " + text)
    assert "re-rig" in drawings[0]
    assert "the shooting order" in files["timeline.svg"]
    assert "-rungs" not in files["timeline.svg"]


def test_folded_a_moment_and_a_pick_up_stand_in_one_stretch_only() -> None:
    """80 minutes are three stretches of half an hour; the duplicate is in the second, the pick-up in the third."""
    made = filmed()
    assert made.filmed is not None
    view = film_view(made.resolved, made.filmed)
    folds = fold_film(Basis.of(made), view)
    assert len(folds) == 3
    found = [number for number, fold in enumerate(folds) for item in fold.lanes if item.label == "duplicate in"]
    assert found == [1]
    assert [sum(len(item.pick_ups) for item in fold.lanes) for fold in folds] == [0, 0, 1]


def test_without_a_filmed_day_there_is_no_chart() -> None:
    """A build of the cooked day alone has neither chart nor page."""
    made = filmed()
    assert made.filmed is not None
    plain, view = Basis.of(publication()), film_view(made.resolved, made.filmed)
    assert draw_film(plain, view) is None
    assert fold_film(plain, view) == ()
    assert "shoot_day.html" not in render_documents(publication(), captions={})
