"""The small pictures: to scale, with every figure in words, apart by filling and not by colour."""

from __future__ import annotations

from dataclasses import replace
from xml.etree import ElementTree

import pytest
from publication_factory import publication

from shootplan.model.cut import Cut
from shootplan.model.publication import Publication
from shootplan.render import render_documents
from shootplan.render.basis import Basis
from shootplan.render.pictures import Picture, cost_picture, cut_picture, peaks_picture, times_picture
from shootplan.render.timeline import draw_day, fold_day

SVG = "{http://www.w3.org/2000/svg}"


def bars(picture: Picture | None) -> list[tuple[float, str]]:
    """Return width and filling of each bar above the key."""
    assert picture is not None
    return [(shape.width, shape.style) for shape in picture.shapes if shape.y < picture.height - 24]


def test_costs_are_to_scale_and_options_hollow() -> None:
    """By hand: barley 0.27, onion 0.11, salt 0.0024 of 0.3824; cheese 0.32, optional, is the longest."""
    picture = cost_picture(Basis.of(publication()), "barley-soup")
    assert picture is not None
    widths = bars(picture)
    assert [style for _, style in widths] == ["solid", "solid", "solid", "hollow"]
    assert [width for width, _ in widths] == [pytest.approx(w, abs=0.1) for w in (286.875, 116.875, 2.55, 340)]
    assert "pearl barley £0.27, 71 %; onion £0.11, 29 %" in picture.description
    assert "hard cheese £0.32 (optional)" in picture.description


def test_hands_and_waiting_make_up_the_whole() -> None:
    """Each dish: solid then hatched, together as long as start to table, all on one scale."""
    basis = Basis.of(publication())
    picture = times_picture(basis)
    soup = basis.publication.times.recipes[0]
    longest = max(item.elapsed.high_s for item in basis.publication.times.recipes)
    (hands, solid), (waiting, hatched) = bars(picture)[:2]
    assert (solid, hatched) == ("solid", "hatched")
    assert hands + waiting == pytest.approx(340 * soup.elapsed.high_s / longest, abs=0.2)
    assert hands == pytest.approx(340 * soup.active.high_s / longest, abs=0.1)


def test_equipment_shows_a_box_for_each_piece() -> None:
    """Solid boxes are the peak, all boxes what there is; single things are left to the table."""
    basis = Basis.of(publication())
    several = [peak for peak in basis.publication.peaks if peak.peak and peak.capacity > 1]
    picture = peaks_picture(basis)
    assert several
    assert [style for _, style in bars(picture)].count("solid") == sum(peak.peak for peak in several)
    assert len(bars(picture)) == sum(peak.capacity for peak in several)


def test_the_strip_is_as_long_as_the_video(supper_publication: Publication) -> None:
    """Chapters butt against each other from end to end; captions stand where they stand in time."""
    picture = cut_picture(Basis.of(supper_publication))
    assert picture is not None
    strip = [shape for shape in picture.shapes if shape.y == 2]
    assert strip[0].x == 0
    assert sum(shape.width for shape in strip) == pytest.approx(picture.width, abs=0.5)
    marks = [shape for shape in picture.shapes if shape.y == 33]
    assert len(marks) == len(supper_publication.cut.captions)
    assert cut_picture(Basis.of(replace(supper_publication, cut=Cut(sections=(), captions=(), length_ms=0)))) is None


def test_the_folded_day_is_the_whole_day(supper_publication: Publication) -> None:
    """Lengths of all bars of one person add up to those of the wide chart, and the chain is marked in both."""
    basis = Basis.of(supper_publication)
    chart, folds = draw_day(basis), fold_day(basis)
    assert chart is not None
    assert [fold.title.split(": ")[1] for fold in folds][:2] == ["09:00 to 09:30", "09:30 to 10:00"]
    wrap_s = basis.publication.plan.schedule.makespan_s if basis.publication.plan.schedule else 0
    host = next(lane for lane in chart.lanes if lane.label == "host")
    wide_s = sum(bar.width for bar in host.bars) * wrap_s / (chart.width - chart.left - 24)
    folded = [bar for fold in folds for lane in fold.lanes if lane.label == "host" for bar in lane.bars]
    assert sum(bar.width for bar in folded) * 1800 / 308 == pytest.approx(wide_s, rel=0.01)
    assert any(bar.decides_wrap for lane in chart.lanes for bar in lane.bars)
    assert any(bar.decides_wrap for fold in folds for lane in fold.lanes for bar in lane.bars)


def test_every_drawing_is_well_formed_and_named() -> None:
    """Each is XML, has a title and a description of its own, and ids are unique in a page."""
    for name, text in render_documents(publication(), captions={}).items():
        if not name.endswith(".html"):
            continue
        ids: list[str] = []
        for start in [at for at in range(len(text)) if text.startswith("<svg", at)]:
            svg = ElementTree.fromstring(text[start : text.index("</svg>", start) + 6])
            title, words = svg.find(f"{SVG}title"), svg.find(f"{SVG}desc")
            assert title is not None
            assert title.text
            assert words is not None
            assert words.text
            ids += [item.attrib["id"] for item in svg.iter() if "id" in item.attrib]
        assert len(ids) == len(set(ids)), name
