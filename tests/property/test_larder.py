"""What holds of the larder and the price book whatever is typed: states, unknowns, names, long books."""

from __future__ import annotations

import csv
import io
from decimal import Decimal
from fractions import Fraction

from costing_helpers import episode, line, recipe, row
from hypothesis import given, settings
from hypothesis import strategies as st

from shootplan.cost import cost_episode
from shootplan.larder import density, edible_yield, grams, identify
from shootplan.larder.tables import phrases, weights
from shootplan.model.larder import Rung
from shootplan.problems import Problem, Span
from shootplan.read.csv_text import read_table
from shootplan.read.passage import Log
from shootplan.read.prices import read_prices
from shootplan.read.text import clean_text
from shootplan.resolve import resolve_episode
from shootplan.resolve.names import NameIndex, plain

FEW = settings(max_examples=150, derandomize=True, deadline=None)
STATES = {
    "tinned": "canned", "canned": "canned", "frozen": "frozen", "dried": "dry", "dry": "dry", "cooked": "cooked",
    "boiled": "cooked", "raw": "raw", "fresh": "raw",
}  # fmt: skip
MEASURES = ("cup", "tbsp", "tsp", "", "clove", "slice", "stick", "tin")
_names = st.sampled_from([" ".join(phrase) for phrase in sorted(phrases())])
_around = st.sampled_from(["", "chopped", "large", "small", "ripe", "organic", "good", "your favourite"])


@st.composite
def asked(draw: st.DrawFn) -> tuple[str, str]:
    """Draw an ingredient with a state in words, and the state that it means."""
    word = draw(st.sampled_from(sorted(STATES)))
    return f"{draw(_around)} {word} {draw(_names)}".strip(), STATES[word]


@FEW
@given(asked(), st.sampled_from(MEASURES))
def test_a_food_is_never_taken_in_another_state(drawn: tuple[str, str], measure: str) -> None:
    """What the text says is frozen, dry, tinned, cooked or raw is that or unknown, and so is every figure of it."""
    text, state = drawn
    identity = identify(text)
    figures = (grams(identity, measure), density(identity), edible_yield(identity))
    if identity.is_known:
        assert identity.state == state
        assert not identity.state_is_assumed
        own = {(item.measure, item.grams) for item in weights(identity.food, state)}
        if figures[0].rung is Rung.EXACT:
            assert figures[0].value in {weight for _, weight in own}
    else:
        assert identity.why_not
        assert all(figure.value is None for figure in figures)


@FEW
@given(st.one_of(_names, asked().map(lambda drawn: drawn[0]), st.text(max_size=60)), st.sampled_from(MEASURES))
def test_unknown_is_never_zero(text: str, measure: str) -> None:
    """A figure is above zero with a source, or ``None`` with the reason; nothing in between."""
    identity = identify(text)
    for figure in (grams(identity, measure, measure_ml=Fraction(250)), density(identity), edible_yield(identity)):
        if figure.value is None:
            assert figure.rung is Rung.UNKNOWN
            assert figure.note
        else:
            assert figure.value > 0
            assert figure.source
            assert figure.low is None or figure.high is None or 0 < figure.low <= figure.value <= figure.high


@FEW
@given(_names, st.sampled_from(("cup", "tbsp", "tsp")), st.integers(1, 40))
def test_so_many_of_a_measure_weigh_so_many_times_as_much(text: str, measure: str, count: int) -> None:
    """Through line and price row: n measures are bought as n times one, exactly, or neither is known."""
    one, many = (bought_g(f"{number} {measure}", text) for number in (1, count))
    assert many == (None if one is None else one * count)


def bought_g(amount: str, item: str) -> Fraction | None:
    """Return grams bought of an item whose price row knows only grams."""
    made = recipe("dish", [line(item, amount)])
    resolved, _ = resolve_episode(episode([made], [row(item, "1000 g", "1")]))
    found = resolved.recipes[0].lines[0].as_bought
    return found.high if found is not None else None


@FEW
@given(st.lists(st.tuples(_names, st.integers(1, 20)), min_size=1, max_size=5), st.integers(1, 9))
def test_lines_weighed_by_tables_add_up_and_scale(drawn: list[tuple[str, int]], factor: int) -> None:
    """Sum of lines = total; scaling commutes with costing; a line without a weight is missing, never free."""
    items = {name: f"{count} tbsp" for name, count in drawn}
    rows = [row(name, "500 g", "2.40") for name in items]
    made = [line(name, amount) for name, amount in items.items()]
    costs = [
        cost_episode(resolve_episode(episode([recipe("dish", made, scale=Fraction(scale))], rows))[0])[0].recipes[0]
        for scale in (1, factor)
    ]
    for cost in costs:
        known = [item.cost.exact for item in cost.lines if item.cost is not None]
        assert cost.core.exact == sum(known)
        assert len(known) + len(cost.missing) == len(items)
        assert all(exact > 0 for exact in known)
    assert costs[1].core == costs[0].core.times(factor)
    assert costs[1].missing == costs[0].missing


# -------------------------------------------------------------------------------------------------- price books

_words = st.sampled_from(
    ["leaf", "leaves", "Tomato", "tomatoes", "berry", "berries", "pea", "peas", "glass", "x", "ss"]
)
_written = st.lists(_words, min_size=1, max_size=3).flatmap(
    lambda words: st.sampled_from([" ", "-", "  ", "\u00a0"]).map(lambda gap: gap.join(words))
)


