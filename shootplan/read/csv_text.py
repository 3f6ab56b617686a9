"""
Comma-separated text (RFC 4180) with the place of every cell.

Text comes in, rows of ``Passage`` go out. The standard library splits the rows; the columns of cells that stand on
one line are found here. What the columns mean is not known.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator

from shootplan.problems import Span
from shootplan.read.passage import Log, Passage

__all__ = ["cell_rows"]


def cell_rows(path: str, text: str, log: Log) -> Iterator[tuple[int, tuple[Passage, ...]]]:
    """Yield (line from 1, cells) for each row that is not blank; a row that cannot be split ends the reading."""
    lines = text.split("\n")
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    start = 1
    while True:
        try:
            row = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            line = max(1, min(start, len(lines)))
            span = Span(path, line, 1, max(2, len(lines[line - 1]) + 1))
            hint = 'put a cell that holds commas or quotes in "…", and double the quotes inside it'
            log.fault(span, "csv-broken", f"the row cannot be split into cells: {error}", hint)
            return
        if any(cell.strip() for cell in row):
            yield start, _cells(path, start, lines[start - 1], row)
        start = reader.line_num + 1


def _cells(path: str, line: int, source: str, row: list[str]) -> tuple[Passage, ...]:
    """Return a row's cells with their columns, counted along the row's first line."""
    cells: list[Passage] = []
    column = 1
    for cell in row:
        quote = 1 if source[column - 1 : column] == '"' else 0
        cells.append(Passage.on_line(cell, path, line, column + quote).part(0))
        column += len(cell) + cell.count('"') * quote + 2 * quote + 1
    return tuple(cells)
