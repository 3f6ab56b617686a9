"""Reading timed text of a past episode, and the pace that is measured on it."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from typer.testing import CliRunner

from shootplan.app import pace
from shootplan.cli import app
from shootplan.model.pace import TimedLine
from shootplan.problems import InputError
from shootplan.timing.pace import fit_pace, paragraphs
from shootplan.timing.timed_text import read_timed_text

VTT = """WEBVTT - our own

NOTE not spoken: 00:00 --> nowhere is only said to exist
STYLE

one
00:01.000 --> 00:03.500 line:10%
<v Host>Salt &amp; pepper,</v> then [music] stir.

00:00:04.000 --> 00:00:05.250
HOST: Wait.
"""


def test_a_webvtt_file_gives_its_cues() -> None:
    """Notes, tags, sounds and names of speakers are not spoken; entities are resolved."""
    lines, problems = read_timed_text(VTT.replace("NOTE not spoken: 00:00 --> nowhere", "NOTE not spoken:"), "a.vtt")
    assert lines == (TimedLine(1000, 3500, "Salt & pepper, then stir."), TimedLine(4000, 5250, "Wait."))
    assert problems == ()


def test_a_subrip_file_gives_its_cues() -> None:
    """Counters are not spoken; commas part milliseconds."""
    text = "1\n00:00:01,000 --> 00:00:02,000\n<i>One</i>\ntwo\n\n2\n01:00:00,500 --> 01:00:01,000\nThree\n"
    lines, _ = read_timed_text(text, "a.srt")
    assert lines == (TimedLine(1000, 2000, "One two"), TimedLine(3_600_500, 3_601_000, "Three"))


def test_marks_last_until_the_next_mark() -> None:
    """A line without a mark goes on with the one above; the last mark only ends the line before it."""
    lines, _ = read_timed_text("Title\n[0:01] One\ntwo\n[1:02.5] Three\n[1:00:00]\n", "a.txt")
    assert lines == (
        TimedLine(1000, 62_500, "One two", has_end=False),
        TimedLine(62_500, 3_600_000, "Three", has_end=False),
    )


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("WEBVTT\n\n00:01.00 --> 00:02.000\nShort milliseconds\n", 3),  # W3C WebVTT, timestamp: three digits
        ("WEBVTT\n\n1:02.003 --> 1:03.000\nShort minutes\n", 3),  # W3C WebVTT, timestamp: two digits
        ("WEBVTT\n\n00:02.000 --> 00:01.000\nBackwards\n", 3),
        ("[0:05] One\n[0:03] Two\n[0:09]", 2),
        ("[0:05] One\n[0:75] Two\n[0:09]", 2),
        ("no times at all", 1),
    ],
)
def test_a_time_that_cannot_be_used_is_named_with_its_line(text: str, line: int) -> None:
    """The rest of the file is read on."""
    _, problems = read_timed_text(text, "a.txt")
    assert [(problem.code, problem.span.line) for problem in problems] == [("timed-text-bad", line)]


def spoken(count: int, start_ms: int, length_ms: int, *, end: str = ".") -> TimedLine:
    """Return a line of that many one-syllable words."""
    return TimedLine(start_ms, start_ms + length_ms, " ".join(["stir"] * count) + end)


def test_a_silence_and_a_full_paragraph_end_a_paragraph() -> None:
    """More than 1.5 s of silence; a sentence end from 20 s on; never past 30 s."""
    lines = [
        spoken(20, 0, 10_000),
        spoken(20, 11_500, 9_000),  # 1.5 s of silence is none; ends at 20.5 s with its sentence
        spoken(20, 20_500, 15_000, end=","),
        spoken(20, 35_500, 14_000, end=","),  # 29 s in all
        spoken(20, 49_500, 6_000),  # would pass 30 s
        spoken(3, 58_000, 2_000),  # after 2.5 s of silence, and too short
    ]
    assert [item.length_ms for item in paragraphs(lines, str)] == [20_500, 29_000, 6_000]


def test_the_factor_makes_the_odd_paragraphs_come_out_right() -> None:
    """
    Worked by hand: 40 syllables and one stop are 8.55 s with a factor of 1.

    Odd paragraphs of 21.375 s: factor 2.5. The even one of 22.5 s is predicted 21.375 s, 5 % short.
    """
    lines = [spoken(40, 0, 21_375), spoken(40, 30_000, 22_500), spoken(40, 60_000, 21_375)]
    fit = fit_pace(lines, str)
    assert fit is not None
    assert (fit.factor, fit.calibrated, fit.tested) == (Fraction("2.5"), 2, 1)
    assert (fit.mean_error, fit.worst_error, fit.total_error) == (Fraction(1, 20), Fraction(1, 20), Fraction(-1, 20))
    assert fit.words_per_minute == Fraction(120 * 60_000, 65_250)


def test_without_a_second_paragraph_nothing_is_tested() -> None:
    """The error is unknown rather than zero."""
    fit = fit_pace([spoken(40, 0, 20_000)], str)
    assert fit is not None
    assert (fit.mean_error, fit.flat_error) == (None, None)


def test_too_little_speech_is_refused(tmp_path: Path) -> None:
    """Four seconds measure no pace."""
    file = tmp_path / "short.txt"
    file.write_text("[0:00] Stir it well.\n[0:04]\n", encoding="utf-8")
    with pytest.raises(InputError) as raised:
        pace(file)
    assert [problem.code for problem in raised.value.problems] == ["pace-too-short"]


def test_the_command_prints_the_line_for_the_kitchen_file(tmp_path: Path) -> None:
    """Figures are said out before they are counted: 400 g is three words."""
    file = tmp_path / "past.txt"
    file.write_text("[0:00] Add 400 g of rice and stir it well.\n[0:06]\n", encoding="utf-8")
    result = CliRunner().invoke(app, ["pace", str(file)])
    assert result.exit_code == 0
    assert result.stdout.startswith("10 words in 0:06: 100 words a minute\n")
    assert "[pace]\nspeech_factor = " in result.stdout
