"""Plans of one day, cooked or filmed, that trade an early wrap against other things, side by side."""

from __future__ import annotations

from shootplan.model.filming import PickUp
from shootplan.model.planning import PlanInput, SolveResult
from shootplan.records import dataclass

__all__ = ["FilmedTrade", "FilmedTrades", "Sought", "TradePlan", "Wish"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What is asked of a plan beside an early wrap: so many dishes in work at once, served so soon when ready."""

    dishes: int | None = None
    served_within_s: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TradePlan:
    """
    A plan and what it is worth; less is better in each.

    ``changes`` counts how often somebody's hands go from one dish to another. ``longest_wait_s`` is the longest that
    anything hot or limited waits between ready and served, ``wait_s`` the sum of each dish's longest. ``dishes`` is the
    most dishes in work at once.
    """

    wish: Wish
    plan_input: PlanInput
    result: SolveResult
    wrap_s: int
    changes: int
    longest_wait_s: int
    wait_s: int
    dishes: int

    @property
    def worth(self) -> tuple[int, int, int]:
        """Wrap, changes of dish and the longest wait, by which plans are compared."""
        return (self.wrap_s, self.changes, self.longest_wait_s)

    def is_no_better_than(self, other: TradePlan) -> bool:
        """Return whether the other plan is as good in everything compared."""
        return all(mine >= theirs for mine, theirs in zip(self.worth, other.worth, strict=True))


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmedTrade:
    """
    A plan of the filmed day and what it is worth; less is better in wrap, re-rigs and camera wait.

    ``within_s`` is how much later than the earliest wrap it was allowed to end, 0 for the day as it is planned.
    ``wrap_s`` has the strike in it. ``rerig_s`` are the seconds of all re-rigs, ``wait_s`` those in which the camera is
    rigged and does not record (rule T5). ``set_ups`` are (position, how often), ``served`` (recipe, seconds from call).
    ``is_wrap_proven`` is that no plan with so few re-rigs wraps earlier, ``is_fewest_proven`` that none within the
    limit has fewer.
    """

    within_s: int
    plan_input: PlanInput
    result: SolveResult
    pick_ups: tuple[PickUp, ...]
    wrap_s: int
    rerigs: int
    rerig_s: int
    wait_s: int
    set_ups: tuple[tuple[str, int], ...]
    served: tuple[tuple[str, int], ...]
    is_wrap_proven: bool
    is_fewest_proven: bool

    @property
    def worth(self) -> tuple[int, int, int]:
        """Wrap, re-rigs and camera wait, by which plans are compared."""
        return (self.wrap_s, self.rerigs, self.wait_s)

    def is_no_better_than(self, other: FilmedTrade) -> bool:
        """Return whether the other plan is as good in everything compared."""
        return all(mine >= theirs for mine, theirs in zip(self.worth, other.worth, strict=True))


@dataclass(frozen=True, slots=True, kw_only=True)
class Sought:
    """What was looked for: the fewest re-rigs that were found within so many seconds, and whether that is proven."""

    within_s: int
    rerigs: int
    is_proven: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmedTrades:
    """The plans of a filmed day that trade, the earliest wrap first, and what was looked for, the narrowest first."""

    plans: tuple[FilmedTrade, ...]
    sought: tuple[Sought, ...]
