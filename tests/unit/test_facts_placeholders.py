"""Placeholders become the figures that were computed, in three forms."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from script_factory import PATH, costs, episode, mention, milk_part, oven, recipe, step, times

from shootplan.facts import FactBook, fill_episode
from shootplan.model.clock import Range, Window
from shootplan.model.filled import FilledStep, FilledText
from shootplan.model.quantity import Amount
from shootplan.model.recipe import PartKind, Step
from shootplan.model.resolved import Measured, ResolvedRecipe, Use
from shootplan.problems import Problem, Severity, Span

NB = "\u00a0"


def fill(made: ResolvedRecipe, *, missing: tuple[str, ...] = ()) -> tuple[tuple[FilledStep, ...], tuple[Problem, ...]]:
    """Return the filled steps of one recipe and the problems."""
    filled, problems = fill_episode(FactBook(episode(made), costs(missing=missing), times()))
    return filled.recipes[0].steps, problems


def say(text: str, **values: object) -> FilledText:
    """Return the narration of one step, filled; there must be no problem."""
    steps, problems = fill(recipe(step("Cook", say=text, **values)))
    assert problems == ()
    return steps[0].say


def problem(text: str) -> Problem:
    """Return the one problem of a step's narration."""
    (found,) = fill(recipe(step("Cook", say=text)))[1]
    return found


AMOUNTS = [
    # placeholder, printed, spoken: worked by hand
    ("oil", "1 tbsp (15 ml) oil", "one tablespoon of oil"),
    ("vegetable oil", "1 tbsp (15 ml) vegetable oil", "one tablespoon of vegetable oil"),
    ("oil: metric", "15 ml oil", "fifteen millilitres of oil"),
    ("oil: household", "1 tbsp oil", "one tablespoon of oil"),
    ("oil: name", "vegetable oil", "vegetable oil"),
    ("oil: price", "£0.03", "three pence"),
    ("floury potatoes", "900 g floury potatoes", "nine hundred grams of floury potatoes"),
    ("potatoes: household", "5 medium potatoes", "five medium potatoes"),
    ("floury potatoes: price", "£0.70", "seventy pence"),
    ("leeks", "3 leeks", "three leeks"),
    ("leeks: price", "£1.60", "one pound sixty"),
    ("butter beans", "2 tins butter beans", "two tins of butter beans"),
    ("salt", "½ tsp (3 g) salt", "half a teaspoon of salt"),
    ("milk", "1½ cups (360 ml) milk", "one and a half cups of milk"),
    ("lemon", "½ lemon", "half a lemon"),
    ("chilli sauce", "1–2 tbsp chilli sauce", "one to two tablespoons of chilli sauce"),
]


@pytest.mark.parametrize(("words", "printed", "spoken"), AMOUNTS)
def test_an_ingredient_is_written_and_said(words: str, printed: str, spoken: str) -> None:
    """Spoons and cups lead with the metric amount behind, counts stay counts, all else is metric."""
    found = say(f"Take {{{words}}}.")
    assert found.printed == f"Take {printed}."
    assert found.spoken == f"Take {spoken}."


RECIPE = [
    ("price", "£1.28", "one pound twenty-eight"),
    ("price with options", "£1.33", "one pound thirty-three"),
    ("price with parsley", "£1.33", "one pound thirty-three"),
    ("small price", "£0.85", "eighty-five pence"),
    ("small price with options", "£0.89", "eighty-nine pence"),
    ("serves", "4", "four"),
    ("small serves", "6", "six"),
    ("title", "Leek and butter bean bake", "Leek and butter bean bake"),
    ("active time", "25–35 min", "twenty-five to thirty-five minutes"),
    ("waiting time", "35–45 min", "thirty-five to forty-five minutes"),
    ("elapsed time", "60–75 min", "sixty to seventy-five minutes"),
    ("total price", "£2.45", "two pounds forty-five"),
    ("total price with options", "£2.58", "two pounds fifty-eight"),
    ("average price", "£1.28", "one pound twenty-eight"),
    ("average price with options", "£1.33", "one pound thirty-three"),
    ("recipes", "1", "one"),
    ("leek-bean-bake price", "£1.28", "one pound twenty-eight"),
    ("leek-bean-bake title", "Leek and butter bean bake", "Leek and butter bean bake"),
]


@pytest.mark.parametrize(("words", "printed", "spoken"), RECIPE)
def test_a_figure_of_the_recipe_is_written_and_said(words: str, printed: str, spoken: str) -> None:
    """Prices are rounded half up once, times outward to five minutes."""
    found = say(f"So {{{words}}}")
    assert (found.printed, found.spoken) == (f"So {printed}", f"So {spoken}")


def test_an_unpriced_line_makes_a_price_a_lower_bound() -> None:
    """A price that is not complete says "at least"."""
    steps, problems = fill(recipe(step("Cook", say="For {price}.")), missing=("lemon",))
    assert problems == ()
    assert steps[0].say.printed == "For at least £1.28."
    assert steps[0].say.spoken == "For at least one pound twenty-eight."


