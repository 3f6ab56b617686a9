"""
A saved ``plan.json`` read back as facts that can be compared.

The file's text comes in, an ``Edition`` or problems go out. A file of an older program holds fewer parts: each part is
read by itself and a missing one is left out; a part that is there and wrong is a fault.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from typing import Any

from shootplan.model.changes import Edition, Fact
from shootplan.problems import Problem, Span
from shootplan.read.saved_costs import cost_facts
from shootplan.read.saved_facts import (
    care_facts,
    cut_facts,
    day_facts,
    episode_facts,
    filmed_facts,
    recipe_facts,
    text_facts,
    time_facts,
)
from shootplan.read.saved_values import Part, WrongPart

__all__ = ["SAVED_VERSION", "edition_of", "read_saved"]

#: The schema version of ``plan.json`` that is understood.
SAVED_VERSION = 1

#: The parts of the file in the order in which they are compared.
_READERS: tuple[tuple[str, Callable[[Part], Iterator[Fact]]], ...] = (
    ("recipes", recipe_facts),
    ("times", time_facts),
    ("day", day_facts),
    ("filmed", filmed_facts),
    ("care", care_facts),
    ("cut", cut_facts),
    ("texts", text_facts),
)


def read_saved(path: str, text: str) -> tuple[Edition | None, tuple[Problem, ...]]:
    """
    Return the facts of a saved plan, or ``None`` and what is wrong with the file.

    Parameters
    ----------
    path
        The file as the user typed it.
    text
        Its text (RFC 8259), as ``build`` wrote it under schema version 1.
    """
    try:
        record = json.loads(text)
    except json.JSONDecodeError as error:
        span = Span(path, error.lineno, error.colno, error.colno + 1)
        return None, (_fault(span, "saved-broken", f"the file is not JSON: {_first_lower(error.msg)}"),)
    except (RecursionError, ValueError):
        return None, (_fault(Span(path), "saved-broken", "the file is not JSON that can be read"),)
    if not isinstance(record, dict) or "schema_version" not in record or "episode" not in record:
        return None, (_fault(Span(path), "saved-foreign", "the file is JSON, but not a plan that was saved by build"),)
    if record["schema_version"] != SAVED_VERSION:
        return None, (_other_version(path, record["schema_version"]),)
    return edition_of(path, record)


def edition_of(path: str, record: dict[str, Any]) -> tuple[Edition | None, tuple[Problem, ...]]:
    """Return the facts of a decoded plan; every part that is wrong is a problem of its own."""
    whole = Part(record)
    problems: list[Problem] = []
    try:
        title, locale = (whole["episode"][name].text() for name in ("title", "locale"))
    except WrongPart as wrong:
        return None, (_wrong(path, wrong),)
    parts: dict[str, tuple[Fact, ...]] = {}
    for name, read in (("episode", episode_facts), ("costs", lambda part: cost_facts(part, locale)), *_READERS):
        found = whole.get(name)
        if found is None:
            continue
        try:
            parts[name] = tuple(read(found))
        except WrongPart as wrong:
            problems.append(_wrong(path, wrong))
    if problems:
        return None, tuple(problems)
    return Edition(name=path, title=title, parts=parts), ()


def _fault(span: Span, code: str, message: str) -> Problem:
    hint = "give the plan.json that build wrote into the episode's folder of documents"
    return Problem(span=span, code=code, message=message, hint=hint)


def _wrong(path: str, wrong: WrongPart) -> Problem:
    place = wrong.place[:120]
    return _fault(Span(path), "saved-foreign", f'"{place}" in the file is not {wrong.want}')


def _other_version(path: str, found: object) -> Problem:
    named = found if isinstance(found, int) and not isinstance(found, bool) and abs(found) < 10**9 else "another kind"
    message = f"the plan was saved under schema version {named}, and only version {SAVED_VERSION} can be compared"
    return Problem(span=Span(path), code="saved-version", message=message, hint="build the episode again, then compare")


def _first_lower(text: str) -> str:
    return text[:1].lower() + text[1:]
