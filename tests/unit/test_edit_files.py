"""The edit's files, read back by readers that are not ours: OpenTimelineIO 0.18 and its CMX 3600 adapter."""

from __future__ import annotations

import re
from itertools import pairwise

import opentimelineio as otio
import pytest

from shootplan.model.chapters import chapters_of
from shootplan.model.cut import Caption, CaptionKind, Cut, Row, Section
from shootplan.model.timecode import RATES, Rate, frame_of_ms, ms_of_frame, parse_label
from shootplan.timing.chapters import chapter_findings, write_chapter_list
from shootplan.timing.edit_list import write_edit_lists
from shootplan.timing.edit_otio import write_otio

NB = "\u00a0"


def row(section: str, step: str, start_ms: int, length_ms: int, *, recipe: str = "") -> Row:
    """Return a row of a section."""
    return Row(
        id=f"{section}.{step}", section=section, recipe=recipe, step=step, start_ms=start_ms, length_ms=length_ms
    )


def caption(row_id: str, in_ms: int, out_ms: int, need_ms: int = 2200, text: str = "2 tbsp oil") -> Caption:
    """Return the first caption of a row."""
    return Caption(
        id=f"{row_id}.1", row=row_id, kind=CaptionKind.INGREDIENT, text=text, in_ms=in_ms, out_ms=out_ms,
        need_ms=need_ms, source="bake oil",
    )  # fmt: skip


#: Opening 0-12 s, a bake of two rows 12.5-21.5 and 22-40 s, closing 40.5-52 s; half a second between rows.
CUT = Cut(
    sections=(
        Section(id="opening", title="Supper & <more>", rows=(row("opening", "hello", 0, 12_000),)),
        Section(
            id="bake",
            title="The bake",
            rows=(
                row("bake", "cut", 12_500, 9_000, recipe="bake"),
                row("bake", "boil", 22_000, 18_000, recipe="bake"),
            ),
        ),
        Section(id="closing", title="Table", rows=(row("closing", "end", 40_500, 11_500),)),
    ),
    captions=(
        caption("bake.cut", 13_500, 15_700),
        caption("bake.boil", 23_000, 26_033, 3000, f"900{NB}g potatoes £0.70\n<2 tsp> salt & “oil”"),
    ),
    length_ms=52_000,
)
NAMES = ("23.976", "24", "25", "29.97", "29.97 drop", "30", "50", "59.94", "59.94 drop")


def opened(name: str) -> otio.schema.Timeline:
    """Return our timeline as the library reads it."""
    timeline = otio.adapters.read_from_string(write_otio(CUT, RATES[name], "Supper"), "otio_json")
    assert isinstance(timeline, otio.schema.Timeline)
    return timeline


# ---------------------------------------------------------------------------------------------------- edit.otio


@pytest.mark.parametrize("name", NAMES)
def test_the_library_reads_rows_as_clips_one_after_the_other(name: str) -> None:
    """A clip a row, named by its id, from its own start to the next row's, the last to the end of the video."""
    rate = RATES[name]
    (track,) = opened(name).video_tracks()
    clips = list(track)
    assert [clip.name for clip in clips] == ["opening.hello", "bake.cut", "bake.boil", "closing.end"]
    starts = [int(track.range_of_child(clip).start_time.value) for clip in clips]
    assert starts == [frame_of_ms(ms, rate) for ms in (0, 12_500, 22_000, 40_500)]
    assert track.duration().value == frame_of_ms(52_000, rate)
    assert track.duration().rate == float(rate.frames_per_s)
    assert clips[1].metadata["shootplan"]["row"] == "bake.cut"


def test_at_25_frames_a_second_the_numbers_are_those_worked_by_hand() -> None:
    """12.5 s is frame 312.5, half up 313; 22 s is 550; the row is 237 frames; a caption 1 s in is at frame 25."""
    (track,) = opened("25").video_tracks()
    cut, boil = track[1], track[2]
    assert (track.range_of_child(cut).start_time.value, cut.duration().value) == (313, 237)
    (first,), (second,) = cut.markers, boil.markers
    assert (first.name, first.marked_range.start_time.value) == ("bake.cut.1", 25)  # 13.5 s is 337.5, half up 338
    assert first.marked_range.duration.value == 55  # 2.2 s
    assert second.marked_range.start_time.value == 25
    assert second.marked_range.duration.value == 76  # 26.033 s is frame 650.8, half up 651; 651 - 575
    assert second.metadata["shootplan"]["text"] == f"900{NB}g potatoes £0.70\n<2 tsp> salt & “oil”"
    assert second.metadata["shootplan"]["kind"] == "ingredient"


