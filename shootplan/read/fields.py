"""
Field lists: nested list items ``- key: text`` under a step or an ingredient line.

Items come in, ``Field`` values with places go out; ``StepFields`` then reads each by a table of small parsers. A field
that cannot be read is reported and left out, and the others go on.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from shootplan.model.recipe import Equipment, LookIn, When
from shootplan.problems import Span, did_you_mean
from shootplan.read.after import read_after
from shootplan.read.amounts import read_amount
from shootplan.read.durations import leading_duration, read_duration, read_known, read_range, read_temperature
from shootplan.read.equipment import read_equipment
from shootplan.read.markdown import Item
from shootplan.read.passage import Log, Passage
from shootplan.read.shots import read_shot
from shootplan.read.values import Wrong, choice, quoted, read_count, read_yes_no
from shootplan.records import dataclass

__all__ = ["ROW_FIELDS", "STEP_FIELDS", "Field", "read_fields", "step_values"]

_FIELD = re.compile(r"^(?P<key>[^\W\d_][\w -]{0,40}?)\s*:\s*(?P<value>.*)$", re.S)
Values = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Field:
    """One ``- key: text`` item: the key in small letters with its place, and the text."""

    key: str
    key_span: Span
    value: Passage


def read_fields(items: Iterable[Item], known: Iterable[str], log: Log, *, repeatable: str = "") -> tuple[Field, ...]:
    """Return the fields among nested items whose key is ``known``; only the key ``repeatable`` may come twice."""
    names = tuple(known)
    found: dict[str, Field] = {}
    more: list[Field] = []
    for item in items:
        field = _field(item, names, log)
        if field is None:
            continue
        if field.key not in found:
            found[field.key] = field
        elif field.key == repeatable:
            more.append(field)
        else:
            message = f'"{field.key}:" is given twice'
            log.fault(field.key_span, "field-twice", message, "keep one of the two", found[field.key].key_span)
    return (*found.values(), *more)


def step_values(fields: Iterable[Field], log: Log) -> Values:
    """Return the arguments of ``Step`` that the fields give, read by ``STEP_FIELDS``."""
    values: Values = {}
    for field in fields:
        STEP_FIELDS[field.key](field.value, log, values)
    return values


def _field(item: Item, names: tuple[str, ...], log: Log) -> Field | None:
    match = _FIELD.match(item.text.text)
    if match is None or item.is_numbered:
        message = f'{quoted(item.text.text)} is not a "- key: text" field'
        log.fault(item.span, "field-form", message, "fields are " + ", ".join(f'"{name}:"' for name in names))
        return None
    key = " ".join(match["key"].casefold().split())
    key_span = item.text.span(0, match.end("key"))
    for child in item.children:
        log.fault(
            child.span, "nested-too-deep", f"{quoted(child.text.text)} is nested under a field", "move it one level out"
        )
    if key not in names:
        hint = did_you_mean(key, names) or "fields are " + ", ".join(f'"{name}:"' for name in names)
        log.fault(key_span, "field-unknown", f'unknown field "{key}"', hint)
        return None
    value = item.text.part(match.start("value")) if match["value"] else None
    if value is None or not value.text:
        log.fault(key_span, "value-missing", f'"{key}:" has no value', "write a value, or delete the line")
        return None
    return Field(key, key_span, value)


# ---------------------------------------------------------------------------------------------------- parsers

Parser = Callable[[Passage, Log, Values], None]


def _simple(name: str, read: Callable[[str], object]) -> Parser:
    """Return a parser that stores what ``read`` makes of the whole text."""

    def parse(value: Passage, log: Log, values: Values) -> None:
        result = read(value.on_one_line().text)
        if isinstance(result, Wrong):
            log.fault(value.span(), result.code, result.message, result.hint)
        else:
            values[name] = result

    return parse


def _text(name: str) -> Parser:
    """Return a parser that keeps the text, line ends as blanks."""

    def parse(value: Passage, log: Log, values: Values) -> None:
        values[name] = " ".join(value.text.split("\n"))

    return parse


def _passage(name: str, read: Callable[[Passage, Log], object]) -> Parser:
    """Return a parser for fields of several parts, which report their own places."""

    def parse(value: Passage, log: Log, values: Values) -> None:
        values[name] = read(value, log)

    return parse


def _check(text: str) -> LookIn | Wrong:
    match = re.fullmatch(r"every\s+(.+?)\s+for\s+(.+)", text, re.I)
    wrong = Wrong(
        "check-bad", f"{quoted(text)} does not say when to look in", 'write for example "every 4 min for 1 min"'
    )
    if match is None:
        return wrong
    every, length = read_duration(match[1]), read_duration(match[2])
    if isinstance(every, Wrong) or isinstance(length, Wrong) or not 0 < length < every:
        return wrong
    return LookIn(every_s=every, for_s=length)


def _heats(value: Passage, log: Log) -> Equipment | None:
    found = read_equipment(value, log)
    if not found:
        return None
    oven = found[0]
    if len(found) > 1 or oven.temperature_c is None:
        message = f"{quoted(value.text)} is not one oven with a temperature"
        log.fault(value.span(), "heats-bad", message, 'write for example "heats: oven 200 °C"')
        return None
    return oven


def _until(value: Passage, log: Log, values: Values) -> None:
    _text("until")(value, log, values)
    pattern = r"\bcore(?:\s+temperature)?(?:\s+(?:of|at))?\s+(-?[0-9]+\s*°?\s*[CF])\b"
    core = re.search(pattern, value.text, re.I)
    if core is None:
        return
    degrees = read_temperature(core[1])
    if isinstance(degrees, Wrong):
        log.fault(value.part(core.start(1), core.end(1)).span(), degrees.code, degrees.message, degrees.hint)
    else:
        values["core_temperature_c"] = degrees


def _keeps(value: Passage, log: Log, values: Values) -> None:
    _text("keeps")(value, log, values)
    start = leading_duration(values["keeps"])
    if start is None:
        message = f"{quoted(value.text)} does not begin with a time"
        log.fault(value.span(), "duration-bad", message, 'write for example "24 h" or "14 days"')
    else:
        values["keeps_s"] = start[0]


def _makes(value: Passage, log: Log, values: Values) -> None:
    text = value.on_one_line().text
    match = read_amount(text)
    if match is None or not match.rest.strip():
        values["makes"] = text
    else:
        values["makes"], values["makes_amount"] = match.rest.strip(), match.amount


_WHEN = {
    "evening before": When.AHEAD,
    "day before": When.AHEAD,
    "ahead": When.AHEAD,
    "may be ahead": When.MAY_BE_AHEAD,
    "on the day": When.DAY,
}

#: One parser for each field of a step, in the order in which the guide lists them.
STEP_FIELDS: Mapping[str, Parser] = {
    "hands": _simple("hands", read_range),
    "watch": _simple("watch", read_range),
    "leave": _simple("leave", read_known),
    "check": _simple("check", _check),
    "until": _until,
    "after": _passage("after", read_after),
    "within": _simple("within_s", read_duration),
    "at least": _simple("at_least_s", read_duration),
    "when": _simple("when", choice(_WHEN)),
    "keeps": _keeps,
    "place": _text("ahead_place"),
    "uses": _passage("uses", read_equipment),
    "holds": _passage("holds", read_equipment),
    "frees": _passage("frees", read_equipment),
    "heats": _passage("heats", _heats),
    "pausable": _simple("is_pausable", read_yes_no),
    "overnight": _simple("may_stand_overnight", read_yes_no),
    "batches": _simple("batches", read_count),
    "good for": _simple("fit_s", read_duration),
    "optional": _simple("is_optional", read_yes_no),
    "who": _text("who"),
    "makes": _makes,
    "serves": _simple("is_serving", read_yes_no),
    "shot": _passage("shot", read_shot),
    "say": _text("say"),
    "caption": _text("caption"),
    "caution": _text("caution"),
    "swap-out": _simple("may_swap_out", read_yes_no),
}

#: The fields of rows that are filmed but not cooked: opening, between, closing.
ROW_FIELDS = ("shot", "say", "caption", "caution")
