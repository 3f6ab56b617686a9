"""Ready strings: kitchen times, claims, prices in two currencies, staples, servings, alternates."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from publication_factory import claim, gbp, publication, soup

from shootplan.model.clock import Range, Window
from shootplan.model.costing import AlternateCost
from shootplan.model.episode import Episode, SecondCurrency, StaplesPolicy
from shootplan.model.publication import Publication
from shootplan.model.quantity import Amount
from shootplan.model.recipe import LookIn, Serves, Step, When
from shootplan.model.resolved import Measured, ResolvedLine
from shootplan.model.show import number_text
from shootplan.model.times import AheadWork, RecipeTimes
from shootplan.render.basis import Basis
from shootplan.render.views_amounts import ingredient_groups, measures
from shootplan.render.views_blog import blog_view, serves_text
from shootplan.render.views_costing import claim_views, costing_view, price_line
from shootplan.render.views_notes import all_notes
from shootplan.render.views_servings import servings_view
from shootplan.render.views_times import ahead_text, blog_times, exact_times, step_time, when_text

MIN = 60


def soup_times(**changes: object) -> RecipeTimes:
    """Return active 23–29, elapsed 81–115, passive 58–86 minutes."""
    made = RecipeTimes(
        recipe="pea-soup",
        active=Range(23 * MIN, 29 * MIN),
        elapsed=Range(81 * MIN, 115 * MIN),
        unattended=Range(60 * MIN, 90 * MIN),
        passive_short_s=58 * MIN,
        passive_long_s=86 * MIN,
    )
    return replace(made, **changes)  # type: ignore[arg-type]


def with_episode(**changes: object) -> Basis:
    """Return the basis of the publication whose episode has these changes."""
    made: Publication = publication()
    episode: Episode = replace(made.resolved.episode, **changes)  # type: ignore[arg-type]
    return Basis.of(replace(made, resolved=replace(made.resolved, episode=episode)))


def test_blog_times_are_rounded_outward() -> None:
    """Worked by hand: 23–29, 58–86, 81–115 become 20–30, 55–90, 80–115 (low down, high up, to five minutes)."""
    assert blog_times(soup_times()) == "Hands-on 20–30 min, waiting 55–90 min, start to table 80–115 min"


def test_passive_time_is_sorted_for_printing() -> None:
    """Waiting may fall as steps lengthen; the smaller figure still comes first (rule T6)."""
    times = soup_times(passive_short_s=39 * MIN, passive_long_s=37 * MIN)
    assert exact_times(times)[1] == "37–39 min"


def test_an_unknown_time_makes_every_figure_a_lower_bound() -> None:
    """While a step has no time, each figure is "at least"."""
    assert all(text.startswith("at least ") for text in exact_times(soup_times(unknown=("x",))))
    assert blog_times(soup_times(unknown=("x",))).count("at least") == 3


def test_no_waiting_is_said_in_words() -> None:
    """A dish that keeps the hands busy throughout has no waiting."""
    assert "no waiting" in blog_times(soup_times(passive_short_s=0, passive_long_s=0))


def test_an_open_window_is_at_least() -> None:
    """Work ahead without an upper limit."""
    work = AheadWork(step="s", label="Soak", hands=Range(0, 0), unattended_low_s=36000, unattended_high_s=None)
    assert ahead_text(work) == "Soak: at least 10 h left alone"


@pytest.mark.parametrize(
    ("step", "text"),
    [
        (Step(id="a", name="A", number=1), ""),
        (Step(id="a", name="A", number=1, hands=Range(60, 60), batches=3), "hands-on 1 min, 3 batches in a row"),
        (Step(id="a", name="A", number=1, leave=Window(600, None)), "leave at least 10 min"),
        (
            Step(
                id="a",
                name="A",
                number=1,
                hands=Range(60, 120),
                leave=Range(300, 360),
                check=LookIn(every_s=240, for_s=60),
            ),
            "hands-on 1–2 min; then leave 5–6 min, looking in every 4 min for 1 min",
        ),
    ],
)
def test_the_minutes_of_a_step(step: Step, text: str) -> None:
    """Hands-on, standing by and leaving in the order of time."""
    assert step_time(step) == text


def test_when_a_step_is_done() -> None:
    """Ahead, perhaps ahead, or on the day."""
    steps = [Step(id="a", name="A", number=1, when=when) for when in (When.AHEAD, When.MAY_BE_AHEAD, When.DAY)]
    assert [when_text(step) for step in steps] == ["ahead", "can be done ahead", ""]


def test_a_second_currency_is_dated_and_about() -> None:
    """0.0956 pounds at 1.17 is 0.111852 euros, about 0.11 (rule M7, worked by hand)."""
    also = SecondCurrency(currency="EUR", rate=Decimal("1.17"), on=date(2026, 10, 1))
    line = price_line(with_episode(also=also), "barley-soup")
    assert line.endswith("That is about €0.11 (1 GBP = 1.17 EUR on 2026-10-01).")


def test_a_rate_may_be_quoted_the_other_way() -> None:
    """0.0956 pounds, 1 EUR = 0.80 GBP: 0.1195 euros, about 0.12 (worked by hand)."""
    also = SecondCurrency(currency="EUR", rate=Decimal("0.80"), on=date(2026, 10, 1), is_quoted_per_theirs=True)
    assert "about €0.12 (1 EUR = 0.80 GBP on 2026-10-01)" in price_line(with_episode(also=also), "barley-soup")


@pytest.mark.parametrize(
    ("policy", "words"),
    [
        (StaplesPolicy.COUNT, "fine salt counted"),
        (StaplesPolicy.FREE, "fine salt not counted"),
        (StaplesPolicy.FLAT, "fine salt counted at a flat £0.05 a serving"),
    ],
)
def test_the_staples_policy_is_named(policy: StaplesPolicy, words: str) -> None:
    """Whatever became of the salt is in the price line."""
    assert f"{words}." in price_line(with_episode(staples=policy, staples_flat=Decimal("0.05")), "barley-soup")


def test_a_missing_price_makes_the_price_a_lower_bound() -> None:
    """The line of the price says "at least", and the note names the item."""
    made = publication()
    first = made.costs.recipes[0]
    bare = replace(first.lines[0].line, price=None, as_bought=None, pack=None, unpriced_because="no price row")
    lines = (replace(first.lines[0], line=bare, cost=None), *first.lines[1:])
    recipe = replace(first, lines=lines, missing=("barley",))
    basis = Basis.of(replace(made, costs=replace(made.costs, recipes=(recipe, *made.costs.recipes[1:]))))
    assert price_line(basis, "barley-soup").startswith("at least £0.10 a serving (at least £0.18 with hard cheese)")
    view = costing_view(basis, "barley-soup")
    assert view.rows[0].as_bought == "no price row"
    assert view.rows[0].used == ""
    assert "No price for pearl barley: every total is a lower bound." in view.notes


@pytest.mark.parametrize(
    ("serves", "text"),
    [
        (Serves(4, 6), "Serves 4 hearty or 6 small"),
        (Serves(4), "Serves 4"),
        (Serves(16, None, "buns"), "Makes 16 buns"),
    ],
)
def test_how_many_it_serves(serves: Serves, text: str) -> None:
    """Hearty and small servings, or pieces."""
    made = publication()
    first = made.resolved.recipes[0]
    resolved = replace(first, recipe=replace(first.recipe, serves=serves))
    basis = Basis.of(replace(made, resolved=replace(made.resolved, recipes=(resolved, *made.resolved.recipes[1:]))))
    assert blog_view(basis, "barley-soup").serves == text


def test_an_alternate_has_its_price_and_allergens() -> None:
    """What it adds and what it takes away stand beside the difference in price."""
    base = soup().lines[3]
    other = replace(base, line=replace(base.line, item="nut cheese", amount=Amount.of(40, "g")))
    change = AlternateCost(
        base=base,
        alternate=other,
        delta=gbp("0.20"),
        per_serving_delta=gbp("0.05"),
        allergens_added=("nuts",),
        allergens_removed=("milk",),
    )
    made = publication()
    recipe = replace(made.costs.recipes[0], alternates=(change,))
    basis = Basis.of(replace(made, costs=replace(made.costs, recipes=(recipe, *made.costs.recipes[1:]))))
    (text,) = blog_view(basis, "barley-soup").alternates
    assert text == "40 g nut cheese instead of hard cheese: +£0.05 a serving; adds nuts; takes away milk"


def test_a_claim_says_its_verdict_in_words() -> None:
    """Allowed and refused claims differ by a word, with figure, reasons and what may be said instead."""
    made = publication()
    allowed = replace(claim(allowed=True), headroom_percent=Decimal("0.007"), is_thin=True)
    basis = Basis.of(replace(made, costs=replace(made.costs, verdicts=(allowed, claim(allowed=False)))))
    first, second = claim_views(basis)
    assert (first.verdict, first.headroom) == ("may be said", "0.007 % (thin)")
    assert (second.verdict, second.figure) == ("refused", "£0.10")
    assert second.reasons == ("printed 0.10 is not under 0.10",)


def test_an_amount_that_cannot_be_converted_is_shown_as_typed() -> None:
    """Without a measure to show, the author's own stands."""
    line = soup().lines[1]
    assert measures(Measured(), line) == ("110 g", "")
    assert measures(Measured()) == ("", "")


