"""Price claims where an ingredient may be another, and over several recipes; figures worked by hand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from costing_helpers import claim, episode, line, recipe, row

from shootplan.cost import cost_episode
from shootplan.model.costing import ClaimVerdict
from shootplan.model.episode import Claim, PriceRow
from shootplan.model.money import Cost
from shootplan.model.recipe import Alternate, Recipe
from shootplan.resolve import resolve_episode


def judged(made: Claim, recipes: list[Recipe], rows: list[PriceRow]) -> ClaimVerdict:
    """Return the verdict on one claim."""
    resolved, _ = resolve_episode(episode(recipes, rows, claims=(made,)))
    return cost_episode(resolved)[0].verdicts[0]


def cheesy(name: str, price: str, *others: tuple[str, str], items: int = 1) -> tuple[Recipe, list[PriceRow]]:
    """Return a dish for one of ``items`` equal lines at ``price``, each with alternates at their prices."""
    alternates = tuple(Alternate(item=other) for other, _ in others)
    lines = [
        line("cheese", "1", id=f"{name}-{k}", buy=f"{name} cheese", alternates=alternates if k == 0 or others else ())
        for k in range(items)
    ]
    rows = [row(f"{name} cheese", "1", price), *(row(other, "1", cost) for other, cost in others)]
    return recipe(name, lines, hearty=1, title=name), rows


@pytest.mark.parametrize(
    ("other", "is_allowed"), [("1.69", True), ("1.69499", True), ("1.695", False), ("1.20", True), ("1.00", True)]
)
def test_an_alternate_may_cost_as_much_as_there_is_room_for(other: str, is_allowed: bool) -> None:
    """Base 1.20, under 1.70: an alternate of 1.695 prints 1.70."""
    dish, rows = cheesy("pie", "1.20", ("goat cheese", other))
    assert judged(claim("under", "1.70", "pie"), [dish], rows).is_allowed is is_allowed


def test_alternates_of_several_lines_add_up() -> None:
    """
    Three lines at 1.00; each could be goat at +0.20 or blue at +0.10: with all goat 3.60.

    Under 3.60 fails by that alone, under 3.61 holds: the dearest alternate of each line counts, whichever comes first.
    """
    dish, rows = cheesy("pie", "1.00", ("goat cheese", "1.20"), ("blue cheese", "1.10"), items=3)
    assert judged(claim("under", "3.61", "pie"), [dish], rows).is_allowed
    verdict = judged(claim("under", "3.60", "pie"), [dish], rows)
    assert verdict.reasons == ("alternate: it does not hold with goat cheese",)
    both = judged(claim("under", "3.50", "pie"), [dish], rows)
    assert both.reasons == ("alternate: it does not hold with goat cheese or blue cheese",)
    assert both.wording == "under £3.50 a serving with the cheese"


def test_an_alternate_that_costs_the_same_is_not_to_blame() -> None:
    """Beside a dear alternate of another line an equally priced one changes nothing."""
    lines = [
        line("cheese", "1", alternates=(Alternate(item="goat cheese"),)),
        line("milk", "1", alternates=(Alternate(item="oat drink"),)),
    ]
    rows = [row("cheese", "1", "1.00"), row("goat cheese", "1", "2.00"), row("milk", "1", "0.50")]
    rows.append(row("oat drink", "1", "0.50"))
    verdict = judged(claim("under", "2.00", "pie"), [recipe("pie", lines, hearty=1, title="Pie")], rows)
    assert verdict.reasons == ("alternate: it does not hold with goat cheese",)
    assert verdict.wording == "under £2.00 a serving with the cheese"


def test_alternates_of_other_lines_without_a_price_are_named_alone() -> None:
    """The unknown one cannot be shown to pass; the priced one does by itself."""
    lines = [
        line("cheese", "1", alternates=(Alternate(item="goat cheese"),)),
        line("milk", "1", alternates=(Alternate(item="moon milk"),)),
    ]
    rows = [row("cheese", "1", "1.00"), row("goat cheese", "1", "1.20"), row("milk", "1", "0.50")]
    verdict = judged(claim("under", "2.00", "pie"), [recipe("pie", lines, hearty=1, title="Pie")], rows)
    assert verdict.reasons == ("alternate: it does not hold with moon milk",)


def test_a_claim_that_fails_by_itself_blames_no_alternate() -> None:
    """1.495 prints 1.50 already; and what is not a ceiling asks nothing of alternates."""
    dish, rows = cheesy("pie", "1.495", ("goat cheese", "9.00"))
    verdict = judged(claim("under", "1.50", "pie"), [dish], rows)
    assert verdict.reasons == ("not-under: it prints £1.50, which is not under £1.50",)
    assert judged(claim("about", "1.50", "pie"), [dish], rows).is_allowed


# ------------------------------------------------------------------------------------------- several recipes


def soup_and_pie(soup: str, pie: str) -> tuple[list[Recipe], list[PriceRow]]:
    """Return a soup of 1.00 with an alternate at ``soup`` and a pie of 2.00 with one at ``pie``."""
    first, rows = cheesy("soup", "1.00", ("oats", soup))
    second, more = cheesy("pie", "2.00", ("nuts", pie))
    return [first, second], rows + more


@pytest.mark.parametrize(
    ("scope", "limit", "soup", "pie", "is_allowed"),
    [
        ("every", "2.50", "2.20", "2.00", True),  # the soup with oats is 2.20, below the ceiling of its own
        ("every", "2.50", "2.50", "2.00", False),
        ("average", "1.80", "1.50", "2.00", True),  # half of 0.50 more: 1.75
        ("average", "1.80", "1.60", "2.00", False),  # 1.80
        ("total", "3.30", "1.20", "2.00", True),
        ("total", "3.30", "1.40", "2.00", False),
    ],
)
def test_an_alternate_changes_the_figure_that_is_claimed(
    scope: str, limit: str, soup: str, pie: str, is_allowed: bool
) -> None:
    """Each recipe by itself, the mean of two, or one serving of each."""
    recipes, rows = soup_and_pie(soup, pie)
    assert judged(claim("under", limit, scope), recipes, rows).is_allowed is is_allowed


def test_alternates_of_every_recipe_are_named() -> None:
    """Both oats and nuts break it."""
    recipes, rows = soup_and_pie("3.00", "3.00")
    verdict = judged(claim("under", "2.50", "every"), recipes, rows)
    assert verdict.reasons == ("alternate: it does not hold with oats or nuts",)


@pytest.mark.parametrize(
    ("scope", "lowest"), [("soup", "0.60"), ("every", "0.60"), ("average", "1.30"), ("total", "2.60")]
)
def test_from_is_the_lowest_of_what_is_claimed(scope: str, lowest: str) -> None:
    """Soup with oats 0.60, the pie stays 2.00 as nuts are dearer: the least, the mean, the sum."""
    recipes, rows = soup_and_pie("0.60", "2.30")
    verdict = judged(claim("from", lowest, scope), recipes, rows)
    assert verdict.is_allowed
    assert verdict.figure == Cost(Fraction(lowest), "GBP")


def test_from_takes_the_cheapest_alternate_of_each_line() -> None:
    """Two lines of 1.00, each also at 0.50 or 0.80: 1.00 in all; an option is no part of the lowest version."""
    dish, rows = cheesy("pie", "1.00", ("curd", "0.50"), ("quark", "0.80"), items=2)
    dish = replace(dish, lines=(*dish.lines, line("dill", "1", is_optional=True)))
    rows.append(row("dill", "1", "0.20"))
    for with_options in (False, True):
        assert judged(claim("from", "1.00", "pie", with_options=with_options), [dish], rows).is_allowed


def test_only_a_ceiling_over_every_recipe_names_those_that_fail() -> None:
    """1.995 prints 2.00; the soup passes."""
    recipes = [recipe(name, [line(name, "1")], hearty=1, title=name) for name in ("soup", "pie")]
    rows = [row("soup", "1", "1.00"), row("pie", "1", "1.995")]
    assert judged(claim("under", "2.00", "every"), recipes, rows).failing == ("pie",)
    assert judged(claim("under", "2.00", "pie"), recipes, rows).failing == ()
    assert judged(claim("about", "1.00", "every"), recipes, rows).failing == ()
