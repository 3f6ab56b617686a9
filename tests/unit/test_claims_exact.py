"""Price claims at their very bounds, and every word of a verdict; figures worked by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from costing_helpers import claim, episode, line, mention, recipe, row, steps

from shootplan.cost import cost_episode
from shootplan.model.costing import ClaimVerdict
from shootplan.model.episode import Claim, PriceKind, PriceRow, SecondCurrency
from shootplan.model.money import Cost
from shootplan.model.recipe import Alternate, Recipe
from shootplan.resolve import resolve_episode


def priced(figure: str, *more: tuple[str, str], title: str = "Pie") -> tuple[Recipe, list[PriceRow]]:
    """Return a dish for one of a piece at this price, with options at theirs."""
    lines = [line("crust", "1"), *(line(name, "1", is_optional=True) for name, _ in more)]
    rows = [row("crust", "1", figure), *(row(name, "1", price) for name, price in more)]
    return recipe("pie", lines, hearty=1, title=title), rows


def judged(made: Claim, recipes: list[Recipe], rows: list[PriceRow], **more: object) -> ClaimVerdict:
    """Return the verdict on one claim."""
    resolved, _ = resolve_episode(episode(recipes, rows, claims=(made,), **more))
    return cost_episode(resolved)[0].verdicts[0]


def of(figure: str, made: Claim) -> ClaimVerdict:
    """Return the verdict on a claim about a dish that costs this."""
    dish, rows = priced(figure)
    return judged(made, [dish], rows)


# ------------------------------------------------------------------------------------------- bounds


@pytest.mark.parametrize(
    ("word", "limit", "figure", "is_allowed"),
    [
        ("under", "1.494", "1.4949", True),  # a limit between two pennies: 1.49 is printed, which is under it
        ("under", "1.494", "1.495", False),  # 1.50 is printed
        ("just under", "1.50", "1.35", True),  # nine tenths exactly
        ("just under", "1.50", "1.3499", False),
        ("about", "1.50", "1.425", True),  # 5 % exactly, below and above
        ("about", "1.50", "1.575", True),
        ("about", "1.50", "1.4249", False),
        ("about", "1.50", "1.5751", False),
    ],
)
def test_a_bound_belongs_to_the_claim_that_says_so(word: str, limit: str, figure: str, is_allowed: bool) -> None:
    """Rule M5: "just" is at least nine tenths, "about" at most a twentieth off, both ends included."""
    assert of(figure, claim(word, limit, "pie")).is_allowed is is_allowed


def test_two_percent_of_headroom_are_not_thin() -> None:
    """By hand: ceiling 1.025 over 205/204 is 1.02 exactly; one piece of 205/204 at 1.00."""
    dish = recipe("pie", [line("crust", "205/204")], hearty=1, title="Pie")
    verdict = judged(claim("under", "1.03", "pie"), [dish], [row("crust", "1", "1.00")])
    assert (verdict.headroom_percent, verdict.is_thin) == (Decimal("2.000"), False)
    assert of("1.0050", claim("under", "1.03", "pie")).is_thin


def test_headroom_is_the_part_of_the_figure_that_is_left() -> None:
    """Rule M6 by hand: (1.995 - 1.4949) / 1.4949 = 33.4537 %."""
    assert of("1.4949", claim("under", "2.00", "pie")).headroom_percent == Decimal("33.454")


def test_a_figure_on_the_ceiling_names_the_line_that_reaches_it() -> None:
    """1.495 prints 1.50: the crust reaches the ceiling by itself."""
    assert of("1.495", claim("under", "1.50", "pie")).tipping_line == "crust"


# ------------------------------------------------------------------------------------------- words


def test_an_unknown_recipe_is_refused_with_nothing_else() -> None:
    """No figure, no wording, nothing to heal."""
    made = claim("under", "9.00", "piee")
    reason = 'unknown-recipe: there is no recipe "piee"'
    assert of("1.00", made) == ClaimVerdict(claim=made, is_allowed=False, figure=None, shown=None, reasons=(reason,))


@pytest.mark.parametrize(
    ("word", "limit", "reason", "wording"),
    [
        ("under", "1.40", "not-under: it prints £1.43, which is not under £1.40", "about £1.40 a serving"),
        ("under", "1.20", "not-under: it prints £1.43, which is not under £1.20", "about £1.43 a serving"),
        ("just under", "1.60", "not-just: £1.43 is more than a tenth below £1.60", "under £1.60 a serving"),
        ("about", "1.20", "not-about: £1.43 is more than 5 % from £1.20", "about £1.43 a serving"),
        ("from", "1.40", "not-lowest: the lowest version offered costs £1.43", "from £1.43 a serving"),
    ],
)
def test_a_refusal_says_why_and_what_may_be_said(word: str, limit: str, reason: str, wording: str) -> None:
    """1.43 is within 5 % of 1.40 and not of 1.20; nine tenths of 1.60 are 1.44."""
    verdict = of("1.43", claim(word, limit, "pie"))
    assert (verdict.reasons, verdict.wording, verdict.failing) == ((reason,), wording, ())


def test_next_to_nothing_is_about_nothing() -> None:
    """0.004 prints 0.00, which it is not within 5 % of; still that is what it is called, as no claim."""
    assert of("0.004", claim("about", "1.00", "pie")).wording == "about £0.00 a serving"


def test_an_allowed_claim_is_worded_as_asked() -> None:
    """With what it leaves out or rests on named."""
    dish, rows = priced("1.43", ("dill", "0.20"))
    assert judged(claim("under", "1.50", "pie"), [dish], rows).wording == "under £1.50 a serving without the dill"
    base = line("cheese", "1", alternates=(Alternate(item="goat cheese"),))
    cheesy = recipe("pie", [base], hearty=1, title="Pie")
    rows = [row("cheese", "1", "1.40"), row("goat cheese", "1", "1.60")]
    named = claim("under", "1.50", "pie", text="under 1.50 with the cheese")
    assert judged(named, [cheesy], rows).wording == "under £1.50 a serving with the cheese"


def test_the_reasons_of_an_unfit_price_are_said_in_full() -> None:
    """Each names its items once; what is not priced comes first."""
    lines = [line(name, "1") for name in ("crust", "egg", "milk", "salt", "oil", "more oil")]
    lines[-1] = replace(lines[-1], buy="oil")
    rows = [
        row("milk", "1", "1.00", source="guess"),
        row("salt", "1", "1.00", kind=PriceKind.OFFER),
        row("oil", "1", "1.00", seen=None),
    ]
    verdict = judged(claim("under", "9.00", "pie"), [recipe("pie", lines, title="Pie")], rows)
    assert verdict.reasons == (
        'unpriced: crust and egg are not priced, so the figure is "at least"',
        "guessed: the price of milk is a guess",
        "on-offer: the price of salt is an offer price without a regular one",
        "stale: the price of oil is older than the limit, or undated",
    )
    one = judged(claim("under", "9.00", "pie"), [recipe("pie", lines[1:4], title="Pie")], rows)
    assert one.reasons[0] == 'unpriced: egg is not priced, so the figure is "at least"'


def test_a_weight_that_is_only_an_estimate_makes_a_claim_unfit() -> None:
    """The line is marked by hand as resting on an estimate."""
    dish, rows = priced("1.43")
    resolved, _ = resolve_episode(episode([dish], rows, claims=(claim("under", "9.00", "pie"),)))
    guessed = replace(resolved.recipes[0], lines=(replace(resolved.recipes[0].lines[0], is_estimated=True),))
    costs, _ = cost_episode(replace(resolved, recipes=(guessed,)))
    assert costs.recipes[0].estimated == ("crust",)
    assert costs.verdicts[0].reasons == ("estimated: the price of crust is resting on an estimated weight",)
    assert costs.verdicts[0].wording == ""


def test_a_small_serving_is_answered_with_the_hearty_one() -> None:
    """4.80 for four or six, 1.20 and 0.80: what is asked of the small one may be said of the hearty one, or nearly."""
    dish = recipe("pie", [line("crust", "1")], hearty=4, small=6, title="Pie")
    rows = [row("crust", "1", "4.80")]
    assert judged(claim("under", "1.30", "pie", is_small=True), [dish], rows).wording == "under £1.30 a serving"
    assert judged(claim("under", "0.90", "pie", is_small=True), [dish], rows).wording == "about £1.20 a serving"


# ------------------------------------------------------------------------------------------- options


def test_an_option_in_the_picture_is_named() -> None:
    """With the dill the pie is 1.63; the claim covers it, excludes it, or says nothing of it."""
    dish, rows = priced("1.43", ("dill", "0.20"))
    dish = replace(dish, steps=steps(("Bake", [mention("crust")]), ("Serve", [mention("dill")])))
    silent = claim("under", "1.50", "pie", shown_at="Serve")
    assert judged(silent, [dish], rows).reasons == (
        "option-in-shot: dill is in the picture and not in the price",
    )  # fmt: skip
    covered = judged(replace(silent, with_options=True), [dish], rows)
    assert covered.reasons == ("not-under: it prints £1.63, which is not under £1.50",)
    assert covered.figure == Cost(Fraction("1.63"), "GBP")


# ------------------------------------------------------------------------------------------- the second currency


@pytest.mark.parametrize(
    ("day", "currency", "reasons"),
    [
        (date(2026, 10, 26), "EUR", ()),
        (date(2026, 10, 25), "EUR", ("old-rate: the rate is of 2026-10-25, older than 30 days",)),
        (date(2026, 10, 25), "", ()),
    ],
)
def test_a_rate_ages_as_prices_do(day: date, currency: str, reasons: tuple[str, ...]) -> None:
    """Rule M7: thirty days before 25 November is 26 October; a claim in the episode's own money asks for no rate."""
    dish, rows = priced("1.43")
    also = SecondCurrency(currency="EUR", rate=Decimal("1.10"), on=day)
    verdict = judged(claim("under", "9.00", "pie", currency=currency), [dish], rows, also=also)
    assert verdict.reasons == reasons


