"""What must be minded stands on the pages: allergens by part, portions, and the life of leftovers in the fridge."""

from __future__ import annotations

import csv
import json
from fractions import Fraction
from functools import cache
from io import StringIO
from pathlib import Path

import pytest

from shootplan.app import documents, load, publish
from shootplan.model.care import AllergenPart, RecipeCare
from shootplan.model.publication import Publication

DEMOS = Path(__file__).resolve().parents[2] / "demo_episodes"
#: The short words of Annex II that the worked sheet writes in the singular.
_SHEET_WORDS = {"egg": "eggs", "peanut": "peanuts"}


@cache
def published(name: str) -> Publication:
    """Return a demo, computed once."""
    return publish(load(DEMOS / name))


@cache
def files(name: str) -> dict[str, str]:
    """Return the documents of a demo."""
    return dict(documents(published(name)))


def care(name: str, recipe: str) -> RecipeCare:
    """Return what must be minded with one recipe."""
    return next(item for item in published(name).care if item.recipe == recipe)


def groups(*parts: AllergenPart) -> set[str]:
    """Return the allergen groups that parts name, however surely."""
    return {note.group for part in parts for note in part.notes}


def sheet(words: str) -> set[str]:
    """Return the groups of a list of the worked sheet."""
    return {_SHEET_WORDS.get(word, word) for word in words.split()}


@pytest.mark.parametrize(
    ("name", "recipe", "core", "labels", "options"),
    [
        # SOURCE: the home economist's worked sheet, its line "Allergens (EU Annex II names)" of each dish: what is in
        # the dish; what the label is to be read for; what an option brings.
        ("tuesday-supper", "leek-bean-bake", "milk gluten mustard", "celery", {}),
        ("tuesday-supper", "crumb-cabbage", "gluten milk", "soya sesame", {}),
        ("tuesday-supper", "oat-crumble", "gluten milk", "", {"flaked almonds": "nuts"}),
        ("waiting-day", "pea-soup", "celery mustard", "", {"Pickled red onion": "sulphites"}),
        ("waiting-day", "rye-loaf", "gluten", "", {}),
        ("waiting-day", "cardamom-knots", "gluten milk egg", "", {}),
        ("six-lunches", "fried-rice", "egg soya gluten", "", {"toasted sesame oil": "sesame"}),
        ("six-lunches", "peanut-noodles", "gluten peanut soya", "egg", {}),
        ("six-lunches", "bean-toast", "gluten", "soya sesame", {"hard cheese": "milk"}),
        ("six-lunches", "zucchini-fritters", "gluten egg milk", "", {}),
        ("six-lunches", "corn-chowder", "milk", "celery", {}),
        ("six-lunches", "oat-pancakes", "egg milk gluten", "", {}),
    ],
)
def test_allergens_by_part_are_those_of_the_worked_sheet(
    name: str, recipe: str, core: str, labels: str, options: dict[str, str]
) -> None:
    """The core names the dish's own and at most what labels are read for; an option adds just what the sheet says."""
    found = care(name, recipe)
    assert groups(found.core) - sheet(labels) == sheet(core)
    added = {part.name: groups(part) - groups(found.core) for part in found.options}
    assert {part: names for part, names in added.items() if names} == {k: sheet(v) for k, v in options.items()}
    page = files(name)[f"blog/{recipe}.html"].partition("<h2>Allergens</h2>")[2].partition("<h2>")[0]
    for part, words in options.items():
        (line,) = [line for line in page.splitlines() if f"The option {part}:" in line]
        assert all(group in line for group in sheet(words))


def test_the_author_is_heard_first_and_silence_is_no_promise() -> None:
    """The author's own field, then the ingredients; celery is only usual in a cube; custard powder is not assessed."""
    bake, crumble = (files("tuesday-supper")[f"blog/{name}.md"] for name in ("leek-bean-bake", "oat-crumble"))
    assert bake.index("read the label of the stock cube") < bake.index("Named by the ingredients:")
    assert "usually contains celery (vegetable stock cube)" in bake
    assert "may contain sulphites" in files("waiting-day")["blog/pea-soup.md"]
    assert "not assessed: custard powder" in crumble
    for name in ("tuesday-supper", "waiting-day", "six-lunches"):
        assert not any("free from" in text for page, text in files(name).items() if page.startswith("blog/"))


def test_portions_of_the_crumble_by_hand() -> None:
    """800 g of apples, 76 % left after trimming, for 4: 608 / 4 = 152 g, one portion of 80 g and a half, not two."""
    portions = care("tuesday-supper", "oat-crumble").portions
    assert portions is not None
    assert (portions.grams, portions.portions) == (Fraction(152), Fraction(3, 2))
    text = files("tuesday-supper")["blog/oat-crumble.md"]
    assert "At least 1½ portions of vegetables and fruit a serving" in text
    assert "80 g a portion: WHO" in text


def test_a_head_weighed_whole_is_not_eaten_whole() -> None:
    """No table says what trimming leaves of a savoy cabbage: 600 g for 4 is not 150 g eaten, so nothing is claimed."""
    assert care("tuesday-supper", "crumb-cabbage").portions is None


def test_care_is_in_the_file_for_machines() -> None:
    """One entry a recipe, with the certainty of each allergen."""
    cares = json.loads(files("waiting-day")["plan.json"])["care"]
    assert [item["recipe"] for item in cares] == [item.id for item in published("waiting-day").resolved.recipes]
    notes = next(item for item in cares if item["recipe"] == "pea-soup")["options"][0]["notes"]
    assert [(note["group"], note["certainty"]) for note in notes] == [("sulphites", "may")]


def test_leftovers_tell_how_long_they_keep() -> None:
    """SOURCE: USDA FSIS FoodKeeper, butter 1 to 2 months, eggs in shell 3 to 5 weeks in the fridge."""
    text = files("six-lunches")["shopping.csv"].removeprefix("\ufeff")
    rows = {row["item"]: row for row in csv.DictReader(StringIO(text))}
    assert rows["butter"]["days in the fridge"] == "30–60"
    assert rows["eggs"]["days in the fridge"] == "21–35"
    assert rows["eggs"]["days from"].startswith("USDA FSIS FoodKeeper")
    assert "keeps 21–35 days in the fridge from purchase (USDA" in files("six-lunches")["shopping.md"]


@pytest.mark.parametrize("item", ["all-purpose flour", "frozen peas", "peanut butter", "ground cinnamon", "scallions"])
def test_no_life_is_taken_from_a_near_name(item: str) -> None:
    """Flour is no fish, peanut butter no butter: nothing is said where the publisher has no such heading."""
    from shootplan.larder import fridge_life

    assert fridge_life(item) is None


@pytest.mark.parametrize("name", ["tuesday-supper", "waiting-day", "six-lunches"])
def test_no_price_of_the_demos_is_suspicious(name: str) -> None:
    """Every pack price of the worked sheet is near its row before."""
    assert "price-jump" not in [problem.code for problem in published(name).problems]
