"""
Captions as transparent cards: well-formed, inside the safe area, readable, every letter inside its box.

SOURCE: EBU R 95 (graphics-safe 5 % an edge); BCAP as published by Clearcast (26 of 1080 lines on an opaque block, 30
otherwise); WCAG 2.2 contrast 4.5:1.
"""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import pytest
from test_render_palette import contrast
from test_webvtt import TEXTS, cut

from shootplan.timing.cards import GROUND, LETTERS, write_cards

SVG = "{http://www.w3.org/2000/svg}"


def box(root: ElementTree.Element) -> tuple[int, int, int, int]:
    """Return left, top, right, bottom of the card's one rectangle."""
    (rect,) = root.iter(f"{SVG}rect")
    left, top, width, height = (int(rect.get(key) or 0) for key in ("x", "y", "width", "height"))
    return left, top, left + width, top + height


@pytest.mark.parametrize("is_vertical", [False, True])
@pytest.mark.parametrize("text", [*TEXTS, "W" * 37, "½ m" * 12, "粉" * 30])
def test_a_card_lies_over_the_picture(text: str, is_vertical: bool) -> None:
    """As large as the picture, the box inside the graphics-safe area and in its upper third, letters high enough."""
    (card,) = write_cards(replace(cut(text), is_vertical=is_vertical)).values()
    root = ElementTree.fromstring(card)
    width, height = (1080, 1920) if is_vertical else (1920, 1080)
    assert (root.get("width"), root.get("height")) == (str(width), str(height))
    left, top, right, bottom = box(root)
    assert left >= width * 0.05
    assert top >= height * 0.05
    assert right <= width * 0.95
    assert bottom <= height / 3
    (group,) = root.iter(f"{SVG}g")
    if len(text) <= (25 if is_vertical else 37):
        assert int(group.get("font-size") or 0) >= 30
    lines = [item.text for item in group]
    assert lines == text.split("\n")
    assert root.findtext(f"{SVG}title") == " ".join(text.split("\n"))


def test_letters_stand_out() -> None:
    """White on nearly black, the block opaque."""
    assert contrast(LETTERS, GROUND) >= 4.5
    (card,) = write_cards(cut("Drain")).values()
    assert "opacity" not in card
    assert card.count("<rect") == 1


def test_names_are_in_order_and_safe() -> None:
    """By in-time with three digits; nothing of a caption's name can leave the folder."""
    made = cut("a", "b", "c")
    odd = replace(made.captions[0], id="../Ä b/é.1", in_ms=99_000, out_ms=99_900)
    names = list(write_cards(replace(made, captions=(odd, *made.captions[1:]))))
    assert names == ["001-bake.cook.2.svg", "002-bake.cook.3.svg", "003-b-.1.svg"]
    assert all(re.fullmatch(r"[a-z0-9._-]+", name) for name in names)


def test_a_caption_without_words_or_time_has_no_card() -> None:
    """Nothing to lay over the picture."""
    made = cut("", "a")
    assert len(write_cards(made)) == 1
    short = replace(made.captions[1], out_ms=made.captions[1].in_ms)
    assert write_cards(replace(made, captions=(short,))) == {}


def test_every_caption_of_each_demo_has_a_card(demo: Path) -> None:
    """As many cards as captions, each parsed."""
    from shootplan.app import load
    from shootplan.app.script import script

    made = script(load(demo)).cut
    cards = write_cards(made)
    assert len(cards) == len(made.captions)
    assert all(ElementTree.fromstring(card).tag == f"{SVG}svg" for card in cards.values())
