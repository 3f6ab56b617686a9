"""The use case "ranges and risk": the planned day run again with times drawn from their ranges."""

from __future__ import annotations

from datetime import time

from shootplan.app import Loaded, Solver, day_input, for_one_day
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
) -> RiskReport:
    """
    Return what the ranges do to the wrap of the planned day.

    Raises
    ------
    InfeasiblePlan
        If the day has no plan.
    """
    for_one_day(loaded, "the risk of the wrap")
    from shootplan.plan.risk import assess_risk

    plan_input = day_input(loaded)
    result = (solver or Solver())(plan_input)
    if result.schedule is None:
        raise OutOfTime
    return assess_risk(plan_input, result, runs=runs, seed=seed, spread=spread, latest_s=_latest_s(loaded))


def _latest_s(loaded: Loaded) -> int | None:
    """Return the latest wrap in seconds from call, ``None`` where none is said or it lies before call."""
    latest = loaded.episode.latest_wrap or loaded.episode.kitchen.latest_wrap
    if latest is None:
        return None
    seconds = _seconds(latest) - _seconds(loaded.episode.call_time)
    return seconds if seconds > 0 else None


def _seconds(moment: time) -> int:
    return moment.hour * 3600 + moment.minute * 60 + moment.second
