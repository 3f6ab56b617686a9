"""Prices by weight where only the tables know a weight, from source text: what is used, what is warned of."""

from __future__ import annotations

from fractions import Fraction

import pytest
from test_scenarios import EPISODE, KITCHEN, method

from shootplan.model.resolved import ResolvedEpisode
from shootplan.problems import Problem
from shootplan.read import read_episode
from shootplan.read.files import MemoryFiles
from shootplan.resolve import resolve_episode


def dish(ingredient: str, prices: str, item: str) -> tuple[ResolvedEpisode, tuple[Problem, ...]]:
    """Read and resolve a dish of one ingredient with one price row."""
    text = method("Cook | hands: 5 min", ingredients=f"- {ingredient}").replace(
        "1. **Cook.**", f"1. **Cook.** [{item}]"
    )
    files = {
        "e/recipes/r1.md": text,
        "e/episode.md": EPISODE.format(links="1. [R1](recipes/r1.md)", more=""),
        "e/kitchen.toml": KITCHEN.format(rings=2, shelves=1),
        "e/prices.csv": f"item,pack,price,date\n{prices},2026-11-18\n",
    }
    episode, problems = read_episode("e", MemoryFiles(files))
    assert episode is not None
    assert problems == ()
    return resolve_episode(episode)


def test_a_cup_is_priced_by_the_published_weight_and_says_whose() -> None:
    """One label cup (240 ml) of plain flour: 125 g a US cup (USDA SR28 NDB 20081) x 240 / 236.588 = 126.8 g."""
    resolved, problems = dish("1 cup plain flour", "plain flour,1 kg,1.00", "flour")
    (line,) = resolved.recipes[0].lines
    assert problems == ()
    assert line.as_bought is not None
    assert line.pack is not None
    assert line.as_bought.high / line.pack.high == Fraction(125, 1000) * 240 / Fraction("236.5882365")
    assert "USDA SR28" in line.weight_source


def test_a_weight_beyond_fifteen_percent_of_the_table_warns_and_is_used() -> None:
    """
    A US cup of plain flour is 125 g (USDA SR28 NDB 20081); 200 g is 58 % more: used, and warned of with its place.
    """
    resolved, (problem,) = dish("200 g (1 cup) plain flour", "plain flour,1 kg,1.00", "flour")
    (line,) = resolved.recipes[0].lines
    assert line.as_bought is not None
    assert (line.as_bought.high, line.as_bought.unit) == (Fraction(1, 5), "kg")
    assert (problem.code, problem.is_error) == ("weight-differs", False)
    assert (problem.span.path, problem.span.line) == ("e/recipes/r1.md", 7)
    assert "USDA SR28" in (problem.hint or "")


@pytest.mark.parametrize("weight", ["115 g", "125 g", "140 g"])
def test_a_weight_near_the_table_is_nobodys_business(weight: str) -> None:
    """Within 15 % of 126.8 g nothing is said."""
    assert dish(f"{weight} (1 cup) plain flour", "plain flour,1 kg,1.00", "flour")[1] == ()


def test_pieces_of_two_sizes_warn() -> None:
    """A cabbage of 600 g in the recipe and a head of 900 g in the price book are priced by the piece, and said."""
    _, problems = dish("1 savoy cabbage (600 g)", "savoy cabbage,1 head (900 g),0.95", "cabbage")
    assert [problem.code for problem in problems] == ["pack-size-differs"]


def test_an_estimate_is_priced_and_says_that_it_is_one() -> None:
    """
    Semi-skimmed milk has no cup of its own: the median of its category prices it by weight, marked.

    240 ml x 1.027 g per ml (median of ten dairy foods' cups, USDA SR28) = 246.48 g of 1000 g.
    """
    resolved, (problem,) = dish("1 cup semi-skimmed milk", "semi-skimmed milk,1 kg,1.00", "milk")
    (line,) = resolved.recipes[0].lines
    assert problem.code == "weight-estimated"
    assert line.is_estimated
    assert line.as_bought is not None
    assert line.pack is not None
    assert line.as_bought.high / line.pack.high == Fraction("0.24648")
