"""
The rows of a long price book, made when they are first looked at.

A book of many years has thousands of rows of which an episode uses a hundred: the items' names are at hand for all
rows, the rest of a row is made when somebody asks for it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING, Any, overload

if TYPE_CHECKING:
    from shootplan.model.episode import PriceRow

__all__ = ["PriceRows"]


class PriceRows(Sequence["PriceRow"]):
    """
    Rows in file order: the ``items`` of all of them, and ``make``, which returns the row at a place.

    ``values`` returns for a field what tells its value at a place, so that of many rows of an item only the one that
    counts need be made. Equal to any sequence of the same rows. Making a row must not fail: faults are found before.
    """

    __slots__ = ("_made", "_make", "items", "values")

    def __init__(
        self,
        items: Sequence[str],
        make: Callable[[int], PriceRow],
        values: Callable[[str], Callable[[int], Any]],
    ) -> None:
        self.items = items
        self.values = values
        self._make = make
        self._made: dict[int, PriceRow] = {}

    def __len__(self) -> int:
        return len(self.items)

    @overload
    def __getitem__(self, place: int) -> PriceRow: ...
    @overload
    def __getitem__(self, place: slice) -> Sequence[PriceRow]: ...
    def __getitem__(self, place: int | slice) -> PriceRow | Sequence[PriceRow]:
        if isinstance(place, slice):
            return tuple(self[number] for number in range(*place.indices(len(self))))
        if place < 0:
            place += len(self)
        if not 0 <= place < len(self):
            raise IndexError("no such row")
        row = self._made.get(place)
        if row is None:
            row = self._made[place] = self._make(place)
        return row

    def __iter__(self) -> Iterator[PriceRow]:
        return (self[place] for place in range(len(self)))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Sequence) and tuple(self) == tuple(other)

    def __hash__(self) -> int:
        return hash(tuple(self.items))

    def __repr__(self) -> str:
        return f"PriceRows({len(self)} rows)"
