"""
Comma-separated text (RFC 4180) with the place of every cell.

Text comes in, a table goes out. The standard library splits the rows; the places of cells are found here, for the rows
that somebody asks about. What the columns mean is not known.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

from shootplan.problems import Span
from shootplan.read.passage import Log, Passage
from shootplan.records import dataclass

__all__ = ["CsvTable", "read_table"]


@dataclass(frozen=True, slots=True)
class CsvTable:
    """
    The rows of a file as the standard library splits them, blank ones left out; ``lines[n]`` is where row n begins.

    ``passages(n)`` gives the cells of one row with their places, which are worked out only when asked for.
    """

    path: str
    rows: Sequence[Sequence[str]]
    lines: Sequence[int]
    source: Sequence[str]

    def passages(self, number: int) -> tuple[Passage, ...]:
        """Return a row's cells with their columns, counted along the row's first line, blanks around them left off."""
        line = self.lines[number]
        return _cells(self.path, line, self.source[line - 1], self.rows[number])

    def place(self, number: int, column: int) -> Span:
        """Return the place of one cell."""
        line, row = self.lines[number], self.rows[number]
        source = self.source[line - 1]
        if column == 0 and source.startswith(row[0]) and "\n" not in row[0]:  # the usual case, without the rest
            text = row[0].strip()
            first = 1 + len(row[0]) - len(row[0].lstrip())
            return Span(self.path, line, first, first + max(1, len(text)))
        return _cells(self.path, line, source, row[: column + 1])[-1].span()


def read_table(path: str, text: str, log: Log) -> CsvTable:
    """Return the rows that are not blank; a row that cannot be split is a fault and ends the reading."""
    source = text.split("\n")
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    try:
        rows = list(reader)
    except csv.Error:
        rows = None
    if rows is None or reader.line_num != len(rows):  # cells over several lines, or a fault: row by row
        rows, lines = _row_by_row(path, text, source, log)
    else:
        lines = list(range(1, len(rows) + 1))
    if not all(map(_first, rows)):
        kept = [number for number, row in enumerate(rows) if any(cell.strip() for cell in row)]
        rows, lines = [rows[number] for number in kept], [lines[number] for number in kept]
    return CsvTable(path, rows, lines, source)


def _first(row: list[str]) -> str:
    return row[0].strip() if row else ""


def _row_by_row(path: str, text: str, source: list[str], log: Log) -> tuple[list[list[str]], list[int]]:
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    rows: list[list[str]] = []
    starts: list[int] = []
    start = 1
    while True:
        try:
            row = next(reader)
        except StopIteration:
            return rows, starts
        except csv.Error as error:
            line = max(1, min(start, len(source)))
            span = Span(path, line, 1, max(2, len(source[line - 1]) + 1))
            hint = 'put a cell that holds commas or quotes in "…", and double the quotes inside it'
            log.fault(span, "csv-broken", f"the row cannot be split into cells: {error}", hint)
            return rows, starts
        rows.append(row)
        starts.append(start)
        start = reader.line_num + 1


def _cells(path: str, line: int, source: str, row: Sequence[str]) -> tuple[Passage, ...]:
    """Return a row's cells with their columns, counted along the row's first line."""
    cells: list[Passage] = []
    column = 1
    for cell in row:
        quote = 1 if source[column - 1 : column] == '"' else 0
        cells.append(Passage.on_line(cell, path, line, column + quote).part(0))
        column += len(cell) + cell.count('"') * quote + 2 * quote + 1
    return tuple(cells)
