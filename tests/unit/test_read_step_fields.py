"""The fields of steps: what they wait for, what they use, how they are filmed, what their mentions say."""

from __future__ import annotations

from fractions import Fraction

import pytest

from shootplan.model.quantity import Amount
from shootplan.model.recipe import After, Equipment, Mention, Part, PartKind, Shot
from shootplan.problems import Span
from shootplan.read.after import read_after
from shootplan.read.equipment import read_equipment, singular
from shootplan.read.mentions import read_mentions
from shootplan.read.passage import Log, Passage, slug
from shootplan.read.shots import read_shot


def passage(text: str) -> Passage:
    return Passage.on_line(text, "r.md", 7, 11)


def after(text: str) -> tuple[After, ...]:
    log = Log()
    found = read_after(passage(text), log)
    assert log.problems == []
    return found


def equipment(text: str) -> tuple[Equipment, ...]:
    log = Log()
    found = read_equipment(passage(text), log)
    assert log.problems == []
    return found


def mentions(text: str) -> tuple[Mention, ...]:
    log = Log()
    found = read_mentions(passage(text), log)
    assert log.problems == []
    return found


# ---------------------------------------------------------------------------------------------------- after


def test_none_waits_for_nothing() -> None:
    """ "none" is an empty tuple, which is not the same as nothing written."""
    assert after("none") == ()


def test_steps_are_listed_with_commas_each_with_its_own_gap() -> None:
    """Each name may carry a gap; a name without one may wait for ever."""
    assert after("Sweat leeks within 5 min, Heat the oven") == (
        After(step="Sweat leeks", at_most_s=300),
        After(step="Heat the oven"),
    )


def test_at_once_is_a_gap_of_nothing() -> None:
    """The next step starts in the same moment."""
    assert after("Boil the peas at once") == (After(step="Boil the peas", at_most_s=0),)


def test_a_window_after_a_step_keeps_both_ends() -> None:
    """The comma inside "at least …, at most …" does not begin another step."""
    assert after("Rest at least 10 min, at most 40 min, Whip") == (
        After(step="Rest", at_least_s=600, at_most_s=2400),
        After(step="Whip"),
    )


def test_a_step_of_another_recipe_is_named_with_its_recipe() -> None:
    """The recipe's id stands before a colon."""
    assert after("oat-crumble: Bake within 30 min") == (After(step="Bake", recipe="oat-crumble", at_most_s=1800),)


def test_words_of_a_name_are_not_taken_for_a_gap() -> None:
    """ "Leave at least half" is a name: no time follows."""
    assert after("Stir at once more") == (After(step="Stir at once more"),)


def test_each_name_knows_its_column() -> None:
    """The second name starts at column 11 + 6."""
    assert [link.span for link in after("Boil, Drain")] == [Span("r.md", 7, 11, 15), Span("r.md", 7, 17, 22)]


# ---------------------------------------------------------------------------------------------------- equipment


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("ring, 3 l pan", (Equipment(kind="ring"), Equipment(kind="3 l pan"))),
        ("2 rings", (Equipment(kind="ring", count=2),)),
        ("hob", (Equipment(kind="ring"),)),
        ("28 cm pan", (Equipment(kind="28 cm pan"),)),
        ("1.5 l pan", (Equipment(kind="1.5 l pan"),)),
        ("2 x 28 cm pans", (Equipment(kind="28 cm pan", count=2),)),
        ("2 trays", (Equipment(kind="tray", count=2),)),
        ("4 baking dishes", (Equipment(kind="baking dish", count=4),)),
        ("small chopper (noise)", (Equipment(kind="small chopper", is_noisy=True),)),
        ("oven 200 °C", (Equipment(kind="oven", temperature_c=200),)),
        ("oven at 180 C, 2 shelves", (Equipment(kind="oven", temperature_c=180, shelves=2),)),
        ("top oven 400 °F, tray", (Equipment(kind="top oven", temperature_c=204), Equipment(kind="tray"))),
        ("oven", (Equipment(kind="oven"),)),
        ("1 l jug", (Equipment(kind="1 l jug"),)),
        ("1 ladle", (Equipment(kind="ladle"),)),
    ],
)
def test_equipment_is_counted_and_sizes_stay_in_the_name(text: str, expected: tuple[Equipment, ...]) -> None:
    """A number with a unit of size belongs to the name, any other number counts."""
    assert equipment(text) == expected


@pytest.mark.parametrize(
    ("plural", "one"),
    [
        ("trays", "tray"),
        ("dishes", "dish"),
        ("glasses", "glass"),
        ("knives", "knife"),
        ("loaves", "loaf"),
        ("press", "press"),
    ],
)
def test_plurals_lose_their_ending(plural: str, one: str) -> None:
    """The plain rules of English spelling."""
    assert singular(plural) == one


# ---------------------------------------------------------------------------------------------------- mentions


