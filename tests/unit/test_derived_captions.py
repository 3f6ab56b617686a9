"""
Captions that nobody typed: what they say, which of them stand, where notices go, and that tags agree with the costing.

The dish and its prices are those of ``script_factory``: 5.1090 for the whole, so a tag stands from 0.26 on.
"""

from __future__ import annotations

import re
import shutil
from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from script_factory import costs, episode, mention, milk_part, oven, recipe, shot, step, times

from shootplan.facts import FactBook, fill_episode
from shootplan.model.care import AllergenPart, RecipeCare
from shootplan.model.clock import Range, Window
from shootplan.model.cut import Caption, Cut
from shootplan.model.filled import CaptionText, FilledEpisode
from shootplan.model.larder import Hazard
from shootplan.model.quantity import Amount
from shootplan.model.recipe import Step
from shootplan.model.resolved import Measured, ResolvedEpisode, Use
from shootplan.problems import Span
from shootplan.timing import cut_episode
from shootplan.timing.chosen import chosen
from shootplan.timing.holds import VERTICAL, WIDE, caption_need_ms, fits

NB = "\u00a0"
MINUTE = 60


def whole(step_id: str, line_id: str) -> Use:
    """Return the use of all of a line."""
    return Use(step=step_id, line=line_id)


def fill(resolved: ResolvedEpisode, care: tuple[RecipeCare, ...] = ()) -> FilledEpisode:
    """Return the filled texts."""
    filled, problems = fill_episode(FactBook(resolved, costs(), times(), care))
    assert problems == ()
    return filled


def derived(made: Step, *uses: Use) -> list[str]:
    """Return the texts derived for one step, no-break spaces as plain ones."""
    filled = fill(episode(recipe(made, uses=uses)))
    return [item.text.replace(NB, " ") for item in filled.recipes[0].steps[0].derived]


def cut(resolved: ResolvedEpisode, care: tuple[RecipeCare, ...] = ()) -> Cut:
    """Return the cut of an episode."""
    return cut_episode(resolved, fill(resolved, care))[0]


def texts(captions: tuple[Caption, ...]) -> list[str]:
    """Return captions on one line each, no-break spaces as plain ones."""
    return [caption.text.replace("\n", " / ").replace(NB, " ") for caption in captions]


# ---------------------------------------------------------------------------------------------------- what they say


def test_ingredients_with_tags_where_the_price_matters() -> None:
    """0.70 of 5.11 is more than a twentieth, the oil's 0.03 is not; one measure each."""
    uses = (whole("cook", "floury-potatoes"), whole("cook", "vegetable-oil"), whole("cook", "butter-beans"))
    assert derived(step("Cook", shot=shot()), *uses) == [
        "900 g floury potatoes £0.70",
        "1 tbsp vegetable oil",
        "2 tins butter beans £1.40",
    ]


def test_a_part_has_the_price_of_the_part() -> None:
    """300 of 360 ml of milk: 300 / 2272 x 1.65 = 0.2179, under a twentieth of the dish: no tag; all of it has one."""
    assert derived(step("Cook"), milk_part("cook", 300)) == ["1¼ cups semi-skimmed milk"]
    assert derived(step("Cook"), whole("cook", "milk")) == ["1½ cups semi-skimmed milk £0.26"]


def test_what_is_held_back_is_told_and_later_used_without_a_price() -> None:
    """Only set aside: "keep"; taken again: no second tag."""
    assert derived(step("Cook"), milk_part("cook", 60, held=True)) == ["keep ¼ cup semi-skimmed milk"]
    assert derived(step("Cook"), milk_part("cook", 60, later=True)) == ["¼ cup semi-skimmed milk"]


def test_what_may_be_left_out_says_so() -> None:
    """0.2167 of 5.109 is under a twentieth: no tag."""
    assert derived(step("Cook"), replace(whole("cook", "parsley"), is_optional=True)) == [
        "3 tbsp flat-leaf parsley, optional"
    ]