def test_sections_are_markers_over_the_whole() -> None:
    """Each section's marker begins with its first row and lasts to the next section."""
    found = [
        (marker.name, int(marker.marked_range.start_time.value), int(marker.marked_range.duration.value))
        for marker in opened("25").tracks.markers
    ]
    assert found == [("Supper & <more>", 0, 313), ("The bake", 313, 700), ("Table", 1013, 287)]


@pytest.mark.parametrize("name", NAMES)
def test_the_timeline_begins_at_one_o_clock(name: str) -> None:
    """01:00:00:00 by custom, at every rate, as the library writes that time."""
    start = opened(name).global_start_time
    rate = RATES[name]
    assert otio.opentime.to_timecode(start, start.rate, rate.is_drop).replace(";", ":") == "01:00:00:00"


def test_the_same_cut_gives_the_same_bytes() -> None:
    """No date, no random number."""
    assert write_otio(CUT, RATES["25"], "Supper") == write_otio(CUT, RATES["25"], "Supper")


# ---------------------------------------------------------------------------------------------------- edit.edl


@pytest.mark.parametrize("name", NAMES)
def test_the_adapter_reads_our_list(name: str) -> None:
    """otio-cmx3600-adapter 1.0.0 finds each row by its clip name, with the frames that OpenTimelineIO has."""
    rate = RATES[name]
    (text,) = write_edit_lists(CUT, rate, "Supper").values()
    timeline = otio.adapters.read_from_string(text, "cmx_3600", rate=float(rate.frames_per_s))
    (theirs,) = timeline.video_tracks()
    (ours,) = opened(name).video_tracks()
    assert [clip.name for clip in theirs] == [clip.name for clip in ours]
    assert [round(clip.duration().value) for clip in theirs] == [round(clip.duration().value) for clip in ours]
    assert [clip.source_range.start_time.value for clip in theirs] == [0, 0, 0, 0]
    # The adapter's pattern for markers knows colons only, so drop-frame lists show it none.
    assert [marker.name for marker in theirs[1].markers] == ([] if rate.is_drop else ["bake.cut.1"])


def test_a_list_is_laid_out_as_the_manuals_have_it() -> None:
    """Title, frame code mode, event line with four times, then the notes."""
    (text,) = write_edit_lists(CUT, RATES["25"], "Supper & <more>").values()
    lines = text.split("\n")
    assert lines[:4] == [
        "TITLE: Supper & <more>",
        "FCM: NON-DROP FRAME",
        "",
        "001  R001     V     C        00:00:00:00 00:00:12:13 01:00:00:00 01:00:12:13",
    ]
    assert "* FROM CLIP NAME: bake.cut" in lines
    assert "* LOC: 01:00:13:13 GREEN   bake.cut.1" in lines


def test_drop_frame_lists_say_so_and_begin_at_an_hour_that_exists() -> None:
    """01:00:00;00 is frame 107892 at 29.97 (test value T010); no label that drop-frame counting skips is written."""
    rate = RATES["29.97 drop"]
    (text,) = write_edit_lists(CUT, rate, "Supper").values()
    assert "FCM: DROP FRAME" in text
    labels = re.findall(r"\d\d:\d\d:\d\d;\d\d", text)
    assert labels[2] == "01:00:00;00"
    assert parse_label(labels[2], rate) == 107892
    assert all(parse_label(item, rate) >= 0 for item in labels)


def test_more_events_than_a_list_can_number_make_a_second_list() -> None:
    """Event numbers have three digits: the thousandth row opens edit_2.edl."""
    rows = tuple(row("opening", f"s{number}", number * 1000, 500) for number in range(1001))
    many = Cut(sections=(Section(id="opening", title="x", rows=rows),), captions=(), length_ms=1_001_000)
    lists = write_edit_lists(many, RATES["25"], "")
    assert list(lists) == ["edit.edl", "edit_2.edl"]
    assert "\n999  R999 " in lists["edit.edl"]
    assert "\n001  R1000 " in lists["edit_2.edl"]
    assert lists["edit_2.edl"].startswith("TITLE: edit\n")
    assert "01:16:39:00" in lists["edit_2.edl"]  # 999 s after one o'clock


def test_a_row_without_a_frame_is_no_event() -> None:
    """Two rows that begin in the same frame: the first has no picture of its own."""
    rows = (row("opening", "a", 0, 5), row("opening", "b", 5, 4000))
    short = Cut(sections=(Section(id="opening", title="x", rows=rows),), captions=(), length_ms=4005)
    (text,) = write_edit_lists(short, RATES["25"], "x").values()
    assert "opening.a" not in text
    assert "opening.b" in text


# ---------------------------------------------------------------------------------------------------- chapters


