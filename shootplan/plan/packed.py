"""
List schedules by the thousand: all that is in use at a moment stands packed in one whole number.

A plan comes in with a longest makespan to look at; ``Packed.forward`` turns an order of its blocks into starts, fast
enough for a search over thousands of orders. A block is what limits on waiting, vessels and heats tie together
(a strongly connected part of the temporal network); it is placed whole, before the next one. Serial generation of
schedules for each (Kolisch 1996, European Journal of Operational Research 90). Cameras, breaks and closed times are
not known here, and nothing is verified: the caller does that.

Each moment takes ``width`` bits, a field for each group of people, counted thing and oven. A field holds what is in use
and what its capacity lacks of a power of two, so that one too many carries into the field's highest bit: one addition
tells for all that an activity uses, all the time it runs, whether it fits, and the highest carry from when to try on.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import field
from typing import NamedTuple

from shootplan.model.planning import Activity, ActivityKind, PlanInput, Schedule
from shootplan.plan.cp_sat import time_unit
from shootplan.plan.graph import ORIGIN, Edge, EdgeKind, network_of, starts_of
from shootplan.plan.groups import Group, Item, assigned, groups_of, items_of, name_people
from shootplan.plan.orders import with_units
from shootplan.plan.ovens import Oven, Session, ovens_of
from shootplan.records import dataclass

__all__ = ["Packed", "packed"]

#: The largest block; in a larger one each activity would ask most others to begin later, again and again.
_MOST_TIED = 40
#: How often a block is begun again because a limit inside it broke.
_TRIES = 60
#: To place an activity of a block costs as much as so many alone.
_BLOCK_WORK = 4
#: The longest profile in bits: beyond it a list schedule on step functions is as fast.
_MOST_BITS = 2_000_000


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
                ones = _ones(self.width, span)
                used = (profile >> self.width * begin) & ((1 << self.width * span) - 1)
                demand = held.one * ones
                over = used + demand & held.guard * ones
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


# ---------------------------------------------------------------------------------------------------- making it


def packed(plan_input: PlanInput, top_s: int) -> Packed | None:
    """Return the plan packed, looked at up to ``top_s``, or ``None`` if it has what is not known here."""
    is_strange = plan_input.cameras or plan_input.closed or plan_input.breaks
    if is_strange or any(item.kind is ActivityKind.BREAK for item in plan_input.activities):
        return None
    made = _Maker(plan_input, top_s)
    return made.packed() if made.is_known() else None


class _Maker:
    """Makes the tables of a plan."""

    def __init__(self, plan_input: PlanInput, top_s: int) -> None:
        self.input = plan_input
        self.unit = time_unit(plan_input)
        self.top = -(-top_s // self.unit)
        self.groups = groups_of(plan_input)
        self.number = {item.id: number for number, item in enumerate(plan_input.activities)}
        self.length = [item.long_s // self.unit for item in plan_input.activities]
        self.ovens = ovens_of(plan_input)
        self.heats = {self.number[session.id]: (oven, session) for oven in self.ovens for session in oven.sessions}
        self.heat_of = {
            self.number[bake.id]: number for number, (_, session) in self.heats.items() for bake in session.bakes
        }
        self.place: dict[object, int] = {}
        self.capacity: dict[object, int] = {}
        width = 0
        for key, capacity in self._capacities():
            self.place[key], self.capacity[key] = width, capacity
            width += capacity.bit_length() + 1
        self.width = max(1, width)
        self.network = network_of(plan_input)
        self.edges = list(self._edges())

    def _capacities(self) -> Iterator[tuple[object, int]]:
        for number, group in enumerate(self.groups):
            yield number, len(group.workers)
        for resource in self.input.resources:
            yield resource.id, resource.capacity
        for oven in self.ovens:
            yield ("oven", oven.name), oven.shelves

    def is_known(self) -> bool:
        """Whether everything that the plan asks is known here, and its profile is not too long."""
        heats = {self.input.activities[number].id for number in self.heats}
        if any(not heats.isdisjoint((lag.predecessor, lag.successor)) for lag in self.input.lags):
            return False
        for item in self.input.activities:
            if item.look_in is not None and item.look_in.for_s > item.look_in.every_s:
                return False
            if item.workers and not any(group.may_do(item) for group in self.groups):
                return False
            is_heat = item.kind is ActivityKind.HEAT
            if is_heat and (item.needs or item.workers or item.oven is None or item.deadline_s is not None):
                return False
            if any(count > self.capacity[name] for name, count in item.needs):
                return False
        return self.width * self.top <= _MOST_BITS

    def packed(self) -> Packed | None:
        """Return the tables, ``None`` if a block is too large."""
        members = self._blocks()
        block_of = {name: number for number, block in enumerate(members) for name in block}
        if max(map(len, members)) > _MOST_TIED:
            return None
        turned = [
            (after, before, weight + self.length[after] - self.length[before]) for before, after, weight in self.edges
        ]
        paths = [self._paths(block, self.edges) for block in members]
        ordered = [self._in_order(block, path) for block, path in zip(members, paths, strict=True)]
        tails = self.network.tails(self.input.activities)
        needed: list[set[int]] = [set() for _ in members]
        for before, after, _ in self.edges:
            if block_of[before] != block_of[after]:
                needed[block_of[after]].add(block_of[before])
        return Packed(
            input=self.input,
            unit=self.unit,
            top=self.top,
            width=self.width,
            length=self.length,
            groups=self.groups,
            blocks=ordered,
            needed=[frozenset(found) for found in needed],
            tails=[max(tails[starts_of(self.input.activities[name].id)] for name in block) for block in members],
            ahead=self._side(self.edges, block_of, members, is_back=False),
            back=self._side(turned, block_of, members, is_back=True),
            heats=self.heats,
            heat_of=self.heat_of,
        )

    # ------------------------------------------------------------------------------------------------ blocks

    def _edges(self) -> Iterator[tuple[int, int, int]]:
        """Yield the temporal network between activities, from start to start; a bake's wait for its heat is not in."""
        for edge in self.network.edges:
            is_between = ORIGIN not in (edge.source, edge.target) and edge.source.activity != edge.target.activity
            if is_between and edge.kind is not EdgeKind.OVEN:
                yield self.number[edge.source.activity], self.number[edge.target.activity], self._from_starts(edge)

    def _from_starts(self, edge: Edge) -> int:
        """Return an edge's weight in units as if it lay between the starts."""
        weight = edge.weight_s // self.unit
        weight += self.length[self.number[edge.source.activity]] if edge.source.mark else 0
        return weight - (self.length[self.number[edge.target.activity]] if edge.target.mark else 0)

    def _blocks(self) -> list[list[int]]:
        """Return what is tied together, each before what waits for it: strongly connected parts, by two searches."""
        after: list[list[int]] = [[] for _ in self.length]
        before: list[list[int]] = [[] for _ in self.length]
        ties = [(self.number[held.last], self.number[held.first]) for held in self.input.occupations]
        ties += [pair for bake, heat in self.heat_of.items() for pair in ((bake, heat), (heat, bake))]
        for source, target in (*((one, other) for one, other, _ in self.edges), *ties):
            after[source].append(target)
            before[target].append(source)
        done: list[int] = []
        seen: set[int] = set()
        for name in range(len(after)):
            done += _reached(name, after, seen)
        seen = set()
        return [found for name in reversed(done) if (found := _reached(name, before, seen))]

    def _paths(self, block: Sequence[int], edges: Iterable[tuple[int, int, int]]) -> dict[tuple[int, int], int]:
        """Return the longest paths between the members of a block (Floyd 1962, Communications of the ACM 5)."""
        found: dict[tuple[int, int], int] = {}
        if len(block) == 1:
            return found
        members = set(block)
        for before, after, weight in edges:
            if before in members and after in members:
                found[before, after] = max(weight, found.get((before, after), weight))
        for middle in block:
            into = [(one, found[one, middle]) for one in block if (one, middle) in found]
            out = [(other, found[middle, other]) for other in block if (middle, other) in found]
            for one, first in into:
                for other, second in out:
                    if found.get((one, other), first + second - 1) < first + second:
                        found[one, other] = first + second
        return found

    def _in_order(self, block: Sequence[int], paths: Mapping[tuple[int, int], int]) -> tuple[int, ...]:
        """Return a block's members by how early they can be, each heat just before its first bake."""
        early = {name: max([0, *(paths[other, name] for other in block if (other, name) in paths)]) for name in block}
        for heat in block:
            if heat in self.heats:
                bakes = [early[bake] for bake in block if self.heat_of.get(bake) == heat]
                early[heat] = max(early[heat], min(bakes, default=0))
        return tuple(sorted(block, key=lambda name: (early[name], name not in self.heats, name)))

    # ------------------------------------------------------------------------------------------------ one direction

    def _side(
        self,
        edges: Sequence[tuple[int, int, int]],
        block_of: Mapping[int, int],
        blocks: Sequence[Sequence[int]],
        *,
        is_back: bool,
    ) -> Side:
        before: list[dict[int, int]] = [{} for _ in self.length]
        inside: list[list[tuple[int, int]]] = [[] for _ in self.length]
        for source, target, weight in edges:
            if block_of[source] != block_of[target]:
                before[target][source] = max(weight, before[target].get(source, weight))
        for block in blocks:
            for (source, target), weight in self._paths(block, edges).items():
                if source != target:
                    inside[source].append((target, weight))
        release, latest = [0] * len(self.length), [self.top] * len(self.length)
        for edge in self.network.edges if not is_back else ():
            if edge.source == ORIGIN:
                number = self.number[edge.target.activity]
                release[number] = max(release[number], edge.weight_s // self.unit)
            elif edge.target == ORIGIN:
                number = self.number[edge.source.activity]
                own = self.length[number] if edge.source.mark else 0
                latest[number] = min(latest[number], -edge.weight_s // self.unit - own)
        held: list[list[Held]] = [[] for _ in self.length]
        for item in self.input.occupations:
            first, last = self.number[item.first], self.number[item.last]
            if first != last:
                first, last = (last, first) if is_back else (first, last)
                one, guard = self._one(item.resource, item.count)
                held[first].append(Held(first, last, item.after_s // self.unit, one, guard))
        return Side(
            empty=self._empty(is_back),
            shapes=[tuple(self._shapes(item, is_back)) for item in self.input.activities],
            before=[list(found.items()) for found in before],
            release=release,
            latest=latest,
            inside=inside,
            held=held,
        )

    def _one(self, key: object, count: int) -> tuple[int, int]:
        """Return ``count`` of a field at one moment, and the field's highest bit."""
        return count << self.place[key], 1 << self.place[key] + self.capacity[key].bit_length()

    def _empty(self, is_back: bool) -> int:
        after = max([0, *(held.after_s // self.unit for held in self.input.occupations)])
        lacking = 0
        for key, capacity in self.capacity.items():
            lacking += (1 << capacity.bit_length()) - 1 - capacity << self.place[key]
        profile = lacking * _ones(self.width, self.top + after + 1)
        for number, group in enumerate(self.groups if not is_back else ()):
            for since_s, till_s in group.workers[0].away:
                since, till = since_s // self.unit, min(till_s // self.unit, self.top + after + 1)
                one, _ = self._one(number, len(group.workers))
                profile += one * _ones(self.width, max(0, till - since)) << self.width * since
        return profile

    def _shapes(self, item: Activity, is_back: bool) -> Iterator[Shape]:
        """Yield what an activity uses, for each group who may do it; nothing if it uses nothing."""
        length = self.length[self.number[item.id]]
        work = items_of(item)
        uses: list[tuple[object, int, int, int]] = []
        for name in dict.fromkeys(name for name, _ in item.needs):
            uses.append((name, sum(count for other, count in item.needs if other == name), 0, length))
        for held in self.input.occupations:
            if held.first == held.last == item.id:
                uses.append((held.resource, held.count, 0, length + held.after_s // self.unit))
        if item.oven is not None and item.oven.heat:
            uses.append((("oven", item.oven.oven), item.oven.shelves, 0, length))
        able = [number for number, group in enumerate(self.groups) if group.may_do(item)] if work else [-1]
        for number in able:
            own = [(number, 1, each.offset_s // self.unit, each.length_s // self.unit) for each in work]
            yield from self._shape([*uses, *own], length, number, is_back)

    def _shape(
        self, uses: Sequence[tuple[object, int, int, int]], length: int, group: int, is_back: bool
    ) -> Iterator[Shape]:
        demand = guard = 0
        longest = max([0, *(offset + span for _, _, offset, span in uses)])
        for key, count, offset, span in uses:
            one, high = self._one(key, count)
            begin = max(0, length - offset - span) if is_back else offset
            demand += one * _ones(self.width, span) << self.width * begin
            guard |= high * _ones(self.width, span) << self.width * begin
        if demand:
            is_even = not any(offset for _, _, offset, _ in uses) and (not is_back or longest <= length)
            yield Shape((1 << self.width * longest) - 1, demand, guard, is_even, group)


def _ones(width: int, slots: int) -> int:
    """Return a number with the lowest bit of so many moments set."""
    return ((1 << width * slots) - 1) // ((1 << width) - 1)


def _reached(name: int, after: Sequence[Sequence[int]], seen: set[int]) -> list[int]:
    """Return what is reached from an activity and was not seen, each after all that it reaches."""
    if name in seen:
        return []
    seen.add(name)
    found: list[int] = []
    way = [(name, iter(after[name]))]
    while way:
        nearest = next((other for other in way[-1][1] if other not in seen), None)
        if nearest is None:
            found.append(way.pop()[0])
        else:
            seen.add(nearest)
            way.append((nearest, iter(after[nearest])))
    return found
