"""An episode's folder, its price list and its kitchen."""

from __future__ import annotations

import textwrap
from dataclasses import replace
from datetime import date, time
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

from shootplan.app import DiskFiles
from shootplan.model.clock import Range
from shootplan.model.episode import (
    CameraPosition,
    Claim,
    ClaimScope,
    ClaimWord,
    Correction,
    Episode,
    PriceKind,
    PriceRow,
    StaplesPolicy,
    Together,
)
from shootplan.model.quantity import Amount
from shootplan.model.timecode import RATES
from shootplan.problems import Span
from shootplan.read import read_episode, read_kitchen, read_prices
from shootplan.read.files import MemoryFiles

SOUND = Path(__file__).parent / "problems" / "sound"
FILES = {
    f"show/{path.relative_to(SOUND)}": path.read_text(encoding="utf-8")
    for path in sorted(SOUND.rglob("*"))
    if path.is_file()
}


@pytest.fixture(scope="module")
def episode() -> Episode:
    found, problems = read_episode("show", MemoryFiles(FILES))
    assert problems == ()
    assert found is not None
    return found


def prices(text: str) -> tuple[PriceRow, ...]:
    book, problems = read_prices("p.csv", textwrap.dedent(text).lstrip("\n"), currency="EUR")
    assert problems == ()
    return book.rows


# ---------------------------------------------------------------------------------------------------- episode


def test_front_matter_is_read_into_the_episode(episode: Episode) -> None:
    """Dates, times, money policy and the second currency as quoted."""
    assert (episode.id, episode.title) == ("show", "Two small pots")
    assert (episode.shoot_date, episode.publish_date) == (date(2026, 11, 10), date(2026, 11, 20))
    assert (episode.currency, episode.locale, episode.measures) == ("EUR", "en_IE", "metric")
    assert (episode.call, episode.latest_wrap, episode.max_price_age_days) == (time(9), time(15), 30)
    assert (episode.length_low_s, episode.length_high_s) == (240, 360)
    assert (episode.staples, episode.staples_flat) == (StaplesPolicy.FLAT, Decimal("0.05"))
    assert episode.also is not None
    assert (episode.also.currency, episode.also.rate, episode.also.factor) == ("GBP", Decimal("1.15"), Fraction(20, 23))
    assert [(item.key, item.value) for item in episode.attributes] == [("series", "small pots")]
    assert episode.headnote == "Soup and flat bread for {total price} a head."


def test_servings_behind_a_link_scale_the_recipe(episode: Episode) -> None:
    """ "for 6" of a recipe for 4 is one and a half times; without it the recipe's own scale stands."""
    assert [recipe.scale for recipe in episode.recipes] == [Fraction(3, 2), Fraction(3, 2)]
    assert [recipe.path for recipe in episode.recipes] == ["show/recipes/pea-soup.md", "show/recipes/flat-bread.md"]


def test_rows_of_the_script_are_steps_without_times(episode: Episode) -> None:
    """Opening, between and closing carry what is said and shown."""
    assert [row.name for row in (*episode.opening, *episode.between, *episode.closing)] == [
        "Hello",
        "On to the bread",
        "Goodbye",
    ]
    assert episode.opening[0].say == "Two pots, one ring each."
    assert episode.opening[0].shot is not None and episode.opening[0].shot.screen_s == 6


def test_claims_are_read_with_scope_and_options(episode: Episode) -> None:
    """The list first, then the budgets of episode and recipe; unsaid options mean the dearer plate."""
    assert episode.claims == (
        Claim(
            word=ClaimWord.UNDER,
            scope=ClaimScope.RECIPE,
            limit=Decimal("1.00"),
            recipe="pea-soup",
            with_options=False,
            text="pea-soup: under 1.00 per serving, without options",
        ),
        Claim(
            word=ClaimWord.ABOUT,
            scope=ClaimScope.AVERAGE,
            limit=Decimal("1.20"),
            with_options=True,
            text="average: about 1.20 per serving, with options",
        ),
        Claim(
            word=ClaimWord.WITHIN_MINUTES,
            scope=ClaimScope.RECIPE,
            limit=Decimal(45),
            recipe="flat-bread",
            text="flat-bread: 45 minutes",
        ),
        Claim(
            word=ClaimWord.UNDER,
            scope=ClaimScope.EVERY,
            limit=Decimal("2.00"),
            with_options=True,
            text="under 2.00 per serving",
        ),
        Claim(
            word=ClaimWord.UNDER,
            scope=ClaimScope.RECIPE,
            limit=Decimal("1.10"),
            recipe="pea-soup",
            with_options=True,
            text="under 1.10 per serving",
        ),
    )
    assert episode.claims[4].span == Span("show/recipes/pea-soup.md", 5, 9, 31)


