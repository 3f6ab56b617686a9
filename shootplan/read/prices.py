"""
The price book: ``item,pack,price,shop,date,note`` and optional columns, in any order.

Text comes in, a ``PriceBook`` of all rows goes out. Which of several rows for an item counts, and whether a price is
too old, is decided later.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import fields, replace
from fractions import Fraction
from typing import Any

from shootplan.model.episode import PriceBook, PriceKind, PriceRow
from shootplan.model.price_rows import PriceRows
from shootplan.model.quantity import Amount
from shootplan.problems import Problem, Span, did_you_mean
from shootplan.read.amounts import read_amount
from shootplan.read.csv_text import CsvTable, read_table
from shootplan.read.equipment import singular
from shootplan.read.lines import read_whole_amount
from shootplan.read.passage import Log, Passage
from shootplan.read.text import MAX_PRICE_CHARACTERS, clean_text
from shootplan.read.values import (
    Wrong,
    choice,
    quoted,
    read_currency,
    read_date,
    read_number,
    read_percent,
    read_price,
    read_yes_no,
)
from shootplan.records import dataclass

__all__ = ["read_prices"]

_REQUIRED = ("item", "pack", "price")


def read_prices(path: str, text: str, *, currency: str) -> tuple[PriceBook, tuple[Problem, ...]]:
    """
    Return all rows of a price list in file order, and every problem found in it.

    Parameters
    ----------
    path
        The file as the user typed it.
    text
        The file's text (RFC 4180, header in the first row).
    currency
        The currency (ISO 4217) of rows that do not say.
    """
    log = Log()
    cleaned = clean_text(path, text, log, most=MAX_PRICE_CHARACTERS)
    table = read_table(path, cleaned or "", log)
    if not table.head:
        if cleaned is not None:
            _missing(path, Span(path), _REQUIRED, log)
        return PriceBook(path=path), log.in_order()
    header = _header(path, table.head, log)
    left_out = {**_LEFT_OUT, "currency": currency}
    columns = {at: _Column.of(name, table.columns[at], left_out) for at, name in enumerate(header) if name}
    doubtful = {table.even[place] for column in columns.values() for place in column.doubtful()} | table.uneven.keys()
    refused = {number for number in sorted(doubtful) if not _row(table, number, header, log)}
    if not all(name in header for name in _REQUIRED):
        return PriceBook(path=path), log.in_order()  # a row without a pack or a price is no price
    numbers = table.even
    if doubtful:
        numbers = [number for number in range(len(table.lines)) if number not in refused]
        columns = {at: column.of_rows(table.cells(at), numbers) for at, column in columns.items()}
    by_field = {column.field: column for column in columns.values()}
    items = list(map(str.strip, by_field.pop("item").cells))
    item_at = header.index("item")

    def make(place: int) -> PriceRow:
        values = {name: column.meanings[column.cells[place]] for name, column in by_field.items()}
        return _price_row(items[place], values, table.place(numbers[place], item_at), currency)

    def values(name: str) -> Callable[[int], object]:
        column = by_field.get(name)
        if column is None:
            return lambda _place: left_out[name]
        return column.value if name != "pack" else lambda place: _pack_of(column.value(place)[0], items[place])

    return PriceBook(rows=PriceRows(items, make, values), path=path), log.in_order()


class _Meanings(dict[str, Any]):
    """What each text of a column means, ``Wrong`` where it may be a fault; read when it is first asked for."""

    def __init__(self, read: Callable[[str], object], left_out: object) -> None:
        super().__init__()
        self._read, self._left_out = read, left_out

    def __missing__(self, text: str) -> object:
        stripped = text.strip()
        value = self[text] = self._read(stripped) if stripped else self._left_out
        return value


@dataclass(frozen=True, slots=True)
class _Column:
    """
    The cells of a column as typed, and what they mean.

    A column holds the same few texts again and again, so each text of it is read once: that is much faster than
    reading every cell, and no fault escapes.
    """

    field: str
    cells: Sequence[str]
    meanings: _Meanings
    is_free_text: bool

    @classmethod
    def of(cls, name: str, cells: Sequence[str], left_out: Mapping[str, object]) -> _Column:
        """Return the column of that name; ``left_out`` says what each field is where its cell is empty."""
        field, read = _COLUMNS[name]
        return cls(field, cells, _Meanings(read, left_out[field]), read is str)

    def of_rows(self, cells: Sequence[str], numbers: Sequence[int]) -> _Column:
        """Return the column of some of the rows, by their numbers."""
        return replace(self, cells=[cells[number] for number in numbers])

    def value(self, place: int) -> Any:
        """Return what the cell of a row says."""
        return self.meanings[self.cells[place]]

    def doubtful(self) -> set[int]:
        """Return the places of rows that must be read cell by cell: something in this column may be wrong."""
        if self.is_free_text and (self.field not in _REQUIRED or all(map(str.strip, self.cells))):
            return set()
        wrong = {text for text in set(self.cells) if isinstance(self.meanings[text], Wrong)}
        return {number for number, text in enumerate(self.cells) if text in wrong} if wrong else set()


def _header(path: str, cells: tuple[Passage, ...], log: Log) -> tuple[str, ...]:
    names: list[str] = []
    for cell in cells:
        name = " ".join(cell.text.casefold().replace("_", " ").split())
        if name in names:
            log.fault(
                cell.span(), "column-twice", f"the column {quoted(name)} stands here twice", "keep one of the two"
            )
            name = ""
        elif name not in _COLUMNS:
            hint = did_you_mean(name[:80], _COLUMNS) or "columns are " + ", ".join(_COLUMNS)
            log.fault(cell.span(), "column-unknown", f"unknown column {quoted(name)}", hint)
            name = ""
        names.append(name)
    missing = tuple(name for name in _REQUIRED if name not in names)
    if missing:
        _missing(path, cells[0].span(), missing, log)
    return tuple(names)


def _missing(path: str, span: Span, names: tuple[str, ...], log: Log) -> None:
    listed = ", ".join(f'"{name}"' for name in names)
    hint = 'begin the file with "item,pack,price,shop,date,note"'
    log.fault(span, "column-missing", f"the price list has no column {listed}", hint)


def _row(table: CsvTable, number: int, header: tuple[str, ...], log: Log) -> bool:
    """Note everything that is wrong with a row; return whether it can be used all the same."""
    cells = table.passages(number)
    extra = [cell for cell in cells[len(header) :] if cell.text]
    if extra:
        hint = "put a cell that holds a comma in double quotes"
        log.fault(extra[0].span(), "cell-extra", f"{quoted(extra[0].text)} stands in no column", hint)
    by_name = {name: cell for name, cell in zip(header, cells, strict=False) if name and cell.text}
    wrong = [name for name, cell in by_name.items() if not _is_sound(name, cell, log)]
    for name in _REQUIRED:
        if name in header and name not in by_name:
            place = Span(table.path, table.lines[number])
            log.fault(place, "cell-missing", f"the row has no {name}", f'fill in the column "{name}"')
    return not wrong and all(name in by_name for name in _REQUIRED)


def _is_sound(name: str, cell: Passage, log: Log) -> bool:
    value = _COLUMNS[name][1](cell.text)
    if isinstance(value, Wrong):
        log.fault(cell.span(), value.code, value.message, value.hint)
        return False
    return True


def _price_row(item: str, values: dict[str, Any], span: Span, currency: str) -> PriceRow:
    """Return a row that is known to be sound."""
    pack, values["is_loose"] = values["pack"]
    values["pack"] = _pack_of(pack, item)
    if values.get("stock") is not None:
        values["stock"] = _counted(values["stock"], item)
    values.setdefault("currency", currency)
    return PriceRow(item=item, span=span, **values)


# ---------------------------------------------------------------------------------------------------- cells


def _pack(text: str) -> tuple[tuple[Amount, ...], bool] | Wrong:
    """
    Read "2500 g", "1 tin (400 g)", "12 cubes", "1 kg loose", "per kg", "each": the measures, and whether loose.

    "each" and "per piece" are one piece, which is bought whole; "per kg" and "per litre" are weighed or poured out.
    """
    hint = 'write "2500 g", "1 tin (400 g)", "12 cubes", "each" or "1 kg loose"'
    wrong = Wrong("pack-bad", f"{quoted(text)} is not the size of a pack", hint)
    if _EACH.fullmatch(text):
        return (Amount.of(1),), False
    per = _PER.fullmatch(text)
    if per is not None:
        text = f"{per[1]} loose" if per[1][0].isdigit() else f"1 {per[1]} loose"
    is_loose = re.search(r"\bloose\b", text, re.I) is not None
    rest = re.sub(r"\(?,?\s*\bloose\b\s*\)?", " ", text, flags=re.I).strip()
    brackets = re.fullmatch(r"([^()]+)\(([^()]+)\)", rest)
    measures = [brackets[1], *brackets[2].split(",")] if brackets is not None else [rest]
    amounts = [_measure(measure.strip()) for measure in measures]
    found = tuple(amount for amount in amounts if amount is not None)
    if len(found) < len(amounts) or any(amount.low == 0 or amount.is_range for amount in found):
        return wrong
    return found, is_loose


_EACH = re.compile(r"(?:1 |per |a )?(?:each|piece|unit)", re.I)
_PER = re.compile(r"per\s+(100 g|100 ml|kg|kilo|kilogram|g|lb|l|litre|liter)", re.I)


def _measure(text: str) -> Amount | None:
    """Return one measure of a pack; a noun that is no unit ("1 cucumber") counts under itself."""
    match = read_amount(text)
    if match is None:
        return None
    noun = match.rest.strip()
    if not noun:
        return match.amount
    if match.amount.unit or not re.fullmatch(r"[^\W\d_][\w -]{0,60}", noun):
        return None
    return Amount(match.amount.low, match.amount.high, singular(noun.casefold()))


def _pack_of(amounts: tuple[Amount, ...], item: str) -> tuple[Amount, ...]:
    return tuple([_counted(amount, item) for amount in amounts])


def _counted(amount: Amount, item: str) -> Amount:
    """Return "12 eggs" of eggs, "1 cucumber" of cucumber, as bare counts."""
    words = item.casefold().split()
    if amount.unit[:1] not in (words[0][:1], words[-1][:1]):  # no noun of the item, in one or in several
        return amount
    nouns = {" ".join(words), " ".join([*words[:-1], singular(words[-1])]), words[-1], singular(words[-1])}
    return Amount(amount.low, amount.high, "") if amount.unit in nouns else amount


def _number_of(unit: str) -> Callable[[str], Fraction | Wrong]:
    """Return a reader for a number whose unit may be written behind it."""

    def read(text: str) -> Fraction | Wrong:
        return read_number(re.sub(rf"\s*{unit}$", "", text))

    return read


_COLUMNS: Mapping[str, tuple[str, Callable[[str], object]]] = {
    "item": ("item", str),
    "pack": ("pack", _pack),
    "price": ("price", read_price),
    "shop": ("shop", str),
    "date": ("seen", read_date),
    "until": ("until", read_date),
    "note": ("note", str),
    "kind": ("kind", choice({kind.value: kind for kind in PriceKind})),
    "regular price": ("regular_price", read_price),
    "deposit": ("deposit", read_price),
    "currency": ("currency", read_currency),
    "density": ("density_g_per_ml", _number_of("g/ml")),
    "piece": ("piece_g", _number_of("g")),
    "yield": ("yield_percent", read_percent),
    "staple": ("is_staple", read_yes_no),
    "allergens": ("allergens", str),
    "stock": ("stock", read_whole_amount),
    "source": ("source", choice({word: word for word in ("receipt", "shelf", "guess")})),
}
#: What a field is where its cell is empty: as ``PriceRow`` has it, but a fault where a row cannot be without. The
#: currency is that of the episode.
_LEFT_OUT: Mapping[str, object] = {field.name: field.default for field in fields(PriceRow)} | dict.fromkeys(
    _REQUIRED, Wrong("cell-missing", "", "")
)
