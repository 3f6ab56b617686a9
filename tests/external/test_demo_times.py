"""
The demo recipes take the times of the home economist's worked sheet (``demo_times/SOURCE.md``).

All figures are minutes: (active, unattended, elapsed, passive) of each recipe alone, one cook, core steps only.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import pytest
from demo_steps import LUNCHES, SUPPER, WAITING, episode_of, resolved, steps_from

from shootplan.app import DiskFiles
from shootplan.model.clock import MINUTE, Range
from shootplan.model.episode import Hob, Kitchen, Oven
from shootplan.model.recipe import Recipe, Serves
from shootplan.model.resolved import ResolvedEpisode, ResolvedRecipe
from shootplan.model.times import EpisodeTimes
from shootplan.plan import solve
from shootplan.plan.day import equipment_peaks, steps_by_clock
from shootplan.plan.tasks import build_plan, check_equipment
from shootplan.plan.times import time_episode
from shootplan.read import read_episode

DEMOS = Path(__file__).resolve().parents[2] / "demo_episodes"

Figures = tuple[tuple[int, int], tuple[int, int], tuple[int, int], tuple[int, int]]

# Source: the worked sheet, "Reference" line of each recipe.
RECIPES: dict[str, Figures] = {
    "leek-bean-bake": ((25, 33), (70, 84), (62, 75), (37, 42)),
    "crumb-cabbage": ((17, 20), (6, 8), (17, 21), (0, 1)),
    "oat-crumble": ((26, 32), (57, 65), (63, 71), (37, 39)),
    "pea-soup": ((23, 27), (98, 123), (115, 142), (92, 115)),
    "rye-loaf": ((23, 29), (245, 310), (246, 310), (223, 281)),
    "cardamom-knots": ((42, 51), (183, 217), (150, 185), (108, 134)),
    "fried-rice": ((15, 20), (0, 0), (15, 20), (0, 0)),
    "peanut-noodles": ((12, 17), (15, 18), (15, 21), (3, 4)),
    "bean-toast": ((16, 22), (10, 13), (16, 23), (0, 1)),
    "zucchini-fritters": ((25, 32), (12, 12), (33, 40), (8, 8)),
    "corn-chowder": ((12, 17), (20, 25), (30, 39), (18, 22)),
    "oat-pancakes": ((18, 22), (11, 12), (22, 25), (3, 4)),
}


@lru_cache(maxsize=3)
def times_of(recipes: tuple[str, ...]) -> EpisodeTimes:
    return time_episode(episode_of(recipes), solve)


def minutes(span: Range) -> tuple[int, int]:
    assert span.low_s % MINUTE == span.high_s % MINUTE == 0
    return span.low_s // MINUTE, span.high_s // MINUTE


def demo_of(recipe: str) -> tuple[str, ...]:
    return next(group for group in (SUPPER, WAITING, LUNCHES) if recipe in group)


@pytest.mark.parametrize("recipe", RECIPES)
def test_a_recipe_alone_takes_the_worked_times(recipe: str) -> None:
    """Active, sum of unattended, elapsed and passive at both ends of one plan; the plan is proven shortest."""
    times = times_of(demo_of(recipe)).recipe(recipe)
    assert times is not None
    found = (minutes(times.active), minutes(times.unattended), minutes(times.elapsed), minutes(times.passive))
    assert found == RECIPES[recipe]
    assert times.is_proven


@pytest.mark.parametrize("recipe", RECIPES)
def test_active_and_passive_add_up_to_elapsed_at_each_end(recipe: str) -> None:
    """Rule T3: active + passive = elapsed at the short end and at the long end."""
    times = times_of(demo_of(recipe)).recipe(recipe)
    assert times is not None
    assert times.active.low_s + times.passive_short_s == times.elapsed.low_s
    assert times.active.high_s + times.passive_long_s == times.elapsed.high_s


@pytest.mark.parametrize(
    ("recipes", "active", "longest", "at_best_short"),
    [(SUPPER, (68, 85), 98, 86), (WAITING, (88, 107), 310, 246), (LUNCHES, (98, 130), 130, 98)],
)
def test_an_episode_takes_the_worked_times(
    recipes: tuple[str, ...], active: tuple[int, int], longest: int, at_best_short: int
) -> None:
    """Long end: the proven shortest; short end of that same plan: no shorter than the shortest there could be."""
    times = times_of(recipes)
    assert minutes(times.active) == active
    assert minutes(times.elapsed)[1] == longest
    assert at_best_short <= minutes(times.elapsed)[0] <= longest
    assert times.is_proven


def test_the_supper_alone_one_after_the_other_takes_167_minutes() -> None:
    """The worked sheet's sum of the three elapsed times."""
    assert minutes(times_of(SUPPER).sum_elapsed)[1] == 167


