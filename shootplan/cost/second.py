"""
The costs of an episode told in its second currency, at the dated rate (rule M7).

Exact costs and a rate come in, exact costs go out; nothing is rounded and nothing is judged here.
"""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from typing import Any

from shootplan.cost.currency import minor_digits
from shootplan.model.costing import EpisodeCost
from shootplan.model.episode import SecondCurrency
from shootplan.model.money import Cost
from shootplan.model.resolved import ResolvedLine

__all__ = ["in_currency", "rate_words"]


def in_currency(costs: EpisodeCost, also: SecondCurrency) -> EpisodeCost:
    """Return all exact costs times the rate, with the decimal places of the second currency; verdicts are left out."""
    told: EpisodeCost = _told(replace(costs, verdicts=()), also)
    return replace(told, currency=also.currency, places=minor_digits(also.currency))


def rate_words(also: SecondCurrency, ours: str) -> str:
    """Return the rate with its date, as it must stand beside a price in the second currency."""
    pair = (
        f"1 {also.currency} = {also.rate} {ours}"
        if also.is_quoted_per_theirs
        else f"1 {ours} = {also.rate} {also.currency}"
    )
    return f"{pair} on {also.on}"


def _told(value: Any, also: SecondCurrency) -> Any:
    """Return a result of costing with every ``Cost`` in it converted; lines of the recipe stay as they are."""
    if isinstance(value, Cost):
        return Cost(value.exact * also.factor, also.currency)
    if isinstance(value, tuple):
        return tuple(_told(part, also) for part in value)
    if isinstance(value, ResolvedLine) or not is_dataclass(value) or isinstance(value, type):
        return value
    return replace(value, **{item.name: _told(getattr(value, item.name), also) for item in fields(value) if item.init})
