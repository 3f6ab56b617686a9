"""
The rest of the day in words for the terminal, and for machines.

A ``Replan`` comes in; text or plain values for JSON go out.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from shootplan.model.clock import Clock
from shootplan.model.day import DayRow
from shootplan.model.planning import SolveStatus
from shootplan.model.replanning import BrokenLimit, DayWrap, Move, Replan, RunState, StepMinutes
from shootplan.model.resolved import ResolvedEpisode
from shootplan.model.show import clock_text, join_words, minutes_text, range_text
from shootplan.render.encode import encode
from shootplan.render.table_text import bold, table

__all__ = ["measured_json", "measured_view", "replan_json", "replan_view", "wrap_words"]


#: From so many steps on that shift alike they are told in one line; so many overtaken steps are named.
_MANY, _NAMED = 3, 2
#: So many steps that nobody told of are named.
_UNTOLD = 5


def wrap_words(answer: Replan) -> str:
    """Return how the new wrap compares with the plan before: "12 min later", "as planned"."""
    change = answer.wrap_s - answer.old_wrap_s
    return _change(change) if abs(change) >= 60 else "as planned"


def replan_view(resolved: ResolvedEpisode, answer: Replan, *, colour: bool = False) -> str:
    """Return the new wrap, what comes next, what runs, which limits run out, what breaks and what moved."""
    call = resolved.episode.clock
    head = f"{clock_text(call, answer.now_s)}: wrap {clock_text(call, answer.wrap_s)}, {wrap_words(answer)}"
    lines = [bold(head, colour=colour) + _proof(answer)]
    lines += [
        _day(day, closes_s, call)
        for day, (_, closes_s) in zip(answer.days, resolved.episode.staffed_s, strict=False)
        if closes_s > answer.now_s or (day.wrap_s or 0) > answer.now_s
    ]
    lines += [f"CANNOT BE KEPT: {_broken(item)}" for item in answer.broken]
    lines += _next(resolved, answer, colour=colour)
    lines += [f"running: {task.label} to {clock_text(call, task.ends_s)}" for task in answer.running]
    labels = {item.id: item.label or item.id for item in answer.plan_input.activities}
    lines += [f"look in {clock_text(call, at)}: {labels[name]} ({who})" for at, name, who in answer.look_ins]
    lines += _limits(answer, call)
    lines += _untold(answer, call)
    lines += _moves(answer.moves, call)
    lines += [f"note: {note}" for note in answer.notes]
    return "\n".join(lines)


def _day(day: DayWrap, closes_s: int, call: Clock) -> str:
    """Return how a day to come ends: "Fri: wrap 15:40, 10 min later (the kitchen closes at 16:00)"."""
    name, closes = clock_text(call, day.opens_s).split(" ")[1], clock_text(call, closes_s).split(" ")[0]
    if day.wrap_s is None:
        return f"{name}: nothing is left to do" if day.old_wrap_s is not None else f"{name}: nothing to do"
    change = day.wrap_s - day.old_wrap_s if day.old_wrap_s is not None else None
    how = "nothing was planned" if change is None else _change(change) if abs(change) >= 60 else "as planned"
    return f"{name}: wrap {clock_text(call, day.wrap_s).split(' ')[0]}, {how} (the kitchen closes at {closes})"


def _proof(answer: Replan) -> str:
    if answer.status is SolveStatus.OPTIMAL:
        return " (no plan is shorter)" if not answer.broken else " (no plan is less late)"
    return " (perhaps not the shortest)"


def _next(resolved: ResolvedEpisode, answer: Replan, *, colour: bool) -> list[str]:
    if not answer.next_rows:
        return ["nothing is left to begin"]
    call = resolved.episode.clock
    rows = [
        (
            clock_text(call, row.clock_s),
            row.label,
            row.who or "-",
            _position(resolved, answer, row) or "-",
            ", ".join(row.equipment) or "-",
        )
        for row in answer.next_rows
    ]
    return [table(("next", "recipe: step", "who", "camera", "with"), rows, colour=colour)]


def _position(resolved: ResolvedEpisode, answer: Replan, row: DayRow) -> str:
    """Return where the camera stands for a row, empty if it is not filmed."""
    films = [item.film for item in answer.plan_input.activities if item.id in row.activities and item.film is not None]
    if films or answer.plan_input.cameras:
        return films[0].position if films else ""
    found = resolved.recipe(row.recipe)
    step = found.recipe.step(row.step) if found is not None else None
    return step.shot.set_up if step is not None and step.shot is not None else ""


def _broken(item: BrokenLimit) -> str:
    return f"{item.rule}: {minutes_text(item.late_s)} over" if item.late_s else item.rule


def _limits(answer: Replan, call: Clock) -> list[str]:
    found = []
    for limit in answer.limits:
        spare = f"{minutes_text(limit.to_spare_s)} to spare" if limit.to_spare_s >= 0 else "too late"
        left = limit.latest_s - answer.now_s
        runs_out = f"runs out in {minutes_text(left)}" if left > 0 else "has run out"
        found.append(f"limit {clock_text(call, limit.latest_s)} {runs_out}: {limit.rule} ({spare})")
    return found


def _untold(answer: Replan, call: Clock) -> list[str]:
    """Return what was planned to be begun by now and nobody told of: who forgot to tell it is not misled."""
    names = [move.label for move in answer.moves if move.old_s < answer.now_s <= move.new_s]
    if not names:
        return []
    more = len(names) - _UNTOLD
    shown = join_words([*names[:_UNTOLD], f"{more} more"] if more > 0 else names)
    return [f"not told of by {clock_text(call, answer.now_s)}, so still to do: {shown}"]


def _moves(moves: Sequence[Move], call: Clock) -> list[str]:
    """Return what moved: what changed its place in the order singly, what only shifted with the rest together."""
    if not moves:
        return ["nothing moved"]
    shifted: dict[int, list[Move]] = {}
    found = []
    for move in moves:
        if move.overtakes:
            found.append(_move(move, call))
        else:
            shifted.setdefault(round((move.new_s - move.old_s) / 60), []).append(move)
    for group in shifted.values():
        found += [_move(move, call) for move in group] if len(group) < _MANY else [_together(group, call)]
    return found


def _move(move: Move, call: Clock) -> str:
    reason = f", {move.because.removeprefix(move.label).strip()}" if move.because else ""
    before = ""
    if move.overtakes:
        named = list(move.overtakes[:_NAMED])
        more = len(move.overtakes) - len(named)
        before = f", now before {join_words([*named, f'{more} more'] if more else named)}"
    times = f"{clock_text(call, move.old_s)} → {clock_text(call, move.new_s)}"
    return f"moved: {move.label} {times} ({_change(move.new_s - move.old_s)}{reason}{before})"


def _together(group: Sequence[Move], call: Clock) -> str:
    """Return one line for steps that all shift by the same minutes, with the reason of the first that has one."""
    first, last = group[0], group[-1]
    reasons = (f"; {move.label} {move.because.removeprefix(move.label).strip()}" for move in group if move.because)
    reason = next(reasons, "")
    since, until = clock_text(call, first.new_s), clock_text(call, last.new_s)
    change = _change(first.new_s - first.old_s)
    return f"moved: {len(group)} steps {change}, {first.label} ({since}) to {last.label} ({until}){reason}"


def _change(seconds: int) -> str:
    if abs(seconds) < 60:
        return "same time"
    return f"{minutes_text(abs(seconds))} {'later' if seconds > 0 else 'earlier'}"


def replan_json(resolved: ResolvedEpisode, answer: Replan) -> dict[str, Any]:
    """Return the rest of the day for machines, seconds from call; that of several days with the date of the call."""
    begins = {"begins": answer.plan_input.begins.isoformat()} if answer.plan_input.begins is not None else {}
    return {
        "schema_version": 1,
        "call": resolved.episode.call_time.isoformat(),
        **begins,
        **({"days": encode(answer.days)} if answer.days else {}),
        "now_s": answer.now_s,
        "wrap_s": answer.wrap_s,
        "old_wrap_s": answer.old_wrap_s,
        "bound_s": answer.bound_s,
        "status": answer.status.value,
        "states": {run: state.value for run, state in answer.states if state is not RunState.AHEAD},
        "next": encode(answer.next_rows),
        "running": encode(answer.running),
        "limits": encode(answer.limits),
        "look_ins": encode(answer.look_ins),
        "moves": encode(answer.moves),
        "broken": encode(answer.broken),
        "notes": list(answer.notes),
        "assignments": encode(answer.schedule.assignments),
    }


def measured_view(found: Sequence[StepMinutes], *, colour: bool = False) -> str:
    """Return planned against real minutes, then the ranges that a recipe would have to say to hold both."""
    if not found:
        return "the log tells no step from beginning to end"
    rows = [
        (item.label, item.field, range_text(item.low_s, item.high_s), minutes_text(item.real_s), _verdict(item))
        for item in found
    ]
    lines = [table(("recipe: step", "field", "planned", "real", ""), rows, colour=colour)]
    outside = [item for item in found if item.is_outside]
    if outside:
        lines.append("ranges that hold what was measured too (one day is one test; nothing is written for you):")
    lines += [f"  {item.label}  - {item.field}: {range_text(item.new_low_s, item.new_high_s)}" for item in outside]
    return "\n".join(lines)


def _verdict(item: StepMinutes) -> str:
    if not item.is_outside:
        return "within"
    return "shorter" if item.real_s < item.low_s else "longer"


def measured_json(found: Sequence[StepMinutes]) -> dict[str, Any]:
    """Return planned against real seconds for machines."""
    return {
        "schema_version": 1,
        "steps": [{**encode(item), "is_outside": item.is_outside} for item in found],
    }
