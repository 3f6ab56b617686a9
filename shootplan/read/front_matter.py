"""
Front matter: ``key: rest of line`` between two ``---`` lines at the top of a Markdown file.

The text comes in; the entries with their places and the first line of the body go out. What the keys mean is the
callers' business (``read_settings`` runs a table of value readers over them). No YAML: a value is the rest of its
line, a "#" at the start of a line makes a comment.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

from shootplan.model.recipe import Attribute
from shootplan.problems import Span, did_you_mean
from shootplan.read.passage import Log, Passage
from shootplan.read.values import Wrong, quoted
from shootplan.records import dataclass

__all__ = ["Entry", "FrontMatter", "Settings", "read_front_matter", "read_settings"]

_KEY = re.compile(r"^(\s*)([A-Za-z][A-Za-z0-9 _-]{0,60}?)\s*:\s*(.*)$")


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of front matter: the key in small letters, the value as typed."""

    key: str
    key_span: Span
    value: Passage


@dataclass(frozen=True, slots=True)
class FrontMatter:
    """All entries in order; ``body_idx`` is the line (from 0) at which the text behind the front matter begins."""

    entries: tuple[Entry, ...] = ()
    body_idx: int = 0


@dataclass(frozen=True, slots=True)
class Settings:
    """Front matter that was understood: values by key, their places, and the fields that are only printed."""

    values: Mapping[str, Any]
    spans: Mapping[str, Span]
    attributes: tuple[Attribute, ...]


def read_front_matter(path: str, text: str, log: Log) -> FrontMatter:
    """Return the entries at the top of ``text``; a file that does not begin with ``---`` has none."""
    lines = text.split("\n")
    if lines[0].rstrip() != "---":
        return FrontMatter()
    body = next((idx for idx, line in enumerate(lines[1:], start=1) if line.rstrip() == "---"), None)
    is_closed = body is not None
    if body is None:
        hint = 'put a line "---" below the last "key: value" line'
        log.fault(Span(path, 1, 1, 4), "front-matter-open", 'the front matter that "---" opens is never closed', hint)
        body = _end_of_open(lines)
    entries: dict[str, Entry] = {}
    for idx in range(1, body):
        _read_line(path, idx, lines[idx], entries, log)
    return FrontMatter(tuple(entries.values()), body + 1 if is_closed else body)


def read_settings(
    front: FrontMatter,
    readers: Mapping[str, Callable[[str], object]],
    printed: tuple[str, ...],
    log: Log,
) -> Settings:
    """
    Return the values of known keys, read by ``readers``, and the ``printed`` and unknown ones as attributes.

    A key near a known one is an error with "did you mean"; any other unknown key is kept and warned of.
    """
    values: dict[str, object] = {}
    attributes: list[Attribute] = []
    for entry in front.entries:
        if entry.key in readers:
            value = readers[entry.key](entry.value.text)
            if isinstance(value, Wrong):
                log.fault(entry.value.span(), value.code, value.message, value.hint)
            else:
                values[entry.key] = value
            continue
        attributes.append(Attribute(key=entry.key, value=entry.value.text, span=entry.value.span()))
        if entry.key not in printed:
            _unknown_key(entry, (*readers, *printed), log)
    spans = {entry.key: entry.value.span() for entry in front.entries}
    return Settings(values, spans, tuple(attributes))


def _read_line(path: str, idx: int, line: str, entries: dict[str, Entry], log: Log) -> None:
    if not line.strip() or line.lstrip().startswith("#"):
        return
    match = _KEY.match(line)
    if match is None:
        span = Passage.on_line(line, path, idx + 1, 1).part(0).span()
        message = f'{quoted(line)} is not a "key: value" line'
        log.fault(span, "front-matter-line", message, 'write "key: value", or "#" in front of a comment')
        return
    key = match[2].casefold().replace("_", " ")
    key_span = Span(path, idx + 1, match.start(2) + 1, match.end(2) + 1)
    value = Passage.on_line(line, path, idx + 1, 1).part(match.start(3))
    if key in entries:
        first = entries[key].key_span
        log.fault(key_span, "key-twice", f'"{key}" is given twice', "keep one of the two", first)
    elif not value.text:
        log.fault(key_span, "value-missing", f'"{key}:" has no value', "write a value, or delete the line")
    else:
        entries[key] = Entry(key, key_span, value)


def _end_of_open(lines: list[str]) -> int:
    """Where front matter without an end most likely ends: before the first heading, else at the end of the file."""
    return next((idx for idx, line in enumerate(lines) if idx > 1 and re.match(r"#{1,6} ", line)), len(lines))


def _unknown_key(entry: Entry, known: tuple[str, ...], log: Log) -> None:
    near = did_you_mean(entry.key, known)
    message = f'unknown key "{entry.key}"'
    if near:
        log.fault(entry.key_span, "key-unknown", message, near)
    else:
        log.doubt(entry.key_span, "key-unknown", message, "it is only printed; known are " + ", ".join(known))