@FEW
@given(st.lists(_written | st.text(max_size=8), max_size=12), _written)
def test_the_index_finds_exactly_what_comparing_every_name_finds(names: list[str], wanted: str) -> None:
    """The quick way is the slow way."""
    assert NameIndex(names).find(wanted) == tuple(n for n, name in enumerate(names) if plain(name) == plain(wanted))


CELLS = {
    "item": ["oats", "Rolled oats", ' "quoted, oats" ', "", "ütter nonsense"],
    "pack": ["500 g", "1 tin (400 g)", "1 kg loose", "12 oats", "", "much", "0 g"],
    "price": ["1.10", "2,35", "0", "", "cheap", "-1"],
    "date": ["2026-11-01", "", "yesterday", "2026-02-30"],
    "kind": ["regular", "offer", "", "bargain"],
    "note": ["", "x"],
}


@FEW
@given(st.lists(st.fixed_dictionaries({name: st.sampled_from(cells) for name, cells in CELLS.items()}), max_size=8))
def test_a_row_means_the_same_alone_and_among_others(drawn: list[dict[str, str]]) -> None:
    """Reading a text of a column once for all rows neither loses a fault nor changes a value."""
    head = ",".join(CELLS)
    texts = [",".join(cells.values()).replace(' "quoted, oats" ', '"quoted, oats"') for cells in drawn]
    book, problems = read_prices("p.csv", "\n".join([head, *texts]), currency="GBP")
    alone = [read_prices("p.csv", f"{head}\n{text}", currency="GBP") for text in texts]
    assert list(book.rows) == [found for one, _ in alone for found in one.rows]
    assert [found.price >= Decimal(0) for found in book.rows] == [True] * len(book.rows)
    moved = [_moved(problem, number) for number, (_, faults) in enumerate(alone) for problem in faults]
    assert [(p.code, p.span, p.message) for p in problems] == moved


def _moved(problem: Problem, number: int) -> tuple[str, Span, str]:
    place = problem.span
    return problem.code, Span(place.path, place.line + number, place.column, place.end_column), problem.message


_cells = st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs", "Zl", "Zp"]), max_size=6) | st.just("a")
_rows = st.lists(st.lists(_cells, min_size=1, max_size=4), max_size=6)
_even_rows = st.lists(st.lists(st.sampled_from(["a", " b", "ü ", "", "c d"]), min_size=3, max_size=3), min_size=1)


@FEW
@given(_rows, st.sampled_from(["", "\n", "\n\n"]), st.booleans())
def test_a_table_is_what_the_standard_library_reads(drawn: list[list[str]], end: str, is_even: bool) -> None:
    """RFC 4180 as the ``csv`` module reads it, blank rows apart, whether a table has quotes and even rows or not."""
    rows = [(row * 4)[:3] for row in drawn] if is_even else drawn
    text = "\n".join(",".join(row) for row in rows) + end
    log = Log()
    table = read_table("p.csv", text, log)
    if not log.problems:
        read = [row for row in csv.reader(io.StringIO(text, newline=""), strict=True) if "".join(row).strip()]
        width = len(read[0]) if read else 0
        filled = [row + [""] * (width - len(row)) if len(row) * 3 >= width else row for row in read[1:]]
        even = {number: row for number, row in enumerate(filled) if len(row) == width}
        assert [cell.text for cell in table.head] == [cell.strip() for row in read[:1] for cell in row]
        assert dict(zip(table.even, map(list, zip(*table.columns, strict=True)), strict=True)) == even
        assert dict(table.uneven) == {number: row for number, row in enumerate(filled) if len(row) != width}
        for column in range(width):
            assert table.cells(column) == [(row + [""] * width)[column] for row in read[1:]]
        cells = [[cell.text for cell in table.passages(number)] for number in range(len(table.lines))]
        assert cells == [[cell.strip() for cell in row] for row in filled]


@FEW
@given(_even_rows)
def test_the_place_of_a_cell_is_where_it_stands_in_its_line(rows: list[list[str]]) -> None:
    """Line and columns cut the very text of the cell out of the file; nothing is cut out for an empty one."""
    text = "\n".join(",".join(row) for row in [["x", "y", "z"], *rows])
    table = read_table("p.csv", text, Log())
    for number, on_line in enumerate(table.lines):
        for column, cells in enumerate(table.columns):
            place = table.place(number, column)
            cut = text.split("\n")[on_line - 1][place.column - 1 : place.end_column - 1]
            assert place.line == on_line
            assert cut == cells[number].strip() or not cells[number].strip()


@FEW
@given(st.lists(st.sampled_from([0, 1, 5, 9_999, 10_000, 10_001, 20_003]), max_size=6))
def test_a_line_is_too_long_beyond_ten_thousand_characters_wherever_it_stands(lengths: list[int]) -> None:
    """Each such line is named at the first character too many, and no other line is."""
    log = Log()
    clean_text("p.csv", "\n".join("x" * length for length in lengths), log)
    assert [(p.code, p.span.line, p.span.column) for p in log.problems] == [
        ("line-too-long", place, 10_001) for place, length in enumerate(lengths, start=1) if length > 10_000
    ]
