"""A recipe of somebody else's between their data and our Markdown: plain texts on one line each, and remarks."""

from __future__ import annotations

from shootplan.records import dataclass

__all__ = ["Brought", "BroughtGroup", "BroughtStep"]


@dataclass(frozen=True, slots=True, kw_only=True)
class BroughtGroup:
    """Ingredient lines under one heading; ``heading`` is empty for the dish's own."""

    heading: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BroughtStep:
    """One step: a name without comma, its text, and the fields that the data says plainly (key, value)."""

    name: str
    text: str
    fields: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Brought:
    """
    What could be read of one recipe.

    ``settings`` are (key, value) of the front matter, ``remarks`` sentences for the author: what was not read, what the
    data does not say. ``headnote`` and ``keep`` are paragraphs joined by line feeds.
    """

    title: str
    headnote: str = ""
    settings: tuple[tuple[str, str], ...] = ()
    groups: tuple[BroughtGroup, ...] = ()
    steps: tuple[BroughtStep, ...] = ()
    keep: str = ""
    remarks: tuple[str, ...] = ()
