"""
Whether a number of minutes may be claimed (rule T8), once the kitchen times are known.

Times in whole seconds come in; the costs go out with the verdicts on all claims in the author's order, with findings.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from shootplan.cost.findings import findings_of_verdict
from shootplan.cost.wording import joined
from shootplan.model.clock import MINUTE, Range, minutes_outward
from shootplan.model.costing import ClaimVerdict, EpisodeCost
from shootplan.model.episode import Claim, ClaimScope, ClaimWord
from shootplan.model.resolved import ResolvedEpisode
from shootplan.model.times import EpisodeTimes, RecipeTimes
from shootplan.problems import Finding
from shootplan.records import dataclass

__all__ = ["judge_time_claims"]


def judge_time_claims(
    resolved: ResolvedEpisode, costs: EpisodeCost, times: EpisodeTimes
) -> tuple[EpisodeCost, tuple[Finding, ...]]:
    """
    Return the costs with the verdicts on price and time claims in the order of the claims, and findings on the latter.

    A claim of N minutes needs the unrounded long end of start to table within N, chopping and heating included; work
    done before the day is no part of it and is named beside it (rules T2 and T8).
    """
    prices = {id(verdict.claim): verdict for verdict in costs.verdicts}
    verdicts: list[ClaimVerdict] = []
    findings: list[Finding] = []
    for claim in resolved.episode.claims:
        if claim.word is not ClaimWord.WITHIN_MINUTES:
            verdicts += [prices[id(claim)]] if id(claim) in prices else []
            continue
        verdict = _judge(resolved, claim, times)
        verdicts.append(verdict)
        findings.extend(findings_of_verdict(resolved.episode, verdict))
    return replace(costs, verdicts=tuple(verdicts)), tuple(findings)


@dataclass(frozen=True, slots=True)
class _Subject:
    """The recipes a time claim speaks of, and start to table over them."""

    recipes: tuple[RecipeTimes, ...]
    elapsed: Range


def _subject(resolved: ResolvedEpisode, claim: Claim, times: EpisodeTimes) -> _Subject | None:
    if claim.scope is ClaimScope.RECIPE:
        key = claim.recipe.casefold()
        named = [r.id for r in resolved.recipes if key in (r.id.casefold(), r.recipe.title.casefold())]
        found = times.recipe(named[0]) if named else None
        return _Subject((found,), found.elapsed) if found is not None else None
    recipes = times.recipes
    if not recipes:
        return None
    if claim.scope is ClaimScope.TOTAL:
        return _Subject(recipes, times.elapsed)
    if claim.scope is ClaimScope.EVERY:
        return _Subject(recipes, max((item.elapsed for item in recipes), key=lambda elapsed: elapsed.high_s))
    count = len(recipes)
    low = sum(item.elapsed.low_s for item in recipes) // count
    high = -(-sum(item.elapsed.high_s for item in recipes) // count)
    return _Subject(recipes, Range(low, high))


def _judge(resolved: ResolvedEpisode, claim: Claim, times: EpisodeTimes) -> ClaimVerdict:
    subject = _subject(resolved, claim, times)
    if subject is None:
        reason = f'unknown-recipe: there is no recipe "{claim.recipe}"'
        return ClaimVerdict(claim=claim, is_allowed=False, figure=None, shown=None, reasons=(reason,))
    reasons = _reasons(claim, subject)
    limit_s = Fraction(claim.limit) * MINUTE
    late = tuple(item.recipe for item in subject.recipes if item.elapsed.high_s > limit_s)
    return ClaimVerdict(
        claim=claim,
        is_allowed=not reasons,
        figure=Fraction(subject.elapsed.high_s, MINUTE),
        shown=-(-subject.elapsed.high_s // MINUTE),
        reasons=reasons,
        wording=_wording(claim, subject, is_allowed=not reasons),
        failing=late if claim.scope is ClaimScope.EVERY else (),
    )


def _reasons(claim: Claim, subject: _Subject) -> tuple[str, ...]:
    found = []
    unknown = [step for item in subject.recipes for step in item.unknown]
    if unknown:
        found.append(f'no-time: {joined(unknown)} has no time, so the figure is "at least"')
    if subject.elapsed.high_s > Fraction(claim.limit) * MINUTE:
        minutes = -(-subject.elapsed.high_s // MINUTE)
        found.append(f"too-long: start to table takes up to {minutes} min, not {claim.limit:f}")
    return tuple(found)


def _wording(claim: Claim, subject: _Subject, *, is_allowed: bool) -> str:
    """Return what may be said: the claim itself, or the range rounded outward, with the work before the day."""
    low, high = minutes_outward(subject.elapsed.low_s, subject.elapsed.high_s)
    said = f"{claim.limit:f} minutes" if is_allowed else f"{low}–{high} minutes" if low < high else f"{high} minutes"
    if any(item.unknown for item in subject.recipes):
        said = f"at least {low} minutes"
    is_ahead = any(item.ahead for item in subject.recipes)
    return f"{said}, plus what is done ahead" if is_ahead else said
