"""
Ingredient lines as cooks write them, written down before anybody looked at the tables.

food/invented_lines.csv says what a food editor expects of each line: the food, its state, and between which weights one
would put it on the scale in US measures (common practice, no source); an empty weight means that nobody can know it.
Each line either comes out so or the program says plainly that it does not know.
"""

from __future__ import annotations

import csv
from fractions import Fraction
from pathlib import Path

import pytest
from costing_helpers import episode, recipe, row

from shootplan.larder import identify
from shootplan.larder.text import words
from shootplan.model.larder import Identity
from shootplan.model.recipe import IngredientLine
from shootplan.problems import Span
from shootplan.read.ingredient import read_ingredient_line
from shootplan.resolve import resolve_episode
from shootplan.resolve.table_weights import table_weights

with (Path(__file__).parent / "food" / "invented_lines.csv").open(encoding="utf-8", newline="") as _file:
    LINES = {entry["line"]: entry for entry in csv.DictReader(_file)}
#: Lines where the program is right otherwise than expected, and how.
OTHERWISE = {
    "a good pinch of salt": "a pinch is 1/16 tsp by convention",
    "juice of 1 lime": "what is bought is the lime, not its juice: 67 g as eaten (USDA SR28) at 84 %",
}
#: What the program may not know: it says so, and the line has no price by weight.
NOT_KNOWN = {
    "½ cup frozen peas": "no weight of frozen peas in the collected tables",
    "4 rashers smoked streaky bacon": "no weight of a raw rasher in them",
    "1 cup tinned sweetcorn, drained": "no weight of tinned sweetcorn in them",
    "1 tin butter beans, drained": "tins differ: the label says it",
}


def read(text: str) -> IngredientLine:
    """Read a line that must have no fault."""
    line, problems = read_ingredient_line(text, span=Span("a.md"), taken_ids=())
    assert line is not None and problems == ()
    return line


def food_of(line: IngredientLine) -> Identity:
    """Return the food by the way that a recipe's line goes, and by its form where that makes another food of it."""
    from shootplan.larder import identify_line

    counted_in = line.amount.unit if line.amount is not None else ""
    by_form = identify(f"{line.item} {line.form}")
    if "juice" in line.form:
        return by_form
    return identify_line(f"{line.size} {line.item}".strip(), counted_in=counted_in, form=line.form)


def grams_of(line: IngredientLine) -> tuple[Fraction | None, str]:
    """Return grams as bought where a kilogram is sold, and otherwise why not."""
    made = episode([recipe("dish", [line])], [row(line.item, "1000 g", "1")], measures="US customary")
    resolved = resolve_episode(made)[0].recipes[0].lines[0]
    return (resolved.as_bought.high if resolved.as_bought else None), resolved.unpriced_because


def test_there_are_more_than_thirty() -> None:
    """The list is as it was written down."""
    assert len(LINES) == 42


@pytest.mark.parametrize("text", LINES)
def test_the_food_and_its_state_are_as_an_editor_expects_or_nothing_is_claimed(text: str) -> None:
    """Never another food, never another state."""
    entry, found = LINES[text], food_of(read(text))
    if not found.is_known:
        assert found.why_not
        assert text in ("a thumb-sized piece of ginger, grated", "1 tbsp gochujang", "1 mug of milk")
        return
    assert set(words(entry["food"])) <= set(words(found.food))
    assert found.state == entry["state"]


@pytest.mark.parametrize("text", LINES)
def test_the_weight_is_one_that_a_cook_would_find_on_the_scale_or_unknown_with_a_reason(text: str) -> None:
    """Inside the editor's range; where there is no range, unknown."""
    entry = LINES[text]
    found, why_not = grams_of(read(text))
    if text in OTHERWISE:
        assert found is not None and found < 100, OTHERWISE[text]
    elif text in NOT_KNOWN or not entry["low_g"]:
        assert found is None
        assert "cannot be told in weight" in why_not
    else:
        assert found is not None, why_not
        assert Fraction(entry["low_g"]) <= found <= Fraction(entry["high_g"])


@pytest.mark.parametrize(
    ("text", "grams"),
    [
        # USDA SR28 in US customary measures, and at most what trimming takes; the reference pack's own surprises
        ("2 cups dry macaroni", "244"),  # NDB 20120: 122 g a cup, where practice says 285 g for two
        ("18 cherry tomatoes", "306"),  # NDB 11529: 17 g each, where a recipe says 200 g
        ("2 medium potatoes, peeled", "426"),  # NDB 11352: 213 g in the skin, which is as bought
        ("1 cup potatoes, diced", "150"),  # NDB 11352: 75 g half a cup, in the skin
        ("1 medium apple", "202.2222"),  # NDB 09003: 182 g in the skin without core, 90 % of what is bought
        ("1 cup red cabbage, shredded", "70"),  # NDB 11112: shredded 70 g, chopped 89 g
        ("1 cup red cabbage, chopped", "89"),
    ],
)
def test_weights_that_are_easily_taken_wrong(text: str, grams: str) -> None:
    """As eaten or in the skin, by form: the figure of the source, divided by its own yield once."""
    line = read(text)
    tables = table_weights(line, None, system="US customary")
    found, _ = grams_of(line)
    assert found is not None
    usable = tables.usable_of(tables.piece) if tables.piece is not None and tables.piece.value else None
    if "cabbage" in text:  # 80 % of a cabbage is used; the published weight is of that part
        usable = tables.usable
        assert usable is not None and usable.value is not None
        found = found * usable.value / 100
    assert round(found, 4) == Fraction(grams)


@pytest.mark.parametrize(
    ("text", "food", "state"),
    [
        ("1 tin butter beans, drained", "butter beans, canned", "canned"),
        ("tinned butter beans", "butter beans, canned", "canned"),
        ("1 cup frozen peas", "peas, frozen", "frozen"),
        ("1 cup frozen sweetcorn", "sweetcorn, frozen", "frozen"),
        ("1 cup frozen corn kernels", "sweetcorn, frozen", "frozen"),
        ("500 g dried yellow peas", "split peas, dried", "dry"),
        ("500 g dried yellow split peas", "split peas, dried", "dry"),
        ("1 can corn", "sweetcorn, canned", "canned"),
        ("2 cans (14 oz) chickpeas", "chickpeas, canned", "canned"),
        ("1 tin plum tomatoes", "tomatoes, canned", "canned"),
        ("a handful of spinach leaves", "spinach", "raw"),
        ("200 g jasmine rice", "white rice, long-grain, dry", "dry"),
        ("6 rashers streaky bacon", "bacon, raw", "raw"),
        ("300 g pasta", "pasta, dry", "dry"),
        ("300 g cooked pasta", "pasta, cooked", "cooked"),
        ("4 slices crispy bacon", "bacon, cooked", "cooked"),
        ("400 ml coconut milk", "coconut milk, canned", "canned"),
    ],
)
def test_a_line_names_its_food_in_its_state(text: str, food: str, state: str) -> None:
    """What a tin holds is tinned, what is frozen is frozen, and a bare name is what a shop sells."""
    found = food_of(read(text))
    assert (found.food, found.state) == (food, state)


@pytest.mark.parametrize(
    "text", ["400 g tuna", "1 cup chopped tomatoes", "2 green chillies", "1 turkey", "500 g mixed vegetables"]
)
def test_a_bare_name_never_takes_the_tinned_cooked_or_frozen_row(text: str) -> None:
    """The table has it only tinned, cooked or frozen, the text does not say so: unknown, with the reason."""
    found = food_of(read(text))
    assert not found.is_known
    assert "only" in found.why_not or "say which" in found.why_not
