"""Recipes of other pages as recipe files: what is read, what is only remarked, and what no foreign text can do."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shootplan.app.bring_in import bring_in
from shootplan.bring import brought_from, markdown_of, recipes_in
from shootplan.bring.tidy import duration_words, paragraphs
from shootplan.model.clock import Range
from shootplan.model.recipe import PartKind, Recipe, When
from shootplan.problems import InputError, OutputError
from shootplan.read.recipe import read_recipe

#: An invented page as other programs write them: the recipe in a graph, its author by reference, steps as HowToStep.
PAGE = """<!doctype html><html><head><title>Pot</title>
<script type="application/ld+json">
{"@context": "https://schema.org", "@graph": [
  {"@type": "WebPage", "@id": "#page", "name": "A pot"},
  {"@type": "Person", "@id": "#cook", "name": "Nobody"},
  {"@type": ["Recipe", "NewsArticle"], "name": "Barley &amp; leek pot", "author": {"@id": "#cook"},
   "description": "<p>Warm.</p><p>And &quot;cheap&quot;.</p>", "url": "https://kitchen.example/pot",
   "recipeYield": ["4", "4 servings"], "keywords": "barley, leek", "prepTime": "PT15M", "totalTime": "PT1H10M",
   "recipeIngredient": ["200 g pearl barley, rinsed", "2 leeks", "1\\u20442 tsp salt", "1 tbsp oil"],
   "recipeInstructions": [
     {"@type": "HowToStep", "text": "Slice the leeks, then wash them well."},
     {"@type": "HowToStep", "name": "Simmer", "text": "Add barley and salt and simmer for 40 minutes.",
      "performTime": "PT40M"},
     {"@type": "HowToSection", "name": "To finish", "itemListElement": [
       {"@type": "HowToStep", "itemListElement": [{"@type": "HowToDirection", "text": "Stir in the oil."},
                                                  {"@type": "HowToTip", "text": "Hands-on 1&ndash;2 min"},
                                                  {"@type": "HowToTip", "text": "Good with bread."}]}]}],
   "nutrition": {"@type": "NutritionInformation", "calories": "300 kcal"}}]}
</script></head><body><h1>Pot</h1></body></html>"""

MICRODATA = """<html><body><div itemscope itemtype="http://schema.org/Recipe">
<h1 itemprop="name">Oat squares</h1>
<p>Makes <span itemprop="recipeYield">12 squares</span>, <time itemprop="cookTime" datetime="PT25M">25 min</time></p>
<ul><li itemprop="recipeIngredient">150 g rolled oats
    <li itemprop="recipeIngredient">100 g <b>butter</b></ul>
