"""
Comma-separated text (RFC 4180) with the place of every cell.

Text comes in, a table goes out, column by column. The standard library splits the rows that hold quotes; the places of
cells are found here, for the rows that somebody asks about. What the columns mean is not known.
"""

from __future__ import annotations

import csv
import io
from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import field
from itertools import islice

from shootplan.problems import Span
from shootplan.read.passage import Log, Passage
from shootplan.records import dataclass

__all__ = ["CsvTable", "read_table"]

#: A row is filled up to so many times its own cells: below a head of thousands of columns short rows stay short.
_FILLED_UP = 3


@dataclass(frozen=True, slots=True)
class CsvTable:
    """
    A file column by column, blank rows left out; rows are numbered from 0, the first below the head.

    ``columns[c][k]`` is the cell of row ``even[k]``; there are as many columns as the head has cells. Shorter rows are
    filled up with empty cells; rows that are longer, or too short by far, stand in ``uneven`` instead, in order.
    ``lines[n]`` is the line (from 1) where row n begins; ``source`` are the lines of the file, which may be left out
    where none has a quote.
    """

    path: str
    head: tuple[Passage, ...] = ()
    columns: Sequence[Sequence[str]] = ()
    even: Sequence[int] = ()
    lines: Sequence[int] = ()
    source: Sequence[str] = ()
    uneven: Mapping[int, Sequence[str]] = field(default_factory=dict)

    def passages(self, number: int) -> tuple[Passage, ...]:
        """Return a row's cells with their columns, counted along the row's first line, blanks around them left off."""
        return _cells(self.path, self.lines[number], self._line_of(number), self._row(number, len(self.columns)))

    def place(self, number: int, column: int) -> Span:
        """Return the place of a cell that the row has and that is not blank."""
        cells = self._row(number, column + 1)[: column + 1]
        line, source = self.lines[number], self._line_of(number)
        width = len(",".join(cells))
        if '"' in source[:width]:
            return _cells(self.path, line, source, cells)[-1].span()
        first = 1 + width - len(cells[-1].lstrip())
        return Span(self.path, line, first, first + max(1, len(cells[-1].strip())))

    def cells(self, column: int) -> list[str]:
        """Return the cells of one column in all rows, empty where a row is too short."""
        even, start = self.columns[column], 0
        cells: list[str] = []
        for uneven_before, (number, row) in enumerate(self.uneven.items()):
            cells += even[start : number - uneven_before]
            start = number - uneven_before
            cells.append(row[column] if column < len(row) else "")
        return [*cells, *even[start:]]

    def _row(self, number: int, width: int) -> Sequence[str]:
        """Return the cells of a row, of an even one the first ``width``."""
        if number in self.uneven:
            return self.uneven[number]
        place = bisect_left(self.even, number) if self.uneven else number
        return [cells[place] for cells in self.columns[:width]]

    def _line_of(self, number: int) -> str:
        return self.source[self.lines[number] - 1] if self.source else ""


def read_table(path: str, text: str, log: Log) -> CsvTable:
    """Return the columns of a file; a row that cannot be split is a fault and ends the reading."""
    return _at_once(path, text) or _row_by_row(path, text, log)


def _at_once(path: str, text: str) -> CsvTable | None:
    """
    Return the table where there is no quote and every line is a row of equally many cells, the first of them not blank.

    Then only commas and line ends part the cells and all are split at once, each line end into a cell of its own, which
    must be the last of its row.
    """
    text = text.rstrip("\n")
    width = text.partition("\n")[0].count(",") + 1
    ends = text.count("\n")
    if '"' in text or text.count(",") != (width - 1) * (ends + 1):
        return None
    cells = text.replace("\n", ",\n,").split(",")
    if cells[width :: width + 1].count("\n") != ends or not all(map(str.strip, cells[:: width + 1])):
        return None
    columns = [cells[at :: width + 1] for at in range(width + 1, 2 * width + 1)]
    return CsvTable(path, _cells(path, 1, "", cells[:width]), columns, range(ends), range(2, ends + 2))


def _row_by_row(path: str, text: str, log: Log) -> CsvTable:
    """Return any table, as the standard library splits it."""
    source = text.rstrip("\n").split("\n")
    cells, sizes, lines_read, fault = _split(source)
    lines: Sequence[int] = range(1, len(sizes) + 1)
    if fault or lines_read != len(sizes):  # cells over several lines keep their line ends
        cells, sizes, _, fault = _split(io.StringIO(text, newline=""))
        *lines, behind = _starts(text, len(sizes))
        if fault:
            span = Span(path, behind, 1, max(2, len(source[behind - 1]) + 1))
            hint = 'put a cell that holds commas or quotes in "…", and double the quotes inside it'
            log.fault(span, "csv-broken", f"the row cannot be split into cells: {fault}", hint)
    uneven: dict[int, list[str]] = {}
    width = sizes[0] if sizes else 0
    if not width or sizes.count(width) != len(sizes) or not all(map(str.strip, cells[::width])):
        cells, width, lines, uneven = _sorted_out(cells, sizes, lines)
    if not lines:
        return CsvTable(path)
    head = _cells(path, lines[0], source[lines[0] - 1], cells[:width])
    columns = [cells[width + at :: width] for at in range(width)]
    even = [number for number in range(len(lines) - 1) if number not in uneven] if uneven else range(len(lines) - 1)
    return CsvTable(path, head, columns, even, lines[1:], source, uneven)


def _split(lines: Iterable[str]) -> tuple[list[str], list[int], int, csv.Error | None]:
    """Return the cells of all rows, how many each row has, the lines read, and the fault that ended the reading."""
    reader = csv.reader(lines, strict=True)
    cells: list[str] = []
    sizes: list[int] = []
    try:
        for row in reader:
            cells += row
            sizes.append(len(row))
    except csv.Error as error:
        return cells, sizes, reader.line_num, error
    return cells, sizes, reader.line_num, None


def _starts(text: str, rows: int) -> list[int]:
    """Return the lines where so many rows begin, and where the one behind them does."""
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    return [1, *(reader.line_num + 1 for _ in islice(reader, rows))]


def _sorted_out(
    cells: Sequence[str], sizes: Sequence[int], lines: Sequence[int]
) -> tuple[list[str], int, list[int], dict[int, list[str]]]:
    """Return the cells of even rows, their width, the lines of all rows that are not blank, and the uneven rows."""
    even: list[str] = []
    kept: list[int] = []
    uneven: dict[int, list[str]] = {}
    width = start = 0
    for size, line in zip(sizes, lines, strict=True):
        row = list(cells[start : start + size])
        start += size
        if size and (row[0].strip() or "".join(row).strip()):
            width = width or size
            if size < width <= _FILLED_UP * size:
                row += [""] * (width - size)
            if len(row) == width:
                even += row
            else:
                uneven[len(kept) - 1] = row
            kept.append(line)
    return even, width, kept, uneven


def _cells(path: str, line: int, source: str, row: Sequence[str]) -> tuple[Passage, ...]:
    """Return a row's cells with their columns, counted along the row's first line."""
    cells: list[Passage] = []
    column = 1
    for cell in row:
        quote = 1 if source[column - 1 : column] == '"' else 0
        cells.append(Passage.on_line(cell, path, line, column + quote).part(0))
        column += len(cell) + cell.count('"') * quote + 2 * quote + 1
    return tuple(cells)
