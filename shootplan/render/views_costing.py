"""
Costs as they are printed: the line of the price, the rows of the costing sheet, totals, claims.

Computed costs come in; ready strings go out. Each figure is rounded once, from its exact value; where rounded lines do
not add up to the printed total, a note says so and no figure is changed.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from decimal import ROUND_DOWN, Decimal
from fractions import Fraction

from shootplan.model.costing import ClaimVerdict, LineCost, RecipeCost
from shootplan.model.episode import PriceKind, PriceRow, StaplesPolicy
from shootplan.model.money import Cost, Money, half_up
from shootplan.model.quantity import COUNT
from shootplan.model.resolved import ResolvedLine
from shootplan.model.show import amount_text, bought_text, join_words, minutes_text, number_text
from shootplan.records import dataclass
from shootplan.render.basis import Basis
from shootplan.render.money import MoneyPrinter
from shootplan.render.views_amounts import measures

#: How many amounts that would just pass are named.
_FIXES = 3
_PER = {
    "mg": (Fraction(1, 1_000_000), "kg"),
    "g": (Fraction(1, 1000), "kg"),
    "kg": (Fraction(1), "kg"),
    "oz": (Fraction("0.028349523125"), "kg"),  # NIST Handbook 44, Appendix C
    "lb": (Fraction("0.45359237"), "kg"),  # NIST Handbook 44, Appendix C
    "ml": (Fraction(1, 1000), "l"),
    "cl": (Fraction(1, 100), "l"),
    "dl": (Fraction(1, 10), "l"),
    "l": (Fraction(1), "l"),
}

__all__ = [
    "ClaimView",
    "CostRow",
    "CostingView",
    "adding_up",
    "claim_views",
    "costing_view",
    "percent_text",
    "price_line",
    "price_note",
    "price_with_options",
    "room_words",
    "second_currency",
    "serving_noun",
    "unit_price",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class CostRow:
    """One line of the costing sheet; ``used`` is the cost used to four places, ``printed`` as a price."""

    item: str
    amount: str
    form: str
    yield_percent: str
    as_bought: str
    pack: str
    price: str
    unit_price: str
    seen: str
    shop: str
    kind: str
    used: str
    printed: str
    is_optional: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CostingView:
    """
    The costing sheet of one recipe.

    ``totals`` are (what, exact to four places, a serving, a small serving or ""); ``notes`` are sentences.
    """

    id: str
    title: str
    serves: str
    rows: tuple[CostRow, ...]
    totals: tuple[tuple[str, str, str, str], ...]
    has_small: bool
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ClaimView:
    """
    A claim and whether it may be made; ``verdict`` is "may be said" or "refused", never a colour alone.

    ``room`` says how far the dearest price may rise, or which amounts would just pass.
    """

    text: str
    about: str
    verdict: str
    is_allowed: bool
    figure: str
    headroom: str
    reasons: tuple[str, ...]
    wording: str
    room: tuple[str, ...] = ()


def serving_noun(basis: Basis, recipe_id: str) -> str:
    """Return the noun of one serving: "serving", "bun"."""
    found = basis.publication.resolved.recipe(recipe_id)
    noun = found.recipe.serves.noun if found is not None else "servings"
    return noun[:-1] if noun.endswith("s") else noun


def price_with_options(basis: Basis, cost: RecipeCost) -> str:
    """Return "£1.33 with parsley", "£0.89 with all options", empty where nothing is optional."""
    options = [line for line in cost.lines if line.is_optional]
    if not options:
        return ""
    words = options[0].line.line.item if len(options) == 1 else "all options"
    return f"{basis.price(cost.with_options_per.per_hearty, cost)} with {words}"


def price_line(basis: Basis, recipe_id: str) -> str:
    """Return the one line of the price with dates, kinds of shop and the staples sentence."""
    cost = basis.cost(recipe_id)
    options = price_with_options(basis, cost)
    first = f"{basis.price(cost.core_per.per_hearty, cost)} a {serving_noun(basis, recipe_id)}"
    sentences = [first + (f" ({options})" if options else ""), price_note(basis, (cost,))]
    second = second_currency(basis, cost.core_per.per_hearty)
    return " ".join(f"{text}." for text in (*sentences, second) if text)


def costing_view(basis: Basis, recipe_id: str) -> CostingView:
    """Return the costing sheet of one recipe."""
    if recipe_id not in basis.sheets:
        basis.sheets[recipe_id] = _costing_view(basis, recipe_id)
    view: CostingView = basis.sheets[recipe_id]
    return view


def _costing_view(basis: Basis, recipe_id: str) -> CostingView:
    cost = basis.cost(recipe_id)
    return CostingView(
        id=recipe_id,
        title=basis.title(recipe_id),
        serves=_serves(cost),
        rows=tuple(_cost_row(basis, line) for line in cost.lines),
        totals=tuple(_totals(basis, cost)),
        has_small=cost.small is not None,
        notes=tuple(_notes(basis, cost)),
    )


def claim_views(basis: Basis) -> tuple[ClaimView, ...]:
    """Return the claims in the author's order with their verdicts."""
    return tuple(_claim(basis, verdict) for verdict in basis.publication.costs.verdicts)


