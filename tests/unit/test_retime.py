"""Re-timing by the shots of an edit list: hand-made lists with their answers worked on paper."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from shootplan.model.cut import Cut
from shootplan.model.retiming import Way
from shootplan.model.timecode import RATES
from shootplan.problems import InputError
from shootplan.timing.chapters import write_chapter_list
from shootplan.timing.edit_list import write_edit_lists
from shootplan.timing.edit_otio import write_otio
from shootplan.timing.edit_rows import edit_rows
from shootplan.timing.places import place_by_length
from shootplan.timing.retime import check_captions, retime_cut
from tests.unit.retime_factory import CUT, caption, edl, event, faults, placed, retimed, times

HELLO = event(1, "R001", "00:00:00 00:12:00", "00:00:00 00:12:00", "opening.hello")
NAMES = ("23.976", "24", "25", "29.97", "29.97 drop", "30", "50", "59.94", "59.94 drop")


def codes(text: str) -> list[str]:
    """Return the codes of the findings after re-timing by a list."""
    return [finding.code for finding in retimed(text).findings]


# ---------------------------------------------------------------------------------------------------- published values


def test_a_caption_keeps_its_offset_in_its_shot() -> None:
    """T131: programme from 01:00:00:00, record in 01:00:14:12, caption 1.2 s after the shot starts: 15.680 s."""
    card = event(1, "AX", "00:00:00 00:14:12", "00:00:00 00:14:12", "title card")
    found = retimed(edl(card, event(2, "R002", "00:00:00 00:10:00", "00:14:12 00:24:12", "bake.cut")))
    assert times(found)["bake.cut.1"] == (15_680, 18_680)
    assert found.way is Way.SHOTS


def test_a_shot_run_twice_as_fast_brings_its_anchor_in_half_the_time() -> None:
    """T132: 4.0 s of source in 2.0 s of record, M2 050.0 at 25; an anchor 2.0 s into the source: 1.000 s after it."""
    late = replace(CUT, captions=(replace(CUT.captions[0], in_ms=14_000, out_ms=17_000),))
    text = edl(
        HELLO, event(2, "R002", "00:00:00 00:04:00", "00:12:00 00:14:00", "bake.cut", "M2   R002  050.0  00:00:00:00")
    )
    placing, problems = placed(text)
    assert problems == ()
    shots = placing.captions["bake.cut.1"]
    assert shots.at_f == 12 * 25 + 15  # its own anchor, 1.2 s of source, comes after 0.6 s
    from shootplan.app.retime import place
    from shootplan.read.files import MemoryFiles

    placing, _ = place(late, RATES["25"], cut="a.edl", files=MemoryFiles({"a.edl": text}))
    assert placing.captions["bake.cut.1"].at_f == 13 * 25


def test_a_shot_used_twice_is_told_and_the_first_use_counts() -> None:
    """T133: record in 10.0 s and 40.0 s; a caption anchored in it has two places."""
    text = edl(
        event(1, "R001", "00:00:00 00:10:00", "00:00:00 00:10:00", "opening.hello"),
        event(2, "R002", "00:00:00 00:10:00", "00:10:00 00:20:00", "bake.cut"),
        event(3, "R003", "00:00:00 00:20:00", "00:20:00 00:40:00", "bake.boil"),
        event(4, "R002", "00:00:00 00:10:00", "00:40:00 00:50:00", "bake.cut"),
    )
    found = retimed(text)
    assert times(found)["bake.cut.1"] == (11_200, 14_200)
    move = next(move for move in found.captions if move.id == "bake.cut.1")
    assert move.remark == "its picture is shown 2 times, the first counts"
    assert "cut-row-twice" in codes(text)


# ---------------------------------------------------------------------------------------------------- by hand


def test_of_a_dissolve_the_incoming_shot_counts_from_its_start() -> None:
    """Cut of no length, then D 025: the bake's row begins at 12.0 s, so its caption comes at 13.2 s."""
    text = edl(
        event(1, "R001", "00:00:00 00:12:00", "00:00:00 00:12:00", "opening.hello"),
        "002  R001     V     C        00:00:12:00 00:00:12:00 01:00:12:00 01:00:12:00\n"
        "002  R002     V     D    025 00:00:00:00 00:00:10:00 01:00:12:00 01:00:22:00\n"
        "* FROM CLIP NAME: opening.hello\n* TO CLIP NAME: bake.cut\n",
        event(3, "R003", "00:00:00 00:18:00", "00:22:00 00:40:00", "bake.boil"),
    )
    assert times(retimed(text))["bake.cut.1"] == (13_200, 16_200)
    assert faults(text) == []


