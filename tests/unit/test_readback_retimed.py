"""The written files of a re-timed video read back: sound ones hold, each planted fault is found (C12, C15, C16)."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from shootplan.app.edit import caption_files, chapter_files
from shootplan.model.agreement import CheckResult
from shootplan.model.retiming import Placing, RetimeReport
from shootplan.model.timecode import RATES, Rate
from shootplan.readback.retimed import check_retimed
from shootplan.timing.edit_rows import edit_rows
from shootplan.timing.retime import retime_cut
from tests.unit.retime_factory import CUT, edl, event, placed

#: The opening without its first second, the bake as planned; the closing is cut away, so its caption is lost.
_LIST = edl(
    event(1, "R001", "00:01:00 00:12:00", "00:00:00 00:11:00", "opening.hello"),
    event(2, "R002", "00:00:00 00:10:00", "00:11:00 00:21:00", "bake.cut"),
    event(3, "R003", "00:00:00 00:18:00", "00:21:00 00:39:00", "bake.boil"),
)
_Files = dict[str, str]


def made(
    text: str = _LIST, name: str = "cut.edl", rate: Rate = RATES["25"], *, over_cuts: bool = False
) -> tuple[RetimeReport, Placing, _Files]:
    """Return a re-timed cut, the places it was made by, and its files."""
    placing, _ = placed(text, name, rate)
    report = retime_cut(CUT, edit_rows(CUT, rate), placing, rate, over_cuts=over_cuts)
    return report, placing, {**caption_files(report.cut), **chapter_files(report.cut)}


def broken(checks: tuple[CheckResult, ...]) -> list[str]:
    """Return the ids of the broken checks."""
    return [item.id for item in checks if item.broken]


def test_a_sound_edit_holds_and_says_how_much_it_compared() -> None:
    """Three captions are in the file and one is lost; by hand they come at 12.2, 22 and 31 s, for three seconds."""
    report, placing, files = made()
    checks = check_retimed(CUT, report, placing, files)
    assert [check.id for check in checks] == ["C12", "C15", "C16"]
    assert broken(checks) == []
    assert checks[0].compared == 3
    assert "00:00:12.200 --> 00:00:15.200" in files["captions.vtt"]
    assert [move.id for move in report.captions if move.is_lost] == ["closing.end.1"]


@pytest.mark.parametrize("name", RATES)
def test_every_rate_holds(name: str) -> None:
    """Times are on frames of the edit's own rate, also where a frame is no whole millisecond."""
    rate = RATES[name]
    marks = "0:00 opening.hello\n0:12 bake.cut\n0:22 bake.boil\n0:40 closing.end\n"
    report, placing, files = made(marks, "marks.txt", rate)
    assert broken(check_retimed(CUT, report, placing, files)) == []


def _put(old: str, new: str) -> Callable[[_Files], _Files]:
    def change(files: _Files) -> _Files:
        assert old in files["captions.vtt"]
        return {**files, "captions.vtt": files["captions.vtt"].replace(old, new)}

    return change


def _without_the_first(files: _Files) -> _Files:
    head, _, *others = files["captions.vtt"].split("\n\n")
    return {**files, "captions.vtt": "\n\n".join([head, *others])}


def _first_twice(files: _Files) -> _Files:
    head, first, *others = files["captions.vtt"].split("\n\n")
    return {**files, "captions.vtt": "\n\n".join([head, first, first, *others])}


def _srt(old: str, new: str) -> Callable[[_Files], _Files]:
    return lambda files: {**files, "captions.srt": files["captions.srt"].replace(old, new)}


#: (what is done to the files, the check that must find it)
FAULTS = [
    (_put("--> 00:00:15.200", "--> 00:00:14.560"), "C12"),
    (_put("00:00:22.000 -->", "00:00:22.640 -->"), "C12"),
    (_put("--> 00:00:34.000", "--> 00:00:31.040"), "C12"),
    (_without_the_first, "C15"),
    (_first_twice, "C15"),
    (_put("bake.boil.1\n", "closing.end.1\n"), "C15"),
    (_put("bake.boil.1\n", "bake.stir.1\n"), "C15"),
    (_put("900 g potatoes", "900 g"), "C15"),
    (_put("--> 00:00:15.200", "--> 00:00:21.400"), "C15"),
    (_put("00:00:22.000 -->", "00:00:20.000 -->"), "C15"),
    (_put("00:00:12.200", "00:00:12.210"), "C16"),
    (_put("--> 00:00:15.200", "--> 00:00:22.040"), "C16"),
    (_srt("00:00:15,200", "00:00:15,215"), "C16"),
    (_srt("--> 00:00:15,200", "--> 00:00:12,000"), "C16"),
    (lambda files: {**files, "chapters.txt": "0:00 Supper\n0:11 The bake\n0:11 Table\n"}, "C16"),
]


@pytest.mark.parametrize(("change", "check"), FAULTS, ids=[f"{check}-{k}" for k, (_, check) in enumerate(FAULTS)])
def test_a_planted_fault_is_found(change: Callable[[_Files], _Files], check: str) -> None:
    """Each fault breaks its check."""
    report, placing, files = made()
    spoilt = change(files)
    assert spoilt != files
    assert check in broken(check_retimed(CUT, report, placing, spoilt))


def test_a_caption_that_the_report_forgets_is_found() -> None:
    """It is neither placed nor listed as lost."""
    report, placing, files = made()
    forgetful = replace(report, captions=report.captions[:-1])
    assert broken(check_retimed(CUT, forgetful, placing, files)) == ["C15"]


def test_a_caption_may_cross_a_cut_only_where_it_is_allowed() -> None:
    """The boil's picture of two seconds is too short for its caption of 2.4 s: left out, or let run on."""
    short = edl(
        event(1, "R003", "00:00:00 00:02:00", "00:00:00 00:02:00", "bake.boil"),
        event(2, "R001", "00:00:00 00:12:00", "00:02:00 00:14:00", "opening.hello"),
    )
    report, placing, files = made(short)
    assert all(move.is_lost for move in report.captions)
    assert broken(check_retimed(CUT, report, placing, files)) == []
    report, placing, files = made(short, over_cuts=True)
    assert not report.captions[1].is_lost
    assert broken(check_retimed(CUT, report, placing, files, over_cuts=True)) == []
    assert broken(check_retimed(CUT, report, placing, files)) == ["C15"]
