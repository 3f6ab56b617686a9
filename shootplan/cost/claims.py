"""
Whether a price may be claimed (rule M5), why not, and what may be said instead.

Claims and exact costs come in, verdicts go out. The program advises; who says it answers for it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from shootplan.cost.claim_figures import Subject, ceiling, is_ceiling, mean, subject_of, total
from shootplan.cost.claim_fixes import dearest_rise, fixes_of, tipping_line
from shootplan.cost.second import in_currency, rate_words
from shootplan.cost.wording import claim_words, figure_words, joined
from shootplan.model.costing import AlternateCost, ClaimVerdict, EpisodeCost
from shootplan.model.episode import Claim, ClaimScope, ClaimWord
from shootplan.model.money import Cost, half_up
from shootplan.model.resolved import ResolvedEpisode
from shootplan.printing import money_text
from shootplan.records import dataclass

__all__ = ["judge_price_claims"]

#: "About X" is within this part of X, "just under X" at least that part of it (rule M5).
ABOUT = Fraction(5, 100)
JUST = Fraction(9, 10)
#: Headroom below this many percent is thin (rule M6).
THIN = 2

#: Reasons that no other wording can heal: the figure itself is not fit to be said.
_UNFIT = ("unpriced", "guessed", "on-offer", "stale", "estimated", "old-rate")


@dataclass(frozen=True, slots=True)
class _Bench:
    """What judging needs at hand."""

    resolved: ResolvedEpisode
    costs: EpisodeCost

    def money(self, cost: Cost) -> str:
        return money_text(cost.rounded(self.costs.places), self.resolved.episode.locale)

    def words(self, claim: Claim, subject: Subject, base: tuple[str, ...] = ()) -> str:
        locale, also = self.resolved.episode.locale, self.resolved.episode.also
        said = claim_words(claim, subject, currency=self.costs.currency, locale=locale, base=base)
        return (
            f"{said}, at {rate_words(also, self.resolved.episode.currency)}"
            if also is not None and claim.currency
            else said
        )

    def subject(self, claim: Claim) -> Subject | None:
        return subject_of(claim, self.resolved, self.costs)

    def seen_from(self, claim: Claim) -> _Bench:
        """Return the bench in the claim's currency: all costs at the dated rate, for its own test (rule M7)."""
        also = self.resolved.episode.also
        if also is None or claim.currency != also.currency:
            return self
        return _Bench(self.resolved, in_currency(self.costs, also))


def judge_price_claims(resolved: ResolvedEpisode, costs: EpisodeCost) -> tuple[ClaimVerdict, ...]:
    """Return the verdict on each price claim of the episode, in order; time claims need the times and come later."""
    bench = _Bench(resolved, costs)
    claims = [claim for claim in resolved.episode.claims if claim.word is not ClaimWord.WITHIN_MINUTES]
    return tuple(_judge(bench.seen_from(claim), claim) for claim in claims)


def _judge(bench: _Bench, claim: Claim) -> ClaimVerdict:
    subject = bench.subject(claim)
    if subject is None:
        reason = f'unknown-recipe: there is no recipe "{claim.recipe}"'
        return ClaimVerdict(claim=claim, is_allowed=False, figure=None, shown=None, reasons=(reason,))
    reasons = tuple(_reasons(bench, subject))
    figure = _lowest(subject) if claim.word is ClaimWord.FROM else subject.figure
    verdict = ClaimVerdict(
        claim=claim,
        is_allowed=not reasons,
        figure=figure,
        shown=figure.rounded(bench.costs.places),
        reasons=reasons,
        wording=bench.words(claim, subject, _named_base(subject)) if not reasons else _instead(bench, subject, reasons),
        failing=_failing(bench, subject),
    )
    return _with_headroom(bench, subject, verdict) if not reasons else _with_fixes(bench, subject, verdict)


def _with_headroom(bench: _Bench, subject: Subject, verdict: ClaimVerdict) -> ClaimVerdict:
    """Return an allowed verdict with its headroom (rule M6) and how far the dearest item may rise."""
    if not is_ceiling(subject.claim) or subject.figure.exact == 0:
        return verdict
    room = ceiling(subject.claim, bench.costs.places) - subject.figure.exact
    percent = 100 * room / subject.figure.exact
    item, rise = dearest_rise(subject, room)
    return replace(
        verdict,
        headroom_percent=half_up(percent, 3),
        is_thin=percent < THIN,
        dearest_item=item,
        dearest_may_rise_percent=rise,
    )


def _with_fixes(bench: _Bench, subject: Subject, verdict: ClaimVerdict) -> ClaimVerdict:
    """Return a refused ceiling with the line that pushes it over and the amounts that would just pass."""
    limit = ceiling(subject.claim, bench.costs.places)
    if not is_ceiling(subject.claim) or subject.figure.exact < limit:
        return verdict
    return replace(verdict, tipping_line=tipping_line(subject, limit), fixes=fixes_of(subject, limit))


