"""
Timed text of a past episode: WebVTT, SubRip, or plain lines that begin with a ``[m:ss]`` mark.

The text of a file comes in, timed lines and problems go out. Reading is strict about times and lenient about
everything else; nothing is known of speech here.
"""

from __future__ import annotations

import html
import re
from dataclasses import field

from shootplan.model.pace import TimedLine
from shootplan.problems import Problem, Severity, Span
from shootplan.records import dataclass

__all__ = ["read_timed_text"]

_ARROW = "-->"
#: W3C WebVTT, timestamp: minutes and seconds have two digits, milliseconds three. SubRip has a comma (common practice).
_STAMP = re.compile(r"(?:(\d{1,4}):)?([0-5]\d):([0-5]\d)[.,](\d{3})")
_MARK = re.compile(r"^\s*\[(?:(\d{1,2}):)?(\d{1,3}):([0-5]\d)(?:[.,](\d{1,3}))?\]\s*(.*)$")
_BRACKETED_TIME = re.compile(r"^\s*\[[\d:., ]*\d[\d:., ]*\]")
_TAG = re.compile(r"<[^<>]*>|\{\\[^{}]*\}")
#: A sound or a speaker's name is not spoken: [music], (laughs), HOST: …
_NOT_SPOKEN = re.compile(r"\[[^\[\]]*\]|\([^()]*\)|^[A-Z][A-Z .'-]{1,30}:\s+", re.M)
_SKIPPED_BLOCKS = ("WEBVTT", "NOTE", "STYLE", "REGION")
_HINT = "times look like 00:01:02.500 --> 00:01:05.000 (WebVTT), the same with commas (SubRip), or [1:02] before a line"
_DAMAGED = 5


def read_timed_text(text: str, path: str) -> tuple[tuple[TimedLine, ...], tuple[Problem, ...]]:
    """
    Return the spoken lines of a timed text by their starts, and what could not be read.

    Parameters
    ----------
    text
        The file's text with line feeds.
    path
        The file as the user typed it, for the places of problems.

    Notes
    -----
    Marks give starts only: a line ends where the next one begins, and the last one is left out unless a mark without
    words follows it. Tags, sounds in brackets and names of speakers in capitals are taken out.
    """
    reader = _Reader(path)
    lines = text.removeprefix("\ufeff").split("\n")
    found = reader.cues(lines) if any(_ARROW in line for line in lines) else reader.marks(lines)
    if not found and not reader.problems:
        reader.fault(1, lines[0], "there is no timed line in this file")
    return tuple(sorted(found, key=lambda line: (line.start_ms, line.end_ms))), tuple(reader.problems)


@dataclass(slots=True)
class _Reader:
    """Reads one file and gathers its problems."""

    path: str
    problems: list[Problem] = field(default_factory=list)

    def cues(self, lines: list[str]) -> list[TimedLine]:
        """Return the cues of WebVTT or SubRip: blocks with a line of two times, the text below it."""
        found = []
        for first, block in _blocks(lines):
            if block[0].split(" ")[0] in _SKIPPED_BLOCKS and _ARROW not in block[0]:
                continue
            timing_idx = next((idx for idx, line in enumerate(block) if _ARROW in line), None)
            if timing_idx is None:
                continue
            times = self.times(block[timing_idx], first + timing_idx)
            words = _spoken_text("\n".join(block[timing_idx + 1 :]))
            if times is not None and words:
                found.append(TimedLine(*times, words))
        return found

    def times(self, line: str, number: int) -> tuple[int, int] | None:
        before, _, after = line.partition(_ARROW)
        start, end = _stamp(before.strip()), _stamp(after.strip().split(" ")[0].split("\t")[0])
        if start is None or end is None:
            self.fault(number, line, f'"{line.strip()[:60]}" does not have two times')
            return None
        if end <= start:
            self.fault(number, line, f'"{line.strip()[:60]}" ends before it begins')
            return None
        return start, end

    def marks(self, lines: list[str]) -> list[TimedLine]:
        """Return lines that begin with a mark; lines without one go on with the line above."""
        starts: list[int] = []
        texts: list[list[str]] = []
        for number, line in enumerate(lines, start=1):
            match = _MARK.match(line)
            if match is None:
                if _BRACKETED_TIME.match(line):
                    self.fault(number, line, f'"{line.strip()[:30]}" does not begin with a time')
                elif texts:
                    texts[-1].append(line)
                continue
            start = _mark_ms(match)
            if starts and start < starts[-1]:
                self.fault(number, line, f'"{line.strip()[:30]}" goes back in time')
                continue
            starts.append(start)
            texts.append([match[5]])
        spoken = [_spoken_text("\n".join(text)) for text in texts]
        pairs = zip(starts, starts[1:], spoken, strict=False)
        return [TimedLine(start, end, words, has_end=False) for start, end, words in pairs if words and end > start]

    def fault(self, number: int, line: str, message: str) -> None:
        """Note a line that cannot be used; after a few the rest is silent, the file is plainly of another kind."""
        if len(self.problems) < _DAMAGED:
            span = Span(self.path, number, 1, len(line) + 1)
            self.problems.append(
                Problem(span=span, code="timed-text-bad", message=message, severity=Severity.WARNING, hint=_HINT)
            )


def _blocks(lines: list[str]) -> list[tuple[int, list[str]]]:
    """Return (number of the first line, lines) of each run of lines between blank ones."""
    found: list[tuple[int, list[str]]] = []
    is_open = False
    for number, line in enumerate(lines, start=1):
        if not line.strip():
            is_open = False
        elif is_open:
            found[-1][1].append(line)
        else:
            found.append((number, [line]))
            is_open = True
    return found


def _stamp(text: str) -> int | None:
    match = _STAMP.fullmatch(text)
    if match is None:
        return None
    hours, minutes, seconds, milliseconds = (int(part or 0) for part in match.groups())
    return ((hours * 60 + minutes) * 60 + seconds) * 1000 + milliseconds


def _mark_ms(match: re.Match[str]) -> int:
    hours, minutes, seconds = (int(part or 0) for part in match.groups()[:3])
    return ((hours * 60 + minutes) * 60 + seconds) * 1000 + int((match[4] or "").ljust(3, "0"))


def _spoken_text(text: str) -> str:
    """Return what is said: tags and sounds out, entities resolved, white space single."""
    return " ".join(_NOT_SPOKEN.sub(" ", html.unescape(_TAG.sub("", text))).split())
