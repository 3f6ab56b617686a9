"""Shopping for the whole episode: packs, loose goods, stock, doubles, spares, deposits; worked by hand."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from costing_helpers import amount, episode, line, mention, recipe, row, steps

from shootplan.cost import cost_episode, shop_episode
from shootplan.model.episode import Episode
from shootplan.model.money import half_up
from shootplan.model.recipe import Shot
from shootplan.resolve import resolve_episode

CAKES = episode(
    [
        recipe("one", [line("butter", "90 g"), line("eggs", "2"), line("flour", "120 g"), line("lemon", "1/2")]),
        recipe("two", [line("butter", "60 g"), line("eggs", "4"), line("flour", "250 g"), line("lemon", "1/2")]),
        recipe("three", [line("butter", "45 g")]),
    ],
    [
        row("butter", "250 g", "1.99"),
        row("eggs", "6", "1.50"),
        row("flour", "3/2 kg", "0.85", stock="400 g"),
        row("lemon", "1", "0.30"),
    ],
)


def till(made: Episode, *, doubles: dict[str, int] | None = None) -> list[str]:
    """Return what each item costs at the till, and the bill."""
    shopping = shop_episode(resolve_episode(made)[0], doubles=doubles)
    return [*(str(item.till.amount) for item in shopping.items), str(shopping.bill.total.amount)]


def test_packs_are_shared_by_all_recipes_and_stock_is_taken_off() -> None:
    """Butter 195 of 250 g, six eggs, flour 370 of the 400 g in stock, one lemon: 3.79."""
    assert till(CAKES) == ["1.99", "1.50", "0.00", "0.30", "3.79"]


def test_doubles_are_bought_and_never_costed() -> None:
    """The second recipe twice: 255 g butter, 10 eggs, 620 g flour, 1 1/2 lemons: 8.43; cost used stays 3.5619."""
    assert till(CAKES, doubles={"two": 1}) == ["3.98", "3.00", "0.85", "0.60", "8.43"]
    assert str(half_up(cost_episode(resolve_episode(CAKES)[0])[0].core.exact, 4)) == "3.5619"


def test_an_empty_cupboard_has_no_stock_and_makes_no_doubles() -> None:
    """What a viewer pays: 1.99 + 1.50 + 0.85 + 0.30."""
    shopping = shop_episode(resolve_episode(CAKES)[0], doubles={"two": 1})
    assert str(shopping.empty_cupboard.total.amount) == "4.64"


def test_what_is_left_over_counts_the_stock() -> None:
    """Flour: 400 in stock, 370 used, 30 g left and none bought; butter 55 g."""
    shopping = shop_episode(resolve_episode(CAKES)[0])
    flour, butter = shopping.item("flour"), shopping.item("butter")
    assert flour is not None
    assert butter is not None
    assert flour.leftover == amount("3/100 kg")
    assert (flour.packs, flour.to_buy.high) == (0, 0)
    assert butter.leftover == amount("55 g")
    assert [(use.recipe, use.amount) for use in butter.needed_for] == [
        ("one", amount("90 g")), ("two", amount("60 g")), ("three", amount("45 g"))
    ]  # fmt: skip


def test_loose_goods_are_bought_exactly_and_rounded_by_the_line() -> None:
    """240 g at 14.90 a kilo is 3.576: 3.58, and nothing is left."""
    made = episode([recipe("soup", [line("onion", "240 g")])], [row("onion", "1 kg", "14.90", is_loose=True)])
    item = shop_episode(resolve_episode(made)[0]).items[0]
    assert item.is_loose
    assert (str(item.till.amount), item.packs, item.leftover.high) == ("3.58", 0, 0)


def test_a_deposit_is_paid_for_each_pack() -> None:
    """Two bottles at 1.00 with 0.25 deposit each."""
    made = episode([recipe("stew", [line("beer", "600 ml")])], [row("beer", "500 ml", "1.00", deposit=Decimal("0.25"))])
    item = shop_episode(resolve_episode(made)[0]).items[0]
    assert (item.till.amount, item.deposit.amount) == (Decimal("2.50"), Decimal("0.50"))


def test_retakes_need_spares_that_are_no_part_of_the_cost() -> None:
    """60 g lost a take, three takes: 120 g spare on 60 g; the published cost is that of 60 g."""
    made = recipe(
        "bake",
        [line("cheese", "60 g", single_use="60 g")],
        steps=steps(("Top", [mention("cheese")], {"shot": Shot(set_up="overhead", takes=3)})),
    )
    resolved, _ = resolve_episode(episode([made], [row("cheese", "100 g", "1.00")]))
    item = shop_episode(resolved).items[0]
    assert (item.need, item.spares, item.packs) == (amount("60 g"), amount("120 g"), 2)
    assert cost_episode(resolved)[0].core.exact == Fraction("0.60")


def test_options_can_be_left_off_the_list() -> None:
    """Both bills for an empty cupboard are there either way."""
    made = episode(
        [recipe("soup", [line("peas", "1"), line("dill", "1", is_optional=True)])],
        [row("peas", "1", "1.00"), row("dill", "1", "0.50")],
    )
    shopping = shop_episode(resolve_episode(made)[0], with_options=False)
    assert [item.item for item in shopping.items] == ["peas"]
    assert str(shopping.empty_cupboard_with_options.total.amount) == "1.50"


def test_what_is_not_known_is_named_and_not_bought() -> None:
    """No price, no line on the bill; the list says what is missing from it."""
    made = episode([recipe("soup", [line("peas", "1"), line("saffron", "1 g")])], [row("peas", "1", "1.00")])
    shopping = shop_episode(resolve_episode(made)[0])
    assert shopping.not_on_list == ("saffron",)
    assert str(shopping.bill.total.amount) == "1.00"