# ---------------------------------------------------------------------------------------------------- the price line


def price_note(basis: Basis, costs: Sequence[RecipeCost]) -> str:
    """Return the dates of the prices, the kinds of shop and how staples are counted, over one or more recipes."""
    rows = [line.line.price for cost in costs for line in cost.lines if line.line.price is not None]
    days = sorted({row.seen for row in rows if row.seen is not None})
    shops = sorted({row.shop for row in rows if row.shop})
    dates = "" if not days else f"{days[0]}" if days[0] == days[-1] else f"{days[0]} to {days[-1]}"
    words = [f"Prices of {dates}" if dates else "", join_words(shops), _staples(basis, costs)]
    return ", ".join(word for word in words if word)


def _staples(basis: Basis, costs: Sequence[RecipeCost]) -> str:
    lines = [line.line for cost in costs for line in cost.lines]
    names = join_words(dict.fromkeys(line.line.item for line in lines if line.is_staple))
    policy = basis.episode.staples
    if not names:
        return ""
    if policy is StaplesPolicy.COUNT:
        return f"{names} counted"
    if policy is StaplesPolicy.FREE:
        return f"{names} not counted"
    flat = basis.printer.shown(Money(basis.episode.staples_flat, basis.printer.currency))
    return f"{names} counted at a flat {flat} a serving"


def second_currency(basis: Basis, cost: Cost) -> str:
    """Return "That is about €1.50" with the dated rate, empty where the episode has one currency (rule M7)."""
    also = basis.episode.also
    if also is None:
        return ""
    if also.is_quoted_per_theirs:
        rate = f"1 {also.currency} = {also.rate} {basis.printer.currency}"
    else:
        rate = f"1 {basis.printer.currency} = {also.rate} {also.currency}"
    source = f", {also.source}" if also.source else ""
    return f"That is {basis.printer.other(cost, also.currency, also.factor)} ({rate} on {also.on}{source})"


# ---------------------------------------------------------------------------------------------------- the sheet


def _cost_row(basis: Basis, cost: LineCost) -> CostRow:
    line = cost.line
    price = charged_row(cost)
    metric, household = measures(line.measured, line)
    return CostRow(
        item=line.line.item,
        amount=" / ".join(text for text in (metric, household) if text),
        form=line.line.form or ("prepared" if line.line.is_prepared else "as bought"),
        yield_percent=number_text(line.yield_percent),
        as_bought=_as_bought(line, metric or household),
        pack=_pack(line),
        price="" if price is None else f"{price.price:f}",
        unit_price="" if price is None else unit_price(price, basis.printer.places),
        seen="" if price is None or price.seen is None else price.seen.isoformat(),
        shop="" if price is None else price.shop,
        kind="" if line.price is None else _kind(line.price),
        used=basis.printer.exact(cost.cost) if cost.cost is not None else "",
        printed=basis.printer.line(cost.cost) if cost.cost is not None and not line.is_free else _no_price(line),
        is_optional=cost.is_optional,
    )


def _as_bought(line: ResolvedLine, shown: str) -> str:
    if line.as_bought is not None:
        return bought_text(line.as_bought)
    return shown if line.is_free else _no_price(line)


def _pack(line: ResolvedLine) -> str:
    if line.price is None or line.pack is None:
        return ""
    return amount_text(line.pack) + (" (loose)" if line.price.is_loose else "")


def charged_row(cost: LineCost) -> PriceRow | None:
    """Return the price row with what is charged for a pack: of an offer that names one, the regular price (rule M5)."""
    row = cost.line.price
    if row is None or cost.pack_price is None or cost.pack_price.amount == row.price:
        return row
    return replace(row, price=cost.pack_price.amount)


def unit_price(row: PriceRow, places: int) -> str:
    """
    Return the price of a kilogram or a litre, else of one piece: "3.73 per kg", rounded half up once.

    Directive 98/6/EC, article 2(b): the final price for one kilogramme or one litre; goods sold by the piece are
    told for one.
    """
    for pack in sorted(row.pack, key=lambda pack: pack.dimension == COUNT):
        if pack.unit in _PER and pack.high:
            factor, unit = _PER[pack.unit]
            return f"{half_up(Fraction(row.price) / (pack.high * factor), places):f} per {unit}"
        if pack.dimension == COUNT and pack.high:
            return f"{half_up(Fraction(row.price) / pack.high, places):f} per {pack.unit or 'piece'}"
    return ""


def _kind(price: PriceRow) -> str:
    is_regular_used = price.kind is not PriceKind.REGULAR and price.regular_price is not None
    kind = (
        f"{price.kind.value} at {price.price:f}, costed at the regular price" if is_regular_used else price.kind.value
    )
    return ", ".join(word for word in (kind, price.source) if word)


def _no_price(line: ResolvedLine) -> str:
    if line.is_free:
        return "free"
    if line.is_not_costed:
        return "not costed"
    return line.unpriced_because or "no price"


def _serves(cost: RecipeCost) -> str:
    return f"{cost.hearty}" + (f" (or {cost.small} small)" if cost.small is not None else "")


