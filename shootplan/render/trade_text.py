"""
Plans that trade, side by side: wrap, changes of dish, dishes at once, waits between ready and served.

Trade plans come in, text for the terminal and a record for machines go out.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from shootplan.model.clock import Clock
from shootplan.model.planning import SolveStatus
from shootplan.model.show import clock_text, minutes_text
from shootplan.model.trade import TradePlan, Wish
from shootplan.render.encode import encode
from shootplan.render.table_text import table

__all__ = ["letter", "trade_json", "trade_view"]


def letter(number: int) -> str:
    """Return how a plan is called: A for the first, B, C, …"""
    return chr(ord("A") + number)


def trade_view(plans: Sequence[TradePlan], call: Clock, *, colour: bool = False) -> str:
    """Return the table for the terminal."""
    head = ("plan", "asked for", "wrap", "changes of dish", "dishes at once", "longest wait", "waits in all", "")
    rows = [_row(letter(number), plan, call) for number, plan in enumerate(plans)]
    lines = [table(head, rows, colour=colour)]
    if len(plans) == 1:
        lines.append("nothing trades: this plan wraps first and is as good as any other found")
    lines.append("waits are between ready and served, of what is hot or must be used within a limit")
    return "\n".join(lines)


def trade_json(plans: Sequence[TradePlan]) -> dict[str, Any]:
    """Return the plans for machines, seconds from call."""
    return {
        "schema_version": 1,
        "plans": [
            {
                "plan": letter(number),
                "wish": encode(plan.wish),
                "wrap_s": plan.wrap_s,
                "changes": plan.changes,
                "dishes": plan.dishes,
                "longest_wait_s": plan.longest_wait_s,
                "wait_s": plan.wait_s,
                "is_proven": plan.result.status is SolveStatus.OPTIMAL,
                "assignments": encode(plan.result.schedule.assignments) if plan.result.schedule is not None else [],
            }
            for number, plan in enumerate(plans)
        ],
    }


def _row(name: str, plan: TradePlan, call: Clock) -> tuple[str, ...]:
    is_proven = plan.result.status is SolveStatus.OPTIMAL
    return (
        name,
        _wish_text(plan.wish),
        clock_text(call, plan.wrap_s),
        str(plan.changes),
        str(plan.dishes),
        _wait(plan.longest_wait_s),
        _wait(plan.wait_s),
        "" if is_proven else "a shorter one may exist",
    )


def _wait(seconds: int) -> str:
    return minutes_text(seconds) if seconds else "none"


def _wish_text(wish: Wish) -> str:
    if wish.dishes is not None:
        return "one dish after the other" if wish.dishes == 1 else f"at most {wish.dishes} dishes at once"
    if wish.served_within_s is not None:
        within = minutes_text(wish.served_within_s)
        return f"served within {within} of ready" if wish.served_within_s else "served as soon as ready"
    return "an early wrap only"
