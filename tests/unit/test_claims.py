"""Which prices and times may be claimed (rules M5, M6 and T8); figures worked by hand."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from costing_helpers import amount, claim, episode, line, mention, recipe, row, steps

from shootplan.cost import cost_episode, judge_time_claims
from shootplan.model.clock import Range
from shootplan.model.costing import ClaimVerdict
from shootplan.model.episode import Claim, PriceKind, PriceRow, SecondCurrency
from shootplan.model.recipe import Alternate, Recipe
from shootplan.model.times import AheadWork, EpisodeTimes, RecipeTimes
from shootplan.problems import Finding
from shootplan.resolve import resolve_episode


def dish(*, cheese: str = "60 g", **more: Any) -> Recipe:
    """Return a pie for four or six: 4.7796 in all but the cheese, cheese 1.20, dill 0.08 an option."""
    lines = [line("pie", "1"), line("cheese", cheese), line("dill", "1", is_optional=True)]
    fields = {"hearty": 4, "small": 6, "title": "Pie", **more}
    return recipe("pie", lines, **fields)


def prices(*, pie: str = "4.7796", **cheese: Any) -> list[PriceRow]:
    """Return the prices of the pie, the cheese at 1.20 for 60 g."""
    return [row("pie", "1", pie), row("cheese", "60 g", "1.20", **cheese), row("dill", "1", "0.08")]


def judged(made: Claim, recipes: list[Recipe] | None = None, rows: list[PriceRow] | None = None) -> ClaimVerdict:
    """Return the verdict on one claim."""
    return both(made, recipes, rows)[0]


def both(
    made: Claim, recipes: list[Recipe] | None = None, rows: list[PriceRow] | None = None
) -> tuple[ClaimVerdict, list[Finding]]:
    """Return the verdict on one claim and the findings about claims."""
    resolved, _ = resolve_episode(episode(recipes or [dish()], rows or prices(), claims=(made,)))
    costs, findings = cost_episode(resolved)
    return costs.verdicts[0], [item for item in findings if item.code.startswith("claim")]


def why(verdict: ClaimVerdict) -> list[str]:
    """Return the codes of a verdict's reasons."""
    return [reason.split(":")[0] for reason in verdict.reasons]


# ------------------------------------------------------------------------------------------- under


def test_under_holds_by_a_hair_and_is_called_thin() -> None:
    """5.9796 / 4 = 1.4949 prints 1.49: allowed under 1.50, headroom (1.495 - 1.4949) / 1.4949 = 0.007 %."""
    verdict, findings = both(claim("under", "1.50", "pie"))
    assert verdict.is_allowed
    assert verdict.shown is not None
    assert str(verdict.shown.amount) == "1.49"  # type: ignore[union-attr]
    assert verdict.headroom_percent == Decimal("0.007")
    assert verdict.is_thin
    assert [item.code for item in findings] == ["claim-thin"]


def test_a_figure_that_prints_the_ceiling_is_refused() -> None:
    """5.984 / 4 = 1.496 prints 1.50, which is not under 1.50."""
    verdict, findings = both(claim("under", "1.50", "pie"), rows=prices(pie="4.784"))
    assert not verdict.is_allowed
    assert why(verdict) == ["not-under"]
    assert verdict.headroom_percent is None
    assert [item.code for item in findings] == ["claim-refused"]


def test_half_a_minor_unit_below_the_ceiling_is_already_too_much() -> None:
    """1.495 exactly prints 1.50 half up; the least bit less prints 1.49."""
    assert not judged(claim("under", "1.50", "pie"), rows=prices(pie="4.78")).is_allowed
    assert judged(claim("under", "1.50", "pie"), rows=prices(pie="4.779999")).is_allowed


def test_an_option_in_the_price_may_break_the_claim_and_its_absence_may_be_said() -> None:
    """6.0596 / 4 = 1.5149 with dill: refused, and "under 1.50 without the dill" is offered."""
    verdict = judged(claim("under", "1.50", "pie", with_options=True))
    assert not verdict.is_allowed
    assert verdict.wording == "under £1.50 a serving without the dill"
    assert verdict.tipping_line == "dill"


