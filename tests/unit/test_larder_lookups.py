"""What the larder makes of ingredient texts: states, hints, allergens, hazards, own table, explanations."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from shootplan.data import build_tables
from shootplan.larder import (
    allergens,
    allergens_of_all,
    density,
    disagreement,
    explain,
    fridge_life,
    grams,
    hazards,
    identify,
    read_own_table,
    simmering,
)
from shootplan.larder.allergens import EU_GROUPS
from shootplan.larder.identity import near_foods
from shootplan.larder.tables import rows
from shootplan.model.larder import Certainty, Figure, Rung

TABLES = Path(build_tables.__file__).parent / "tables"


def test_the_shipped_tables_are_what_the_script_makes() -> None:
    """Nobody edits the tables by hand: rebuilding gives the same bytes."""
    made = build_tables.tables()
    assert {path.name for path in TABLES.glob("*.csv")} == set(made)
    assert [name for name, text in made.items() if (TABLES / name).read_text(encoding="utf-8") != text] == []


def test_every_shipped_row_names_its_source() -> None:
    """A figure without a source does not ship."""
    for path in TABLES.glob("*.csv"):
        assert all(row["source"] for row in rows(path.stem)), path.name


@pytest.mark.parametrize(
    ("text", "food", "state"),
    [
        ("tinned chickpeas, drained", "chickpeas, canned", "canned"),
        ("dried chickpeas", "chickpeas, dried", "dry"),
        ("courgettes", "courgette", "raw"),
        ("zucchini", "courgette", "raw"),
        ("scallions, sliced", "spring onion", "raw"),
        ("flat-leaf parsley, chopped", "fresh parsley", "raw"),
        ("dried thyme", "dried thyme", "dry"),
        ("red lentils", "red lentils, dried", "dry"),
        ("canola oil", "rapeseed oil", "raw"),
    ],
)
def test_the_food_and_its_state_are_found(text: str, food: str, state: str) -> None:
    """UK and US names, plural or not, in the state the words say."""
    identity = identify(text)
    assert (identity.food, identity.state) == (food, state)


@pytest.mark.parametrize(
    "text", ["chickpeas", "butter beans", "kidney beans", "chilli flakes", "carrot cake", "moon dust", "frozen quinoa"]
)
def test_what_is_not_certain_is_not_matched(text: str) -> None:
    """A pulse that may be dry or tinned, another food named after a vegetable, or nothing known: no food, and why."""
    identity = identify(text)
    assert not identity.is_known
    assert identity.why_not
    assert grams(identity, "cup").value is None


def test_a_near_spelling_is_a_hint_and_never_a_match() -> None:
    """ "spagheti" finds nothing but names what is near."""
    identity = identify("spagheti")
    assert not identity.is_known
    assert any("spaghetti" in hint for hint in near_foods(identity.text))


def test_an_estimate_carries_its_range_and_says_so() -> None:
    """The density of an oil without a row of its own is the median of oils, marked as an estimate."""
    from dataclasses import replace

    figure = density(replace(identify("vegetable oil"), food="an oil nobody weighed"))
    assert figure.rung is Rung.ESTIMATE
    assert figure.low is not None
    assert figure.high is not None
    assert figure.low <= (figure.value or 0) <= figure.high


def test_the_own_table_wins_row_by_row() -> None:
    """A row of the user's overrides the shipped weight for that measure and no other."""
    own, problems = read_own_table("larder.csv", "food,measure,grams\nleek,piece,165\n")
    assert problems == ()
    assert grams(identify("leeks"), "piece", own=own).value == 165
    assert grams(identify("leeks"), "piece", own=own).rung is Rung.OWN_TABLE
    assert grams(identify("leeks"), "cup", own=own).value == grams(identify("leeks"), "cup").value


def test_a_bad_own_table_is_reported_with_its_line() -> None:
    """Unknown columns and weights that are none: code, line and hint, and the good rows stay."""
    rows, problems = read_own_table("larder.csv", "food,measure,grams\nleek,piece,heavy\nplum,piece,60\n")
    assert [(p.code, p.span.line) for p in problems] == [("own-table-row", 2)]
    assert [row.food for row in rows] == ["plum"]
    _, problems = read_own_table("larder.csv", "food,messure,grams\n")
    assert {p.code for p in problems} == {"own-table-column"}
    assert any(p.hint and p.hint.startswith('did you mean "measure"') for p in problems)


