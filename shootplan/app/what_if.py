"""The use case "what if": the day planned again under other conditions, one row for each."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from shootplan.app import Loaded, Solver, day_input, for_one_day
from shootplan.model.clock import Clock
from shootplan.model.planning import SolveResult, SolveStatus
from shootplan.model.what_if import Change, WhatIf, WhatIfRow
from shootplan.problems import InfeasiblePlan

__all__ = ["what_if"]


def what_if(
    loaded: Loaded, changes: tuple[Change, ...] = (), *, solver: Solver | None = None, is_filmed: bool = False
) -> WhatIf:
    """
    Return the day as it is and with each of the changes; without any, with the usual ones.

    Those of a cooked day have each two temperatures of an oven the other way round among them.

    ``is_filmed`` asks of the filmed day: its wrap has the strike in it.

    Raises
    ------
    InfeasiblePlan
        If the day as it is has no plan.
    """
    from shootplan.plan.variants import usual_changes

    if any(change.call is not None for change in changes):
        for_one_day(loaded, "another call")
    solve = solver or Solver()
    as_it_is = _planned(loaded, Change(), solve, is_filmed=is_filmed)
    rows = [_row(loaded, change, solve, is_filmed=is_filmed) for change in changes or usual_changes(loaded.resolved)]
    if not changes and not is_filmed:
        rows += _other_oven_orders(loaded, solve)
    return WhatIf(as_it_is=as_it_is, rows=tuple(_compared(row, as_it_is) for row in rows))


def _row(loaded: Loaded, change: Change, solver: Solver, *, is_filmed: bool) -> WhatIfRow:
    try:
        return _planned(loaded, change, solver, is_filmed=is_filmed)
    except InfeasiblePlan as error:
        return _without_plan(change, change.call or loaded.episode.clock, error)


def _other_oven_orders(loaded: Loaded, solver: Solver) -> Iterator[WhatIfRow]:
    from shootplan.plan.variants import at_long_end, other_oven_orders

    plan_input = at_long_end(day_input(loaded))
    schedule = solver.lengths(plan_input).schedule
    for change, changed in other_oven_orders(plan_input, schedule) if schedule is not None else ():
        try:
            yield _answer(change, loaded.episode.clock, solver.lengths(changed))
        except InfeasiblePlan as error:
            yield _without_plan(change, loaded.episode.clock, error)


def _without_plan(change: Change, call: Clock, error: InfeasiblePlan) -> WhatIfRow:
    return WhatIfRow(change=change, call=call, wrap_s=None, why_not=tuple(item.rule for item in error.conflicts))


def _planned(loaded: Loaded, change: Change, solver: Solver, *, is_filmed: bool) -> WhatIfRow:
    from shootplan.plan.variants import at_long_end, changed_episode

    resolved = changed_episode(loaded.resolved, change)
    if is_filmed:
        from shootplan.app.film import filmed_plan

        strike_s = resolved.episode.kitchen.strike_s
        filmed = filmed_plan(resolved, solver, aims=())
        result, pick_ups = filmed.result, len(filmed.pick_ups)
    else:
        strike_s, pick_ups = 0, None
        result = solver.lengths(at_long_end(day_input(Loaded(resolved=resolved))))
    return _answer(change, resolved.episode.clock, result, strike_s=strike_s, pick_ups=pick_ups)


def _answer(
    change: Change, call: Clock, result: SolveResult, *, strike_s: int = 0, pick_ups: int | None = None
) -> WhatIfRow:
    return WhatIfRow(
        change=change,
        call=call,
        wrap_s=result.schedule.makespan_s + strike_s if result.schedule is not None else None,
        bound_s=result.bound_s + strike_s,
        is_proven=result.status is SolveStatus.OPTIMAL,
        pick_ups=pick_ups,
    )


def _compared(row: WhatIfRow, base: WhatIfRow) -> WhatIfRow:
    if row.wrap_s is None or base.wrap_s is None:
        return row
    return replace(row, earlier_s=base.wrap_s - row.wrap_s)