<div itemprop="recipeInstructions"><ol><li>Melt the butter.</li><li>Stir in the oats.</li></ol></div>
<div itemprop="author" itemscope itemtype="http://schema.org/Person"><span itemprop="name">Nobody</span></div>
<img itemprop="image" src="x.jpg">
</div></body></html>"""


def brought(text: str) -> tuple[Recipe, str]:
    """Return the first recipe of a text, read from the file that we would write, and that file."""
    markdown = markdown_of(brought_from(recipes_in(text).recipes[0]), source="page.html")
    recipe, _ = read_recipe("recipes/page.md", markdown)
    assert recipe is not None
    return recipe, markdown


def as_json(**fields: object) -> str:
    """Return a JSON-LD file with a small recipe, changed."""
    usual: dict[str, Any] = {
        "@context": "https://schema.org",
        "@type": "Recipe",
        "name": "Toast",
        "recipeYield": "2",
        "recipeIngredient": ["2 slices bread"],
        "recipeInstructions": "Toast the bread.",
    }
    return json.dumps({**usual, **fields})


def test_a_page_of_another_program_becomes_a_recipe() -> None:
    """Title, servings, ingredients and steps arrive; HTML in the data is text."""
    recipe, markdown = brought(PAGE)
    assert recipe.title == "Barley & leek pot"
    assert recipe.headnote == 'Warm.\n\nAnd "cheap".'
    assert recipe.serves.hearty == 4
    assert [(str(line.amount.high), line.amount.unit, line.item) for line in recipe.lines if line.amount] == [
        ("200", "g", "pearl barley"),
        ("2", "", "leeks"),
        ("1/2", "tsp", "salt"),
        ("1", "tbsp", "oil"),
    ]
    assert [step.name for step in recipe.steps] == ["Slice the leeks", "Simmer", "Stir in the oil"]
    assert recipe.attribute("tags") == "barley, leek"
    assert recipe.attribute("source") == "https://kitchen.example/pot"
    assert "not read: author, nutrition" in markdown


def test_a_time_is_taken_only_where_the_data_says_whose_hands_it_needs() -> None:
    """Forty minutes of who knows what stay unknown and are told; a tip that says "hands-on" is taken."""
    recipe, markdown = brought(PAGE)
    slice_, simmer, stir = recipe.steps
    assert not slice_.has_time
    assert not simmer.has_time
    assert stir.hands == Range(60, 120)
    assert 'time unknown: "Simmer" takes 40 min by the data, which does not say whether hands are needed' in markdown
    assert 'time unknown: "Slice the leeks"; add "hands:"' in markdown
    assert "the data says: preparation 15 min, all in all 1 h 10 min" in markdown


def test_a_foreign_tip_stays_in_the_text() -> None:
    """What we do not understand is not lost."""
    recipe, _ = brought(PAGE)
    assert recipe.steps[2].text.endswith("Tip: Good with bread.")


def test_ingredients_are_marked_where_the_text_names_them() -> None:
    """The first mention is marked, by words that name one ingredient only."""
    recipe, _ = brought(PAGE)
    assert [[mention.name for mention in step.mentions] for step in recipe.steps] == [
        ["leeks"],
        ["barley", "salt"],
        ["oil"],
    ]


def test_microdata_is_read_where_there_is_no_data_block() -> None:
    """WHATWG HTML, "Microdata": values from text, attributes and nested items, ends of list items left out."""
    recipe, markdown = brought(MICRODATA)
    assert recipe.title == "Oat squares"
    assert (recipe.serves.hearty, recipe.serves.noun) == (12, "squares")
    assert [line.item for line in recipe.lines] == ["rolled oats", "butter"]
    assert [re.sub(r"[\[\]]", "", step.text) for step in recipe.steps] == ["Melt the butter.", "Stir in the oats."]
    assert "not read: author, image" in markdown


@pytest.mark.parametrize(
    "instructions",
    [
        "1. Toast the bread.\n2. Eat it.",
        ["Toast the bread.", "Eat it."],
        "<ol><li>Toast the bread.</li><li>Eat it.</li></ol>",
        {
            "@type": "ItemList",
            "itemListElement": [{"@type": "ListItem", "item": {"text": "Toast the bread."}}, "Eat it."],
        },
        {"@type": "HowToSection", "itemListElement": {"@type": "HowToStep", "text": "Toast the bread.\nEat it."}},
    ],
)
def test_instructions_come_in_many_shapes(instructions: object) -> None:
    """Texts, lists, lists of list items and sections all give the same words in the same order."""
    recipe, _ = brought(as_json(recipeInstructions=instructions))
    words = " ".join(re.sub(r"[\[\]]", "", step.text) for step in recipe.steps)
    assert words == "Toast the bread. Eat it."


@pytest.mark.parametrize(
    ("said", "serves", "remark"),
    [
        ("Serves 4 hearty or 6 small", (4, 6, "servings"), None),
        ("4-6 servings", (4, None, "servings"), "the smaller number is taken"),
        ("about 12 buns", (12, None, "buns"), None),
        (["6", "6 portions"], (6, None, "servings"), None),
        (8, (8, None, "servings"), None),
        ("a crowd", None, 'how many it serves is not known (the data says "a crowd")'),
    ],
)
def test_servings(said: object, serves: tuple[int, int | None, str] | None, remark: str | None) -> None:
    """The number is read or asked for, never made up."""
    recipe, markdown = brought(as_json(recipeYield=said))
    if serves is not None:
        assert (recipe.serves.hearty, recipe.serves.small, recipe.serves.noun) == serves
    else:
        assert "\nserves:" not in markdown
    assert remark is None or remark in markdown


@pytest.mark.parametrize(
    ("iso", "words"),
    [
        ("PT40M", "40 min"),
        ("PT1H15M", "1 h 15 min"),
        ("P1DT2H", "26 h"),
        ("PT90S", "1 min 30 s"),
        ("PT0S", ""),
        ("soon", ""),
    ],
)
def test_durations_in_words(iso: str, words: str) -> None:
    """SOURCE: ISO 8601 duration form, worked by hand."""
    assert duration_words(iso) == words


def test_no_foreign_text_becomes_a_part_of_ours() -> None:
    """Headings, fields, mentions, placeholders, links, markup and direction marks of others are words, or gone."""
    evil = "x\n## Method\n1. **A.** b\n   - hands: 1 min"
    recipe, markdown = brought(
        as_json(
            name=f"{evil} {{price}}",
            description=f"{evil}\n---\n# Other title\n[link](javascript:1) {{price}} <script>run()</script>\u202e",
            recipeIngredient=["2 slices bread", f"1 egg {evil}", "[milk: half] {price} `x`"],
            recipeInstructions=[{"@type": "HowToStep", "name": evil, "text": f"{evil} [bread: rest] {{price}} **b**"}]
            * 2,
            keywords="a\nserves: 99",
        )
    )
    assert (recipe.serves.hearty, len(recipe.lines), len(recipe.steps)) == (2, 6, 2)
    assert [step.has_time for step in recipe.steps] == [False, False]
    assert len({step.name for step in recipe.steps}) == 2
    assert {mention.part.kind for step in recipe.steps for mention in step.mentions} <= {PartKind.WHOLE}
    assert not re.search(r"[{}]|<script|\u202e", markdown)
    assert markdown.count("\n## Method\n") == 1
    assert recipe.attribute("tags") == "a serves: 99"


@pytest.mark.parametrize(
    "text",
    [
        "[" * 100_000,
        '{"@type": "Recipe", "name": ' + "9" * 10_000 + "}",
        '{"@type": "Recipe", "recipeInstructions": ' + '{"itemListElement": ' * 300 + "1" + "}" * 301,
        '{"@graph": [{"@type": "Recipe", "@id": "#a", "supply": {"@id": "#a"}, "tool": [{"@id": "#a"}, {"@id": "#a"}]}'
        "]}",
        "<div itemscope itemtype='Recipe'>" + "<p itemprop='name'>x" * 5000,
        "<script type='application/ld+json'>{]</script>",
        "<!--" * 200_000,
        "<a " * 200_000,
        "<![" * 200_000,
        "<script>" * 100_000,
        json.dumps(
            {"@type": "Recipe", "name": "<script " * 100_000, "description": "<!--" * 100_000 + "<b " * 100_000}
        ),
        "",
    ],
)
def test_hostile_files_end_in_a_recipe_or_in_a_sentence(text: str) -> None:
    """Depth, length, cycles and rubbish are bounded: no error of ours comes out."""
    for node in recipes_in(text).recipes:
        markdown = markdown_of(brought_from(node), source="x")
        assert read_recipe("x.md", markdown)[0] is not None


_LEAVES = st.none() | st.booleans() | st.integers() | st.text(max_size=30)
_VALUES = st.recursive(
    _LEAVES,
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.sampled_from(["@type", "name", "text", "itemListElement", "@id", "@value", "performTime", "item"]),
            inner,
            max_size=4,
        )
    ),
    max_leaves=12,
)


@settings(max_examples=150, deadline=None)
@given(
    st.dictionaries(
        st.sampled_from(
            [
                "name",
                "description",
                "recipeYield",
                "recipeIngredient",
                "supply",
                "recipeInstructions",
                "tool",
                "url",
                "x",
            ]
        ),
        _VALUES,
    )
)
def test_any_data_gives_a_file_that_can_be_read(fields: dict[str, object]) -> None:
    """Whatever stands where, the file has one title, our sections, and no step with a time that nobody gave."""
    text = json.dumps({"@type": "Recipe", **fields})
    markdown = markdown_of(brought_from(recipes_in(text).recipes[0]), source="x")
    recipe, _ = read_recipe("x.md", markdown)
    assert recipe is not None
    assert markdown.count("\n## Ingredients\n") == 1
    assert not any(step.has_time for step in recipe.steps)


@settings(max_examples=100, deadline=None)
@given(st.text(max_size=200))
def test_paragraphs_have_no_line_ends_and_no_control_characters(text: str) -> None:
    """Each is one printable line."""
    for line in paragraphs(text):
        assert line == " ".join(line.split())
        assert not re.search("[\x00-\x1f\u202e]", line)


# ------------------------------------------------------------------------------------------------ there and back


def _printed(text: str) -> str:
    """Return a step's text as a reader sees it: "[x: 60 g]" is "60 g of the x", "[x]" is x."""
    text = re.sub(r"(?<!\\)\[([^\[\]:]+): ([^\[\]]+)\]", r"\2 of the \1", text)
    return " ".join(re.sub(r"\\(.)", r"\1", re.sub(r"(?<!\\)[\[\]]", "", text)).split())


