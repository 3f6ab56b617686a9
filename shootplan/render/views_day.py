"""
The shooting order as it is printed: the clock, the step, who, with what, what runs meanwhile, which limits run.

The publication's day rows come in; rows of ready strings go out, times of day counted from call.
"""

from __future__ import annotations

from shootplan.model.day import DayRow, EquipmentPeak, PendingLimit, RowKind
from shootplan.model.planning import SolveResult, SolveStatus
from shootplan.model.show import minutes_text
from shootplan.records import dataclass
from shootplan.render.basis import Basis, step_name
from shootplan.render.day_words import chain_lines, gap_lines, labels_of, look_in_lines, slack_text
from shootplan.render.views_days import first_rows

__all__ = [
    "Explained",
    "OrderRow",
    "PeakRow",
    "ahead_rows",
    "explained",
    "order_rows",
    "peak_rows",
    "proof_text",
    "row_numbers",
    "wrap_text",
]

_KINDS = {"hands": "hands-on", "watch": "stand by", "leave": "left alone", "heat": "oven heats"}
#: A limit with less to spare than this is marked (check 28 of our own list: under 2 minutes).
_TIGHT_S = 120
_SHOWN_LIMITS = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderRow:
    """
    One row of the shooting order.

    ``number`` is empty for look-ins. ``work`` says what kind of time it is and for how long, in words.
    ``limits`` are (sentence, is tight). ``slack`` is how much later it may begin with wrap unmoved, "none" where it
    may not. ``day`` names the day at its first row, where the plan is over several days.
    """

    number: str
    clock: str
    until: str
    is_look_in: bool
    dish: str
    step: str
    is_optional: bool
    work: tuple[str, ...]
    who: str
    equipment: tuple[str, ...]
    look_ins: tuple[str, ...]
    meanwhile: tuple[str, ...]
    limits: tuple[tuple[str, bool], ...]
    cue: str
    shot: str
    caution: str
    slack: str = ""
    day: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PeakRow:
    """The most of one kind of equipment in use at once; ``is_full`` where all there is is used."""

    label: str
    peak: int
    capacity: int
    at: str
    is_full: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Explained:
    """Sentences that explain the day; ``look_ins`` are (person, moments with what)."""

    chain: tuple[str, ...]
    gaps: tuple[str, ...]
    look_ins: tuple[tuple[str, tuple[str, ...]], ...]


def row_numbers(rows: tuple[DayRow, ...]) -> dict[str, int]:
    """Return {activity: number of its row}, steps counted from 1 by the clock; the chart and the list share them."""
    steps = [row for row in rows if row.kind is RowKind.STEP]
    return {activity: number for number, row in enumerate(steps, start=1) for activity in row.activities}


def order_rows(basis: Basis) -> tuple[OrderRow, ...]:
    """Return the day by the clock."""
    rows = basis.publication.day
    numbers = row_numbers(rows)
    days = first_rows(basis.episode, tuple(row.clock_s for row in rows))
    return tuple(_order_row(basis, row, numbers, days.get(number, "")) for number, row in enumerate(rows))


def peak_rows(basis: Basis) -> tuple[PeakRow, ...]:
    """Return the equipment that the cooking alone uses at all, with the most in use at once."""
    return tuple(_peak(basis, peak) for peak in basis.publication.peaks if peak.peak)


def crew_peak_rows(basis: Basis) -> tuple[PeakRow, ...]:
    """Return the same of the day that the crew works by, cameras included where they are planned."""
    filmed = basis.publication.filmed
    return tuple(_peak(basis, peak) for peak in filmed.peaks if peak.peak) if filmed is not None else peak_rows(basis)


def explained(basis: Basis) -> Explained:
    """Return what explains the day: what decides wrap, idle hands, look-ins by person."""
    publication, call = basis.publication, basis.episode.clock
    schedule = publication.plan.schedule
    return Explained(
        chain=chain_lines(publication.chain, labels_of(publication.plan_input), call),
        gaps=gap_lines(publication.gaps, call, schedule.makespan_s if schedule is not None else 0),
        look_ins=look_in_lines(publication.day, call),
    )


def wrap_text(basis: Basis) -> str:
    """Return the time of day at which the last step ends, empty without a plan."""
    schedule = basis.publication.plan.schedule
    return "" if schedule is None else basis.clock(schedule.makespan_s)