def test_a_lost_shot_takes_its_captions_with_it_and_both_are_told() -> None:
    """The boil is cut out: its two captions are lost, the closing's comes 18 s sooner."""
    text = edl(
        HELLO,
        event(2, "R002", "00:00:00 00:10:00", "00:12:00 00:22:00", "bake.cut"),
        event(3, "R004", "00:00:00 00:10:00", "00:22:00 00:32:00", "closing.end"),
    )
    found = retimed(text)
    assert times(found) == {
        "bake.cut.1": (13_200, 16_200),
        "bake.boil.1": None,
        "bake.boil.2": None,
        "closing.end.1": (23_000, 26_000),
    }
    assert found.rows_lost == ("bake.boil",)
    assert [row.id for row in found.cut.rows] == ["opening.hello", "bake.cut", "closing.end"]
    assert "cut-row-lost" in codes(text)
    assert found.cut.length_ms == 32_000


def test_an_anchor_that_was_trimmed_away_is_lost() -> None:
    """The row's first 2 s are cut (its own reel counts from the row): 1.2 s is before source in; at source out too."""
    head = edl(HELLO, event(2, "R002", "00:02:00 00:10:00", "00:12:00 00:20:00", "bake.cut"))
    tail = edl(HELLO, event(2, "R002", "00:00:00 00:01:05", "00:12:00 00:13:05", "bake.cut"))
    for text in (head, tail):
        assert times(retimed(text))["bake.cut.1"] is None
        assert "cut-caption-lost" in codes(text)


def test_a_row_split_by_a_cutaway_is_found_in_its_second_piece() -> None:
    """Boil 0-5 s, 3 s of something else, boil 5-18 s: the caption at 10 s comes 3 s later, the one at 1 s does not."""
    text = edl(
        HELLO,
        event(2, "R003", "00:00:00 00:05:00", "00:12:00 00:17:00", "bake.boil"),
        event(3, "AX", "00:00:00 00:03:00", "00:17:00 00:20:00", "hands"),
        event(4, "R003", "00:05:00 00:18:00", "00:20:00 00:33:00", "bake.boil"),
    )
    found = times(retimed(text))
    assert (found["bake.boil.1"], found["bake.boil.2"]) == ((13_000, 16_000), (25_000, 28_000))


def test_camera_reels_count_from_the_earliest_frame_used() -> None:
    """A real reel has its own time of day: the row begins where its first used frame is."""
    text = edl(HELLO, "002  A001C003 V     C        14:23:11:05 14:23:21:05 01:00:12:00 01:00:22:00\n"
               "* FROM CLIP NAME: bake.cut take 2.mov\n")  # fmt: skip
    assert times(retimed(text))["bake.cut.1"] == (13_200, 16_200)


def test_a_list_without_clip_names_is_known_by_our_reels() -> None:
    """Some systems drop the notes; R002 is the second row."""
    assert (
        times(retimed(edl(HELLO, event(2, "R002", "00:00:00 00:10:00", "00:12:00 00:22:00"))))["bake.cut.1"] is not None
    )


def test_a_picture_that_runs_backwards_is_followed() -> None:
    """10 s backwards from frame 249: the anchor at 1.2 s (frame 30) comes after 219 frames, at 20.76 s."""
    text = edl(
        HELLO, event(2, "R002", "00:00:00 00:10:00", "00:12:00 00:22:00", "bake.cut", "M2   R002  -025.0  00:00:09:24")
    )
    placing, _ = placed(text)
    place = placing.captions["bake.cut.1"]
    assert (place.at_f, place.remark) == (300 + 219, "the picture runs backwards")
    assert times(retimed(text))["bake.cut.1"] == (19_600, 22_000)  # earlier, so that 2.4 s fit before the cut


