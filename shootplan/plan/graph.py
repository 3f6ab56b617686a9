"""
The temporal network of a plan: what must lie how long after what, before anybody's hands are counted.

A ``PlanInput`` comes in; edges ``time(target) >= time(source) + weight`` between the starts and ends of activities go
out, with longest paths and the chain of rules that contradict one another, if some do. No resources are looked at.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import field
from enum import Enum
from typing import TYPE_CHECKING, NamedTuple

from shootplan.model.planning import Activity, ActivityKind, Anchor, Lag, PlanInput
from shootplan.plan.ovens import heat_range
from shootplan.records import dataclass

if TYPE_CHECKING:
    import networkx

__all__ = [
    "ORIGIN",
    "Edge",
    "EdgeKind",
    "Ends",
    "Event",
    "Network",
    "PositiveCycle",
    "duration_at",
    "ends_of",
    "network_of",
    "precedence_cycle",
    "precedence_graph",
    "starts_of",
]


class Ends(Enum):
    """At which end of their ranges durations are taken."""

    LONG = "long"
    SHORT = "short"


class Event(NamedTuple):
    """A moment: mark 0 is the start and 1 the end of an activity; 2k and 2k + 1 bound the pause after its kth piece."""

    activity: str
    mark: int


#: The moment at which the day begins.
ORIGIN = Event("", 0)


class EdgeKind(Enum):
    """Where an edge comes from."""

    DURATION = "duration"
    LAG = "lag"
    LIMIT = "limit"
    CALENDAR = "calendar"
    HANDS = "hands"
    GEAR = "gear"
    OVEN = "oven"
    CAMERA = "camera"


class Edge(NamedTuple):
    """``time(target) >= time(source) + weight_s``, with the sentence for the user and the lag it comes from."""

    source: Event
    target: Event
    weight_s: int
    kind: EdgeKind
    reason: str = ""
    lag: Lag | None = None


class PositiveCycle(ValueError):
    """Rules that cannot all be kept whoever works: ``edges`` is the chain that would have to lie after itself."""

    def __init__(self, edges: Sequence[Edge]) -> None:
        self.edges = tuple(edges)
        super().__init__(" → ".join(f"{edge.source.activity or 'the start'}" for edge in edges))


@dataclass(slots=True)
class Network:
    """Edges by source; ``earliest`` and ``tails`` are longest paths from the start of the day and to its end."""

    edges: list[Edge] = field(default_factory=list)
    _out: dict[Event, list[Edge]] = field(default_factory=dict)

    def add(self, edge: Edge) -> None:
        """Add an edge."""
        self.edges.append(edge)
        self._out.setdefault(edge.source, []).append(edge)

    def out(self, event: Event) -> Sequence[Edge]:
        """Return the edges that leave an event."""
        return self._out.get(event, ())

    def earliest(self) -> tuple[dict[Event, int], dict[Event, Edge]]:
        """
        Return the earliest seconds of each event and the last edge of a longest path to it.

        Raises
        ------
        PositiveCycle
            If a chain of rules would have to lie after itself.
        """
        return _longest({ORIGIN: 0}, self._out)

    def distances(self, source: Event) -> dict[Event, int]:
        """
        Return the longest path in seconds from one event to each event that it reaches.

        Raises
        ------
        PositiveCycle
            If a chain of rules would have to lie after itself.
        """
        return _longest({source: 0}, self._out)[0]

    def tails(self, activities: Iterable[Activity]) -> dict[Event, int]:
        """
        Return how many seconds at least lie between each event and the end of the last activity; below 0 never.

        Raises
        ------
        PositiveCycle
            If a chain of rules would have to lie after itself.
        """
        back: dict[Event, list[Edge]] = {}
        for edge in self.edges:
            turned = edge._replace(source=edge.target, target=edge.source)
            back.setdefault(turned.source, []).append(turned)
        return _longest({Event(activity.id, 1): 0 for activity in activities}, back)[0]


def _longest(
    sources: Mapping[Event, int], out: Mapping[Event, Sequence[Edge]]
) -> tuple[dict[Event, int], dict[Event, Edge]]:
    """Label-correcting longest paths; a chain of more links than there are events is a positive cycle."""
    times = dict(sources)
    via: dict[Event, Edge] = {}
    links = dict.fromkeys(sources, 0)
    limit = sum(map(len, out.values())) + len(sources)  # no fewer than there are events
    queue = deque(sources)
    waiting = set(sources)
    while queue:
        event = queue.popleft()
        waiting.discard(event)
        start, link = times[event], links[event] + 1
        for edge in out.get(event, ()):
            target, reached = edge.target, start + edge.weight_s
            known = times.get(target)
            if known is not None and known >= reached:
                continue
            times[target] = reached
            via[target] = edge
            links[target] = link
            if link > limit and (cycle := _cycle(via, target)):
                raise PositiveCycle(cycle)
            if target not in waiting:
                waiting.add(target)
                queue.append(target)
    return times, via


def _cycle(via: Mapping[Event, Edge], event: Event) -> list[Edge]:
    """Walk the last edges back until an event comes again; what lies between is the cycle, if there is one yet."""
    seen: dict[Event, int] = {}
    walk: list[Edge] = []
    while event not in seen:
        if event not in via:
            return []
        seen[event] = len(walk)
        walk.append(via[event])
        event = via[event].source
    return walk[seen[event] :][::-1]


# ---------------------------------------------------------------------------------------------------- the plan's rules


def duration_at(activity: Activity, ends: Ends) -> int:
    """Return an activity's own seconds at one end of its range."""
    return activity.long_s if ends is Ends.LONG else activity.short_s


