"""
Ranges and risk in words: when the day wraps, which limits break and how often, which ranges matter.

A ``RiskReport`` comes in, text for the terminal and a record for machines go out.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from shootplan.model.clock import Clock
from shootplan.model.risk import DayRisk, LimitRisk, RiskReport, Spread
from shootplan.model.show import clock_text, decimal_text, known_text, minutes_text
from shootplan.render.encode import encode
from shootplan.render.table_text import table

__all__ = ["risk_json", "risk_view"]

_SHOWN = 10
_SPREADS = {
    Spread.UNIFORM: "any time of its range equally likely",
    Spread.TRIANGULAR: "the middle of its range the likeliest (a triangle)",
}
_HOW = (
    "the order, the people and the gear stay as planned; each step starts as soon as they allow, and what the plan "
    "holds back starts by what was done before it; no step knows how long another will take"
)


def risk_view(report: RiskReport, call: Clock, *, colour: bool = False) -> str:
    """Return the report for the terminal."""
    spread, lasts = _SPREADS[report.spread], "since the first call" if report.days else "the day lasts"
    lines = [
        f"{report.runs} {_runs(report)} drawn (seed {report.seed}), each time on its own, {spread}",
        table(("wrap", "clock", lasts), _wraps(report, call), colour=colour),
    ]
    lines += _days(report, call, colour=colour)
    if report.latest_s is not None:
        latest = clock_text(call, report.latest_s)
        lines.append(f"after the latest wrap {latest}: {percent(report.late, report.runs)} of the days")
    lines += ["", *_limits(report, colour=colour), "", *_ranges(report, colour=colour), "", _HOW]
    return "\n".join(lines)


def risk_json(report: RiskReport) -> dict[str, Any]:
    """Return the report for machines, seconds from call; days only where there are several."""
    found = {"schema_version": 1, **encode(report)}
    return found if report.days else {name: value for name, value in found.items() if name != "days"}


def _runs(report: RiskReport) -> str:
    return "runs of all days" if report.days else "days"


def _one(report: RiskReport) -> str:
    return "run" if report.days else "day"


def _days(report: RiskReport, call: Clock, *, colour: bool) -> list[str]:
    """Return a table of the days of a plan over several days: by when each wraps, how often somebody has to stay."""
    if not report.days:
        return []
    rows = [_day(day, report.runs, call) for day in report.days]
    head = ("day", "planned", "1 in 10 by", "half by", "9 in 10 by", "closes", "after closing")
    return ["", table(head, rows, colour=colour)]


def _day(day: DayRisk, runs: int, call: Clock) -> tuple[str, ...]:
    name, closes = clock_text(call, day.opens_s).split(" ")[-1], clock_text(call, day.closes_s).split(" ")[0]
    if day.p10_s is None or day.p50_s is None or day.p90_s is None:
        return (name, "nothing", "-", "-", "-", closes, "-")
    planned = "-" if day.planned_s is None else _clock(call, day.planned_s).split(" ")[0]
    wraps = (_clock(call, seconds).split(" ")[0] for seconds in (day.p10_s, day.p50_s, day.p90_s))
    return (name, planned, *wraps, closes, percent(day.late, runs))


def percent(count: int, runs: int) -> str:
    """Return a share in percent: whole from one percent on, "under 1 %", "none", "all"."""
    if count in (0, runs):
        return "all" if count else "none"
    share = Fraction(100 * count, runs)
    if share < 1:
        return "under 1 %"
    return f"{decimal_text(share, 0)} %" if share <= Fraction(199, 2) else "over 99 %"


def _wraps(report: RiskReport, call: Clock) -> list[tuple[str, str, str]]:
    rows: list[tuple[str, int | None]] = [
        ("everything short, foreseen", report.short_s),
        (f"1 {_one(report)} of 10 is over by", report.p10_s),
        (f"half the {_one(report)}s are over by", report.p50_s),
        (f"9 {_one(report)}s of 10 are over by", report.p90_s),
        ("everything long: as planned", report.planned_s),
    ]
    return [
        (label, "-", "a limit cannot be kept") if wrap is None else (label, _clock(call, wrap), minutes_text(wrap))
        for label, wrap in rows
    ]


def _clock(call: Clock, seconds: int) -> str:
    """Return the time of day, up to the next minute."""
    return clock_text(call, -(-seconds // 60) * 60)


def _limits(report: RiskReport, *, colour: bool) -> list[str]:
    if not report.limits:
        return [f"every limit is kept {'in' if report.days else 'on'} every {_one(report)} drawn"]
    rows = [_limit(item, report.runs) for item in report.limits[:_SHOWN]]
    more = len(report.limits) - len(rows)
    head = ("limit that breaks", f"{_one(report)}s", "by, usually", "at worst", "all short")
    return [table(head, rows, colour=colour), *([f"and {more} more"] if more else [])]


def _limit(item: LimitRisk, runs: int) -> tuple[str, ...]:
    usual = minutes_text(item.typical_s) if item.broken else "-"
    worst = minutes_text(item.worst_s) if item.broken else "-"
    return (item.rule, percent(item.broken, runs), usual, worst, "breaks" if item.breaks_short else "kept")


def _ranges(report: RiskReport, *, colour: bool) -> list[str]:
    if not report.ranges:
        return ["no range moves the wrap"]
    rows = [
        (item.label, known_text(item.range), minutes_text(abs(item.swing_s)), decimal_text(item.rank_correlation, 2))
        for item in report.ranges[:_SHOWN]
    ]
    head = ("range that moves the wrap", "range", "by itself", "rank correlation")
    return [table(head, rows, colour=colour)]