def test_a_frozen_picture_shows_one_frame() -> None:
    """M2 000.0 on the very frame of the anchor (1.2 s): the caption comes with the shot; on another it is lost."""
    still = event(2, "R002", "00:01:05 00:01:06", "00:12:00 00:22:00", "bake.cut", "M2   R002  000.0  00:00:01:05")
    assert times(retimed(edl(HELLO, still)))["bake.cut.1"] == (12_000, 15_000)
    other = still.replace("00:00:01:05 00:00:01:06", "00:00:02:05 00:00:02:06")
    assert times(retimed(edl(HELLO, other)))["bake.cut.1"] is None


def test_a_row_that_was_moved_takes_captions_and_chapter_along() -> None:
    """The closing comes first: chapters follow the finished order."""
    text = edl(
        event(1, "R004", "00:00:00 00:10:00", "00:00:00 00:10:00", "closing.end"),
        event(2, "R001", "00:00:00 00:12:00", "00:10:00 00:22:00", "opening.hello"),
        event(3, "R002", "00:00:00 00:10:00", "00:22:00 00:32:00", "bake.cut"),
    )
    found = retimed(text)
    assert times(found)["closing.end.1"] == (1000, 4000)
    assert write_chapter_list(found.cut) == "0:00 Table\n0:10 Supper\n0:22 The bake\n"
    assert [row.start_ms for row in found.cut.rows] == [0, 10_000, 22_000]


def test_the_start_of_the_programme_can_be_given() -> None:
    """A slate of 10 s before one o'clock is no part of the video."""
    slate = "001  AX       V     C        00:00:00:00 00:00:10:00 00:59:50:00 01:00:00:00\n"
    body = event(2, "R002", "00:00:00 00:10:00", "00:00:00 00:10:00", "bake.cut")
    assert times(retimed(edl(slate, body)))["bake.cut.1"] == (11_200, 14_200)
    assert times(retimed(edl(slate, body), start="01:00:00:00"))["bake.cut.1"] == (1200, 4200)


def test_sound_is_passed_over_and_both_is_picture_too() -> None:
    """A, AA and A2 are no picture; B is picture and sound."""
    line = "002  R002     {}     C        00:00:00:00 00:00:10:00 01:00:12:00 01:00:22:00\n* FROM CLIP NAME: bake.cut\n"
    for track, is_found in (("A", False), ("AA", False), ("A2", False), ("B", True), ("AA/V", True), ("V2", True)):
        assert (times(retimed(edl(HELLO, line.format(track))))["bake.cut.1"] is not None) is is_found


# ---------------------------------------------------------------------------------------------------- the rules again


def test_a_caption_is_not_shortened_below_its_need_and_not_run_over_a_cut() -> None:
    """Shot of 3.4 s: 1.2 s in, 2.2 s are left of the 2.4 s needed, so it comes 0.2 s sooner and ends on the cut."""
    text = edl(HELLO, event(2, "R002", "00:00:00 00:03:10", "00:12:00 00:15:10", "bake.cut"),
               event(3, "R004", "00:00:00 00:10:00", "00:15:10 00:25:10", "closing.end"))  # fmt: skip
    found = retimed(text)
    assert times(found)["bake.cut.1"] == (13_000, 15_400)
    assert found.captions[0].remark == "comes in earlier, to be read before the cut"


def test_a_caption_whose_picture_is_too_short_is_left_out_unless_it_may_run_on() -> None:
    """Shot of 2 s: 2.4 s do not fit. With leave it runs 1.6 s over the cut; its hold is its need."""
    text = edl(HELLO, event(2, "R002", "00:00:00 00:02:00", "00:12:00 00:14:00", "bake.cut"),
               event(3, "R004", "00:00:00 00:10:00", "00:14:00 00:24:00", "closing.end"))  # fmt: skip
    assert times(retimed(text))["bake.cut.1"] is None
    assert retimed(text).captions[0].remark == "needs 2.4 s, its picture lasts 2.0 s"
    allowed = retimed(text, over_cuts=True)
    assert times(allowed)["bake.cut.1"] == (13_200, 15_600)
    assert times(allowed)["closing.end.1"] == (15_600, 18_600)  # 15.0 s would be on the first one: it waits
    assert [finding.code for finding in check_captions(allowed.cut, RATES["25"])] == []


