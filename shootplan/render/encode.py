"""
Values of the model as JSON (RFC 8259): exact fractions as "n/d" beside decimals, money as texts, never a float.

Frozen dataclasses come in, dictionaries of plain values go out; places in files are left out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
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
    kind: Any = type(value)
    return value if kind in _PLAIN else _form(kind)(value)


@cache
def _form(kind: Any) -> Callable[[Any], Any]:
    """Return how values of a class are written; asked once for each class, because thousands of values are written."""
    for classes, form in _FORMS:
        if issubclass(kind, classes):
            return form
    if is_dataclass(kind):
        return _encode_record
    raise TypeError(f"no JSON form for {kind.__name__}")


def _encode_many(value: Iterable[object]) -> list[Any]:
    return [part if type(part) in _PLAIN else encode(part) for part in value]


def _encode_mapping(value: Mapping[object, object]) -> dict[str, Any]:
    return {str(key): encode(part) for key, part in value.items()}


def _encode_record(value: Any) -> dict[str, Any]:
    kind: Any = type(value)
    found = ((name, getattr(value, name)) for name in _names(kind))
    return {name: part if type(part) in _PLAIN else encode(part) for name, part in found if type(part) is not Span}


def _encode_fraction(value: Fraction) -> dict[str, str]:
    return {"exact": exact_text(value), "decimal": decimal_text(value, _PLACES)}


def _encode_cost(value: Cost) -> dict[str, str]:
    return {**_encode_fraction(value.exact), "currency": value.currency}


#: The first that fits a class is taken.
_FORMS: tuple[tuple[Any, Callable[[Any], Any]], ...] = (
    ((str, int), lambda value: value),
    (Cost, _encode_cost),
    (Fraction, _encode_fraction),
    (Decimal, lambda value: f"{value:f}"),
    (Enum, lambda value: value.value),
    ((date, time), lambda value: value.isoformat()),
    ((tuple, list), _encode_many),
    (Mapping, _encode_mapping),
)


@cache
def _names(kind: Any) -> tuple[str, ...]:
    """Return the fields to show; places name the user's folders, which differ from machine to machine."""
    return tuple(item.name for item in fields(kind) if item.name not in ("field_spans", "path", "folder"))
