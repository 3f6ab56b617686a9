"""
The shopping list as rows for the page, the spreadsheet and the terminal: by kind of shop, then by item.

``Shopping`` comes in, ready texts go out. Nothing is added up here.
"""

from __future__ import annotations

import csv
from io import StringIO
from itertools import groupby

from shootplan.model.resolved import ResolvedEpisode
from shootplan.model.shopping import Bill, Shopping, ShoppingItem
from shootplan.model.show import amount_text, bought_text, join_words, spreadsheet_cell
from shootplan.records import dataclass
from shootplan.render.money import MoneyPrinter

__all__ = ["Bills", "ShopGroup", "ShopRow", "bills", "shop_groups", "shopping_csv", "shopping_json", "shopping_view"]

_HEAD = (
    *("shop", "item", "need", "for", "doubles", "retakes", "stock", "buy", "packs", "pack", "price", "deposit"),
    *("till", "currency", "left over", "days in the fridge", "days from"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopRow:
    """One item as printed; empty texts where there is nothing to say."""

    item: str
    need: str
    dishes: str
    doubles: str
    spares: str
    spares_cost: str
    stock: str
    buy: str
    till: str
    deposit: str
    leftover: str
    fridge_days: str
    fridge_source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopGroup:
    """The items of one kind of shop."""

    shop: str
    rows: tuple[ShopRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bills:
    """The bills as sentences."""

    ours: str
    viewer: str
    viewer_with_options: str
    not_on_list: str


def shop_groups(resolved: ResolvedEpisode, shopping: Shopping, printer: MoneyPrinter) -> tuple[ShopGroup, ...]:
    """Return the rows grouped by kind of shop, shops and items in alphabetical order."""
    items = sorted(shopping.items, key=lambda item: (item.row.shop.casefold(), item.item.casefold()))
    groups = groupby(items, key=lambda item: item.row.shop)
    return tuple(
        ShopGroup(shop=shop or "any shop", rows=tuple(_row(resolved, item, printer) for item in found))
        for shop, found in groups
    )


def bills(shopping: Shopping, printer: MoneyPrinter) -> Bills:
    """Return what is paid: by us for this list, by a viewer with an empty cupboard."""
    return Bills(
        ours=_bill(shopping.bill, printer, shopping),
        viewer=_bill(shopping.empty_cupboard, printer, shopping),
        viewer_with_options=_bill(shopping.empty_cupboard_with_options, printer, shopping),
        not_on_list=join_words(shopping.not_on_list),
    )


def shopping_csv(resolved: ResolvedEpisode, shopping: Shopping, printer: MoneyPrinter) -> str:
    """Return the list for a spreadsheet: RFC 4180 with a byte order mark, no cell that reads as a formula."""
    out = StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(_HEAD)
    for item in sorted(shopping.items, key=lambda item: (item.row.shop.casefold(), item.item.casefold())):
        row = _row(resolved, item, printer)
        cells = (
            *(item.row.shop, row.item, row.need, row.dishes, row.doubles, row.spares, row.stock, row.buy),
            *("loose" if item.is_loose else str(item.packs), amount_text(item.pack), f"{item.row.price:f}"),
            *(f"{item.deposit.amount:f}", f"{item.till.amount:f}", shopping.currency, row.leftover),
            *(row.fridge_days, row.fridge_source),
        )
        writer.writerow([spreadsheet_cell(cell) for cell in cells])
    return "\ufeff" + out.getvalue()


def shopping_view(resolved: ResolvedEpisode, shopping: Shopping, printer: MoneyPrinter) -> str:
    """Return the list for the terminal."""
    from shootplan.render.table_text import table

    lines = []
    for group in shop_groups(resolved, shopping, printer):
        rows = [(r.item, r.need, r.doubles or "-", f"{r.spares} ({r.spares_cost})" if r.spares else "-",
                 r.stock or "-", r.buy, r.till, r.leftover or "-") for r in group.rows]  # fmt: skip
        head = ("item", "need", "doubles", "retakes", "stock", "buy", "till", "left over")
        lines += [group.shop, table(head, rows), ""]
    paid = bills(shopping, printer)
    lines.append(f"this list at the till: {paid.ours}")
    lines.append(f"from an empty cupboard: {paid.viewer}; with every option {paid.viewer_with_options}")
    if paid.not_on_list:
        lines.append(f"not on the list, because the need is not known: {paid.not_on_list}")
    return "\n".join(lines)


def shopping_json(shopping: Shopping) -> dict[str, object]:
    """Return the list for machines: exact amounts as "n/d" texts, money as decimals."""
    from shootplan.render.encode import encode

    return {"schema_version": 1, "shopping": encode(shopping)}


def _row(resolved: ResolvedEpisode, item: ShoppingItem, printer: MoneyPrinter) -> ShopRow:
    def amount(value: object) -> str:
        return bought_text(value) if getattr(value, "high", 0) else ""  # type: ignore[arg-type]

    return ShopRow(
        item=item.item,
        need=bought_text(item.need),
        dishes=join_words(_dish(resolved, need.recipe, bought_text(need.amount)) for need in item.needed_for),
        doubles=amount(item.doubles),
        spares=amount(item.spares),
        spares_cost=printer.shown(item.spares_cost) if item.spares.high else "",
        stock=amount(item.stock),
        buy=_buy(item),
        till=printer.shown(item.till),
        deposit=printer.shown(item.deposit) if item.deposit.amount else "",
        leftover=amount(item.leftover),
        fridge_days=_fridge_days(item),
        fridge_source=item.keeps.source if item.keeps is not None and item.leftover.high else "",
    )


def _fridge_days(item: ShoppingItem) -> str:
    """Return "30–60" days from purchase of what is left over, or nothing where nothing is left or known."""
    days = item.keeps.fridge_days if item.keeps is not None and item.leftover.high else None
    if days is None:
        return ""
    return f"{days[0]}–{days[1]}" if days[0] != days[1] else str(days[0])


def _dish(resolved: ResolvedEpisode, recipe_id: str, amount: str) -> str:
    found = resolved.recipe(recipe_id)
    return f"{found.id if found is not None else recipe_id} {amount}"


def _buy(item: ShoppingItem) -> str:
    if item.to_buy.high == 0:
        return "nothing, in stock"
    if item.is_loose:
        return f"{bought_text(item.to_buy)} loose"
    return f"{item.packs} × {amount_text(item.pack)}"


def _bill(bill: Bill, printer: MoneyPrinter, shopping: Shopping) -> str:
    least = "at least " if shopping.not_on_list else ""
    cash = f", in cash {printer.shown(bill.in_cash)}" if bill.in_cash is not None else ""
    return f"{least}{printer.shown(bill.total)}{cash}"