def test_two_captions_brought_together_are_butted_or_the_second_is_told() -> None:
    """The boil runs three times as fast, 6 s in all: captions at 0.33 and 3.33 s; 2.67 s are left, 2.4 needed."""
    text = edl(
        HELLO, event(2, "R003", "00:00:00 00:18:00", "00:12:00 00:18:00", "bake.boil", "M2   R003  075.0  00:00:00:00")
    )
    found = times(retimed(text))
    assert found["bake.boil.1"] == (12_320, 15_320)
    assert found["bake.boil.2"] == (15_320, 18_000)


def squeezed(speed: str, record: str) -> str:
    """Return a list in which the boil's 18 s of source fill fewer seconds of the video."""
    motion = f"M2   R003  {speed}  00:00:00:00"
    return edl(HELLO, event(2, "R003", "00:00:00 00:18:00", f"00:12:00 {record}", "bake.boil", motion))


def test_two_captions_that_do_not_both_fit_are_shown_as_one() -> None:
    """
    4.5 s of picture: 2.4 s each do not fit twice. "900 g potatoes" and "½ tsp salt" on two lines are six words, 3.2 s.

    18 s of source in 112 frames are 100.4 frames a second; 1 s of source is 6.2 frames in, 12.25 s, frame 306.
    """
    found = retimed(squeezed("100.4", "00:16:12"))
    assert times(found)["bake.boil.1"] == (12_240, 15_440)
    assert times(found)["bake.boil.2"] == (12_240, 15_440)
    assert found.captions[2].remark == "shown together with bake.boil.1"
    (one,) = (caption for caption in found.cut.captions if caption.row == "bake.boil")
    assert (one.id, one.text, one.need_ms) == ("bake.boil.1", "900 g potatoes\n½ tsp salt", 3200)
    assert next(row for row in found.cut.rows if row.id == "bake.boil").captions == ("bake.boil.1",)


def test_what_cannot_be_merged_is_told() -> None:
    """3 s of picture: one caption of 2.4 s fits, both together would need 3.2 s: the merged one has no room either."""
    found = retimed(squeezed("150.0", "00:15:00"))
    assert [times(found)[name] for name in ("bake.boil.1", "bake.boil.2")] == [(12_160, 15_000), None]
    assert "stands on the one before" in found.captions[2].remark


def test_a_short_gap_is_closed() -> None:
    """1.2 s and 3 s of hold end at 4.2 s, the next comes with its shot at 4.8 s: BBC 4.5 wants none or a second."""
    text = edl(
        event(1, "R002", "00:00:00 00:04:20", "00:00:00 00:04:20", "bake.cut"),
        event(2, "R003", "00:01:00 00:10:00", "00:04:20 00:13:20", "bake.boil"),
    )
    found = times(retimed(text))
    assert found["bake.cut.1"] == (1200, 4800)
    assert found["bake.boil.1"] == (4800, 7800)
    assert retimed(text).captions[0].remark == "held until the next one"


def test_an_unchanged_list_moves_nothing_at_any_rate() -> None:
    """The list and the timeline that we write ourselves give every caption back, frame for frame."""
    for name in NAMES:
        rate = RATES[name]
        lists = write_edit_lists(CUT, rate, "x")
        for text, file in ((lists["edit.edl"], "a.edl"), (write_otio(CUT, rate, "x"), "a.otio")):
            report = retimed(text, file, rate)
            assert all(abs(move.moved_ms) <= report.frame_ms for move in report.captions), (name, file)
            assert all(abs(move.longer_ms) <= report.frame_ms for move in report.captions)
            assert report.rows_lost == ()
            assert report.findings == ()


# ---------------------------------------------------------------------------------------------------- length alone


def test_a_length_alone_scales_everything_and_says_it_is_a_guess() -> None:
    """50 s become 75 s: 13.2 s becomes 19.8 s, the hold stays 3 s."""
    rate = RATES["25"]
    rows = edit_rows(CUT, rate)
    report = retime_cut(CUT, rows, place_by_length(rows, Fraction(75 * 25)), rate)
    assert times(report)["bake.cut.1"] == (19_800, 22_800)
    assert report.cut.length_ms == 75_000
    assert report.is_provisional
    assert "cut-provisional" in [finding.code for finding in report.findings]