# ------------------------------------------------------------------------------------------------ reasons


def _reasons(bench: _Bench, subject: Subject) -> Iterator[str]:
    """Yield why the claim may not be made, in the order tested, each as "code: words"."""
    yield from _basis_reasons(subject)
    yield from _rate_reasons(bench, subject.claim)
    if subject.claim.is_small:
        yield "small-servings: a claim speaks of the hearty serving"
    yield from _figure_reasons(bench, subject)
    yield from _option_reasons(bench, subject)
    yield from _alternate_reasons(bench, subject)


def _basis_reasons(subject: Subject) -> Iterator[str]:
    """Yield what makes the figure itself unfit: lines without a price, guesses, offers, old prices."""
    claim = subject.claim
    missing = [name for dish in subject.dishes for name in dish.missing(claim)]
    if missing:
        yield f'unpriced: {joined(missing)} {_is_are(missing)} not priced, so the figure is "at least"'
    covered = _items_counted(subject)
    for code, words, attribute in (
        ("guessed", "a guess", "guessed"),
        ("on-offer", "an offer price without a regular one", "offers"),
        ("stale", "older than the limit, or undated", "stale"),
        ("estimated", "resting on an estimated weight", "estimated"),
    ):
        named = [item for dish in subject.dishes for item in getattr(dish.cost, attribute) if item in covered]
        if named:
            names = list(dict.fromkeys(named))
            yield f"{code}: the price of {joined(names)} is {words}"


def _rate_reasons(bench: _Bench, claim: Claim) -> Iterator[str]:
    """Yield that a claim in the second currency rests on an old rate; a rate ages as prices do (rule M7)."""
    episode = bench.resolved.episode
    also = episode.also
    if also is None or claim.currency != also.currency:
        return
    if (episode.shoot_date - also.on).days > episode.max_price_age_days:
        yield f"old-rate: the rate is of {also.on}, older than {episode.max_price_age_days} days"


def _items_counted(subject: Subject) -> set[str]:
    """Return the price-book items that the figure counts."""
    lines = [line for dish in subject.dishes for line in dish.lines(subject.claim) if not line.is_left_out]
    return {line.line.price.item for line in lines if line.line.price is not None}


def _is_are(names: list[str]) -> str:
    return "is" if len(names) == 1 else "are"


def _figure_reasons(bench: _Bench, subject: Subject) -> Iterator[str]:
    """Yield what the figure itself says against the wording."""
    claim, figure = subject.claim, subject.figure
    limit = Fraction(claim.limit)
    asked = money_text(Cost(limit, figure.currency).rounded(bench.costs.places), bench.resolved.episode.locale)
    if is_ceiling(claim):
        if figure.exact >= ceiling(claim, bench.costs.places):
            yield f"not-under: it prints {bench.money(figure)}, which is not under {asked}"
        elif claim.word is ClaimWord.JUST_UNDER and figure.exact < JUST * limit:
            yield f"not-just: {bench.money(figure)} is more than a tenth below {asked}"
    elif claim.word is ClaimWord.ABOUT and abs(figure.exact - limit) > ABOUT * limit:
        yield f"not-about: {bench.money(figure)} is more than 5 % from {asked}"
    elif claim.word is ClaimWord.FROM:
        lowest = _lowest(subject)
        if half_up(lowest.exact, bench.costs.places) != claim.limit:
            yield f"not-lowest: the lowest version offered costs {bench.money(lowest)}"


def _lowest(subject: Subject) -> Cost:
    """Return the lowest version offered: without options, each line by its cheapest alternate."""
    plain = replace(subject.claim, with_options=False)
    per = []
    for dish in subject.dishes:
        saved: dict[str, Fraction] = {}
        for item in dish.alternates(plain):
            if item.per_serving_delta is not None:
                base = item.base.line.id
                saved[base] = min(saved.get(base, Fraction(0)), item.per_serving_delta.exact)
        per.append(total([dish.per_serving(plain).exact, *saved.values()]))
    lowest = {ClaimScope.TOTAL: total, ClaimScope.AVERAGE: mean}.get(subject.claim.scope, min)
    return Cost(lowest(per), subject.figure.currency)


def _option_reasons(bench: _Bench, subject: Subject) -> Iterator[str]:
    """Yield that an option is on the plate where the claim is shown, and the claim neither covers nor excludes it."""
    claim = subject.claim
    if claim.with_options or not claim.shown_at or "without" in claim.text.casefold():
        return
    shown = [
        use.line or use.product
        for dish in subject.dishes
        if (step := dish.recipe.recipe.step(claim.shown_at)) is not None
        for use in dish.recipe.uses_in(step.id)
        if use.is_optional
    ]
    covering = bench.subject(replace(claim, with_options=True))
    if shown and covering is not None and any(_figure_reasons(bench, covering)):
        yield f"option-in-shot: {joined(shown)} {_is_are(shown)} in the picture and not in the price"


