"""Re-timing by a timeline, by markers and by the subtitles of the speech, with answers worked on paper."""

from __future__ import annotations

import json
from typing import Any

import opentimelineio as otio
import pytest

from shootplan.app.retime import place
from shootplan.model.retiming import Way
from shootplan.model.timecode import RATES
from shootplan.read.files import MemoryFiles
from shootplan.timing.edit_otio import write_otio
from tests.unit.retime_factory import CUT, edl, event, faults, placed, retimed, times

Time, Range = otio.opentime.RationalTime, otio.opentime.TimeRange


def seconds(start: float, length: float, rate: float = 25) -> otio.opentime.TimeRange:
    """Return a range in seconds."""
    return Range(Time(start * rate, rate), Time(length * rate, rate))


def clip(name: str, start: float, length: float, **more: Any) -> otio.schema.Clip:
    """Return a clip made by the library."""
    return otio.schema.Clip(name=name, source_range=seconds(start, length), **more)


def timeline(*tracks: otio.schema.Track) -> str:
    """Return a timeline as the library writes it."""
    made = otio.schema.Timeline(name="by hand")
    made.tracks.extend(tracks)
    return str(made.to_json_string())


def video(*items: Any) -> otio.schema.Track:
    """Return a video track."""
    return otio.schema.Track(name="V1", kind="Video", children=list(items))


def gap(length: float) -> otio.schema.Gap:
    """Return a gap."""
    return otio.schema.Gap(source_range=seconds(0, length))


# ---------------------------------------------------------------------------------------------------- timelines


def test_our_timeline_cut_by_the_library_is_followed() -> None:
    """The library drops the first row and puts a gap of 2 s before the bake: its caption comes at 3.2 s."""
    made = otio.adapters.read_from_string(write_otio(CUT, RATES["25"], "x"), "otio_json")
    track = made.tracks[0]
    del track[0]
    track.insert(0, gap(2))
    found = times(retimed(made.to_json_string(), "a.otio"))
    assert found["bake.cut.1"] == (3200, 6200)
    assert found["bake.boil.1"] == (13_000, 16_000)
    assert retimed(made.to_json_string(), "a.otio").rows_lost == ("opening.hello",)


def test_a_clip_of_real_media_counts_from_its_earliest_frame() -> None:
    """Media with a time of day: the row begins at its first used frame, 1.2 s later its caption."""
    media = otio.schema.ExternalReference(target_url="take2.mov", available_range=seconds(50_000, 90))
    text = timeline(video(gap(5), clip("bake.cut take 2", 50_030, 10, media_reference=media)))
    assert times(retimed(text, "a.otio"))["bake.cut.1"] == (6200, 9200)


def test_a_time_warp_and_a_freeze_are_followed() -> None:
    """Twice as fast: 1.2 s of source after 0.6 s. Frozen on the first frame: the anchor is not shown."""
    fast = clip("bake.cut", 0, 5)
    fast.effects.append(otio.schema.LinearTimeWarp(time_scalar=2.0))
    assert times(retimed(timeline(video(fast)), "a.otio"))["bake.cut.1"] == (600, 3600)
    still = clip("bake.cut", 0, 5)
    still.effects.append(otio.schema.FreezeFrame())
    assert times(retimed(timeline(video(still)), "a.otio"))["bake.cut.1"] is None
    back = clip("bake.cut", 0, 10)
    back.effects.append(otio.schema.LinearTimeWarp(time_scalar=-1.0))
    placing, _ = placed(timeline(video(back)), "a.otio")
    assert placing.captions["bake.cut.1"].at_f == 249 - 30


def test_of_a_transition_the_incoming_clip_counts_from_its_start() -> None:
    """A dissolve from 11.6 to 12.4 s: the library's in_offset lies before the cut; source 0.4 s sooner too."""
    dissolve = otio.schema.Transition(transition_type="SMPTE_Dissolve", in_offset=Time(10, 25), out_offset=Time(10, 25))
    text = timeline(video(clip("opening.hello", 0, 12), dissolve, clip("bake.cut", 3.4, 9)))
    placing, _ = placed(text, "a.otio")
    # The cut is at frame 300 on source frame 85; the picture comes in at 290 on source 75, where the row then begins.
    assert placing.rows["bake.cut"].start_f == 290
    assert placing.captions["bake.cut.1"].at_f == 290 + 30
    assert placing.rows["opening.hello"].end_f == 290


