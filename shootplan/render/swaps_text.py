"""
What swap-outs would do to the day, in words: a table of plans, a line for each duplicate, and what stands out.

A ``SwapReport`` comes in, text for the terminal, rows for documents and a record for machines go out.
"""

from __future__ import annotations

from datetime import datetime
from fractions import Fraction
from typing import Any

from shootplan.model.clock import MINUTE, Clock
from shootplan.model.money import Cost
from shootplan.model.show import clock_text, join_words, known_text, minutes_text
from shootplan.model.swaps import Keeping, SwapKey, SwapPlan, SwapReport, SwapStep
from shootplan.records import dataclass
from shootplan.render.encode import encode
from shootplan.render.money import MoneyPrinter
from shootplan.render.table_text import table

__all__ = ["DuplicateRow", "SwapView", "duplicate_rows", "proof_text", "swap_view", "swaps_json", "swaps_view"]

_NOT_PUBLISHED = "ingredients of duplicates are bought; they are in no published cost"
#: So many plans are all shown; of more, only the useful ones.
_ALL_SHOWN = 15
_LABELS = "label each duplicate with what it is and when it was made; local food-safety rules decide how long it keeps"


@dataclass(frozen=True, slots=True, kw_only=True)
class DuplicateRow:
    """A duplicate in words: its mark ("A"), which step, its ingredients, the hands it takes, whether it keeps."""

    mark: str
    label: str
    cost: str
    hands: str
    alone: str
    keeps: str
    is_too_old: bool
    is_made_on_the_day: bool = False


