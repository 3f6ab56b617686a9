"""Ingredient lines as cooks write them are read whole, and slips are named at their place."""

from __future__ import annotations

from pathlib import Path

import pytest

from shootplan.model.quantity import Amount
from shootplan.model.recipe import IngredientLine, Purpose
from shootplan.problems import Problem, Severity, Span
from shootplan.read.ingredient import read_ingredient_line

TABLE = Path(__file__).with_name("ingredient_lines.md")


def cases() -> list[tuple[str, str]]:
    """Return (line, expected) of each case in the table."""
    lines = [line[2:] for line in TABLE.read_text(encoding="utf-8").splitlines() if line.startswith("- ")]
    return [(text, expected) for text, _, expected in (line.partition(" → ") for line in lines)]


def read(text: str, **options: bool) -> tuple[IngredientLine | None, tuple[Problem, ...]]:
    """Read a line that stands in column 3 of line 7."""
    return read_ingredient_line(text, span=Span("a.md", 7, 3, 3 + len(text)), taken_ids=(), **options)


def amount_words(amount: Amount) -> str:
    """Write an amount as the table has it."""
    ends = f"{amount.low}..{amount.high}" if amount.is_range else str(amount.high)
    return f"{ends} {amount.unit}".strip()


def told(line: IngredientLine) -> set[str]:
    """Write every field that is not at its default as the table has it."""
    amounts = {
        "amount": line.amount,
        "second": line.second,
        "plus": line.second_plus,
        "each": line.each,
        "drained": line.drained,
    }
    words = {"size": line.size, "second_size": line.second_size, "item": line.item, "form": line.form}
    marks = {
        "prepared": line.is_prepared,
        "optional": line.is_optional,
        "taste": line.is_to_taste,
        "about": line.is_approximate,
        "tight": line.is_tight,
    }
    found = {f"{name} {amount_words(amount)}" for name, amount in amounts.items() if amount is not None}
    found |= {f"{name} {text}" for name, text in words.items() if text}
    found |= {f"{name} ~" for name, is_set in marks.items() if is_set}
    found |= {f"purpose {line.purpose.value}"} if line.purpose is not Purpose.DISH else set()
    for other in line.alternates:
        found.add(" ".join(filter(None, ("or", amount_words(other.amount) if other.amount else "", other.item))))
    return found


@pytest.mark.parametrize(("text", "expected"), cases(), ids=[text for text, _ in cases()])
def test_a_line_means_what_the_table_says(text: str, expected: str) -> None:
    """Every field that is not at its default is as in the table, and there is nothing to complain of."""
    line, problems = read(text)
    assert line is not None
    assert told(line) == set(expected.split(" · "))
    assert problems == ()


def test_the_table_has_at_least_seventy_lines() -> None:
    """The table is read as a table."""
    assert len(cases()) >= 70


@pytest.mark.parametrize("text", [text for text, _ in cases()])
def test_the_name_is_found_at_its_place(text: str) -> None:
    """The span of the item covers the item's own characters in the line."""
    line, _ = read(text)
    assert line is not None
    place = line.item_span
    assert (place.path, place.line) == ("a.md", 7)
    assert text[place.column - 3 : place.end_column - 3] == line.item


def test_ids_are_unique_in_the_recipe() -> None:
    """A second line of the same item gets "-2", a third "-3"."""
    ids: list[str] = []
    for text in ("1 tsp fine salt", "2 tsp fine salt", "fine salt, to taste"):
        line, _ = read_ingredient_line(text, span=Span("a.md"), taken_ids=ids)
        assert line is not None
        ids.append(line.id)
    assert ids == ["fine-salt", "fine-salt-2", "fine-salt-3"]


def test_a_decimal_comma_is_read_where_the_episode_has_one() -> None:
    """With decimal commas "1,5 dl milk, warm" is one and a half decilitres, and the other comma still parts."""
    line, problems = read("1,5 dl milk, warm", decimal_comma=True)
    assert line is not None
    assert (line.amount, line.item, line.form) == (Amount.of("3/2", "dl"), "milk", "warm")
    assert problems == ()


@pytest.mark.parametrize(
    ("text", "code", "columns", "hint"),
    [
        ("9**9 eggs", "amount-unreadable", (3, 12), "1 1/2 cups"),
        ("1e999 g flour", "amount-unreadable", (3, 16), "1 1/2 cups"),
        ("1,5 dl milk", "amount-unreadable", (3, 14), "0.5 l"),
        ("5" * 400 + " g flour", "amount-unreadable", (3, 411), "0.5 l"),
        ("2–1 tbsp oil", "amount-unreadable", (3, 15), "2–3 tbsp"),
        ("300 g (9**9) flour", "amount-unreadable", (10, 14), "(400 g)"),
        ("0 eggs", "amount-zero", (3, 9), "leave the line out"),
        ("¼ cup + 2 tbsp sugar", "amount-sum", (9, 23), "75 g (¼ cup + 2 tbsp) sugar"),
        ("400 g (1 tin chickpeas", "bracket-open", (9, 10), "both brackets"),
        ("400 g) chickpeas", "bracket-open", (8, 9), "both brackets"),
        ("300 g", "ingredient-nameless", (3, 8), "what it is"),
        ("", "ingredient-nameless", (3, 4), "what it is"),
        ("x" * 501, "ingredient-too-long", (3, 4), "one ingredient a line"),
        ("1 onion, 100 g carrots, diced", "ingredients-in-one", (12, 25), "one ingredient a line"),
        ("2 tbps sugar", "unit-unknown", (5, 9), 'did you mean "tbsp"?'),
        ("2 tablspoons sugar", "unit-unknown", (5, 15), 'did you mean "tablespoons"?'),
        ("60 g parmesan, plus extra to serve", "extra-not-counted", (18, 37), "a line of its own"),
        ("300 ml chicken or vegetable stock", "or-unclear", (10, 36), '"chicken, or vegetable stock"'),
    ],
)
def test_a_slip_is_named_at_its_place(text: str, code: str, columns: tuple[int, int], hint: str) -> None:
    """Each slip has its code, line, columns and a hint of what to write."""
    _, problems = read(text)
    found = next(problem for problem in problems if problem.code == code)
    assert (found.span.line, found.span.column, found.span.end_column) == (7, *columns)
    assert found.hint is not None
    assert hint in found.hint


def test_what_is_only_doubtful_is_a_warning() -> None:
    """An extra without a line of its own and an unclear "or" do not stop a build; a misspelt unit does."""
    levels = {}
    for text in ("60 g feta, plus extra to serve", "1 l chicken or vegetable stock", "2 tbps sugar"):
        (problem,) = read(text)[1]
        levels[problem.code] = problem.severity
    assert levels == {
        "extra-not-counted": Severity.WARNING,
        "or-unclear": Severity.WARNING,
        "unit-unknown": Severity.ERROR,
    }


@pytest.mark.parametrize(
    "text", ["1 bell pepper", "2 little gems", "100 g graham crackers", "2 pak choi", "3 round courgettes"]
)
def test_a_food_is_not_taken_for_a_misspelt_unit(text: str) -> None:
    """Names that are only somewhat like a unit's are names."""
    line, problems = read(text)
    assert line is not None
    assert problems == ()
    assert line.item in text
