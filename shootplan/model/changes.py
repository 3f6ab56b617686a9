"""What differs between two editions of an episode: printed facts, old against new, and which documents carry them."""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum

from shootplan.records import dataclass

__all__ = ["Change", "ChangeReport", "Edition", "Fact", "FactKind"]


class FactKind(Enum):
    """What a fact is about; the value is its name for machines."""

    EPISODE = "episode"
    RECIPE = "recipe"
    PRICE_ROW = "price row"
    LINE = "line"
    SERVING = "serving"
    TOTAL = "total"
    CLAIM = "claim"
    AMOUNT = "amount"
    ALLERGEN = "allergen"
    TIME = "time"
    DAY = "day"
    FILMED = "filmed day"
    LENGTH = "length"
    CAPTION = "caption"
    NARRATION = "narration"
    TEXT = "text"

    @property
    def is_burned(self) -> bool:
        """Whether the finished video holds it: letters in the picture, words in the sound."""
        return self in (FactKind.CAPTION, FactKind.NARRATION)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """
    One fact of an edition.

    ``key`` finds its twin in the other edition; ``about`` is the recipe's id, empty for the episode; ``label`` says
    what it is, ``shown`` its value as printed. ``exact`` is compared: two costs may print alike and differ.
    """

    key: tuple[str, ...]
    kind: FactKind
    about: str
    label: str
    shown: str
    exact: str = ""

    @property
    def compared(self) -> str:
        """What decides whether it changed."""
        return self.exact or self.shown


@dataclass(frozen=True, slots=True, kw_only=True)
class Edition:
    """All facts of one saved or computed state, by the part of ``plan.json`` that holds them, in order."""

    name: str
    title: str
    parts: Mapping[str, tuple[Fact, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """
    A fact that differs; ``old`` or ``new`` is empty where it is not there.

    ``documents`` are the ones that carry it, by what they are called on the cover page. ``prints_alike`` says that only
    the exact figure moved.
    """

    kind: FactKind
    about: str
    label: str
    old: str
    new: str
    documents: tuple[str, ...]
    prints_alike: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeReport:
    """All changes in the order of the editions; ``not_compared`` names the parts that only one edition holds."""

    old: str
    new: str
    title: str
    changes: tuple[Change, ...]
    not_compared: tuple[str, ...] = ()

    @property
    def burned(self) -> tuple[Change, ...]:
        """What the finished video shows or says: it needs a new cut or an announced correction."""
        return tuple(change for change in self.changes if change.kind.is_burned)

    @property
    def editable(self) -> tuple[str, ...]:
        """The documents that are changed by building again, each once, in alphabetical order."""
        return tuple(sorted({name for change in self.changes for name in change.documents}))

    @property
    def recipes(self) -> tuple[str, ...]:
        """The recipes that something changes in, in order."""
        return tuple(dict.fromkeys(change.about for change in self.changes if change.about))
