"""
The tables for packed list schedules: fields and shapes of all that is used, blocks, and what waits for what.

A ``PlanInput`` and a longest makespan come in, ``Packed`` goes out, or ``None`` for a plan with cameras, breaks, closed
times or other things that its schedules do not know.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from shootplan.model.planning import Activity, ActivityKind, PlanInput
from shootplan.plan.cp_sat import time_unit
from shootplan.plan.graph import ORIGIN, Edge, EdgeKind, network_of, starts_of
from shootplan.plan.groups import groups_of, items_of
from shootplan.plan.ovens import ovens_of
from shootplan.plan.packed import Held, Packed, Shape, Side, ones

__all__ = ["packed"]

#: The largest block; in a larger one each activity would ask most others to begin later, again and again.
_MOST_TIED = 40
#: The longest profile in bits: beyond it a list schedule on step functions is as fast.
_MOST_BITS = 2_000_000


def packed(plan_input: PlanInput, top_s: int) -> Packed | None:
    """Return the plan packed, looked at up to ``top_s``, or ``None`` if it has what is not known here."""
    is_strange = plan_input.cameras or plan_input.closed or plan_input.breaks
    if is_strange or any(item.kind is ActivityKind.BREAK for item in plan_input.activities):
        return None
    made = _Packing(plan_input, top_s)
    return made.packed() if made.is_known() else None


class _Packing:
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
        profile = lacking * ones(self.width, self.top + after + 1)
        for number, group in enumerate(self.groups if not is_back else ()):
            for since_s, till_s in group.workers[0].away:
                since, till = since_s // self.unit, min(till_s // self.unit, self.top + after + 1)
                one, _ = self._one(number, len(group.workers))
                profile += one * ones(self.width, max(0, till - since)) << self.width * since
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
            demand += one * ones(self.width, span) << self.width * begin
            guard |= high * ones(self.width, span) << self.width * begin
        if demand:
            is_even = not any(offset for _, _, offset, _ in uses) and (not is_back or longest <= length)
            yield Shape((1 << self.width * longest) - 1, demand, guard, is_even, group)


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