@pytest.mark.parametrize(
    ("values", "text"),
    [
        (
            {"leave": Range(12 * MINUTE, 15 * MINUTE), "until": "a knife slides through"},
            "12–15 min, until a knife slides through",
        ),
        ({"leave": Window(5 * MINUTE, 15 * MINUTE)}, "5–15 min"),
        ({"watch": Range(3 * MINUTE, 4 * MINUTE)}, "3–4 min"),
        ({"heats": oven(200), "leave": Range(12 * MINUTE, 15 * MINUTE)}, "200 °C / fan 180 °C"),
        (
            {"hands": Range(4 * MINUTE, 5 * MINUTE), "uses": (oven(200),), "until": "core 96 °C"},
            "4–5 min, until core 96 °C",
        ),
    ],
)
def test_a_wait_shows_its_minutes_with_the_cue(values: dict[str, object], text: str) -> None:
    """Left, watched or on heat; where the oven is heated, its settings."""
    assert derived(step("Cook", **values)) == [text]


def test_plain_work_needs_no_minutes() -> None:
    """Hands without heat: nobody waits."""
    assert derived(step("Chop", hands=Range(6 * MINUTE, 8 * MINUTE))) == []


def test_the_serving_shows_the_price_with_and_without_the_option() -> None:
    """1.2773 and 1.3314 a serving (worked on paper)."""
    assert derived(step("Serve", is_serving=True)) == ["£1.28 a serving; £1.33 with flat-leaf parsley"]


# ---------------------------------------------------------------------------------------------------- overriding


def test_a_typed_caption_replaces_what_would_be_derived() -> None:
    """The author's words stand alone."""
    made = step("Cook", shot=shot(), caption="only this")
    assert texts(cut(episode(recipe(made, uses=(whole("cook", "leeks"),)))).captions) == ["only this"]


@pytest.mark.parametrize("word", ["none", "None", " none "])
def test_none_keeps_the_picture_clear(word: str) -> None:
    """No caption, no derived one, and the word itself is not shown."""
    made = step("Cook", shot=shot(), caption=word)
    found = cut(episode(recipe(made, uses=(whole("cook", "leeks"),))))
    assert found.captions == ()
    assert len(found.rows) == 1


def test_an_episode_may_want_typed_captions_only() -> None:
    """Front matter "captions: typed only": no ingredient, no notice."""
    made = step("Cook", shot=shot(), say="So")
    resolved = episode(recipe(made, uses=(whole("cook", "leeks"),)), has_derived_captions=False)
    assert cut(resolved, (care(RICE),)).captions == ()


def test_what_nobody_sees_gets_no_caption_and_no_row() -> None:
    """A step without shot and words stays out of the video; one that is said and not filmed has no picture."""
    unfilmed = (("shot", Span("r.md", 5)),)
    resolved = episode(
        recipe(
            step("Silent"),
            step("Said", say="Overnight", field_spans=unfilmed),
            uses=(whole("silent", "leeks"), whole("said", "leeks")),
        )
    )
    found = cut(resolved)
    assert [row.step for row in found.rows] == ["said"]
    assert found.captions == ()


# ---------------------------------------------------------------------------------------------------- how much stands


def item(text: str, weight: int, kind: str = "ingredient") -> CaptionText:
    """Return an item."""
    return CaptionText(text=text, kind=kind, source=text, weight=weight)


def test_the_heaviest_stand_in_the_order_of_use() -> None:
    """4 s of picture read nine words (3.8 s): oil and leeks of five words; with the beans' six it would be 5.2 s."""
    items = (item("1 tbsp oil", 3), item("2 leeks", 2), item("2 tins of white butter beans", 1))
    assert [caption.text for caption in chosen(items, 4000, WIDE)] == ["1 tbsp oil\n2 leeks"]
    longer = chosen(items, 6000, WIDE)
    assert [caption.text for caption in longer] == ["1 tbsp oil · 2 leeks\n2 tins of white butter beans"]
    assert longer[0].source == "1 tbsp oil, 2 leeks, 2 tins of white butter beans"