# ------------------------------------------------------------------------------------------------ alternates


def _alternate_reasons(bench: _Bench, subject: Subject) -> Iterator[str]:
    """Yield each base whose alternate does not pass, unless the claim names the base."""
    failing = _failing_bases(bench, subject)
    if failing:
        others = [item.alternate.line.item for item in failing]
        yield f"alternate: it does not hold with {joined(list(dict.fromkeys(others)), 'or')}"


def _failing_bases(bench: _Bench, subject: Subject) -> list[AlternateCost]:
    """Return the alternates with which a ceiling would not hold, unknown ones included; named bases are not asked."""
    claim = subject.claim
    if not is_ceiling(claim) or subject.figure.exact >= ceiling(claim, bench.costs.places):
        return []
    failing = []
    for dish in subject.dishes:
        room = ceiling(claim, bench.costs.places) - _figure_with(subject, dish.per_serving(claim).exact)
        asked = [item for item in dish.alternates(claim) if not _names(claim, item.base.line.item)]
        failing += [item for item in asked if _breaks(subject, item, asked, room)]
    return failing


def _figure_with(subject: Subject, per_serving: Fraction) -> Fraction:
    """Return what must stay under the ceiling while one dish's alternates are tried."""
    return per_serving if subject.claim.scope is ClaimScope.EVERY else subject.figure.exact


def _breaks(subject: Subject, item: AlternateCost, together: list[AlternateCost], room: Fraction) -> bool:
    """Return whether a ceiling may not hold with an alternate and the dearest ones of the other lines beside it."""
    if item.per_serving_delta is None:
        return True
    if item.per_serving_delta.exact <= 0:
        return False
    count = len(subject.dishes) if subject.claim.scope is ClaimScope.AVERAGE else 1
    others: dict[str, Fraction] = {}
    for other in together:
        if other.base.line.id != item.base.line.id and other.per_serving_delta is not None:
            base = other.base.line.id
            others[base] = max(others.get(base, Fraction(0)), other.per_serving_delta.exact)
    return total([item.per_serving_delta.exact, *others.values()]) / count >= room


def _names(claim: Claim, item: str) -> bool:
    return f"with {item.casefold()}" in claim.text.casefold().replace("with the ", "with ")


def _named_base(subject: Subject) -> tuple[str, ...]:
    """Return the base ingredients that the claim names."""
    items = [a.base.line.item for dish in subject.dishes for a in dish.alternates(subject.claim)]
    return tuple(item for item in dict.fromkeys(items) if _names(subject.claim, item))


# ------------------------------------------------------------------------------------------------ instead


def _failing(bench: _Bench, subject: Subject) -> tuple[str, ...]:
    """Return the recipes that do not pass a claim that speaks of every recipe."""
    if subject.claim.scope is not ClaimScope.EVERY or not is_ceiling(subject.claim):
        return ()
    limit = ceiling(subject.claim, bench.costs.places)
    return tuple(dish.recipe.id for dish, per in subject.each() if per.exact >= limit)


def _instead(bench: _Bench, subject: Subject, reasons: tuple[str, ...]) -> str:
    """Return the nearest wording that may be used, or what the figure may at most be called."""
    if any(reason.split(":")[0] in _UNFIT for reason in reasons):
        is_missing = reasons[0].startswith("unpriced")
        return figure_words(subject.claim, "at least", bench.money(subject.figure)) if is_missing else ""
    if subject.claim.is_small:  # nothing is said of a serving but of the hearty one
        subject = bench.subject(replace(subject.claim, is_small=False)) or subject
    for trial in (subject.claim, *_trials(bench, subject)):
        tried = bench.subject(trial)
        if tried is not None and not any(_reasons(bench, tried)):
            return bench.words(trial, tried, _named_base(tried))
    return figure_words(subject.claim, "about", bench.money(subject.figure))


def _trials(bench: _Bench, subject: Subject) -> Iterator[Claim]:
    """Yield other wordings, the nearest to what was asked first."""
    claim = subject.claim
    bases = [item.base.line.item for item in _failing_bases(bench, subject)]
    if bases:
        yield replace(claim, text=" ".join(f"with {item}" for item in dict.fromkeys(bases)))
    if claim.with_options or claim.shown_at:
        yield replace(claim, with_options=False, text="without options")
    if claim.word is ClaimWord.FROM:
        yield replace(claim, limit=half_up(_lowest(subject).exact, bench.costs.places))
    if claim.word is ClaimWord.JUST_UNDER:
        yield replace(claim, word=ClaimWord.UNDER)
    if claim.scope is ClaimScope.EVERY:
        yield replace(claim, scope=ClaimScope.AVERAGE)
    yield replace(claim, word=ClaimWord.ABOUT)
    yield replace(claim, word=ClaimWord.ABOUT, limit=_rounded(subject.figure, bench.costs.places))


def _rounded(figure: Cost, places: int) -> Decimal:
    return half_up(figure.exact, places)
