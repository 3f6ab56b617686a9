"""
Ranges and risk in words: when the day wraps, which limits break and how often, which ranges matter.

A ``RiskReport`` comes in, text for the terminal and a record for machines go out.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from shootplan.model.clock import Clock
from shootplan.model.risk import LimitRisk, RiskReport, Spread
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
    spread = _SPREADS[report.spread]
    lines = [
        f"{report.runs} days drawn (seed {report.seed}), each time on its own, {spread}",
        table(("wrap", "clock", "the day lasts"), _wraps(report, call), colour=colour),
    ]
    if report.latest_s is not None:
        latest = clock_text(call, report.latest_s)
        lines.append(f"after the latest wrap {latest}: {percent(report.late, report.runs)} of the days")
    lines += ["", *_limits(report, colour=colour), "", *_ranges(report, colour=colour), "", _HOW]
    return "\n".join(lines)


def risk_json(report: RiskReport) -> dict[str, Any]:
    """Return the report for machines, seconds from call."""
    return {"schema_version": 1, **encode(report)}


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
        ("1 day of 10 is over by", report.p10_s),
        ("half the days are over by", report.p50_s),
        ("9 days of 10 are over by", report.p90_s),
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
        return ["every limit is kept on every day drawn"]
    rows = [_limit(item, report.runs) for item in report.limits[:_SHOWN]]
    more = len(report.limits) - len(rows)
    head = ("limit that breaks", "days", "by, usually", "at worst", "all short")
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
