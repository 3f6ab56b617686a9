"""Records behave as the standard library's dataclasses do; each check makes the same class both ways."""

from __future__ import annotations

import copy
import dataclasses
import pickle
from collections.abc import Callable
from dataclasses import field
from typing import Any, ClassVar

import pytest

from shootplan import records

MAKERS = pytest.mark.parametrize("make", [dataclasses.dataclass, records.dataclass], ids=["standard", "ours"])


def point(make: Callable[..., Any]) -> Any:
    """Return a frozen class with every kind of field that the program uses."""

    @make(frozen=True, slots=True, kw_only=True)
    class Point:
        kind: ClassVar[str] = "point"
        x: int
        y: int = 2
        notes: list[str] = field(default_factory=list, compare=False, repr=False)

    return Point


def pair(make: Callable[..., Any]) -> Any:
    """Return an ordered class whose fields may be given by position and are checked."""

    @make(frozen=True, slots=True, order=True)
    class Pair:
        low: int
        high: int = 9

        def __post_init__(self) -> None:
            if self.high < self.low:
                raise ValueError("upside down")

    return Pair


def ledger(make: Callable[..., Any]) -> Any:
    """Return a class whose fields may change."""

    @make(slots=True)
    class Ledger:
        name: str
        lines: list[str] = field(default_factory=list)

    return Ledger


@MAKERS
def test_fields_defaults_and_text(make: Callable[..., Any]) -> None:
    """Defaults stand, factories make anew, hidden fields are not shown, class variables are no fields."""
    made = point(make)
    one, two = made(x=1), made(x=1)
    assert (one.x, one.y, one.notes, one.kind) == (1, 2, [], "point")
    assert one.notes is not two.notes
    assert repr(one) == "point.<locals>.Point(x=1, y=2)"
    assert [item.name for item in dataclasses.fields(made)] == ["x", "y", "notes"]
    assert [item.compare for item in dataclasses.fields(made)] == [True, True, False]
    assert dataclasses.is_dataclass(one)
    assert made.__match_args__ == ()
    assert made.__dataclass_params__.frozen and not made.__dataclass_params__.order


@MAKERS
def test_equality_and_hash_skip_what_is_not_compared(make: Callable[..., Any]) -> None:
    """Two records are equal if their compared fields are; another class is never equal."""
    made = point(make)
    assert made(x=1, notes=["a"]) == made(x=1, notes=["b"])
    assert hash(made(x=1, notes=["a"])) == hash(made(x=1))
    assert made(x=1) != made(x=2)
    assert made(x=1) != pair(make)(1, 2)


@MAKERS
def test_a_frozen_record_stays(make: Callable[..., Any]) -> None:
    """Neither assignment nor deletion, nor a name that is no field."""
    one = point(make)(x=1)
    for name in ("x", "other"):
        with pytest.raises((dataclasses.FrozenInstanceError, TypeError)):
            setattr(one, name, 5)
    with pytest.raises(dataclasses.FrozenInstanceError):
        del one.x
    assert not hasattr(one, "__dict__")


@MAKERS
def test_replace_and_copies(make: Callable[..., Any]) -> None:
    """The standard library's replace works, and so do copies."""
    one = point(make)(x=1, notes=["a"])
    assert dataclasses.replace(one, x=3).x == 3
    assert dataclasses.replace(one, x=3).notes == ["a"]
    assert copy.copy(one) == one
    assert copy.deepcopy(one).notes == ["a"]


@MAKERS
def test_wrong_calls(make: Callable[..., Any]) -> None:
    """A missing, doubled or unknown field is refused with its name."""
    made = point(make)
    with pytest.raises(TypeError, match="'x'"):
        made()
    with pytest.raises(TypeError, match="z"):
        made(x=1, z=2)
    with pytest.raises(TypeError, match="positional"):
        made(1)


@MAKERS
def test_order_and_check_after_init(make: Callable[..., Any]) -> None:
    """Records compare by their fields in order, and what they check is checked for each."""
    made = pair(make)
    assert sorted([made(2, 3), made(1, 5), made(1, 4)]) == [made(1, 4), made(1, 5), made(2, 3)]
    assert made(1, 2) <= made(1, 2) < made(1, 3) and made(1, 3) > made(1, 2) and made(1, 3) >= made(1, 3)
    with pytest.raises(TypeError):
        assert made(1, 2) < 3
    for _ in range(2):
        with pytest.raises(ValueError, match="upside down"):
            made(3, 2)
    match made(1, 2):
        case made(low, high):
            assert (low, high) == (1, 2)


@MAKERS
def test_a_record_that_may_change(make: Callable[..., Any]) -> None:
    """It takes new values for its fields only, and has no hash."""
    one = ledger(make)("till")
    one.name = "stock"
    one.lines.append("oats")
    assert one == ledger(make)("stock", ["oats"]) or one.lines == ["oats"]
    with pytest.raises(AttributeError):
        one.nothing = 1
    with pytest.raises(TypeError):
        hash(one)


def test_our_records_travel_between_processes() -> None:
    """A span of the program is the same after pickling."""
    from shootplan.problems import Span

    span = Span("a.md", 3, 4)
    assert pickle.loads(pickle.dumps(span)) == span


def test_a_record_is_not_made_of_a_record() -> None:
    """What is not offered is refused at once."""
    made = point(records.dataclass)
    with pytest.raises(TypeError, match="of a record"):
        records.dataclass(slots=True)(type("Child", (made,), {"__annotations__": {}}))