def test_an_authors_weight_warns_beyond_fifteen_percent_only() -> None:
    """115 g against 100 g is within the limit, 116 g is not, and against an unknown figure nothing is said."""
    figure = Figure(value=Fraction(100), unit="g", rung=Rung.EXACT)
    assert disagreement(Fraction(115), figure) is None
    assert disagreement(Fraction(116), figure) == Fraction(16, 100)
    assert disagreement(Fraction(85), figure) is None
    assert disagreement(Fraction(84), figure) == Fraction(-16, 100)
    assert disagreement(Fraction(50), Figure(value=None, unit="g", rung=Rung.UNKNOWN)) is None


#: One ingredient that triggers each group of Regulation (EU) No 1169/2011, Annex II.
TRIGGERS = {
    "gluten": "pearl barley",
    "crustaceans": "prawns",
    "eggs": "2 eggs",
    "fish": "anchovies",
    "peanuts": "peanut butter",
    "soya": "firm tofu",
    "milk": "semi-skimmed milk",
    "nuts": "ground almonds",
    "celery": "celeriac",
    "mustard": "wholegrain mustard",
    "sesame": "tahini",
    "sulphites": "dried apricots",
    "lupin": "lupin flour",
    "molluscs": "mussels",
}


@pytest.mark.parametrize("group", EU_GROUPS)
def test_each_annex_group_is_triggered_and_not_by_a_potato(group: str) -> None:
    """Every one of the 14 groups has an ingredient that names it; potatoes and salt name none."""
    assert group in {note.group for note in allergens(TRIGGERS[group])}
    assert allergens("floury potatoes") == ()
    assert allergens("fine salt") == ()


@pytest.mark.parametrize(
    ("text", "groups"),
    [
        ("coconut milk", {"sulphites"}), ("butter beans", set()), ("nutmeg", set()), ("peanut butter", {"peanuts"}),
        ("cream of tartar", set()), ("buckwheat flour", set()), ("eggplant", set()), ("water chestnuts", set()),
        ("oyster mushrooms", set()), ("cocoa butter", set()), ("almond milk", {"nuts"}), ("oat milk", {"gluten"}),
        ("butternut squash", set()), ("rice noodles", set()), ("custard powder", set()), ("almond butter", {"nuts"}),
        ("prawn crackers", {"crustaceans"}), ("celery root", {"celery"}), ("apple butter", set()),
        ("egg noodles", {"gluten", "eggs"}), ("soy sauce", {"gluten", "soya"}),
    ],
)  # fmt: skip
def test_false_friends_are_guarded(text: str, groups: set[str]) -> None:
    """Coconut milk is not milk, butter beans are not butter, nutmeg is not a nut; and what they do hold is said."""
    assert {note.group for note in allergens(text)} == groups


def test_an_ingredient_beside_a_guard_still_counts() -> None:
    """A guard hides its own words only: butter beans in butter do contain milk."""
    assert [note.group for note in allergens("butter beans fried in butter")] == ["milk"]


def test_the_surest_note_of_several_ingredients_is_kept() -> None:
    """Bread usually contains gluten; with barley beside it the dish contains it."""
    (note,) = allergens_of_all(["day-old bread", "pearl barley"])
    assert (note.group, note.certainty) == ("gluten", Certainty.CONTAINS)


@pytest.mark.parametrize(
    ("ingredients", "steps", "hazard"),
    [
        (["dried red kidney beans"], [], "kidney_bean_lectin"),
        (["dried borlotti beans"], [], "white_kidney_lectin"),
        (["cooked rice"], [], "cooked_rice"),
        ([], ["Taste the batter"], "raw_flour"),
        (["mayonnaise"], [], "raw_egg"),
        (["garlic oil"], [], "garlic_in_oil"),
        (["honey"], [], "honey_infant"),
        (["pickled onions"], [], "quick_pickles"),
        (["chicken thighs"], [], "poultry_core"),
        (["beef mince"], [], "ground_meat_core"),
        (["lupin"], [], "lupin_bitter"),
        (["egg yolks, raw"], [], "raw_egg"),
        (["eggs"], ["Stir the uncooked egg into the cream"], "raw_egg"),
        (["minced beef"], [], "ground_meat_core"),
        (["pork, minced"], [], "ground_meat_core"),
    ],
)
def test_each_hazard_is_triggered(ingredients: list[str], steps: list[str], hazard: str) -> None:
    """The usual hazards are found by the words a cook writes, each with its publisher."""
    found = hazards(ingredients, steps)
    assert hazard in {item.id for item in found}
    assert all(item.source for item in found)


