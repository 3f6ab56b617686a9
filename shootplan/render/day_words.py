"""
What explains a planned day, in words: what decides wrap, slack, idle hands, look-ins by person.

The day's values and its call come in, short sentences go out; terminal, pages and JSON share them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from shootplan.model.clock import Clock
from shootplan.model.day import DayRow, IdleGap, RowKind
from shootplan.model.planning import ChainLink, PlanInput
from shootplan.model.show import clock_text, join_words, minutes_text
from shootplan.render.basis import step_name

__all__ = ["chain_lines", "gap_lines", "labels_of", "look_in_lines", "slack_text"]


def labels_of(plan_input: PlanInput) -> dict[str, str]:
    """Return {activity: its words}."""
    return {activity.id: activity.label or activity.id for activity in plan_input.activities}


def chain_lines(chain: Sequence[ChainLink], labels: Mapping[str, str], call: Clock) -> tuple[str, ...]:
    """Return a sentence for each link, the first one first: when, what, and what its start waited for (rule T10)."""
    lines = []
    for link in chain:
        label = labels[link.activity]
        because = link.because.removeprefix(label).strip()
        lines.append(f"{clock_text(call, link.start_s)} {label}" + (f", {because}" if because else ""))
    return tuple(lines)


def gap_lines(gaps: Sequence[IdleGap], call: Clock, wrap_s: int) -> tuple[str, ...]:
    """Return a sentence for each stretch in which somebody has nothing to do, and what would fit in it."""
    lines = []
    for gap in gaps:
        if gap.start_s == 0 and gap.end_s == wrap_s:
            lines.append(f"{gap.worker} has nothing to do from call to wrap")
            continue
        length = minutes_text(gap.end_s - gap.start_s)
        fits = f"; would fit: {join_words(gap.fits)}" if gap.fits else ""
        clock = f"{clock_text(call, gap.start_s)}–{clock_text(call, gap.end_s)}"
        lines.append(f"{clock} {gap.worker} has nothing to do for {length}{fits}")
    return tuple(lines)


def look_in_lines(rows: Sequence[DayRow], call: Clock) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return for each person who looks in on something (name, moments with what), by name."""
    found: dict[str, list[str]] = {}
    for row in rows:
        if row.kind is RowKind.LOOK_IN:
            length = minutes_text(row.end_s - row.clock_s)
            found.setdefault(row.who, []).append(f"{clock_text(call, row.clock_s)} {step_name(row.label)} ({length})")
    return tuple((name, tuple(found[name])) for name in sorted(found))


def slack_text(seconds: int | None) -> str:
    """Return how much later a step may begin with wrap unmoved: "none" on the chain that decides it."""
    if seconds is None:
        return ""
    return minutes_text(seconds) if seconds else "none"