def test_a_derived_caption_never_lengthens_its_row_but_for_a_price() -> None:
    """2.2 s of picture are too short for two words (2.4 s); the price of a serving stands all the same."""
    assert chosen((item("2 leeks", 1),), 2300, WIDE) == ()
    assert len(chosen((item("£1.28 a serving", 9, "price"),), 2300, WIDE)) == 1


def test_no_list_covers_the_picture() -> None:
    """Four items at most, and never more than the screen holds at once."""
    items = tuple(item(f"{n} leeks", n) for n in range(9))
    captions = chosen(items, 60_000, WIDE)
    assert "\n".join(caption.text for caption in captions).count("leeks") == 4
    assert all(fits(tuple(caption.text.split("\n")), WIDE) for caption in captions)


def test_what_is_too_long_for_the_screen_is_left_out() -> None:
    """Vertical lines have 25 characters, three of them."""
    wide = item("word " * 16, 5)
    assert chosen((wide, item("2 leeks", 1)), 60_000, VERTICAL)[0].text == "2 leeks"


# ---------------------------------------------------------------------------------------------------- notices

RICE = Hazard(
    id="rice",
    title="rice",
    rule="cool within 1 h; never keep it warm on the set",
    severity="stop",
    audience="everyone",
    trigger="rice",
    source="UK Food Standards Agency",
)
BEANS = replace(
    RICE,
    id="beans",
    rule="soak at least 5 h, throw the water away, boil hard in fresh water for at least 30 min before any simmering; "
    "never start raw beans in a slow cooker",
)


def care(*hazards: Hazard) -> RecipeCare:
    """Return what must be minded with the bake."""
    return RecipeCare(recipe="leek-bean-bake", core=AllergenPart(name=""), hazards=hazards)


def test_a_rule_of_safety_stands_once_where_there_is_room() -> None:
    """The first row has 4 s and a caption of 2.4 s; the second, with 20 s of words, has room."""
    resolved = episode(
        recipe(step("Wash", shot=shot(), caption="Rinse twice"), step("Cook", shot=shot(), say="word " * 45))
    )
    found = cut(resolved, (care(RICE), care(RICE)))
    assert [(caption.row, caption.kind.value) for caption in found.captions] == [
        ("leek-bean-bake.wash", "step"),
        ("leek-bean-bake.cook", "notice"),
    ]
    assert texts(found.captions)[1] == "Cool within 1 h / Never keep it warm on the set"
    assert found.captions[1].source == "UK Food Standards Agency"


def test_without_room_the_row_that_grows_least_takes_it() -> None:
    """A rule is never dropped: of a picture of 2 and one of 4 s the longer one takes it."""
    resolved = episode(recipe(step("Wash", shot=shot(screen_s=2)), step("Cook", shot=shot(screen_s=4))))
    found = cut(resolved, (care(BEANS),))
    assert {caption.row for caption in found.captions} == {"leek-bean-bake.cook"}
    assert all(fits(tuple(caption.text.split("\n"))) for caption in found.captions)
    said = " ".join(text.replace(" / ", " ").replace(" · ", " ") for text in texts(found.captions)).casefold()
    assert said == BEANS.rule.replace("; ", " ").casefold()


def test_a_clear_picture_stays_clear_of_notices() -> None:
    """ "caption: none" is for notices too."""
    resolved = episode(recipe(step("Wash", shot=shot(), caption="none", say="word " * 60), step("Cook", shot=shot())))
    assert {caption.row for caption in cut(resolved, (care(RICE),)).captions} == {"leek-bean-bake.cook"}


@pytest.mark.parametrize("other", [replace(RICE, severity="warn"), replace(RICE, audience="pregnant")])
def test_only_rules_that_all_must_keep_are_shown(other: Hazard) -> None:
    """Lesser cautions stand on the pages."""
    assert cut(episode(recipe(step("Cook", shot=shot(), say="word " * 60))), (care(other),)).captions == ()


# ---------------------------------------------------------------------------------------------------- whole episodes


