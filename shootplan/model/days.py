"""
The days of a plan over several days: of which day a moment is, when each begins and should end, when its work ends.

A plan and a schedule of it come in, whole seconds from the first call go out. A plan without closed times has one day.
"""

from __future__ import annotations

from shootplan.model.planning import PlanInput, Schedule

__all__ = ["NEVER_S", "day_of", "staffed_s", "wraps_of"]

#: Later than any plan.
NEVER_S = 10**12


def day_of(plan_input: PlanInput, moment_s: int) -> int:
    """Return the day of a moment, counted from 0; a closed time belongs to the day before it."""
    return sum(till_s <= moment_s for _, till_s in plan_input.closed)


def staffed_s(plan_input: PlanInput) -> tuple[tuple[int, int], ...]:
    """Return from when to when somebody is there on each day; far away is the end of a last day without one."""
    ends_s = plan_input.horizon_s if plan_input.horizon_s is not None else NEVER_S
    opens = (0, *(till_s for _, till_s in plan_input.closed))
    closes = (*(since_s for since_s, _ in plan_input.closed), ends_s)
    return tuple(zip(opens, closes, strict=True))


def wraps_of(plan_input: PlanInput, schedule: Schedule) -> tuple[int | None, ...]:
    """
    Return when the last work of each day ends, ``None`` where nothing is done; nothing for a plan of one day.

    What may go on overnight does not count.
    """
    if not plan_input.closed:
        return ()
    alone = {item.id for item in plan_input.activities if item.may_run_closed}
    pieces = [piece for item in schedule.assignments if item.activity not in alone for piece in item.pieces]
    ends: dict[int, int] = {}
    for start_s, end_s in pieces:
        if start_s < end_s:
            day = day_of(plan_input, start_s)
            ends[day] = max(ends.get(day, 0), end_s)
    return tuple(ends.get(day) for day in range(len(plan_input.closed) + 1))
