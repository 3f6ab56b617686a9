"""Texts of the episode with every placeholder replaced by the computed figure, as written and as spoken."""

from __future__ import annotations

from shootplan.records import dataclass

__all__ = ["CaptionText", "FilledEpisode", "FilledRecipe", "FilledStep", "FilledText", "NoticeText"]


@dataclass(frozen=True, slots=True, kw_only=True)
class FilledText:
    """
    One text: ``printed`` for pages, ``shown`` for the screen (no-break spaces inside figures), ``spoken`` with every
    figure said out ("one tablespoon of oil").
    """

    printed: str = ""
    shown: str = ""
    spoken: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CaptionText:
    """
    One caption's text as shown, its kind ("ingredient", "price", "step", "total", "notice") and its source in words.

    ``has_price`` says that a figure of money stands in it. ``weight`` orders items that we derive: where not all can be
    read in the time of their row, the heavier stay.
    """

    text: str
    kind: str
    source: str = ""
    has_price: bool = False
    weight: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class NoticeText:
    """
    A notice that we derive, as the captions that make it up: what prices it speaks of, or what makes food safe.

    ``recipe`` is whose it is, empty for the episode's; it stands where there is room for it.
    """

    captions: tuple[CaptionText, ...]
    recipe: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FilledStep:
    """
    A step or a row of the opening, transitions and closing: method text, narration and captions.

    ``text`` is the printed instruction with mentions replaced by plain words; ``say`` the narration. ``derived`` are
    items for the screen where the author typed no caption; ``is_clear`` says that he wants none.
    """

    id: str
    text: FilledText = FilledText()
    say: FilledText = FilledText()
    captions: tuple[CaptionText, ...] = ()
    derived: tuple[CaptionText, ...] = ()
    is_clear: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class FilledRecipe:
    """The filled texts of one recipe, steps in method order."""

    id: str
    headnote: FilledText = FilledText()
    serve: FilledText = FilledText()
    keep: FilledText = FilledText()
    notes: FilledText = FilledText()
    steps: tuple[FilledStep, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class FilledEpisode:
    """The filled texts of the whole episode; ``between`` rows in order of the recipes they lead to."""

    headnote: FilledText = FilledText()
    opening: tuple[FilledStep, ...] = ()
    between: tuple[FilledStep, ...] = ()
    closing: tuple[FilledStep, ...] = ()
    recipes: tuple[FilledRecipe, ...] = ()
    notices: tuple[NoticeText, ...] = ()
