"""
Who and what is busy when, while a list schedule is built.

Intervals of people and counted things come in one by one; the next moment at which something fits goes out. Closed-open
whole seconds; it knows nothing of activities.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right, insort
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
    """How many of a counted thing are in use when: ``levels[k]`` from ``marks[k]`` until the next mark."""

    capacity: int
    marks: list[int] = field(default_factory=lambda: [0])
    levels: list[int] = field(default_factory=lambda: [0])

    def copy(self) -> Counted:
        """Return the same, to be booked on its own."""
        return Counted(self.capacity, list(self.marks), list(self.levels))

    def book(self, start_s: int, end_s: int, count: int) -> None:
        """Add a use, or with a negative count take one away; an empty one is nothing."""
        if end_s <= start_s:
            return
        first, last = self._mark(start_s), self._mark(end_s)
        for place in range(first, last):
            self.levels[place] += count

    def _mark(self, moment_s: int) -> int:
        """Return the place of a mark, made if need be."""
        place = bisect_left(self.marks, moment_s)
        if place == len(self.marks) or self.marks[place] != moment_s:
            self.marks.insert(place, moment_s)
            self.levels.insert(place, self.levels[place - 1])
        return place

    def next_free(self, from_s: int, length_s: int, count: int) -> int | None:
        """Return the first moment from ``from_s`` at which ``count`` are free for ``length_s``; ``None`` if never."""
        if length_s <= 0:
            return from_s
        most = self.capacity - count
        if most < 0:
            return None
        moment = from_s
        for place in range(bisect_right(self.marks, from_s) - 1, len(self.marks)):
            if self.marks[place] >= moment + length_s:
                break
            if self.levels[place] > most:
                moment = self.marks[place + 1]
        return moment if moment < FOREVER_S else None