def test_an_option_in_the_picture_must_be_in_the_price() -> None:
    """The claim is shown over a step that uses the dill: it must cover the dill or say "without"."""
    made = dish(steps=steps(("Bake", [mention("pie"), mention("cheese")]), ("Serve", [mention("dill")])))
    shown = claim("under", "1.50", "pie", shown_at="Serve", text="under 1.50")
    assert why(judged(shown, [made])) == ["option-in-shot"]
    assert judged(shown, [made]).wording == "under £1.50 a serving without the dill"
    assert judged(claim("under", "1.50", "pie", shown_at="Bake"), [made]).is_allowed
    excluded = claim("under", "1.50", "pie", shown_at="Serve", text="under 1.50, without options")
    assert judged(excluded, [made]).is_allowed


def test_a_small_serving_is_no_basis() -> None:
    """5.9796 / 6 = 0.9966 prints 1.00: refused under 1.00 twice over, and under 1.20 for the basis alone."""
    assert why(judged(claim("under", "1.00", "pie", is_small=True))) == ["small-servings", "not-under"]
    assert why(judged(claim("under", "1.20", "pie", is_small=True))) == ["small-servings"]


def test_a_regular_price_counts_where_the_receipt_was_an_offer() -> None:
    """The cheese 0.30 dearer at its regular price: 6.2796 / 4 = 1.5699, refused."""
    offer = prices(kind=PriceKind.OFFER, regular_price=Decimal("1.50"))
    verdict = judged(claim("under", "1.50", "pie"), rows=offer)
    assert why(verdict) == ["not-under"]
    assert verdict.figure.exact == Fraction("1.5699")  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("fault", "code"),
    [({"kind": PriceKind.OFFER}, "on-offer"), ({"source": "guess"}, "guessed"), ({"seen": None}, "stale")],
)
def test_a_price_that_is_not_fit_makes_the_claim_unfit(fault: dict[str, Any], code: str) -> None:
    """An offer without its regular price, a guess, an undated price: no wording helps."""
    verdict = judged(claim("under", "9.00", "pie"), rows=prices(**fault))
    assert why(verdict) == [code]
    assert verdict.wording == ""


def test_a_line_without_a_price_makes_the_figure_at_least() -> None:
    """No ceiling can be claimed over what is not known."""
    verdict = judged(claim("under", "9.00", "pie"), rows=prices()[1:])
    assert why(verdict) == ["unpriced"]
    assert verdict.wording == "at least £0.30 a serving"


def test_an_option_without_a_price_does_not_spoil_the_core() -> None:
    """The dill is not priced: without options the claim stands, with options it cannot."""
    assert judged(claim("under", "1.50", "pie"), rows=prices()[:2]).is_allowed
    assert why(judged(claim("under", "9.00", "pie", with_options=True), rows=prices()[:2])) == ["unpriced"]


def test_an_offered_alternate_must_pass_or_the_base_be_named() -> None:
    """With the dearer cheese it is 1.55: refused, unless the claim says with which cheese."""
    base = line("cheese", "60 g", alternates=(Alternate(item="vegan cheese"),))
    made = recipe("pie", [line("pie", "1"), base], title="Pie")
    rows = [*prices(), row("vegan cheese", "60 g", "1.42")]
    verdict = judged(claim("under", "1.50", "pie"), [made], rows)
    assert why(verdict) == ["alternate"]
    assert verdict.wording == "under £1.50 a serving with the cheese"
    assert judged(claim("under", "1.50", "pie", text="under 1.50 with the cheese"), [made], rows).is_allowed
    assert judged(claim("under", "1.60", "pie"), [made], rows).is_allowed


def test_an_alternate_without_a_price_cannot_be_shown_to_pass() -> None:
    """Unknown is not cheap."""
    base = line("cheese", "60 g", alternates=(Alternate(item="moon cheese"),))
    made = recipe("pie", [line("pie", "1"), base], title="Pie")
    assert why(judged(claim("under", "9.00", "pie"), [made])) == ["alternate"]


# ------------------------------------------------------------------------------------------- other words


def test_about_is_within_five_percent() -> None:
    """1.4949 is 0.34 % from 1.50; 1.57 is 4.8 % off, 1.58 5.4 %."""
    for limit, expected in (("1.50", True), ("1.57", True), ("1.58", False), ("1.43", True), ("1.42", False)):
        assert judged(claim("about", limit, "pie")).is_allowed is expected, limit


