"""What holds for captions of any text and any rows."""

from __future__ import annotations

import html
from itertools import pairwise
from xml.etree import ElementTree

import webvtt
from hypothesis import given, settings
from hypothesis import strategies as st

from shootplan.facts.say_out import say_out
from shootplan.model.cut import Caption, CaptionKind, Cut
from shootplan.model.filled import CaptionText
from shootplan.timing.caption_text import clean_lines
from shootplan.timing.cards import write_cards
from shootplan.timing.chosen import chosen
from shootplan.timing.holds import VERTICAL, WIDE, CaptionStyle, caption_need_ms, fits, split_caption, wrap
from shootplan.timing.placing import LEAST_GAP_MS, place_captions
from shootplan.timing.ttml import write_ttml
from shootplan.timing.webvtt import write_webvtt

TIGHT = settings(max_examples=60, derandomize=True, deadline=None)
NEEDS = st.lists(st.integers(min_value=22, max_value=70).map(lambda tenths: tenths * 100), max_size=4)
ROWS = st.lists(st.tuples(NEEDS, st.integers(min_value=0, max_value=9000)), max_size=8)


def laid_out(rows: list[tuple[list[int], int]]) -> list[tuple[int, int, list[int]]]:
    """Return rows with starts: each as long as its captions and some room, half a second between them."""
    placed, at_ms = [], 0
    for needs_ms, room_ms in rows:
        length_ms = sum(needs_ms) + room_ms
        placed.append((at_ms, length_ms, needs_ms))
        at_ms += length_ms + 500
    return placed


@TIGHT
@given(ROWS)
def test_captions_never_overlap_and_can_be_read(rows: list[tuple[list[int], int]]) -> None:
    """Times ascend, holds reach the need, gaps are none or a second, captions begin inside their row."""
    placed = laid_out(rows)
    slots = place_captions(placed)
    for (start_ms, length_ms, needs_ms), row_slots in zip(placed, slots, strict=True):
        assert len(row_slots) == len(needs_ms)
        for slot, need_ms in zip(row_slots, needs_ms, strict=True):
            assert slot.out_ms - slot.in_ms >= need_ms
            assert start_ms <= slot.in_ms and slot.in_ms + need_ms <= start_ms + length_ms
    flat = [slot for row_slots in slots for slot in row_slots]
    for first, second in pairwise(flat):
        gap_ms = second.in_ms - first.out_ms
        assert gap_ms == 0 or gap_ms >= LEAST_GAP_MS


@TIGHT
@given(st.text(max_size=80))
def test_any_text_comes_back_from_webvtt(text: str) -> None:
    """An independent reader finds the clean lines of any text at all."""
    lines = clean_lines(text)
    caption = Caption(id="c", row="r", kind=CaptionKind.STEP, text=text, in_ms=0, out_ms=3000, need_ms=0)
    found = list(webvtt.from_string(write_webvtt(Cut(sections=(), captions=(caption,), length_ms=0))))
    assert len(found) == bool(lines)
    for cue in found:
        assert [html.unescape(line) for line in cue.text.split("\n")] == list(lines)


@TIGHT
@given(st.lists(st.text(alphabet="abc 12·:\u00a0", min_size=1, max_size=30), max_size=6).map(" · ".join))
def test_no_word_of_a_caption_is_lost(text: str) -> None:
    """Splitting and wrapping move words, they drop none; what fits needs no more time than it has words."""
    found = split_caption(text)
    assert [word for part in found for word in part.split() if word != "·"] == [w for w in text.split() if w != "·"]
    assert all(caption_need_ms(part) >= 2200 for part in found if part.split())


@TIGHT
@given(st.text(alphabet="ab \u00a0", max_size=74))
def test_a_short_line_is_one_line(text: str) -> None:
    """37 characters fit on one line."""
    lines = wrap(text)
    if len(text) <= 37:
        assert len(lines) <= 1
        assert fits(lines)


@TIGHT
@given(st.text(max_size=60))
def test_any_text_can_be_said_out(text: str) -> None:
    """No text makes the reader of figures fail."""
    assert isinstance(say_out(text), str)


@TIGHT
@given(st.text(alphabet="0123456789½¾/.,-– €£gmlkr°Cptbs%:", max_size=24))
def test_anything_like_a_figure_can_be_said_out(text: str) -> None:
    """Nor does anything that looks like a figure."""
    assert isinstance(say_out(text), str)


@TIGHT
@given(st.text(max_size=60), st.booleans())
def test_any_text_is_well_formed_ttml_and_a_well_formed_card(text: str, is_vertical: bool) -> None:
    """An XML parser finds the clean lines of any text at all in both."""
    lines = [line for line in (escape_free(line) for line in clean_lines(text)) if line]
    caption = Caption(id=text or "c", row="r", kind=CaptionKind.STEP, text=text, in_ms=0, out_ms=3000, need_ms=0)
    cut = Cut(sections=(), captions=(caption,), length_ms=0, is_vertical=is_vertical)
    root = ElementTree.fromstring(write_ttml(cut).encode())
    spans = list(root.iter("{http://www.w3.org/ns/ttml}span"))
    shown = [line for span in spans for line in ((span.text or ""), *((br.tail or "") for br in span)) if line]
    assert shown == lines
    cards = write_cards(cut)
    assert len(cards) == bool(lines)
    for name, card in cards.items():
        assert "/" not in name
        found = ElementTree.fromstring(card.encode()).iter("{http://www.w3.org/2000/svg}text")
        assert [item.text for item in found] == lines


def escape_free(line: str) -> str:
    """Return a line without the two characters that XML 1.0 does not have beside control characters."""
    return line.replace("\ufffe", "").replace("\uffff", "")


ITEMS = st.lists(
    st.builds(
        CaptionText,
        text=st.text(alphabet="abc £é", min_size=1, max_size=45).map(lambda text: " ".join(text.split()) or "a"),
        kind=st.sampled_from(["ingredient", "step", "price"]),
        weight=st.integers(min_value=0, max_value=9),
    ),
    max_size=7,
)


@TIGHT
@given(ITEMS, st.integers(min_value=0, max_value=20_000), st.sampled_from([WIDE, VERTICAL]))
def test_what_is_derived_can_be_read_in_its_row(items: list[CaptionText], room_ms: int, style: CaptionStyle) -> None:
    """Every caption fits on the screen; only a price may outlast the row; the heaviest item that fits is there."""
    captions = chosen(items, room_ms, style)
    needs_ms = sum(caption_need_ms(caption.text) for caption in captions)
    assert all(fits(tuple(caption.text.split("\n")), style) for caption in captions)
    assert needs_ms <= room_ms or any(caption.kind == "price" for caption in captions)
    readable = [item for item in items if fits(wrap(item.text, style), style)]
    if any(caption_need_ms(item.text) <= room_ms or item.kind == "price" for item in readable):
        assert captions
