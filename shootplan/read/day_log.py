"""
The log of a shoot day: what was begun, left alone and finished, and when.

Plain text comes in, a line for each thing that happened; ``LogLine`` values and problems go out. Which step of the
plan a line means is decided elsewhere, and of which day it is where it does not say so ("2026-10-06 09:00 begun ...")::

    # Tuesday supper
    09:00 begun leek-bean-bake: Heat the oven
    09:04:30 left leek-bean-bake: Potatoes on
    09:13 done leek-bean-bake: Heat the oven
    09:20 late 10 min oat-crumble: Bake
    09:40 looked-in pea-soup: Simmer
    10:05 swapped oat-crumble: Bake
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from shootplan.model.replanning import LogKind, LogLine
from shootplan.problems import Problem, Span, did_you_mean
from shootplan.read.durations import read_duration
from shootplan.read.passage import Log
from shootplan.read.text import clean_text
from shootplan.read.values import Wrong, quoted

__all__ = ["clock_seconds", "read_at", "read_day_log", "read_told"]

_LINE = re.compile(r"^(?P<time>(?:\d{4}-\d{2}-\d{2}[ \t]+)?\S+)\s+(?P<word>\S+)\s+(?P<rest>\S.*)$")
_MOMENT = re.compile(r"^(?:(?P<date>\d{4}-\d{2}-\d{2})(?:T|\s+))?(?P<clock>\S+)$")
_BETWEEN = re.compile(r"\s*(?:–|(?<=:\d\d)\s*-)\s*")
_CLOCK = re.compile(r"^([01]?\d|2[0-3]):([0-5]\d)(?::([0-5]\d))?$")
_LATE = re.compile(r"^(?P<late>\d+(?:[.,]\d+)?\s*(?:s|min|h)\b)\s+(?P<step>\S.*)$", re.I)
_LATE_AFTER = re.compile(r"^(?P<step>.*\S)\s+(?P<late>\d+(?:[.,]\d+)?\s*(?:s|min|h))$", re.I)
_HINT = 'write a line such as "09:13 done soup: Chop onions"'


def clock_seconds(text: str) -> int | None:
    """Return the seconds of the day of "9:05", "09:05" or "09:05:30", ``None`` for anything else."""
    match = _CLOCK.match(text.strip())
    if match is None:
        return None
    hours, minutes, seconds = (int(part or 0) for part in match.groups())
    return hours * 3600 + minutes * 60 + seconds


def read_at(text: str, option: str) -> LogLine | Problem:
    """Return the moment of "11:40" or "2026-10-06 11:40" as a line of the log that names no step."""
    moment = _moment(text)
    if moment is None:
        message, hint = f"{quoted(text)} is not a time of day", f'write {option} 11:40 or {option} "2026-10-06 11:40"'
        return Problem(span=Span(option), code="time-bad", message=message, hint=hint)
    return LogLine(kind=LogKind.BEGUN, step="", clock_s=moment[1], on=moment[0], is_now=True, span=Span(option))


def _moment(text: str) -> tuple[date | None, int] | None:
    """Return the day, where one is told, and the seconds of the day; ``None`` for what cannot be read."""
    match = _MOMENT.match(text.strip())
    clock_s = clock_seconds(match["clock"]) if match else None
    if match is None or clock_s is None:
        return None
    try:
        return date.fromisoformat(match["date"]) if match["date"] else None, clock_s
    except ValueError:
        return None


def read_day_log(text: str, path: str) -> tuple[tuple[LogLine, ...], tuple[Problem, ...]]:
    """Return the lines of a log in their order, and what cannot be read; lines that begin with # are remarks."""
    log = Log()
    lines: list[LogLine] = []
    problems: list[Problem] = []
    for number, raw in enumerate((clean_text(path, text, log) or "").split("\n"), start=1):
        line = raw.strip()
        if not line or line.startswith("#"):
            continue
        span = Span(path, number, raw.index(line) + 1, len(raw.rstrip()) + 1)
        found = _line(line, span)
        if isinstance(found, LogLine):
            lines.append(found)
        else:
            problems.append(found)
    return tuple(lines), (*log.in_order(), *problems)


