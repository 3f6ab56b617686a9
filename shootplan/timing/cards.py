"""
Each caption as a transparent card of the picture's size, to be laid over it by an editor: SVG 1.1.

A ``Cut`` comes in, {file name: text} goes out. White letters on an opaque box, which is transparent nowhere but around
it; the box stands where the caption files put the text.
"""

from __future__ import annotations

import re

from shootplan.model.cut import Caption, Cut
from shootplan.timing.caption_text import clean_lines
from shootplan.timing.screen import Screen, screen_of
from shootplan.timing.ttml import escape_xml

__all__ = ["GROUND", "LETTERS", "write_cards"]

LETTERS, GROUND = "#ffffff", "#14110b"
_FONTS = "Helvetica, Arial, Liberation Sans, Noto Sans, DejaVu Sans, sans-serif"
#: Widths in hundredths of an em, none below those of DejaVu Sans Bold, the widest of the usual faces (measured).
_WIDTHS = {
    **dict.fromkeys(" \u00a0ijlI'|.,·‘’/\\", 40),
    **dict.fromkeys('()[]!:;-–ftr°"*`_', 55),
    **dict.fromkeys("DGHNOQUw&+<=>#^~×→", 95),
    **dict.fromkeys("mMW%@—…½⅓⅔¼¾⅛⅜⅝⅞æœ", 118),
}
_LETTER, _WIDE_LETTER = 78, 120
#: Box around the text and distance of lines, in parts of the letters' height.
_PADDING, _LINE, _BASE = 0.5, 1.25, 0.95
_UNSAFE = re.compile(r"[^a-z0-9._]+")


def write_cards(cut: Cut) -> dict[str, str]:
    """Return a card for each caption by its in-time: "001-bake.peel.1.svg"; one without words is left out."""
    screen = screen_of(cut)
    shown = sorted(cut.captions, key=lambda item: (item.in_ms, item.out_ms))
    cards = {}
    for number, caption in enumerate(shown, start=1):
        lines = tuple(line for line in clean_lines(caption.text) if escape_xml(line))
        if lines and caption.out_ms > caption.in_ms:
            cards[f"{number:03d}-{_name(caption)}.svg"] = _card(lines, screen)
    return cards


def _name(caption: Caption) -> str:
    return _UNSAFE.sub("-", caption.id.casefold()).strip("-.") or "caption"


def _card(lines: tuple[str, ...], screen: Screen) -> str:
    left, top = screen.width * screen.left // 100, screen.height * screen.top // 100
    widest = max(map(_hundredths, lines))
    room = screen.width * screen.box_width // 100
    text = min(screen.text, int(room / (widest / 100 + 2 * _PADDING)))
    width, height = round(text * (widest / 100 + 2 * _PADDING)), round(text * (_LINE * len(lines) + _PADDING))
    words = [
        f'<text x="{left + width // 2}" y="{top + round(text * (_PADDING / 2 + _BASE + _LINE * idx))}">'
        f"{escape_xml(line)}</text>"
        for idx, line in enumerate(lines)
    ]
    size = f'width="{screen.width}" height="{screen.height}" viewBox="0 0 {screen.width} {screen.height}"'
    face = f'fill="{LETTERS}" font-family="{_FONTS}" font-size="{text}" font-weight="bold" text-anchor="middle"'
    return "\n".join(
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" {size}>',
            f"<title>{escape_xml(' '.join(lines))}</title>",
            f'<rect x="{left}" y="{top}" width="{width}" height="{height}" fill="{GROUND}"/>',
            f'<g {face} xml:space="preserve">',
            *words,
            "</g>",
            "</svg>\n",
        )
    )


def _hundredths(line: str) -> int:
    """Return how wide a line is at most, in hundredths of an em; letters of other scripts count full."""
    return sum(_WIDTHS.get(letter, _LETTER if letter < "\u0250" else _WIDE_LETTER) for letter in line)
