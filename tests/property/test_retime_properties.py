"""Re-timing: whatever the edit, no rule for captions is broken; whatever the file, no traceback."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from shootplan.app.retime import place
from shootplan.model.retiming import Place
from shootplan.model.timecode import RATES, label, ms_of_frame
from shootplan.problems import InputError
from shootplan.read.files import MemoryFiles
from shootplan.timing.edit_list import write_edit_lists
from shootplan.timing.edit_otio import write_otio
from shootplan.timing.edit_rows import edit_rows
from shootplan.timing.retime import check_captions, retime_cut
from shootplan.timing.settle import Wanted, settle
from tests.unit.retime_factory import CUT

NAMES = sorted(RATES)
RATE = RATES["25"]


@st.composite
def wanted(draw: st.DrawFn) -> tuple[list[Wanted], int]:
    """Return captions with any places in pictures of any lengths that follow each other, and the video's length."""
    edges = sorted(draw(st.lists(st.integers(0, 2000), min_size=2, max_size=8, unique=True)))
    found = []
    for low, high in pairwise(edges):
        for _ in range(draw(st.integers(0, 3))):
            at = low + Fraction(draw(st.integers(0, 1000)), 1001) * (high - low)
            need = draw(st.integers(1, 120))
            hold = need + draw(st.integers(0, 60))
            place_ = Place(at_f=at, low_f=Fraction(low), high_f=Fraction(high))
            found.append(Wanted(id=f"c{len(found)}", place=place_, hold_f=hold, need_f=need, order=len(found)))
    return found, edges[-1]


@given(case=wanted(), over_cuts=st.booleans())
@settings(max_examples=600, derandomize=True, deadline=None)
def test_settled_captions_keep_every_rule(case: tuple[list[Wanted], int], over_cuts: bool) -> None:
    """Each is settled or lost, none shorter than its need, none on another, none outside the video or its picture."""
    captions, length_f = case
    slots, lost = settle(captions, RATE, length_f, over_cuts=over_cuts)
    assert sorted([slot.id for slot in slots] + list(lost)) == sorted(item.id for item in captions)
    by_id = {item.id: item for item in captions}
    for slot in slots:
        item = by_id[slot.id]
        assert slot.out_f - slot.in_f >= item.need_f
        assert 0 <= slot.in_f < slot.out_f <= length_f
        assert slot.in_f >= item.place.low_f
        if not over_cuts:
            assert slot.out_f <= item.place.high_f
    assert all(first.out_f <= second.in_f for first, second in pairwise(slots))
    # Where pictures follow each other without a hole, a short gap can always be closed or widened.
    assert all(
        second.in_f - first.out_f == 0 or second.in_f - first.out_f >= 25 for first, second in pairwise(slots)
    ) or (over_cuts or any("less than a second" in remark for slot in slots for remark in slot.remarks))


@st.composite
def lists(draw: st.DrawFn) -> str:
    """Return an edit list of pieces of the script's rows in any order, length and speed."""
    lines, at = ["TITLE: any", "FCM: NON-DROP FRAME"], 90_000
    for number in range(1, draw(st.integers(1, 8)) + 1):
        row = draw(st.sampled_from([row.id for row in CUT.rows] + ["something else"]))
        record = draw(st.integers(1, 600))
        speed = draw(st.sampled_from([25, 25, 50, 100, -25, 0]))
        source = draw(st.integers(0, 400))
        end = source + max(1, record * abs(speed) // 25)
        labels = [label(frame, RATE) for frame in (source, end, at, at + record)]
        lines += [f"{number:03d}  AX  V  C  {' '.join(labels)}", f"* FROM CLIP NAME: {row}"]
        lines += [f"M2   AX  {speed:+06.1f}  {labels[0]}"] if speed != 25 else []
        at += record
    return "\n".join(lines) + "\n"


@given(text=lists(), over_cuts=st.booleans())
@settings(max_examples=200, derandomize=True, deadline=None)
def test_any_edit_keeps_the_rules(text: str, over_cuts: bool) -> None:
    """Every planned caption is found once or lost; the check after re-timing finds no short hold and no collision."""
    try:
        placing, _ = place(CUT, RATE, cut="a.edl", files=MemoryFiles({"a.edl": text}))
    except InputError as error:
        assert {problem.code for problem in error.problems} <= {"edit-empty", "edit-speed-unclear"}
        return
    report = retime_cut(CUT, edit_rows(CUT, RATE), placing, RATE, over_cuts=over_cuts)
    assert [move.id for move in report.captions] == [caption.id for caption in CUT.captions]
    assert {finding.code for finding in check_captions(report.cut, RATE)} <= {"cut-gap-short"}
    kept = {move.id for move in report.captions if not move.is_lost}
    assert {caption.id for caption in report.cut.captions} == kept
    assert all(caption.row in {row.id for row in report.cut.rows} for caption in report.cut.captions)


@given(name=st.sampled_from(NAMES), kind=st.sampled_from(["edl", "otio"]))
@settings(max_examples=40, derandomize=True, deadline=None)
def test_writing_and_re_timing_is_frame_exact(name: str, kind: str) -> None:
    """Our own edit comes back with every caption on its very frame, at every rate."""
    rate = RATES[name]
    text = write_edit_lists(CUT, rate, "x")["edit.edl"] if kind == "edl" else write_otio(CUT, rate, "x")
    placing, problems = place(CUT, rate, cut=f"a.{kind}", files=MemoryFiles({f"a.{kind}": text}))
    assert problems == ()
    rows = edit_rows(CUT, rate)
    for item in rows:
        for mark in item.marks:
            assert placing.captions[mark.caption.id].at_f == item.start_f + mark.in_f
    report = retime_cut(CUT, rows, placing, rate)
    for item in rows:
        for mark in item.marks:
            move = next(move for move in report.captions if move.id == mark.caption.id)
            assert move.in_ms == ms_of_frame(item.start_f + mark.in_f, rate)


TOKENS = [
    "TITLE:", "FCM: DROP FRAME", "FCM: NON-DROP FRAME", "\n", " ", "001", "V", "C", "D 025", "M2", "AX",
    "bake.cut", "0:10",
    "* FROM CLIP NAME: bake.cut", "* LOC: 01:00:00:00 RED bake.boil", "00:00:01:00", "01:00:00:00", "-025.0", "-->",
    "00:00:01.000 --> 00:00:02.000", "WEBVTT", "{", "}", "[", '"OTIO_SCHEMA": "Timeline.1"', ",", "\u2028", "\0",
    "99:99:99:99",
    "001  AX  V  C  00:00:00:00 00:00:10:00 01:00:00:00 01:00:10:00",
]  # fmt: skip


@given(
    parts=st.lists(st.one_of(st.sampled_from(TOKENS), st.text(max_size=6)), max_size=30),
    name=st.sampled_from(["a.edl", "a.otio", "a.vtt", "a.srt", "a.csv", "a.txt", "a"]),
    rate=st.sampled_from(NAMES),
)
@settings(max_examples=600, derandomize=True, deadline=None)
def test_any_text_gives_places_or_problems(parts: list[str], name: str, rate: str) -> None:
    """Never another exception; every problem lies inside the file."""
    text = "".join(parts)
    try:
        placing, problems = place(CUT, RATES[rate], cut=name, files=MemoryFiles({name: text}))
        retime_cut(CUT, edit_rows(CUT, RATES[rate]), placing, RATES[rate])
    except InputError as error:
        problems = error.problems
        assert problems
    lines = text.count("\n") + 1
    assert all(1 <= problem.span.line <= lines and problem.span.path == name for problem in problems)
