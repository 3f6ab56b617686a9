"""
Edit lists, timelines and frame counts against independent readers and published values.

Sources: SMPTE ST 12-1 by way of the libraries ``timecode`` 1.5.1 and OpenTimelineIO 0.18.1; CMX 3600 as read by
otio-cmx3600-adapter 1.0.0; values T131 to T135 of the collected check values (device manuals and plain arithmetic).
"""

from __future__ import annotations

import opentimelineio as otio
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from timecode import Timecode

from shootplan.model.timecode import RATES, Rate, label
from shootplan.timing.finished_list import read_edit_list
from shootplan.timing.finished_otio import read_otio
from shootplan.timing.row_names import RowNames
from tests.unit.retime_factory import CUT, edl, event, retimed, times

NAMES = ("23.976", "24", "25", "29.97", "29.97 drop", "30", "50", "59.94", "59.94 drop", "60")
#: Frames of 23 hours: at 24 the library ``timecode`` begins anew, at 29.97 non-drop some minutes too soon.
HOURS_23 = {name: 23 * (RATES[name].base * 3600 - 54 * RATES[name].dropped) for name in NAMES}


def by_timecode(frame: int, name: str) -> str:
    """Return the label that the library ``timecode`` gives; it counts frames from one."""
    rate = RATES[name]
    is_ntsc = rate.frames_per_s.denominator != 1
    plain = name.removesuffix(" drop")
    return str(Timecode(plain, frames=frame + 1, force_non_drop_frame=is_ntsc and not rate.is_drop))


@given(name=st.sampled_from(NAMES), data=st.data())
@settings(max_examples=400, derandomize=True, deadline=None)
def test_two_libraries_count_as_we_do_at_every_rate(name: str, data: st.DataObject) -> None:
    """Any frame of 23 hours, drop-frame and not."""
    frame = data.draw(st.integers(0, HOURS_23[name] - 1))
    rate = RATES[name]
    assert by_timecode(frame, name) == label(frame, rate)
    time = otio.opentime.RationalTime(frame, float(rate.frames_per_s))
    assert otio.opentime.to_timecode(time, time.rate, rate.is_drop) == label(frame, rate)


# ---------------------------------------------------------------------------------------------------- published values


def length_of(text: str, rate: Rate = RATES["25"]) -> int:
    """Return how many source frames the first event of a list has, by the shot's record length and speed."""
    edit, problems = read_edit_list(text, "a.edl", names=RowNames(CUT), reels={}, rate=rate)
    assert problems == ()
    shot = edit.shots[0]
    return int((shot.out_f - shot.in_f) * shot.speed)


def test_t131_a_caption_in_a_shot() -> None:
    """Record in 01:00:14:12 at 25, programme from 01:00:00:00, 1.2 s after the shot starts: 15.680 s."""
    card = event(1, "AX", "00:00:00 00:14:12", "00:00:00 00:14:12", "card")
    shot = event(2, "R002", "00:00:00 00:10:00", "00:14:12 00:24:12", "bake.cut")
    found = times(retimed(edl(card, shot)))["bake.cut.1"]
    assert found is not None
    assert found[0] == 15_680


def test_t134_and_t135_lengths_of_events() -> None:
    """00:00:00:00 to 00:00:04:12 at 25 are 112 frames; 00:00:00;00 to 00:01:00;02 drop-frame are 1800."""
    assert length_of(edl("001  AX  V  C  00:00:00:00 00:00:04:12 01:00:00:00 01:00:04:12\n")) == 112
    text = edl("001  AX  V  C  00:00:00;00 00:01:00;02 01:00:00;00 01:01:00;02\n", mode="DROP FRAME")
    assert length_of(text, RATES["29.97"]) == 1800


# ---------------------------------------------------------------------------------------------------- other readers


@st.composite
def cut_lists(draw: st.DrawFn) -> tuple[str, list[tuple[str, int, int, int]]]:
    """Return a list of plain cuts, and (name, record in, record out, source in) of each event, counted from zero."""
    lines, at, events = ["TITLE: any", "FCM: NON-DROP FRAME"], 90_000, []
    for number in range(1, draw(st.integers(1, 12)) + 1):
        length, source = draw(st.integers(1, 5000)), draw(st.integers(0, 500_000))
        name = draw(st.sampled_from([row.id for row in CUT.rows]))
        stamps = [label(frame, RATES["25"]) for frame in (source, source + length, at, at + length)]
        lines += [f"{number:03d}  AX       V     C        {' '.join(stamps)}", f"* FROM CLIP NAME: {name}"]
        events.append((name, at - 90_000, at - 90_000 + length, source))
        at += length
    return "\n".join(lines) + "\n", events


@given(case=cut_lists())
@settings(max_examples=60, derandomize=True, deadline=None)
def test_lists_are_read_as_the_public_adapter_reads_them(case: tuple[str, list[tuple[str, int, int, int]]]) -> None:
    """Names, record times and source times of every event agree with otio-cmx3600-adapter and with how it was made."""
    text, events = case
    edit, problems = read_edit_list(text, "a.edl", names=RowNames(CUT), reels={}, rate=RATES["25"])
    assert problems == ()
    ours = [(shot.name, int(shot.in_f), int(shot.out_f), int(shot.source_f)) for shot in edit.shots]
    assert ours == events
    theirs = []
    track = otio.adapters.read_from_string(text, "cmx_3600", rate=25).video_tracks()[0]
    for clip in track.find_clips():
        place = track.range_of_child(clip)
        start = int(place.start_time.value)
        theirs.append((clip.name, start, start + int(place.duration.value), int(clip.source_range.start_time.value)))
    assert ours == theirs
    # The same edit, written by the library as a timeline, is read alike.
    timeline = otio.schema.Timeline(name="x")
    timeline.tracks.append(track.deepcopy())
    again, problems = read_otio(timeline.to_json_string(), "a.otio", names=RowNames(CUT), rate=RATES["25"])
    assert problems == ()
    assert [(shot.name, int(shot.in_f), int(shot.out_f), int(shot.source_f)) for shot in again.shots] == ours


@pytest.mark.parametrize("name", ["29.97 drop", "59.94 drop"])
def test_a_drop_frame_list_is_read_as_the_adapter_reads_it(name: str) -> None:
    """A shot from minute 9 to minute 11, where labels are skipped and not skipped."""
    rate = RATES[name]
    first, hour = 9 * 60 * rate.base - 8 * rate.dropped, 60 * 60 * rate.base - 54 * rate.dropped
    stamps = [label(frame, rate) for frame in (first, first + 7000, hour, hour + 7000)]
    text = edl(f"001  AX       V     C        {' '.join(stamps)}\n", mode="DROP FRAME")
    edit, _ = read_edit_list(text, "a.edl", names=RowNames(CUT), reels={}, rate=rate)
    clip = otio.adapters.read_from_string(text, "cmx_3600", rate=float(rate.frames_per_s)).find_clips()[0]
    assert int(edit.shots[0].source_f) == round(clip.source_range.start_time.value) == first
    assert edit.shots[0].out_f == round(clip.source_range.duration.value) == 7000