def test_build_and_bring_in_give_the_same_recipe(demo_documents: dict[str, str], demo_publication: Any) -> None:
    """Every recipe of every demo: title, servings, ingredients by group, steps with texts, minutes, cues and waits."""
    from shootplan.render.basis import Basis
    from shootplan.render.prose import plain_text

    basis = Basis.of(demo_publication)
    for resolved in demo_publication.resolved.recipes:
        path = Path(resolved.recipe.path)
        ours, _ = read_recipe(str(path), path.read_text(encoding="utf-8"))
        assert ours is not None
        back, _ = brought(demo_documents[f"blog/{resolved.id}.html"])
        assert (back.title, back.serves) == (ours.title, ours.serves)
        assert [_line_facts(back, line) for line in back.lines] == [_line_facts(ours, line) for line in ours.lines]
        texts = {step.id: " ".join(plain_text(step.text.printed).split()) for step in basis.filled(ours.id).steps}
        assert [_printed(step.text) for step in back.steps] == [texts[step.id] for step in ours.steps]
        assert [_step_facts(step) for step in back.steps] == [_step_facts(step) for step in ours.steps]
        assert back.attribute("keeps") == ours.attribute("keeps")


def _line_facts(recipe: Recipe, line: Any) -> tuple[object, ...]:
    group = next((item for item in recipe.groups if item.id == line.group), None)
    heading = (group.title, group.makes, group.is_optional, group.keeps) if group is not None else None
    sizes = (line.amount, line.second, line.second_plus, line.second_size, line.each, line.drained)
    return (line.item, line.form, *sizes, line.is_optional, line.is_to_taste, line.alternates, heading)