def starts_of(activity: str) -> Event:
    """Return the moment at which an activity starts."""
    return Event(activity, 0)


def ends_of(activity: str) -> Event:
    """Return the moment at which an activity ends."""
    return Event(activity, 1)


def network_of(
    plan_input: PlanInput,
    *,
    ends: Ends = Ends.LONG,
    durations: Mapping[str, int] | None = None,
    broken_off: frozenset[str] = frozenset(),
) -> Network:
    """
    Return the network of durations, lags, releases, deadlines, bakes after their heats and closed times.

    Parameters
    ----------
    plan_input
        The plan.
    ends
        The end of their ranges at which durations are taken.
    durations
        Seconds of the heats, where known; a heat not listed lasts anything between its shortest and its longest.
    broken_off
        Activities that may last longer than their duration because they are broken off.

    Raises
    ------
    PositiveCycle
        If there are closed times and the rules contradict one another.
    """
    network = Network()
    known = durations or {}
    for activity in plan_input.activities:
        for edge in _own_edges(plan_input, activity, ends, known.get(activity.id), activity.id in broken_off):
            network.add(edge)
    for lag in plan_input.lags:
        for edge in _lag_edges(lag):
            network.add(edge)
    for occupation in plan_input.occupations:
        first, last = starts_of(occupation.first), ends_of(occupation.last)
        network.add(Edge(first, last, 0, EdgeKind.GEAR, f"{occupation.label} is taken before it is freed"))
    if plan_input.closed:
        from shootplan.plan.closed import add_closed_times

        add_closed_times(plan_input, network)
    return network


def _own_edges(
    plan_input: PlanInput, activity: Activity, ends: Ends, known_s: int | None, is_broken_off: bool
) -> Iterator[Edge]:
    start, end = starts_of(activity.id), ends_of(activity.id)
    name = activity.label or activity.id
    least, most = _span_s(plan_input, activity, ends) if known_s is None else (known_s, known_s)
    yield Edge(ORIGIN, start, activity.release_s, EdgeKind.CALENDAR, f"{name} cannot start earlier")
    yield Edge(start, end, least, EdgeKind.DURATION, name)
    if not is_broken_off:
        yield Edge(end, start, -most, EdgeKind.DURATION, name)
    latest = [limit for limit in (activity.deadline_s, plan_input.horizon_s) if limit is not None]
    if latest:
        why = f": {activity.deadline_why}" if activity.deadline_why else ""
        yield Edge(end, ORIGIN, -min(latest), EdgeKind.CALENDAR, f"{name} is done by its deadline{why}")
    if activity.oven is not None and activity.oven.heat:
        reason = f"{name} waits for the {activity.oven.oven} to be hot"
        yield Edge(ends_of(activity.oven.heat), start, 0, EdgeKind.OVEN, reason)


def _span_s(plan_input: PlanInput, activity: Activity, ends: Ends) -> tuple[int, int]:
    own = duration_at(activity, ends)
    if activity.kind is not ActivityKind.HEAT:
        return own, own
    return heat_range(plan_input, activity, own)


def _lag_edges(lag: Lag) -> Iterator[Edge]:
    before = Event(lag.predecessor, 0 if lag.predecessor_anchor is Anchor.START else 1)
    after = Event(lag.successor, 0 if lag.successor_anchor is Anchor.START else 1)
    if lag.at_least_s is not None:
        yield Edge(before, after, lag.at_least_s, EdgeKind.LAG, lag.rule, lag)
    if lag.at_most_s is not None:
        yield Edge(after, before, -lag.at_most_s, EdgeKind.LIMIT, lag.rule, lag)


# ---------------------------------------------------------------------------------------------------- order alone


def precedence_graph(plan_input: PlanInput, *, ends: Ends = Ends.LONG) -> networkx.DiGraph:
    """
    Return the activities as a networkx graph with an edge for each "starts after the end of".

    The ``weight`` of an edge is the predecessor's seconds plus the least wait, and a node ``""`` follows every
    activity; so the longest path by weight is the critical path of the plan without limits, people or gear.
    """
    import networkx

    graph = networkx.DiGraph()
    graph.add_nodes_from(activity.id for activity in plan_input.activities)
    durations = {activity.id: duration_at(activity, ends) for activity in plan_input.activities}
    for lag in plan_input.lags:
        is_order = lag.predecessor_anchor is Anchor.END and lag.successor_anchor is Anchor.START
        if is_order and lag.at_least_s is not None and lag.at_least_s >= 0:
            weight = durations[lag.predecessor] + lag.at_least_s
            known = graph.get_edge_data(lag.predecessor, lag.successor, {"weight": -1})["weight"]
            graph.add_edge(lag.predecessor, lag.successor, weight=max(weight, known))
    for activity in plan_input.activities:
        graph.add_edge(activity.id, ORIGIN.activity, weight=durations[activity.id])
    return graph


def precedence_cycle(plan_input: PlanInput) -> tuple[str, ...]:
    """Return the ids of activities that wait for one another in a circle, in order, or an empty tuple."""
    import networkx

    try:
        edges = networkx.find_cycle(precedence_graph(plan_input))
    except networkx.NetworkXNoCycle:
        return ()
    return tuple(edge[0] for edge in edges)
