"""
Values of the model as JSON (RFC 8259): exact fractions as "n/d" beside decimals, money as texts, never a float.

Frozen dataclasses come in, dictionaries of plain values go out; places in files are left out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date, time
from decimal import Decimal
from enum import Enum
from fractions import Fraction
from functools import cache
from typing import Any

from shootplan.model.money import Cost
from shootplan.model.show import decimal_text, exact_text
from shootplan.problems import Span

__all__ = ["encode"]

_PLACES = 4
#: Most parts are of these: they pass before anything else is asked.
_PLAIN = frozenset({type(None), str, bool, int})


def encode(value: object) -> Any:
    """
    Return a value of the model as plain JSON values.

    Raises
    ------
    TypeError
        If it holds something that has no form here, a float among others.
    """
    if type(value) in _PLAIN or isinstance(value, str | int):
        return value
    if type(value) is tuple:
        return _encode_many(value)
    if isinstance(value, Cost):
        return {"exact": exact_text(value.exact), "decimal": _decimal(value.exact), "currency": value.currency}
    if isinstance(value, Fraction):
        return {"exact": exact_text(value), "decimal": _decimal(value)}
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, date | time):
        return value.isoformat()
    return _encode_many(value)


def _encode_many(value: object) -> Any:
    kind = type(value)
    if kind is tuple or isinstance(value, tuple | list):
        return [part if type(part) in _PLAIN else encode(part) for part in value]  # type: ignore[attr-defined]
    if is_dataclass(kind):
        found = ((name, getattr(value, name)) for name in _names(kind))
        return {name: part if type(part) in _PLAIN else encode(part) for name, part in found if type(part) is not Span}
    if isinstance(value, Mapping):
        return {str(key): encode(part) for key, part in value.items()}
    raise TypeError(f"no JSON form for {kind.__name__}")


@cache
def _names(kind: Any) -> tuple[str, ...]:
    """Return the fields to show; places name the user's folders, which differ from machine to machine."""
    return tuple(item.name for item in fields(kind) if item.name not in ("field_spans", "path", "folder"))


def _decimal(value: Fraction) -> str:
    return decimal_text(value, _PLACES)
