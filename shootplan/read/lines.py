"""
The ingredients section: list items with nested fields, grouped by ``###`` headings.

Blocks come in, ``IngredientLine`` and ``Group`` values go out. The line itself is read by ``ingredient``; its fields
and groups are applied here.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from shootplan.model.quantity import Amount
from shootplan.model.recipe import Alternate, Group, IngredientLine, Purpose
from shootplan.read.amounts import read_amount
from shootplan.read.durations import leading_duration
from shootplan.read.fields import Field, read_fields
from shootplan.read.ingredient import read_ingredient_line
from shootplan.read.markdown import Heading, Item
from shootplan.read.passage import Log, Passage, slug
from shootplan.read.sections import Section, warn_unused
from shootplan.read.text import MAX_LINES
from shootplan.read.values import Wrong, choice, quoted, read_percent, read_yes_no

__all__ = ["read_ingredients", "read_whole_amount"]

_GROUP = re.compile(r"^(?P<title>[^(]*\S)\s*\((?P<about>[^()]*)\)$")


def read_ingredients(
    section: Section, log: Log, *, decimal_comma: bool = False
) -> tuple[tuple[IngredientLine, ...], tuple[Group, ...]]:
    """Return all lines in order and the groups they stand in."""
    lines: list[IngredientLine] = []
    groups: list[Group] = []
    for block in section.blocks:
        if isinstance(block, Heading):
            groups.append(_group(block.title, {group.id for group in groups}, log, decimal_comma))
        elif not isinstance(block, Item):
            warn_unused(block, section.heading.title.text, log)
        elif len(lines) >= MAX_LINES:
            log.fault(block.span, "lines-too-many", f"more than {MAX_LINES} ingredients", "split the recipe in two")
            break
        else:
            line = _line(block, {line.id for line in lines}, log, decimal_comma)
            if line is not None:
                lines.append(replace(line, group=groups[-1].id if groups else None))
    return tuple(lines), tuple(groups)


def read_whole_amount(text: str, *, decimal_comma: bool = False) -> Amount | Wrong:
    """Return the amount that the whole of ``text`` is."""
    match = read_amount(text, decimal_comma=decimal_comma)
    if match is None or match.rest.strip():
        return Wrong("amount-bad", f"{quoted(text)} is not an amount", 'write a figure and a unit, as in "250 g"')
    return match.amount


# ---------------------------------------------------------------------------------------------------- lines


def _line(item: Item, taken: set[str], log: Log, decimal_comma: bool) -> IngredientLine | None:
    text = item.text.on_one_line()
    line, problems = read_ingredient_line(text.text, span=text.span(), taken_ids=taken, decimal_comma=decimal_comma)
    log.problems.extend(problems)
    fields = read_fields(item.children, _LINE_FIELDS, log, repeatable="alternate")
    for field in fields:
        changed = _LINE_FIELDS[field.key](field.value.on_one_line().text, decimal_comma)
        if isinstance(changed, Wrong):
            log.fault(field.value.span(), changed.code, changed.message, changed.hint)
        elif line is not None:
            line = _with_field(line, field, changed)
    return line


def _with_field(line: IngredientLine, field: Field, changed: Mapping[str, Any]) -> IngredientLine:
    if field.key == "alternate":
        alternate = replace(changed["alternate"], span=field.value.span())
        return replace(line, alternates=(*line.alternates, alternate))
    return replace(line, **changed)


Change = Mapping[str, Any] | Wrong


def _one(name: str, read: Callable[[str], object]) -> Callable[[str, bool], Change]:
    """Return a reader that changes one field of the line."""

    def change(text: str, decimal_comma: bool) -> Change:
        value = read(text)
        return value if isinstance(value, Wrong) else {name: value}

    return change


def _single_use(text: str, decimal_comma: bool) -> Change:
    amount = read_whole_amount(text, decimal_comma=decimal_comma)
    return amount if isinstance(amount, Wrong) else {"single_use": amount}


def _alternate(text: str, decimal_comma: bool) -> Change:
    match = read_amount(text, decimal_comma=decimal_comma)
    if match is None:
        return {"alternate": Alternate(item=text)}
    item = match.rest.strip()
    if not item:
        return Wrong("alternate-bad", f"{quoted(text)} names no ingredient", 'write for example "60 g vegan cheddar"')
    return {"alternate": Alternate(item=item, amount=match.amount)}


_PURPOSES = {purpose.value: purpose for purpose in Purpose}
_LINE_FIELDS: Mapping[str, Callable[[str, bool], Change]] = {
    "yield": _one("yield_percent", read_percent),
    "buy": _one("buy", str),
    "alternate": _alternate,
    "single use": _single_use,
    "staple": _one("is_staple", read_yes_no),
    "purpose": _one("purpose", choice(_PURPOSES)),
    "rounding": _one("is_tight", choice({"tight": True, "normal": False})),
    "optional": _one("is_optional", read_yes_no),
}


# ---------------------------------------------------------------------------------------------------- groups


def _group(title: Passage, taken: set[str], log: Log, decimal_comma: bool) -> Group:
    """Read ``### Pickled red onion (makes 250 g, optional, keeps 14 days)``; other brackets belong to the title."""
    match = _GROUP.match(title.text)
    about = title.part(match.start("about"), match.end("about")) if match is not None else None
    if match is None or about is None or not re.match(r"(makes|optional|keeps)\b", about.text, re.I):
        return Group(id=slug(title.text, taken), title=title.text, span=title.span())
    values: dict[str, Any] = {}
    for piece in about.pieces(","):
        _about_group(piece, values, log, decimal_comma)
    name = match["title"]
    return Group(id=slug(name, taken), title=name, span=title.span(), **values)


def _about_group(piece: Passage, values: dict[str, Any], log: Log, decimal_comma: bool) -> None:
    word, _, rest = piece.text.partition(" ")
    word, rest = word.casefold(), rest.strip()
    value: object = Wrong(
        "group-bad",
        f"{quoted(piece.text)} says nothing of a group",
        'write "makes 250 g", "optional" or "keeps 14 days"',
    )
    name = ""
    if word == "makes":
        name, value = "makes", read_whole_amount(rest, decimal_comma=decimal_comma)
    elif word == "optional" and not rest:
        name, value = "is_optional", True
    elif word == "keeps" and leading_duration(rest) is not None:
        name, value = "keeps", rest
    if isinstance(value, Wrong):
        log.fault(piece.span(), value.code, value.message, value.hint)
    else:
        values[name] = value
