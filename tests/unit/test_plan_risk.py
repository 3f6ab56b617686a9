"""Ranges and risk: runs of a fixed plan against sums worked by hand, against theory and against published examples."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from fractions import Fraction
from itertools import pairwise
from typing import Any

import numpy
import pytest

from shootplan.model.planning import (
    Activity,
    ActivityKind,
    Assignment,
    DayRule,
    Lag,
    LookInTask,
    PlanInput,
    Schedule,
    SolveResult,
    SolveStatus,
    Worker,
)
from shootplan.model.risk import RiskReport, Spread
from shootplan.plan import solve
from shootplan.plan.rerun import FixedPlan
from shootplan.plan.risk import assess_risk, drawn
from shootplan.render.risk_text import risk_view

MIN = 60
RUNS = 40_000


def left(name: str, short: int, long: int) -> Activity:
    """Return something left alone for so many minutes."""
    return Activity(id=name, kind=ActivityKind.LEAVE, short_s=short * MIN, long_s=long * MIN, label=name)


def hands(name: str, short: int, long: int) -> Activity:
    """Return hands-on work of the cook."""
    return replace(left(name, short, long), kind=ActivityKind.HANDS, workers=("cook",))


def after(before: str, name: str, at_most: int | None = None) -> Lag:
    """Return that one thing follows another, within so many minutes if said."""
    rule = f"{name} soon after {before}"
    return Lag(predecessor=before, successor=name, at_most_s=None if at_most is None else at_most * MIN, rule=rule)


def plan_of(*activities: Activity, lags: tuple[Lag, ...] = ()) -> PlanInput:
    """Return a plan of one cook."""
    return PlanInput(activities=activities, lags=lags, workers=(Worker(name="cook"),))


def risk_of(plan_input: PlanInput, **options: Any) -> RiskReport:
    """Solve and assess."""
    return assess_risk(plan_input, solve(plan_input), **{"runs": RUNS, **options})


def at_starts(plan_input: PlanInput, **starts: int) -> Schedule:
    """Return a schedule at the long ends from starts in minutes."""
    return Schedule(
        assignments=tuple(
            Assignment(
                activity=item.id,
                pieces=((starts[item.id] * MIN, starts[item.id] * MIN + item.long_s),),
                worker=item.workers[0] if item.workers and item.kind is ActivityKind.HANDS else "",
            )
            for item in plan_input.activities
        )
    )


# ---------------------------------------------------------------------------------------------------- theory


def test_a_chain_of_uniform_times_has_the_mean_and_variance_of_their_sum() -> None:
    """
    Mean of a sum: sum of (a + b) / 2; variance, being independent: sum of (b - a)² / 12.

    Textbook facts of the continuous uniform distribution; NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.6.2.
    """
    ends = ((10, 20), (5, 35), (40, 60), (0, 12), (7, 7))
    chain = tuple(left(str(k), low, high) for k, (low, high) in enumerate(ends))
    plan_input = plan_of(*chain, lags=tuple(after(a.id, b.id) for a, b in pairwise(chain)))
    schedule = solve(plan_input).schedule
    assert schedule is not None
    times = drawn(plan_input, runs=RUNS, seed=1, spread=Spread.UNIFORM)
    wrap = FixedPlan(plan_input, schedule).run(times).wrap / MIN
    mean = sum(low + high for low, high in ends) / 2
    variance = sum((high - low) ** 2 for low, high in ends) / 12
    assert abs(wrap.mean() - mean) < 4 * (variance / RUNS) ** 0.5
    assert abs(wrap.var() / variance - 1) < 4 * (2 / RUNS) ** 0.5


def test_two_uniform_times_in_a_row_have_the_quantiles_of_a_triangle() -> None:
    """
    The sum of two uniforms on [0, 1] is below x with probability x² / 2 up to 1 (Irwin 1927, Hall 1927, n = 2).

    So P10 = √0.2 = 0.4472, P50 = 1, P90 = 2 - √0.2 = 1.5528; here in hours.
    """
    report = risk_of(plan_of(left("a", 0, 60), left("b", 0, 60), lags=(after("a", "b"),)))
    for found, hours in ((report.p10_s, 0.2**0.5), (report.p50_s, 1.0), (report.p90_s, 2 - 0.2**0.5)):
        assert abs(found / 3600 - hours) < 0.015
    assert abs(report.mean_s / 3600 - 1) < 0.01


def test_two_uniform_times_side_by_side_have_the_quantiles_of_their_maximum() -> None:
    """Both are below x with probability x²: P10 √0.1, P50 √0.5, P90 √0.9, mean 2/3 and not 1/2 (order statistics)."""
    report = risk_of(plan_of(left("a", 0, 60), left("b", 0, 60)))
    for found, hours in ((report.p10_s, 0.1**0.5), (report.p50_s, 0.5**0.5), (report.p90_s, 0.9**0.5)):
        assert abs(found / 3600 - hours) < 0.01
    assert abs(report.mean_s / 3600 - 2 / 3) < 0.01


def test_a_triangle_has_its_mean_in_the_middle_and_half_the_variance_of_a_uniform() -> None:
    """Symmetric triangle on [a, b]: mean (a + b) / 2, variance (b - a)² / 24 (a twelfth for the uniform)."""
    times = drawn(plan_of(left("a", 10, 70)), runs=RUNS, seed=3, spread=Spread.TRIANGULAR)[0] / MIN
    assert abs(times.mean() - 40) < 0.3
    assert abs(times.var() / (60**2 / 24) - 1) < 0.03
    assert 10 <= times.min() < times.max() <= 70


#: Optimistic, most likely and pessimistic weeks, and what each waits for.
CONTRACTOR = {
    "A": (1, 2, 3, ""),
    "B": (2, 3.5, 8, "A"),
    "C": (6, 9, 18, "B"),
    "D": (4, 5.5, 10, "C"),
    "E": (1, 4.5, 5, "C"),
    "F": (4, 4, 10, "E"),
    "G": (5, 6.5, 11, "D"),
    "H": (5, 8, 17, "EG"),
    "I": (3, 7.5, 9, "C"),
    "J": (3, 9, 9, "FI"),
    "K": (4, 4, 4, "J"),
    "L": (1, 5.5, 7, "J"),
    "M": (1, 2, 3, "H"),
    "N": (5, 5.5, 9, "KL"),
}
WEEK = 10_000


@pytest.fixture
def contractor() -> tuple[PlanInput, FixedPlan]:
    """Return the published project of a contractor, its means planned (weeks of 10000 s so that rounding is small)."""
    means = {name: round(WEEK * (a + 4 * m + b) / 6) for name, (a, m, b, _) in CONTRACTOR.items()}
    activities = tuple(
        Activity(id=name, kind=ActivityKind.LEAVE, short_s=round(WEEK * a), long_s=means[name])
        for name, (a, _, _, _) in CONTRACTOR.items()
    )
    lags = tuple(Lag(predecessor=b, successor=n) for n, (_, _, _, before) in CONTRACTOR.items() for b in before)
    plan_input = PlanInput(activities=activities, lags=lags)
    schedule = solve(plan_input).schedule
    assert schedule is not None
    return plan_input, FixedPlan(plan_input, schedule)


def test_a_published_project_takes_44_weeks_and_less_surely_than_its_critical_path_says(
    contractor: tuple[PlanInput, FixedPlan],
) -> None:
    """
    Hillier and Lieberman, Introduction to Operations Research, the contractor with a deadline of 47 weeks (PERT).

    Published: mean critical path 44 weeks, variance 9, P(47 weeks) about 0.84 by the critical path alone, which is too
    hopeful; drawn from triangles the mean is 46.29 and P about 0.59 (their chapter on simulation). The table and the
    figures are from memory; that the table gives exactly 44 and 9 is worked out here again.
    """
    _, fixed = contractor
    estimates = numpy.array([row[:3] for row in CONTRACTOR.values()], dtype=float)
    a, m, b = estimates.T
    mean, variance = (a + 4 * m + b) / 6, ((b - a) / 6) ** 2
    path = [list(CONTRACTOR).index(name) for name in "ABCEFJLN"]
    assert (round(mean[path].sum(), 9), round(variance[path].sum(), 9)) == (44, 9)
    planned = fixed.run(numpy.rint(WEEK * mean).astype(numpy.int64)[:, None])
    assert abs(planned.wrap[0] / WEEK - 44) < 0.001
    generator = numpy.random.default_rng(5)
    times = numpy.repeat(estimates[:, :1], RUNS, axis=1)
    for number, (low, mode, high) in enumerate(estimates):
        if low < high:
            times[number] = generator.triangular(low, mode, high, RUNS)
    weeks = fixed.run(numpy.rint(WEEK * times).astype(numpy.int64)).wrap / WEEK
    assert abs(weeks.mean() - 46.29) < 0.15
    assert abs((weeks <= 47).mean() - 0.59) < 0.03


# ---------------------------------------------------------------------------------------------------- worked by hand


def mash() -> tuple[PlanInput, Schedule]:
    """Return a boil of 10-20 minutes and a job of 17 before the mash, which is due 3 minutes after the boil."""
    plan_input = plan_of(
        left("boil", 10, 20), hands("job", 17, 17), hands("mash", 5, 5), lags=(after("boil", "mash", 3),)
    )
    return plan_input, at_starts(plan_input, boil=0, job=0, mash=20)


def report_of(plan_input: PlanInput, schedule: Schedule, **options: Any) -> RiskReport:
    """Assess a schedule made by hand."""
    result = SolveResult(status=SolveStatus.OPTIMAL, schedule=schedule, bound_s=0, engine="list")
    return assess_risk(plan_input, result, **{"runs": RUNS, **options})


def test_a_limit_breaks_as_often_as_the_sum_says() -> None:
    """
    The mash starts at max(boil, 17), so it is late where the boil ends before 14: 4 of 10 minutes of its range, 40 %.

    It is then late by up to 4 minutes, half of the time by more than 2; all short it is 4 minutes late.
    """
    report = report_of(*mash())
    (limit,) = report.limits
    assert limit.rule == "mash soon after boil"
    assert abs(limit.broken / RUNS - 0.4) < 4 * (0.24 / RUNS) ** 0.5
    assert abs(limit.typical_s - 2 * MIN) < 5
    assert 3.9 * MIN < limit.worst_s <= 4 * MIN
    assert limit.breaks_short
    assert report.planned_s == 25 * MIN
    assert report.short_s is None


def test_a_range_moves_the_wrap_only_as_far_as_it_decides_it() -> None:
    """The wrap is max(boil, 17) + 5: from end to end of the boil 22 to 25, so 3 minutes; nothing else has a range."""
    report = report_of(*mash())
    (effect,) = report.ranges
    assert (effect.activity, effect.swing_s) == ("boil", 3 * MIN)
    assert Fraction(1, 2) < effect.rank_correlation < 1


def test_the_middle_of_others_counts_for_one_range() -> None:
    """A chain of 10-20 and 5-9: swings 10 and 4; rank correlations near those of the sum (10 : 4 in spread)."""
    report = risk_of(plan_of(left("a", 10, 20), left("b", 5, 9), lags=(after("a", "b"),)))
    assert [(item.activity, item.swing_s) for item in report.ranges] == [("a", 10 * MIN), ("b", 4 * MIN)]
    assert report.ranges[0].rank_correlation > Fraction(85, 100) > report.ranges[1].rank_correlation > Fraction(25, 100)


def test_what_is_held_back_starts_by_what_was_done_before_it() -> None:
    """
    Beans 30-40 alone, then a paste 10 (hands), both into the pot, the paste within 5 minutes of being made.

    The plan starts the paste at 25 so that it is 35 old at 40. Nobody knows how long the beans will take, so the paste
    starts at 25 on every day, is ready at 35, and the pot begins when the beans are done, at 35 at the earliest: the
    limit is kept always, and the wrap is max(35, beans) + 2.
    """
    lags = (after("beans", "pot"), after("paste", "pot", 5))
    plan_input = plan_of(left("beans", 30, 40), hands("paste", 10, 10), hands("pot", 2, 2), lags=lags)
    schedule = at_starts(plan_input, beans=0, paste=25, pot=40)
    beans = numpy.array([[30, 33, 36, 40], [10] * 4, [2] * 4], dtype=numpy.int64) * MIN
    outcome = FixedPlan(plan_input, schedule).run(beans)
    assert (outcome.starts[1] // MIN).tolist() == [25, 25, 25, 25]
    assert (outcome.wrap // MIN).tolist() == [37, 37, 38, 42]
    assert all((over == 0).all() for over in outcome.over.values())


def test_a_look_in_that_shorter_times_leave_out_holds_nobody_up() -> None:
    """
    A simmer of 7-10 with a minute's look-in every 4: at 4 and 8; a job of 3 comes between them, then one of 2.

    At 10 minutes: job 5-8, look-in 8-9, last job 9-11. At 8 or less there is no second look-in: last job 8-10.
    """
    simmer = replace(left("simmer", 7, 10), look_in=LookInTask(every_s=4 * MIN, for_s=MIN), workers=("cook",))
    plan_input = plan_of(simmer, hands("job", 3, 3), hands("last", 2, 2))
    looks = ((4 * MIN, 5 * MIN, "cook"), (8 * MIN, 9 * MIN, "cook"))
    planned = at_starts(plan_input, simmer=0, job=5, last=9)
    first = replace(planned.assignments[0], look_ins=looks)
    schedule = Schedule(assignments=(first, *planned.assignments[1:]))
    times = numpy.array([[10, 9, 8, 7], [3] * 4, [2] * 4], dtype=numpy.int64) * MIN
    outcome = FixedPlan(plan_input, schedule).run(times)
    assert (outcome.starts[2] // MIN).tolist() == [9, 9, 8, 8]
    assert (outcome.wrap // MIN).tolist() == [11, 11, 10, 10]
    late = FixedPlan(plan_input, schedule).run(numpy.array([[10], [5], [2]], dtype=numpy.int64) * MIN)
    assert late.over["simmer is looked in on in time"][0] == 2 * MIN


def test_broken_off_work_keeps_its_first_piece_and_shortens_the_last() -> None:
    """Chopping 6-10 in pieces 1-4 and 6-13: at 8 the second piece lasts 5, at 3 there is none left of it."""
    chop = replace(hands("chop", 3, 10), is_pausable=True)
    plan_input = plan_of(hands("fill", 1, 1), chop, hands("stir", 2, 2))
    schedule = Schedule(
        assignments=(
            Assignment(activity="fill", pieces=((0, MIN),), worker="cook"),
            Assignment(activity="chop", pieces=((MIN, 4 * MIN), (6 * MIN, 13 * MIN)), worker="cook"),
            Assignment(activity="stir", pieces=((4 * MIN, 6 * MIN),), worker="cook"),
        )
    )
    times = numpy.array([[1, 1, 1], [10, 8, 3], [2, 2, 2]], dtype=numpy.int64) * MIN
    assert (FixedPlan(plan_input, schedule).run(times).wrap // MIN).tolist() == [13, 11, 6]


def test_the_latest_wrap_is_counted() -> None:
    """A single time of 0-60 minutes is after 45 in a quarter of the days."""
    report = report_of(*(lambda p: (p, at_starts(p, a=0)))(plan_of(left("a", 0, 60))), latest_s=45 * MIN)
    assert abs(report.late / RUNS - 0.25) < 0.01


def test_the_same_seed_draws_the_same_days_and_another_draws_others() -> None:
    """Reports are equal value by value; another seed differs, another spread too."""
    plan_input, schedule = mash()
    first = report_of(plan_input, schedule, runs=500, seed=7)
    assert first == report_of(plan_input, schedule, runs=500, seed=7)
    assert first != report_of(plan_input, schedule, runs=500, seed=8)
    assert first.mean_s != report_of(plan_input, schedule, runs=500, seed=7, spread=Spread.TRIANGULAR).mean_s


def test_without_a_schedule_or_runs_there_is_no_risk() -> None:
    """Both are slips of the caller."""
    plan_input, schedule = mash()
    with pytest.raises(ValueError, match="at least one run"):
        report_of(plan_input, schedule, runs=0)
    nothing = SolveResult(status=SolveStatus.UNKNOWN, schedule=None, bound_s=0, engine="cp-sat")
    with pytest.raises(ValueError, match="a schedule"):
        assess_risk(plan_input, nothing, runs=1)


def test_fixed_times_move_nothing() -> None:
    """Without ranges every day is the planned one."""
    report = risk_of(plan_of(hands("a", 5, 5), hands("b", 6, 6)), runs=10)
    assert (report.p10_s, report.p50_s, report.p90_s, report.planned_s) == (11 * MIN,) * 4
    assert (report.ranges, report.limits) == ((), ())


# ---------------------------------------------------------------------------------------------------- several days


def two_days(**fields: Any) -> PlanInput:
    """Return a plan of 20–40 min of hands on one day and 10–30 on the next, closed from minute 60 to 120."""
    one, other, soak = hands("one", 20, 40), hands("other", 10, 30), replace(left("soak", 50, 70), may_run_closed=True)
    apart = DayRule(one="one", other="other", is_apart=True)
    lags = (after("one", "other"), after("one", "soak"), after("soak", "other"))
    plan_input = plan_of(one, soak, other, lags=lags)
    return replace(
        plan_input, closed=((60 * MIN, 120 * MIN),), day_rules=(apart,), **{"horizon_s": 180 * MIN, **fields}
    )


def test_each_day_has_its_own_wraps() -> None:
    """
    A soak from minute 40 at the latest is over by 110, in the night; so the second day begins at 120 in every run.

    Quantiles of the uniform distribution: 20 + 20 p on the first day, 130 + 20 p on the second.
    """
    report = risk_of(two_days())
    first, second = report.days
    assert [(day.opens_s // MIN, day.closes_s // MIN) for day in report.days] == [(0, 60), (120, 180)]
    assert (first.planned_s, second.planned_s) == (40 * MIN, 150 * MIN)
    for day, least in ((first, 20), (second, 130)):
        assert day.p10_s is not None
        assert day.p50_s is not None
        assert day.p90_s is not None
        for found, wanted in ((day.p10_s, least + 2), (day.p50_s, least + 10), (day.p90_s, least + 18)):
            assert abs(found / MIN - wanted) < 0.3
        assert day.late == 0
    assert (report.planned_s, report.limits) == (150 * MIN, ())
    assert {item.activity for item in report.ranges} == {"other"}


def test_the_end_of_a_days_hours_is_its_limit() -> None:
    """With the second day ending at 140 instead, 10–30 min from 120 on are late in half of the runs."""
    sound = solve(two_days())
    report = assess_risk(two_days(horizon_s=140 * MIN), sound, runs=RUNS)
    assert abs(report.days[1].late / RUNS - 0.5) < 0.01
    assert report.days[0].late == 0


def test_a_day_on_which_nothing_is_done_has_no_wrap() -> None:
    """All of it fits in on the first day: the second is told as empty."""
    plan_input = replace(plan_of(hands("one", 20, 40)), closed=((60 * MIN, 120 * MIN),), horizon_s=180 * MIN)
    report = risk_of(plan_input, runs=10)
    assert (report.days[1].planned_s, report.days[1].p90_s) == (None, None)
    view = risk_view(report, datetime(2026, 11, 20, 8))
    assert [line.split() for line in view.split("\n") if line.startswith("Fri  nothing")] == [
        ["Fri", "nothing", "-", "-", "-", "11:00", "-"],
    ]
