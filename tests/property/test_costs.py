"""What holds of costs whatever the recipe: sums, scaling, order, and that unknown never becomes nothing."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from costing_helpers import claim, episode, row
from hypothesis import given, settings
from hypothesis import strategies as st

from shootplan.cost import cost_episode, shop_episode
from shootplan.model.costing import EpisodeCost, RecipeCost
from shootplan.model.episode import Episode, PriceRow
from shootplan.model.quantity import Amount
from shootplan.model.recipe import IngredientLine, Recipe, Serves
from shootplan.resolve import resolve_episode

ITEMS = ("oats", "rice", "lentil", "barley", "cheese", "honey")
_amounts = st.builds(Fraction, st.integers(1, 5000), st.integers(1, 8))
_prices = st.decimals("0.01", "99.99", places=2)
FEW = settings(max_examples=40, derandomize=True, deadline=None)


@st.composite
def lines(draw: st.DrawFn) -> tuple[IngredientLine, ...]:
    """Draw up to six lines, some of them optional."""
    items = draw(st.lists(st.sampled_from(ITEMS), min_size=1, max_size=6, unique=True))
    return tuple(
        IngredientLine(id=item, item=item, amount=Amount.of(draw(_amounts), "g"), is_optional=draw(st.booleans()))
        for item in items
    )


@st.composite
def books(draw: st.DrawFn) -> list[PriceRow]:
    """Draw a price book with a row for each item."""
    return [row(item, f"{draw(st.integers(1, 5000))} g", str(draw(_prices))) for item in ITEMS]


def dish(made: tuple[IngredientLine, ...], *, serves: int = 4, scale: Fraction = Fraction(1)) -> Recipe:
    return Recipe(id="dish", title="Dish", serves=Serves(serves), lines=made, scale=scale)


def costs_of(made: Episode) -> EpisodeCost:
    return cost_episode(resolve_episode(made)[0])[0]


def cost_of(recipe: Recipe, book: list[PriceRow]) -> RecipeCost:
    return costs_of(episode([recipe], book)).recipes[0]


@FEW
@given(lines(), books())
def test_the_lines_are_the_total(made: tuple[IngredientLine, ...], book: list[PriceRow]) -> None:
    """Core is the sum of the core lines, with options the sum of all, both exact."""
    cost = cost_of(dish(made), book)
    known = [(item.is_optional, item.cost.exact) for item in cost.lines if item.cost is not None]
    assert cost.core.exact == sum(exact for is_optional, exact in known if not is_optional)
    assert cost.with_options.exact == sum(exact for _, exact in known)


@FEW
@given(lines(), books(), st.permutations(range(6)))
def test_the_order_of_lines_and_prices_does_not_matter(
    made: tuple[IngredientLine, ...], book: list[PriceRow], order: list[int]
) -> None:
    """A recipe costs what it costs."""
    shuffled = tuple(made[place] for place in order if place < len(made))
    first, second = cost_of(dish(made), book), cost_of(dish(shuffled), [book[place] for place in order])
    assert (first.core, first.with_options) == (second.core, second.with_options)


@FEW
@given(lines(), books(), st.builds(Fraction, st.integers(1, 12), st.integers(1, 6)))
def test_scaling_commutes_with_costing(made: tuple[IngredientLine, ...], book: list[PriceRow], scale: Fraction) -> None:
    """Scaled lines cost the scaled cost, and a serving costs the same."""
    plain, scaled = cost_of(dish(made), book), cost_of(dish(made, scale=scale), book)
    assert scaled.core == plain.core.times(scale)
    assert scaled.core_per == plain.core_per


@FEW
@given(lines(), books(), st.integers(0, 5))
def test_unknown_never_becomes_nothing(made: tuple[IngredientLine, ...], book: list[PriceRow], gone: int) -> None:
    """Without its price a line has no cost, is named as missing, and no ceiling may be claimed over it."""
    taken = made[gone % len(made)]
    rest = [priced for priced in book if priced.item != taken.item]
    claims = (claim("under", "99999", "dish", with_options=True),)
    costs = costs_of(episode([dish(made)], rest, claims=claims))
    cost = costs.recipes[0]
    assert [item.cost for item in cost.lines if item.line.line.id == taken.id] == [None]
    assert cost.missing == (taken.id,)
    assert not costs.verdicts[0].is_allowed


@FEW
@given(lines(), books(), _prices)
def test_an_allowed_ceiling_is_above_the_printed_figure(
    made: tuple[IngredientLine, ...], book: list[PriceRow], limit: Decimal
) -> None:
    """ "Under X" is allowed exactly when what is printed is below X."""
    costs = costs_of(episode([dish(made)], book, claims=(claim("under", str(limit), "dish"),)))
    printed = costs.recipes[0].core_per.per_hearty.rounded(2).amount
    assert costs.verdicts[0].is_allowed is (printed < limit)


@FEW
@given(lines(), books(), st.decimals("0.01", "20.00", places=2))
def test_a_fix_just_passes(made: tuple[IngredientLine, ...], book: list[PriceRow], limit: Decimal) -> None:
    """Cut to the amount that a refused claim names, the line lets it pass."""
    asked = (claim("under", str(limit), "dish"),)
    for fix in costs_of(episode([dish(made)], book, claims=asked)).verdicts[0].fixes:
        cut = tuple(replace(item, amount=fix.amount) if item.item == fix.item else item for item in made)
        assert costs_of(episode([dish(cut)], book, claims=asked)).verdicts[0].is_allowed


@FEW
@given(lines(), books())
def test_whole_packs_cost_at_least_what_is_used(made: tuple[IngredientLine, ...], book: list[PriceRow]) -> None:
    """The till is never below the cost used, and what is left over is never negative."""
    resolved, _ = resolve_episode(episode([dish(made)], book))
    shopping = shop_episode(resolved)
    used = cost_episode(resolved)[0].with_options.exact
    assert Fraction(shopping.empty_cupboard_with_options.total.amount) >= used
    assert all(item.leftover.low >= 0 and item.need.high <= item.packs * item.pack.high for item in shopping.items)
