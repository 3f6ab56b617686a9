"""Results of the kitchen clock: active, passive and elapsed time of each recipe alone and of the episode (T1-T8)."""

from __future__ import annotations

from shootplan.model.clock import Range
from shootplan.records import dataclass

__all__ = ["AheadWork", "EpisodeTimes", "RecipeTimes"]


@dataclass(frozen=True, slots=True, kw_only=True)
class AheadWork:
    """
    What is done before the day: seconds of hands-on time and of unattended time, both ends.

    ``label`` is the step's name, ``unattended_high_s`` ``None`` for an open window.
    """

    step: str
    label: str
    hands: Range
    unattended_low_s: int
    unattended_high_s: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RecipeTimes:
    """
    One recipe alone, one cook, home kitchen, without optional and ahead steps.

    ``active``, ``elapsed`` in seconds at the two ends of one fixed plan (rule T6); ``unattended`` is the plain sum of
    left time. ``passive_short_s`` and ``passive_long_s`` are elapsed - active at each end (rule T3). ``unknown`` names
    steps without a time: figures then read "at least". ``is_proven`` says that no shorter plan exists.
    """

    recipe: str
    active: Range
    elapsed: Range
    unattended: Range
    passive_short_s: int
    passive_long_s: int
    ahead: tuple[AheadWork, ...] = ()
    unknown: tuple[str, ...] = ()
    is_proven: bool = True
    bound_s: int = 0

    @property
    def passive(self) -> Range:
        """Passive time sorted for printing: it may fall as steps lengthen (rule T6)."""
        return Range(*sorted((self.passive_short_s, self.passive_long_s)))


@dataclass(frozen=True, slots=True, kw_only=True)
class EpisodeTimes:
    """
    The interleaved plan, each recipe made once, with ``cooks`` people (rule T4).

    ``hands_free`` is cooks x elapsed - active at each end; ``passive`` is elapsed - active with one cook.
    """

    recipes: tuple[RecipeTimes, ...]
    cooks: int
    active: Range
    elapsed: Range
    hands_free_short_s: int
    hands_free_long_s: int
    sum_elapsed: Range
    is_proven: bool = True
    bound_s: int = 0

    def recipe(self, recipe_id: str) -> RecipeTimes | None:
        """Return the times of that recipe, or ``None``."""
        return next((item for item in self.recipes if item.recipe == recipe_id), None)