@pytest.fixture
def bare(demo: Path, tmp_path: Path) -> Path:
    """Return a copy of a demo without any typed caption."""
    folder = tmp_path / demo.name
    shutil.copytree(demo, folder, ignore=shutil.ignore_patterns("out"))
    for path in (folder / "episode.md", *(folder / "recipes").glob("*.md")):
        lines = path.read_text(encoding="utf-8").split("\n")
        path.write_text("\n".join(line for line in lines if "- caption:" not in line), encoding="utf-8")
    return folder


def test_every_tag_agrees_with_the_costing(bare: Path) -> None:
    """Each price tag is the cost of what its step uses, half up; worked here apart from the program's own figures."""
    from shootplan.app import cost, load
    from shootplan.app.script import script

    loaded = load(bare)
    found = script(loaded)
    tags = 0
    for filled in found.filled.recipes:
        resolved, cost_of = loaded.resolved.recipe(filled.id), cost(loaded)[0].recipe(filled.id)
        assert resolved is not None
        assert cost_of is not None
        line_costs = {item.line.line.id: item.cost for item in cost_of.lines}
        for row in filled.steps:
            for caption in row.derived:
                match = re.search(r"[£$]?(\d+\.\d\d)(?:\u00a0kr)?(?:, optional)?$", caption.text)
                if caption.kind != "ingredient" or match is None:
                    assert not (caption.kind == "ingredient" and caption.has_price)
                    continue
                line_id = caption.source.removeprefix(f"{filled.id} ")
                uses = [use for use in resolved.uses_in(row.id) if use.line == line_id]
                share = sum((use.share for use in uses if not use.is_held_back), Fraction(0))
                exact = line_costs[line_id]
                assert exact is not None
                value = exact.exact * share
                worked = (Decimal(value.numerator) / Decimal(value.denominator)).quantize(
                    Decimal("0.01"), ROUND_HALF_UP
                )
                assert Decimal(match[1]) == worked, caption
                tags += 1
    assert tags >= 12


def test_an_episode_without_a_typed_caption_is_captioned(bare: Path) -> None:
    """Each dish shows its price, the episode once the prices' date; all can be read, no row grows by ingredients."""
    from shootplan.app import load
    from shootplan.app.script import script

    made = script(load(bare))
    kinds = [caption.kind.value for caption in made.cut.captions]
    assert kinds.count("price") == len(made.filled.recipes)
    assert sum(text.startswith("Prices of 2026-") for text in texts(made.cut.captions)) == 1
    assert all(fits(tuple(caption.text.split("\n"))) for caption in made.cut.captions)
    assert all(caption.hold_ms >= caption_need_ms(caption.text) for caption in made.cut.captions)
    grown = {row.id for row in made.cut.rows if row.decides == "captions"}
    shown = {caption.row for caption in made.cut.captions if caption.kind.value in ("price", "total", "notice")}
    assert grown <= shown


def test_the_demos_typed_captions_are_not_crowded(demo: Path) -> None:
    """What is derived beside the typed captions of a demo is one notice of prices and the rules of safety, no more."""
    from shootplan.app import load
    from shootplan.app.script import script

    loaded = load(demo)
    typed_only = replace(loaded.resolved.episode, has_derived_captions=False)
    without = script(replace(loaded, resolved=replace(loaded.resolved, episode=typed_only))).cut
    made = script(loaded)
    more = sorted(set(texts(made.cut.captions)) - set(texts(without.captions)))
    assert len(made.cut.captions) == len(without.captions) + len(more)
    assert len(more) == len(made.filled.notices)
    if not any(notice.recipe for notice in made.filled.notices):
        assert made.cut.length_ms == without.length_ms


def test_a_measure_is_not_broken_from_its_number() -> None:
    """Amount and unit stay together on the screen."""
    measured = Measured(metric=Amount.of(60, "ml"), metric_shown=Amount.of(60, "ml"))
    use = Use(step="cook", line="milk", measured=measured, share=Fraction(1, 6))
    filled = fill(episode(recipe(step("Cook", mentions=(mention("milk"),)), uses=(use,))))
    assert filled.recipes[0].steps[0].derived[0].text == f"60{NB}ml semi-skimmed milk"