def test_stacks_in_tracks_and_trims_are_followed() -> None:
    """Of a nested stack of 20 s, 5 s from its second 8 on are used, at 3 s: the bake, there at 10 s, comes at 5 s."""
    inner = otio.schema.Stack(name="nested", children=[video(gap(10), clip("bake.cut", 0, 10))])
    inner.source_range = seconds(8, 5)
    placing, problems = placed(timeline(video(gap(3), inner, clip("closing.end", 0, 10))), "a.otio")
    assert problems == ()
    assert (placing.rows["bake.cut"].start_f, placing.rows["bake.cut"].end_f) == (125, 200)
    assert placing.captions["bake.cut.1"].at_f == 125 + 30
    assert placing.rows["closing.end"].start_f == 200


def test_other_rates_are_converted_exactly() -> None:
    """A clip counted at 23.976 in a video of 25: 24 of its frames are 1.001 s."""
    ntsc = Range(Time(24, 23.976023976), Time(240, 23.976023976))
    text = timeline(video(otio.schema.Clip(name="bake.cut", source_range=ntsc)))
    placing, _ = placed(text, "a.otio")
    assert placing.rows["bake.cut"].end_f * 24000 == 240 * 1001 * 25


def test_disabled_clips_and_sound_do_not_count() -> None:
    """What is switched off keeps its room and is not seen."""
    off = clip("bake.cut", 0, 10)
    off.enabled = False
    sound = otio.schema.Track(name="A1", kind="Audio", children=[clip("bake.boil", 0, 60)])
    placing, _ = placed(timeline(video(off, clip("closing.end", 0, 10)), sound), "a.otio")
    assert set(placing.rows) == {"closing.end"}
    assert placing.rows["closing.end"].start_f == 250


def test_markers_of_a_timeline_place_what_no_clip_does() -> None:
    """Clips with the camera's names, and markers on clip and timeline named by caption and row."""
    first, second = clip("C0001", 100, 20), clip("C0002", 500, 20)
    first.markers.append(otio.schema.Marker(name="bake.cut.1", marked_range=seconds(105, 0)))
    made = otio.schema.Timeline(name="x")
    made.tracks.append(video(first, second))
    made.tracks.markers.append(otio.schema.Marker(name="closing.end", marked_range=seconds(30, 0)))
    placing, _ = placed(made.to_json_string(), "a.otio")
    assert placing.way is Way.MARKERS
    assert placing.captions["bake.cut.1"].at_f == 5 * 25
    assert placing.rows["closing.end"].start_f == 30 * 25


def broken(**changes: object) -> str:
    """Return a small timeline with parts replaced, written by hand."""
    item = {
        "OTIO_SCHEMA": "Clip.2",
        "name": "bake.cut",
        "source_range": {"start_time": {"value": 0, "rate": 25}, "duration": {"value": 250, "rate": 25}},
        **changes,
    }
    track = {"OTIO_SCHEMA": "Track.1", "kind": "Video", "children": [item]}
    return json.dumps(
        {"OTIO_SCHEMA": "Timeline.1", "tracks": {"OTIO_SCHEMA": "Stack.1", "children": [track]}}, indent=1
    )