def test_the_six_lunches_alone_one_after_the_other_take_168_minutes() -> None:
    """The worked sheet's sum of the six elapsed times."""
    assert minutes(times_of(LUNCHES).sum_elapsed)[1] == 168


def test_hands_are_free_for_203_minutes_of_the_waiting_day() -> None:
    """The worked sheet's slack of the second demo: 310 less 107."""
    assert times_of(WAITING).hands_free_long_s == 203 * MINUTE


def test_a_second_cook_cuts_the_lunches_to_73_minutes() -> None:
    """The worked sheet: 130 minutes with one cook, 73 with two."""
    result = solve(build_plan(episode_of(LUNCHES), cooks=2))
    assert result.schedule is not None
    assert result.schedule.makespan_s == 73 * MINUTE


def test_a_third_ring_changes_nothing_for_the_lunches() -> None:
    """The worked sheet: hands are the bottleneck, so 130 stays 130."""
    two_rings = episode_of(LUNCHES).episode.kitchen
    kitchen = Kitchen(hob=Hob(rings=3), ovens=(), vessels=two_rings.vessels)
    result = solve(build_plan(episode_of(LUNCHES, kitchen)))
    assert result.schedule is not None
    assert result.schedule.makespan_s == 130 * MINUTE


def test_the_soak_is_stated_apart() -> None:
    """Rule T2: 2 minutes of hands and 10 to 12 hours of soaking before the day, in no figure of the day."""
    times = times_of(WAITING).recipe("pea-soup")
    assert times is not None
    hands, soak = times.ahead
    assert minutes(hands.hands) == (2, 2)
    assert (soak.unattended_low_s, soak.unattended_high_s) == (10 * 3600, 12 * 3600)


def test_draining_that_may_be_broken_off_saves_a_minute_of_the_toast() -> None:
    """
    Worked by hand: the sheet's 23 minutes take draining the beans as one piece.

    Dice 0-4, warm the oil 4-7, toast 6-10 (look-in 8), oil aside 7-8, tomatoes 8-13 (look-ins 10, 12), drain 9-10 and
    11-12, toast 11-15 (look-in 13), beans 14-19, season 19-20, serve 20-22: 22 minutes, all of them active.
    """
    toast = episode_of(LUNCHES).recipes[2].recipe
    text = "h2 | 1-2 | H | | - | pausable"
    steps = tuple(steps_from(text)[0] if step.id == "h2" else step for step in toast.steps)
    recipe = Recipe(id="bean-toast", title="Toast", serves=Serves(hearty=2), steps=steps)
    kitchen = episode_of(LUNCHES).episode.kitchen
    result = solve(build_plan(resolved((recipe,), kitchen), home=True))
    assert result.schedule is not None
    assert result.schedule.makespan_s == 22 * MINUTE


# ---------------------------------------------------------------------------- the demo episodes' own files


@lru_cache(maxsize=3)
def on_disk(name: str) -> ResolvedEpisode:
    episode, problems = read_episode(str(DEMOS / name), DiskFiles())
    assert episode is not None, problems
    recipes = tuple(ResolvedRecipe(recipe=recipe, lines=()) for recipe in episode.recipes)
    return ResolvedEpisode(episode=episode, recipes=recipes)


FOLDERS = {"tuesday-supper": 98, "waiting-day": 310, "six-lunches": 130}


@pytest.mark.parametrize("name", FOLDERS)
def test_the_demo_kitchens_have_what_the_steps_use(name: str) -> None:
    """Every pan, tool, oven and person of the demo episodes is in their kitchen files."""
    assert check_equipment(on_disk(name)) == ()


@pytest.mark.parametrize("name", FOLDERS)
def test_the_demo_files_take_the_worked_times(name: str) -> None:
    """The episodes as written, all their pans and tools counted, are no slower than the worked sheet says."""
    times = time_episode(on_disk(name), solve)
    assert minutes(times.elapsed)[1] == FOLDERS[name]
    for item in times.recipes:
        found = (minutes(item.active), minutes(item.unattended), minutes(item.elapsed), minutes(item.passive))
        assert found == RECIPES[item.recipe]


# ---------------------------------------------------------------------------- scenarios worked by hand on paper


def scenario(text: str, kitchen: Kitchen) -> tuple[int, EpisodeTimes]:
    """Return the wrap in minutes of a small table's plan in a kitchen, and the times of its recipes."""
    recipes = tuple(
        Recipe(id=block.split("\n")[0].strip(), title="", serves=Serves(hearty=4), steps=steps_from(block))
        for block in text.split("#")[1:]
    )
    episode = resolved(recipes, kitchen)
    times = time_episode(episode, solve)
    return minutes(times.elapsed)[1], times


