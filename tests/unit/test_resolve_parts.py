"""Mentions in steps: which thing is meant, whether the parts add up, and products in the order of the work."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from costing_helpers import amount, episode, line, mention, recipe, row, steps

from shootplan.model.recipe import After, Group, IngredientLine, Purpose, Step, When
from shootplan.model.resolved import Use
from shootplan.problems import Problem, Severity
from shootplan.resolve import resolve_episode

MILK = line("whole milk", "360 ml", second="3/2 cup")
OIL = line("oil", "2 tbsp")


def resolved(lines: list[IngredientLine], made: tuple[Step, ...], **more: Any) -> tuple[list[Use], list[Problem]]:
    """Return the uses of a recipe and its problems; every item has a price."""
    rows = [
        row(item.item, "1 l" if item.amount and item.amount.dimension == "volume" else "1", "1.00") for item in lines
    ]
    result, problems = resolve_episode(episode([recipe("dish", lines, steps=made, **more)], rows))
    return list(result.recipes[0].uses), list(problems)


def codes(lines: list[IngredientLine], *given: Any, **more: Any) -> list[str]:
    """Return the codes of the problems."""
    return [problem.code for problem in resolved(lines, steps(*given), **more)[1]]


def after(*names: str) -> dict[str, Any]:
    """Return the field ``after:`` of a step."""
    return {"after": tuple(After(step=name) for name in names)}


# ------------------------------------------------------------------------------------------- names


@pytest.mark.parametrize("name", ["whole-milk", "Whole Milk", "milk"])
def test_an_id_a_name_or_words_of_it_find_the_line(name: str) -> None:
    """Whatever names one thing only."""
    uses, problems = resolved([MILK, OIL], steps(("Pour", [mention(name), mention("oil")])))
    assert problems == []
    assert [use.line for use in uses] == ["whole-milk", "oil"]


def test_words_may_come_from_the_form() -> None:
    """ "[drained beans]" is the line of beans, drained."""
    beans = line("beans", "1", form="drained")
    assert codes([beans], ("Tip", [mention("drained beans")])) == []


def test_an_unknown_name_gets_the_nearest_as_a_hint_and_no_second_complaint() -> None:
    """A typing slip is one problem, not two."""
    _, problems = resolved([MILK], steps(("Pour", [mention("whole mlik")])))
    assert [(p.code, p.hint) for p in problems] == [("mention-unknown", 'did you mean "whole milk"?')]


def test_a_name_that_fits_two_lines_lists_them() -> None:
    """The author picks; nothing is guessed."""
    lines = [MILK, line("coconut milk", "1")]
    _, problems = resolved(lines, steps(("Pour", [mention("milk")])))
    assert [(p.code, p.message) for p in problems] == [
        ("mention-ambiguous", '"milk" could be "whole milk" or "coconut milk"')
    ]


def test_two_lines_of_one_item_are_told_apart_by_their_ids() -> None:
    """ "butter" is the first, "butter-2" the second."""
    lines = [line("butter", "75 g"), line("butter", "50 g", id="butter-2")]
    uses, problems = resolved(lines, steps(("Melt", [mention("butter")]), ("Spread", [mention("butter-2")])))
    assert [use.line for use in uses] == ["butter", "butter-2"]
    assert not [p for p in problems if p.code.startswith("mention")]


# ------------------------------------------------------------------------------------------- parts


def shares(*parts: str) -> list[Fraction]:
    """Return the shares of the milk that steps use, which must add up without a problem."""
    made = steps(*((f"Step {n}", [mention("milk", part)]) for n, part in enumerate(parts)))
    uses, problems = resolved([MILK], made)
    assert problems == []
    return [use.share for use in uses]


def test_parts_are_shares_of_the_whole() -> None:
    """Fractions, amounts in either measure, all but, rest."""
    assert shares("half", "rest") == [Fraction(1, 2), Fraction(1, 2)]
    assert shares("300 ml", "rest") == [Fraction(5, 6), Fraction(1, 6)]
    assert shares("1/4 cup", "rest") == [Fraction(1, 6), Fraction(5, 6)]
    assert shares("all but 60 ml", "60 ml") == [Fraction(5, 6), Fraction(1, 6)]
    assert shares("half", "1/4 cup", "rest") == [Fraction(1, 2), Fraction(1, 6), Fraction(1, 3)]


def test_what_is_held_back_is_used_later_and_counted_once() -> None:
    """60 of 360 ml aside, the rest in, then the portion that was aside."""
    made = steps(
        ("Measure", [mention("milk", "hold back 60 ml")]),
        ("Pour", [mention("milk", "rest")]),
        ("Mash", [mention("milk", "held back")]),
    )
    uses, problems = resolved([MILK], made)
    assert problems == []
    assert [(use.share, use.is_held_back, use.from_held_back) for use in uses] == [
        (Fraction(1, 6), True, False), (Fraction(5, 6), False, False), (Fraction(1, 6), False, True)
    ]  # fmt: skip


def test_the_rest_may_come_after_the_held_back_portion() -> None:
    """The order of the two later uses does not matter."""
    given = ["hold back 60 ml", "held back", "rest"]
    assert shares(*given) == [Fraction(1, 6), Fraction(1, 6), Fraction(5, 6)]


def test_a_portion_may_be_taken_out_of_the_pan_again() -> None:
    """All the oil goes in, a spoonful is taken out and drizzled at the end: that is all of it, not more."""
    made = steps(
        ("Warm", [mention("oil")]),
        ("Save", [mention("oil", "hold back 1 tbsp")]),
        ("Drizzle", [mention("oil", "held back")]),
    )
    uses, problems = resolved([OIL], made)
    assert problems == []
    assert [use.share for use in uses] == [1, Fraction(1, 2), Fraction(1, 2)]


def test_a_part_in_a_use_has_its_own_amount() -> None:
    """60 ml of 360, scaled with the recipe (rule A5)."""
    made = steps(("Pour", [mention("milk", "60 ml")]), ("Stir", [mention("milk", "rest")]))
    uses, _ = resolved([MILK], made, scale=Fraction(2))
    assert [use.measured.metric for use in uses] == [amount("120 ml"), amount("600 ml")]


@pytest.mark.parametrize(
    ("parts", "code"),
    [
        (["half"], "parts-short"),
        (["half", "200 ml"], "parts-over"),
        (["", ""], "used-twice"),
        (["", "rest"], "rest-empty"),
        (["hold back 60 ml", "rest"], "held-back-unused"),
        (["held back", "hold back 60 ml", "rest"], "held-back-before"),
        (["hold back 60 ml", "held back", "rest", "held back"], "held-back-before"),
        (["20 g", "rest"], "part-unit"),
    ],
)
def test_parts_that_do_not_add_up_are_errors(parts: list[str], code: str) -> None:
    """One problem each, at the place where it is."""
    made = steps(*((f"Step {n}", [mention("milk", part)]) for n, part in enumerate(parts)))
    _, problems = resolved([MILK], made)
    assert [(p.code, p.severity) for p in problems] == [(code, Severity.ERROR)]


def test_a_sum_that_is_off_names_both_amounts() -> None:
    """The author sees what is missing."""
    _, problems = resolved([MILK], steps(("Pour", [mention("milk", "half")])))
    assert problems[0].message == 'the steps use 180 ml of "whole milk", of 360 ml'


def test_water_and_what_has_no_amount_need_not_add_up() -> None:
    """Salt to taste may be named in every step."""
    lines = [line("water", "2 l", purpose=Purpose.WATER), line("salt", None, is_to_taste=True)]
    given = [("Boil", [mention("water", "half"), mention("salt")]), ("Season", [mention("salt")])]
    assert codes(lines, *given) == []


# ------------------------------------------------------------------------------------------- unused


def test_an_ingredient_that_no_step_uses_is_an_error() -> None:
    """What is bought is used."""
    _, problems = resolved([MILK, OIL], steps(("Pour", [mention("milk")])))
    assert [(p.code, p.severity) for p in problems] == [("ingredient-unused", Severity.ERROR)]


@pytest.mark.parametrize(
    "minor",
    [{"is_optional": True}, {"is_to_taste": True}, {"is_staple": True}, {"purpose": Purpose.GREASING}],
    ids=lambda value: next(iter(value)),
)
def test_options_staples_and_purposes_unused_are_warnings(minor: dict[str, Any]) -> None:
    """They are easily left to the words."""
    _, problems = resolved([line("oil", "2 tbsp", **minor)], steps(("Stir", [])))
    assert [(p.code, p.severity) for p in problems] == [("ingredient-unused", Severity.WARNING)]


def test_a_recipe_without_a_method_has_nothing_unused_yet() -> None:
    """While the ingredients are being written, silence."""
    assert codes([MILK]) == []


# ------------------------------------------------------------------------------------------- products


def test_a_product_is_used_like_an_ingredient() -> None:
    """The sauce is made of the milk and goes into the dish."""
    made = steps(("Simmer", [mention("milk")], {"makes": "white sauce"}), ("Bake", [mention("sauce")]))
    uses, problems = resolved([MILK], made)
    assert problems == []
    assert [(use.line, use.product) for use in uses] == [("whole-milk", ""), ("", "white sauce")]


def test_parts_of_a_product_are_in_its_own_amount() -> None:
    """60 ml of stock, 20 ml and the rest."""
    stock = {"makes": "stock", "makes_amount": amount("60 ml")}
    made = steps(
        ("Boil", [mention("milk")], stock), ("Stir", [mention("stock", "20 ml")]), ("Pour", [mention("stock", "rest")])
    )
    uses, problems = resolved([MILK], made)
    assert problems == []
    assert [use.share for use in uses[1:]] == [Fraction(1, 3), Fraction(2, 3)]


@pytest.mark.parametrize(
    ("given", "code"),
    [
        ([("Boil", [mention("milk")], {"makes": "sauce"}), ("Serve", [])], "product-unused"),
        (
            [("Boil", [mention("milk"), mention("sauce")], {"makes": "sauce"}), ("Serve", [mention("sauce")])],
            "product-self",
        ),
        (
            [("Serve", [mention("sauce")], after()), ("Boil", [mention("milk")], {"makes": "sauce", **after()})],
            "product-before-made",
        ),
        (
            [("Boil", [mention("milk")], {"makes": "sauce"}), ("Serve", [mention("sauce")], after())],
            "product-not-awaited",
        ),
        (
            [
                ("Boil", [mention("milk")], {"makes": "sauce"}),
                ("Stir", [], {"makes": "Sauce"}),
                ("Serve", [mention("sauce")]),
            ],
            "product-doubled",
        ),
    ],
)
def test_products_are_made_once_and_before_they_are_used(given: list[Any], code: str) -> None:
    """Each fault has its own code."""
    assert codes([MILK], *given) == [code]


def test_a_use_may_wait_by_way_of_other_steps() -> None:
    """Serve waits for bake, which waits for boil."""
    given = [
        ("Boil", [mention("milk")], {"makes": "sauce"}),
        ("Heat", [], after()),
        ("Bake", [], after("Boil", "Heat")),
        ("Serve", [mention("sauce")], after("Bake")),
    ]
    assert codes([MILK], *given) == []


def test_what_is_made_ahead_is_there_on_the_day() -> None:
    """No ``after:`` is needed for it."""
    given = [("Soak", [mention("milk")], {"makes": "soak", "when": When.AHEAD}), ("Cook", [mention("soak")], after())]
    assert codes([MILK], *given) == []


def test_what_the_last_step_makes_is_the_dish() -> None:
    """It needs no further use."""
    assert codes([MILK], ("Boil", [mention("milk")], {"makes": "pudding"})) == []


def test_a_sub_preparation_must_be_made_by_some_step() -> None:
    """The group promises a batch and no step says makes."""
    group = Group(id="sauce", title="Sauce", makes=amount("250 ml"))
    given = [("Boil", [mention("milk")]), ("Serve", [mention("sauce", "60 ml")])]
    assert codes([MILK], *given, groups=(group,)) == ["product-not-made"]


def test_more_than_a_batch_cannot_be_used() -> None:
    """300 ml of 250."""
    group = Group(id="sauce", title="Sauce", makes=amount("250 ml"))
    given = [("Boil", [mention("milk")], {"makes": "sauce"}), ("Serve", [mention("sauce", "300 ml")])]
    assert codes([MILK], *given, groups=(group,)) == ["parts-over"]
