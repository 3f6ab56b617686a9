"""A season: many episodes gone through at once, and what was found in each."""

from __future__ import annotations

from datetime import date
from enum import Enum

from shootplan.records import dataclass

__all__ = ["ClaimToday", "EpisodeReview", "Order", "SeasonReport", "Task"]


class Task(Enum):
    """What is done to each episode."""

    CHECK = "check"
    COSTS = "costs"
    BUILD = "build"


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """
    What to do with one episode; it can be sent to another process or machine that sees the same folders.

    ``on`` is the day whose prices count instead of the episode's own; ``corrections`` are prices to try,
    "rolled oats=2.10".
    """

    folder: str
    task: Task
    on: date | None = None
    corrections: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ClaimToday:
    """
    A claim as it was published and at the prices asked for.

    ``was_allowed`` is judged at the episode's own date and prices; ``wording`` is what may be said now, ``reason`` why
    the claim fails, empty where it holds.
    """

    text: str
    was_allowed: bool
    is_allowed: bool
    wording: str
    reason: str

    @property
    def fails_now(self) -> bool:
        """Whether it held when published and does not hold any more."""
        return self.was_allowed and not self.is_allowed


@dataclass(frozen=True, slots=True, kw_only=True)
class EpisodeReview:
    """
    What was found in one episode.

    ``problems`` are printed lines; ``moved`` names what a corrected price touches, old and new; ``read`` are the files
    and folders that were looked at, each with the digest of what stood there. ``failure`` says why the task could not
    be done though the files are sound.
    """

    folder: str
    title: str
    day: date | None
    errors: int
    warnings: int
    problems: tuple[str, ...] = ()
    claims: tuple[ClaimToday, ...] = ()
    moved: tuple[str, ...] = ()
    documents: int = 0
    failure: str = ""
    read: tuple[tuple[str, str], ...] = ()

    @property
    def is_sound(self) -> bool:
        """Whether the files have no errors and the task was done."""
        return not self.errors and not self.failure


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonReport:
    """All reviews by date and folder; ``kept`` of them were taken over because nothing they read has changed."""

    reviews: tuple[EpisodeReview, ...]
    kept: int