def test_just_under_is_under_and_not_far_below() -> None:
    """1.4949 is just under 1.66 (0.9 of it is 1.494) and not just under 1.67 (1.503)."""
    assert judged(claim("just under", "1.66", "pie")).is_allowed
    verdict = judged(claim("just under", "1.67", "pie"))
    assert why(verdict) == ["not-just"]
    assert verdict.wording == "under £1.67 a serving without the dill"


def test_from_names_the_lowest_version_offered() -> None:
    """Without options and with the cheapest alternate: 5.5796 / 4 = 1.3949."""
    base = line("cheese", "60 g", alternates=(Alternate(item="curd"),))
    made = recipe("pie", [line("pie", "1"), base, line("dill", "1", is_optional=True)], title="Pie")
    rows = [*prices(), row("curd", "60 g", "0.80")]
    assert judged(claim("from", "1.39", "pie"), [made], rows).is_allowed
    verdict = judged(claim("from", "1.30", "pie"), [made], rows)
    assert why(verdict) == ["not-lowest"]
    assert verdict.wording == "from £1.39 a serving"


# ------------------------------------------------------------------------------------------- several recipes

TWO = [recipe("soup", [line("soup", "1")], title="Soup"), recipe("pie", [line("pie", "1")], title="Pie")]
TWO_PRICES = [row("soup", "1", "4.00"), row("pie", "1", "8.00")]


def test_every_recipe_must_pass_by_itself() -> None:
    """1.00 and 2.00: not every one is under 1.80, the pie fails; on average 1.50 they are."""
    verdict = judged(claim("under", "1.80", "every"), TWO, TWO_PRICES)
    assert not verdict.is_allowed
    assert verdict.failing == ("pie",)
    assert verdict.wording == "under £1.80 a serving on average"
    assert judged(claim("under", "2.01", "every"), TWO, TWO_PRICES).is_allowed


def test_average_and_total_are_over_one_serving_of_each() -> None:
    """The mean is 1.50, the sum 3.00."""
    assert judged(claim("under", "1.51", "average"), TWO, TWO_PRICES).is_allowed
    assert not judged(claim("under", "1.50", "average"), TWO, TWO_PRICES).is_allowed
    assert judged(claim("under", "3.01", "total"), TWO, TWO_PRICES).is_allowed
    assert not judged(claim("under", "3.00", "total"), TWO, TWO_PRICES).is_allowed


def test_a_claim_about_no_recipe_of_the_episode_is_refused() -> None:
    """The name is quoted back; reading reports the place."""
    verdict = judged(claim("under", "9.00", "piee"))
    assert verdict.reasons == ('unknown-recipe: there is no recipe "piee"',)


def test_a_figure_that_is_not_known_is_said_of_what_it_is_of() -> None:
    """Of a total, "at least" is for one serving of each."""
    verdict = judged(claim("under", "9.00", "total"), TWO, TWO_PRICES[1:])
    assert verdict.wording == "at least £2.00 for one serving of each"


# ------------------------------------------------------------------------------------------- what would heal it


def test_each_line_that_could_heal_the_claim_says_how_far() -> None:
    """
    Worked by hand: 1.4949 against a ceiling of 1.445 (under 1.45): 0.1996 must go from four servings.

    The cheese costs 0.02 a gram: 9.98 g less than 60 is 50.02, so 50 g passes; the pie is one piece and stays.
    """
    verdict = judged(claim("under", "1.45", "pie"))
    assert [(fix.item, fix.amount) for fix in verdict.fixes] == [("cheese", amount("50 g"))]
    assert judged(claim("under", "1.45", "pie"), [dish(cheese="50 g")]).is_allowed
    assert not judged(claim("under", "1.45", "pie"), [dish(cheese="51 g")]).is_allowed


def test_the_dearest_item_may_rise_so_far() -> None:
    """Worked by hand: ceiling 1.995, room 0.5001 a serving; the pie is 1.1949 of it and may rise 41.9 %."""
    verdict = judged(claim("under", "2.00", "pie"))
    assert (verdict.dearest_item, verdict.dearest_may_rise_percent) == ("pie", Decimal("41.9"))


