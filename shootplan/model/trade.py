"""Plans of one day that trade an early wrap against other things, side by side."""

from __future__ import annotations

from shootplan.model.planning import PlanInput, SolveResult
from shootplan.records import dataclass

__all__ = ["TradePlan", "Wish"]


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