def test_a_figure_on_the_screen_does_not_break() -> None:
    """Number and unit are joined by a no-break space on the screen, in brackets and in typed text too."""
    shown = say("{oil} in a 2 l pan").shown
    assert shown == f"1{NB}tbsp (15{NB}ml) oil in a 2{NB}l pan"


STEP_TIMES = [
    ({"leave": Range(720, 900)}, "12–15 min", "twelve to fifteen minutes"),
    ({"hands": Range(120, 120)}, "2 min", "two minutes"),
    ({"hands": Range(60, 60), "leave": Range(600, 900)}, "11–16 min", "eleven to sixteen minutes"),
    ({"leave": Window(36000, 43200)}, "10–12 h", "ten to twelve hours"),
    ({"leave": Window(600, None)}, "at least 10 min", "at least ten minutes"),
]


@pytest.mark.parametrize(("values", "printed", "spoken"), STEP_TIMES)
def test_a_step_tells_its_minutes(values: dict[str, object], printed: str, spoken: str) -> None:
    """All parts of a step add up; a window reads as its limits."""
    found = say("{time}, then", **values)
    assert found.printed == f"{printed}, then"
    assert found.spoken.casefold() == f"{spoken}, then"


def test_a_step_tells_oven_and_cue() -> None:
    """The oven's setting comes with the fan's; the cue is the author's words."""
    found = say("{oven} until {until}", uses=(oven(200),), until="golden, 96 °C inside")
    assert found.printed == "200 °C / fan 180 °C until golden, 96 °C inside"
    assert found.spoken.startswith("Two hundred degrees, one hundred and eighty with a fan until golden, ninety-six")


def test_a_later_step_knows_the_oven() -> None:
    """A step without an oven of its own speaks of the one set before it."""
    steps, problems = fill(recipe(step("Heat", heats=oven(180)), step("Bake", say="At {oven}")))
    assert problems == ()
    assert steps[1].say.printed == "At 180 °C / fan 160 °C"


def test_a_step_means_the_part_that_it_uses() -> None:
    """In a step the name stands for the part used there, with the part's price; elsewhere for the whole line."""
    uses = (milk_part("sauce", 60, held=True), milk_part("sauce", 300), milk_part("mash", 60, later=True))
    made = recipe(
        step("Sauce", say="{milk: metric} {milk: price}"),
        step("Mash", say="{milk: metric}"),
        step("Eat", say="{milk}"),
        uses=uses,
    )
    texts = [found.say.printed for found in fill(made)[0]]
    assert texts == ["300 ml milk £0.22", "60 ml milk", "1½ cups (360 ml) milk"]


def test_a_figure_that_opens_a_sentence_is_said_with_a_capital() -> None:
    """Narration reads as sentences; inside one nothing changes."""
    found = say("Here. {price} a serving, or {small price}.")
    assert found.spoken == "Here. One pound twenty-eight a serving, or eighty-five pence."


def test_no_spoon_is_made_up() -> None:
    """A part that no spoon or cup holds is told in grams or millilitres, in a unit that reads well."""
    litres = Amount.of("3/50", "l")
    odd = Measured(metric=litres, metric_shown=litres, household=Amount.of("6/25", "cup"))
    made = recipe(step("Cook", say="Take {milk: household}."), uses=(Use(step="cook", line="milk", measured=odd),))
    part = replace(made, uses=(replace(made.uses[0], share=Fraction(1, 6)),))
    assert fill(part)[0][0].say.printed == "Take 60 ml milk."


def test_headnotes_are_filled_too() -> None:
    """Section texts take figures of the recipe."""
    made = recipe(headnote="Feeds {serves} at {price}.", keep="Eat in {elapsed time}.")
    filled, problems = fill_episode(FactBook(episode(made, headnote="{recipes} dish"), costs(), times()))
    assert problems == ()
    assert filled.recipes[0].headnote.printed == "Feeds 4 at £1.28."
    assert filled.recipes[0].keep.printed == "Eat in 60–75 min."
    assert (filled.headnote.printed, filled.headnote.spoken) == ("1 dish", "One dish")


def test_without_times_a_check_still_knows_the_names() -> None:
    """Before the recipes are timed a time placeholder is no problem."""
    filled, problems = fill_episode(FactBook(episode(recipe(headnote="{active time}")), costs(), None))
    assert problems == ()
    assert filled.recipes[0].headnote.printed == "(not timed)"


# ---------------------------------------------------------------------------------------------------- faults


def test_an_unknown_placeholder_is_a_problem_at_its_column() -> None:
    """The place is the braces' own, and the hint names what is near."""
    found = problem("Take {oli} now")
    assert found.code == "placeholder-unknown"
    assert found.span == Span(PATH, 40, 17, 22)
    assert found.severity is Severity.ERROR
    assert problem("{prise}").hint == 'did you mean "price"?'
    assert (problem("{qqqq}").hint or "").startswith("known here: time, oven, until, price")