def test_the_tipping_line_is_the_one_at_which_the_sum_reaches_the_ceiling() -> None:
    """The pie alone is 1.19, with the cheese 1.49: under 1.30 it is the cheese that breaks it."""
    assert judged(claim("under", "1.30", "pie")).tipping_line == "cheese"


# ------------------------------------------------------------------------------------------- minutes


@pytest.mark.parametrize(("limit", "is_allowed"), [("1.76", False), ("1.77", True)])
def test_a_claim_in_the_second_currency_is_held_to_its_own_print(limit: str, is_allowed: bool) -> None:
    """6.00 / 4 = 1.50 at 1.17 is 1.755, half up 1.76: not under 1.76 (rule M7)."""
    also = SecondCurrency(currency="EUR", rate=Decimal("1.17"), on=date(2026, 11, 20))
    made = claim("under", limit, "pie", currency="EUR")
    pie = recipe("pie", [line("pie", "1")])
    resolved = resolve_episode(episode([pie], [row("pie", "1", "6.00")], also=also, claims=(made,)))[0]
    (verdict,) = cost_episode(resolved)[0].verdicts
    assert verdict.is_allowed is is_allowed
    assert verdict.shown is not None
    assert (verdict.shown.amount, verdict.shown.currency) == (Decimal("1.76"), "EUR")


def times(high_s: int, **more: Any) -> EpisodeTimes:
    """Return times of one recipe of 28 min at the short end."""
    one = RecipeTimes(
        recipe="pie",
        active=Range(600, 600),
        elapsed=Range(28 * 60, high_s),
        unattended=Range(0, 0),
        passive_short_s=0,
        passive_long_s=0,
        **more,
    )
    return EpisodeTimes(
        recipes=(one,), cooks=1, active=one.active, elapsed=one.elapsed, hands_free_short_s=0, hands_free_long_s=0,
        sum_elapsed=one.elapsed,
    )  # fmt: skip


def timed(kitchen_times: EpisodeTimes, limit: str = "30", of: str = "pie") -> tuple[list[ClaimVerdict], list[str]]:
    """Return the verdicts on a price claim and a time claim, and the codes found for the time."""
    claims = (claim("minutes", limit, of), claim("under", "9.00", "pie"))
    resolved, _ = resolve_episode(episode([dish()], prices(), claims=claims))
    costs, findings = judge_time_claims(resolved, cost_episode(resolved)[0], kitchen_times)
    return list(costs.verdicts), [item.code for item in findings]


def test_minutes_hold_on_the_unrounded_long_end() -> None:
    """1800 s is thirty minutes, 1801 s is not; verdicts stand in the order of the claims."""
    verdicts, codes = timed(times(1800))
    assert [verdict.is_allowed for verdict in verdicts] == [True, True]
    assert codes == []
    verdicts, codes = timed(times(1801))
    assert [verdict.is_allowed for verdict in verdicts] == [False, True]
    assert (verdicts[0].shown, verdicts[0].wording) == (31, "25–35 minutes")
    assert codes == ["claim-refused"]


def test_a_step_without_a_time_makes_minutes_a_lower_bound() -> None:
    """Nothing can be promised over what was not clocked."""
    verdicts, _ = timed(times(1800, unknown=("Stir",)))
    assert why(verdicts[0]) == ["no-time"]
    assert verdicts[0].wording == "at least 25 minutes"


def test_work_done_ahead_is_named_beside_the_minutes() -> None:
    """Soaking is no part of start to table, and is said."""
    ahead = AheadWork(step="soak", label="Soak", hands=Range(0, 0), unattended_low_s=36000, unattended_high_s=None)
    verdicts, _ = timed(times(1800, ahead=(ahead,)))
    assert verdicts[0].wording == "30 minutes, plus what is done ahead"


@pytest.mark.parametrize("of", ["every", "average", "total"])
def test_minutes_may_speak_of_the_whole_episode(of: str) -> None:
    """With one recipe all three are its own minutes."""
    assert [timed(times(high), of=of)[0][0].is_allowed for high in (1800, 1801)] == [True, False]


def test_minutes_of_an_unknown_recipe_are_refused() -> None:
    """The name is quoted back."""
    assert why(timed(times(1800), of="piee")[0][0]) == ["unknown-recipe"]
