"""
The price book: ``item,pack,price,shop,date,note`` and optional columns, in any order.

Text comes in, a ``PriceBook`` of all rows goes out. Which of several rows for an item counts, and whether a price is
too old, is decided later.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
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
#: What a field is where its cell is empty, if not ``None``: as ``PriceRow`` has it.
_LEFT_OUT = {"kind": PriceKind.REGULAR}


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
    if not table.rows:
        if cleaned is not None:
            _missing(path, Span(path), _REQUIRED, log)
        return PriceBook(path=path), log.in_order()
    header = _header(path, table.passages(0), log)
    columns = _Columns.of(table, header)
    sound = [number for number in range(1, len(table.rows)) if number not in columns.doubtful]
    for number in sorted(columns.doubtful):
        if _row(Span(path, table.lines[number]), header, table.passages(number), log):
            sound.append(number)
    if not all(name in header for name in _REQUIRED):
        return PriceBook(path=path), log.in_order()  # a row without a pack or a price is no price
    if columns.doubtful:
        sound.sort()
    at = header.index("item")
    items = [table.rows[number][at].strip() for number in sound]

    def make(place: int) -> PriceRow:
        return _finished(table, header, sound[place], columns, currency)

    def look(place: int, fields: tuple[str, ...]) -> tuple[object, ...]:
        row = table.rows[sound[place]]
        return tuple(_value(row, at_field.get(name, -1), header, columns, _LEFT_OUT.get(name)) for name in fields)

    at_field = {_COLUMNS[name][0]: at for at, name in enumerate(header) if name}
    return PriceBook(rows=PriceRows(items, make, look), path=path), log.in_order()


@dataclass(frozen=True, slots=True)
class _Columns:
    """
    Which rows must be read cell by cell because something in them may be wrong: ``doubtful``.

    A column holds the same few texts again and again, so each text of it is read once: that is much faster than
    reading every cell, and no fault escapes.
    """

    doubtful: frozenset[int]
    values: dict[tuple[str, str], object]

    @classmethod
    def of(cls, table: CsvTable, header: tuple[str, ...]) -> _Columns:
        """Look at every text of every column once."""
        width = len(header)
        doubtful = {number for number, row in enumerate(table.rows) if number and len(row) != width}
        even = [number for number in range(1, len(table.rows)) if number not in doubtful] if doubtful else None
        rows = table.rows[1:] if even is None else [table.rows[number] for number in even]
        values: dict[tuple[str, str], object] = {}
        for name, cells in zip(header, zip(*rows, strict=True), strict=False):
            wrong = {text for text in set(cells) if _is_doubtful(name, text.strip(), values)}
            if wrong:
                places = (place for place, text in enumerate(cells) if text in wrong)
                doubtful.update(place + 1 if even is None else even[place] for place in places)
        return cls(frozenset(doubtful), values)


def _is_doubtful(name: str, text: str, values: dict[tuple[str, str], object]) -> bool:
    """Return whether a text may be a fault in the column ``name``; what it means is kept if it is not."""
    if not text:
        return name in _REQUIRED
    if not name or _COLUMNS[name][1] is str:
        return False
    value = values[name, text] = _COLUMNS[name][1](text)
    return isinstance(value, Wrong)


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


def _row(place: Span, header: tuple[str, ...], cells: tuple[Passage, ...], log: Log) -> bool:
    """Note everything that is wrong with a row; return whether it can be used all the same."""
    extra = [cell for cell in cells[len(header) :] if cell.text]
    if extra:
        hint = "put a cell that holds a comma in double quotes"
        log.fault(extra[0].span(), "cell-extra", f"{quoted(extra[0].text)} stands in no column", hint)
    by_name = {name: cell for name, cell in zip(header, cells, strict=False) if name and cell.text}
    wrong = [name for name, cell in by_name.items() if not _is_sound(name, cell, log)]
    for name in _REQUIRED:
        if name in header and name not in by_name:
            log.fault(place, "cell-missing", f"the row has no {name}", f'fill in the column "{name}"')
    return not wrong and all(name in by_name for name in _REQUIRED)


def _is_sound(name: str, cell: Passage, log: Log) -> bool:
    value = _COLUMNS[name][1](cell.text)
    if isinstance(value, Wrong):
        log.fault(cell.span(), value.code, value.message, value.hint)
        return False
    return True


def _value(row: Sequence[str], at: int, header: tuple[str, ...], columns: _Columns, left_out: object) -> object:
    """Return what the cell at a column says, ``left_out`` where it says nothing."""
    text = row[at].strip() if 0 <= at < len(row) else ""
    if not text:
        return left_out
    value = columns.values.get((header[at], text))
    return _COLUMNS[header[at]][1](text) if value is None else value


def _finished(table: CsvTable, header: tuple[str, ...], number: int, columns: _Columns, currency: str) -> PriceRow:
    """Return a row that is known to be sound."""
    values: dict[str, Any] = {"currency": currency}
    for name, cell in zip(header, table.rows[number], strict=False):
        text = cell.strip()
        if name and text:
            field, read = _COLUMNS[name]
            value = columns.values.get((name, text))
            values[field] = read(text) if value is None else value
    pack, values["is_loose"] = values.pop("pack")
    values["pack"] = tuple(_counted(amount, values["item"]) for amount in pack)
    if "stock" in values:
        values["stock"] = _counted(values["stock"], values["item"])
    return PriceRow(span=table.place(number, header.index("item")), **values)


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
