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


def encode(value: object) -> Any:
    """
    Return a value of the model as plain JSON values.

    Raises
    ------
    TypeError
        If it holds something that has no form here, a float among others.
    """
    if value is None or isinstance(value, str | bool | int):
        return value
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
    if is_dataclass(value) and not isinstance(value, type):
        found = ((name, getattr(value, name)) for name in _names(type(value)))
        return {name: encode(part) for name, part in found if not isinstance(part, Span)}
    if isinstance(value, Mapping):
        return {str(key): encode(part) for key, part in value.items()}
    if isinstance(value, tuple | list):
        return [encode(part) for part in value]
    raise TypeError(f"no JSON form for {type(value).__name__}")


@cache
def _names(kind: Any) -> tuple[str, ...]:
    """Return the fields to show; places name the user's folders, which differ from machine to machine."""
    return tuple(item.name for item in fields(kind) if item.name not in ("field_spans", "path", "folder"))


def _decimal(value: Fraction) -> str:
    return decimal_text(value, _PLACES)