def cut_of(*starts_s: int, length_s: int, recipes: bool = False) -> Cut:
    """Return a cut whose sections begin at these seconds."""
    ends = [*starts_s[1:], length_s]
    sections = tuple(
        Section(
            id=f"s{idx}",
            title=f"Part {idx}",
            rows=(row(f"s{idx}", "a", start * 1000, (end - start) * 1000, recipe=f"r{idx}" if recipes else ""),),
        )
        for idx, (start, end) in enumerate(zip(starts_s, ends, strict=True))
    )
    return Cut(sections=sections, captions=(), length_ms=length_s * 1000)


def obeys_the_platforms(text: str) -> bool:
    """Return whether a list of chapters keeps the published platform rule (test values T136 to T139)."""
    starts = [int(minute) * 60 + int(second) for minute, second in re.findall(r"^(\d+):(\d\d) \S", text, re.M)]
    gaps = [b - a for a, b in pairwise(starts)]
    return len(starts) >= 3 and starts[0] == 0 and all(gap >= 10 for gap in gaps)


@pytest.mark.parametrize(
    ("listed", "expected"),
    [
        ("0:00 a\n0:45 b\n2:10 c\n5:00 d", True),
        ("0:00 a\n1:30 b", False),
        ("0:00 a\n0:08 b\n1:00 c", False),
        ("0:00 a\n2:00 b\n1:00 c", False),
    ],
)
def test_the_check_itself_agrees_with_the_published_examples(listed: str, expected: bool) -> None:
    """T136 valid, T137 too few, T138 first too short, T139 not rising."""
    assert obeys_the_platforms(listed) is expected


def test_chapters_begin_at_zero_and_rise() -> None:
    """0:00, 0:45, 2:10, 5:00 (T136) come out as they are."""
    text = write_chapter_list(cut_of(0, 45, 130, 300, length_s=400))
    assert text == "0:00 Part 0\n0:45 Part 1\n2:10 Part 2\n5:00 Part 3\n"
    assert obeys_the_platforms(text)


def test_a_short_first_section_joins_the_next_and_a_short_later_one_the_one_before() -> None:
    """Opening of 8 s (T138) and closing of 6 s: three chapters of four are left, one is named after its recipe."""
    cut = cut_of(0, 8, 60, 120, 200, length_s=206)
    text = write_chapter_list(cut)
    assert text == "0:00 Part 1\n1:00 Part 2\n2:00 Part 3\n"
    assert [finding.code for finding in chapter_findings(cut)] == ["chapter-joined", "chapter-joined"]


def test_a_joined_chapter_names_all_its_recipes() -> None:
    """Two dishes of which one is very short share a chapter and both names."""
    found = chapters_of(cut_of(0, 30, 35, 60, length_s=90, recipes=True))
    assert [(item.start_ms, item.title, item.recipes) for item in found] == [
        (0, "Part 0 and Part 1", ("r0", "r1")),
        (35_000, "Part 2", ("r2",)),
        (60_000, "Part 3", ("r3",)),
    ]


def test_fewer_than_three_chapters_are_said() -> None:
    """T137: 0:00 and 1:30 are too few for a platform; the list is written all the same."""
    cut = cut_of(0, 90, length_s=200)
    assert write_chapter_list(cut) == "0:00 Part 0\n1:30 Part 1\n"
    assert [finding.code for finding in chapter_findings(cut)] == ["chapters-few"]


def test_two_chapters_never_have_one_name() -> None:
    """The second gets a number; an empty cut has no chapter."""
    cut = cut_of(0, 20, 40, length_s=60)
    same = Cut(
        sections=tuple(Section(id=item.id, title="Bread", rows=item.rows) for item in cut.sections),
        captions=(),
        length_ms=60_000,
    )
    assert write_chapter_list(same) == "0:00 Bread\n0:20 Bread (2)\n0:40 Bread (3)\n"
    empty = Cut(sections=(), captions=(), length_ms=0)
    assert write_chapter_list(empty) == ""
    assert list(chapter_findings(empty)) == []


def test_the_first_chapter_begins_at_zero_even_where_the_first_row_does_not() -> None:
    """A title before the first row belongs to the first chapter."""
    assert write_chapter_list(cut_of(3, 30, 60, length_s=90)).startswith("0:00 Part 0\n0:30 ")


def test_a_rate_has_a_short_name() -> None:
    """Rates print as they are typed."""
    assert [RATES[name].name for name in ("25", "29.97 drop", "59.94")] == ["25", "29.97 drop", "59.94"]
    assert Rate(RATES["25"].frames_per_s / 2).name == "25/2"


@pytest.mark.parametrize("name", NAMES)
def test_frames_and_milliseconds_are_exact_both_ways(name: str) -> None:
    """Every frame of ten minutes comes back from its own millisecond, at every rate."""
    rate = RATES[name]
    assert all(frame_of_ms(ms_of_frame(frame, rate), rate) == frame for frame in range(0, 36_000, 7))
