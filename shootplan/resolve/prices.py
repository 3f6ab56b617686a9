"""
The price book as it is looked up: one row for each item, the newest that is valid on the day of the episode.

A price book and a day come in, rows and problems go out. Nothing is costed here, and a near name is never a match.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterable
from dataclasses import field
from datetime import date
from decimal import Decimal
from operator import attrgetter
from typing import Any

from shootplan.model.episode import Episode, PriceBook, PriceKind, PriceRow
from shootplan.model.quantity import Amount
from shootplan.model.show import amount_text
from shootplan.problems import Problem, Severity, did_you_mean
from shootplan.records import dataclass
from shootplan.resolve.amounts import in_unit
from shootplan.resolve.names import NameIndex, plain

__all__ = ["Prices", "check_prices"]

#: A price per unit further than this from the item's row before looks like a pack price read as a unit price.
JUMP = 5
#: Of more names than this only those that begin a word alike are compared for a hint, and the nearest of them kept.
_MANY, _NEAR = 2000, 12
#: The fields that decide which row of an item counts.
_DECIDING = ("seen", "until", "kind", "regular_price")


@dataclass(frozen=True, slots=True)
class Prices:
    """The rows of a price book as they count on one day, each found by its plain name."""

    book: PriceBook
    day: date
    index: NameIndex
    fields: tuple[Callable[[int], Any], ...]
    _best: dict[str, PriceRow | None] = field(default_factory=dict)
    _places: dict[str, tuple[int, ...]] = field(default_factory=dict)

    @classmethod
    def of(cls, episode: Episode) -> Prices:
        """Return the look-up of an episode's price book on the day of the shoot."""
        book = episode.prices
        return cls(book, episode.shoot_date, NameIndex(book.items), tuple(map(book.values, _DECIDING)))

    def find(self, name: str) -> PriceRow | None:
        """Return the newest valid row of that name, regular prices before offers (rule M5), or ``None``."""
        key = plain(name)
        if key not in self._best:
            best = self._best_of(self._all_of(name))
            self._best[key] = self.book.rows[best] if best is not None else None
        return self._best[key]

    def _best_of(self, places: Iterable[int]) -> int | None:
        """Return the place of the row that counts among those of one item, or ``None``."""
        seen_at, until_at, kind_at, regular_price_at = self.fields
        best, rank = None, (False, date.min)
        for place in places:
            seen, until = seen_at(place), until_at(place)
            if (seen is None or seen <= self.day) and (until is None or until >= self.day):
                is_regular = kind_at(place) is PriceKind.REGULAR or regular_price_at(place) is not None
                own = (is_regular, seen or date.min)
                if best is None or own >= rank:  # of equal ones the last; undated is oldest
                    best, rank = place, own
        return best

    def before(self, row: PriceRow) -> int | None:
        """Return the place of the latest row of the item that is dated before this one, of several the first."""
        best, latest, seen_at = None, date.min, self.fields[0]
        for place in self._all_of(row.item) if row.seen else ():
            seen = seen_at(place)
            if seen and seen < row.seen and (best is None or seen > latest):
                best, latest = place, seen
        return best

    def _all_of(self, name: str) -> tuple[int, ...]:
        """Return the places of every row of that name, plurals apart, in file order."""
        key = plain(name)
        if key not in self._places:
            self._places[key] = self.index.find(name)
        return self._places[key]

    def near(self, name: str) -> str | None:
        """Return a hint that names near items that have a price on the day, or ``None``."""
        names = dict.fromkeys(self.book.items)
        if len(names) > _MANY:
            starts = {word[:3] for word in plain(name).split()}
            names = {item: None for item in names if any(word[:3] in starts for word in item.casefold().split())}
        near = difflib.get_close_matches(name.casefold(), [item.casefold() for item in names], n=_NEAR, cutoff=0.6)
        return did_you_mean(name, (item for item in names if item.casefold() in near and self.find(item) is not None))


def check_prices(episode: Episode, used: Iterable[PriceRow], prices: Prices) -> tuple[Problem, ...]:
    """Return what looks wrong in the rows that are used: no price, another currency, stock, a jump."""
    found: list[Problem] = []
    book = episode.prices
    pack_at, price_at = book.values("pack"), book.values("price")
    each = {id(row): row for row in used}.values()  # the book makes a row once
    for row in sorted(each, key=attrgetter("span.path", "span.line", "span.column")):
        if row.price == 0:
            found.append(
                _warning(row, "price-zero", f'the price of "{row.item}" is 0', "leave the row out, or price it")
            )
        if row.currency != episode.currency:
            found.append(_other_currency(row, episode.currency))
        if row.stock is not None and not any(
            in_unit(row.stock, p.unit, system="metric", item=row.item) for p in row.pack
        ):
            message = f'{amount_text(row.stock)} of "{row.item}" in stock cannot be told in {amount_text(row.pack[0])}'
            found.append(_warning(row, "stock-unit", message, "give the stock in the pack's own measure"))
        earlier = prices.before(row)
        if earlier is not None and _jumps(row, pack_at(earlier), price_at(earlier)):
            found.append(_jump(row, book.rows[earlier]))
    return tuple(found)


def _warning(row: PriceRow, code: str, message: str, hint: str) -> Problem:
    return Problem(span=row.span, code=code, message=message, severity=Severity.WARNING, hint=hint)


def _other_currency(row: PriceRow, currency: str) -> Problem:
    message = f'"{row.item}" is priced in {row.currency}, the episode in {currency}'
    return _warning(row, "price-currency", message, f"add a row in {currency}")


def _jump(row: PriceRow, earlier: PriceRow) -> Problem:
    return Problem(
        span=row.span,
        code="price-jump",
        message=f'"{row.item}" costs more than {JUMP} times more or less than in its row before',
        severity=Severity.WARNING,
        hint="write the price of the whole pack, and the pack that it buys",
        related=(earlier.span,),
    )


def _jumps(row: PriceRow, earlier_pack: tuple[Amount, ...], earlier_price: Decimal) -> bool:
    """Return whether the price of one unit changed more than ``JUMP`` times, where both packs are in one unit."""
    for pack in row.pack:
        for other in earlier_pack:
            if pack.unit == other.unit and pack.high and other.high and earlier_price and row.price:
                # (price / pack) : (earlier price / other pack) as one : two, in whole numbers
                top, bottom = row.price.as_integer_ratio()
                other_top, other_bottom = earlier_price.as_integer_ratio()
                one = top * other_bottom * other.high.numerator * pack.high.denominator
                two = other_top * bottom * other.high.denominator * pack.high.numerator
                return not (two <= one * JUMP and one <= two * JUMP)
    return False