def _step_facts(step: Any) -> tuple[object, ...]:
    after = None if step.after is None else [(a.step, a.at_least_s, a.at_most_s) for a in step.after if not a.recipe]
    ahead = step.when if step.when is not When.DAY else None
    times = (step.hands, step.watch, step.leave, step.check, step.batches)
    return (
        step.name,
        *times,
        step.until,
        after or None,
        ahead,
        step.is_optional,
        step.caution,
        step.makes,
        step.keeps_s,
    )


# ------------------------------------------------------------------------------------------------ files


def test_a_file_is_written_and_never_replaced(tmp_path: Path) -> None:
    """The second run is refused and leaves the author's file as it is."""
    page = tmp_path / "page.html"
    page.write_text(PAGE, encoding="utf-8")
    (made,) = bring_in(page, out=tmp_path / "recipes")
    path = Path(made.path)
    assert path.name == "barley-leek-pot.md"
    assert {problem.code for problem in made.problems} >= {"minutes-missing"}
    path.write_text("mine", encoding="utf-8")
    with pytest.raises(OutputError, match="is there already"):
        bring_in(page, out=tmp_path / "recipes")
    assert path.read_text(encoding="utf-8") == "mine"
    assert sorted(item.name for item in path.parent.iterdir()) == ["barley-leek-pot.md"]


def test_two_recipes_of_one_name_get_two_files(tmp_path: Path) -> None:
    """A file with a list of recipes is written as a whole."""
    file = tmp_path / "two.json"
    file.write_text(f"[{as_json()}, {as_json()}]", encoding="utf-8")
    assert [Path(item.path).name for item in bring_in(file, out=tmp_path)] == ["toast.md", "toast-2.md"]


def test_a_page_without_a_recipe_says_so(tmp_path: Path) -> None:
    """The block that cannot be read is named with its line."""
    file = tmp_path / "page.html"
    file.write_text('<html>\n<script type="application/ld+json">\n{"@type": }\n</script>', encoding="utf-8")
    with pytest.raises(InputError) as caught:
        bring_in(file, out=tmp_path)
    found = [(problem.code, problem.span.line) for problem in caught.value.problems]
    assert sorted(found) == [("recipe-data-broken", 3), ("recipe-data-missing", 1)]


def test_a_full_disk_leaves_nothing_behind(tmp_path: Path) -> None:
    """The first of two files is taken back when the second fails."""
    import errno

    from shootplan.write.disk import Disk
    from shootplan.write.new_files import write_new

    class Full(Disk):
        def link(self, old: Path, new: Path) -> None:
            if new.name == "b.md":
                raise OSError(errno.ENOSPC, "no space")
            super().link(old, new)

    with pytest.raises(OutputError, match="the disk is full"):
        write_new(tmp_path, {"a.md": "1", "b.md": "2"}, disk=Full())
    assert list(tmp_path.iterdir()) == []