def test_a_split_spoon_is_a_sum() -> None:
    """¼ + ⅛ teaspoon where no one spoon is near enough (rule A2)."""
    split = Measured(household_shown=(Amount.of("1/4", "tsp"), Amount.of("1/8", "tsp")))
    assert measures(split) == ("", "¼ tsp + ⅛ tsp")


def test_tins_name_their_weights() -> None:
    """What one tin holds, and what is left when drained."""
    made = soup()
    tin = replace(
        made.lines[0],
        measured=Measured(household_shown=(Amount.of(2, "tin"),)),
        line=replace(
            made.lines[0].line, item="butter beans", form="", each=Amount.of(400, "g"), drained=Amount.of(235, "g")
        ),
    )
    resolved: tuple[ResolvedLine, ...] = (tin,)
    (group,) = ingredient_groups(replace(made, lines=resolved))
    assert group.rows[0].amount == "2 tins"
    assert group.rows[0].note == "400 g each, 235 g drained"


def test_cautions_come_before_other_findings() -> None:
    """What can hurt is read first; the same finding is printed once."""
    made = publication()
    first = made.findings[0]
    basis = Basis.of(replace(made, findings=(first, first)))
    assert [note.text for note in all_notes(basis)] == ["the soup cools slowly"]


def test_a_yield_is_a_plain_percentage() -> None:
    """79 and 78.5, no zeros after them."""
    made = publication()
    first = made.costs.recipes[0]
    line = replace(first.lines[0].line, yield_percent=Fraction("78.5"))
    recipe = replace(first, lines=(replace(first.lines[0], line=line), *first.lines[1:]))
    basis = Basis.of(replace(made, costs=replace(made.costs, recipes=(recipe, *made.costs.recipes[1:]))))
    assert [row.yield_percent for row in costing_view(basis, "barley-soup").rows[:2]] == ["78.5", "100"]


