"""Claims of minutes over several recipes, at their bounds and word by word; worked by hand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from costing_helpers import claim, episode, line, recipe, row

from shootplan.cost import cost_episode, judge_time_claims
from shootplan.model.clock import Range, Window, minutes_outward
from shootplan.model.costing import ClaimVerdict
from shootplan.model.episode import Claim
from shootplan.model.times import EpisodeTimes, RecipeTimes
from shootplan.resolve import resolve_episode

RECIPES = [recipe(name, [line("oats", "1")], title=name.title()) for name in ("soup", "pie")]
PRICES = [row("oats", "1", "1.00")]


def alone(name: str, low_s: int, high_s: int) -> RecipeTimes:
    """Return the times of a recipe of which only start to table matters here."""
    nothing = Range(0, 0)
    return RecipeTimes(
        recipe=name, active=nothing, elapsed=Range(low_s, high_s), unattended=nothing,
        passive_short_s=0, passive_long_s=0,
    )  # fmt: skip


#: The soup takes 20 to 30 minutes, the pie 10 to 40 and a second, both together 35 to 50.
TIMES = EpisodeTimes(
    recipes=(alone("soup", 1200, 1800), alone("pie", 600, 2401)),
    cooks=1,
    active=Range(0, 0),
    elapsed=Range(2100, 3000),
    hands_free_short_s=0,
    hands_free_long_s=0,
    sum_elapsed=Range(1800, 4201),
)


def judged(*claims: Claim, times: EpisodeTimes = TIMES) -> tuple[ClaimVerdict, ...]:
    """Return the verdicts on claims."""
    resolved, _ = resolve_episode(episode(RECIPES, PRICES, claims=claims))
    return judge_time_claims(resolved, cost_episode(resolved)[0], times)[0].verdicts


@pytest.mark.parametrize(
    ("of", "figure_s", "shown", "wording"),
    [
        ("soup", 1800, 30, "20–30 minutes"),
        ("Pie", 2401, 41, "10–45 minutes"),
        ("total", 3000, 50, "35–50 minutes"),
        ("every", 2401, 41, "10–45 minutes"),
        # (1200 + 600) / 2 = 900 s; (1800 + 2401) / 2 = 2100.5, up to 2101 s
        ("average", 2101, 36, "15–40 minutes"),
    ],
)
def test_minutes_are_those_of_what_is_claimed(of: str, figure_s: int, shown: int, wording: str) -> None:
    """One recipe, all of them cooked together, the longest of them, or their mean; refused under 25."""
    (verdict,) = judged(claim("minutes", "25", of))
    assert verdict.figure == Fraction(figure_s, 60)
    assert (verdict.shown, verdict.wording) == (shown, wording)
    assert verdict.reasons == (f"too-long: start to table takes up to {shown} min, not 25",)


def test_every_claim_of_minutes_names_the_recipes_that_are_late() -> None:
    """Thirty minutes are not more than thirty; other claims name none."""
    assert judged(claim("minutes", "30", "every"))[0].failing == ("pie",)
    assert judged(claim("minutes", "29", "every"))[0].failing == ("soup", "pie")
    assert judged(claim("minutes", "30", "total"))[0].failing == ()


def test_a_time_known_to_the_minute_is_no_range() -> None:
    """Thirty minutes at both ends, refused under 25."""
    exact = replace(TIMES, recipes=(alone("soup", 1800, 1800),))
    assert judged(claim("minutes", "25", "soup"), times=exact)[0].wording == "30 minutes"


def test_minutes_of_an_unknown_recipe_are_refused_with_nothing_else() -> None:
    """Whether the episode lacks it or only its times do."""
    for made, times in (
        (claim("minutes", "30", "piee"), TIMES),
        (claim("minutes", "30", "pie"), replace(TIMES, recipes=TIMES.recipes[:1])),
        (claim("minutes", "30", "every"), replace(TIMES, recipes=())),
    ):
        reason = f'unknown-recipe: there is no recipe "{made.recipe}"'
        assert judged(made, times=times) == (
            ClaimVerdict(claim=made, is_allowed=False, figure=None, shown=None, reasons=(reason,)),
        )


def test_verdicts_stand_in_the_order_of_the_claims() -> None:
    """Prices before and after minutes; a price that was not judged is left out."""
    claims = (claim("under", "9.00", "pie"), claim("minutes", "30", "soup"), claim("under", "8.00", "pie"))
    assert [verdict.claim for verdict in judged(*claims)] == list(claims)
    resolved, _ = resolve_episode(episode(RECIPES, PRICES, claims=claims))
    unjudged = replace(cost_episode(resolved)[0], verdicts=())
    assert [item.claim for item in judge_time_claims(resolved, unjudged, TIMES)[0].verdicts] == [claims[1]]


# ------------------------------------------------------------------------------------------- the clock itself


def test_minutes_are_rounded_outward() -> None:
    """Rule T8: 29 min 59 s to 30 min 1 s is 25 to 35; full fives stay."""
    assert minutes_outward(1799, 1801) == (25, 35)
    assert minutes_outward(1800, 1800) == (30, 30)
    assert minutes_outward(1799, 1801, 1) == (29, 31)


def test_a_time_has_its_ends_in_order() -> None:
    """Nothing is negative and the low end is not above the high one; equal ends and none at all are sound."""
    assert Range(0, 0).high_s == 0
    assert Window(0, 0).high_s == 0
    for low, high in ((-1, 0), (2, 1)):
        with pytest.raises(ValueError, match=rf"a range needs 0 <= low <= high, got {low} and {high}"):
            Range(low, high)
    for low, high in ((-1, None), (2, 1)):
        with pytest.raises(ValueError, match=rf"a window needs 0 <= at least <= at most, got {low} and {high}"):
            Window(low, high)
