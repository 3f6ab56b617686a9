"""
The demo episodes' files say the same steps as the second transcription of the worked sheet (``demo_times/SOURCE.md``).

Two people copied the sheet's tables, one into the episodes' files, one into ``demo_times/steps.txt``: minutes, hands,
look-ins, order, limits, rings, oven and what may be left out of the day must agree step by step. Tolerance: none.
"""

from __future__ import annotations

from functools import cache

import pytest
from demo_reference import EPISODES, RECIPES, episode_folder
from demo_steps import LUNCHES, SUPPER, WAITING, episode_of

from shootplan.app import DiskFiles
from shootplan.model.episode import Episode
from shootplan.model.recipe import Recipe, Step, When
from shootplan.read import read_episode

CASES = [(name, recipe) for name, episode in EPISODES.items() for recipe in episode.recipes]


@cache
def demo(name: str) -> Episode:
    episode, problems = read_episode(episode_folder(name), DiskFiles())
    assert episode is not None, problems
    return episode


def written(name: str, recipe: str) -> Recipe:
    return next(item for item in demo(name).recipes if item.id == recipe)


@cache
def copied(recipe: str) -> Recipe:
    group = next(group for group in (SUPPER, WAITING, LUNCHES) if recipe in group)
    return next(item.recipe for item in episode_of(group).recipes if item.id == recipe)


def times(step: Step) -> tuple[object, ...]:
    """Return what a step takes; watching binds a person as hands-on work does (rule T1)."""
    return (step.hands or step.watch, step.leave, step.check)


def limits(recipe: Recipe, step: Step) -> list[tuple[int, int, int | None]]:
    """Return the place in the list of each step waited for, with its limits."""
    places = {item.name: number for number, item in enumerate(recipe.steps)}
    return [(places[after.step], after.at_least_s, after.at_most_s) for after in step.after or ()]


def heat(step: Step) -> tuple[bool, int | None, int | None]:
    """Return whether the step needs a ring, the oven's temperature, and the temperature it heats the oven to."""
    oven = next((use.temperature_c for use in step.uses if use.temperature_c is not None), None)
    return (any(use.kind == "ring" for use in step.uses), oven, step.heats.temperature_c if step.heats else None)


@pytest.mark.parametrize(("name", "recipe"), CASES)
def test_both_transcriptions_give_the_same_times(name: str, recipe: str) -> None:
    """Minutes, attention and look-ins of each step agree."""
    found = [times(step) for step in written(name, recipe).steps]
    assert found == [times(step) for step in copied(recipe).steps]


@pytest.mark.parametrize(("name", "recipe"), CASES)
def test_both_transcriptions_give_the_same_order(name: str, recipe: str) -> None:
    """What each step waits for, and how long at most, agrees."""
    here, there = written(name, recipe), copied(recipe)
    found = [limits(here, step) for step in here.steps]
    assert found == [limits(there, step) for step in there.steps]


@pytest.mark.parametrize(("name", "recipe"), CASES)
def test_both_transcriptions_give_the_same_heat(name: str, recipe: str) -> None:
    """Rings and oven temperatures of each step agree."""
    found = [heat(step) for step in written(name, recipe).steps]
    assert found == [heat(step) for step in copied(recipe).steps]


@pytest.mark.parametrize(("name", "recipe"), CASES)
def test_both_transcriptions_leave_out_the_same_steps(name: str, recipe: str) -> None:
    """Optional steps and steps done before the day agree."""
    found = [(step.is_optional, step.when is When.AHEAD) for step in written(name, recipe).steps]
    assert found == [(step.is_optional, step.when is When.AHEAD) for step in copied(recipe).steps]


@pytest.mark.parametrize(("name", "recipe"), CASES)
def test_the_allergens_printed_are_those_of_the_sheet(name: str, recipe: str) -> None:
    """Each allergen named on the sheet is named in the recipe's own allergen line."""
    printed = written(name, recipe).attribute("allergens").casefold()
    words = RECIPES[recipe].allergens.replace("(", " ").replace(")", " ").replace(",", " ").replace(";", " ").split()
    groups = {"milk", "gluten", "mustard", "celery", "nuts", "egg", "soya", "sesame", "peanut", "sulphites"}
    assert [word for word in words if word in groups and word not in printed] == []


@pytest.mark.parametrize(("name", "recipe"), CASES)
def test_every_step_on_heat_has_its_cue(name: str, recipe: str) -> None:
    """Minutes are never given without what to look for (common practice, no source)."""
    heated = [step for step in written(name, recipe).steps if any(heat(step)[:2])]
    assert [step.name for step in heated if not step.until] == []
