"""
A fixed plan run again with other durations, many runs at once, nobody knowing beforehand how long anything takes.

A plan and its schedule come in; ``FixedPlan`` turns a matrix of durations into start times. Who does what after what,
on which ring, stays (rule T6). Each thing starts as soon as the plan's orders allow; what the plan holds back so that
a limit is kept starts by the clock of the last thing that was done before it. Limits are then looked at, not enforced:
what comes too late or too early is counted. numpy does the work, imported where it is needed.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import field
from typing import TYPE_CHECKING, Any, NamedTuple

from shootplan.model.planning import ActivityKind, Assignment, PlanInput, Schedule
from shootplan.plan.fixed_order import fixed_network
from shootplan.plan.graph import ORIGIN, Edge, EdgeKind, Ends, Event, starts_of
from shootplan.plan.orders import Use, hands_uses, heat_seconds
from shootplan.records import dataclass

if TYPE_CHECKING:
    import numpy

    Matrix = numpy.ndarray[Any, numpy.dtype[numpy.int64]]

__all__ = ["FixedPlan", "Outcome"]

#: An activity's id and the number of its piece, from 0.
Segment = tuple[str, int]


class _Point(NamedTuple):
    """A moment of a node: when so many of its segments are done."""

    node: int
    done: int


@dataclass(frozen=True, slots=True)
class _Arrow:
    """``time(target) >= time(source) + weight_s``; it holds only in runs in which the look-ins it names happen."""

    source: _Point | None
    target: _Point | None
    weight_s: int
    rule: str
    is_limit: bool = False
    needs: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """
    What happened in each run: wrap in seconds, shape (runs,); by rule the seconds over the limit, 0 where it is kept.

    ``starts`` and ``ends`` are those of the activities in the order of the input, shape (activities, runs).
    """

    wrap: Matrix
    over: dict[str, Matrix]
    starts: Matrix
    ends: Matrix


@dataclass(slots=True)
class FixedPlan:
    """
    The orders of a schedule as arrows between nodes: pieces of work that follow one another without a pause.

    ``run`` takes whole seconds for each activity in the order of the input; what an oven's later heats take is the
    change, whatever is given.
    """

    plan_input: PlanInput
    schedule: Schedule
    _nodes: list[list[Segment]] = field(default_factory=list)
    _place: dict[Segment, _Point] = field(default_factory=dict)
    _order: list[int] = field(default_factory=list)
    _arrows: list[_Arrow] = field(default_factory=list)
    _checks: list[_Arrow] = field(default_factory=list)
    _placed: dict[str, Assignment] = field(default_factory=dict)
    _index: dict[str, int] = field(default_factory=dict)
    _changes: dict[str, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._placed = {item.activity: item for item in self.schedule.assignments}
        self._index = {item.id: number for number, item in enumerate(self.plan_input.activities)}
        self._changes = self._later_heats()
        self._make_nodes()
        network = fixed_network(self.plan_input, self.schedule, ends=Ends.LONG)
        times, via = network.earliest()
        found = [*self._edges(network.edges), *self._hands(), *self._pieces()]
        self._order = self._in_order(found, times)
        rank = {node: number for number, node in enumerate(self._order)}
        for arrow in found:
            self._sort_in(arrow, rank)
        self._hold_back(times, via, rank)

    # ------------------------------------------------------------------------------------------------ running

    def run(self, durations: Matrix) -> Outcome:
        """
        Return what happens with these durations.

        Parameters
        ----------
        durations
            Whole seconds, shape (activities, runs), each within its activity's range.

        Returns
        -------
        Outcome
            Wrap, limits broken and starts of each run.
        """
        import numpy

        runs = durations.shape[1]
        done = [self._done(node, durations) for node in range(len(self._nodes))]
        starts = numpy.zeros((len(self._nodes), runs), dtype=numpy.int64)
        into: dict[int, list[_Arrow]] = {}
        for arrow in self._arrows:
            if arrow.target is not None:
                into.setdefault(arrow.target.node, []).append(arrow)
        for node in self._order:
            for arrow in into.get(node, ()):
                least = self._bound(arrow, starts, done, durations)
                numpy.maximum(starts[node], least, out=starts[node])
        wrap = numpy.zeros(runs, dtype=numpy.int64)
        for node, lengths in enumerate(done):
            numpy.maximum(wrap, starts[node] + lengths[-1], out=wrap)
        over = self._over(starts, done, durations)
        return Outcome(wrap=wrap, over=over, starts=self._starts(starts, done), ends=self._ends(starts, done))

    def _done(self, node: int, durations: Matrix) -> Matrix:
        """Return the seconds after which each segment of a node is done, 0 first; shape (segments + 1, runs)."""
        import numpy

        lengths = [self._length(segment, durations) for segment in self._nodes[node]]
        zero = numpy.zeros(durations.shape[1], dtype=numpy.int64)
        return numpy.cumsum(numpy.stack([zero, *lengths]), axis=0)

    def _length(self, segment: Segment, durations: Matrix) -> Matrix:
        """Return a piece's seconds: the first pieces whole, the last what is left (as ``fixed_order`` cuts them)."""
        import numpy

        name, number = segment
        if name in self._changes:
            return numpy.full(durations.shape[1], self._changes[name], dtype=numpy.int64)
        left: Matrix = durations[self._index[name]]
        pieces = self._placed[name].pieces
        for start, end in pieces[:number]:
            left = numpy.maximum(left - (end - start), 0)
        if number < len(pieces) - 1:
            left = numpy.minimum(left, pieces[number][1] - pieces[number][0])
        return left

    def _bound(self, arrow: _Arrow, starts: Matrix, done: list[Matrix], durations: Matrix) -> Matrix:
        """Return the least start of the target's node; far below 0 in runs in which the arrow does not hold."""
        import numpy

        bound = numpy.full(durations.shape[1], arrow.weight_s, dtype=numpy.int64)
        if arrow.source is not None:
            bound += starts[arrow.source.node] + done[arrow.source.node][arrow.source.done]
        if arrow.target is not None:
            bound -= done[arrow.target.node][arrow.target.done]
        for name, offset_s in arrow.needs:
            bound[durations[self._index[name]] <= offset_s] = numpy.iinfo(numpy.int64).min // 2
        return bound

    def _over(self, starts: Matrix, done: list[Matrix], durations: Matrix) -> dict[str, Matrix]:
        import numpy

        over: dict[str, Matrix] = {}
        for arrow in self._checks:
            least = self._bound(arrow, starts, done, durations)
            happens = starts[arrow.target.node] if arrow.target is not None else 0
            late = numpy.maximum(least - happens, 0)
            over[arrow.rule] = numpy.maximum(over[arrow.rule], late) if arrow.rule in over else late
        return over

    def _starts(self, starts: Matrix, done: list[Matrix]) -> Matrix:
        import numpy

        points = [self._place[item.id, 0] for item in self.plan_input.activities]
        return numpy.stack([starts[point.node] + done[point.node][point.done] for point in points])

    def _ends(self, starts: Matrix, done: list[Matrix]) -> Matrix:
        import numpy

        points = [self._place[item.activity, len(item.pieces) - 1] for item in self._in_input_order()]
        return numpy.stack([starts[point.node] + done[point.node][point.done + 1] for point in points])

    def _in_input_order(self) -> Iterator[Assignment]:
        return (self._placed[item.id] for item in self.plan_input.activities)

    # ------------------------------------------------------------------------------------------------ building

    def _later_heats(self) -> dict[str, int]:
        """Return the seconds of the heats that only change an oven's temperature."""
        marked = {item.id: -1 for item in self.plan_input.activities if item.kind is ActivityKind.HEAT}
        return {
            name: seconds
            for name, seconds in heat_seconds(self.plan_input, self.schedule, marked).items()
            if seconds >= 0
        }

    def _make_nodes(self) -> None:
        """Join the parts of each step that go on without a pause; a piece after a pause begins a node of its own."""
        joined = {lag.successor: lag.predecessor for lag in self.plan_input.lags if _goes_on(lag.predecessor, lag)}
        for activity in self.plan_input.activities:
            for number in range(len(self._placed[activity.id].pieces)):
                before = joined.get(activity.id) if number == 0 else None
                place = self._place.get((before, len(self._placed[before].pieces) - 1)) if before else None
                if place is None:
                    self._nodes.append([])
                    place = _Point(len(self._nodes) - 1, -1)
                node = self._nodes[place.node]
                self._place[activity.id, number] = _Point(place.node, len(node))
                node.append((activity.id, number))

    def _point(self, event: Event) -> _Point | None:
        """Return where an event lies: mark 0 is the start, 1 the end, 2k + 1 and 2k + 2 those of piece k."""
        if event == ORIGIN:
            return None
        last = len(self._placed[event.activity].pieces) - 1
        if event.mark in (0, 1):
            place = self._place[event.activity, 0 if event.mark == 0 else last]
            return place if event.mark == 0 else _Point(place.node, place.done + 1)
        number, is_end = (event.mark - 1) // 2, event.mark % 2 == 0
        place = self._place[event.activity, number]
        return _Point(place.node, place.done + 1) if is_end else place

    def _edges(self, edges: list[Edge]) -> Iterator[_Arrow]:
        for edge in edges:
            if edge.kind in (EdgeKind.DURATION, EdgeKind.HANDS):
                continue
            source, target = self._point(edge.source), self._point(edge.target)
            if source is None or target is None or source.node != target.node:
                yield _Arrow(source, target, edge.weight_s, edge.reason, _is_limit(edge))

    def _pieces(self) -> Iterator[_Arrow]:
        for name, item in self._placed.items():
            for number in range(1, len(item.pieces)):
                before, after = self._place[name, number - 1], self._place[name, number]
                yield _Arrow(_Point(before.node, before.done + 1), after, 0, f"{name} goes on after its pause")

    def _hands(self) -> Iterator[_Arrow]:
        """Yield the order of each person's work; past a look-in that may not happen the order goes on."""
        for worker in self.plan_input.workers:
            uses = hands_uses(self.plan_input, self.schedule, worker.name)
            for number, before in enumerate(uses):
                for after in uses[number + 1 :]:
                    yield from self._hand_over(before, after)
                    if not self._may_vanish(after):
                        break

    def _hand_over(self, before: Use, after: Use) -> Iterator[_Arrow]:
        source, target = self._point(before.ends.event), self._point(after.begins.event)
        if source is None or target is None or source.node == target.node:
            return
        label = self.plan_input.activities[self._index[after.activity]].label or after.activity
        rule = f"{label} is looked in on in time" if after.begins.offset_s else f"{label} waits for somebody's hands"
        needs = tuple((use.activity, use.begins.offset_s) for use in (before, after) if use.begins.offset_s)
        yield _Arrow(source, target, before.ends.offset_s - after.begins.offset_s, rule, needs=needs)

    def _may_vanish(self, use: Use) -> bool:
        return 0 < use.begins.offset_s >= self.plan_input.activities[self._index[use.activity]].short_s

    # ------------------------------------------------------------------------------------------------ orders and limits

    def _in_order(self, arrows: list[_Arrow], times: dict[Event, int]) -> list[int]:
        """Return the nodes by planned start; those that start together so that each follows what it waits for."""
        planned = [times[self._event(segments[0])] for segments in self._nodes]
        waits: dict[int, set[int]] = {}
        for arrow in arrows:
            if arrow.source is not None and arrow.target is not None and not arrow.is_limit:
                pair = (arrow.source.node, arrow.target.node)
                if planned[pair[0]] == planned[pair[1]]:
                    waits.setdefault(pair[1], set()).add(pair[0])
        order: list[int] = []
        for node in sorted(range(len(self._nodes)), key=lambda number: (planned[number], number)):
            self._place_after(node, waits, order, set())
        return order

    def _place_after(self, node: int, waits: dict[int, set[int]], order: list[int], open_: set[int]) -> None:
        if node in order or node in open_:
            return
        open_.add(node)
        for before in sorted(waits.get(node, ())):
            self._place_after(before, waits, order, open_)
        order.append(node)

    def _event(self, segment: Segment) -> Event:
        name, number = segment
        return starts_of(name) if number == 0 else Event(name, 2 * number + 1)

    def _sort_in(self, arrow: _Arrow, rank: dict[int, int]) -> None:
        """Keep an arrow as an order if it points onward in time, else look afterwards whether it holds."""
        source = -1 if arrow.source is None else rank[arrow.source.node]
        target = -1 if arrow.target is None else rank[arrow.target.node]
        if arrow.is_limit or source >= target:
            self._checks.append(arrow)
        else:
            self._arrows.append(arrow)

    def _hold_back(self, times: dict[Event, int], via: dict[Event, Edge], rank: dict[int, int]) -> None:
        """
        Hold back what the plan holds back, by the clock of the last thing done before it.

        At the long ends every node then starts as planned.
        """
        import numpy

        longest = numpy.array([[item.long_s] for item in self.plan_input.activities], dtype=numpy.int64)
        for node in self._order:
            first = self._nodes[node][0]
            planned = times[self._event(first)]
            reached = int(self.run(longest).starts[self._index[first[0]], 0]) if first[1] == 0 else planned
            if reached < planned:
                source, at_s = self._clock(self._event(first), planned, times, via, rank)
                self._arrows.append(_Arrow(source, self._place[first], planned - at_s, "held back"))

    def _clock(
        self, event: Event, planned_s: int, times: dict[Event, int], via: dict[Event, Edge], rank: dict[int, int]
    ) -> tuple[_Point | None, int]:
        """Return the last moment, on the chain that decides an event, that lies before it in another node."""
        here = self._point(event)
        while event != ORIGIN:
            event = via[event].source
            point = self._point(event)
            if point is None or here is None:
                break
            if times[event] <= planned_s and rank[point.node] < rank[here.node]:
                return point, times[event]
        return None, 0


def _goes_on(before: str, lag: Any) -> bool:
    """Whether a lag joins two parts of one step (or batch) without a pause."""
    is_one_step = before.partition("#")[0] == lag.successor.partition("#")[0] and "#" in before
    return is_one_step and lag.at_least_s == 0 and lag.at_most_s == 0


def _is_limit(edge: Edge) -> bool:
    """Whether an edge points backwards in time or to the start of the day: a limit, kept by foresight only."""
    is_back = edge.kind is EdgeKind.LAG and edge.weight_s < 0
    return edge.kind is EdgeKind.LIMIT or edge.target == ORIGIN or is_back