@pytest.mark.parametrize(
    ("text", "word", "limit", "small"),
    [
        ("total: just under €2.60 a head", ClaimWord.JUST_UNDER, "2.60", False),
        ("every recipe: from 1,50 per small serving", ClaimWord.FROM, "1.50", True),
        ("pea-soup: about 1 EUR per bowl", ClaimWord.ABOUT, "1", False),
        ("pea-soup: ready in 30 minutes", ClaimWord.WITHIN_MINUTES, "30", False),
    ],
)
def test_claims_in_other_words(text: str, word: ClaimWord, limit: str, small: bool) -> None:
    """Signs of money, nouns of servings and small servings."""
    changed = FILES | {"show/episode.md": FILES["show/episode.md"].replace("flat-bread: 45 minutes", text)}
    found, problems = read_episode("show", MemoryFiles(changed))
    assert problems == () and found is not None
    assert (found.claims[2].word, found.claims[2].limit, found.claims[2].is_small) == (word, Decimal(limit), small)


def test_what_lands_together_and_what_was_corrected(episode: Episode) -> None:
    """Rules between recipes and the dated log."""
    assert episode.together == (Together(recipe="flat-bread", other="pea-soup", within_s=300),)
    assert episode.corrections == (Correction(on=date(2026, 11, 12), text="the ring stood on low, not on high"),)


def test_a_shared_kitchen_may_stand_in_another_folder() -> None:
    """ ".." is worked out from the episode's folder."""
    files = {path.replace("show/", "shows/one/"): text for path, text in FILES.items()}
    files["shows/shared/kitchen.toml"] = files.pop("shows/one/kitchen.toml")
    changed = "locale: en_IE\nkitchen: ../shared/kitchen.toml"
    files["shows/one/episode.md"] = files["shows/one/episode.md"].replace("locale: en_IE", changed)
    found, problems = read_episode("shows/one", MemoryFiles(files))
    assert problems == () and found is not None
    assert found.kitchen.path == "shows/shared/kitchen.toml"


def test_an_episode_without_readable_recipes_is_none() -> None:
    """There is nothing to resolve; the problems say why."""
    files = {path: text for path, text in FILES.items() if "recipes/" not in path}
    found, problems = read_episode("show", MemoryFiles(files))
    assert found is None
    assert [problem.code for problem in problems] == ["file-missing", "file-missing"]


def test_a_folder_without_an_episode_names_the_file() -> None:
    """The first thing that is missing."""
    found, problems = read_episode("nowhere", MemoryFiles({}))
    assert found is None
    assert [(p.code, p.message) for p in problems] == [("file-missing", 'there is no file "nowhere/episode.md"')]


def test_the_demo_episodes_read_without_a_problem(demo: Path) -> None:
    """What ships as an example is sound."""
    found, problems = read_episode(str(demo), DiskFiles())
    assert problems == ()
    assert found is not None and found.recipes


# ---------------------------------------------------------------------------------------------------- price list


def test_quotes_follow_rfc_4180() -> None:
    """SOURCE: RFC 4180, section 2, rules 5 to 7: quoted cells, line breaks in them, doubled quotes."""
    rows = prices('item,pack,price,note\n"b ""bb",1 kg,1.00,"one,\ntwo"\nccc,2 kg,2.00,\n')
    assert [(row.item, row.note) for row in rows] == [('b "bb', "one,\ntwo"), ("ccc", "")]
    assert [row.span for row in rows] == [Span("p.csv", 2, 2, 7), Span("p.csv", 4, 1, 4)]


def test_an_offer_has_its_last_day_in_a_column() -> None:
    """An offer without an end leaves the cell empty."""
    ends = prices(
        """
        item,pack,price,kind,until
        oats,1 kg,0.60,offer,2026-11-24
        rice,1 kg,0.90,offer,
        """
    )
    assert [row.until for row in ends] == [date(2026, 11, 24), None]


def test_columns_may_stand_in_any_order_and_case() -> None:
    """The header decides; names with blanks may be written with underscores."""
    (row,) = prices(
        """
        Price,regular_price,Item,kind,pack,deposit,currency,date,staple,density,piece,yield,stock,source,allergens
        2.00,2.50,eggs,offer,12 eggs,0.25,USD,2026-11-02,no,1.03 g/ml,58 g,88 %,3,receipt,egg
        """
    )
    assert row == PriceRow(
        item="eggs",
        pack=(Amount.of(12),),
        price=Decimal("2.00"),
        currency="USD",
        seen=date(2026, 11, 2),
        kind=PriceKind.OFFER,
        regular_price=Decimal("2.50"),
        deposit=Decimal("0.25"),
        density_g_per_ml=Fraction(103, 100),
        piece_g=Fraction(58),
        yield_percent=Fraction(88),
        allergens="egg",
        stock=Amount.of(3),
        source="receipt",
    )