def test_the_hand_written_timeline_is_sound_itself() -> None:
    """Else the next test would prove nothing."""
    assert faults(broken(), "a.otio") == []
    assert times(retimed(broken(), "a.otio"))["bake.cut.1"] == (1200, 4200)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ('{"OTIO_SCHEMA": "Timeline.1",\n "tracks": }', [("edit-timeline-bad", 2, 12)]),
        ("[" * 100_000, [("edit-timeline-bad", 1, 1)]),
        ('{"a": NaN}', [("edit-timeline-bad", 1, 1)]),
        ('{"OTIO_SCHEMA": "Clip.1"}', [("edit-timeline-bad", 1, 1)]),
        ("[]", [("edit-timeline-bad", 1, 1)]),
        ('{"OTIO_SCHEMA": "Timeline.1", "tracks": null}', [("edit-timeline-bad", 1, 1)]),
        ('{"OTIO_SCHEMA": "Timeline.1", "tracks": {"OTIO_SCHEMA": "Stack.1", "children": []}}', [("edit-empty", 1, 1)]),
        (
            '{"OTIO_SCHEMA": "Timeline.1", "tracks": {"OTIO_SCHEMA": "Stack.1", "children": [3]}}',
            [("edit-timeline-bad", 1, 1)],
        ),
        (
            '{"OTIO_SCHEMA": "Timeline.1", "tracks": {"OTIO_SCHEMA": "Stack.1", "children": 3}}',
            [("edit-timeline-bad", 1, 1)],
        ),
        (broken(source_range=None), [("edit-timeline-bad", 12, 15)]),
        (broken(source_range=7), [("edit-timeline-bad", 12, 15)]),
        (broken(source_range={"duration": {"value": 1e300, "rate": 25}}), [("edit-timeline-bad", 12, 15)]),
        (broken(source_range={"duration": {"value": 5, "rate": 0}}), [("edit-timeline-bad", 12, 15)]),
        (broken(source_range={"duration": {"value": -5, "rate": 25}}), [("edit-timeline-bad", 12, 15)]),
        (broken(name="somebody else"), [("edit-empty", 1, 1)]),
    ],
)
def test_a_broken_timeline_is_told_with_its_line(text: str, expected: list[tuple[str, int, int]]) -> None:
    """Damaged, hostile or empty JSON ends in a problem, never in a traceback."""
    assert faults(text, "a.otio") == expected


@pytest.mark.parametrize(
    "changes",
    [
        {"effects": 3},
        {"effects": [4, {"OTIO_SCHEMA": "LinearTimeWarp.1", "time_scalar": "fast"}]},
        {"markers": {"a": 1}},
        {"markers": [7, {"name": "nobody"}]},
        {"metadata": [1]},
        {"metadata": {"shootplan": 4}},
        {"media_references": {"DEFAULT_MEDIA": 3}},
        {"media_reference": "take.mov"},
    ],
)
def test_oddities_of_other_programs_are_passed_over(changes: dict[str, object]) -> None:
    """What is not needed may be of any shape."""
    assert times(retimed(broken(**changes), "a.otio"))["bake.cut.1"] == (1200, 4200)


def test_a_change_of_speed_over_several_clips_is_told() -> None:
    """It is not followed, and the line of its name is given."""
    nested = otio.schema.Stack(name="ramp", children=[video(clip("bake.cut", 0, 10))])
    nested.effects.append(otio.schema.LinearTimeWarp(time_scalar=2.0))
    found = faults(timeline(video(nested)), "a.otio")
    assert [code for code, *_ in found] == ["edit-speed-unclear"]
    assert found[0][1] > 1


def test_a_timeline_nested_without_end_is_refused() -> None:
    """Forty stacks in each other."""
    made: Any = video(clip("bake.cut", 0, 10))
    for _ in range(40):
        made = otio.schema.Stack(children=[made])
    assert [code for code, *_ in faults(timeline(video(made)), "a.otio")] == ["edit-timeline-bad"]


# ---------------------------------------------------------------------------------------------------- markers

MARKS = """\
time,name
0:10.0,bake.cut
30.5 s is no time,just a note
0:30.0,bake.boil
0:33.0,bake.boil.2
1:00.0,closing.end
"""


def test_markers_snap_and_what_lies_between_is_interpolated() -> None:
    """
    Bake at 10 s (planned 12), boil at 30 s (planned 22): planned 13.2 s is 1.2 of 10, so 10 + 1.2 x 2 = 12.4 s.

    The boil's second caption has its own marker, 33 s (planned 32); its first, planned 23, is 30 + 1 x 3/10 = 30.3 s,
    and would stand until 33.3 s: it goes when the next one comes.
    """
    found = times(retimed(MARKS, "marks.csv"))
    assert found["bake.cut.1"] == (12_400, 15_400)
    assert found["bake.boil.1"] == (30_320, 33_000)  # 30.3 s is frame 757.5, half up 758
    assert found["bake.boil.2"] == (33_000, 36_000)
    assert found["closing.end.1"] == (61_000, 64_000)