def _totals(basis: Basis, cost: RecipeCost) -> list[tuple[str, str, str, str]]:
    found = [("Without options", cost.core, cost.core_per)]
    if any(line.is_optional for line in cost.lines):
        found.append(("With all options", cost.with_options, cost.with_options_per))
    totals = [
        (
            label,
            basis.printer.exact(total),
            basis.price(per.per_hearty, cost),
            basis.price(per.per_small, cost) if per.per_small is not None else "",
        )
        for label, total, per in found
    ]
    for option in cost.options if len(cost.options) > 1 else ():
        label = f"With {option.line.line.item} only"
        totals.append((label, "", basis.price(option.per_serving_with, cost), ""))
    return totals


def _notes(basis: Basis, cost: RecipeCost) -> list[str]:
    notes = [_adding_up(basis, cost)]
    named = (
        (cost.missing, "No price for {}: every total is a lower bound."),
        (cost.not_costed, "Not costed, as they have no amount: {}."),
        (cost.offers, "Not at the regular price: {}."),
        (cost.stale, "Price older than the limit: {}."),
        (cost.guessed, "Price guessed: {}."),
    )
    notes += [text.format(join_words(_names(cost, ids))) for ids, text in named if ids]
    free = [line.line.line.item for line in cost.lines if line.line.is_free]
    notes += [f"Free, but listed: {join_words(free)}."] if free else []
    return [note for note in notes if note]


def _names(cost: RecipeCost, ids: tuple[str, ...]) -> list[str]:
    items = {line.line.line.id: line.line.line.item for line in cost.lines}
    return [items.get(name, name) for name in ids]


def _adding_up(basis: Basis, cost: RecipeCost) -> str:
    if basis.episode.staples is not StaplesPolicy.COUNT:
        return ""
    return adding_up([i.cost for i in cost.lines if i.cost is not None and not i.is_optional], cost, basis.printer)


def adding_up(lines: list[Cost], cost: RecipeCost, printer: MoneyPrinter) -> str:
    """Return a sentence where the lines as printed do not add up to the printed total, else an empty text."""
    added = sum((Decimal(printer.exact(line)) for line in lines), Decimal(0))
    total = Decimal(printer.exact(cost.core))
    if added == total or cost.staples_flat is not None:
        return ""
    return f"The rounded lines add up to {added}; the total is {total}, because it is rounded once, from exact costs."


# ---------------------------------------------------------------------------------------------------- claims


def _claim(basis: Basis, verdict: ClaimVerdict) -> ClaimView:
    claim = verdict.claim
    thin = " (thin)" if verdict.is_thin else ""
    headroom = "" if verdict.headroom_percent is None else f"{percent_text(verdict.headroom_percent)} %{thin}"
    reasons = [reason.split(": ", 1)[-1] for reason in verdict.reasons]
    reasons += [f"over because of {verdict.tipping_line}"] if verdict.tipping_line else []
    reasons += [f"fails for {join_words(map(basis.title, verdict.failing))}"] if verdict.failing else []
    return ClaimView(
        text=claim.text,
        about=basis.title(claim.recipe) if claim.recipe else claim.scope.value,
        verdict="may be said" if verdict.is_allowed else "refused",
        is_allowed=verdict.is_allowed,
        figure=_figure(basis, verdict),
        headroom=headroom,
        reasons=tuple(reasons),
        wording=verdict.wording,
        room=room_words(verdict, basis.title),
    )


def room_words(verdict: ClaimVerdict, title: Callable[[str], str]) -> tuple[str, ...]:
    """Return how far prices may rise before a claim fails, or the three smallest cuts that would let it pass."""
    found = []
    if verdict.headroom_percent is not None:
        found.append(f"all prices together may rise by less than {_room_text(verdict.headroom_percent)} %")
    if verdict.dearest_item and verdict.dearest_may_rise_percent is not None:
        rise = _room_text(verdict.dearest_may_rise_percent)
        found.append(f"that of {verdict.dearest_item} alone by less than {rise} %")
    for fix in verdict.fixes[:_FIXES]:
        amounts = f"{amount_text(fix.amount)} of {fix.item} instead of {amount_text(fix.amount_now)}"
        found.append(f"{title(fix.recipe)} would pass with {amounts}, {percent_text(fix.cut_percent)} % less")
    return tuple(found)


def _room_text(value: Decimal) -> str:
    """Return what may still be used up: cut to one decimal, to three below that, never rounded up."""
    for places in (1, 3):
        cut = value.quantize(Decimal(1).scaleb(-places), rounding=ROUND_DOWN)
        if cut:
            return f"{cut}"
    return percent_text(value)


def percent_text(value: Decimal) -> str:
    """Return a percentage to one decimal, to three where one would hide that something is left."""
    one = half_up(Fraction(value), 1)
    return f"{one if one or not value else half_up(Fraction(value), 3)}"


def _figure(basis: Basis, verdict: ClaimVerdict) -> str:
    if isinstance(verdict.shown, Money):
        return basis.printer.shown(verdict.shown)
    if isinstance(verdict.shown, int):
        return minutes_text(verdict.shown * 60)
    return ""
