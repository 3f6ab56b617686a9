"""
Planned against real time of each step, and the range that a recipe would have to say to hold both.

A plan and the day's events come in; ``StepMinutes`` go out. Only what was logged at both ends counts, and the parts of
a step only where the log says when it was left. A night is not counted for what does not go on in it.
"""

from __future__ import annotations

from collections.abc import Iterable

from shootplan.model.clock import MINUTE
from shootplan.model.planning import Activity, ActivityKind, PlanInput
from shootplan.model.replanning import LogEvent, LogKind, Run, StepMinutes
from shootplan.plan.happened import runs_of

__all__ = ["measured_minutes"]

_FIELDS = {
    ActivityKind.HANDS: "hands",
    ActivityKind.WATCH: "watch",
    ActivityKind.LEAVE: "leave",
    ActivityKind.HEAT: "leave",
}
_BINDING = (ActivityKind.HANDS, ActivityKind.WATCH)


def measured_minutes(plan_input: PlanInput, events: Iterable[LogEvent]) -> tuple[StepMinutes, ...]:
    """Return what was measured, in the order of the plan."""
    told: dict[tuple[str, LogKind], int] = {}
    for event in sorted(events, key=lambda item: item.at_s):
        told[event.run, event.kind] = event.at_s
    activities = {item.id: item for item in plan_input.activities}
    found: list[StepMinutes] = []
    for run in runs_of(plan_input):
        begun, done = told.get((run.id, LogKind.BEGUN)), told.get((run.id, LogKind.DONE))
        if begun is not None and done is not None and done >= begun:
            parts = [activities[name] for name in run.activities]
            found += _parts(plan_input, run, parts, begun, told.get((run.id, LogKind.LEFT)), done)
    return tuple(found)


def _parts(
    plan_input: PlanInput, run: Run, parts: list[Activity], begun_s: int, left_s: int | None, done_s: int
) -> list[StepMinutes]:
    """Return the measured time of each part; parts that run into one another without a mark are not guessed at."""

    def lasted_s(part: Activity, since_s: int, until_s: int) -> int:
        nights = [till - since for since, till in plan_input.closed if since_s <= since and till <= until_s]
        return until_s - since_s - (0 if part.may_run_closed else sum(nights))

    if len(parts) == 1:
        return [_minutes(run, parts[0], lasted_s(parts[0], begun_s, done_s))]
    bound = [part for part in parts if part.kind in _BINDING]
    alone = [part for part in parts if part.kind not in _BINDING]
    if left_s is None or not begun_s <= left_s <= done_s:
        return []
    found = [_minutes(run, bound[0], lasted_s(bound[0], begun_s, left_s))] if len(bound) == 1 else []
    return [*found, _minutes(run, alone[0], lasted_s(alone[0], left_s, done_s))] if len(alone) == 1 else found


def _minutes(run: Run, part: Activity, real_s: int) -> StepMinutes:
    """Return a part's times; the new range is widened to whole minutes, outward, and is at least a minute."""
    low, high = min(part.short_s, real_s), max(part.long_s, real_s)
    is_within = part.short_s <= real_s <= part.long_s
    return StepMinutes(
        run=run.id,
        label=run.label,
        field=_FIELDS[part.kind],
        low_s=part.short_s,
        high_s=part.long_s,
        real_s=real_s,
        new_low_s=part.short_s if is_within else max(MINUTE, low // MINUTE * MINUTE),
        new_high_s=part.long_s if is_within else max(MINUTE, -(-high // MINUTE) * MINUTE),
    )