# ---------------------------------------------------------------------------------------------------- broken lists


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", [("edit-empty", 1, 1)]),
        ("TITLE: x\nFCM: NON-DROP FRAME\n", [("edit-empty", 1, 1)]),
        (edl(HELLO, "002  R002 V C 00:00:00:00\n"), [("edit-line-bad", 5, 1)]),
        (edl("001  R001  V  C  00:00:00:00 00:00:01:25 01:00:00:00 01:00:02:00\n"), [("edit-time-bad", 3, 30)]),
        (edl("001  R001  V  C  00:00:00:00 00:00:10:00 01:00:10:00 01:00:00:00\n"), [("edit-line-bad", 3, 1)]),
        (edl(HELLO, "M2 R001 fast\n"), [("edit-line-bad", 5, 1)]),
        ("M2   R001  050.0  00:00:00:00\n" + edl(HELLO), [("edit-line-bad", 1, 1)]),
        (edl(HELLO, "x" * 3000 + "\n"), [("edit-line-bad", 5, 1)]),
        (edl(HELLO, mode="DROP FRAME"), [("edit-rate-differs", 2, 1)]),
        (edl(event(1, "AX", "00:00:00 00:12:00", "00:00:00 00:12:00", "somebody else")), [("edit-empty", 1, 1)]),
        (
            edl(event(1, "R001", "00:00:00 00:12:00", "00:00:00 00:06:00", "opening.hello")),
            [("edit-speed-unclear", 3, 1)],
        ),
        (
            edl(
                event(1, "R001", "00:00:00 00:12:00", "00:00:00 00:12:00", "opening.hello", "M2 R001 050.0 00:00:00:00")
            ),
            [("edit-speed-unclear", 3, 1)],
        ),
        (edl(HELLO, "* LOC: 01:00:01:99 GREEN bake.cut\n"), [("edit-time-bad", 5, 8)]),
    ],
)
def test_a_broken_list_is_told_with_its_line(text: str, expected: list[tuple[str, int, int]]) -> None:
    """Code, line and column; never a traceback."""
    assert faults(text) == expected


def test_a_label_that_drop_frame_counting_skips_is_refused() -> None:
    """T014: 00:01:00;00 does not exist at 29.97 drop-frame (both libraries wrongly accept it)."""
    line = "001  R001  V  C  00:00:00;00 00:01:00;00 01:00:00;00 01:01:00;02\n"
    assert faults(edl(line, mode="DROP FRAME"), rate=RATES["29.97"]) == [("edit-time-bad", 3, 30)]


def test_too_many_events_are_refused_once() -> None:
    """A list that was made to fill the memory ends in one problem."""
    many = edl(*(event(1, "AX", "00:00:00 00:00:01", "00:00:00 00:00:01") for _ in range(20_010)))
    with pytest.raises(InputError) as caught:
        placed(many)
    assert {problem.code for problem in caught.value.problems} == {"edit-line-bad"}
    assert len(caught.value.problems) < 20


def test_drop_frame_lists_are_read_frame_exact() -> None:
    """10 minutes of drop-frame are 17982 frames (T005): a shot at 01:10:00;00 begins 599.9994 s in."""
    text = edl("001  AX    V  C  00:00:00;00 00:10:00;00 01:00:00;00 01:10:00;00\n"
               "002  R002  V  C  00:00:00;00 00:00:10;00 01:10:00;00 01:10:10;00\n* FROM CLIP NAME: bake.cut\n",
               mode="DROP FRAME")  # fmt: skip
    placing, problems = placed(text, rate=RATES["29.97"])
    assert problems == ()
    assert placing.rows["bake.cut"].start_f == 17_982
    assert placing.captions["bake.cut.1"].at_f == 17_982 + 36  # 13.2 s - 12.0 s in frames of the plan: 396 - 360


# ---------------------------------------------------------------------------------------------------- checks


def test_the_check_after_re_timing_finds_each_broken_rule() -> None:
    """A hold of 2 s where 2.4 s are needed, one caption on another, a gap of 0.6 s."""
    broken = (
        replace(caption("bake.cut", 1, 0), out_ms=2000),
        replace(caption("bake.boil", 1, 1500), out_ms=4500),
        replace(caption("bake.boil", 2, 5100), out_ms=8000),
    )
    cut = Cut(sections=CUT.sections, captions=broken, length_ms=50_000)
    assert [finding.code for finding in check_captions(cut, RATES["25"])] == [
        "cut-hold-short",
        "cut-collision",
        "cut-gap-short",
    ]
