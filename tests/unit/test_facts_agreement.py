"""Amounts typed by hand are compared with the recipe's."""

from __future__ import annotations

import pytest
from script_factory import PATH, costs, episode, milk_part, recipe, step, times

from shootplan.facts import FactBook, fill_episode
from shootplan.facts.number_words import digits_for_words
from shootplan.model.recipe import Step
from shootplan.problems import Problem, Severity, Span


def problems(text: str, field: str = "say") -> tuple[Problem, ...]:
    """Return what is wrong with one narration or caption of the bake."""
    uses = (milk_part("cook", 60, held=True), milk_part("cook", 300))
    made = recipe(step("Cook", **{field: text}), uses=uses)
    return fill_episode(FactBook(episode(made), costs(), times()))[1]


AGREES = [
    "15 ml oil",
    "a tablespoon, 1 tbsp (15 ml) of the vegetable oil",
    "one tablespoon of oil",
    "0.9 kg of floury potatoes",
    "nine hundred grams of potatoes",
    "three hundred millilitres of milk",
    "one and a half cups of milk",
    "half a teaspoon of salt",
    "two tins of butter beans",
    "1.5 tbsp chilli sauce",
    "40 g butter",
    "2 tbsp of luck",
    "12 minutes of patience",
    "500 g of butter beans",
    "{oil} and 2 tbsp more courage",
]


@pytest.mark.parametrize("text", AGREES)
def test_an_amount_the_recipe_has_passes(text: str) -> None:
    """Either measure, any part a step uses, another unit of the same kind, a value in a range; unknown things."""
    assert problems(text) == ()


DIFFERS = [
    ("20 ml oil", "20 ml", "15 ml"),
    ("one and a half tablespoons of oil", "one and a half tablespoons", "1 tbsp"),
    ("two hundred grams of floury potatoes", "two hundred grams", "900 g"),
    ("half a cup of milk", "half a cup", "1½ cups or ¼ cup or 1¼ cups"),
    ("three tins of butter beans", "three tins", "2 tins"),
    ("3 tbsp chilli sauce", "3 tbsp", "1–2 tbsp"),
]


@pytest.mark.parametrize(("text", "typed", "has"), DIFFERS)
def test_an_amount_the_recipe_does_not_have_is_found(text: str, typed: str, has: str) -> None:
    """The warning quotes what was typed and what the recipe has, in digits or words."""
    (found,) = problems(f"Take {text}.")
    assert found.code == "figure-differs"
    assert found.severity is Severity.WARNING
    assert f'"{typed}"' in found.message
    assert found.message.endswith(has)


def test_captions_are_compared_too() -> None:
    """The warning stands at the figure in the caption."""
    (found,) = problems("2 tbsp oil", field="caption")
    assert found.span == Span(PATH, 41, 12, 18)


def test_an_instruction_is_compared_as_typed() -> None:
    """What stands outside brackets is compared; a part inside brackets is checked by the stage that ties it."""
    made = recipe(Step(id="cook", name="Cook", number=1, text="Add 20 ml [oil] and [milk: 40 ml].", span=Span(PATH, 9)))
    (found,) = fill_episode(FactBook(episode(made), costs(), times()))[1]
    assert (found.code, found.span.line) == ("figure-differs", 9)
    assert '"20 ml" of vegetable oil' in found.message


WORDS = [
    ("twenty-one eggs", "21 eggs"),
    ("one hundred and eighty degrees", "180 degrees"),
    ("two and a half cups", "2 1/2 cups"),
    ("three quarters of a cup", "3/4 of a cup"),
    ("a third of it", "1/3 of it"),
    ("half a lemon", "1/2 a lemon"),
    ("halfway and someone", "halfway and someone"),
    ("one thousand two hundred", "1200"),
]


@pytest.mark.parametrize(("words", "digits"), WORDS)
def test_number_words_are_read(words: str, digits: str) -> None:
    """Cardinals and kitchen fractions become digits; other words stay."""
    assert digits_for_words(words) == digits