def proof_text(result: SolveResult) -> str:
    """Say whether the plan is the shortest, or how far it may be from it."""
    if result.schedule is None:
        return "no plan was found"
    if result.status is SolveStatus.OPTIMAL:
        return "no shorter plan exists"
    return f"a shorter plan may exist; none is under {minutes_text(result.bound_s)}"


def ahead_rows(basis: Basis) -> tuple[tuple[str, str], ...]:
    """Return (dish, work) for everything done before the day; over several days it stands among the rows."""
    if basis.episode.days:
        return ()
    from shootplan.render.views_times import ahead_text

    return tuple(
        (basis.title(times.recipe), ahead_text(work))
        for times in basis.publication.times.recipes
        for work in times.ahead
    )


def _order_row(basis: Basis, row: DayRow, numbers: dict[str, int], day: str) -> OrderRow:
    is_look_in = row.kind is RowKind.LOOK_IN
    is_swapped = row.end_s == row.clock_s and (row.recipe, row.step) in _swapped(basis)
    step = basis.step(row.recipe, row.step)
    shot = step.shot if step is not None and not is_look_in else None
    return OrderRow(
        number="" if is_look_in else str(numbers[row.activities[0]]),
        clock=basis.clock(row.clock_s),
        until=basis.clock(row.end_s),
        is_look_in=is_look_in,
        dish=basis.title(row.recipe),
        step=step_name(row.label),
        is_optional=step is not None and step.is_optional,
        work=("the duplicate comes in",) if is_swapped else () if is_look_in else _work(row),
        who=row.who,
        equipment=row.equipment,
        look_ins=tuple(basis.clock(moment) for moment in row.look_ins),
        meanwhile=tuple(f"{step_name(task.label)} to {basis.clock(task.ends_s)}" for task in row.meanwhile),
        limits=_limits(basis, row),
        cue=step.until if step is not None and not is_look_in and not is_swapped else "",
        shot=", ".join(text for text in (shot.set_up, shot.framing) if text) if shot is not None else "",
        caution=step.caution if step is not None and not is_look_in and not is_swapped else "",
        slack="" if is_look_in else slack_text(row.slack_s),
        day=day,
    )


def _swapped(basis: Basis) -> set[tuple[str, str]]:
    return {(item.recipe, item.step) for item in basis.episode.swap_outs}


def _work(row: DayRow) -> tuple[str, ...]:
    """Return each kind of work with its length, pieces of broken-off work added together."""
    lengths: dict[str, int] = {}
    for part in row.parts:
        lengths[part.kind] = lengths.get(part.kind, 0) + part.end_s - part.start_s
    pieces = sum(part.kind == "hands" for part in row.parts)
    broken = f" in {pieces} pieces" if pieces > 1 else ""
    return tuple(
        f"{_KINDS.get(kind, kind)} {minutes_text(length)}{broken if kind == 'hands' else ''}"
        for kind, length in lengths.items()
    )


def _limits(basis: Basis, row: DayRow) -> tuple[tuple[str, bool], ...]:
    """Return what must happen next and by when: each thing once, under its earliest limit, the rest counted."""
    ahead: dict[str, PendingLimit] = {}
    for limit in row.limits:
        if limit.planned_s >= row.clock_s:
            ahead.setdefault(limit.successor, limit)
    found = [_limit(basis, limit) for limit in list(ahead.values())[:_SHOWN_LIMITS]]
    more = len(ahead) - len(found)
    return (*found, (f"and {more} later", False)) if more else tuple(found)


def _limit(basis: Basis, limit: PendingLimit) -> tuple[str, bool]:
    labels = {item.id: item.label for item in basis.publication.plan_input.activities}
    spare = f"{minutes_text(limit.to_spare_s)} to spare" if limit.to_spare_s else "nothing to spare"
    what = step_name(labels.get(limit.successor, limit.rule))
    return f"{what} by {basis.clock(limit.latest_s)}, {spare}", limit.to_spare_s < _TIGHT_S


def _peak(basis: Basis, peak: EquipmentPeak) -> PeakRow:
    return PeakRow(
        label=peak.label,
        peak=peak.peak,
        capacity=peak.capacity,
        at=basis.clock(peak.at_s),
        is_full=peak.peak >= peak.capacity,
    )
