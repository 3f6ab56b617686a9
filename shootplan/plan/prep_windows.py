"""
When something that waits may begin, from when it is used and how long it may wait.

A recipe and the starts of its planned steps come in, the earliest and latest start of each other step goes out, by
walking backwards over the links. A chosen wait counts from its least to its most, an unknown one by its long end for
the latest start; what keeps in the fridge may wait there longer. All in whole seconds from call.
"""

from __future__ import annotations

from dataclasses import field

from shootplan.model.clock import Window
from shootplan.model.recipe import After, Recipe, Step
from shootplan.records import dataclass

__all__ = ["COLD_PLACES", "Starts", "chilled_s", "hands_s"]

COLD_PLACES = ("fridge", "freezer", "chilled")


def hands_s(step: Step) -> int:
    """Return the seconds of a step that bind somebody before it is left, long end."""
    return sum(part.high_s for part in (step.hands, step.watch) if part is not None) * step.batches


def chilled_s(step: Step) -> int | None:
    """Return how long what a step makes may wait cold, counted from when it is left; ``None`` if nothing is said."""
    is_cold = any(word in step.ahead_place.casefold() for word in COLD_PLACES)
    return step.keeps_s if is_cold else None


@dataclass(slots=True)
class Starts:
    """The earliest and latest starts of a recipe's steps; ``planned`` are the starts that the day's plan gives."""

    recipe: Recipe
    planned: dict[str, int]
    _consumers: dict[str, list[tuple[Step, After]]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for number, step in enumerate(self.recipe.steps):
            links = step.after
            if links is None:
                links = (After(step=self.recipe.steps[number - 1].name),) if number else ()
            for after in links:
                before = self.recipe.step(after.step) if not after.recipe else None
                if before is not None:
                    self._consumers.setdefault(before.id, []).append((step, after))

    def consumers(self, step: Step) -> list[tuple[Step, After]]:
        """Return the steps that wait for a step, with their links."""
        return self._consumers.get(step.id, [])

    def use(self, step: Step) -> tuple[Step, int] | None:
        """Return the planned step that a step leads to first, and when it starts."""
        if step.id in self.planned:
            return step, self.planned[step.id]
        uses = [found for other, _ in self.consumers(step) if (found := self.use(other)) is not None]
        return min(uses, key=lambda found: found[1], default=None)

    def latest_s(self, step: Step, *, is_own: bool = False) -> int | None:
        """Return the latest start that still lets everything after it begin in time."""
        if step.id in self.planned and not is_own:
            return self.planned[step.id]
        found = []
        for other, after in self.consumers(step):
            latest = self.latest_s(other)
            if latest is not None:
                found.append(latest - after.at_least_s - self._least_s(step))
        return min(found, default=None)

    def earliest_s(self, step: Step, *, is_own: bool = False) -> int | None:
        """Return the earliest start after which nothing waits too long; ``None`` where nothing limits it."""
        if step.id in self.planned and not is_own:
            return self.planned[step.id]
        found = []
        for other, after in self.consumers(step):
            earliest, most = self.earliest_s(other), self._most_s(step, after)
            if earliest is not None and most is not None:
                found.append(earliest - most)
        return max(found, default=None)

    def _least_s(self, step: Step) -> int:
        left = step.leave
        waits = 0 if left is None else left.at_least_s if isinstance(left, Window) else left.high_s
        return hands_s(step) + waits

    def _most_s(self, step: Step, after: After) -> int | None:
        """Return how long at most from a step's start to what waits for it."""
        left, cold = step.leave, chilled_s(step)
        work = sum(part.low_s for part in (step.hands, step.watch) if part is not None) * step.batches
        if isinstance(left, Window):
            longest = left.at_most_s if cold is None else max(cold, left.at_most_s or 0)
            return None if longest is None else work + longest + (after.at_most_s or 0)
        waits = after.at_most_s if after.at_most_s is not None else step.keeps_s
        return None if waits is None else work + (left.low_s if left is not None else 0) + waits