@pytest.mark.parametrize(
    ("item", "pack", "amounts", "loose"),
    [
        ("peas", "2500 g", [(2500, "g")], False),
        ("beans", "1 tin (400 g)", [(1, "tin"), (400, "g")], False),
        ("beans", '"1 tin (400 g, 235 g)"', [(1, "tin"), (400, "g"), (235, "g")], False),
        ("stock", "12 cubes", [(12, "cube")], False),
        ("garlic", "10 cloves", [(10, "clove")], False),
        ("apples", "1 kg loose", [(1, "kg")], True),
        ("cucumber", "1 cucumber", [(1, "")], False),
        ("brown eggs", "6 eggs", [(6, "")], False),
        ("oil", "1.5 l", [("3/2", "l")], False),
        ("tea", "20 bags", [(20, "bag")], False),
    ],
)
def test_packs_have_one_or_more_measures(
    item: str, pack: str, amounts: list[tuple[int | str, str]], loose: bool
) -> None:
    """All forms of the guide; a pack counted in the item itself is a bare count."""
    (row,) = prices(f"item,pack,price\n{item},{pack},1.00\n")
    assert row.pack == tuple(Amount.of(value, unit) for value, unit in amounts)
    assert row.is_loose is loose


def test_blank_rows_are_passed_over_and_lines_still_counted() -> None:
    """The place of a row is its line in the file."""
    rows = prices("item,pack,price\n\nsalt,1 kg,0.50\n,,\npepper,50 g,1.00\n")
    assert [row.span.line for row in rows] == [3, 5]


# ---------------------------------------------------------------------------------------------------- kitchen


def test_the_frame_rate_is_the_episodes_else_the_kitchens(episode: Episode) -> None:
    """25 where nobody says; the kitchen's cameras; the episode's own above it. A rate without a name is refused."""
    assert episode.edit_rate == RATES["25"]
    kitchen, problems = read_kitchen("k.toml", '[cameras]\nframe_rate = "29.97 Drop"\n')
    assert problems == ()
    assert replace(episode, kitchen=kitchen).edit_rate == RATES["29.97 drop"]
    assert replace(episode, kitchen=kitchen, frame_rate=RATES["24"]).edit_rate == RATES["24"]
    _, (problem,) = read_kitchen("k.toml", '[cameras]\nframe_rate = "26"\n')
    assert (problem.code, problem.span.line, problem.span.column) == ("choice-unknown", 2, 14)


def test_a_kitchen_is_read_in_full(episode: Episode) -> None:
    """People, hob, oven, cameras, pace and hours of the sound file."""
    kitchen = episode.kitchen
    assert [(p.name, p.role, p.is_presenter) for p in kitchen.people] == [("host", "cook", True)]
    assert (kitchen.hob.rings, kitchen.home_cooks, kitchen.home_rings) == (2, 1, 4)
    (oven,) = kitchen.ovens
    assert (oven.shelves, oven.heat_up_s, oven.change_s, oven.tolerance_c) == (2, Range(720, 900), 300, 10)
    assert [position.name for position in kitchen.positions] == ["overhead", "hob close", "front"]
    assert (kitchen.rerig_s, kitchen.rerig_between_s) == (480, (("overhead", "front", 240),))
    assert (kitchen.pace.words_per_minute, kitchen.pace.filming_factor) == (130, Fraction(6, 5))
    assert kitchen.pace.picture_ms == 4000
    assert (kitchen.staffed_from, kitchen.staffed_until) == (time(8), time(18))
    assert (kitchen.meal_s, kitchen.meal_within_s) == (1800, 21_600)


def test_vessels_are_washed_and_tools_are_not(episode: Episode) -> None:
    """A vessel without a word gets the usual three minutes, a tool none."""
    found = [(v.name, v.count, v.wash_s, v.is_noisy) for v in episode.kitchen.vessels]
    assert found == [
        ("3 l pan", 1, 180, False),
        ("tray", 2, 180, False),
        ("board", 2, 0, False),
        ("knife", 2, 0, False),
        ("blender", 1, 0, True),
    ]


def test_a_vessel_knows_its_line(episode: Episode) -> None:
    """The planner can point at it."""
    vessel = episode.kitchen.vessel("Tray")
    assert vessel is not None
    assert vessel.span == Span("show/kitchen.toml", 18, 1, 7)


def test_an_empty_kitchen_file_keeps_the_usual_kitchen() -> None:
    """One cook, four rings, one oven."""
    kitchen, problems = read_kitchen("k.toml", "")
    assert problems == ()
    assert (len(kitchen.people), kitchen.hob.rings, len(kitchen.ovens)) == (1, 4, 1)


def test_no_oven_is_an_empty_list_and_times_may_be_toml_times() -> None:
    """SOURCE: TOML 1.0.0, "Local Time": 07:32:00 is a value of its own."""
    text = 'ovens = []\n[hours]\ncall = 09:30:00\n[pace]\npicture = "3.5 s"\n[cameras]\n'
    kitchen, problems = read_kitchen(
        "k.toml", text + 'positions = ["front", { name = "lock-off", camera = "second" }]\n'
    )
    assert problems == ()
    assert (kitchen.ovens, kitchen.call, kitchen.pace.picture_ms) == ((), time(9, 30), 3500)
    assert kitchen.positions[1] == CameraPosition(name="lock-off", camera="second")