@pytest.mark.parametrize(
    "text",
    [
        "01:00:10:00\tbake.cut\n01:00:30:00\tBAKE.BOIL\n",
        "bake.cut;V1;01:00:10:00;01:00:12:00\nbake.boil;V1;01:00:30:00;01:00:31:00\n",
        "1  10:00:10:00  red  bake.cut here\n2  10:00:30:00  red  bake.boil\n",
        "0:10 bake.cut\n0:30 bake.boil\n",
        '"bake.cut","0:00:10,0"\n"bake.boil","0:00:30,000"\n',
    ],
)
def test_markers_are_read_in_any_order_of_columns(text: str) -> None:
    """Labels count from their full hour, clock times from zero; other columns do not matter."""
    placing, problems = placed(text, "marks.txt")
    assert problems == ()
    assert (placing.rows["bake.cut"].start_f, placing.rows["bake.boil"].start_f) == (250, 750)
    assert placing.rows["closing.end"].remark == "between two markers"


def test_markers_that_cannot_be_used_are_told() -> None:
    """An unknown name with the nearest one, an id without time, a second marker of one id, an impossible label."""
    text = "0:01 bake.cutt\nbake.boil\n0:02 bake.cut\n0:03 bake.cut\n"
    assert faults(text, "m.txt") == [("marker-bad", 1, 1), ("marker-bad", 2, 1), ("marker-bad", 4, 1)]
    _, problems = placed(text, "m.txt")
    assert problems[0].hint == 'did you mean "bake.cut" or "bake.cut.1"?'
    assert faults("00:00:01:30 bake.cut\n0:09 bake.boil\n", "m.txt") == [("edit-time-bad", 1, 1)]
    assert faults("nothing here\n", "m.txt") == [("edit-empty", 1, 1)]


def test_a_given_start_counts_for_labels() -> None:
    """A programme that begins at 00:59:50:00."""
    text = "01:00:10:00 bake.cut\n"
    placing, _ = place(CUT, RATES["25"], cut="m.txt", start="00:59:50:00", files=MemoryFiles({"m.txt": text}))
    assert placing.rows["bake.cut"].start_f == 20 * 25


def test_markers_in_an_edit_list_place_rows_without_a_shot() -> None:
    """The bake has a shot, the closing only its LOC marker; camera reels name nothing."""
    text = edl(
        event(1, "R002", "00:00:00 00:10:00", "00:00:00 00:10:00", "bake.cut"),
        event(2, "C0007", "00:00:00 00:20:00", "00:10:00 00:30:00", "C0007", "* LOC: 01:00:20:00 GREEN closing.end"),
    )
    placing, _ = placed(text)
    assert placing.rows["closing.end"].start_f == 20 * 25
    assert placing.captions["closing.end.1"].at_f == 21 * 25
    assert placing.captions["closing.end.1"].remark == "by its marker"
    only = edl(event(1, "C0007", "00:00:00 00:30:00", "00:00:00 00:30:00", "C7", "* LOC: 01:00:20:00 GREEN bake.boil"))
    assert placed(only)[0].way is Way.MARKERS


# ---------------------------------------------------------------------------------------------------- speech


def vtt(*lines: tuple[str, str, str]) -> str:
    """Return subtitles."""
    cues = (f"00:{start} --> 00:{end}\n{text}" for start, end, text in lines)
    return "WEBVTT\n\n" + "\n\n".join(cues) + "\n"


def test_speech_places_rows_where_their_words_are_heard() -> None:
    """
    The bake's 15 words are spoken from 20.0 to 27.5 s, as long as planned after 12.0 s (4.75 s of 9.5 s of picture).

    Planned word k begins at 12 + 4.75 k/15, heard at 20 + 7.5 k/15: planned 13.2 s lies at k = 3.79, heard 21.89 s.
    """
    text = vtt(("20.000", "27.500", "Cut the potatoes into chunks of one size, so that they cook at one speed."))
    placing, _ = placed(text, "final.vtt")
    assert placing.way is Way.SPEECH
    at_f = placing.captions["bake.cut.1"].at_f
    assert abs(at_f - 25 * (20 + 1.2 * 7.5 / 4.75)) <= 1
    assert set(placing.lost) == {"opening.hello", "closing.end", "closing.end.1"}


