"""
The costs as a terminal shows them: line by line, totals, a serving, and whether each claim holds.

Computed costs come in, aligned plain text goes out.
"""

from __future__ import annotations

from decimal import Decimal

from shootplan.model.costing import AlternateCost, ClaimVerdict, EpisodeCost, LineCost, RecipeCost, Servings
from shootplan.model.episode import PriceKind, PriceRow
from shootplan.model.money import Cost, Money
from shootplan.model.resolved import ResolvedEpisode
from shootplan.model.show import amount_text, bought_text, join_words, minutes_text
from shootplan.render.money import MoneyPrinter
from shootplan.render.table_text import bold, table
from shootplan.render.views_costing import adding_up, charged_row, percent_text, room_words, unit_price

__all__ = ["costs_view"]

_HEAD = ("line", "as bought", "pack", "price", "unit price", "seen", "cost used", "")


def costs_view(resolved: ResolvedEpisode, costs: EpisodeCost, *, colour: bool = False) -> str:
    """Return the costs of all recipes; totals say "at least" while a line has no price, and name the line."""
    printer = MoneyPrinter(costs.currency, resolved.episode.locale, costs.places)
    parts = [_recipe(resolved, cost, printer, colour) for cost in costs.recipes]
    is_complete = all(cost.is_complete for cost in costs.recipes)
    if costs.head_core is not None:
        core = printer.money(costs.head_core, at_least=not is_complete)
        everything = printer.money(costs.head_with_options, at_least=not is_complete)
        parts.append(f"one serving of each: {core}, with all options {everything}")
    parts += [_claim(verdict, printer) for verdict in costs.verdicts]
    return "\n".join(parts)


def _recipe(resolved: ResolvedEpisode, cost: RecipeCost, printer: MoneyPrinter, colour: bool) -> str:
    found = resolved.recipe(cost.recipe)
    title = f"{cost.recipe}: {found.recipe.title}" if found is not None else cost.recipe
    rows = [_row(line, printer) for line in cost.lines]
    lines = [bold(title, colour=colour), table(_HEAD, rows, right=(3, 6))]
    lines.append(_total("without options", cost.core, cost.core_per, cost, printer))
    if any(line.is_optional for line in cost.lines):
        lines.append(_total("with all options", cost.with_options, cost.with_options_per, cost, printer))
    names = {line.line.line.id: line.line.line.item for line in cost.lines}
    if cost.missing:
        lines.append(f"no price for: {join_words(names.get(line, line) for line in cost.missing)}")
    if cost.not_costed:
        lines.append(f"not costed: {join_words(names.get(line, line) for line in cost.not_costed)}")
    lines += [_alternate(item, printer) for item in cost.alternates]
    lines += _kinds(cost)
    note = adding_up(
        [line.cost for line in cost.lines if line.cost is not None and not line.is_optional], cost, printer
    )
    lines += [note] if note else []
    return "\n".join([*lines, ""])


def _alternate(item: AlternateCost, printer: MoneyPrinter) -> str:
    """Return what an alternate changes: cost of a serving and allergens."""
    text = f"with {item.alternate.line.item} instead of {item.base.line.item}: "
    text += f"{printer.change(item.per_serving_delta)} a serving"
    text += f"; adds {join_words(item.allergens_added)}" if item.allergens_added else ""
    return text + (f"; takes away {join_words(item.allergens_removed)}" if item.allergens_removed else "")


def _kinds(cost: RecipeCost) -> list[str]:
    """Return which prices are of another kind than regular."""
    lines = [*(line.line for line in cost.lines), *(item.alternate for item in cost.alternates)]
    rows = dict.fromkeys(line.price for line in lines if line.price is not None)
    by_kind = {
        kind: [_of_kind(row) for row in rows if row.kind is kind] for kind in (PriceKind.OFFER, PriceKind.MEMBER)
    }
    return [f"{kind.value} price: {join_words(items)}" for kind, items in by_kind.items() if items]


def _of_kind(row: PriceRow) -> str:
    if row.regular_price is None:
        return f"{row.item} at {row.price:f}, no regular price known"
    return f"{row.item} at {row.price:f}, costed at the regular {row.regular_price:f}"


def _total(label: str, total: Cost, per: Servings, cost: RecipeCost, printer: MoneyPrinter) -> str:
    at_least = not cost.is_complete
    text = f"{label}: {'at least ' if at_least else ''}{printer.exact(total)} / {cost.hearty} = "
    text += f"{printer.exact(per.per_hearty)}, {printer.money(per.per_hearty, at_least=at_least)} a serving"
    if per.per_small is not None and cost.small is not None:
        text += f" ({cost.small} small: {printer.money(per.per_small, at_least=at_least)})"
    return text


def _row(cost: LineCost, printer: MoneyPrinter) -> tuple[str, ...]:
    line, price = cost.line, charged_row(cost)
    unknown = "not costed" if line.is_not_costed else "no price"
    return (
        line.line.item,
        bought_text(line.as_bought) if line.as_bought is not None else "-",
        amount_text(line.pack) if line.pack is not None else "-",
        f"{price.price:f}" if price is not None else "-",
        unit_price(price, printer.places) if price is not None else "-",
        price.seen.isoformat() if price is not None and price.seen is not None else "-",
        printer.exact(cost.cost) or unknown,
        "optional" if cost.is_optional else "",
    )


def _claim(verdict: ClaimVerdict, printer: MoneyPrinter) -> str:
    shown = verdict.shown
    figure = printer.shown(shown) if isinstance(shown, Money) else minutes_text(shown * 60) if shown is not None else ""
    headroom = _headroom(verdict.headroom_percent, verdict.is_thin)
    word = "may be said" if verdict.is_allowed else "refused"
    reasons = [reason.split(": ", 1)[-1] for reason in verdict.reasons]
    failing = [f"fails for {join_words(verdict.failing)}"] if verdict.failing else []
    detail = "; ".join(text for text in (figure, headroom, *reasons, *failing) if text)
    wording = f'; say "{verdict.wording}"' if verdict.wording and not verdict.is_allowed else ""
    over = f"; over because of {verdict.tipping_line}" if verdict.tipping_line else ""
    lines = [f"claim {word}: {verdict.claim.text}: {detail}{over}{wording}"]
    return "\n".join([*lines, *(f"  {words}" for words in room_words(verdict, str))])


def _headroom(percent: Decimal | None, is_thin: bool) -> str:
    if percent is None:
        return ""
    return f"headroom {percent_text(percent)} %{' (thin)' if is_thin else ''}"
