"""
The log of a shoot day: what was begun, left alone and finished, and when.

Plain text comes in, a line for each thing that happened; ``LogLine`` values and problems go out. Which step of the
plan a line means is decided elsewhere::

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

from shootplan.model.replanning import LogKind, LogLine
from shootplan.problems import Problem, Span, did_you_mean
from shootplan.read.durations import read_duration
from shootplan.read.passage import Log
from shootplan.read.text import clean_text
from shootplan.read.values import Wrong, quoted

__all__ = ["clock_seconds", "read_day_log", "read_told"]

_LINE = re.compile(r"^(?P<time>\S+)\s+(?P<word>\S+)\s+(?P<rest>\S.*)$")
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
    clock_s = clock_seconds(match["time"]) if match else None
    if match is None or clock_s is None:
        return _bad(span, f"{quoted(line)} is not a time, a word and a step", _HINT)
    words = {kind.value: kind for kind in LogKind}
    kind = words.get(match["word"].casefold())
    if kind is None:
        hint = did_you_mean(match["word"], words) or f"write one of {', '.join(words)}"
        return _bad(span, f"{quoted(match['word'])} is not a word of the log", hint)
    if kind is not LogKind.LATE:
        return LogLine(kind=kind, step=match["rest"].strip(), clock_s=clock_s, span=span)
    told = _LATE.match(match["rest"])
    if told is None:
        return _bad(span, f"{quoted(line)} does not say how late", 'write "09:20 late 10 min soup: Simmer"')
    return _late(told["step"], told["late"], clock_s, span)


def _late(step: str, late: str, clock_s: int | None, span: Span) -> LogLine | Problem:
    seconds = read_duration(late)
    if isinstance(seconds, Wrong):
        return _bad(span, seconds.message, seconds.hint or _HINT)
    return LogLine(kind=LogKind.LATE, step=step.strip(), clock_s=clock_s, late_s=seconds, span=span)


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
    begun); ``late`` "STEP 20 min"; ``swapped`` "STEP".
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
        found.append(_late(match["step"], match["late"], None, span) if match else bad)
    for text in swapped:
        found.append(LogLine(kind=LogKind.SWAPPED, step=text.strip(), clock_s=None, span=Span("--swapped")))
    lines = tuple(item for item in found if isinstance(item, LogLine))
    return lines, tuple(item for item in found if isinstance(item, Problem))


def _done(text: str) -> list[LogLine | Problem]:
    span = Span("--done")
    step, _, times = text.rpartition("@") if "@" in text else (text, "", "")
    parts = [part for part in re.split(r"\s*[-–]\s*", times.strip()) if part]
    moments = [clock_seconds(part) for part in parts]
    if None in moments or len(moments) > 2 or ("@" in text and not moments):
        return [_bad(span, f"{quoted(text)} has no time that can be read", 'write --done "soup: Chop@10:05-10:12"')]
    lines: list[LogLine | Problem] = []
    if len(moments) == 2:
        lines.append(LogLine(kind=LogKind.BEGUN, step=step.strip(), clock_s=moments[0], span=span))
    end = moments[-1] if moments else None
    return [*lines, LogLine(kind=LogKind.DONE, step=step.strip(), clock_s=end, span=span)]


def _running(text: str) -> LogLine | Problem:
    span = Span("--running")
    step, _, told = text.rpartition("@") if "@" in text else (text, "", "")
    clock_s = clock_seconds(told) if told else None
    if "@" in text and clock_s is None:
        return _bad(span, f"{quoted(text)} has no time that can be read", 'write --running "soup: Simmer@11:30"')
    return LogLine(kind=LogKind.BEGUN, step=step.strip(), clock_s=clock_s, span=span)


def _bad(span: Span, message: str, hint: str) -> Problem:
    return Problem(span=span, code="log-line-bad", message=message, hint=hint)