@pytest.mark.parametrize("system", ["US customary", "US label", "metric", "Australian", "dl"])
def test_the_measure_system_is_stated_with_its_sizes(system: str) -> None:
    """The sizes printed are those that the units compute with, to a tenth of a millilitre."""
    from shootplan.resolve.units import millilitres

    made = publication()
    resolved = replace(made.resolved.recipes[0], measures=system)
    basis = Basis.of(replace(made, resolved=replace(made.resolved, recipes=(resolved, *made.resolved.recipes[1:]))))
    words = blog_view(basis, "barley-soup").measures
    for unit, word in (("tbsp", "tablespoon"), ("tsp", "teaspoon"), *([] if system == "dl" else [("cup", "cup")])):
        size = number_text(millilitres(Amount.of(1, unit), system), 1)
        assert f"{word} {size} ml" in words


@pytest.mark.parametrize(
    ("serves", "scale", "words"),
    [
        (Serves(4, 6), Fraction(3, 2), "Serves 6 hearty or 9 small"),
        (Serves(4), Fraction(1, 2), "Serves 2"),
        (Serves(16, noun="buns"), Fraction(2), "Makes 32 buns"),
        (Serves(3), Fraction(1, 2), "Serves 1½"),
    ],
)
def test_servings_are_those_that_are_made(serves: Serves, scale: Fraction, words: str) -> None:
    """A recipe made for more says how many it serves then; half a serving has no control for servings."""
    resolved = soup()
    scaled = replace(resolved, recipe=replace(resolved.recipe, serves=serves, scale=scale))
    assert serves_text(scaled) == words
    view = servings_view(scaled, ingredient_groups(scaled), ())
    assert (view is None) is (words == "Serves 1½")
