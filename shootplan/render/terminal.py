"""
The views of the terminal: times, costs, the day, and what a build wrote, as aligned plain text.

Computed values come in, text without a line feed at the end goes out; colour is the caller's business.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from shootplan.model.day import DayRow, EquipmentPeak, IdleGap, RowKind
from shootplan.model.planning import ChainLink, PlanInput, Schedule, SolveResult
from shootplan.model.publication import Publication
from shootplan.model.resolved import ResolvedEpisode
from shootplan.model.show import clock_text, minutes_text, range_text, running_text
from shootplan.model.times import EpisodeTimes
from shootplan.render.basis import step_name
from shootplan.render.costs_text import costs_view
from shootplan.render.day_bars import day_bars
from shootplan.render.day_words import chain_lines, gap_lines, labels_of, look_in_lines, slack_text
from shootplan.render.money import MoneyPrinter
from shootplan.render.plan_json import costs_json, day_json, times_json
from shootplan.render.table_text import bold, table
from shootplan.render.views_day import proof_text, row_numbers
from shootplan.render.views_days import day_name
from shootplan.render.views_shopping import shopping_json, shopping_view
from shootplan.render.views_times import ahead_text, episode_times, exact_times

__all__ = [
    "build_view",
    "chain_view",
    "costs_json",
    "costs_view",
    "day_json",
    "day_view",
    "explained_view",
    "printer_of",
    "shopping_json",
    "shopping_view",
    "times_json",
    "times_view",
]


def printer_of(resolved: ResolvedEpisode, places: int) -> MoneyPrinter:
    """Return what prints money in the episode's currency and locale."""
    return MoneyPrinter(resolved.episode.currency, resolved.episode.locale, places)


def times_view(resolved: ResolvedEpisode, times: EpisodeTimes, *, colour: bool = False) -> str:
    """Return active, passive and elapsed time of each recipe and of the episode."""
    rows = []
    for item in times.recipes:
        active, passive, elapsed = exact_times(item)
        rows.append((item.recipe, active, passive, elapsed, "shortest" if item.is_proven else "not proven"))
    active, free, elapsed = episode_times(times)
    rows.append(("all in one go", active, free, elapsed, "shortest" if times.is_proven else "not proven"))
    head = ("recipe", "hands-on", "waiting", "start to table", "plan")
    lines = [table(head, rows, colour=colour)]
    alone = range_text(times.sum_elapsed.low_s, times.sum_elapsed.high_s)
    lines.append(f"one after the other: {alone}")
    for item in times.recipes:
        lines += [f"before the day: {item.recipe}: {ahead_text(work)}" for work in item.ahead]
        lines += [f"no time is known for: {item.recipe}: {step}" for step in item.unknown]
    return "\n".join(lines)


def day_view(
    resolved: ResolvedEpisode,
    result: SolveResult,
    rows: Sequence[DayRow],
    peaks: Sequence[EquipmentPeak] = (),
    *,
    colour: bool = False,
) -> str:
    """
    Return the day by the clock: step, who, equipment, what runs meanwhile, limits, then the peaks.

    Slack is how much later a step may begin with the plan's order kept and the wrap unmoved.
    """
    call = resolved.episode.clock
    numbers = row_numbers(tuple(rows))
    wrap = clock_text(call, result.schedule.makespan_s) if result.schedule is not None else "unknown"
    head = ("no", "clock", "to", "slack", "recipe: step", "who", "with", "meanwhile")
    body = []
    for row in rows:
        is_look_in = row.kind is RowKind.LOOK_IN
        body.append(
            (
                "" if is_look_in else str(numbers[row.activities[0]]),
                clock_text(call, row.clock_s),
                clock_text(call, row.end_s),
                slack_text(None if is_look_in else row.slack_s),
                f"{row.recipe}: look in: {step_name(row.label)}" if is_look_in else row.label,
                row.who or "-",
                ", ".join(row.equipment) or "-",
                "; ".join(f"{step_name(task.label)} to {clock_text(call, task.ends_s)}" for task in row.meanwhile)
                or "-",
            )
        )
    lines = [f"call {clock_text(call, 0)}, wrap {wrap} ({proof_text(result)})"]
    lines += [f"on {day_name(day)}" for day in resolved.episode.days]
    lines.append(table(head, body, colour=colour))
    lines += _limits(resolved, rows)
    lines += _peaks(resolved, peaks)
    return "\n".join(lines)


def chain_view(resolved: ResolvedEpisode, plan_input: PlanInput, chain: Sequence[ChainLink]) -> str:
    """Return what decides wrap: every link with its time and what it waited for, people and gear included (T10)."""
    lines = chain_lines(chain, labels_of(plan_input), resolved.episode.clock)
    return "\n".join(["what decides wrap, link by link:", *(f"  {line}" for line in lines)])


def explained_view(
    resolved: ResolvedEpisode,
    plan_input: PlanInput,
    schedule: Schedule,
    rows: Sequence[DayRow],
    gaps: Sequence[IdleGap],
) -> str:
    """Return the day as bars, idle hands with what would fit, and look-ins by person."""
    call = resolved.episode.clock
    lines = [day_bars(plan_input, schedule, rows, call)]
    lines += gap_lines(gaps, call, schedule.makespan_s)
    lines += [f"{name} looks in: {', '.join(moments)}" for name, moments in look_in_lines(rows, call)]
    return "\n".join(lines)


def build_view(publication: Publication, *, folder: str, kept_aside: Iterable[str] = (), colour: bool = False) -> str:
    """Return what a build says: the figures at a glance, where the documents are, what was kept aside."""
    resolved, costs = publication.resolved, publication.costs
    refused = [verdict.claim.text for verdict in costs.verdicts if not verdict.is_allowed]
    active, _, elapsed = episode_times(publication.times)
    schedule = publication.plan.schedule
    call = resolved.episode.clock
    wrap = clock_text(call, schedule.makespan_s) if schedule is not None else "unknown"
    lines = [
        bold(resolved.episode.title, colour=colour),
        f"call {clock_text(call, 0)}, wrap {wrap} ({proof_text(publication.plan)})",
        f"hands-on {active}, start to table {elapsed}, video {running_text(publication.cut.length_ms)}",
        f"claims: {len(costs.verdicts) - len(refused)} of {len(costs.verdicts)} may be said",
    ]
    lines += [f"refused: {text}" for text in refused]
    lines += [f"findings: {len(publication.findings)} (see index.html)"] if publication.findings else []
    lines += [f"changed by hand, kept as {path}" for path in kept_aside]
    lines.append(f"written to {folder}")
    return "\n".join(lines)


def _limits(resolved: ResolvedEpisode, rows: Sequence[DayRow]) -> list[str]:
    call = resolved.episode.clock
    limits = dict.fromkeys(limit for row in rows for limit in row.limits)
    return [
        f"limit {clock_text(call, item.latest_s)}: {item.rule} ({minutes_text(item.to_spare_s)} to spare)"
        for item in sorted(limits, key=lambda item: (item.latest_s, item.rule))
    ]


def _peaks(resolved: ResolvedEpisode, peaks: Sequence[EquipmentPeak]) -> list[str]:
    call = resolved.episode.clock
    return [
        f"at once: {peak.peak} of {peak.capacity} {peak.label}, first at {clock_text(call, peak.at_s)}"
        for peak in peaks
        if peak.peak
    ]
