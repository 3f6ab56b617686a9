"""
TTML captions against the rules of IMSC, read by readers that are not ours.

SOURCE: W3C Timed Text Markup Language 2 and IMSC 1.1 text profile, from memory; that presented regions do not overlap
and how times are written: W3C IMSC Text Profile 1.3 (2026-05-21).
"""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from xml.etree import ElementTree

import pysubs2
import pytest
import ttconv.imsc.reader
from test_webvtt import TEXTS, cut
from ttconv.isd import ISD

from shootplan.timing.screen import PORTRAIT, SCREEN
from shootplan.timing.ttml import PROFILE, escape_xml, write_ttml

TT, TTP, TTS = (f"{{http://www.w3.org/ns/ttml{part}}}" for part in ("", "#parameter", "#styling"))
XML, EBUTTS = "{http://www.w3.org/XML/1998/namespace}", "{urn:ebu:tt:style}"
#: IMSC 1.1 text: what may stand where, as far as we write it; images, audio and animation are not allowed.
CHILDREN = {
    "tt": {"head", "body"},
    "head": {"styling", "layout"},
    "styling": {"style"},
    "layout": {"region"},
    "body": {"div"},
    "div": {"p"},
    "p": {"span"},
    "span": {"br"},
}
CLOCK = re.compile(r"(\d{2,}):([0-5]\d):([0-5]\d)\.(\d{3})")


def name(element: ElementTree.Element) -> str:
    """Return an element's name; every element is of the TTML namespace."""
    assert element.tag.startswith(TT)
    return element.tag.removeprefix(TT)


def seconds(text: str) -> Fraction:
    """Return a clock time with fractions."""
    match = CLOCK.fullmatch(text)
    assert match is not None, text
    hours, minutes, whole, thousandths = (int(part) for part in match.groups())
    return 3600 * hours + 60 * minutes + whole + Fraction(thousandths, 1000)


def check(text: str) -> ElementTree.Element:
    """Check a document against the rules and return its root."""
    root = ElementTree.fromstring(text.encode())
    assert (name(root), root.get(f"{XML}lang")) == ("tt", "en")
    assert root.get(f"{TTP}contentProfiles") == PROFILE
    assert root.get(f"{TTP}timeBase", "media") == "media"
    assert f"{TTS}extent" not in root.attrib  # allowed only with lengths in pixels
    identifiers = [found for item in root.iter() if (found := item.get(f"{XML}id"))]
    assert len(identifiers) == len(set(identifiers))
    assert all(re.fullmatch(r"[A-Za-z_][\w.-]*", found) for found in identifiers)
    for parent in root.iter():
        allowed = CHILDREN.get(name(parent), set())
        assert {name(child) for child in parent} <= allowed, name(parent)
        if name(parent) not in ("span", "br"):
            assert not (parent.text or "").strip()
            assert not any((child.tail or "").strip() for child in parent)
        assert set((parent.get("style") or "").split()) <= set(identifiers)
        for key, value in parent.attrib.items():
            if key in (f"{TTS}color", f"{TTS}backgroundColor"):
                assert re.fullmatch(r"#[0-9a-f]{6}(?:[0-9a-f]{2})?", value)
            if key in (f"{TTS}origin", f"{TTS}extent", f"{TTS}fontSize", f"{TTS}lineHeight"):
                assert all(re.fullmatch(r"\d+(?:\.\d+)?%", length) for length in value.split())
            if key == f"{EBUTTS}linePadding":
                assert re.fullmatch(r"\d*\.?\d+c", value)
    _check_regions(root)
    _check_times(root)
    return root


def _check_regions(root: ElementTree.Element) -> None:
    """Each region lies inside the picture; there is one, so that no two overlap; all content has one."""
    regions = list(root.iter(f"{TT}region"))
    assert len(regions) == 1
    left, top = (int(length.rstrip("%")) for length in (regions[0].get(f"{TTS}origin") or "").split())
    width, height = (int(length.rstrip("%")) for length in (regions[0].get(f"{TTS}extent") or "").split())
    assert 5 <= left <= left + width <= 95
    assert 5 <= top <= top + height <= 95
    assert {item.get("region") for item in root.iter(f"{TT}div")} == {regions[0].get(f"{XML}id")}


