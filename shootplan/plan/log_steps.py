"""
Which run of the plan each line of the day's log means, and when on the plan's clock.

Lines in the user's words come in; events on the clock that starts at call go out, and problems.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import time

from shootplan.model.replanning import LogEvent, LogLine, Run
from shootplan.problems import Problem, Severity, did_you_mean

__all__ = ["events_of", "from_call"]

_HALF_DAY_S, _DAY_S = 12 * 3600, 24 * 3600


def from_call(clock_s: int, call: time) -> int:
    """Return seconds from call for a time of day: up to twelve hours before call, else after it."""
    seconds = clock_s - (call.hour * 3600 + call.minute * 60 + call.second)
    return seconds + _DAY_S if seconds < -_HALF_DAY_S else seconds


def events_of(
    lines: Iterable[LogLine], runs: Sequence[Run], *, call: time, now_s: int
) -> tuple[tuple[LogEvent, ...], tuple[Problem, ...]]:
    """
    Return the events that the lines tell; a line without a time happened now, one after now is passed over.

    A step is named by its words after the recipe's id, in any case of letters; a part of the name is enough where it
    fits one step only.
    """
    events, problems = [], []
    for line in lines:
        run = _find(line, runs)
        if isinstance(run, Problem):
            problems.append(run)
            continue
        at_s = now_s if line.clock_s is None else from_call(line.clock_s, call)
        if at_s > now_s:
            message = f'"{line.step}" is logged after the moment that is asked for and is passed over'
            problems.append(Problem(span=line.span, code="log-ahead", message=message, severity=Severity.WARNING))
            continue
        events.append(LogEvent(kind=line.kind, run=run.id, at_s=at_s, late_s=line.late_s))
    return tuple(events), tuple(problems)


def _find(line: LogLine, runs: Sequence[Run]) -> Run | Problem:
    wanted = " ".join(line.step.casefold().split())
    for test in (_is_label, _is_name, _is_part):
        found = [run for run in runs if test(wanted, run)]
        if len(found) == 1:
            return found[0]
        if found:
            names = ", ".join(f'"{run.label}"' for run in found[:6])
            message = f'"{line.step}" may be any of {names}'
            hint = "write more of the name, the recipe before a colon, or the batch"
            return Problem(span=line.span, code="log-step-ambiguous", message=message, hint=hint)
    labels = [run.label for run in runs]
    hint = did_you_mean(line.step, [*labels, *(_name(run) for run in runs)]) or "write the step as the plan names it"
    return Problem(span=line.span, code="log-step-unknown", message=f'no step is "{line.step}"', hint=hint)


def _is_label(wanted: str, run: Run) -> bool:
    return wanted in (run.label.casefold(), run.id.casefold())


def _is_name(wanted: str, run: Run) -> bool:
    return wanted == _name(run).casefold()


def _is_part(wanted: str, run: Run) -> bool:
    return wanted in run.label.casefold()


def _name(run: Run) -> str:
    return run.label.partition(": ")[2] or run.label
