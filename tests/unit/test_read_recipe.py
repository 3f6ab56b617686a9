"""A recipe file from front matter to notes."""

from __future__ import annotations

import textwrap
from fractions import Fraction

import pytest

from shootplan.model.clock import Range, Window
from shootplan.model.quantity import Amount
from shootplan.model.recipe import After, Alternate, LookIn, Purpose, Recipe, RecipeKind, Serves, Step, When
from shootplan.problems import Span
from shootplan.read import read_recipe

HEAD = "---\nserves: 4\n---\n\n# Stew\n\n"


def sound(text: str, path: str = "recipes/stew.md", **how: bool) -> Recipe:
    recipe, problems = read_recipe(path, textwrap.dedent(text).lstrip("\n"), **how)
    assert problems == ()
    assert recipe is not None
    return recipe


def method(text: str) -> tuple[Step, ...]:
    return sound(HEAD + "## Method\n\n" + textwrap.dedent(text).lstrip("\n")).steps


def ingredients(text: str) -> Recipe:
    last = "\n## Method\n\n1. **Cook.** All of it.\n   - hands: 1 min\n"
    return sound(HEAD + "## Ingredients\n\n" + textwrap.dedent(text).lstrip("\n") + last)


@pytest.mark.parametrize(
    ("text", "serves"),
    [
        ("4", Serves(4)),
        ("4 large or 6 small", Serves(4, 6)),
        ("4 or 6 small", Serves(4, 6)),
        ("16 buns", Serves(16, noun="buns")),
    ],
)
def test_servings_are_hearty_and_perhaps_small(text: str, serves: Serves) -> None:
    """All forms of the guide."""
    recipe = sound(f"---\nserves: {text}\n---\n# Stew\n## Method\n1. **Cook.** x\n   - hands: 1 min\n")
    assert recipe.serves == serves


def test_front_matter_gives_the_recipe_its_settings() -> None:
    """Known keys are read, printed ones kept with their place, comments passed over."""
    recipe = sound(
        """
        ---
        # for two evenings
        serves: 4
        measures: us label
        scale: 1 1/2
        budget: under 2.00 per serving
        Keeps: 2 days: chilled
        ---
        # Stew
        ## Method
        1. **Cook.** x
           - hands: 1 min
        """
    )
    assert (recipe.id, recipe.title, recipe.measures, recipe.scale) == ("stew", "Stew", "US label", Fraction(3, 2))
    assert recipe.budget == "under 2.00 per serving"
    assert recipe.attribute("keeps") == "2 days: chilled"
    assert recipe.attributes[0].span == Span("recipes/stew.md", 7, 8, 23)


def test_a_sub_preparation_makes_a_batch() -> None:
    """It needs an amount and a name, and no servings."""
    recipe = sound(
        "---\nkind: sub-preparation\nmakes: 250 g pickled onion\nportion: 30 g\n---\n# Pickle\n"
        "## Method\n1. **Cook.** x\n   - hands: 1 min\n"
    )
    assert recipe.kind is RecipeKind.SUB_PREPARATION
    assert (recipe.makes, recipe.makes_name) == (Amount.of(250, "g"), "pickled onion")
    assert recipe.portion == Amount.of(30, "g")


def test_sections_keep_their_text_as_typed() -> None:
    """Headnote and sections keep placeholders, lists and headings of lower rank."""
    recipe = sound(
        HEAD
        + "A {price} stew.\n\nIn two parts.\n\n## Method\n\n1. **Cook.** x\n   - hands: 1 min\n\n"
        + "## Serve\n\nHot.\n\n## Keep\n\n- chilled\n- or frozen\n\n## Notes\n\n### Salt\n\nNone.\n"
    )
    assert recipe.headnote == "A {price} stew.\n\nIn two parts."
    assert (recipe.serve, recipe.keep, recipe.notes) == ("Hot.", "- chilled\n- or frozen", "### Salt\n\nNone.")


def test_lines_stand_in_their_groups() -> None:
    """A heading with "makes" is a sub-preparation, one without only a heading, other brackets are words."""
    recipe = ingredients(
        """
        - 1 onion

        ### Pickled red onion (makes 250 g, optional, keeps 14 days)

        - 120 g red onion

        ### Topping (crisp)

        - 20 g flaked almonds
        """
    )
    assert [line.group for line in recipe.lines] == [None, "pickled-red-onion", "topping-crisp"]
    pickle, topping = recipe.groups
    assert (pickle.title, pickle.makes, pickle.is_optional, pickle.keeps) == (
        "Pickled red onion",
        Amount.of(250, "g"),
        True,
        "14 days",
    )
    assert (topping.title, topping.makes, topping.is_optional) == ("Topping (crisp)", None, False)


def test_fields_of_a_line_are_applied() -> None:
    """Every field of the guide."""
    (line,) = ingredients(
        """
        - 300 g savoy cabbage, shredded, prepared
          - yield: 79 %
          - buy: savoy
          - alternate: 250 g kale
          - alternate: white cabbage
          - single use: 60 g
          - staple: no
          - purpose: to serve
          - rounding: tight
          - optional: yes
        """
    ).lines
    assert line.yield_percent == 79
    assert line.buy == "savoy"
    assert line.alternates == (Alternate(item="kale", amount=Amount.of(250, "g")), Alternate(item="white cabbage"))
    assert line.single_use == Amount.of(60, "g")
    assert (line.is_staple, line.is_tight, line.is_optional) == (False, True, True)
    assert line.purpose is Purpose.TO_SERVE


