"""
TOML with the place of every key: ``tomllib`` reads the values, a small scanner finds where the keys stand.

Text comes in; the document and ``Places`` go out. What the keys mean is not known here.
"""

from __future__ import annotations

import re
import tomllib
from decimal import Decimal
from typing import Any

from shootplan.problems import Span
from shootplan.read.passage import Log
from shootplan.records import dataclass

__all__ = ["Path", "Places", "parse_toml"]

#: Keys and, in arrays of tables, positions from 0: ("ovens", 0, "heat_up").
Path = tuple[str | int, ...]

_TABLE = re.compile(r"^\s*(\[\[?)\s*(.+?)\s*\]\]?\s*(?:#.*)?$")
_KEY = re.compile(r"""\s*(?P<key>"(?:[^"\\]|\\.)*"|'[^']*'|[A-Za-z0-9_-]+)\s*(?P<next>[.=])""")
_PART = re.compile(r""""((?:[^"\\]|\\.)*)"|'([^']*)'|([A-Za-z0-9_-]+)""")
_AT = re.compile(r"\(at line (\d+), column (\d+)\)")


@dataclass(frozen=True, slots=True)
class Places:
    """Where keys and values of one file stand."""

    path: str
    keys: dict[Path, Span]
    values: dict[Path, Span]

    def key(self, path: Path) -> Span:
        """Return where a key stands, or the nearest table around it."""
        return self._nearest(self.keys, path)

    def value(self, path: Path) -> Span:
        """Return where a key's value stands, or the nearest key around it."""
        return self.values.get(path) or self._nearest(self.keys, path)

    def _nearest(self, spans: dict[Path, Span], path: Path) -> Span:
        for length in range(len(path), 0, -1):
            if path[:length] in spans:
                return spans[path[:length]]
        return Span(self.path)


def parse_toml(path: str, text: str, log: Log) -> tuple[dict[str, Any], Places]:
    """Return the document, empty if it is not TOML, and the places of its keys; numbers with a point are Decimal."""
    try:
        document = tomllib.loads(text, parse_float=Decimal)
    except (ValueError, RecursionError, ArithmeticError) as error:
        log.fault(_error_place(path, text, str(error)), "toml-broken", f"not TOML: {_reason(error)}", _HINT)
        document = {}
    return document, _Scanner(path).scan(text)


_HINT = 'write lines such as key = "text", with tables in [brackets]'


def _error_place(path: str, text: str, message: str) -> Span:
    at = _AT.search(message)
    lines = text.split("\n")
    line = min(int(at[1]), len(lines)) if at is not None else len(lines) if "end of document" in message else 1
    column = int(at[2]) if at is not None else 1
    return Span(path, line, column, column + 1)


def _reason(error: Exception) -> str:
    if isinstance(error, RecursionError):
        return "brackets are nested too deep"
    return _AT.sub("", str(error)).strip().rstrip(".")[:120].lower()


class _Scanner:
    """Walks the lines and notes tables and keys; keys inside inline tables are noted as well."""

    def __init__(self, path: str) -> None:
        self._path = path
        self._keys: dict[Path, Span] = {}
        self._values: dict[Path, Span] = {}
        self._counts: dict[Path, int] = {}

    def scan(self, text: str) -> Places:
        table: Path = ()
        for number, line in enumerate(text.split("\n"), start=1):
            opening = _TABLE.match(line)
            if opening is not None and "=" not in opening[2]:
                table = self._table(opening, number)
            else:
                self._pair(line, number, 0, table)
        return Places(self._path, self._keys, self._values)

    def _table(self, opening: re.Match[str], number: int) -> Path:
        path: Path = tuple(part[0] or part[1] or part[2] for part in _PART.findall(opening[2]))
        if opening[1] == "[[":
            index = self._counts.get(path, 0)
            self._counts[path] = index + 1
            path = (*path, index)
        elif path in self._counts:
            path = (*path, self._counts[path] - 1)
        span = Span(self._path, number, opening.start(2) + 1, opening.end(2) + 1)
        self._keys.setdefault(path, span)
        self._keys.setdefault(path[:1], span)
        return path

    def _pair(self, line: str, number: int, start: int, table: Path) -> None:
        """Note ``key = value`` from column ``start`` (from 0), dotted keys and inline tables included."""
        path = table
        position = start
        while True:
            match = _KEY.match(line, position)
            if match is None:
                return
            path = (*path, match["key"].strip("\"'"))
            span = Span(self._path, number, match.start("key") + 1, match.end("key") + 1)
            self._keys.setdefault(path, span)
            position = match.end()
            if match["next"] == "=":
                break
        self._value(line, number, position, path)

    def _value(self, line: str, number: int, position: int, path: Path) -> None:
        rest = line[position:]
        begin = position + len(rest) - len(rest.lstrip())
        value = re.sub(r"\s+#[^\"']*$", "", rest).strip() or " "
        self._values.setdefault(path, Span(self._path, number, begin + 1, begin + 1 + len(value)))
        if not value.startswith("{"):
            return
        for match in re.finditer(r"(?:[{,])\s*(?=[\w\"'-]+\s*=)", line[begin:]):
            inner = _KEY.match(line, begin + match.end())
            if inner is not None:
                inner_path = (*path, inner["key"].strip("\"'"))
                span = Span(self._path, number, inner.start("key") + 1, inner.end("key") + 1)
                self._keys.setdefault(inner_path, span)
                after = re.match(r"\s*(\"[^\"]*\"|'[^']*'|[^,}]*)", line[inner.end() :])
                end = inner.end() + (after.end(1) if after is not None else 0)
                first = inner.end() + (after.start(1) if after is not None else 0)
                self._values.setdefault(inner_path, Span(self._path, number, first + 1, max(first + 2, end + 1)))
