"""Swap-outs: waiting steps that a duplicate made earlier may stand in for, and what that does to the day."""

from __future__ import annotations

from enum import Enum

from shootplan.model.clock import Range
from shootplan.model.money import Cost
from shootplan.records import dataclass

__all__ = ["Keeping", "SwapKey", "SwapPlan", "SwapReport", "SwapStep"]

#: Recipe id and step id of the waiting step.
SwapKey = tuple[str, str]


class Keeping(Enum):
    """Whether a duplicate made the evening before is still fit when it is used."""

    KEEPS = "keeps"
    TOO_OLD = "too old"
    UNKNOWN = "not said"


@dataclass(frozen=True, slots=True, kw_only=True)
class SwapStep:
    """
    A waiting step and the duplicate that stands in for it.

    ``wait`` are the seconds that the step is left alone. ``hands`` and ``alone`` are what making the duplicate takes,
    everything that leads to the end of the step, hands-on (watching and look-ins included) and unattended, both ends.
    ``cost`` is what its ingredients come to, exact; ``unpriced`` names items without a price, ``cost`` is then a lower
    bound. ``shares`` are (line id, share of the line, as 1/1) of what it takes. ``keeps_s`` is how long it keeps (from
    the step's ``keeps:``), ``keeps`` the author's words for it; ``age_s`` how old one made the evening before is when
    it is used. One that does not keep until then is made on the day from ``made_from_s`` and is ready at ``ready_s``,
    seconds from call, in the first plan that has it; ``None`` for others.
    """

    recipe: str
    step: str
    label: str
    wait: Range
    hands: Range
    alone: Range
    cost: Cost
    unpriced: tuple[str, ...] = ()
    keeps_s: int | None = None
    keeps: str = ""
    age_s: int | None = None
    made_from_s: int | None = None
    ready_s: int | None = None
    is_marked: bool = True

    @property
    def key(self) -> SwapKey:
        """Recipe id and step id."""
        return (self.recipe, self.step)

    @property
    def keeping(self) -> Keeping:
        """Whether one made the evening before is still fit."""
        if self.keeps_s is None or self.age_s is None:
            return Keeping.UNKNOWN
        return Keeping.KEEPS if self.age_s <= self.keeps_s else Keeping.TOO_OLD


@dataclass(frozen=True, slots=True, kw_only=True)
class SwapPlan:
    """
    The day with some swap-outs: wrap in seconds from call, ``None`` where no plan keeps all limits.

    ``saved_s`` is the wrap without them less the wrap with them, not the length of the steps. ``cost`` and ``hands``
    are the sums over the duplicates. ``no_better_than`` is a part of the combination that wraps as early, empty where
    every duplicate counts. ``bound_s`` is a wrap before which no such plan ends; a filmed day picks up ``pick_ups``
    shots later, ``has_other_pick_ups`` where they are not those of the day without.
    """

    keys: tuple[SwapKey, ...]
    wrap_s: int | None
    saved_s: int
    cost: Cost
    hands: Range
    is_proven: bool = True
    no_better_than: tuple[SwapKey, ...] | None = None
    bound_s: int = 0
    pick_ups: int = 0
    has_other_pick_ups: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SwapReport:
    """
    The day without swap-outs, the steps that allow one, and the day with each of them and with combinations.

    ``cheapest`` is the plan that saves a minute for the least money, ``earliest`` the one that wraps first (the cheaper
    of two that wrap together); both ``None`` where none saves anything. ``bound_s`` is a wrap before which no plan
    without swap-outs ends. Of a filmed day every wrap has the strike in it, ``pick_ups`` shots are picked up later, and
    ``latest_s`` is the latest wrap in seconds from call, which a day may pass here, ``None`` for none.
    """

    wrap_s: int
    is_proven: bool
    steps: tuple[SwapStep, ...]
    plans: tuple[SwapPlan, ...]
    cheapest: SwapPlan | None = None
    earliest: SwapPlan | None = None
    bound_s: int = 0
    is_filmed: bool = False
    pick_ups: int = 0
    latest_s: int | None = None

    def late_s(self, wrap_s: int | None) -> int:
        """Return by how many seconds a wrap is after the latest one, 0 if it is not."""
        return max(0, wrap_s - self.latest_s) if wrap_s is not None and self.latest_s is not None else 0

    def saved_between_s(self, plan: SwapPlan) -> tuple[int, int]:
        """
        Return what is saved at least and at most, in seconds, if both days were planned as short as they can be.

        One figure twice where both are proven; the first may be below zero, which means "perhaps nothing".
        """
        wrap_s = plan.wrap_s if plan.wrap_s is not None else self.wrap_s
        return self.bound_s - wrap_s, self.wrap_s - plan.bound_s

    def step(self, key: SwapKey) -> SwapStep:
        """
        Return the step of that key.

        Raises
        ------
        KeyError
            If it is not among the steps.
        """
        for item in self.steps:
            if item.key == key:
                return item
        raise KeyError(key)
