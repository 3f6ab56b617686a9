"""
Equipment as steps name it: ``ring, 3 l pan``; ``oven 180 °C, 2 shelves``; ``2 trays``; ``small chopper (noise)``.

A field's text comes in, ``Equipment`` values go out. Whether the kitchen has such a thing is not known here.
"""

from __future__ import annotations

import re
from dataclasses import replace

from shootplan.model.recipe import Equipment
from shootplan.read.durations import read_temperature
from shootplan.read.passage import Log, Passage
from shootplan.read.values import Wrong, quoted

__all__ = ["read_equipment", "singular"]

_NOISE = re.compile(r"\s*\((?:noise|noisy)\)\s*$", re.I)
_TEMPERATURE = re.compile(
    r"^(?P<kind>.*?\boven\b.*?)\s+(?:at\s+)?(?P<degrees>[-−]?[0-9]+\s*°?\s*[CF]|[0-9]+\s*(?:°|deg.*)?)$", re.I
)
_SHELVES = re.compile(r"^([0-9]{1,2}) shel(?:f|ves)$", re.I)
_SIZE_UNIT = (
    r"(?:ml|cl|dl|l|litres?|liters?|cm|mm|in|inch|inches|g|kg|oz|lb|quarts?|pints?|cups?)(?![A-Za-z])|[-–×\"”″]"
)
_COUNT = re.compile(rf"^([0-9]{{1,3}})\s+(?:[x×]\s+)?(?!{_SIZE_UNIT})(\S.*)$")


def read_equipment(passage: Passage, log: Log) -> tuple[Equipment, ...]:
    """Return the equipment named in a field, in its order; what cannot be read is reported and left out."""
    found: list[Equipment] = []
    for piece in passage.on_one_line().pieces(r"[,;]"):
        shelves = _SHELVES.match(piece.text)
        if shelves is not None and found and found[-1].temperature_c is not None:
            found[-1] = replace(found[-1], shelves=max(1, int(shelves[1])))
            continue
        equipment = _one(piece, log)
        if equipment is not None:
            found.append(equipment)
    return tuple(found)


def singular(word: str) -> str:
    """Return a plural noun's singular by the plain rules of English spelling; other words stay as they are."""
    if word.endswith(("ches", "shes", "sses", "xes")):
        return word[:-2]
    if word.endswith("ves"):
        return word[:-3] + ("fe" if word.endswith("nives") else "f")
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    return word[:-1] if word.endswith("s") and not word.endswith("ss") else word


def _one(piece: Passage, log: Log) -> Equipment | None:
    text = piece.text
    is_noisy = _NOISE.search(text) is not None
    text = _NOISE.sub("", text).strip()
    hot = _TEMPERATURE.match(text)
    if hot is not None:
        return _oven(piece, hot, log)
    count, kind = _count_and_kind(text)
    if count == 0:
        log.fault(piece.span(), "number-bad", f"{quoted(text)} asks for none", "delete it, or write how many")
        return None
    if kind.casefold() == "hob":
        kind = "ring"
    return Equipment(kind=kind, count=count, is_noisy=is_noisy, span=piece.span())


def _oven(piece: Passage, hot: re.Match[str], log: Log) -> Equipment | None:
    degrees = read_temperature(hot["degrees"])
    if isinstance(degrees, Wrong):
        log.fault(piece.part(hot.start("degrees")).span(), degrees.code, degrees.message, degrees.hint)
        return None
    return Equipment(kind=hot["kind"].strip(), temperature_c=degrees, span=piece.span())


def _count_and_kind(text: str) -> tuple[int, str]:
    """Split "2 trays" into 2 and "tray"; "3 l pan" is one pan of that size."""
    match = _COUNT.match(text)
    if match is None:
        return 1, text
    count, kind = int(match[1]), match[2]
    if count == 1:
        return 1, kind
    head, _, last = kind.rpartition(" ")
    return count, f"{head} {singular(last)}".strip()
