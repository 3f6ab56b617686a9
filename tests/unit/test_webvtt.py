"""Caption files, read back by readers that are not ours."""

from __future__ import annotations

import csv
import html
import io

import pysubs2
import pytest
import webvtt

from shootplan.model.cut import Caption, CaptionKind, Cut, Row, Section
from shootplan.model.show import spreadsheet_cell
from shootplan.timing.caption_csv import HEADER, write_caption_csv
from shootplan.timing.caption_text import clean_lines, clock_parts
from shootplan.timing.subrip import write_subrip
from shootplan.timing.webvtt import write_chapters, write_webvtt

NB = "\u00a0"
TEXTS = ("2 tbsp butter\n60 ml milk", "Salt & pepper <2 tsp", f"900{NB}g floury potatoes £0.70", "a --> b")


def caption(number: int, text: str, in_ms: int = 0, out_ms: int = 0) -> Caption:
    """Return a caption of three seconds, one every four."""
    start_ms = in_ms or number * 4000
    return Caption(
        id=f"bake.cook.{number}",
        row="bake.cook",
        kind=CaptionKind.STEP,
        text=text,
        in_ms=start_ms,
        out_ms=out_ms or start_ms + 3000,
        need_ms=2200,
        source="bake oil",
    )


def cut(*texts: str) -> Cut:
    """Return a cut with those captions and two sections."""
    rows = [Row(id=f"r{index}", section="x", start_ms=start) for index, start in enumerate((0, 30_500))]
    sections = (Section(id="a", title="Peas & rice", rows=(rows[0],)), Section(id="b", title="Bread", rows=(rows[1],)))
    captions = tuple(caption(number, text) for number, text in enumerate(texts, start=1))
    return Cut(sections=sections, captions=captions, length_ms=3_725_000)


def test_an_independent_reader_reads_our_webvtt() -> None:
    """webvtt-py finds every cue with its times, id and (unescaped) text."""
    found = webvtt.from_string(write_webvtt(cut(*TEXTS)))
    assert [html.unescape(cue.text) for cue in found] == list(TEXTS)
    assert [(cue.start, cue.end) for cue in found][:2] == [
        ("00:00:04.000", "00:00:07.000"),
        ("00:00:08.000", "00:00:11.000"),
    ]
    assert [cue.identifier for cue in found] == [f"bake.cook.{number}" for number in (1, 2, 3, 4)]


def test_a_webvtt_file_is_laid_out_as_the_standard_says() -> None:
    """Header, blank line, then blocks of id, timings with settings, payload."""
    lines = write_webvtt(cut("Drain")).split("\n")
    assert lines[:3] == ["WEBVTT", "", "bake.cook.1"]
    assert lines[3] == "00:00:04.000 --> 00:00:07.000 line:10% position:5%,line-left align:left size:90%"
    assert lines[4:] == ["Drain", ""]


def test_no_payload_holds_a_blank_line_or_an_arrow() -> None:
    """What would end a cue early is taken out or escaped."""
    text = write_webvtt(cut("a\n\n \nb --> c", "\n", "x\r\n\r\ny"))
    cues = text.split("\n\n")[1:]
    assert len(cues) == 2
    assert all(cue.count("-->") == 1 for cue in cues)


def test_chapters_cover_the_video() -> None:
    """The first starts at zero, each ends where the next begins, the last with the video."""
    found = list(webvtt.from_string(write_chapters(cut())))
    assert [(cue.start, cue.end, html.unescape(cue.text)) for cue in found] == [
        ("00:00:00.000", "00:00:30.500", "Peas & rice"),
        ("00:00:30.500", "01:02:05.000", "Bread"),
    ]


def test_an_independent_reader_reads_our_subrip() -> None:
    """pysubs2 finds every caption with its times and text."""
    texts = ("2 tbsp butter\n60 ml milk", "Salt & pepper", f"900{NB}g potatoes £0.70")
    found = pysubs2.SSAFile.from_string(write_subrip(cut(*texts)), format_="srt")
    assert [event.plaintext for event in found] == list(texts)
    assert [(event.start, event.end) for event in found] == [(4000, 7000), (8000, 11000), (12000, 15000)]


def test_subrip_counts_from_one_and_leaves_empty_ones_out() -> None:
    """Counters are consecutive; an arrow in a text becomes a sign."""
    text = write_subrip(cut("one", " ", "a --> b"))
    assert text.startswith("1\n00:00:04,000 --> 00:00:07,000\none\n\n2\n00:00:12,000")
    assert text.endswith("a → b\n")


def table(*texts: str) -> list[list[str]]:
    """Return the caption table as a CSV reader sees it."""
    text = write_caption_csv(cut(*texts))
    assert text.startswith("\ufeff")
    return list(csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline="")))


def test_the_table_has_a_row_for_each_caption() -> None:
    """Number, in, out, hold, need, text, burned in, from (RFC 4180)."""
    rows = table("2 tbsp butter\n60 ml milk", 'say "when", then stop')
    assert tuple(rows[0]) == HEADER
    assert rows[1] == [
        "1",
        "0:00:04.000",
        "0:00:07.000",
        "3.000",
        "2.200",
        "2 tbsp butter / 60 ml milk",
        "yes",
        "bake oil",
    ]
    assert rows[2][5] == 'say "when", then stop'


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@x"])
def test_no_cell_is_run_as_a_formula(text: str) -> None:
    """OWASP, "CSV injection": an apostrophe goes before what a spreadsheet would run."""
    assert table(text)[1][5] == f"'{text}"
    assert spreadsheet_cell(f"a{text}") == f"a{text}"


def test_control_characters_are_dropped() -> None:
    """NUL becomes U+FFFD (W3C WebVTT), lone surrogates and bells go, any line separator parts lines."""
    assert clean_lines("a\0b\x07c\u2028d\ud800\te") == ("a\ufffdbc", "d e")


def test_a_negative_time_is_refused() -> None:
    """A programmer's slip is found at once."""
    with pytest.raises(ValueError, match="negative"):
        clock_parts(-1)
