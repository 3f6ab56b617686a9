"""
A search over list schedules: many orders, each made tight from both ends, the best ones crossed with one another.

A plan and the best schedule so far come in, a shorter one goes out if one is found. Each order is scheduled forward,
then backward from the end in the order of the ends, then forward again (forward-backward improvement: Li and Willis
1992, European Journal of Operational Research 56; Valls, Ballestín and Quintanilla 2005, ibid. 165). The best orders
are crossed at two points (Hartmann 1998, Naval Research Logistics 45). The effort is counted in placements, so the same
input gives the same plan everywhere.
"""

from __future__ import annotations

import random
from collections.abc import Collection, Iterator, Sequence
from dataclasses import field
from heapq import heapify, heappop, heappush

from shootplan.model.planning import PlanInput, Schedule
from shootplan.plan.packed import Packed
from shootplan.plan.packing import packed
from shootplan.records import dataclass

__all__ = ["Searched", "searched"]

#: How many orders are kept to be crossed, and how often an order is drawn for each until that many are sound.
_KEPT = 30
_DRAWS = 3
#: Of so many blocks drawn the one with the longest way to the end comes next.
_DRAWN = 3
#: How often, in a hundred, two neighbours change places in a crossed order.
_SWAPS = 3

#: The search ends when so much of its work, in percent, has brought nothing.
_IN_VAIN = 40
#: The most placements for each block of the plan.
_MOST = 1300

Order = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Searched:
    """The shortest schedule found, how many placements that took, and whether the user stopped it (Ctrl-C)."""

    schedule: Schedule | None
    work: int = 0
    is_stopped: bool = False