@pytest.mark.parametrize(
    ("text", "part", "held"),
    [
        ("[oil]", Part(PartKind.WHOLE), False),
        ("[oil: half]", Part(PartKind.FRACTION, fraction=Fraction(1, 2)), False),
        ("[oil: 1/3]", Part(PartKind.FRACTION, fraction=Fraction(1, 3)), False),
        ("[oil: ¾]", Part(PartKind.FRACTION, fraction=Fraction(3, 4)), False),
        ("[oil: two thirds]", Part(PartKind.FRACTION, fraction=Fraction(2, 3)), False),
        ("[oil: 40 %]", Part(PartKind.FRACTION, fraction=Fraction(2, 5)), False),
        ("[milk: 300 ml]", Part(PartKind.AMOUNT, amount=Amount.of(300, "ml")), False),
        ("[milk: all but 60 ml]", Part(PartKind.ALL_BUT, amount=Amount.of(60, "ml")), False),
        ("[oil: rest]", Part(PartKind.REST), False),
        ("[milk: hold back 60 ml]", Part(PartKind.AMOUNT, amount=Amount.of(60, "ml")), True),
        ("[milk: hold back half]", Part(PartKind.FRACTION, fraction=Fraction(1, 2)), True),
        ("[milk: held back]", Part(PartKind.HELD_BACK), False),
        ("[eggs: 2]", Part(PartKind.AMOUNT, amount=Amount.of(2)), False),
    ],
)
def test_a_mention_says_which_part_is_used(text: str, part: Part, held: bool) -> None:
    """All forms of the guide."""
    (found,) = mentions(f"Stir in {text} now.")
    assert (found.part, found.is_held_back) == (part, held)
    assert found.name in ("oil", "milk", "eggs")


@pytest.mark.parametrize("text", ["[a link](https://example.org)", "![a picture](x.png)", r"\[escaped\]", "`[code]`"])
def test_links_pictures_and_code_are_not_mentions(text: str) -> None:
    """CommonMark's other uses of brackets stay text."""
    assert mentions(f"See {text}.") == ()


def test_a_mention_knows_its_place_on_a_later_line() -> None:
    """Spans point into the line on which the bracket opens."""
    text = Passage("Stir the\n[oil] in", "r.md", ((0, 4, 10), (9, 5, 4)))
    (found,) = read_mentions(text, Log())
    assert found.span == Span("r.md", 5, 4, 9)


# ---------------------------------------------------------------------------------------------------- shots


def shot(text: str) -> Shot | None:
    log = Log()
    found = read_shot(passage(text), log)
    assert log.problems == []
    return found


def test_a_shot_names_its_position_first() -> None:
    """Pieces without a meaning of their own are what is in the picture."""
    assert shot("hob close, lid lift, steam") == Shot(set_up="hob close", framing="lid lift, steam", has_hands=True)


def test_pieces_of_a_shot_are_recognised_in_any_order() -> None:
    """Every piece of the guide's example."""
    text = "hob close, one take only, lid lift, 12 s on screen, 2 takes, reset 2 min, no sync sound, noise, 5 s action"
    assert shot(text) == Shot(
        set_up="hob close",
        framing="lid lift",
        screen_s=12,
        takes=2,
        reset_s=120,
        action_s=5,
        is_repeatable=False,
        has_sync_sound=False,
        is_noisy=True,
        has_hands=True,
    )


def test_what_goes_in_is_filmed_as_its_step_begins() -> None:
    """A pour and a tip-in happen once, at the beginning; of any other picture the author may say so."""
    assert shot("hob close, tip-in") == Shot(set_up="hob close", framing="tip-in", moment="start", has_hands=True)
    assert shot("hob close, pour, steam") == Shot(
        set_up="hob close", framing="pour, steam", moment="start", has_hands=True
    )
    assert shot("oven door, dish slides in, at the start") == Shot(
        set_up="oven door", framing="dish slides in", moment="start"
    )
    assert shot("overhead, insert of a thumb, at the end") == Shot(
        set_up="overhead", framing="insert of a thumb", moment="end"
    )
    assert shot("hob close, lid lift") == Shot(set_up="hob close", framing="lid lift", has_hands=True)


def test_hands_in_the_picture_may_be_said_and_denied() -> None:
    """The author knows better than a word: a spoon is laid down by hand, a toss may be a salad's name."""
    assert shot("hob close, spoon down, with hands") == Shot(set_up="hob close", framing="spoon down", has_hands=True)
    assert shot("hob close, toss, no hands") == Shot(set_up="hob close", framing="toss")
    assert shot("hob close, steam") == Shot(set_up="hob close", framing="steam")


def test_no_shot_is_written_none() -> None:
    """A step without a shot is still cooked."""
    assert shot("none") is None


def test_ids_are_made_of_names_and_never_collide() -> None:
    """Letters of any script stay, everything else becomes a hyphen."""
    assert slug("Crème fraîche (thick)") == "crème-fraîche-thick"
    assert slug("Salt", {"salt", "salt-2"}) == "salt-3"
    assert slug("!!!") == "unnamed"
