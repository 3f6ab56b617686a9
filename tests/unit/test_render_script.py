"""The script and the reading view: what stands in which column, what to cut or to fill, in pages, text and JSON."""

from __future__ import annotations

import base64
import hashlib
import re
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from publication_factory import cut, publication
from test_render_documents import Page
from test_render_palette import contrast

from shootplan.model.cut import Cut, Row
from shootplan.model.episode import Episode, Kitchen, Pace
from shootplan.render import render_documents
from shootplan.render.script_text import script_json, script_text
from shootplan.render.table_text import shown_width
from shootplan.render.views_script import pace_text, reading_parts, script_view

TEMPLATES = Path(__file__).resolve().parents[2] / "templates"


@pytest.fixture(scope="module")
def files() -> dict[str, str]:
    """Return the documents of the publication made by hand."""
    return render_documents(publication(), captions={})


def episode(**values: object) -> Episode:
    """Return the episode of that publication with other settings."""
    return replace(publication().resolved.episode, **values)  # type: ignore[arg-type]


def too_long() -> Cut:
    """Return the cut asked to be 12 s at most: 3 s over, 2 s of them in the chopping's words (5 of 15 syllables)."""
    made = cut()
    chop, simmer = made.sections[0].rows
    rows = (replace(chop, fill_ms=0, cut_ms=2000, cut_syllables=5), replace(simmer, fill_ms=0))
    toast = replace(made.sections[1].rows[0], fill_ms=0)
    sections = (replace(made.sections[0], rows=rows), replace(made.sections[1], rows=(toast,)))
    return replace(made, sections=sections, over_ms=3000, stuck_ms=1000)


# ---------------------------------------------------------------------------------------------------- the view


def test_a_row_holds_picture_sound_and_captions() -> None:
    """Running time, seconds, set-up, framing, speaker, words, band; captions with in and hold."""
    view = script_view(episode(), cut())
    chop, simmer, toast = (row for section in view.sections for row in section.rows)
    assert [(row.number, row.at, row.seconds) for row in (chop, simmer, toast)] == [
        (1, "0:00.0", "6.0"),
        (2, "0:06.5", "4.0"),
        (3, "0:11.0", "4.0"),
    ]
    assert (chop.set_up, chop.framing, chop.action) == ("overhead", "hands", "Chop the onion")
    assert (chop.speaker, chop.sound) == ("voice-over", ("6.0", "5.0–7.0", "13 words"))
    assert (simmer.wait, simmer.say, simmer.sound) == ("25–30 min: time-lapse", "", ("", "", ""))
    assert [(item.lines, item.comes_in, item.hold) for item in toast.captions] == [
        (("2 slices bread £0.11", "and <no> butter"), "0:11.8", "3.2")
    ]
    assert toast.framing == ""


def test_sections_say_where_they_begin_and_how_long_they_are() -> None:
    """The soup: 6 + 0.5 + 4 s (worked by hand)."""
    view = script_view(episode(), cut())
    assert [(item.title, item.at, item.length) for item in view.sections] == [
        ("Barley & onion soup", "0:00", "0:10"),
        ("Toast", "0:11", "0:04"),
    ]


def test_what_decides_the_length_of_a_row() -> None:
    """The longest of narration, picture and captions."""
    base = Row(id="r", section="s", speech_ms=5000, picture_ms=4000, caption_ms=3000)
    assert base.decides == "narration"
    assert replace(base, picture_ms=6000).decides == "picture"
    assert replace(base, caption_ms=6000).decides == "captions"


@pytest.mark.parametrize(
    ("length_ms", "high_ms", "tight"), [(4000, 4100, True), (4000, 3900, False), (3700, 4100, False)]
)
def test_narration_that_may_outlast_its_picture_is_tight(length_ms: int, high_ms: int, tight: bool) -> None:
    """Where the band of the estimate ends behind the row; a row as long as its narration stretches with it."""
    row = Row(id="r", section="s", speech_ms=3700, speech_high_ms=high_ms, length_ms=length_ms)
    assert row.may_run_over is tight


def test_a_script_too_short_says_what_to_fill() -> None:
    """25 s short of the 40 s asked for, shared by the rows' lengths."""
    view = script_view(episode(), cut())
    assert [row.advice for section in view.sections for row in section.rows] == [
        "fill 10.7 s",
        "fill 7.1 s",
        "fill 7.1 s",
    ]
    assert view.length[0].startswith("0:25.0 too short")


def test_a_script_too_long_says_what_to_cut_and_what_words_cannot_save() -> None:
    """3 s over: 5 syllables save 2 s, 1 s is stuck."""
    view = script_view(episode(length_low_s=10, length_high_s=12), too_long())
    assert view.sections[0].rows[0].advice == "cut 5 syllables, 2.0 s"
    assert "5 syllables less of narration save 2.0 s" in view.length[0]
    assert view.length[1].startswith("1.0 s cannot be saved")


@pytest.mark.parametrize(
    ("values", "length", "words"),
    [
        ({"length_low_s": None, "length_high_s": None}, (), "no length is asked for"),
        (
            {"length_low_s": None, "length_high_s": 60},
            ("The script keeps to the length asked for.",),
            "wanted: at most",
        ),
        (
            {"length_low_s": 10, "length_high_s": 60},
            ("The script keeps to the length asked for.",),
            "wanted: 10 s–1 min",
        ),
    ],
)
def test_the_length_against_the_length_asked_for(
    values: dict[str, object], length: tuple[str, ...], words: str
) -> None:
    """Nothing asked, an upper end only, and a range that is kept."""
    view = script_view(episode(**values), replace(cut(), over_ms=0))
    assert view.length == length
    assert view.figures[0][2].startswith(words)


