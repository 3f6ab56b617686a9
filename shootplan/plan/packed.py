"""
List schedules by the thousand: all that is in use at a moment stands packed in one whole number.

The tables of a plan come in from ``packing``; ``Packed.forward`` turns an order of its blocks into starts, fast enough
for a search over thousands of orders. A block is what limits on waiting, vessels and heats tie together
(a strongly connected part of the temporal network); it is placed whole, before the next one. Serial generation of
schedules for each (Kolisch 1996, European Journal of Operational Research 90). Cameras, breaks and closed times are
not known here, and nothing is verified: the caller does that.

Each moment takes ``width`` bits, a field for each group of people, counted thing and oven. A field holds what is in use
and what its capacity lacks of a power of two, so that one too many carries into the field's highest bit: one addition
tells for all that an activity uses, all the time it runs, whether it fits, and the highest carry from when to try on.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import field
from typing import NamedTuple

from shootplan.model.planning import PlanInput, Schedule
from shootplan.plan.groups import Group, Item, assigned, items_of, name_people
from shootplan.plan.orders import with_units
from shootplan.plan.ovens import Oven, Session
from shootplan.records import dataclass

__all__ = ["Held", "Packed", "Shape", "Side", "ones"]

#: How often a block is begun again because a limit inside it broke.
_TRIES = 60
#: To place an activity of a block costs as much as so many alone.
_BLOCK_WORK = 4


class Shape(NamedTuple):
    """What an activity uses while it runs, by one of the groups who may do it: ``mask`` covers its whole length."""

    mask: int
    demand: int
    guard: int
    is_even: bool
    group: int


class Held(NamedTuple):
    """A vessel held from the start of the ``first`` activity of a block to ``after`` the end of the ``last``."""

    first: int
    last: int
    after: int
    one: int
    guard: int


@dataclass(slots=True)
class Side:
    """
    The plan's tables in one direction of time, by activity number; weights are from start to start.

    ``empty`` is a profile with nothing in it but time away, ``before`` the edges into an activity from other blocks,
    ``inside`` the longest paths from it to each activity of its block.
    """

    empty: int
    shapes: list[tuple[Shape, ...]]
    release: list[int]
    before: list[list[tuple[int, int]]]
    inside: list[list[tuple[int, int]]]
    held: list[list[Held]]
    latest: list[int]


@dataclass(slots=True)
class Packed:
    """
    A plan ready for thousands of list schedules; numbers of activities and blocks count from 0, times are in units.

    ``blocks`` are members by number in the order in which they are placed; ``needed`` the blocks that a block waits
    for; ``tails`` the longest way from a block's start to the end of the plan. ``work`` counts the placements made so
    far, ``chosen`` tells which group did each activity in the last run.
    """

    input: PlanInput
    unit: int
    top: int
    width: int
    length: list[int]
    groups: tuple[Group, ...]
    blocks: list[tuple[int, ...]]
    needed: list[frozenset[int]]
    tails: list[int]
    ahead: Side
    back: Side
    heats: dict[int, tuple[Oven, Session]]
    heat_of: dict[int, int]
    work: int = 0
    chosen: dict[int, int] = field(default_factory=dict)
    _sessions: dict[str, list[tuple[Session, int, list[int]]]] = field(default_factory=dict)

    # ------------------------------------------------------------------------------------------------ schedules

    def forward(self, order: Iterable[int]) -> list[int] | None:
        """Return the starts if each block is placed as early as those before it allow, ``None`` if one cannot be."""
        self._sessions = {}
        return self._run(self.ahead, order)

    def backward(self, order: Iterable[int]) -> list[int] | None:
        """
        Return how long before the end each activity ends if time runs back, ``None`` if that leads nowhere.

        An order to try next comes from it, no plan: heats last their longest and temperatures may clash.
        """
        return self._run(self.back, order)

    def _run(self, side: Side, order: Iterable[int]) -> list[int] | None:
        start = [-1] * len(self.length)
        profile = side.empty
        width, top, length, blocks = self.width, self.top, self.length, self.blocks
        shapes, before, release, latest = side.shapes, side.before, side.release, side.latest
        for number in order:
            block = blocks[number]
            if len(block) > 1 or block[0] in self.heats:
                found = self._place_block(side, block, profile, start)
                if found is None:
                    return None
                profile = found
                continue
            self.work += 1
            name = block[0]
            moment = release[name]
            for other, weight in before[name]:
                reached = start[other] + weight
                if reached > moment:
                    moment = reached
            if shapes[name]:
                moment, shape = self._fit(shapes[name], moment, profile)
                profile += shape.demand << width * moment
                self.chosen[name] = shape.group
            if moment > latest[name] or moment + length[name] > top:
                return None
            start[name] = moment
        return start

    def _fit(self, shapes: tuple[Shape, ...], from_: int, profile: int) -> tuple[int, Shape]:
        """Return the first moment at which one of the shapes fits, and the shape."""
        width = self.width
        best: tuple[int, Shape] | None = None
        for shape in shapes:
            moment = from_
            mask, demand, guard, is_even, _ = shape
            while over := ((profile >> width * moment) & mask) + demand & guard:
                moment += (over.bit_length() - 1) // width + 1 if is_even else 1
            if best is None or moment < best[0]:
                best = (moment, shape)
        assert best is not None
        return best

    # ------------------------------------------------------------------------------------------------ blocks

    def _place_block(self, side: Side, block: tuple[int, ...], profile: int, start: list[int]) -> int | None:
        """Place a block, begun again later as often as a limit inside it breaks; return the profile with it."""
        floors = {
            name: max([side.release[name], *(start[other] + weight for other, weight in side.before[name])])
            for name in block
        }
        is_ahead = side is self.ahead
        for _ in range(_TRIES):
            saved = {oven: list(known) for oven, known in self._sessions.items()}
            found = self._tried(side, block, profile, start, floors, is_ahead)
            if found is not None:
                return found
            self._sessions = saved
            for name in block:
                start[name] = -1
            if not floors:
                return None
        return None

    def _tried(
        self, side: Side, block: tuple[int, ...], profile: int, start: list[int], floors: dict[int, int], is_ahead: bool
    ) -> int | None:
        """Place a block once; if a limit breaks, raise the floor that broke it, or empty the floors if none helps."""
        self.work += _BLOCK_WORK * len(block)
        earliest = dict(floors)
        for name, moment in floors.items():
            for other, weight in side.inside[name]:
                if moment + weight > earliest[other]:
                    earliest[other] = moment + weight
        length = self.length
        for name in block:
            moment = earliest[name]
            heat = self.heat_of.get(name, -1) if is_ahead else -1
            if is_ahead and name in self.heats:
                heated = self._heated(name, moment)
                if heated is None:
                    floors.clear()
                    return None
                moment = heated
            elif heat >= 0:
                moment = max(moment, start[heat] + length[heat])
            if side.shapes[name]:
                moment, shape = self._fit(side.shapes[name], moment, profile)
                profile += shape.demand << self.width * moment
                self.chosen[name] = shape.group
            if moment > side.latest[name] or moment + length[name] > self.top:
                floors.clear()
                return None
            start[name] = moment
            if heat >= 0:
                self._baked(heat, moment + length[name])
            for other, weight in side.inside[name]:
                reached = moment + weight
                if reached > earliest[other]:
                    earliest[other] = reached
                    if 0 <= start[other] < reached:
                        floors[other] = reached
                        return None
        return self._hold(side, block, profile, start, floors)

    def _hold(
        self, side: Side, block: tuple[int, ...], profile: int, start: list[int], floors: dict[int, int]
    ) -> int | None:
        """Book the block's vessels; where one is not free so long, its first activity is to begin later."""
        for name in block:
            for held in side.held[name]:
                begin = start[name]
                span = start[held.last] + self.length[held.last] + held.after - begin
                moments = ones(self.width, span)
                used = (profile >> self.width * begin) & ((1 << self.width * span) - 1)
                demand = held.one * moments
                over = used + demand & held.guard * moments
                if over:
                    floors[name] = begin + (over.bit_length() - 1) // self.width + 1
                    return None
                profile += demand << self.width * begin
        return profile

    # ------------------------------------------------------------------------------------------------ ovens

    def _heated(self, heat: int, moment: int) -> int | None:
        """
        Return from when a heat may begin after the oven's heats so far, and note how long it lasts then.

        ``None`` if the oven is still needed at another temperature.
        """
        oven, session = self.heats[heat]
        known = self._sessions.setdefault(oven.name, [])
        for other, heat_end, ends in known:
            moment = max(moment, heat_end)
            if oven.clash(other, session):
                if len(ends) < len(other.bakes):
                    return None
                moment = max([moment, *ends])
        seconds = oven.change_after(known[-1][0], session) if known else session.heat.long_s
        self.length[heat] = -(-seconds // self.unit)
        known.append((session, moment + self.length[heat], []))
        return moment

    def _baked(self, heat: int, end: int) -> None:
        oven, session = self.heats[heat]
        for other, _, ends in self._sessions[oven.name]:
            if other is session:
                ends.append(end)

    # ------------------------------------------------------------------------------------------------ the answer

    def schedule(self, start: Sequence[int]) -> Schedule:
        """Return the starts of the last run forward as a schedule, with names for people and numbers for things."""
        unit = self.unit
        pieces, chosen, busy = {}, dict[Item, Group](), dict[Item, list[tuple[int, int]]]()
        for number, activity in enumerate(self.input.activities):
            begin = start[number] * unit
            pieces[activity.id] = [(begin, begin + self.length[number] * unit)]
            for item in items_of(activity):
                chosen[item] = self.groups[self.chosen[number]]
                busy[item] = [(begin + item.offset_s, begin + item.offset_s + item.length_s)]
        names = name_people(self.groups, chosen, busy)
        assignments = tuple(assigned(item, pieces[item.id], names) for item in self.input.activities)
        return with_units(self.input, Schedule(assignments=assignments))


def ones(width: int, slots: int) -> int:
    """Return a number with the lowest bit of so many moments set."""
    return ((1 << width * slots) - 1) // ((1 << width) - 1)
