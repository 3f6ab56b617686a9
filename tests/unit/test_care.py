"""What must be minded with a dish: sub-preparations, alternates, and the sentences it is told in."""

from __future__ import annotations

from fractions import Fraction

from costing_helpers import amount, episode, line, recipe, row

from shootplan.cost import care_of
from shootplan.model.care import Portions, RecipeCare
from shootplan.model.recipe import Alternate, IngredientLine, RecipeKind
from shootplan.render.care_text import part_texts, portions_text
from shootplan.resolve import resolve_episode


def care(*lines: IngredientLine, **price: str) -> RecipeCare:
    """Return what must be minded with a dish of these lines; the price book speaks of the first."""
    rows = [row(lines[0].item, "100 g", "1.00", **price)]
    return care_of(resolve_episode(episode([recipe("dish", lines)], rows))[0])[0]


def test_an_alternate_is_told_apart_with_what_it_replaces() -> None:
    """Butter or a soya block: the milk is the dish's, the soya the alternate's."""
    found = care(line("butter", "20 g", alternates=(Alternate(item="tofu"),)))
    dish, other = part_texts(found)
    assert dish == "The dish without options: contains milk (butter)."
    assert other.startswith("With tofu instead of butter: contains soya")


def test_words_of_the_price_list_are_told_as_such() -> None:
    """A sauce that nothing here knows is assessed by its pack only."""
    found = care(line("zorblatt relish", "20 g"), allergens="mustard; celery")
    assert part_texts(found) == ("The dish without options: by the price list: mustard and celery.",)


def test_what_nobody_knows_is_named_as_not_assessed() -> None:
    """Silence would read as a promise."""
    assert part_texts(care(line("zorblatt", "20 g"))) == ("The dish without options: not assessed: zorblatt.",)


def test_portions_are_at_least_and_name_what_is_missing() -> None:
    """Half a portion, a whole one and none are worded; unknown weights are listed."""
    made = Portions(
        portions=Fraction(1, 2), grams=Fraction(55), counted=("leeks",), unknown=("kale",), source="80 g a portion"
    )
    assert portions_text(made) == (
        "At least ½ portion of vegetables and fruit a serving, without options, counting only leeks (80 g a portion)."
        " Not counted, weight not known: kale."
    )
    assert portions_text(None) == ""


def test_what_is_in_a_sub_preparation_is_in_the_dish() -> None:
    """The white sauce is a recipe of its own: its flour and milk are named where it is eaten."""
    lines = [line("plain flour", "20 g"), line("milk", "300 ml")]
    sauce = recipe("sauce", lines, kind=RecipeKind.SUB_PREPARATION, makes=amount("300 ml"), makes_name="pale sauce")
    dish = recipe("dish", [line("pale sauce", "100 ml")])
    found = care_of(resolve_episode(episode([dish, sauce], []))[0])[0]
    assert [note.group for note in found.core.notes] == ["gluten", "milk"]
