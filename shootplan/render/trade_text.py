"""
Plans that trade, side by side: of the cooked day wrap, changes of dish and waits, of the filmed one wrap and re-rigs.

Trade plans come in, text for the terminal and a record for machines go out.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from shootplan.model.clock import Clock
from shootplan.model.planning import SolveStatus
from shootplan.model.show import clock_text, minutes_text
from shootplan.model.trade import FilmedTrade, FilmedTrades, TradePlan, Wish
from shootplan.render.encode import encode
from shootplan.render.table_text import table

__all__ = ["filmed_trade_json", "filmed_trade_view", "letter", "trade_json", "trade_view"]


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


# ---------------------------------------------------------------------------------------------------- the filmed day


def filmed_trade_view(trades: FilmedTrades, call: Clock, *, colour: bool = False) -> str:
    """Return the plans of the filmed day for the terminal: the table, what is proven, what differs, cautions."""
    head = ("plan", "asked for", "wrap", "re-rigs", "re-rigging", "camera wait", "proof")
    rows = [_filmed_row(letter(number), plan, call) for number, plan in enumerate(trades.plans)]
    lines = [table(head, rows, colour=colour)]
    for item in trades.sought:
        proof = "proven: fewer are not possible" if item.is_proven else "not proven: fewer may be possible"
        lines.append(f"up to {minutes_text(item.within_s)} after the planned wrap: {_rerigs(item.rerigs)} ({proof})")
    if len(trades.plans) == 1:
        is_proven = all(item.is_proven for item in trades.sought)
        saves = "saves a re-rig" if is_proven else "was found that saves a re-rig"
        lines.append(f"nothing trades: no later wrap up to there {saves}")
    first = trades.plans[0]
    for number, plan in enumerate(trades.plans[1:], start=1):
        lines.append(f"{letter(number)} beside A: {'; '.join(_differences(first, plan, call))}")
    for number, plan in enumerate(trades.plans):
        lines += [f"{letter(number)}: {note}" for note in plan.result.notes if note.startswith("caution")]
    if first.pick_ups:
        lines.append(f"shots picked up later, the same in each plan: {len(first.pick_ups)}")
    return "\n".join(lines)


def filmed_trade_json(trades: FilmedTrades) -> dict[str, Any]:
    """Return the plans of the filmed day for machines, seconds from call."""
    return {
        "schema_version": 1,
        "is_filmed": True,
        "sought": encode(trades.sought),
        "plans": [
            {
                "plan": letter(number),
                "within_s": plan.within_s,
                "wrap_s": plan.wrap_s,
                "rerigs": plan.rerigs,
                "rerig_s": plan.rerig_s,
                "wait_s": plan.wait_s,
                "set_ups": dict(plan.set_ups),
                "served_s": dict(plan.served),
                "is_wrap_proven": plan.is_wrap_proven,
                "is_fewest_proven": plan.is_fewest_proven,
                "pick_ups": len(plan.pick_ups),
                "notes": list(plan.result.notes),
                "assignments": encode(plan.result.schedule.assignments) if plan.result.schedule is not None else [],
            }
            for number, plan in enumerate(trades.plans)
        ],
    }


def _filmed_row(name: str, plan: FilmedTrade, call: Clock) -> tuple[str, ...]:
    asked = f"fewest re-rigs, {minutes_text(plan.within_s)} more" if plan.within_s else "an early wrap"
    return (
        name,
        asked,
        clock_text(call, plan.wrap_s),
        str(plan.rerigs),
        _wait(plan.rerig_s),
        _wait(plan.wait_s),
        _filmed_proof(plan),
    )


def _filmed_proof(plan: FilmedTrade) -> str:
    wrap = "no earlier wrap" if plan.is_wrap_proven else "an earlier wrap may exist"
    rerigs = "no fewer re-rigs" if plan.is_fewest_proven else "fewer re-rigs may be possible"
    if plan.within_s:
        return f"{rerigs} in that time; {wrap} with so few"
    return f"{wrap}; {rerigs} at that wrap"


def _rerigs(count: int) -> str:
    return "1 re-rig" if count == 1 else f"{count} re-rigs"


def _differences(first: FilmedTrade, plan: FilmedTrade, call: Clock) -> list[str]:
    """Say how often each position is set up and when each dish is served, where it is not as in the first plan."""
    times = dict(first.set_ups)
    words = [
        f"set up at {position} {_times(count)}, not {times[position]}"
        for position, count in plan.set_ups
        if count != times[position]
    ]
    before = dict(first.served)
    words += [
        f"{recipe} served {clock_text(call, moment)}, not {clock_text(call, before[recipe])}"
        for recipe, moment in plan.served
        if moment != before[recipe]
    ]
    return words or ["the same set-ups in another order"]


def _times(count: int) -> str:
    return "once" if count == 1 else f"{count} times"
