"""
What the checks say of the costs of a sound episode: claims, old or guessed prices, what is not costed.

Costs come in, findings go out.
"""

from __future__ import annotations

from collections.abc import Iterator

from shootplan.cost.wording import joined
from shootplan.model.costing import ClaimVerdict, EpisodeCost, RecipeCost
from shootplan.model.episode import Episode, StaplesPolicy
from shootplan.model.resolved import ResolvedEpisode
from shootplan.problems import Finding

__all__ = ["findings_of", "findings_of_verdict"]

_PRACTICE = "common practice, no source"


def findings_of(resolved: ResolvedEpisode, costs: EpisodeCost) -> Iterator[Finding]:
    """Yield what is to be said of prices and sums, recipe by recipe."""
    for cost in costs.recipes:
        recipe = resolved.recipe(cost.recipe)
        title = recipe.recipe.title if recipe is not None else cost.recipe
        yield from _price_findings(resolved.episode, cost, title)
        yield from _line_findings(resolved.episode, cost, title)


def _price_findings(episode: Episode, cost: RecipeCost, title: str) -> Iterator[Finding]:
    days = episode.max_price_age_days
    for code, items, words in (
        ("price-stale", cost.stale, f"older than {days} days, or undated"),
        ("price-offer", cost.offers, "an offer, and its regular price is not known"),
        ("price-guessed", cost.guessed, "a guess"),
    ):
        if items:
            message = f"the price of {joined(items)} is {words}"
            yield Finding(code=code, message=message, about=title, source=_PRACTICE)


def _line_findings(episode: Episode, cost: RecipeCost, title: str) -> Iterator[Finding]:
    names = {item.line.line.id: item.line.line.item for item in cost.lines}
    if cost.missing:
        message = f'not priced: {joined([names[i] for i in cost.missing])}; every figure is "at least"'
        yield Finding(code="cost-at-least", message=message, about=title)
    if cost.not_costed:
        message = f"listed and not costed: {joined([names[i] for i in cost.not_costed])}"
        yield Finding(code="not-costed", message=message, about=title, source=_PRACTICE)
    left_out = [item.line.line.item for item in cost.lines if item.is_left_out]
    if left_out and episode.staples is not StaplesPolicy.COUNT:
        message = f"staples not counted by the line: {joined(left_out)}; say so beside the price"
        yield Finding(code="staples-policy", message=message, about=title, source=_PRACTICE)


def findings_of_verdict(episode: Episode, verdict: ClaimVerdict) -> Iterator[Finding]:
    """Yield what is to be said of one claim: that it is refused and what may be said instead, or that it is thin."""
    claim = verdict.claim
    about = claim.recipe or episode.title
    text = claim.text or f"{claim.word.value} {claim.limit}"
    if not verdict.is_allowed:
        why = "; ".join(reason.split(": ", 1)[-1] for reason in verdict.reasons)
        hint = f"say: {verdict.wording}" if verdict.wording else None
        message = f'"{text}" may not be said: {why}'
        yield Finding(code="claim-refused", message=message, about=about, span=claim.span, hint=hint, source=_PRACTICE)
    elif verdict.is_thin:
        message = f'"{text}" holds with {verdict.headroom_percent} % to spare: one dearer receipt breaks it'
        yield Finding(code="claim-thin", message=message, about=about, span=claim.span, source=_PRACTICE)
