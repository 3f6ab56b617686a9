"""
Limits that cannot be kept: which, by how much, and the plan that overruns them least.

A rest whose limits clash comes in; a schedule without any limit but with the least total lateness goes out, found by
the solver from the plan in the old order. Of the plans with that lateness it is a short one.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from shootplan.model.planning import Anchor, Lag, PlanInput, Schedule, SolveStatus
from shootplan.model.replanning import BrokenLimit
from shootplan.plan.rest import Rest
from shootplan.plan.rest_days import broken_rules

__all__ = ["broken_limits", "lateness_s", "least_late", "no_later_than"]


def broken_limits(rest: Rest, schedule: Schedule) -> tuple[BrokenLimit, ...]:
    """Return the limits and the rules of days that a schedule of the rest overruns, the longest overrun first."""
    found = list(broken_rules(rest.plan_input, rest.days, schedule))
    for number in rest.soft:
        lag = rest.plan_input.lags[number]
        late = _wait(lag, schedule) - (lag.at_most_s or 0)
        if late > 0:
            pair = (lag.predecessor, lag.successor)
            found.append(BrokenLimit(rule=lag.rule, activities=pair, late_s=late))
    return tuple(sorted(found, key=lambda item: (-item.late_s, item.rule, item.activities)))


def lateness_s(rest: Rest, schedule: Schedule) -> int:
    """Return by how many seconds in all a schedule overruns the limits of the rest, closing times included."""
    return sum(item.late_s for item in broken_limits(rest, schedule))


def _wait(lag: Lag, schedule: Schedule) -> int:
    before, after = schedule.of(lag.predecessor), schedule.of(lag.successor)
    since = before.start_s if lag.predecessor_anchor is Anchor.START else before.end_s
    until = after.start_s if lag.successor_anchor is Anchor.START else after.end_s
    return until - since


def least_late(
    rest: Rest, loose: PlanInput, known: Schedule | None, upper_s: int, budget: float
) -> tuple[Schedule | None, SolveStatus]:
    """
    Return a schedule of the loose plan with the least total lateness and, for that, a short wrap.

    Parameters
    ----------
    rest
        The rest with its limits.
    loose
        The same without them.
    known
        A sound schedule of the loose plan to start from, if there is one.
    upper_s
        The longest makespan to look at.
    budget
        Deterministic time units.

    Returns
    -------
    tuple
        The schedule, ``known`` if nothing better was found, and whether its lateness is proven to be the least.
    """
    from shootplan.plan.cp_sat import Limits, Model

    best, status, is_split = known, SolveStatus.UNKNOWN, False
    for is_split in (False, True):
        if is_split and not any(item.is_pausable for item in loose.activities):
            is_split = False
            break
        model = Model(loose, 0, upper_s, is_split)
        late = _late_variables(model, rest)
        if best is not None:
            model.hint(best)
        model.model.minimize(sum(late))
        outcome = model.solve(Limits(budget=budget / 2))
        status = outcome.status
        best = _later_less(rest, best, outcome.schedule)
        if best is not None and not lateness_s(rest, best):
            break
    if best is None:
        return None, status
    again = Model(loose, 0, upper_s, is_split)
    no_later_than(again, rest, best)
    again.hint(best)
    again.shortest()
    shorter = again.solve(Limits(budget=budget / 2)).schedule
    is_better = shorter is not None and shorter.makespan_s <= best.makespan_s
    return (_later_less(rest, best, shorter) if is_better else best), status


def _later_less(rest: Rest, one: Schedule | None, other: Schedule | None) -> Schedule | None:
    """Return the schedule that overruns less, the other of two equals."""
    if one is None or other is None:
        return one or other
    return one if lateness_s(rest, one) < lateness_s(rest, other) else other


def no_later_than(model: Any, rest: Rest, schedule: Schedule) -> None:
    """Keep the total lateness of a solver's model to that of a schedule."""
    late = _late_variables(model, rest)
    model.model.add(sum(late) <= sum(-(-item.late_s // model.unit) for item in broken_limits(rest, schedule)))


def _late_variables(model: Any, rest: Rest) -> list[Any]:
    """Add for each soft limit the units of time by which it is overrun."""
    found = []
    for number in rest.soft:
        lag = rest.plan_input.lags[number]
        assert lag.at_most_s is not None
        since = _moment(model, lag.predecessor, lag.predecessor_anchor)
        until = _moment(model, lag.successor, lag.successor_anchor)
        late = model.model.new_int_var(0, 2 * model.long.top + abs(lag.at_most_s) // model.unit + 1, "late")
        model.model.add(late >= until - since - lag.at_most_s // model.unit)
        found.append(late)
    for rule, since_s in rest.days.lost:
        if since_s is not None:
            late = model.model.new_int_var(0, 2 * model.long.top + abs(since_s) // model.unit + 1, "late")
            model.model.add(late >= model.long.start[rule.other] - since_s // model.unit)
            found.append(late)
    return [*found, *_late_evenings(model, rest)]


def _late_evenings(model: Any, rest: Rest) -> Iterator[Any]:
    """Add for each day to come the units of time by which it is longer than it should be."""
    work = [item for item in model.plan_input.activities if item.long_s]
    for day, (since_s, _) in enumerate(rest.days.closings):
        late = model.model.new_int_var(0, model.long.top, "late evening")
        has_night = day < len(rest.days.closed)
        for item in work:
            is_alone = item.id in rest.days.overnight and has_night
            if is_alone and item.id in rest.days.going_on:
                continue
            until = model.long.start[item.id] if is_alone else model.long.end[item.id]
            limit = model.model.add(until <= since_s // model.unit + late)
            if has_night:
                limit.only_enforce_if(~model.long.is_past(item.id, day))
        yield late


def _moment(model: Any, activity: str, anchor: Anchor) -> Any:
    return model.long.start[activity] if anchor is Anchor.START else model.long.end[activity]
