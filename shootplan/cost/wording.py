"""
The words in which a price may be claimed, and money as it stands in a sentence.

Figures come in, sentences go out. Nothing is judged here.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from shootplan.cost.claim_figures import Subject
from shootplan.model.episode import Claim, ClaimScope, ClaimWord
from shootplan.model.money import Money
from shootplan.printing import money_text

__all__ = ["claim_words", "figure_words", "joined"]

_SCOPES = {
    ClaimScope.RECIPE: "{word} {money} a serving",
    ClaimScope.EVERY: "every recipe {word} {money} a serving",
    ClaimScope.AVERAGE: "{word} {money} a serving on average",
    ClaimScope.TOTAL: "{word} {money} for one serving of each",
}


def joined(names: Sequence[str], last: str = "and") -> str:
    """Return names as a sentence lists them: "a, b and c"."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} {last} {names[-1]}"


def figure_words(claim: Claim, word: str, money: str) -> str:
    """Return a figure of what the claim speaks of: "at least £2.00 for one serving of each"."""
    return _SCOPES[claim.scope].format(word=word, money=money)


def claim_words(claim: Claim, subject: Subject, *, currency: str, locale: str, base: Sequence[str] = ()) -> str:
    """
    Return the sentence that a claim makes, options and base ingredients named.

    ``base`` are the ingredients that it must name because their alternates do not pass.
    """
    said = figure_words(claim, claim.word.value, _limit(claim.limit, currency, locale))
    parts = [said]
    if base:
        parts.append(f"with {joined(['the ' + name for name in base])}")
    options = [option.name for dish in subject.dishes for option in dish.cost.options]
    if options and not claim.with_options and claim.word is not ClaimWord.FROM:
        is_one = claim.scope is ClaimScope.RECIPE
        named = joined(["the " + name for name in dict.fromkeys(options)], "or") if is_one else "the extras"
        parts.append(f"without {named}")
    return ", ".join(parts) if base and len(parts) > 2 else " ".join(parts)


def _limit(limit: Decimal, currency: str, locale: str) -> str:
    return money_text(Money(limit, currency), locale)
