"""
The money of the three demo episodes, from their files on disk to the claims, against the worked sheet.

Source of every figure: ``demo_reference`` (the home economist's worked sheet, worked independently of the program).
Tolerance: none; figures are compared after rounding half up to the 4 or 2 places that the sheet shows.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest
from demo_reference import EPISODES, RECIPES, ClaimReference, episode_folder

from shootplan.app import DiskFiles
from shootplan.cost import cost_episode, shop_episode
from shootplan.model.costing import ClaimVerdict, EpisodeCost, RecipeCost
from shootplan.model.money import Cost, half_up
from shootplan.model.resolved import ResolvedEpisode
from shootplan.problems import Problem
from shootplan.read import read_episode
from shootplan.resolve import resolve_episode

CASES = [(name, recipe) for name, episode in EPISODES.items() for recipe in episode.recipes]
CLAIMS = [(name, claim) for name, episode in EPISODES.items() for claim in episode.claims]


class ClaimingFiles(DiskFiles):
    """The demo's files with the claims of the sheet in place of the episode's own, the failing ones included."""

    def __init__(self, claims: tuple[ClaimReference, ...]) -> None:
        self._lines = "\n".join(f"- {claim.text}" for claim in claims)

    def text(self, path: str) -> str:
        text = super().text(path)
        if Path(path).name != "episode.md":
            return text
        head, found, rest = text.partition("\n## Claims\n")
        assert found, "a demo episode has claims"
        _, mark, tail = rest.partition("\n## ")
        return f"{head}\n## Claims\n\n{self._lines}\n{mark}{tail}"


@cache
def resolved(name: str, files: DiskFiles | None = None) -> tuple[ResolvedEpisode, tuple[Problem, ...]]:
    episode, read_problems = read_episode(episode_folder(name), files or DiskFiles())
    assert episode is not None, read_problems
    result, problems = resolve_episode(episode)
    return result, (*read_problems, *problems)


@cache
def costed(name: str) -> EpisodeCost:
    return cost_episode(resolved(name)[0])[0]


@cache
def verdicts(name: str) -> tuple[ClaimVerdict, ...]:
    episode, _ = resolved(name, ClaimingFiles(EPISODES[name].claims))
    return cost_episode(episode)[0].verdicts


def recipe_cost(name: str, recipe: str) -> RecipeCost:
    found = costed(name).recipe(recipe)
    assert found is not None
    return found


def places(cost: Cost | None, count: int) -> Decimal:
    assert cost is not None
    return half_up(cost.exact, count)


@pytest.mark.parametrize("name", EPISODES)
def test_a_demo_has_no_problem(name: str) -> None:
    """Reading and resolving a demo finds nothing wrong, warnings included."""
    _, problems = resolved(name)
    assert [f"{problem.span}: {problem.code}: {problem.message}" for problem in problems] == []


@pytest.mark.parametrize(("name", "recipe"), CASES)
def test_each_line_costs_what_the_sheet_says(name: str, recipe: str) -> None:
    """The cost used of every line agrees to 4 places; a sub-preparation is one line of the sheet."""
    cost = recipe_cost(name, recipe)
    batches = {
        group.id for item in resolved(name)[0].recipes for group in item.recipe.groups if group.makes is not None
    }
    found: dict[str, Fraction] = {}
    for line in cost.lines:
        if line.line.is_free:
            continue
        assert line.cost is not None
        key = line.group if line.group in batches and line.group is not None else line.line.line.id
        found[key] = found.get(key, Fraction(0)) + line.cost.exact
    assert sorted(half_up(value, 4) for value in found.values()) == sorted(RECIPES[recipe].lines)


@pytest.mark.parametrize(("name", "recipe"), CASES)
def test_a_recipe_costs_what_the_sheet_says(name: str, recipe: str) -> None:
    """The whole recipe agrees to 4 places, without and with options, and every line has a price."""
    cost, reference = recipe_cost(name, recipe), RECIPES[recipe]
    assert cost.missing == ()
    assert (places(cost.core, 4), places(cost.with_options, 4)) == (reference.core, reference.options)


@pytest.mark.parametrize(("name", "recipe"), CASES)
def test_a_serving_costs_what_the_sheet_says(name: str, recipe: str) -> None:
    """A hearty serving agrees to 4 places and as printed, without and with options."""
    cost, reference = recipe_cost(name, recipe), RECIPES[recipe]
    core, options = cost.core_per.per_hearty, cost.with_options_per.per_hearty
    assert cost.hearty == reference.hearty
    assert (places(core, 4), places(options, 4)) == (reference.per_core, reference.per_options)
    assert (places(core, 2), places(options, 2)) == (reference.shown_core, reference.shown_options)


@pytest.mark.parametrize(("name", "recipe"), [case for case in CASES if RECIPES[case[1]].small is not None])
def test_a_small_serving_costs_what_the_sheet_says(name: str, recipe: str) -> None:
    """A small serving agrees as printed, without and with options."""
    cost, reference = recipe_cost(name, recipe), RECIPES[recipe]
    assert cost.small == reference.small
    assert places(cost.core_per.per_small, 2) == reference.shown_small_core
    assert places(cost.with_options_per.per_small, 2) == reference.shown_small_options


@pytest.mark.parametrize(("name", "recipe"), [case for case in CASES if RECIPES[case[1]].small is None])
def test_a_recipe_without_small_servings_has_no_price_for_them(name: str, recipe: str) -> None:
    """Where the sheet has one size of serving, nothing is said of another."""
    cost = recipe_cost(name, recipe)
    assert (cost.small, cost.core_per.per_small) == (None, None)


@pytest.mark.parametrize("name", EPISODES)
def test_an_episode_costs_what_the_sheet_says(name: str) -> None:
    """The cost used of the whole episode agrees to 4 places, in its own currency."""
    cost, reference = costed(name), EPISODES[name]
    assert cost.currency == reference.currency
    assert [item.recipe for item in cost.recipes] == list(reference.recipes)
    assert (places(cost.core, 4), places(cost.with_options, 4)) == (reference.core, reference.options)


@pytest.mark.parametrize(("name", "claim"), CLAIMS, ids=[f"{name}: {claim.text}" for name, claim in CLAIMS])
def test_a_claim_holds_or_fails_as_the_sheet_says(name: str, claim: ClaimReference) -> None:
    """Every claim of the sheet is allowed or refused at the printed figure that the sheet gives."""
    verdict = next(item for item in verdicts(name) if item.claim.text == claim.text)
    assert verdict.is_allowed is claim.holds
    assert not isinstance(verdict.shown, int) and verdict.shown is not None
    assert verdict.shown.amount == claim.shown


@pytest.mark.parametrize("name", EPISODES)
def test_every_claim_that_a_demo_makes_holds(name: str) -> None:
    """The demos claim only what is true."""
    found = costed(name).verdicts
    assert found
    assert [verdict.claim.text for verdict in found if not verdict.is_allowed] == []


@pytest.mark.parametrize("name", EPISODES)
def test_the_till_asks_what_the_sheet_says(name: str) -> None:
    """From an empty cupboard and without doubles the till comes to the sheet's sums (rule M2)."""
    shopping, reference = shop_episode(resolved(name)[0]), EPISODES[name]
    assert shopping.not_on_list == ()
    assert shopping.empty_cupboard.total.amount == reference.till_core
    assert shopping.empty_cupboard_with_options.total.amount == reference.till_options


@pytest.mark.parametrize(
    ("name", "core", "options"),
    [("tuesday-supper", "29.21", "32.26"), ("waiting-day", "475", "522"), ("six-lunches", "116.80", "133.55")],
)
def test_cash_is_rounded_as_the_coins_allow(name: str, core: str, options: str) -> None:
    """Worked by hand from the sheet's sums: whole kronor, 0.05 of a dollar (CLDR supplemental data, cash rounding)."""
    shopping = shop_episode(resolved(name)[0])
    bills = (shopping.empty_cupboard, shopping.empty_cupboard_with_options)
    found = [(bill.in_cash or bill.total).amount for bill in bills]
    assert found == [Decimal(core), Decimal(options)]


def test_the_rate_of_the_second_currency_is_exact() -> None:
    """One euro is 11.20 kronor on the sheet, so a krona is exactly 5/56 of a euro (worked by hand)."""
    also = resolved("waiting-day")[0].episode.also
    assert also is not None
    assert (also.currency, also.factor) == ("EUR", Fraction(5, 56))
