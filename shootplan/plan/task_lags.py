"""
Time lags between activities, each with the sentence that the user reads when it cannot be kept.

Activities and links come in, ``Lag`` values go out.
"""

from __future__ import annotations

from dataclasses import replace

from shootplan.model.clock import MINUTE
from shootplan.model.planning import Activity, Anchor, Lag
from shootplan.plan.task_gear import Hold
from shootplan.plan.task_scope import Link, ScopedStep
from shootplan.problems import Span

__all__ = ["after_words", "batches_lag", "hold_lag", "minutes", "plain_lag", "window_lag"]


def plain_lag(
    before: Activity,
    after: Activity,
    *,
    at_least_s: int = 0,
    at_most_s: int | None = None,
    rule: str,
    span: Span | None = None,
) -> Lag:
    """Return the lag from the end of ``before`` to the start of ``after``."""
    return Lag(
        predecessor=before.id,
        successor=after.id,
        at_least_s=at_least_s,
        at_most_s=at_most_s,
        rule=rule,
        span=span or after.span,
    )


def window_lag(before: ScopedStep, item: ScopedStep, left: Activity, first: Activity, at_most_s: int) -> Lag:
    """Return a window's maximum: a direct successor starts at most so long after the START of the leave (rule T7)."""
    return Lag(
        predecessor=left.id,
        successor=first.id,
        at_least_s=None,
        at_most_s=at_most_s,
        predecessor_anchor=Anchor.START,
        rule=f"{item.label} starts at most {minutes(at_most_s)} after {before.step.name} is begun",
        span=before.step.place("leave"),
    )


def batches_lag(item: ScopedStep, first: Activity, last: Activity, fit_s: int) -> Lag:
    """Return the limit on how long the first batch waits for the last: as long as the result stays fit."""
    rule = f"{item.label}: the first batch waits at most {minutes(fit_s)} for the last"
    return replace(plain_lag(first, last, at_most_s=fit_s, rule=rule), successor_anchor=Anchor.END)


def hold_lag(hold: Hold, first: Activity, last: Activity) -> Lag:
    """Return the order of taking and freeing a vessel, for steps that do not wait for each other."""
    rule = f"{hold.first.label} takes the {hold.equipment.kind} before {hold.last.step.name} frees it"
    return replace(plain_lag(first, last, rule=rule), predecessor_anchor=Anchor.START, successor_anchor=Anchor.END)


def after_words(link: Link) -> str:
    """Return how a step follows another: "starts at once after", "starts at most 5 min after", "starts after"."""
    if link.at_most_s == 0:
        return "starts at once after"
    words = []
    if link.at_least_s > 0:
        words.append(f"at least {minutes(link.at_least_s)}")
    if link.at_most_s is not None:
        words.append(f"at most {minutes(link.at_most_s)}")
    return f"starts {' and '.join(words)} after" if words else "starts after"


def minutes(seconds: int) -> str:
    """Return a time for a sentence: "90 s", "5 min", "10 h"."""
    if seconds % MINUTE:
        return f"{seconds} s"
    if seconds % 3600 == 0 and seconds >= 3 * 3600:
        return f"{seconds // 3600} h"
    return f"{seconds // MINUTE} min"