def test_a_line_knows_where_it_stands() -> None:
    """Line 9 of the file, behind the dash."""
    (line,) = ingredients("- 1 onion\n").lines
    assert line.span == Span("recipes/stew.md", 9, 3, 10)


def test_a_step_carries_all_its_fields() -> None:
    """The kinds of time, links, equipment and texts of one long step."""
    (step, _) = method(
        """
        1. **Simmer the stew.** Add the stock and
           simmer.
           - hands: 2–3 min
           - watch: 1 min
           - leave: at least 1 h, at most 2 h
           - check: every 20 min for 1 min
           - until: tender, core 75 °C
           - after: none
           - when: evening before
           - keeps: 24 h, covered
           - place: fridge
           - uses: ring
           - holds: 5 l pot
           - pausable: no
           - batches: 2
           - good for: 15 min
           - who: helper
           - makes: 2 l stew base
           - say: It takes {time},
             and no more.
           - caption: {time} · lid on
           - caution: somebody stays in the kitchen
           - swap-out: yes
        2. **Serve.** Ladle it out.
           - hands: 1 min
        """
    )
    assert step.text == "Add the stock and\nsimmer."
    assert (step.id, step.name, step.number) == ("simmer-the-stew", "Simmer the stew", 1)
    assert (step.hands, step.watch, step.leave) == (Range(120, 180), Range(60, 60), Window(3600, 7200))
    assert step.check == LookIn(every_s=1200, for_s=60)
    assert (step.until, step.core_temperature_c) == ("tender, core 75 °C", 75)
    assert (step.after, step.when, step.ahead_place) == ((), When.AHEAD, "fridge")
    assert (step.keeps_s, step.keeps, step.fit_s, step.batches) == (86_400, "24 h, covered", 900, 2)
    assert (step.is_pausable, step.may_swap_out, step.who) == (False, True, "helper")
    assert (step.makes, step.makes_amount) == ("stew base", Amount.of(2, "l"))
    assert step.say == "It takes {time}, and no more."
    assert step.caption == "{time} · lid on"
    assert step.place("until") == Span("recipes/stew.md", 15, 13, 31)


def test_the_last_step_of_the_day_serves_unless_another_says_so() -> None:
    """Optional and ahead steps are not what serves."""
    text = "1. **Cook.** x\n   - hands: 1 min\n2. **Serve.** x\n   - hands: 1 min\n3. **Whip.** x\n   - hands: 1 min\n"
    assert [step.is_serving for step in method(text + "   - optional: yes\n")] == [False, True, False]
    first = text.replace("1. **Cook.** x\n", "1. **Cook.** x\n   - serves: yes\n")
    assert [step.is_serving for step in method(first)] == [True, False, False]


def test_a_common_gap_counts_for_links_without_their_own() -> None:
    """ "within:" fills in where "after:" says nothing."""
    steps = method(
        """
        1. **Boil.** x
           - hands: 1 min
        2. **Fry.** x
           - hands: 1 min
           - after: none
        3. **Mix.** x
           - hands: 1 min
           - after: Boil at once, Fry
           - within: 5 min
           - at least: 1 min
        """
    )
    assert steps[2].after == (After(step="Boil", at_most_s=0), After(step="Fry", at_least_s=60, at_most_s=300))


def test_a_gap_without_after_counts_from_the_step_above() -> None:
    """Left out, "after:" means the step above; an optional one is passed over."""
    steps = method(
        """
        1. **Boil.** x
           - hands: 1 min
        2. **Toast.** x
           - hands: 1 min
           - optional: yes
        3. **Mix.** x
           - hands: 1 min
           - within: 5 min
        """
    )
    assert steps[1].after is None
    assert steps[2].after == (After(step="Boil", at_most_s=300),)


def test_fields_of_step_ten_need_four_blanks() -> None:
    """SOURCE: CommonMark 0.31.2, section 5.2, rule 1: what belongs to an item is indented as far as its text."""
    nine = "".join(f"{n}. **Step {n}.** x\n   - hands: 1 min\n" for n in range(1, 10))
    steps = method(nine + "10. **Step 10.** x\n    - hands: 2 min\n")
    assert steps[9].hands == Range(120, 120)
    recipe, problems = read_recipe("r.md", HEAD + "## Method\n\n" + nine + "10. **Step 10.** x\n   - hands: 2 min\n")
    assert recipe is not None
    assert [problem.code for problem in problems] == ["minutes-missing", "field-outside"]


def test_line_ends_and_byte_order_marks_of_other_systems_do_not_matter() -> None:
    """The same model comes out of CR LF, CR and a leading byte order mark."""
    text = HEAD + "## Ingredients\n\n- 1 onion\n\n## Method\n\n1. **Cook.** x\n   - hands: 1 min\n"
    assert sound(text) == sound("\ufeff" + text.replace("\n", "\r\n")) == sound(text.replace("\n", "\r"))


def test_a_decimal_comma_is_read_where_it_is_used() -> None:
    """ "1,5 dl" is one and a half."""
    text = HEAD + "## Ingredients\n\n- 1,5 dl milk\n\n## Method\n\n1. **Cook.** x\n   - hands: 1 min\n"
    assert sound(text, decimal_comma=True).lines[0].amount == Amount.of("3/2", "dl")


def test_reading_twice_gives_the_same() -> None:
    """Nothing depends on anything but the text."""
    text = HEAD + "## Ingredients\n\n- 1 onion, chopped\n"
    assert read_recipe("r.md", text) == read_recipe("r.md", text)
