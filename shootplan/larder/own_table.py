"""
The user's own table, ``larder.csv`` beside the price book: it overrides the shipped weights, row by row.

Columns: ``food``, ``measure``, ``grams``; optionally ``state`` and ``source``.
"""

from __future__ import annotations

import csv
from fractions import Fraction
from io import StringIO

from shootplan.model.larder import OwnRow
from shootplan.problems import Problem, Span, did_you_mean

__all__ = ["read_own_table"]

_COLUMNS = ("food", "measure", "grams", "state", "source")
_NEEDED = ("food", "measure", "grams")


def read_own_table(path: str, text: str) -> tuple[tuple[OwnRow, ...], tuple[Problem, ...]]:
    """Return the rows that can be read and a problem for each that cannot, with file, line and column."""
    reader = csv.reader(StringIO(text, newline=""))
    header = [name.strip().casefold() for name in next(reader, [])]
    problems = _header_problems(path, header)
    if problems:
        return (), problems
    found: list[OwnRow] = []
    faults: list[Problem] = []
    for cells in reader:
        row = dict(zip(header, (cell.strip() for cell in cells), strict=False))
        made = _row(path, reader.line_num, row) if any(row.values()) else None
        if isinstance(made, OwnRow):
            found.append(made)
        elif made is not None:
            faults.append(made)
    return tuple(found), tuple(faults)


def _header_problems(path: str, header: list[str]) -> tuple[Problem, ...]:
    unknown = [name for name in header if name not in _COLUMNS]
    missing = [name for name in _NEEDED if name not in header]
    made = [
        Problem(
            span=Span(path),
            code="own-table-column",
            message=f'unknown column "{name}"',
            hint=did_you_mean(name, _COLUMNS) or f"the columns are {', '.join(_COLUMNS)}",
        )
        for name in unknown
    ]
    made += [
        Problem(
            span=Span(path),
            code="own-table-column",
            message=f'the column "{name}" is missing',
            hint=f"begin the file with {','.join(_COLUMNS)}",
        )
        for name in missing
    ]
    return tuple(made)


def _row(path: str, line: int, row: dict[str, str]) -> OwnRow | Problem:
    try:
        grams = Fraction(row.get("grams", ""))
    except (ValueError, ZeroDivisionError):
        grams = Fraction(0)
    if grams <= 0 or not row.get("food"):
        return Problem(
            span=Span(path, line),
            code="own-table-row",
            message=f'"{row.get("grams", "")}" grams of "{row.get("food", "")}" cannot be used',
            hint="write a food, a measure and its weight in grams, like: leek,piece,165",
        )
    return OwnRow(
        food=row["food"], measure=row.get("measure", ""), grams=grams, state=row.get("state", ""),
        source=row.get("source", ""),
    )  # fmt: skip