def _check_times(root: ElementTree.Element) -> None:
    """Ends after begins, in ascending order."""
    times = [(seconds(p.get("begin") or ""), seconds(p.get("end") or "")) for p in root.iter(f"{TT}p")]
    assert times == sorted(times)
    assert all(begin < end for begin, end in times)


def lines_of(p: ElementTree.Element) -> str:
    """Return a paragraph's text, line breaks as line feeds."""
    (span,) = p
    return (span.text or "") + "".join("\n" + (br.tail or "") for br in span)


@pytest.mark.parametrize("is_vertical", [False, True])
def test_a_document_keeps_the_rules(is_vertical: bool) -> None:
    """Texts come back as they were, markup included; times with three decimals."""
    root = check(write_ttml(replace(cut(*TEXTS), is_vertical=is_vertical)))
    assert [lines_of(p) for p in root.iter(f"{TT}p")] == list(TEXTS)
    assert next((p.get("begin"), p.get("end")) for p in root.iter(f"{TT}p")) == ("00:00:04.000", "00:00:07.000")
    assert root.get(f"{TTP}displayAspectRatio") == ("9 16" if is_vertical else "16 9")


def test_an_imsc_reader_shows_each_caption_in_its_time() -> None:
    """ttconv 1.2.3 builds what stands on the screen at each time: the caption's lines, in our region."""
    model = ttconv.imsc.reader.to_model(ElementTree.ElementTree(ElementTree.fromstring(write_ttml(cut(*TEXTS)))))
    for number, text in enumerate(TEXTS, start=1):
        for at, is_there in (
            (4 * number, True),
            (Fraction(4 * number + 3) - Fraction(1, 1000), True),
            (4 * number + 3, False),
        ):
            shown = ISD.from_model(model, Fraction(at))
            found = [
                str(leaf.get_text())
                for region in shown.iter_regions()
                for leaf in region.dfs_iterator()
                if hasattr(leaf, "get_text")
            ]
            assert "".join(found) == (text.replace("\n", "") if is_there else "")


def test_another_reader_finds_the_times() -> None:
    """pysubs2 1.8.1 reads TTML: starts and ends in milliseconds."""
    found = pysubs2.SSAFile.from_string(write_ttml(cut(*TEXTS)), format_="ttml")
    assert [(event.start, event.end) for event in found] == [(4000 * n, 4000 * n + 3000) for n in (1, 2, 3, 4)]


def test_what_cannot_be_shown_is_left_out() -> None:
    """No words, no time, and characters that XML does not have."""
    text = write_ttml(cut("", " \n ", "a\ufffeb\x07c\ud800"))
    root = check(text)
    assert [lines_of(p) for p in root.iter(f"{TT}p")] == ["abc"]
    assert escape_xml('"a" & <b>') == "&quot;a&quot; &amp; &lt;b&gt;"
    empty = check(write_ttml(cut()))
    assert list(empty.iter(f"{TT}p")) == []


def test_the_region_holds_as_many_lines_as_a_caption_may_have() -> None:
    """Two lines of 125 % of a nineteenth of the picture, 13.2 %; vertical three of a thirty-fifth, 10.7 %."""
    assert SCREEN.box_height >= Fraction(125 * 2, SCREEN.rows)
    assert PORTRAIT.box_height >= Fraction(125 * 3, PORTRAIT.rows)


def test_the_captions_of_each_demo_keep_the_rules(demo: Path) -> None:
    """As many as in the other files."""
    from shootplan.app import load
    from shootplan.app.script import script

    made = script(load(demo)).cut
    assert len(list(check(write_ttml(made)).iter(f"{TT}p"))) == len(made.captions)
