"""
What the ranges do to a fixed plan: many runs with times drawn from them, by a seeded generator (Monte Carlo).

A plan and its result come in, a ``RiskReport`` goes out. Each time is drawn on its own, none knows of another. The same
seed gives the same report: uniform numbers of numpy's PCG64 are turned into times by the inverse of the distribution
here, so nothing hangs on how a library draws triangles.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from shootplan.model.clock import Range
from shootplan.model.days import day_of, staffed_s, wraps_of
from shootplan.model.planning import Activity, PlanInput, Schedule, SolveResult
from shootplan.model.risk import DayRisk, LimitRisk, RangeEffect, RiskReport, Spread
from shootplan.plan.closed import CLOSES
from shootplan.plan.rerun import FixedPlan, Outcome

if TYPE_CHECKING:
    import numpy

    Matrix = numpy.ndarray[Any, numpy.dtype[Any]]

__all__ = ["assess_risk", "drawn"]

#: Below this a correlation may be chance: 1.96 / sqrt(runs - 1) is 0.04 at 2000 runs (normal approximation).
_LEAST_CORRELATION = Fraction(1, 10)


def assess_risk(
    plan_input: PlanInput,
    result: SolveResult,
    *,
    runs: int,
    seed: int = 0,
    spread: Spread = Spread.UNIFORM,
    latest_s: int | None = None,
) -> RiskReport:
    """
    Return what the ranges do to the wrap of a plan, its orders fixed (rule T6).

    Parameters
    ----------
    plan_input
        The plan.
    result
        Its solution.
    runs
        How many days are drawn, at least 1.
    seed
        Of the generator; the same gives the same report.
    spread
        How each time is spread over its range.
    latest_s
        The latest wrap in seconds from call, ``None`` for none.

    Raises
    ------
    ValueError
        If there is no schedule or ``runs`` is below 1.
    """
    import numpy

    if result.schedule is None or runs < 1:
        raise ValueError("risk needs a schedule and at least one run")
    days = staffed_s(plan_input) if plan_input.closed else ()
    # The last day's end is a limit like that of any other day: what it costs is counted there, not step by step.
    plan_input = replace(plan_input, horizon_s=None) if days else plan_input
    fixed = FixedPlan(plan_input, result.schedule)
    times = drawn(plan_input, runs=runs, seed=seed, spread=spread)
    outcome = fixed.run(times)
    shortest = fixed.run(numpy.array([[item.short_s] for item in plan_input.activities], dtype=numpy.int64))
    p10, p50, p90 = (round(float(value)) for value in numpy.percentile(outcome.wrap, (10, 50, 90)))
    return RiskReport(
        runs=runs,
        seed=seed,
        spread=spread,
        planned_s=result.schedule.makespan_s,
        short_s=result.short_schedule.makespan_s if result.short_schedule is not None else None,
        mean_s=round(float(outcome.wrap.mean())),
        p10_s=p10,
        p50_s=p50,
        p90_s=p90,
        latest_s=latest_s,
        late=int((outcome.wrap > latest_s).sum()) if latest_s is not None else 0,
        limits=_limits(outcome, shortest),
        ranges=_ranges(plan_input, fixed, times, outcome),
        days=tuple(_day(plan_input, result.schedule, outcome, number, hours) for number, hours in enumerate(days)),
    )


def drawn(plan_input: PlanInput, *, runs: int, seed: int, spread: Spread) -> Matrix:
    """
    Return whole seconds for each activity in the order of the input and each run, shape (activities, runs).

    With u uniform on [0, 1): low + u (high - low); for a triangle with its peak in the middle low + (high - low) times
    sqrt(u / 2) below u = 1/2 and 1 - sqrt((1 - u) / 2) above (inverse of its distribution).
    """
    import numpy

    low = numpy.array([[item.short_s] for item in plan_input.activities], dtype=float)
    high = numpy.array([[item.long_s] for item in plan_input.activities], dtype=float)
    part = numpy.random.Generator(numpy.random.PCG64(seed)).random((len(plan_input.activities), runs))
    if spread is Spread.TRIANGULAR:
        part = numpy.where(part < 0.5, numpy.sqrt(part / 2), 1 - numpy.sqrt((1 - part) / 2))
    times: Matrix = numpy.rint(low + part * (high - low)).astype(numpy.int64)
    return times


def _day(plan_input: PlanInput, schedule: Schedule, outcome: Outcome, day: int, hours: tuple[int, int]) -> DayRisk:
    """Return what the runs make of a day: the work that was planned for it, however late it ends."""
    import numpy

    opens_s, closes_s = hours
    alone = {item.id for item in plan_input.activities if item.may_run_closed}
    lasting = {item.activity for item in schedule.assignments if item.end_s > item.start_s}
    own = [
        (number, item.id in alone)
        for number, item in enumerate(plan_input.activities)
        if item.id in lasting and day_of(plan_input, schedule.of(item.id).start_s) == day
    ]
    if not own:
        return DayRisk(opens_s=opens_s, closes_s=closes_s)
    until = numpy.max(
        [outcome.starts[number] if is_alone else outcome.ends[number] for number, is_alone in own], axis=0
    )
    p10, p50, p90 = (round(float(value)) for value in numpy.percentile(until, (10, 50, 90)))
    return DayRisk(
        opens_s=opens_s,
        closes_s=closes_s,
        planned_s=wraps_of(plan_input, schedule)[day],
        p10_s=p10,
        p50_s=p50,
        p90_s=p90,
        late=int((until > closes_s).sum()),
    )


def _limits(outcome: Outcome, shortest: Outcome) -> tuple[LimitRisk, ...]:
    import numpy

    found = []
    for rule, over in outcome.over.items():
        if rule == CLOSES:
            continue
        broken = over[over > 0]
        breaks_short = bool(shortest.over[rule][0] > 0)
        if broken.size or breaks_short:
            found.append(
                LimitRisk(
                    rule=rule,
                    broken=int(broken.size),
                    typical_s=round(float(numpy.median(broken))) if broken.size else 0,
                    worst_s=int(over.max()),
                    breaks_short=breaks_short,
                )
            )
    return tuple(sorted(found, key=lambda item: (-item.broken, item.rule)))


def _ranges(plan_input: PlanInput, fixed: FixedPlan, times: Matrix, outcome: Outcome) -> tuple[RangeEffect, ...]:
    """Return the ranges that move the wrap: each from end to end with all others in the middle, and over all runs."""
    import numpy

    rows = [(number, item) for number, item in enumerate(plan_input.activities) if item.short_s != item.long_s]
    if not rows:
        return ()
    middle = numpy.array([[(item.short_s + item.long_s) // 2] for item in plan_input.activities], dtype=numpy.int64)
    one_by_one = numpy.repeat(middle, 2 * len(rows), axis=1)
    for column, (number, item) in enumerate(rows):
        one_by_one[number, 2 * column], one_by_one[number, 2 * column + 1] = item.short_s, item.long_s
    wraps = fixed.run(one_by_one).wrap
    ranks = _ranks(outcome.wrap)
    found = [
        _effect(item, int(wraps[2 * column + 1] - wraps[2 * column]), _ranks(times[number]), ranks)
        for column, (number, item) in enumerate(rows)
    ]
    moving = [item for item in found if item.swing_s or abs(item.rank_correlation) >= _LEAST_CORRELATION]
    return tuple(sorted(moving, key=lambda item: (-abs(item.swing_s), -item.rank_correlation, item.activity)))


def _effect(item: Activity, swing_s: int, ranks: Matrix, wrap_ranks: Matrix) -> RangeEffect:
    return RangeEffect(
        activity=item.id,
        label=item.label or item.id,
        range=Range(item.short_s, item.long_s),
        swing_s=swing_s,
        rank_correlation=Fraction(round(100 * _correlation(ranks, wrap_ranks)), 100),
    )


def _ranks(values: Matrix) -> Matrix:
    """Return the ranks from 0, ties sharing the mean of theirs (as Spearman's correlation needs)."""
    import numpy

    _, inverse, counts = numpy.unique(values, return_inverse=True, return_counts=True)
    ranks: Matrix = numpy.cumsum(counts) - counts + (counts - 1) / 2
    return ranks[inverse]


def _correlation(one: Matrix, other: Matrix) -> float:
    """Return Pearson's correlation, 0 where one of the two never changes."""
    import numpy

    a, b = one - one.mean(), other - other.mean()
    scale = numpy.sqrt((a * a).sum() * (b * b).sum())
    return float((a * b).sum() / scale) if scale else 0.0