def test_an_unknown_form_names_the_forms() -> None:
    """What stands behind the colon is checked."""
    found = problem("{oil: cups}")
    assert (found.code, found.hint) == ("placeholder-unknown", "write one of metric, household, price, name")


def test_an_unknown_option_is_a_problem() -> None:
    """Only options can be added to a price."""
    assert problem("{price with oil}").code == "placeholder-unknown"


def test_a_name_that_fits_two_lines_is_ambiguous() -> None:
    """The problem names both."""
    made = recipe(step("Cook", say="{sauce}"))
    chilli = made.lines[-2]
    soy = replace(chilli, line=replace(chilli.line, id="soy-sauce", item="soy sauce"))
    found = fill(replace(made, lines=(*made.lines, soy)))[1][0]
    assert found.code == "placeholder-ambiguous"
    assert found.hint == 'write "chilli sauce" or "soy sauce"'


def test_a_price_that_is_not_known_is_a_warning() -> None:
    """An unpriced line has no figure; the build may go on."""
    found = problem("{salt: price}")
    assert (found.code, found.severity) == ("figure-unknown", Severity.WARNING)


@pytest.mark.parametrize("words", ["time", "oven", "until"])
def test_a_step_without_a_fact_says_so(words: str) -> None:
    """A step without minutes, oven or cue has no such figure."""
    assert problem(f"{{{words}}}").code == "figure-unknown"


def test_what_cannot_be_filled_stays_as_typed() -> None:
    """The rest of the text goes on."""
    steps, _ = fill(recipe(step("Cook", say="{oli} and {oil: household}")))
    assert steps[0].say.printed == "{oli} and 1 tbsp oil"


# ---------------------------------------------------------------------------------------------------- captions


def captions(text: str, **values: object) -> list[tuple[str, str, str]]:
    """Return text, kind and source of a step's captions."""
    steps, problems = fill(recipe(step("Cook", caption=text, **values)))
    assert problems == ()
    return [(found.text, found.kind, found.source) for found in steps[0].captions]


def test_a_caption_of_an_ingredient_names_its_source() -> None:
    """The caption carries what it shows and where the figure comes from."""
    assert captions("{floury potatoes: metric} {floury potatoes: price}") == [
        (f"900{NB}g floury potatoes £0.70", "ingredient", "leek-bean-bake floury potatoes")
    ]


def test_captions_of_prices_totals_and_steps_are_told_apart() -> None:
    """The kind follows from the figures in it."""
    assert captions("{price} a serving")[0][1] == "price"
    assert captions("{total price} a head")[0][1] == "total"
    assert captions("{time}", leave=Range(60, 60))[0][1] == "step"
    assert captions("Drain") == [("Drain", "step", "leek-bean-bake cook")]


def test_without_a_caption_line_there_is_none() -> None:
    """Nothing is put on the screen that the author did not ask for."""
    assert captions("") == []


# ---------------------------------------------------------------------------------------------------- instructions


def instruction(text: str, *mentions: object) -> str:
    """Return a step's printed text."""
    uses = (milk_part("cook", 60, held=True), milk_part("cook", 300))
    made = recipe(Step(id="cook", name="Cook", number=1, text=text, mentions=mentions), uses=uses)  # type: ignore[arg-type]
    return fill(made)[0][0].text.printed


HALF = mention("oil", PartKind.FRACTION, fraction=Fraction(1, 2))
INSTRUCTIONS = [
    ("Warm the [oil].", "Warm the oil."),
    ("Warm [oil: half] gently.", "Warm half the oil gently."),
    ("Warm half the [oil: half] gently.", "Warm half the oil gently."),
    ("Add the [milk: rest].", "Add the milk (the rest)."),
    ("Add [milk: rest].", "Add the rest of the milk."),
    ("Pour in the [milk: held back].", "Pour in the held-back milk."),
    ("See [our page](https://example.org/x).", "See [our page](https://example.org/x)."),
]


@pytest.mark.parametrize(("text", "expected"), INSTRUCTIONS)
def test_a_mention_becomes_plain_words(text: str, expected: str) -> None:
    """The author's own words before it decide how a part is said."""
    kinds = {"half": HALF, "rest": mention("milk", PartKind.REST), "held back": mention("milk", PartKind.REST)}
    found = [kinds[key] for key in kinds if f": {key}]" in text] or ([mention("oil")] if "[oil]" in text else [])
    assert instruction(text, *found) == expected


def test_a_held_back_part_is_named_with_its_amount() -> None:
    """Setting aside and using say how much of what."""
    aside = mention("milk", PartKind.AMOUNT, held=True, amount=Amount.of(60, "ml"))
    taken = mention("milk", PartKind.AMOUNT, amount=Amount.of(300, "ml"))
    text = "Set aside [milk: hold back 60 ml]; stir in the [milk: 300 ml]."
    assert instruction(text, aside, taken) == "Set aside 60 ml of the milk; stir in the milk (300 ml)."
