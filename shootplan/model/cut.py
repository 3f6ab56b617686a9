"""The cut clock: sections and rows of the finished video and the captions over them, in whole milliseconds."""

from __future__ import annotations

from enum import Enum

from shootplan.records import dataclass

__all__ = ["Caption", "CaptionKind", "Cut", "Row", "Section"]


class CaptionKind(Enum):
    """What a caption carries."""

    INGREDIENT = "ingredient"
    PRICE = "price"
    STEP = "step"
    TOTAL = "total"
    NOTICE = "notice"


@dataclass(frozen=True, slots=True, kw_only=True)
class Caption:
    """
    One caption: text of one or two lines (joined by a line feed), in and out on the cut clock.

    ``need_ms`` is the shortest hold that can be read, ``row`` the id of the row it is anchored to, ``source`` where its
    figures come from ("leek-bean-bake beans").
    """

    id: str
    row: str
    kind: CaptionKind
    text: str
    in_ms: int
    out_ms: int
    need_ms: int
    source: str = ""

    @property
    def hold_ms(self) -> int:
        """How long it stays."""
        return self.out_ms - self.in_ms


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """
    One picture of the script with its narration: starts at ``start_ms``, lasts ``length_ms``.

    ``say`` is the narration with figures filled in as spoken; ``words`` its spoken words; ``speech_ms`` its length;
    ``picture_ms`` the picture's least length. ``captions`` are ids.

    ``action`` is what happens (the step's name), ``wait`` how a wait of the kitchen is shortened in the picture ("12–15
    min: cut"), ``caution`` the step's warning. ``speech_low_ms`` and ``speech_high_ms`` are the likely band of the
    narration, ``caption_ms`` the sum of the holds that its captions need. Where the video is longer than asked,
    ``cut_ms`` of narration should go, which is ``cut_syllables``; where it is shorter, ``fill_ms`` may be added.
    """

    id: str
    section: str
    recipe: str = ""
    step: str = ""
    picture: str = ""
    set_up: str = ""
    say: str = ""
    speaker: str = ""
    words: int = 0
    speech_ms: int = 0
    picture_ms: int = 0
    start_ms: int = 0
    length_ms: int = 0
    captions: tuple[str, ...] = ()
    action: str = ""
    wait: str = ""
    caution: str = ""
    syllables: int = 0
    cut_ms: int = 0
    cut_syllables: int = 0
    fill_ms: int = 0
    speech_low_ms: int = 0
    speech_high_ms: int = 0
    caption_ms: int = 0

    @property
    def air_ms(self) -> int:
        """How long the picture goes on without narration."""
        return self.length_ms - self.speech_ms

    @property
    def decides(self) -> str:
        """What makes the row as long as it is: "narration", "picture" or "captions"."""
        if self.speech_ms >= max(self.picture_ms, self.caption_ms):
            return "narration"
        return "picture" if self.picture_ms >= self.caption_ms else "captions"

    @property
    def may_run_over(self) -> bool:
        """Whether narration that should end inside its picture may, by the likely error, outlast it."""
        return self.speech_ms < self.length_ms < self.speech_high_ms


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A part of the video that gets a chapter: its rows in order."""

    id: str
    title: str
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """
    The whole video; ``length_ms`` includes the joins between rows.

    ``over_ms`` is by how much it is longer than asked (below zero: shorter; 0 inside or nothing asked), ``stuck_ms``
    the part of it that no shorter narration saves. ``is_vertical`` says that captions are laid out for 9:16.
    ``speech_ms`` is all narration together, ``speech_low_ms`` to ``speech_high_ms`` its likely band.
    """

    sections: tuple[Section, ...]
    captions: tuple[Caption, ...]
    length_ms: int
    over_ms: int = 0
    stuck_ms: int = 0
    is_vertical: bool = False
    speech_ms: int = 0
    speech_low_ms: int = 0
    speech_high_ms: int = 0

    @property
    def rows(self) -> tuple[Row, ...]:
        """All rows in order."""
        return tuple(row for section in self.sections for row in section.rows)
