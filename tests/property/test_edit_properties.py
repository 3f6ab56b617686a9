"""Frames and milliseconds: exact both ways, holds never shorter, chapters that platforms take."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from shootplan.model.chapters import LEAST_CHAPTER_S, chapters_of
from shootplan.model.cut import Cut, Row, Section
from shootplan.model.timecode import RATES, frame_of_ms, label, least_frames, ms_of_frame, parse_label
from shootplan.timing.edit_rows import edit_rows

NAMES = sorted(RATES)
DAY_F = 24 * 3600 * 60


@given(frame=st.integers(0, DAY_F), name=st.sampled_from(NAMES))
@settings(max_examples=500, derandomize=True, deadline=None)
def test_a_frame_comes_back_from_its_millisecond(frame: int, name: str) -> None:
    """ms of frame, frame of ms: the same frame at every rate; its label too."""
    rate = RATES[name]
    assert frame_of_ms(ms_of_frame(frame, rate), rate) == frame
    assert parse_label(label(frame, rate), rate) == frame


@given(ms=st.integers(0, 90_000_000), name=st.sampled_from(NAMES))
@settings(max_examples=500, derandomize=True, deadline=None)
def test_a_time_is_at_most_half_a_frame_from_its_frame(ms: int, name: str) -> None:
    """The nearest frame is no farther than half a frame (and the half millisecond of rounding)."""
    rate = RATES[name]
    off_ms = abs(ms_of_frame(frame_of_ms(ms, rate), rate) - ms)
    assert 2 * off_ms <= 1000 / rate.frames_per_s + 1


@given(ms=st.integers(0, 100_000), start=st.integers(0, DAY_F), name=st.sampled_from(NAMES))
@settings(max_examples=500, derandomize=True, deadline=None)
def test_least_frames_last_long_enough_wherever_they_begin(ms: int, start: int, name: str) -> None:
    """A hold in frames is never below its milliseconds, and one frame fewer would be."""
    rate = RATES[name]
    frames = least_frames(ms, rate)
    assert ms_of_frame(start + frames, rate) - ms_of_frame(start, rate) >= ms
    assert (frames - 1) * 1000 < ms * rate.frames_per_s


@st.composite
def cuts(draw: st.DrawFn) -> Cut:
    """Return a cut of sections with rows of any lengths."""
    sections, at_ms = [], 0
    for number in range(draw(st.integers(0, 6))):
        rows = []
        for step in range(draw(st.integers(0, 3))):
            length_ms = draw(st.integers(1, 30_000))
            rows.append(Row(id=f"{number}.{step}", section=str(number), start_ms=at_ms, length_ms=length_ms))
            at_ms += length_ms + 500
        sections.append(Section(id=str(number), title=draw(st.sampled_from("abc")), rows=tuple(rows)))
    return Cut(sections=tuple(sections), captions=(), length_ms=max(0, at_ms - 500))


@given(cut=cuts())
@settings(max_examples=300, derandomize=True, deadline=None)
def test_chapters_keep_the_platforms_rules(cut: Cut) -> None:
    """First at 0:00, rising, ten seconds each by printed seconds, titles unique, no section lost."""
    found = chapters_of(cut)
    starts = [item.start_ms // 1000 for item in found]
    assert starts[:1] in ([], [0])
    assert all(b - a >= LEAST_CHAPTER_S for a, b in pairwise([*starts, cut.length_ms // 1000])) or len(found) <= 1
    assert len({item.title for item in found}) == len(found)
    assert [name for item in found for name in item.sections] == [item.id for item in cut.sections if item.rows]


@given(cut=cuts(), name=st.sampled_from(NAMES))
@settings(max_examples=200, derandomize=True, deadline=None)
def test_rows_in_frames_follow_each_other_without_a_hole(cut: Cut, name: str) -> None:
    """From the first row to the end of the video every frame belongs to one row."""
    found = edit_rows(cut, RATES[name])
    assert all(first.end_f == second.start_f for first, second in pairwise(found))
    if found:
        assert found[-1].end_f == frame_of_ms(cut.length_ms, RATES[name])
