"""
The colours of the pages by the formula of WCAG 2.2 (W3C Recommendation, "contrast ratio" and "relative luminance").

Text needs 4.5:1 (success criterion 1.4.3), lines that carry meaning 3:1 (1.4.11).
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

CSS = (Path(__file__).resolve().parents[2] / "templates" / "style.css").read_text(encoding="utf-8")
TEXT = [("ink", "paper"), ("soft", "paper"), ("link", "paper"), ("care", "paper"), ("care", "care-paper")]
TEXT += [("ink", "care-paper"), ("soft", "care-paper"), ("ink", "band"), ("soft", "band"), ("paper", "ink")]


def luminance(colour: str) -> float:
    """Return the relative luminance of "#rrggbb" (or "#rgb")."""
    digits = colour.lstrip("#")
    digits = "".join(letter * 2 for letter in digits) if len(digits) == 3 else digits
    parts = [int(digits[place : place + 2], 16) / 255 for place in (0, 2, 4)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, two: str) -> float:
    """Return the contrast ratio of two colours."""
    high, low = sorted((luminance(one), luminance(two)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def palette(start: str) -> dict[str, str]:
    """Return {name: colour} of the first block of variables after a text of the style sheet."""
    block = CSS[CSS.index(start) :].split(":root", 1)[1].split("}", 1)[0]
    return dict(re.findall(r"--([a-z-]+):\s*(#[0-9a-f]{3,6})", block))


PALETTES = {"light": palette(":root"), "dark": palette("prefers-color-scheme: dark"), "print": palette("@media print")}


def test_the_formula_gives_the_published_ratios() -> None:
    """SOURCE: WCAG 2.2: 21:1 for black on white; Understanding 1.4.3: #777777 on white is 4.47:1 (from memory)."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.47, abs=0.01)


@pytest.mark.parametrize("name", PALETTES)
@pytest.mark.parametrize(("text", "ground"), TEXT)
def test_text_can_be_read(name: str, text: str, ground: str) -> None:
    """Every pair of text and ground that the sheet uses has 4.5:1 in light, dark and print."""
    colours = PALETTES[name]
    assert contrast(colours[text], colours[ground]) >= 4.5


@pytest.mark.parametrize("name", PALETTES)
def test_lines_can_be_seen(name: str) -> None:
    """Rules between rows have 3:1."""
    assert contrast(PALETTES[name]["rule"], PALETTES[name]["paper"]) >= 3


def test_paper_is_black_on_white_without_shades() -> None:
    """A black-and-white printer loses nothing: no coloured ground, no coloured text."""
    colours = PALETTES["print"]
    assert {colours["paper"], colours["band"], colours["care-paper"]} == {"#fff"}
    assert {colours["ink"], colours["care"], colours["link"]} == {"#000"}


def test_the_sheet_asks_for_nothing_from_elsewhere() -> None:
    """No import, no font, no picture from the network."""
    assert "@import" not in CSS
    assert "url(" not in CSS
    assert "@font-face" not in CSS
