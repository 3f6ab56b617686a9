"""The use case "ranges and risk": the planned day run again with times drawn from their ranges."""

from __future__ import annotations

from dataclasses import replace
from datetime import time

from shootplan.app import Loaded, Solver, day_input
from shootplan.model.risk import RiskReport, Spread
from shootplan.problems import OutOfTime

__all__ = ["risk"]


def risk(
    loaded: Loaded,
    *,
    runs: int = 2000,
    seed: int = 0,
    spread: Spread = Spread.UNIFORM,
    solver: Solver | None = None,
    is_filmed: bool = False,
) -> RiskReport:
    """
    Return what the ranges do to the wrap of the planned day, the filmed one if ``is_filmed``.

    Raises
    ------
    InfeasiblePlan
        If the day has no plan.
    """
    from shootplan.plan.risk import assess_risk

    solve = solver or Solver()
    if is_filmed:
        from shootplan.app.film import filmed_plan

        strike_s = loaded.episode.kitchen.strike_s
        planned = filmed_plan(loaded.resolved, solve)
        plan_input, result = planned.plan_input, planned.result
    else:
        strike_s = 0
        plan_input = day_input(loaded)
        result = solve(plan_input)
    if result.schedule is None:
        raise OutOfTime
    latest_s = _latest_s(loaded)
    done_by_s = latest_s - strike_s if latest_s is not None else None
    report = assess_risk(plan_input, result, runs=runs, seed=seed, spread=spread, latest_s=done_by_s)
    return _with_strike(report, strike_s, latest_s)


def _with_strike(report: RiskReport, strike_s: int, latest_s: int | None) -> RiskReport:
    """Move every wrap by the strike, which no range touches; of several days it is after the last one."""

    def later(seconds: int | None) -> int | None:
        return seconds + strike_s if seconds is not None else None

    days = tuple(
        replace(day, closes_s=day.closes_s + strike_s, planned_s=later(day.planned_s)) for day in report.days[-1:]
    )
    days = tuple(replace(d, p10_s=later(d.p10_s), p50_s=later(d.p50_s), p90_s=later(d.p90_s)) for d in days)
    return replace(
        report,
        planned_s=report.planned_s + strike_s,
        short_s=report.short_s + strike_s if report.short_s is not None else None,
        mean_s=report.mean_s + strike_s,
        p10_s=report.p10_s + strike_s,
        p50_s=report.p50_s + strike_s,
        p90_s=report.p90_s + strike_s,
        latest_s=latest_s,
        days=(*report.days[:-1], *days),
    )


def _latest_s(loaded: Loaded) -> int | None:
    """
    Return the latest wrap in seconds from call, ``None`` where none is said or it lies before call.

    Several days have the ends of their hours instead.
    """
    if len(loaded.episode.days) > 1:
        return None
    latest = loaded.episode.latest_wrap or loaded.episode.kitchen.latest_wrap
    if latest is None:
        return None
    seconds = _seconds(latest) - _seconds(loaded.episode.call_time)
    return seconds if seconds > 0 else None


def _seconds(moment: time) -> int:
    return moment.hour * 3600 + moment.minute * 60 + moment.second
