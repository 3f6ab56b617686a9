"""
One plan at both ends of its durations (rule T6): its orders are kept and everything starts as early as they allow.

A plan and a sound schedule come in, a schedule goes out, or ``None`` where a limit on waiting breaks. Nothing is
planned anew: with few hands, shorter steps can make a newly planned day longer (Graham 1969).
"""

from __future__ import annotations

from collections.abc import Mapping

from shootplan.model.planning import Activity, Assignment, PlanInput, Schedule
from shootplan.plan.graph import (
    Edge,
    EdgeKind,
    Ends,
    Event,
    Network,
    PositiveCycle,
    duration_at,
    ends_of,
    network_of,
    starts_of,
)
from shootplan.plan.orders import heat_seconds, order_edges, with_units

__all__ = ["fixed_network", "fixed_order"]


def fixed_order(plan_input: PlanInput, schedule: Schedule, *, ends: Ends = Ends.SHORT) -> Schedule | None:
    """
    Return the plan with its orders kept, run at one end of its durations, or ``None`` if a limit breaks there.

    People, rings and vessels serve in the same order, the oven goes on from temperature to temperature in the same
    order, nobody's work moves to the other side of a time away. Look-ins that shorter durations leave out vanish.
    """
    try:
        times, _ = fixed_network(plan_input, schedule, ends=ends).earliest()
    except PositiveCycle:
        return None
    placed = {item.activity: item for item in schedule.assignments}
    assignments = tuple(_moved(activity, placed[activity.id], times, ends) for activity in plan_input.activities)
    return with_units(plan_input, Schedule(assignments=assignments))


def fixed_network(plan_input: PlanInput, schedule: Schedule, *, ends: Ends) -> Network:
    """Return the temporal network of a plan whose orders are fixed as in a schedule, pieces and pauses included."""
    own = {activity.id: duration_at(activity, ends) for activity in plan_input.activities}
    split = {item.activity: piece_seconds(item, own[item.activity]) for item in schedule.assignments}
    broken_off = frozenset(name for name, lengths in split.items() if len(lengths) > 1)
    durations = heat_seconds(plan_input, schedule, own)
    network = network_of(plan_input, ends=ends, durations=durations, broken_off=broken_off)
    labels = {activity.id: activity.label or activity.id for activity in plan_input.activities}
    for name in sorted(broken_off):
        _add_pieces(network, name, split[name], labels[name])
    cut = _cut_to(schedule, split)
    for edge in order_edges(plan_input, cut, is_short=ends is Ends.SHORT):
        network.add(edge)
    return network


def piece_seconds(item: Assignment, total_s: int) -> list[int]:
    """Return the lengths of the pieces at ``total_s`` in all: the first ones whole, the last cut or left out."""
    if len(item.pieces) == 1:
        return [total_s]
    lengths: list[int] = []
    for start, end in item.pieces:
        lengths.append(min(end - start, total_s - sum(lengths)))
    kept = [length for length in lengths if length > 0] or [0]
    kept[-1] += total_s - sum(kept)
    return kept


def _cut_to(schedule: Schedule, split: Mapping[str, list[int]]) -> Schedule:
    """Return the schedule without the pieces that are left out at this end; times are read for their order only."""
    cut = []
    for item in schedule.assignments:
        pieces = item.pieces[: len(split[item.activity])]
        cut.append(
            Assignment(
                activity=item.activity,
                pieces=pieces,
                worker=item.worker,
                look_ins=item.look_ins,
                units=item.units,
            )
        )
    return Schedule(assignments=tuple(cut))


def _marks(number: int, count: int) -> tuple[int, int]:
    return (0 if number == 0 else 2 * number + 1), (1 if number == count - 1 else 2 * number + 2)


def _add_pieces(network: Network, name: str, lengths: list[int], label: str) -> None:
    for number, length in enumerate(lengths):
        first, last = (Event(name, mark) for mark in _marks(number, len(lengths)))
        network.add(Edge(first, last, length, EdgeKind.DURATION, label))
        network.add(Edge(last, first, -length, EdgeKind.DURATION, label))
        if number:
            before = Event(name, _marks(number - 1, len(lengths))[1])
            network.add(Edge(before, first, 0, EdgeKind.DURATION, f"{label} goes on"))


def _moved(activity: Activity, item: Assignment, times: Mapping[Event, int], ends: Ends) -> Assignment:
    count = len(piece_seconds(item, duration_at(activity, ends)))
    marks = [_marks(number, count) for number in range(count)]
    pieces = [(times[Event(activity.id, first)], times[Event(activity.id, last)]) for first, last in marks]
    start = times[starts_of(activity.id)]
    look_ins: tuple[tuple[int, int, str], ...] = ()
    if activity.look_in is not None:
        offsets = activity.look_in.offsets(duration_at(activity, ends))
        look_ins = tuple(
            (start + offset, start + offset + activity.look_in.for_s, name)
            for offset, (_, _, name) in zip(offsets, item.look_ins, strict=False)
        )
    return Assignment(
        activity=activity.id,
        pieces=tuple(pieces or [(start, times[ends_of(activity.id)])]),
        worker=item.worker,
        look_ins=look_ins,
    )
