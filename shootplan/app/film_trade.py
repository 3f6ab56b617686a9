"""The use case "trade-offs" of the filmed day: an early wrap, or fewer re-rigs."""

from __future__ import annotations

from dataclasses import replace

from shootplan.app import Loaded, Solver
from shootplan.app.film import filmed_plan
from shootplan.model.planning import SolveResult
from shootplan.model.trade import FilmedTrade, FilmedTrades, Sought
from shootplan.problems import OutOfTime

__all__ = ["filmed_trade_offs"]

#: Minutes after the earliest wrap within which fewer re-rigs are looked for, the widest first.
_WITHIN_MIN = (20, 10)


def filmed_trade_offs(loaded: Loaded, *, solver: Solver | None = None) -> FilmedTrades:
    """
    Return plans of the filmed day that trade wrap against re-rigs and camera wait, the earliest wrap first.

    The day as it is planned, and the one with the fewest re-rigs that wraps 10 or 20 minutes later at most, each as
    early as it can. Those that are no better than another in wrap, re-rigs and camera wait are left out.

    Raises
    ------
    InfeasiblePlan
        If the day has no plan at all.
    """
    from shootplan.plan.film_planner import AIMS, notes_of, time_to_wrap
    from shootplan.plan.film_trade import fewer_rerigs

    run = solver or Solver()
    first = filmed_plan(loaded.resolved, run)
    if first.result.schedule is None:
        raise OutOfTime
    latest_s, strike_s = time_to_wrap(loaded.resolved), loaded.episode.kitchen.strike_s

    def worth(within_s: int, result: SolveResult) -> FilmedTrade:
        from shootplan.plan.film_orders import day_parts
        from shootplan.plan.film_planner import rerig_count
        from shootplan.plan.film_trade import WITH_SO_FEW, served_at, times_set_up

        plan_input, schedule = first.plan_input, result.schedule
        assert schedule is not None
        parts = day_parts(plan_input, schedule, strike_s=strike_s)
        proven = {phase.name: phase.is_proven for phase in result.phases}
        return FilmedTrade(
            within_s=within_s,
            plan_input=plan_input,
            result=result,
            pick_ups=first.pick_ups,
            wrap_s=parts.total_s,
            rerigs=rerig_count(plan_input, schedule),
            rerig_s=parts.rerig_s,
            wait_s=parts.wait_s,
            set_ups=times_set_up(plan_input, schedule),
            served=served_at(plan_input, schedule),
            is_wrap_proven=proven[WITH_SO_FEW if within_s else "wrap"],
            is_fewest_proven=proven[AIMS["rerigs"]],
        )

    plans, sought = [worth(0, first.result)], list[Sought]()
    for within_s in (60 * minutes for minutes in _WITHIN_MIN):
        known = plans[-1]
        if sought and known.wrap_s <= plans[0].wrap_s + within_s:
            # What was found within the wider limit lies within this one too: there is nothing more to look for.
            sought.append(replace(sought[-1], within_s=within_s))
            plans[-1] = replace(known, within_s=within_s)
            continue
        result = fewer_rerigs(
            first, within_s, latest_s=latest_s, workers=run.workers, progress=run.progress, keep=run.keep
        )
        result = replace(result, notes=notes_of(loaded.resolved, first.plan_input, result.schedule))
        plans.append(worth(within_s, result))
        sought.append(Sought(within_s=within_s, rerigs=plans[-1].rerigs, is_proven=plans[-1].is_fewest_proven))
    return FilmedTrades(plans=_best_of(plans), sought=tuple(reversed(sought)))


def _best_of(plans: list[FilmedTrade]) -> tuple[FilmedTrade, ...]:
    """Return the plans none of which is as good as another in everything; of two alike the first."""
    kept: list[FilmedTrade] = []
    for number, plan in enumerate(plans):
        better = [other for other in plans[number + 1 :] if other.worth != plan.worth]
        if not any(plan.is_no_better_than(other) for other in (*kept, *better)):
            kept.append(plan)
    return tuple(sorted(kept, key=lambda plan: plan.worth))