def test_a_claim_in_the_second_currency_says_its_rate() -> None:
    """Whichever way the rate is quoted, with its day."""
    dish, rows = priced("1.00")
    also = SecondCurrency(currency="EUR", rate=Decimal("1.25"), on=date(2026, 11, 20))
    made = claim("under", "1.30", "pie", currency="EUR")
    assert judged(made, [dish], rows, also=also).wording == ("under €1.30 a serving, at 1 GBP = 1.25 EUR on 2026-11-20")
    theirs = replace(also, rate=Decimal("0.80"), is_quoted_per_theirs=True)
    verdict = judged(made, [dish], rows, also=theirs)
    assert verdict.wording == "under €1.30 a serving, at 1 EUR = 0.80 GBP on 2026-11-20"
    assert verdict.figure == Cost(Fraction("1.25"), "EUR")
    assert judged(claim("under", "1.30", "pie"), [dish], rows, also=also).wording == "under £1.30 a serving"


def test_a_currency_without_pence_has_its_own_half_unit() -> None:
    """1.498 at 190 is 284.62, which prints 285 yen: not under 285, though 284.62 is."""
    dish, rows = priced("1.498")
    also = SecondCurrency(currency="JPY", rate=Decimal(190), on=date(2026, 11, 20))
    for limit, is_allowed in (("285", False), ("286", True)):
        verdict = judged(claim("under", limit, "pie", currency="JPY"), [dish], rows, also=also)
        assert verdict.is_allowed is is_allowed
        assert verdict.shown is not None
        assert str(verdict.shown.amount) == "285"  # type: ignore[union-attr]


def test_what_a_figure_may_be_called_still_says_what_it_leaves_out() -> None:
    """1.43 is not within 5 % of 1.20: it is about 1.43, and that without the dill."""
    dish, rows = priced("1.43", ("dill", "0.20"))
    assert judged(claim("under", "1.20", "pie"), [dish], rows).wording == "about £1.43 a serving without the dill"