def test_figures_meet_their_spoken_form_and_silent_rows_lie_between() -> None:
    """ "£1.28" is one pound twenty-eight; the boil, where nobody speaks, lies between bake and closing."""
    text = vtt(
        ("10.000", "14.750", "Cut the potatoes into chunks of one size so that they cook at one speed"),
        ("50.000", "55.000", "There it is, for £1.28 a head. Thank you for watching!"),
    )
    placing, _ = placed(text, "final.vtt")
    assert abs(placing.rows["bake.cut"].start_f - 250) <= 1
    assert abs(placing.rows["closing.end"].start_f - 1250) <= 1
    assert 250 < placing.rows["bake.boil"].start_f < 1250
    assert placing.rows["bake.boil"].remark == "nobody speaks: between its neighbours"


def test_a_row_of_which_too_few_words_are_heard_is_told_not_guessed() -> None:
    """Six of fourteen words: 42 %."""
    text = vtt(
        ("10.000", "14.750", "Cut the potatoes into chunks of one size so that they cook at one speed"),
        ("50.000", "55.000", "There it is for one pound and that was something else entirely my friends"),
    )
    placing, _ = placed(text, "final.vtt")
    assert "closing.end" not in placing.rows
    assert placing.lost["closing.end.1"].startswith("only 4")


def test_a_row_that_was_moved_is_found_among_the_words_that_are_left() -> None:
    """The closing is spoken first."""
    text = vtt(
        ("01.000", "06.000", "There it is for one pound twenty-eight a head thank you for watching"),
        ("10.000", "14.750", "Cut the potatoes into chunks of one size so that they cook at one speed"),
        ("20.000", "25.000", "Good evening and welcome to a kitchen with a single oven tonight"),
    )
    report = retimed(text, "final.vtt")
    starts = {row.id: row.start_ms for row in report.cut.rows}
    assert (starts["closing.end"], starts["bake.cut"], starts["opening.hello"]) == (1000, 10_000, 20_000)


def test_subrip_is_speech_too() -> None:
    """Counters, commas, and the words of the bake 10 s into the video."""
    text = "1\n00:00:10,000 --> 00:00:14,750\nCut the potatoes into chunks of one size so that they cook at one speed\n"
    placing, _ = placed(text, "final.srt")
    assert placing.way is Way.SPEECH
    assert placing.rows["bake.cut"].start_f == 250


def test_lines_with_bracketed_times_are_speech_too() -> None:
    """A transcript instead of subtitles; markers would name rows."""
    text = (
        "[0:10] Cut the potatoes into chunks of one size so that they cook at one speed\n"
        "[0:15] There it is for one pound twenty-eight a head thank you for watching\n[0:20]\n"
    )
    placing, _ = placed(text, "final.txt")
    assert placing.way is Way.SPEECH
    assert placing.rows["bake.cut"].start_f == 250


def test_subtitles_of_another_video_are_told() -> None:
    """No row is found at all; a damaged time is a warning with its line."""
    assert faults(vtt(("01.000", "06.000", "Something else altogether")), "a.vtt") == [("edit-empty", 1, 1)]
    text = vtt(("10.000", "14.750", "Cut the potatoes into chunks of one size so that they cook at one speed"))
    assert faults(text + "\n00:00:xx --> 00:00:20.000\nwords\n", "a.vtt") == [("timed-text-bad", 6, 1)]


def test_a_file_that_is_not_text_is_told() -> None:
    """Bytes that are not UTF-8."""

    class Bytes(MemoryFiles):
        def text(self, path: str) -> str:
            return b"\xff\xfe".decode()

    from shootplan.problems import InputError

    with pytest.raises(InputError) as caught:
        place(CUT, RATES["25"], cut="a.edl", files=Bytes({}))
    assert [problem.code for problem in caught.value.problems] == ["file-unreadable"]
    with pytest.raises(ValueError, match="file or a length"):
        place(CUT, RATES["25"])
