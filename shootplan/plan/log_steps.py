"""
Which run of the plan each line of the day's log means, and when on the plan's clock.

Lines in the user's words come in; events on the clock that starts at call go out, and problems. Over several days a
line without a date is of the day of the line before it; what could be of more than one day is refused.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date, datetime, time, timedelta

from shootplan.model.clock import Clock
from shootplan.model.replanning import LogEvent, LogLine, Run
from shootplan.problems import Problem, Severity, did_you_mean
from shootplan.records import dataclass

__all__ = ["LogClock", "events_of", "from_call", "now_of", "with_days"]

_HALF_DAY_S, _DAY_S = 12 * 3600, 24 * 3600
#: A line so much earlier than one before it was noted late; more, and it may be of the next day.
_NOTED_LATE_S = 3600


def from_call(clock_s: int, call: time) -> int:
    """Return seconds from call for a time of day: up to twelve hours before call, else after it."""
    seconds = clock_s - (call.hour * 3600 + call.minute * 60 + call.second)
    return seconds + _DAY_S if seconds < -_HALF_DAY_S else seconds


@dataclass(frozen=True, slots=True)
class LogClock:
    """Second 0 of the plan, and the dates on which somebody is there, in order."""

    begins: Clock
    days: tuple[date, ...]

    @property
    def has_days(self) -> bool:
        """Whether a time of day alone may be of more than one day."""
        return len(self.days) > 1

    def moment_s(self, line: LogLine) -> int | None:
        """Return when a line happened, ``None`` if it tells no time; its day is the only one if it tells none."""
        if line.clock_s is None:
            return None
        call = self.begins.time() if isinstance(self.begins, datetime) else self.begins
        if line.on is None:
            return from_call(line.clock_s, call)
        at = datetime.combine(line.on, time()) + timedelta(seconds=line.clock_s)
        return round((at - datetime.combine(self.days[0], call)).total_seconds())

    def knows(self, on: date) -> bool:
        """Whether a date is one of the days, or between them, or the night after or before them."""
        return self.days[0] - timedelta(days=1) <= on <= self.days[-1] + timedelta(days=1)

    def date_of(self, moment_s: int) -> date:
        """Return the date of a moment."""
        call = self.begins.time() if isinstance(self.begins, datetime) else self.begins
        return (datetime.combine(self.days[0], call) + timedelta(seconds=moment_s)).date()


# ---------------------------------------------------------------------------------------------------- days


def with_days(
    lines: Iterable[LogLine], clock: LogClock, now_s: int | None = None
) -> tuple[tuple[LogLine, ...], tuple[Problem, ...]]:
    """
    Return the lines with the day of each, and those whose day is not clear or none of the plan's as problems.

    Parameters
    ----------
    lines
        In the order of the file; what ``is_now`` is of the day of this moment.
    clock
        The days.
    now_s
        This moment, where it is known: on the first day nothing can be of another one.
    """
    found, problems = list[LogLine](), list[Problem]()
    today = clock.date_of(now_s) if now_s is not None else None
    day = today if today is not None and today <= clock.days[0] else None
    latest_s: int | None = None
    for line in lines:
        if line.on is not None and not clock.knows(line.on):
            problems.append(_no_day(line, clock))
            continue
        if not clock.has_days or line.clock_s is None:
            found.append(line)
            continue
        known = line.on or (today if line.is_now else day)
        dated = replace(line, on=known)
        at_s = clock.moment_s(dated)
        is_back = line.on is None and at_s is not None and latest_s is not None and at_s < latest_s - _NOTED_LATE_S
        if known is None or (is_back and not line.is_now):
            problems.append(_unclear(line, clock))
            continue
        if not line.is_now:
            day, latest_s = known, max(at_s or 0, latest_s if latest_s is not None else at_s or 0)
        found.append(dated)
    return tuple(found), tuple(problems)


def now_of(at: LogLine, lines: Sequence[LogLine], clock: LogClock) -> int | Problem:
    """
    Return this moment in seconds from call.

    A time without a date is on the day of the last dated line of the log, and after that line.
    """
    assert at.clock_s is not None
    if at.on is not None and not clock.knows(at.on):
        return _no_day(at, clock)
    if at.on is None and clock.has_days:
        known, _ = with_days([line for line in lines if not line.is_now], clock)
        told = [(clock.moment_s(line) or 0, line.on) for line in known if line.on is not None]
        latest_s, day = max(told, default=(0, None))
        at = replace(at, on=day)
        if day is None or (clock.moment_s(at) or 0) < latest_s:
            return _unclear(replace(at, on=None), clock)
    return clock.moment_s(at) or 0


def _unclear(line: LogLine, clock: LogClock) -> Problem:
    days = ", ".join(day.isoformat() for day in clock.days)
    text = _time_text(line)
    message = f"{text} may be of any of the days {days}"
    hint = f'write the date before it, as in "{clock.days[-1].isoformat()} {text}"'
    return Problem(span=line.span, code="log-day-unclear", message=message, hint=hint)


def _no_day(line: LogLine, clock: LogClock) -> Problem:
    days = ", ".join(day.isoformat() for day in clock.days)
    message = f"{line.on} is none of the days of the episode"
    return Problem(span=line.span, code="log-day-unclear", message=message, hint=f"write one of {days}")


def _time_text(line: LogLine) -> str:
    hours, rest = divmod(line.clock_s or 0, 3600)
    return f"{hours:02d}:{rest // 60:02d}"


# ---------------------------------------------------------------------------------------------------- steps


def events_of(
    lines: Iterable[LogLine], runs: Sequence[Run], *, clock: LogClock, now_s: int
) -> tuple[tuple[LogEvent, ...], tuple[Problem, ...]]:
    """
    Return the events that the lines tell; a line without a time happened now, one after now is passed over.

    A step is named by its words after the recipe's id, in any case of letters; a part of the name is enough where it
    fits one step only. Each line has its day already where there are several (``with_days``).
    """
    events, problems = [], []
    for line in lines:
        run = _find(line, runs)
        if isinstance(run, Problem):
            problems.append(run)
            continue
        told_s = clock.moment_s(line)
        at_s = now_s if told_s is None else told_s
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