def _line(line: str, span: Span) -> LogLine | Problem:
    match = _LINE.match(line)
    moment = _moment(match["time"]) if match else None
    if match is None or moment is None:
        return _bad(span, f"{quoted(line)} is not a time, a word and a step", _HINT)
    on, clock_s = moment
    words = {kind.value: kind for kind in LogKind}
    kind = words.get(match["word"].casefold())
    if kind is None:
        hint = did_you_mean(match["word"], words) or f"write one of {', '.join(words)}"
        return _bad(span, f"{quoted(match['word'])} is not a word of the log", hint)
    if kind is not LogKind.LATE:
        return LogLine(kind=kind, step=match["rest"].strip(), clock_s=clock_s, on=on, span=span)
    told = _LATE.match(match["rest"])
    if told is None:
        return _bad(span, f"{quoted(line)} does not say how late", 'write "09:20 late 10 min soup: Simmer"')
    found = _late(told["step"], told["late"], span)
    return replace(found, clock_s=clock_s, on=on) if isinstance(found, LogLine) else found


def _late(step: str, late: str, span: Span) -> LogLine | Problem:
    seconds = read_duration(late)
    if isinstance(seconds, Wrong):
        return _bad(span, seconds.message, seconds.hint or _HINT)
    return LogLine(kind=LogKind.LATE, step=step.strip(), clock_s=None, late_s=seconds, span=span)


def read_told(
    *,
    done: Iterable[str] = (),
    running: Iterable[str] = (),
    late: Iterable[str] = (),
    swapped: Iterable[str] = (),
) -> tuple[tuple[LogLine, ...], tuple[Problem, ...]]:
    """
    Return what is told on the command line, as lines of the log.

    ``done`` are "STEP@10:05-10:12", "STEP@10:12" or "STEP" (just now); ``running`` "STEP@11:30" or "STEP" (just
    begun); ``late`` "STEP 20 min"; ``swapped`` "STEP". A time may have its date before it: "STEP@2026-10-06 10:12".
    """
    found: list[LogLine | Problem] = []
    for text in done:
        found += _done(text)
    for text in running:
        found.append(_running(text))
    for text in late:
        match = _LATE_AFTER.match(text.strip())
        span = Span("--late")
        bad = _bad(span, f"{quoted(text)} does not say how late", 'write --late "soup: Simmer 20 min"')
        found.append(_late(match["step"], match["late"], span) if match else bad)
    for text in swapped:
        found.append(LogLine(kind=LogKind.SWAPPED, step=text.strip(), clock_s=None, span=Span("--swapped")))
    lines = tuple(replace(item, is_now=True) for item in found if isinstance(item, LogLine))
    return lines, tuple(item for item in found if isinstance(item, Problem))


def _done(text: str) -> list[LogLine | Problem]:
    span = Span("--done")
    step, _, times = text.rpartition("@") if "@" in text else (text, "", "")
    parts = [part for part in _BETWEEN.split(times.strip()) if part]
    moments = [moment for moment in map(_moment, parts) if moment is not None]
    if len(moments) < len(parts) or len(parts) > 2 or ("@" in text and not parts):
        return [_bad(span, f"{quoted(text)} has no time that can be read", 'write --done "soup: Chop@10:05-10:12"')]
    if not moments:
        return [LogLine(kind=LogKind.DONE, step=step.strip(), clock_s=None, span=span)]
    (since, since_s), (until, until_s) = moments[0], moments[-1]
    done = LogLine(kind=LogKind.DONE, step=step.strip(), clock_s=until_s, on=until or since, span=span)
    return [replace(done, kind=LogKind.BEGUN, clock_s=since_s, on=since), done] if len(moments) == 2 else [done]


def _running(text: str) -> LogLine | Problem:
    span = Span("--running")
    step, _, told = text.rpartition("@") if "@" in text else (text, "", "")
    moment = _moment(told) if told else None
    if "@" in text and moment is None:
        return _bad(span, f"{quoted(text)} has no time that can be read", 'write --running "soup: Simmer@11:30"')
    on, clock_s = moment or (None, None)
    return LogLine(kind=LogKind.BEGUN, step=step.strip(), clock_s=clock_s, on=on, span=span)


def _bad(span: Span, message: str, hint: str) -> Problem:
    return Problem(span=span, code="log-line-bad", message=message, hint=hint)
