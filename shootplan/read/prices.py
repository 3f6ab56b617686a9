"""
The price book: ``item,pack,price,shop,date,note`` and optional columns, in any order.

Text comes in, a ``PriceBook`` of all rows goes out. Which of several rows for an item counts, and whether a price is
too old, is decided later.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any

from shootplan.model.episode import PriceBook, PriceKind, PriceRow
from shootplan.model.quantity import Amount
from shootplan.problems import Problem, Span, did_you_mean
from shootplan.read.amounts import read_amount
from shootplan.read.csv_text import cell_rows
from shootplan.read.equipment import singular
from shootplan.read.lines import read_whole_amount
from shootplan.read.passage import Log, Passage
from shootplan.read.text import clean_text
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
    cleaned = clean_text(path, text, log)
    rows: list[PriceRow] = []
    header: tuple[str, ...] | None = None
    for line, cells in cell_rows(path, cleaned or "", log):
        if header is None:
            header = _header(path, cells, log)
        else:
            row = _row(Span(path, line), header, cells, currency, log)
            rows += [row] if row is not None else []
    if header is None and cleaned is not None:
        _missing(path, Span(path), _REQUIRED, log)
    return PriceBook(rows=tuple(rows), path=path), log.in_order()


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


def _row(place: Span, header: tuple[str, ...], cells: tuple[Passage, ...], currency: str, log: Log) -> PriceRow | None:
    extra = [cell for cell in cells[len(header) :] if cell.text]
    if extra:
        hint = "put a cell that holds a comma in double quotes"
        log.fault(extra[0].span(), "cell-extra", f"{quoted(extra[0].text)} stands in no column", hint)
    by_name = {name: cell for name, cell in zip(header, cells, strict=False) if name and cell.text}
    values: dict[str, Any] = {"currency": currency}
    is_sound = True
    for name, cell in by_name.items():
        is_sound = _cell(name, cell, values, log) and is_sound
    return _finished(place, header, by_name, values, is_sound, log)


def _finished(
    place: Span,
    header: tuple[str, ...],
    by_name: dict[str, Passage],
    values: dict[str, Any],
    is_sound: bool,
    log: Log,
) -> PriceRow | None:
    for name in _REQUIRED:
        if name in header and name not in by_name:
            log.fault(place, "cell-missing", f"the row has no {name}", f'fill in the column "{name}"')
    if not is_sound or not all(name in values for name in _REQUIRED):
        return None
    pack, values["is_loose"] = values.pop("pack")
    values["pack"] = tuple(_counted(amount, values["item"]) for amount in pack)
    return PriceRow(span=by_name["item"].span(), **values)


def _cell(name: str, cell: Passage, values: dict[str, Any], log: Log) -> bool:
    field, read = _COLUMNS[name]
    value = read(cell.text)
    if isinstance(value, Wrong):
        log.fault(cell.span(), value.code, value.message, value.hint)
        return False
    values[field] = value
    return True


# ---------------------------------------------------------------------------------------------------- cells


def _pack(text: str) -> tuple[tuple[Amount, ...], bool] | Wrong:
    """Read "2500 g", "1 tin (400 g)", "12 cubes", "1 head (700 g)", "1 kg loose": the measures, and whether loose."""
    hint = 'write "2500 g", "1 tin (400 g)", "12 cubes" or "1 kg loose"'
    wrong = Wrong("pack-bad", f"{quoted(text)} is not the size of a pack", hint)
    is_loose = re.search(r"\bloose\b", text, re.I) is not None
    rest = re.sub(r"\(?,?\s*\bloose\b\s*\)?", " ", text, flags=re.I).strip()
    brackets = re.fullmatch(r"([^()]+)\(([^()]+)\)", rest)
    measures = [brackets[1], *brackets[2].split(",")] if brackets is not None else [rest]
    amounts = [_measure(measure.strip()) for measure in measures]
    found = tuple(amount for amount in amounts if amount is not None)
    if len(found) < len(amounts) or any(amount.low == 0 or amount.is_range for amount in found):
        return wrong
    return found, is_loose


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
