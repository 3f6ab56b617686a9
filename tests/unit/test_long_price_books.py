"""A price book of thousands of rows: rows made on demand, hints, limits, cells over several lines."""

from __future__ import annotations

from dataclasses import replace

import pytest
from costing_helpers import episode, line, recipe

from shootplan.model.episode import PriceBook
from shootplan.model.price_rows import PriceRows
from shootplan.read.csv_text import read_table
from shootplan.read.passage import Log
from shootplan.read.prices import read_prices
from shootplan.resolve import resolve_episode
from shootplan.resolve.prices import Prices

HEAD = "item,pack,price,date\n"


def book(text: str) -> PriceBook:
    """Read a price list that must have no fault."""
    found, problems = read_prices("prices.csv", text, currency="GBP")
    assert problems == ()
    return found


def test_rows_behave_as_a_sequence() -> None:
    """Length, places from either end, slices, equality with a plain tuple; a place beyond the end is an error."""
    rows = book(HEAD + "oats,1 kg,1.10,2026-11-01\nrice,2 kg,3.00,2026-11-01\nbeans,500 g,0.90,2026-11-01\n").rows
    assert len(rows) == 3
    assert [row.item for row in rows] == ["oats", "rice", "beans"]
    assert rows[-1] is rows[2]
    assert [row.item for row in rows[1:]] == ["rice", "beans"]
    assert rows == tuple(rows) and rows != tuple(rows)[:2]
    assert hash(rows) == hash(rows)
    assert repr(rows) == "PriceRows(3 rows)"
    with pytest.raises(IndexError, match="no such row"):
        rows[3]


def test_a_cell_over_two_lines_keeps_the_places_of_the_rows_behind_it() -> None:
    """RFC 4180 allows a line end in quotes; the row behind it stands one line further down."""
    found, (problem,) = read_prices(
        "p.csv", 'item,pack,price,note\noats,1 kg,1.10,"dear\nand good"\nrice,2 kg,cheap,\n', currency="GBP"
    )
    assert [row.item for row in found.rows] == ["oats"]
    assert (problem.code, problem.span.line, problem.span.column) == ("money-bad", 4, 11)


def test_a_row_without_a_currency_is_in_that_of_the_episode() -> None:
    """Whether the cell is empty or the column is not there; the field alone says the same as the row."""
    found = book("item,pack,price,currency\noats,1 kg,1.10,\nrice,2 kg,3.00,EUR\n")
    bare = book("item,pack,price\noats,1 kg,1.10\n")
    assert [row.currency for row in found.rows] == ["GBP", "EUR"]
    assert [found.values("currency")(place) for place in (0, 1)] == ["GBP", "EUR"]
    assert (bare.rows[0].currency, bare.values("currency")(0)) == ("GBP", "GBP")


def test_one_quote_in_a_book_changes_nothing_else() -> None:
    """A book without quotes is split at once and one with a quote row by row; a note in quotes is all that differs."""
    text = HEAD + "oats,1 kg,1.10,2026-11-01\nrice,2 kg,cheap,2026-11-01\n\n beans ,500 g,0.90,\nshort,1 kg\n,,,\n"
    one, one_problems = read_prices("p.csv", text, currency="GBP")
    other, other_problems = read_prices("p.csv", text.replace("oats", '"oats"'), currency="GBP")
    assert one == other and len(one.rows) == 2
    assert [row.span.line for row in one.rows] == [row.span.line for row in other.rows] == [2, 5]
    assert str(one.rows[1].span) == "p.csv:5:2"
    assert one_problems == other_problems
    assert [(p.code, str(p.span)) for p in one_problems] == [("money-bad", "p.csv:3:11"), ("cell-missing", "p.csv:6:1")]


def test_a_head_of_thousands_of_columns_does_not_fill_up_short_rows() -> None:
    """Two thousand short rows below three thousand columns are kept as they are, not as six million cells."""
    table = read_table("p.csv", ",".join("x" * 3000) + "\n" + "oats,1 kg\n" * 2000, Log())
    assert len(table.columns) == 3000 and not any(table.columns)
    assert sum(map(len, table.uneven.values())) == 4000
    assert str(table.passages(1999)[1].span()) == "p.csv:2001:6"


def test_the_newest_valid_row_counts_and_regular_before_offer() -> None:
    """By hand: of four rows the offer is over, one is of tomorrow, one is older; the regular one of November counts."""
    text = (
        "item,pack,price,date,kind,until\n"
        "oats,1 kg,1.00,2026-10-01,,\n"
        "Oats,1 kg,1.20,2026-11-01,,\n"
        "oats,1 kg,0.50,2026-11-20,offer,2026-11-22\n"
        "oats,1 kg,9.00,2026-11-26,,\n"
    )
    made = episode([recipe("dish", [line("oats", "100 g")])], [])
    prices = Prices.of(replace(made, prices=book(text)))
    found = prices.find("oat")
    assert found is not None and str(found.price) == "1.20"


def test_a_misspelt_name_among_thousands_gets_a_hint() -> None:
    """Only names that begin a word alike are compared, and the near one is found."""
    many = HEAD + "".join(f"article {number},1 kg,1.00,2026-11-01\n" for number in range(3000))
    made = episode([recipe("dish", [line("roled oats", "100 g")])], [])
    rows = book(many + "rolled oats,1 kg,1.10,2026-11-01\n").rows
    _, problems = resolve_episode(replace(made, prices=PriceBook(rows=rows)))
    assert [problem.hint for problem in problems if problem.code == "price-missing"] == ['did you mean "rolled oats"?']


def test_a_book_of_twenty_thousand_rows_is_not_too_long() -> None:
    """A recipe has a limit of a million characters; a price book that grew for years has more."""
    rows = "".join(
        f"article {number},1 kg,1.00,2026-11-01, bought at the corner shop again\n" for number in range(20_000)
    )
    text = "item,pack,price,date,note\n" + rows
    assert len(text) > 1024 * 1024
    assert len(book(text).rows) == 20_000


def test_only_the_row_that_counts_is_made() -> None:
    """Of three rows of an item two are looked at by their dates alone; what is looked at is what the row has."""
    text = HEAD + "".join(f"oats,1 kg,1.{number}0,2026-11-0{number}\n" for number in (1, 3, 2)) + "rice,1 kg,2.00,\n"
    rows = book(text)
    fields = ("seen", "until", "kind", "regular_price", "price", "pack")
    looked = [tuple(rows.values(name)(place) for name in fields) for place in range(4)]
    made = episode([recipe("dish", [line("oats", "100 g")])], [])
    prices = Prices.of(replace(made, prices=rows))
    found = prices.find("oats")
    assert found is not None and str(found.price) == "1.30"
    before = prices.before(found)
    assert before == 2
    assert isinstance(rows.rows, PriceRows) and sorted(rows.rows._made) == [1]
    plain = PriceBook(rows=tuple(rows.rows))
    assert looked == [tuple(getattr(row, name) for name in fields) for row in rows.rows]
    assert looked == [tuple(plain.values(name)(place) for name in fields) for place in range(4)]
