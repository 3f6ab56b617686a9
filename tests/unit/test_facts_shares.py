"""Products, several uses in one step, parts in words, and figures at the edges."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from script_factory import costs, episode, mention, milk_part, recipe, step, times

from shootplan.facts import FactBook, fill_episode
from shootplan.facts.names import find_names
from shootplan.model.filled import FilledText
from shootplan.model.money import Money
from shootplan.model.quantity import Amount
from shootplan.model.recipe import Mention, PartKind, Serves, Step
from shootplan.model.resolved import Measured, ResolvedProduct, ResolvedRecipe, Use
from shootplan.printing import money_text


def said(made: ResolvedRecipe, *, unknown: tuple[str, ...] = (), **values: object) -> FilledText:
    """Return the narration of the first step."""
    filled, problems = fill_episode(FactBook(episode(made, **values), costs(), times(unknown=unknown)))
    assert problems == ()
    return filled.recipes[0].steps[0].say


def test_a_product_is_told_by_what_is_used_of_it() -> None:
    """A stock that a step makes has an amount like an ingredient: 60 ml of it here, 200 ml in all."""
    stock = ResolvedProduct(name="leek stock", made_by="boil", batch=Amount.of(200, "ml"))
    part = Measured(metric=Amount.of(60, "ml"), metric_shown=Amount.of(60, "ml"))
    use = Use(step="cook", product="leek stock", share=Fraction(3, 10), measured=part)
    made = replace(recipe(step("Cook", say="{leek stock}"), uses=(use,)), products=(stock,))
    assert said(made).printed == "60 ml leek stock"
    assert said(replace(made, uses=())).printed == "200 ml leek stock"


def test_several_uses_in_one_step_add_up() -> None:
    """Two splashes of milk are one figure; together they may be the whole line."""
    two = recipe(step("Cook", say="{milk: metric}"), uses=(milk_part("cook", 60), milk_part("cook", 120)))
    assert said(two).printed == "180 ml milk"
    whole = recipe(step("Cook", say="{milk}"), uses=(milk_part("cook", 60), milk_part("cook", 300)))
    assert said(whole).printed == "1½ cups (360 ml) milk"


def test_a_portion_only_set_aside_is_told() -> None:
    """Where a step uses nothing else of it, the figure is the portion set aside."""
    aside = recipe(step("Cook", say="{milk: metric}"), uses=(milk_part("cook", 60, held=True),))
    assert said(aside).printed == "60 ml milk"


def test_the_episode_has_times_of_its_own() -> None:
    """Outside a recipe the times are those of everything together."""
    made = recipe(step("Cook"))
    texts = "{active time}, {waiting time}, {elapsed time}"
    filled, problems = fill_episode(FactBook(episode(made, headnote=texts), costs(), times()))
    assert problems == ()
    assert filled.headnote.printed == "25–35 min, 35–45 min, 60–75 min"
    assert (
        fill_episode(FactBook(episode(made, headnote="{elapsed time}"), costs()))[0].headnote.printed == "(not timed)"
    )


def test_a_step_without_a_time_makes_the_recipes_a_lower_bound() -> None:
    """The published time says "at least"."""
    found = said(recipe(step("Cook", say="It takes {active time}.")), unknown=("chop",))
    assert found.printed == "It takes at least 25–35 min."


def test_buns_are_counted_as_buns() -> None:
    """The author's noun goes with the number."""
    made = recipe(step("Cook", say="So {serves}"))
    buns = replace(made, recipe=replace(made.recipe, serves=Serves(16, noun="buns")))
    assert said(buns) == FilledText(printed="So 16 buns", shown="So 16\u00a0buns", spoken="So sixteen buns")


@pytest.mark.parametrize("words", ["small serves", "price with options and more", "leek-bean-bake nothing"])
def test_what_a_recipe_does_not_have_is_a_problem(words: str) -> None:
    """No small servings, no such option, no such figure."""
    made = recipe(step("Cook", say=f"{{{words}}}"))
    made = replace(made, recipe=replace(made.recipe, serves=Serves(4)))
    _, problems = fill_episode(FactBook(episode(made), costs(), times()))
    assert [problem.code for problem in problems] in (["figure-unknown"], ["placeholder-unknown"])


def test_a_recipe_without_costs_has_no_price() -> None:
    """A price that was never computed is no figure."""
    other = replace(costs(), recipes=())
    made = recipe(step("Cook", say="{price}"))
    _, (problem,) = fill_episode(FactBook(episode(made), other, times()))
    assert problem.code == "figure-unknown"


PARTS = [
    ("Pour in [milk: all but 60 ml].", PartKind.ALL_BUT, {"amount": Amount.of(60, "ml")}, "all but 60 ml of the milk"),
    ("Pour in [milk: 1/3].", PartKind.FRACTION, {"fraction": Fraction(1, 3)}, "a third of the milk"),
    ("Pour in [milk: 0.3 l].", PartKind.AMOUNT, {"amount": Amount.of("3/10", "l")}, "300 ml of the milk"),
    ("Pour in [milk: 1 1/4 cups].", PartKind.AMOUNT, {"amount": Amount.of("5/4", "cup")}, "1¼ cups of the milk"),
    ("Pour in [milk: held back].", PartKind.HELD_BACK, {}, "the held-back milk"),
]


@pytest.mark.parametrize(("text", "kind", "values", "expected"), PARTS)
def test_parts_read_as_words(text: str, kind: PartKind, values: dict[str, object], expected: str) -> None:
    """Each kind of part in the author's own measure, rounded as everywhere."""
    found: Mention = mention("milk", kind, **values)
    written = Step(id="cook", name="Cook", number=1, text=text, mentions=(found,))
    made = recipe(written, uses=(milk_part("cook", 300),))
    filled, problems = fill_episode(FactBook(episode(made), costs(), times()))
    assert problems == ()
    assert filled.recipes[0].steps[0].text.printed == f"Pour in {expected}."


def test_names_are_found_by_id_item_or_words() -> None:
    """An exact name wins over one that only contains the words; plurals are one."""
    items = {"salt": "salt", "fine-salt": "fine salt", "bay": "bay leaves", "berries": "berries"}
    assert find_names("fine-salt", items) == ("fine-salt",)
    assert find_names("salts", items) == ("salt",)
    assert find_names("leaf", items) == ("bay",)
    assert find_names("berry", items) == ("berries",)
    assert find_names(" - ", items) == ()


def test_an_unknown_locale_prints_as_british() -> None:
    """A slip in the locale does not stop the build; three decimals are kept where the currency has them."""
    assert money_text(Money(Decimal("1.28"), "GBP"), "xx_nowhere") == "£1.28"
    assert money_text(Money(Decimal("1.500"), "KWD"), "en_US", 3) == "KWD1.500"
    assert money_text(Money(Decimal("1.2773"), "GBP"), "en_GB", 4) == "£1.2773"


def test_english_text_has_one_decimal_sign() -> None:
    """An English page writes "6.37 kr" beside "1.75 l"; a Swedish one keeps CLDR's comma."""
    from decimal import Decimal

    assert money_text(Money(Decimal("6.37"), "SEK"), "en_SE") == "6.37\u00a0kr"
    assert money_text(Money(Decimal("6.37"), "SEK"), "sv_SE") == "6,37\u00a0kr"