@pytest.mark.parametrize(
    ("ingredients", "steps", "hazard"),
    [
        (["tinned kidney beans"], [], "kidney_bean_lectin"),
        (["butter beans, tinned"], [], "white_kidney_lectin"),
        (["chicken stock"], [], "poultry_core"),
        (["soya mince"], [], "ground_meat_core"),
        (["long-grain rice"], [], "cooked_rice"),
        (["plain flour"], ["Rub the butter into the flour"], "raw_flour"),
        (["garlic", "vegetable oil"], [], "garlic_in_oil"),
        (["eggs"], ["Bake the cake"], "raw_egg"),
        (["raw sugar", "eggs"], [], "raw_egg"),
        (["minced garlic", "beef stock"], [], "ground_meat_core"),
        (["ground cumin"], [], "ground_meat_core"),
    ],
)
def test_each_hazard_has_its_exception(ingredients: list[str], steps: list[str], hazard: str) -> None:
    """Tinned beans need no soak, stock is no raw bird, soya mince no meat."""
    assert hazard not in {item.id for item in hazards(ingredients, steps)}


def test_what_stops_comes_first() -> None:
    """A hazard that stops the work stands before one that warns."""
    found = [item.severity for item in hazards(["pickled onions", "dried kidney beans", "honey"])]
    assert found == sorted(found, key=["stop", "warn", "note"].index)


def test_storage_and_simmering_name_their_publishers() -> None:
    """Butter keeps one to two months chilled (FoodKeeper v128); dried chickpeas soak 8 to 24 h (USA Pulses)."""
    life = fridge_life("butter")
    assert life is not None
    assert life.fridge_days == (30, 60)
    assert "FoodKeeper" in life.source
    cooking = simmering("dried chickpeas")
    assert cooking is not None
    assert (cooking["soak_min_h"], cooking["soak_max_h"]) == ("8", "24")


def test_explain_names_the_source_of_every_figure_and_what_is_unknown() -> None:
    """Each figure ends with its source in brackets; an unknown food says so in every line that would need it."""
    known = explain("leeks", measure="piece")
    assert any("USDA SR28" in line for line in known)
    unknown = "\n".join(explain("moon dust"))
    assert '"moon dust" is not known' in unknown
    assert unknown.count("unknown (") == 3


def test_what_an_ingredient_is_for_does_not_name_it() -> None:
    """ "salt for the pickle" is salt and "oil for frying onions" oil: what stands behind "for" is another food."""
    assert identify("fine salt for the pickle").food == identify("fine salt").food
    assert "pickle" not in identify("salt for the pickle").food


def test_a_trigger_does_not_run_over_the_end_of_a_sentence() -> None:
    """ "Fry the first batch. Cook the rest" is no batch cooking; "batch cook it" is."""
    assert "cool_large_batch" not in {item.id for item in hazards([], ["Fry the first batch. Cook the rest."])}
    assert "cool_large_batch" in {item.id for item in hazards([], ["Batch cook it on Sunday."])}


def test_two_states_in_one_text_are_asked_about() -> None:
    """ "Fresh or frozen peas" and "cooked dried chickpeas" name two states: neither is taken silently."""
    for text in ("fresh or frozen peas", "cooked dried chickpeas"):
        assert not identify(text).is_known
        assert "say which" in identify(text).why_not


def test_a_drained_food_is_not_a_tinned_one() -> None:
    """Pasta is drained as well; only words of the tin mean the tin, whatever the case of the letters."""
    assert identify("macaroni, drained").state != "canned"
    assert identify("Tinned Chickpeas").state == "canned"
    assert identify("Fine Salt FOR the pickle").food == identify("fine salt").food


HAZARDS = rows("hazards")


@pytest.mark.parametrize("row", HAZARDS, ids=lambda row: str(row["id"]))
def test_every_rule_of_the_table_is_triggered_by_its_words_and_by_no_others(row: dict[str, str]) -> None:
    """Each of its trigger words in the ingredients or the method, never beside its exception, never in plain barley."""
    name = row["id"]
    assert name not in {item.id for item in hazards(["pearl barley"], ["Simmer until tender"])}
    triggers = [words.strip() for words in row["trigger_words"].split(";") if words.strip()]
    fired = [t for t in triggers if name in {item.id for item in hazards([t], [t])}]
    assert fired == triggers
    for exception in filter(None, (text.strip() for text in row["not_when"].split(";"))):
        text = f"{triggers[0]} {exception}"
        assert name not in {item.id for item in hazards([text], [text])}


def test_the_rules_are_all_there() -> None:
    """The reference pack has thirty-eight."""
    assert len(HAZARDS) == 38
