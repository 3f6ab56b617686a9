"""The chart of the day: to scale, one lane for each thing that is one, hands-on apart from left alone by its look."""

from __future__ import annotations

import itertools
from dataclasses import replace
from datetime import time
from xml.etree import ElementTree

from publication_factory import publication

from shootplan.model.planning import Worker
from shootplan.render import render_documents
from shootplan.render.basis import Basis
from shootplan.render.chart import Chart, Lane
from shootplan.render.timeline import draw_day

SVG = "{http://www.w3.org/2000/svg}"


def chart() -> Chart:
    """Return the chart of the publication made by hand."""
    drawn = draw_day(Basis.of(publication()))
    assert drawn is not None
    return drawn


def lane(label: str) -> Lane:
    """Return the lane of that label."""
    return next(item for item in chart().lanes if item.label == label)


def test_there_is_a_lane_for_each_person_ring_and_vessel_in_use() -> None:
    """One cook, one ring at once, one pan, one thing left alone away from the hob."""
    assert [item.label for item in chart().lanes] == ["cook", "ring", "3 l pan", "left alone"]


def test_bars_are_to_scale() -> None:
    """Ten minutes of chopping and three of toast: widths as 10 to 3, the toast two minutes after the first ends."""
    chop, toast, _ = lane("cook").bars
    minute = chop.width / 10
    assert abs(toast.width - 3 * minute) < 0.2
    assert abs(toast.x - (chop.x + 12 * minute)) < 0.2
    assert chop.x == chart().left


def test_hands_on_and_left_alone_differ_by_pattern() -> None:
    """Solid against hatched, named in words in the title of each bar."""
    assert {bar.style for bar in lane("cook").bars} == {"solid"}
    (simmer,) = lane("ring").bars
    assert simmer.style == "hatched"
    assert "left alone" in simmer.title
    text = render_documents(publication(), captions={})["timeline.svg"]
    assert 'fill="url(#chart-hatch)"' in text


def test_numbers_are_those_of_the_shooting_order() -> None:
    """The simmer is the second row of the list and carries its number."""
    assert lane("ring").bars[0].label.startswith("2 ")


def test_look_ins_and_limits_are_marked() -> None:
    """The look-in stands on the cook's lane at 09:30."""
    (mark,) = lane("cook").look_ins
    assert "09:30" in mark.title
    chop = lane("cook").bars[0]
    assert abs(mark.x - (chop.x + 3 * chop.width)) < 0.3


def test_a_vessel_is_held_until_it_is_freed_and_then_washed() -> None:
    """The pan is held from 09:10 to 09:47 and washed to 09:50."""
    (bar,) = lane("3 l pan").bars
    assert bar.style == "outline"
    assert "09:10 to 09:47" in bar.title
    assert "washed to 09:50" in bar.title


def test_things_at_the_same_time_get_lanes_of_their_own() -> None:
    """Nothing is drawn over something else, however many rings are on."""
    made = publication()
    activities = tuple(replace(item, needs=(("ring", 1),)) for item in made.plan_input.activities)
    drawn = draw_day(Basis.of(replace(made, plan_input=replace(made.plan_input, activities=activities))))
    assert drawn is not None
    assert [item.label for item in drawn.lanes][1:3] == ["ring 1", "ring 2"]
    for item in drawn.lanes:
        ends = [(bar.x, bar.x + bar.width) for bar in item.bars]
        assert all(end <= start + 0.2 for (_, end), (start, _) in itertools.pairwise(ends))


def test_a_break_is_shown() -> None:
    """A person's time away is dotted."""
    made = publication()
    workers = (Worker(name="cook", away=((20 * 60, 25 * 60),)),)
    drawn = draw_day(Basis.of(replace(made, plan_input=replace(made.plan_input, workers=workers))))
    assert drawn is not None
    assert [bar.style for bar in drawn.lanes[0].bars].count("away") == 1


def test_the_clock_has_round_ticks() -> None:
    """With a call at 08:32 the first tick is at 08:35."""
    made = publication()
    episode = replace(made.resolved.episode, call=time(8, 32))
    drawn = draw_day(Basis.of(replace(made, resolved=replace(made.resolved, episode=episode))))
    assert drawn is not None
    assert [tick.label for tick in drawn.ticks][:2] == ["08:35", "08:40"]


def test_the_picture_is_told_in_words() -> None:
    """Title and description carry every bar, for those who do not see it."""
    root = ElementTree.fromstring(render_documents(publication(), captions={})["timeline.svg"])
    assert root.get("role") == "img"
    names = {
        item.get("id"): item.text or ""
        for item in (root.find(f"{SVG}title"), root.find(f"{SVG}desc"))
        if item is not None
    }
    assert root.get("aria-labelledby") == " ".join(names)
    assert "09:00 to 09:47" in names["chart-title"]
    assert names["chart-description"].count("left alone,") == 2