def test_how_far_narration_may_be_off_is_told() -> None:
    """By the model that the pace asks for."""
    assert "16 %" in script_view(episode(), cut()).band
    assert "a tenth" in script_view(episode(kitchen=Kitchen()), cut()).band


def test_the_pace_is_named() -> None:
    """A flat rate, or the model with its factor."""
    assert pace_text(Pace(words_per_minute=130)) == "at 130 words a minute"
    assert pace_text(Pace(speech_factor=Fraction(85, 100))) == "by syllables and pauses, pace 0.85"


# ---------------------------------------------------------------------------------------------------- pages


def test_the_script_page_has_a_row_a_picture(files: dict[str, str]) -> None:
    """One table: a heading row for each part, a row heading for each picture, everything escaped."""
    page = Page(files["script.html"])
    scopes = [attrs["scope"] for tag, attrs in page.elements if tag == "th"]
    assert (scopes.count("col"), scopes.count("rowgroup"), scopes.count("row")) == (4, 2, 3)
    assert "fingers &lt;well&gt; out" in files["script.html"]
    assert "and &lt;no&gt; butter" in files["script.html"]
    for words in (
        "13 words, 6.0 s (5.0–7.0)",
        "in 0:11.8, hold 3.2 s",
        "25–30 min: time-lapse",
        "sharp knife",
        "no narration",
    ):
        assert words in page.text


def test_the_script_in_markdown_is_a_table_for_each_part(files: dict[str, str]) -> None:
    """Each row has the six cells of the head."""
    lines = [line for line in files["script.md"].splitlines() if line.startswith("|")]
    assert len(lines) == 2 * 2 + 3
    assert {len(re.split(r"(?<!\\)\|", line)) for line in lines} == {8}
    assert "Row 1, Chop the onion: sharp knife" in files["script.md"]


def test_the_reading_view_lets_only_its_own_script_run(files: dict[str, str]) -> None:
    """SOURCE: W3C Content Security Policy Level 3, hash source: base64 of the SHA-256 of the script's text."""
    text = files["reading.html"]
    script = text[text.index("<script>") + len("<script>") : text.index("</script>")]
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    assert f"script-src 'sha256-{digest}';" in text
    assert text.count("<script") == 1
    page = Page(text)
    assert (page.faults, page.open) == ([], [])
    assert re.findall(r'(?:src|href)="(?:https?:)?//', text) == []


def test_the_reading_view_holds_what_is_said_and_what_is_left() -> None:
    """From the beginning 15 s, from the toast 4 s; after the chopping 5 s of pictures (worked by hand)."""
    soup, toast = reading_parts(cut())
    assert [(row.number, row.left, row.left_ms, row.pause) for row in (*soup.rows, *toast.rows)] == [
        (1, "0:15", 15_000, "5.0"),
        (3, "0:04", 4_000, "3.1"),
    ]


def test_the_reading_view_without_a_word() -> None:
    """An episode in which nothing is said."""
    silent = replace(publication(), cut=Cut(sections=(), captions=(), length_ms=0))
    assert "Nothing is said" in render_documents(silent, captions={})["reading.html"]


def test_the_reading_view_has_high_contrast() -> None:
    """SOURCE: WCAG 2.2, 1.4.6: 7:1 for all text, the pieces that wait included."""
    css = (TEMPLATES / "reading.css").read_text(encoding="utf-8")
    colours = dict(re.findall(r"--([a-z]+):\s*(#[0-9a-f]{6})", css))
    for name in ("bright", "waiting", "mark"):
        assert contrast(colours[name], colours["ground"]) >= 7
    assert contrast(colours["bright"], "#222222") >= 7


# ---------------------------------------------------------------------------------------------------- the terminal


@pytest.mark.parametrize("width", [40, 80, 120, 400])
def test_the_terminal_shows_four_columns(width: int) -> None:
    """Never wider than the terminal, nor than can be read; never narrower than four columns need."""
    text = script_text(episode(), cut(), width=width)
    assert max(map(shown_width, text.split("\n"))) <= max(76, min(width, 160))
    for words in ("Barley & onion soup, from 0:00", "TIME", "PICTURE", "SOUND", "CAPTIONS", "FILL 10.7 S"):
        assert words in text


def test_the_terminal_says_no_more_than_the_page() -> None:
    """Colour only when asked for; a row without sound or caption has a dash."""
    assert "\x1b" not in script_text(episode(), cut())
    assert "\x1b[1m" in script_text(episode(), cut(), colour=True)
    simmer = next(line for line in script_text(episode(), cut()).split("\n") if line.startswith("0:06.5"))
    assert re.split(r"\s{2,}", simmer) == ["0:06.5", "Simmer", "FILL 7.1 S", "-"]


def test_the_script_for_machines() -> None:
    """Milliseconds, and the length asked for in seconds."""
    record = script_json(episode(), cut())
    assert (record["schema_version"], record["target"]) == (1, {"low_s": 40, "high_s": 60})
    assert record["length_ms"] == 15_000
    assert record["sections"][0]["rows"][0]["syllables"] == 15