CHOPPING = """
# barley
fill | 1 | H | | -
boil | 8 | U | ring | fill
add | 1 | H | | boil
cook | 25-30 | U | ring | add
chop | 10 | H | | - | {chop}
saute | 6 | H | ring | chop
simmer | 15 | U | ring | saute
combine | 2 | H | | cook, simmer
"""


@pytest.mark.parametrize(("chop", "elapsed"), [("whole", 43), ("pausable", 42)])
def test_chopping_that_may_be_broken_off_saves_a_minute(chop: str, elapsed: int) -> None:
    """Worked by hand: chop whole, add at 9 and chop 10-20: 43; broken off for the barley: 42."""
    wrap, times = scenario(CHOPPING.format(chop=chop), Kitchen(hob=Hob(rings=2)))
    assert wrap == elapsed
    assert minutes(times.active)[1] == 20


def test_chopping_whole_leaves_23_minutes_passive_and_uses_two_rings() -> None:
    """Worked by hand: elapsed 43, active 20, passive 23, rings at once 2; at the short end the plan stays 43."""
    recipe = Recipe(id="barley", title="", serves=Serves(hearty=4), steps=steps_from(CHOPPING.format(chop="whole")))
    plan_input = build_plan(resolved((recipe,), Kitchen(hob=Hob(rings=2))))
    result = solve(plan_input)
    assert result.schedule is not None
    assert result.schedule.makespan_s - 20 * MINUTE == 23 * MINUTE
    assert result.short_schedule is not None
    assert result.short_schedule.makespan_s == 43 * MINUTE
    assert [peak.peak for peak in equipment_peaks(plan_input, result.schedule) if peak.resource == "ring"] == [2]


ONE_OVEN = """
# p
assemble | 10 | H | | -
bake | 30 | U | oven 200 | assemble
rest | 5 | U | | bake within 0
# q
assemble | 15 | H | | -
bake | 40 | U | oven {q} | assemble
rest | 10 | U | | bake within 0
"""


def test_one_oven_at_two_temperatures_bakes_the_longer_dish_first() -> None:
    """Worked by hand: Q 15-55, change to 60, P 60-90, ends 95 (P first ends 97); nobody wrote the heats."""
    oven = Oven(shelves=1, heat_up_s=Range(720, 720), change_s=300)
    wrap, _ = scenario(ONE_OVEN.format(q=180), Kitchen(ovens=(oven,)))
    assert wrap == 95


def test_two_dishes_at_one_temperature_share_two_shelves() -> None:
    """Worked by hand: assemble Q 0-15 and P 15-25; Q 15-55, P 25-55, rests to 65."""
    oven = Oven(shelves=2, heat_up_s=Range(720, 720), change_s=300)
    wrap, _ = scenario(ONE_OVEN.format(q=200), Kitchen(ovens=(oven,)))
    assert wrap == 65


SOUP = """
# soup
soak | ≥ 10 h, ≤ 12 h | A | | - | ahead
drain | 2 | H | | soak
chop | 8-10 | H | | drain
sweat | 6-8 | H | ring | chop
simmer | 60-90 | U look 1/20 | ring | sweat
blend | 3 | H | | simmer
serve | 2 | H | | blend
"""


def test_look_ins_count_as_active_and_the_soak_is_apart() -> None:
    """Worked by hand: look-ins 2 and 4; active 23-29, elapsed 81-115, passive 58-86 (not 60-90)."""
    _, times = scenario(SOUP, Kitchen())
    (soup,) = times.recipes
    assert (minutes(soup.active), minutes(soup.elapsed), minutes(soup.passive)) == ((23, 29), (81, 115), (58, 86))
    assert soup.ahead[0].unattended_high_s == 12 * 3600


def test_the_day_by_the_clock_names_what_waits() -> None:
    """Worked by hand on the soup alone: blending starts at 110 with nothing left alone, look-ins at 40, 60, 80, 100."""
    recipe = Recipe(id="soup", title="", serves=Serves(hearty=4), steps=steps_from(SOUP))
    plan_input = build_plan(resolved((recipe,)))
    result = solve(plan_input)
    assert result.schedule is not None
    rows = steps_by_clock(plan_input, result.schedule)
    clock = [(row.kind.value, row.step, row.clock_s // MINUTE) for row in rows]
    assert clock == [
        ("step", "drain", 0),
        ("step", "chop", 2),
        ("step", "sweat", 12),
        ("step", "simmer", 20),
        ("look-in", "simmer", 40),
        ("look-in", "simmer", 60),
        ("look-in", "simmer", 80),
        ("look-in", "simmer", 100),
        ("step", "blend", 110),
        ("step", "serve", 113),
    ]
