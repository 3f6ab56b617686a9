"""
The costs of the whole episode: every recipe, the totals, the verdicts, and what the checks find.

A ``ResolvedEpisode`` comes in; an ``EpisodeCost`` and findings go out. Time claims wait for the times.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from shootplan.cost.claims import judge_price_claims
from shootplan.cost.currency import minor_digits
from shootplan.cost.findings import findings_of, findings_of_verdict
from shootplan.cost.recipes import Book
from shootplan.model.costing import EpisodeCost, RecipeCost
from shootplan.model.money import Cost
from shootplan.model.resolved import ResolvedEpisode
from shootplan.problems import Finding

__all__ = ["cost_episode"]


def cost_episode(resolved: ResolvedEpisode) -> tuple[EpisodeCost, tuple[Finding, ...]]:
    """
    Return exact costs of all recipes and of the episode, the verdict on each price claim, and the findings.

    Totals, the average and the price of one serving of each are over the dishes; a sub-preparation is contained in the
    dishes that use it (rule M4). Everything stays exact; printing rounds once, half up.
    """
    book = Book(resolved)
    recipes = tuple(book.cost(recipe) for recipe in resolved.recipes)
    costs = _totals(resolved, recipes)
    verdicts = judge_price_claims(resolved, costs)
    judged = replace(costs, verdicts=verdicts)
    findings = [*findings_of(resolved, judged)]
    for verdict in verdicts:
        findings.extend(findings_of_verdict(resolved.episode, verdict))
    return judged, tuple(findings)


def _totals(resolved: ResolvedEpisode, recipes: tuple[RecipeCost, ...]) -> EpisodeCost:
    currency = resolved.episode.currency
    dishes = [item for item in recipes if not item.is_sub_preparation]
    head_core = _sum([item.core_per.per_hearty for item in dishes], currency)
    head_with = _sum([item.with_options_per.per_hearty for item in dishes], currency)
    count = Fraction(len(dishes))
    return EpisodeCost(
        currency=currency,
        places=minor_digits(currency),
        recipes=recipes,
        core=_sum([item.core for item in dishes], currency),
        with_options=_sum([item.with_options for item in dishes], currency),
        head_core=head_core,
        head_with_options=head_with,
        average_core=head_core.times(1 / count) if dishes else None,
        average_with_options=head_with.times(1 / count) if dishes else None,
    )


def _sum(costs: list[Cost], currency: str) -> Cost:
    total = Cost.zero(currency)
    for cost in costs:
        total += cost
    return total
