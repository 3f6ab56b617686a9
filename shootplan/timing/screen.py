"""
Where captions stand on the picture, the same for every caption file: top left, inside the graphics-safe area.

Subtitles of speech go to the bottom of the picture, so that the two never cover each other.
"""

from __future__ import annotations

from shootplan.model.cut import Cut
from shootplan.records import dataclass

__all__ = ["PORTRAIT", "SCREEN", "Screen", "screen_of"]


@dataclass(frozen=True, slots=True)
class Screen:
    """
    A picture in pixels, the captions' box in percent of it, and the height of letters (the em) in pixels.

    ``box_height`` holds as many lines as the caption style allows.
    """

    width: int
    height: int
    left: int
    top: int
    box_width: int
    box_height: int
    text: int

    @property
    def rows(self) -> int:
        """How many lines of text are as high as the picture, rounded down (the cells of a TTML file)."""
        return self.height // self.text


#: 16:9: 5 % from the edges at the sides (EBU R 95); letters of 57 of 1080 lines, where BCAP wants 30 at least.
SCREEN = Screen(width=1920, height=1080, left=5, top=10, box_width=90, box_height=18, text=57)
#: 9:16: below the 12.5 % at the top that the BBC subtitle guidelines (section 10) leave free.
PORTRAIT = Screen(width=1080, height=1920, left=5, top=15, box_width=90, box_height=14, text=54)


def screen_of(cut: Cut) -> Screen:
    """Return the picture for which a cut's captions are laid out."""
    return PORTRAIT if cut.is_vertical else SCREEN
