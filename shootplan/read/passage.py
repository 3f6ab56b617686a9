"""
Pieces of source text that know where each character stands, and the log that problems are gathered in.

A ``Passage`` may run over several lines (a step's text); its spans point into single lines. Nothing is parsed here.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import field

from shootplan.problems import Problem, Severity, Span
from shootplan.records import dataclass

__all__ = ["Log", "Passage", "slug"]

_BETWEEN_WORDS = re.compile(r"[^\w]+|_+")


@dataclass(frozen=True, slots=True)
class Passage:
    """
    Text from a file. ``starts`` holds (offset, line, column) of the first character of each of its lines, the first
    at offset 0; lines and columns count from 1.
    """

    text: str
    path: str
    starts: tuple[tuple[int, int, int], ...]

    @classmethod
    def on_line(cls, text: str, path: str, line: int, column: int) -> Passage:
        """Return a passage that stands on one line."""
        return cls(text, path, ((0, line, column),))

    def span(self, start: int = 0, end: int | None = None) -> Span:
        """Return the place of ``text[start:end]``, cut at the end of its first line and at least one column wide."""
        offset, line, column = next(item for item in reversed(self.starts) if item[0] <= max(start, 0))
        first = column + max(start, 0) - offset
        stop = len(self.text) if end is None else end
        line_end = self.text.find("\n", start)
        if line_end >= 0:
            stop = min(stop, line_end)
        return Span(self.path, line, first, max(first + 1, first + stop - start))

    def part(self, start: int, end: int | None = None) -> Passage:
        """Return ``text[start:end]`` as a passage, blanks at both ends left off."""
        stop = len(self.text) if end is None else end
        piece = self.text[start:stop]
        start += len(piece) - len(piece.lstrip())
        piece = piece.strip()
        offset, line, column = next(item for item in reversed(self.starts) if item[0] <= start)
        later = tuple((at - start, n, c) for at, n, c in self.starts if start < at <= start + len(piece))
        return Passage(piece, self.path, ((0, line, column + start - offset), *later))

    def on_one_line(self) -> Passage:
        """Return the same text with line ends as spaces, so that patterns need not know of them."""
        return Passage(self.text.replace("\n", " "), self.path, self.starts)

    def pieces(self, pattern: str) -> tuple[Passage, ...]:
        """Return what stands between the matches of ``pattern`` outside round brackets; empty pieces are left out."""
        cuts = [(0, 0)]
        cuts += [match.span() for match in re.finditer(pattern, self.text) if self._depth(match.start()) <= 0]
        ends = [start for start, _ in cuts[1:]] + [len(self.text)]
        found = (self.part(cut[1], end) for cut, end in zip(cuts, ends, strict=True))
        return tuple(piece for piece in found if piece.text)

    def _depth(self, at: int) -> int:
        before = self.text[:at]
        return before.count("(") - before.count(")")


@dataclass(slots=True)
class Log:
    """Gathers the problems of a run of the reading stage."""

    problems: list[Problem] = field(default_factory=list)

    def fault(self, span: Span, code: str, message: str, hint: str | None = None, *related: Span) -> None:
        """Note a fault that stops a build."""
        self.problems.append(Problem(span=span, code=code, message=message, hint=hint, related=related))

    def doubt(self, span: Span, code: str, message: str, hint: str | None = None) -> None:
        """Note something doubtful that does not stop a build."""
        self.problems.append(
            Problem(span=span, code=code, message=message, hint=hint, severity=Severity.WARNING),
        )

    def in_order(self) -> tuple[Problem, ...]:
        """Return the problems by place, each once."""
        return tuple(sorted(dict.fromkeys(self.problems), key=lambda problem: problem.sort_key))


def slug(name: str, taken: Collection[str] = frozenset()) -> str:
    """Return ``name`` as an id of letters, digits and hyphens, made unique among ``taken`` by "-2", "-3", …"""
    base = _BETWEEN_WORDS.sub("-", name.casefold()).strip("-")[:80] or "unnamed"
    unique, number = base, 1
    while unique in taken:
        number += 1
        unique = f"{base}-{number}"
    return unique
