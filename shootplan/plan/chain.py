"""
Which chain decides the wrap, and how late each step may start (rule T10).

A plan and its schedule come in; the links of the longest chain through recipes, people and gear, and the slack of each
activity with the plan's orders kept, go out.
"""

from __future__ import annotations

from shootplan.model.planning import ChainLink, PlanInput, Schedule
from shootplan.plan.fixed_order import fixed_network
from shootplan.plan.graph import ORIGIN, Edge, EdgeKind, Ends, Event, ends_of, starts_of

__all__ = ["critical_chain", "slack"]


def critical_chain(plan_input: PlanInput, schedule: Schedule) -> tuple[ChainLink, ...]:
    """
    Return the chain of activities that decides the end, first to last, each with what its start waited for.

    The chain is a longest path of the network in which the schedule's orders are fixed: one minute more in a link, or
    in a wait between two, moves the wrap.
    """
    if not schedule.assignments:
        return ()
    times, via = fixed_network(plan_input, schedule, ends=Ends.LONG).earliest()
    event = max((ends_of(item.id) for item in plan_input.activities), key=lambda end: times[end])
    edges: list[Edge] = []
    while event != ORIGIN:
        edges.append(via[event])
        event = via[event].source
    labels = {item.id: item.label or item.id for item in plan_input.activities}
    return _links(edges[::-1], times, labels)


def _links(edges: list[Edge], times: dict[Event, int], labels: dict[str, str]) -> tuple[ChainLink, ...]:
    """Join the edges of one activity into a link; the edge that leads to another activity is its reason."""
    links: list[ChainLink] = []
    for edge in edges:
        name = edge.target.activity
        start, end = times[starts_of(name)], times[ends_of(name)]
        if links and links[-1].activity == name:
            continue
        because = "" if edge.source == ORIGIN and edge.weight_s == 0 else edge.reason
        if edge.kind is EdgeKind.LIMIT:
            because = f"starts late because {edge.reason}"
        elif edge.lag is not None and not edge.lag.at_least_s and edge.lag.at_most_s:
            because = f"follows {labels[edge.lag.predecessor]}"
        links.append(ChainLink(activity=name, start_s=start, end_s=end, because=because))
    return tuple(links)


def slack(plan_input: PlanInput, schedule: Schedule) -> dict[str, int]:
    """
    Return for each activity how many seconds later than planned it may start with orders kept and the wrap unmoved.

    An activity that is planned later than it must be has what is left; the steps of a chain share their slack.
    """
    network = fixed_network(plan_input, schedule, ends=Ends.LONG)
    tails = network.tails(plan_input.activities)
    latest = {item.id: schedule.makespan_s - tails[starts_of(item.id)] for item in plan_input.activities}
    return {item.activity: max(0, latest[item.activity] - item.start_s) for item in schedule.assignments}
