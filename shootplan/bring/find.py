"""
Where the recipes are: in a JSON-LD file, or in the data blocks and the microdata of a page.

A file's text comes in; recipes as plain mappings go out, with remarks on blocks that could not be read. Everything is
bounded: size, depth, number of values; nothing is fetched, no context is loaded.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from typing import Any

from shootplan.bring.page import data_blocks, microdata_items
from shootplan.bring.tidy import Node, items, local_name
from shootplan.records import dataclass

__all__ = ["MAX_CHARACTERS", "Found", "recipes_in"]

#: Larger files are not read: a page with its pictures in the text may reach a megabyte.
MAX_CHARACTERS = 8 * 1024 * 1024
_MOST_RECIPES = 20
_MOST_VALUES = 100_000
_MOST_DEPTH = 40


@dataclass(frozen=True, slots=True)
class Found:
    """Recipes in the order of the file, and what is wrong with blocks that could not be read: (line, what)."""

    recipes: tuple[Node, ...]
    faults: tuple[tuple[int, str], ...] = ()


def recipes_in(text: str) -> Found:
    """Return the recipes in a JSON-LD file or a page: in its data blocks, or in its microdata where they have none."""
    if len(text) > MAX_CHARACTERS:
        return Found((), ((1, f"the file has more than {MAX_CHARACTERS:,} characters"),))
    if text.lstrip("\ufeff \t\r\n")[:1] in ("{", "["):
        return _from_json([(1, text.lstrip("\ufeff"))])
    found = _from_json(data_blocks(text))
    if found.recipes:
        return found
    items_found, faults = microdata_items(text)
    recipes = [node for item in items_found for node in _recipes(item)]
    return Found(tuple(recipes[:_MOST_RECIPES]), (*found.faults, *faults))


def _from_json(blocks: list[tuple[int, str]]) -> Found:
    recipes: list[Node] = []
    faults: list[tuple[int, str]] = []
    for line, block in blocks:
        try:
            data = json.loads(_bare(block), strict=False, parse_float=str, parse_constant=str)
        except json.JSONDecodeError as error:
            faults.append((line + error.lineno - 1, f"the data is not JSON: {error.msg}"))
        except (RecursionError, ValueError):
            faults.append((line, "the data is nested too deep or holds a number that is too long"))
        else:
            recipes += _recipes(data)
    return Found(tuple(recipes[:_MOST_RECIPES]), tuple(faults))


def _bare(block: str) -> str:
    """Return JSON without the comment or character-data marks that some pages put around it; lines stay in place."""
    block = re.sub(r"\A(\s*)(?://\s*)?<!\[CDATA\[", r"\1", block)
    block = re.sub(r"(?://\s*)?\]\]>\s*\Z", "", block)
    return re.sub(r"\A(\s*)<!--|-->\s*\Z", r"\1", block).replace("\ufeff", "")


def _recipes(data: object) -> list[Node]:
    """Return every recipe in the data, with what its parts refer to put in their place."""
    nodes = list(_nodes(data))
    by_id: dict[str, Node] = {}
    for node in nodes:
        name = node.get("@id")
        if isinstance(name, str) and len(node) > 1:
            by_id.setdefault(name, node)
    return [_tied(node, by_id, 0) for node in nodes if "Recipe" in map(local_name, items(node.get("@type")))]


def _nodes(data: object) -> Iterator[Node]:
    """Yield every object in the data in its order, by a stack of our own."""
    waiting: list[tuple[object, int]] = [(data, 0)]
    seen = 0
    while waiting and seen < _MOST_VALUES:
        value, depth = waiting.pop()
        seen += 1
        if isinstance(value, Mapping):
            yield value
        inner = list(value.values()) if isinstance(value, Mapping) else value if isinstance(value, list) else []
        if depth < _MOST_DEPTH:
            waiting += [(item, depth + 1) for item in reversed(inner)]


def _tied(value: Any, by_id: Mapping[str, Node], depth: int) -> Any:
    """Return a value with references to other objects of the data replaced by them, a few levels deep."""
    if depth > 8:
        return value
    if isinstance(value, list):
        return [_tied(item, by_id, depth + 1) for item in value[:1000]]
    if isinstance(value, Mapping):
        name = value.get("@id")
        if len(value) == 1 and isinstance(name, str) and name in by_id:
            return _tied(by_id[name], by_id, depth + 1)
        return {local_name(key) or key: _tied(item, by_id, depth + 1) for key, item in value.items()}
    return value
