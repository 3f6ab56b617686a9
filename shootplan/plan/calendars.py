"""
Who and what is busy when, while a list schedule is built.

Intervals of people and counted things come in one by one; the next moment at which something fits goes out. Closed-open
whole seconds; it knows nothing of activities.
"""

from __future__ import annotations

from bisect import insort
from dataclasses import field

from shootplan.records import dataclass

__all__ = ["Counted", "Person"]

#: Later than any plan: the end of what is held until its last step is placed.
FOREVER_S = 10**12


@dataclass(slots=True)
class Person:
    """One person's busy intervals, time away included."""

    busy: list[tuple[int, int]] = field(default_factory=list)

    def copy(self) -> Person:
        """Return the same, to be booked on its own."""
        return Person(list(self.busy))

    def book(self, start_s: int, end_s: int) -> None:
        """Add a busy interval; an empty one is nothing."""
        if end_s > start_s:
            insort(self.busy, (start_s, end_s))

    def next_free(self, from_s: int, length_s: int) -> int:
        """Return the first moment from ``from_s`` at which ``length_s`` fit."""
        moment = from_s
        if length_s <= 0:
            return moment
        for start, end in self.busy:
            if start >= moment + length_s:
                break
            moment = max(moment, end)
        return moment


@dataclass(slots=True)
class Counted:
    """The uses of a counted thing: (start, end, count); what is held without a known end ends at ``FOREVER_S``."""

    capacity: int
    uses: dict[object, tuple[int, int, int]] = field(default_factory=dict)

    def copy(self) -> Counted:
        """Return the same, to be booked on its own."""
        return Counted(self.capacity, dict(self.uses))

    def book(self, key: object, start_s: int, end_s: int, count: int) -> None:
        """Add a use, or put another in place of the one with the same key; an empty one is nothing."""
        if end_s > start_s:
            self.uses[key] = (start_s, end_s, count)

    def next_free(self, from_s: int, length_s: int, count: int) -> int | None:
        """Return the first moment from ``from_s`` at which ``count`` are free for ``length_s``; ``None`` if never."""
        if length_s <= 0:
            return from_s
        if count > self.capacity:
            return None
        moments = sorted({from_s, *(end for _, end, _ in self.uses.values() if from_s < end < FOREVER_S)})
        return next((moment for moment in moments if self._fits(moment, moment + length_s, count)), None)

    def _fits(self, start_s: int, end_s: int, count: int) -> bool:
        within = [use for use in self.uses.values() if use[0] < end_s and use[1] > start_s]
        marks = {start_s, *(use[0] for use in within if use[0] > start_s)}
        return all(sum(u[2] for u in within if u[0] <= mark < u[1]) + count <= self.capacity for mark in marks)
