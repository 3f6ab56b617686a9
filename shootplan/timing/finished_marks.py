"""
A list of markers of the finished edit: on each line a time and the id of a row or caption, in any order of columns.

Text comes in, points and problems go out. Commas, semicolons, tabs or spaces part the columns.
"""

from __future__ import annotations

import re
from fractions import Fraction

from shootplan.model.retiming import Point
from shootplan.model.timecode import Rate, parse_label
from shootplan.problems import Problem, Severity, Span, did_you_mean
from shootplan.timing.row_names import RowNames

__all__ = ["read_marks"]

_LABEL = r"[0-9]{2}:[0-9]{2}:[0-9]{2}[:;][0-9]{2,3}"
_CLOCK = r"(?:[0-9]{1,2}:)?[0-9]{1,3}:[0-9]{2}(?:[.,][0-9]{1,3})?"
_TIME = re.compile(rf"(?<![\w:.])(?:(?P<label>{_LABEL})|(?P<clock>{_CLOCK}))(?![\w:])")
_MARKS, _LINE = 20_000, 2000
_HINT = 'write a time and the id of a row or caption, such as "1:02.5, opening.welcome"'


def read_marks(
    text: str, path: str, *, names: RowNames, rate: Rate, start: str = ""
) -> tuple[tuple[Point, ...], tuple[Problem, ...]]:
    """
    Return the markers in file order, the first of each id, and which lines could not be used.

    Times are timecode labels (``00:01:02:03``) or minutes and seconds (``1:02.5``). Where every label is at one
    o'clock or later, the programme is taken to begin at the full hour (custom), unless ``start`` says otherwise.
    """
    problems: list[Problem] = []
    found: dict[str, tuple[Fraction, bool]] = {}
    for number, line in enumerate(text.split("\n")[:_MARKS], start=1):
        _take(line.rstrip("\r")[:_LINE], Span(path, number, 1, len(line) + 1), names, rate, found, problems)
    if not found:
        message = "no line of this file has a time and the id of a row or caption"
        problems.append(Problem(span=Span(path), code="edit-empty", message=message, hint=_HINT))
    start_f = Fraction(parse_label(start, rate)) if start else _full_hour(found, rate)
    points = (Point(id=name, at_f=at_f - (start_f if is_label else 0)) for name, (at_f, is_label) in found.items())
    return tuple(points), tuple(problems)


def _take(
    line: str, span: Span, names: RowNames, rate: Rate, found: dict[str, tuple[Fraction, bool]], problems: list[Problem]
) -> None:
    time = _TIME.search(line)
    rest = line if time is None else f"{line[: time.start()]} {line[time.end() :]}"
    name = names.any(rest)
    if time is None or not name:
        if message := _message(time, name, rest):
            hint = did_you_mean(_words(rest), [*names.rows.values(), *names.captions.values()]) or _HINT
            problems.append(_warning(span, "marker-bad", message, hint))
        return
    if name in found:
        problems.append(_warning(span, "marker-bad", f'"{name}" is marked a second time', "the first one counts"))
        return
    try:
        found[name] = _frame(time, rate)
    except ValueError as error:
        hint = f"the list is read at {rate.name} frames a second; give another with --rate"
        problems.append(Problem(span=span, code="edit-time-bad", message=str(error), hint=hint))


def _message(time: re.Match[str] | None, name: str, rest: str) -> str:
    if time is not None:
        return f'"{_words(rest)[:60]}" is no row or caption of the script'
    return f'"{name}" has no time' if name else ""


def _words(rest: str) -> str:
    """Return what may be a name in a line without its time: the longest column."""
    columns = [column.strip(" \"'") for column in re.split(r"[,;\t]|\s{2,}", rest)]
    return max(columns, key=len, default="")[:80]


def _frame(time: re.Match[str], rate: Rate) -> tuple[Fraction, bool]:
    """Return the frame and whether it was a timecode label."""
    if time["label"]:
        return Fraction(parse_label(time["label"], rate)), True
    *minutes, seconds = time["clock"].replace(",", ".").split(":")
    total = Fraction(0)
    for part in minutes:
        total = total * 60 + int(part)
    return (total * 60 + Fraction(seconds)) * rate.frames_per_s, False


def _full_hour(found: dict[str, tuple[Fraction, bool]], rate: Rate) -> Fraction:
    """Return the frame of the full hour at or before the first label."""
    labels = [at_f for at_f, is_label in found.values() if is_label]
    hour_f = rate.base * 3600 - rate.dropped * 54
    return Fraction(min(labels) // hour_f * hour_f) if labels else Fraction(0)


def _warning(span: Span, code: str, message: str, hint: str) -> Problem:
    return Problem(span=span, code=code, message=message, severity=Severity.WARNING, hint=hint)