def duplicate_rows(report: SwapReport, printer: MoneyPrinter, call: Clock) -> tuple[DuplicateRow, ...]:
    """Return a row for each step of the report."""
    return tuple(
        DuplicateRow(
            mark=_mark(report, step.key),
            label=step.label,
            cost=_money(step, printer),
            hands=known_text(step.hands),
            alone=known_text(step.alone),
            keeps=keeps_text(step, call),
            is_too_old=step.keeping is Keeping.TOO_OLD and step.ready_s is None,
            is_made_on_the_day=step.ready_s is not None,
        )
        for step in report.steps
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class SwapView:
    """The chosen swap-outs for the papers of the day: a row for each duplicate and what they do together."""

    rows: tuple[DuplicateRow, ...]
    summary: str
    rules: tuple[str, ...]


def swap_view(report: SwapReport | None, printer: MoneyPrinter, call: Clock) -> SwapView | None:
    """Return the chosen swap-outs in words, ``None`` where there are none."""
    if report is None or not report.plans:
        return None
    plan = report.plans[-1]
    without = f"without them wrap would be {clock_text(call, report.wrap_s)}"
    money = printer.money(plan.cost, at_least=any(step.unpriced for step in report.steps))
    summary = (
        f"saved: {_saves(plan.saved_s)} ({without}); ingredients {money}, hands beforehand {known_text(plan.hands)}"
    )
    return SwapView(rows=duplicate_rows(report, printer, call), summary=summary, rules=(_NOT_PUBLISHED, _LABELS))


def keeps_text(step: SwapStep, call: Clock) -> str:
    """Say whether a duplicate made the evening before is still fit when it is used, or when it is made on the day."""
    if step.ready_s is not None and isinstance(call, datetime):
        return f"keeps {step.keeps}: made within the plan, ready at {clock_text(call, step.ready_s)}"
    if step.ready_s is not None:
        ready, begun = clock_text(call, step.ready_s), clock_text(call, step.made_from_s or 0)
        return f"keeps {step.keeps} only: made on the day, ready at {ready} (begun {begun})"
    age = f"up to {_age(step.age_s)} old when used" if step.age_s is not None else "age not known"
    if step.keeping is Keeping.KEEPS:
        return f"keeps {step.keeps}: make it the evening before ({age})"
    if step.keeping is Keeping.TOO_OLD:
        return f"keeps {step.keeps} only: too old from the evening before ({age}); make it on the day"
    said = f" (the recipe says: {step.keeps})" if step.keeps else ""
    return f"how long it keeps is not said{said}; {age} if made the evening before"


def swaps_view(report: SwapReport, call: Clock, printer: MoneyPrinter, *, colour: bool = False) -> str:
    """Return the report for the terminal."""
    wrap = f"without swap-outs: wrap {clock_text(call, report.wrap_s)}, {minutes_text(report.wrap_s)} after call"
    lines = [wrap + ("" if report.is_proven else f" (a shorter plan may exist, none under {_bound(report)})")]
    if report.is_filmed:
        lines[0] = f"the filmed day {lines[0]}{_late(report, report.wrap_s)}"
        lines.append(_shots_later(report))
    if not report.steps:
        hint = 'no waiting step says "swap-out: yes"; add --any to look at every wait of ten minutes or more'
        return "\n".join([*lines, hint])
    shown = _shown(report)
    head = ("ready", "wrap", "saves", "ingredients", "a minute", "hands for it", "")
    lines.append(table(head, [_row(report, plan, call, printer) for plan in shown], colour=colour))
    if len(shown) < len(report.plans):
        lines.append(f"{len(report.plans) - len(shown)} more save nothing, or no more than a part of them")
    lines.append("what must be made beforehand:")
    for step, row in zip(report.steps, duplicate_rows(report, printer, call), strict=True):
        mark = "" if step.is_marked else ", not marked as a swap-out"
        work = f"hands-on {row.hands}, left alone {row.alone}"
        lines += [f"  {row.mark}  {row.label}{mark}: {work}", f"     {row.keeps}"]
    if len(report.plans) > 1 and any(step.ready_s is not None for step in report.steps):
        lines.append("  what is made on the day has the times of the plan with that duplicate alone")
    lines += _best(report, printer)
    lines += [_NOT_PUBLISHED, _LABELS]
    return "\n".join(lines)


def swaps_json(report: SwapReport) -> dict[str, Any]:
    """Return the report for machines: seconds, exact costs, and what a saved minute costs."""
    return {
        "schema_version": 1,
        "wrap_s": report.wrap_s,
        "bound_s": report.bound_s,
        "is_proven": report.is_proven,
        "is_filmed": report.is_filmed,
        "pick_ups": report.pick_ups,
        "latest_s": report.latest_s,
        "steps": [encode(step) | {"keeping": step.keeping.value} for step in report.steps],
        "plans": [
            encode(plan)
            | {"cost_a_minute": encode(_a_minute(plan)), "saved_between_s": list(report.saved_between_s(plan))}
            for plan in report.plans
        ],
        "cheapest": _named(report.cheapest),
        "earliest": _named(report.earliest),
    }


def _shown(report: SwapReport) -> list[SwapPlan]:
    """Return all plans if there are few, else those in which each duplicate counts, the earliest wrap first."""
    if len(report.plans) <= _ALL_SHOWN:
        return list(report.plans)
    useful = [plan for plan in report.plans if plan.no_better_than is None]
    return sorted(useful, key=lambda plan: (plan.wrap_s or 0, plan.cost.exact))[:_ALL_SHOWN]


def _mark(report: SwapReport, key: SwapKey) -> str:
    """Return the letter by which a duplicate is labelled: A, B, …, Z, then numbers."""
    number = [step.key for step in report.steps].index(key)
    return chr(ord("A") + number) if number < 26 else str(number + 1)


def _marks(report: SwapReport, keys: tuple[SwapKey, ...]) -> str:
    if len(keys) == len(report.steps) > 2:
        return "all of them"
    return " + ".join(_mark(report, key) for key in keys)


def _named(plan: SwapPlan | None) -> list[list[str]] | None:
    return [list(key) for key in plan.keys] if plan is not None else None


def _a_minute(plan: SwapPlan) -> Cost | None:
    return plan.cost.times(Fraction(MINUTE, plan.saved_s)) if plan.saved_s > 0 else None


def _row(report: SwapReport, plan: SwapPlan, call: Clock, printer: MoneyPrinter) -> tuple[str, ...]:
    a_minute = _a_minute(plan)
    is_priced = not any(report.step(key).unpriced for key in plan.keys)
    return (
        _marks(report, plan.keys),
        clock_text(call, plan.wrap_s) if plan.wrap_s is not None else "no plan",
        _saves(plan.saved_s),
        printer.money(plan.cost, at_least=not is_priced),
        printer.money(a_minute) if a_minute is not None else "-",
        known_text(plan.hands),
        _remark(report, plan),
    )


def _saves(seconds: int) -> str:
    if seconds < 0:
        return f"{minutes_text(-seconds)} later"
    return minutes_text(seconds) if seconds else "nothing"


def _remark(report: SwapReport, plan: SwapPlan) -> str:
    if plan.wrap_s is None:
        return "no plan keeps all limits" if plan.is_proven else "no plan was found in the time allowed"
    words = [proof_text(report, plan)] if report.is_filmed or not plan.is_proven else []
    if plan.has_other_pick_ups:
        words = [f"{words[0]} with other shots picked up later: {plan.pick_ups}"]
    if report.late_s(plan.wrap_s):
        words.append(_late(report, plan.wrap_s).removeprefix(", "))
    if plan.no_better_than:
        words.append("no better than " + _marks(report, plan.no_better_than))
    return "; ".join(words)


def proof_text(report: SwapReport, plan: SwapPlan) -> str:
    """Say whether what is saved is proven, else within what it lies if both days were as short as they can be."""
    least_s, most_s = report.saved_between_s(plan)
    if least_s >= most_s:
        return "proven"
    if least_s <= 0:
        return f"not proven: {minutes_text(most_s)} at most" if most_s > 0 else "proven: saves nothing"
    return f"not proven: {minutes_text(least_s)} to {minutes_text(most_s)}"


def _shots_later(report: SwapReport) -> str:
    if not report.pick_ups:
        return "every shot is taken while its dish is made"
    shots = "1 shot is" if report.pick_ups == 1 else f"{report.pick_ups} shots are"
    return f"{shots} picked up later, the same in each row unless said; what is proven is proven for these shots"


def _late(report: SwapReport, wrap_s: int | None) -> str:
    late_s = report.late_s(wrap_s)
    return f", {minutes_text(late_s)} after the latest wrap" if late_s else ""


def _bound(report: SwapReport) -> str:
    return minutes_text(report.bound_s)


def _best(report: SwapReport, printer: MoneyPrinter) -> list[str]:
    if report.cheapest is None or report.earliest is None:
        return ["no swap-out wraps the day earlier"]
    a_minute = printer.money(_a_minute(report.cheapest))
    lines = [f"cheapest minute saved: {_names(report, report.cheapest)}, {a_minute} a minute"]
    saved, money = minutes_text(report.earliest.saved_s), printer.money(report.earliest.cost)
    return [*lines, f"earliest wrap: {_names(report, report.earliest)}, {saved} saved for {money}"]


def _names(report: SwapReport, plan: SwapPlan) -> str:
    if len(plan.keys) > 3:
        return _marks(report, plan.keys)
    return join_words(f"{_mark(report, key)} ({report.step(key).label})" for key in plan.keys)


def _money(step: SwapStep, printer: MoneyPrinter) -> str:
    return printer.money(step.cost, at_least=bool(step.unpriced))


def _age(seconds: int) -> str:
    return minutes_text(seconds) if seconds < 2 * 3600 else f"{-(-seconds // 3600)} h"
