"""
The use cases of the day itself: the rest of the day from what happened, and planned against real minutes.

A loaded episode and what was logged come in, values go out; nothing is printed here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from shootplan.app import Loaded, day_input
from shootplan.app.following import follow
from shootplan.model.day import DayRow
from shootplan.model.planning import PlanInput, Schedule
from shootplan.model.replanning import LogEvent, LogLine, Replan, Run, RunState, StepMinutes
from shootplan.problems import InputError, Problem, Span
from shootplan.records import dataclass

if TYPE_CHECKING:
    from shootplan.plan.log_steps import LogClock

__all__ = [
    "Replanned",
    "log_events",
    "measure",
    "moment_of",
    "read_log",
    "read_words",
    "replan_day",
    "rest_of_day",
    "rows_of_day",
    "run_states",
    "runs_of_day",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Replanned:
    """The rest of the day and the warnings about its log."""

    replan: Replan
    problems: tuple[Problem, ...] = ()


def read_log(path: str | Path) -> tuple[tuple[LogLine, ...], tuple[Problem, ...]]:
    """
    Return the lines of a log file and what cannot be read of it.

    Raises
    ------
    InputError
        If the file is not UTF-8 text.
    OSError
        If it cannot be opened.
    """
    from shootplan.app import DiskFiles
    from shootplan.read.day_log import read_day_log

    try:
        text = DiskFiles().text(str(path))
    except UnicodeDecodeError as error:
        message = f'"{path}" is not UTF-8 text (byte {error.start})'
        problem = Problem(span=Span(str(path)), code="file-unreadable", message=message, hint="save the file as UTF-8")
        raise InputError((problem,)) from error
    return read_day_log(text, str(path))


def moment_of(loaded: Loaded, text: str, option: str) -> int:
    """
    Return the seconds from call of a time of day on the command line; over several days of the first, unless it says.

    Raises
    ------
    InputError
        If it is no time of day, or of none of the days.
    """
    from shootplan.plan.log_steps import now_of
    from shootplan.read.day_log import read_at

    clock, read = _log_clock(loaded), read_at(text, option)
    if isinstance(read, LogLine) and read.on is None and clock.has_days:
        read = replace(read, on=clock.days[0])
    found = now_of(read, (), clock) if isinstance(read, LogLine) else read
    if isinstance(found, Problem):
        raise InputError((found,))
    return found


def read_words(
    *, done: Iterable[str], running: Iterable[str], late: Iterable[str], swapped: Iterable[str]
) -> tuple[tuple[LogLine, ...], tuple[Problem, ...]]:
    """Return what is told in words on the command line, as lines of a log."""
    from shootplan.read.day_log import read_told

    return read_told(done=done, running=running, late=late, swapped=swapped)


def log_events(
    loaded: Loaded, plan_input: PlanInput, lines: Sequence[LogLine], now_s: int
) -> tuple[tuple[LogEvent, ...], tuple[Problem, ...]]:
    """Return the events that the lines, each with its day, tell of the plan, and problems with them."""
    from shootplan.plan.happened import runs_of
    from shootplan.plan.log_steps import events_of

    return events_of(lines, runs_of(plan_input), clock=_log_clock(loaded), now_s=now_s)


def _log_clock(loaded: Loaded) -> LogClock:
    from shootplan.plan.log_steps import LogClock

    episode = loaded.episode
    return LogClock(episode.clock, tuple(day.on for day in episode.days) or (episode.shoot_date,))


def replan_day(
    loaded: Loaded,
    folder: str | Path,
    *,
    at: str,
    lines: Sequence[LogLine] = (),
    problems: Sequence[Problem] = (),
    is_filmed: bool = False,
    progress: Callable[[str], None] | None = None,
) -> Replanned:
    """
    Return the rest of the day, or of all days of the episode, from the time of day ``at``.

    Over several days ``at`` has the date before it, unless the log tells the day.

    Raises
    ------
    InputError
        If ``at`` is no time, the day of something is not clear, or the log names steps that are not there; with all
        ``problems`` of reading it.
    InfeasiblePlan
        If the day cannot be planned at all.
    """
    from shootplan.plan.log_steps import now_of, with_days
    from shootplan.plan.replan import replan
    from shootplan.read.day_log import read_at

    clock, read = _log_clock(loaded), read_at(at, "--at")
    now = now_of(read, lines, clock) if isinstance(read, LogLine) else read
    if isinstance(now, Problem):
        _, more = with_days((line for line in lines if not line.is_now), clock)
        raise InputError((*problems, now, *more))
    lines, unclear = with_days(lines, clock, now)
    followed = follow(loaded, Path(folder), is_filmed=is_filmed, progress=progress)
    events, more = log_events(loaded, followed.plan_input, lines, now)
    problems = (*problems, *unclear, *more)
    if any(item.is_error for item in problems):
        raise InputError(problems)
    answer = replan(followed.plan_input, followed.schedule, events, now_s=now)
    return Replanned(replan=answer, problems=tuple(problems))


def measure(
    loaded: Loaded, lines: Sequence[LogLine], problems: Sequence[Problem] = ()
) -> tuple[tuple[StepMinutes, ...], tuple[Problem, ...]]:
    """
    Return planned against real minutes of each step that the log tells in full.

    Raises
    ------
    InputError
        If the log cannot be read or names steps that are not there.
    """
    from shootplan.plan.log_steps import with_days
    from shootplan.plan.measured import measured_minutes

    plan_input = day_input(loaded)
    lines, unclear = with_days(lines, _log_clock(loaded))
    events, more = log_events(loaded, plan_input, lines, 10**9)
    problems = (*problems, *unclear, *more)
    if any(item.is_error for item in problems):
        raise InputError(problems)
    return measured_minutes(plan_input, events), problems


# ---------------------------------------------------------------------------------------------------- for the board


def runs_of_day(plan_input: PlanInput) -> tuple[Run, ...]:
    """Return what can be begun and done on the day, in the order of the plan's input."""
    from shootplan.plan.happened import runs_of

    return runs_of(plan_input)


def run_states(
    plan_input: PlanInput, schedule: Schedule, events: Iterable[LogEvent], now_s: int
) -> dict[str, RunState]:
    """Return how far each run is, without planning anything."""
    from shootplan.plan.happened import happened, opened_early, runs_of

    told = tuple(event for event in events if event.at_s <= now_s)
    known = happened(opened_early(plan_input, told), schedule, told, now_s)
    return {run.id: known.state(run) for run in runs_of(plan_input)}


def rest_of_day(plan_input: PlanInput, schedule: Schedule, events: Iterable[LogEvent], now_s: int) -> Replan:
    """
    Return the rest of the day, as ``plan.replan`` does.

    Raises
    ------
    InfeasiblePlan
        If things alone make the rest impossible.
    """
    from shootplan.plan.replan import replan

    return replan(plan_input, schedule, events, now_s=now_s)


def rows_of_day(answer: Replan) -> tuple[DayRow, ...]:
    """Return the whole day by the clock, what happened at its real times."""
    from shootplan.plan.day import steps_by_clock

    return steps_by_clock(answer.plan_input, answer.schedule)