def searched(
    plan_input: PlanInput, listed: Schedule | None, *, bound_s: int, top_s: int, work: int, seed: int
) -> Searched:
    """
    Return the shortest schedule found, ``listed`` if none is shorter.

    Parameters
    ----------
    plan_input
        The plan; one with what ``packed`` does not know is left alone.
    listed
        The best schedule so far, if there is one.
    bound_s
        A lower bound on the makespan in seconds, at which the search ends.
    top_s
        The longest makespan to look at, in seconds.
    work
        The most placements of an activity to make, about; small plans take fewer.
    seed
        Of what is left to chance.
    """
    plan = packed(plan_input, top_s)
    if plan is None:
        return Searched(listed)
    most = min(work, _MOST * len(plan.blocks))
    search = _Search(plan, random.Random(seed), -(-bound_s // plan.unit), most)
    is_stopped = False
    try:
        search.run(listed)
    except KeyboardInterrupt:
        is_stopped = True
    is_shorter = listed is None or search.shortest * plan.unit < listed.makespan_s
    starts = plan.forward(search.best) if search.best and is_shorter else None
    return Searched(plan.schedule(starts) if starts is not None else listed, plan.work, is_stopped)


@dataclass(slots=True)
class _Search:
    """The orders kept, as (makespan in units, number, order), and the best of all."""

    plan: Packed
    chance: random.Random
    bound: int
    work: int
    followers: list[list[int]] = field(default_factory=list)
    kept: list[tuple[int, int, Order]] = field(default_factory=list)
    shortest: int = 0
    best: Order = ()
    found_at: int = 0

    def run(self, listed: Schedule | None) -> None:
        """Try orders until the work is done or the bound is met."""
        self.followers = [[] for _ in self.plan.needed]
        for block, needed in enumerate(self.plan.needed):
            for before in sorted(needed):
                self.followers[before].append(block)
        for number, order in enumerate(self._orders(listed)):
            self._improve(number, order)
            in_vain = self.plan.work - self.found_at
            if self.plan.work >= self.work or 100 * in_vain > _IN_VAIN * self.work:
                return
            if self.best and self.shortest <= self.bound:
                return

    # ------------------------------------------------------------------------------------------------ orders

    def _orders(self, listed: Schedule | None) -> Iterator[Order]:
        """Yield the order of the best schedule so far, then drawn ones, then crossed ones without end."""
        if listed is not None:
            begun = [listed.of(item.id).start_s for item in self.plan.input.activities]
            yield self._by([min(begun[name] for name in block) for block in self.plan.blocks])
        yield self._drawn(len(self.plan.blocks))
        for _ in range(_DRAWS * _KEPT):
            if len(self.kept) < _KEPT:
                yield self._drawn(_DRAWN)
        while len(self.kept) > 1:
            yield self._crossed()

    def _drawn(self, count: int) -> Order:
        """Return an order in which the next is always, of ``count`` drawn or of all, that of the longest tail."""
        tails = self.plan.tails
        waits = [len(needed) for needed in self.plan.needed]
        free = [block for block, number in enumerate(waits) if not number]
        order = []
        while free:
            places = (
                range(len(free)) if count >= len(free) else [self.chance.randrange(len(free)) for _ in range(count)]
            )
            place = max(places, key=lambda place: tails[free[place]])
            block, free[place] = free[place], free[-1]
            free.pop()
            order.append(block)
            for after in self.followers[block]:
                waits[after] -= 1
                if not waits[after]:
                    free.append(after)
        return tuple(order)

    def _crossed(self) -> Order:
        """Return an order that has its middle from another one, a few neighbours changed."""
        one, other = (min(self.chance.sample(self.kept, 2))[2] for _ in range(2))
        count = len(one)
        first, last = sorted(self.chance.randrange(count) for _ in range(2))
        last = max(last, min(count, first + count // 4))
        head = one[:first]
        used = set(head)
        middle = [block for block in other if block not in used][: last - first]
        used.update(middle)
        order = [*head, *middle, *(block for block in one if block not in used)]
        for place in range(count - 1):
            before, after = order[place : place + 2]
            if self.chance.randrange(100) < _SWAPS and before not in self.plan.needed[after]:
                order[place : place + 2] = after, before
        return tuple(order)

    def _by(self, keys: Sequence[int]) -> Order:
        """Return the blocks by key, each after those that it waits for."""
        pairs = [(key, block) for block, key in enumerate(keys)]
        return _sorted(pairs, self.plan.needed, self.followers)

    def _from_the_end(self, ends: Sequence[int]) -> Order:
        """Return the blocks with the last to end first, each after those that wait for it."""
        pairs = [(-end, -block) for block, end in enumerate(ends)]
        return _sorted(pairs, self.followers, self.plan.needed)

    # ------------------------------------------------------------------------------------------------ schedules

    def _improve(self, number: int, order: Order) -> None:
        """Schedule an order forward, backward and forward, and keep what comes out if it is among the best."""
        plan = self.plan
        starts = plan.forward(order)
        if starts is None:
            return
        makespan = self._noted(starts, order)
        back = plan.backward(self._from_the_end(self._ends(starts)))
        if back is not None:
            again = self._by([-end for end in self._ends(back)])
            moved = plan.forward(again)
            if moved is not None and self._noted(moved, again) <= makespan:
                starts, makespan = moved, self._makespan(moved)
        self._keep(makespan, number, self._by([min(starts[name] for name in block) for block in plan.blocks]))

    def _ends(self, starts: Sequence[int]) -> list[int]:
        length = self.plan.length
        return [max(starts[name] + length[name] for name in block) for block in self.plan.blocks]

    def _makespan(self, starts: Sequence[int]) -> int:
        return max(map(int.__add__, starts, self.plan.length))

    def _noted(self, starts: Sequence[int], order: Order) -> int:
        """Return the makespan, noted if it is the shortest so far."""
        makespan = self._makespan(starts)
        if not self.best or makespan < self.shortest:
            self.shortest, self.best, self.found_at = makespan, order, self.plan.work
        return makespan

    def _keep(self, makespan: int, number: int, order: Order) -> None:
        if any(makespan == known and order == same for known, _, same in self.kept):
            return
        if len(self.kept) >= _KEPT:
            worst = max(self.kept)
            if makespan > worst[0]:
                return
            self.kept.remove(worst)
        self.kept.append((makespan, number, order))


def _sorted(
    pairs: Sequence[tuple[int, int]], needed: Sequence[Collection[int]], followers: Sequence[Collection[int]]
) -> Order:
    """Return the numbers of blocks by their pairs, each after those that it needs."""
    order = sorted(range(len(pairs)), key=pairs.__getitem__)
    place = [0] * len(order)
    for rank, block in enumerate(order):
        place[block] = rank
    if all(place[before] < place[block] for block in order for before in needed[block]):
        return tuple(order)
    waits = [len(before) for before in needed]
    ready = [place[block] for block, number in enumerate(waits) if not number]
    heapify(ready)
    found = []
    while ready:
        block = order[heappop(ready)]
        found.append(block)
        for after in followers[block]:
            waits[after] -= 1
            if not waits[after]:
                heappush(ready, place[after])
    return tuple(found)
