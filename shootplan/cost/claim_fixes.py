"""
What would heal a claim: the line that pushes it over, amounts that would just pass, and how far prices may rise.

A claim's subject and its ceiling come in; names, amounts and percentages go out.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from shootplan.cost.claim_figures import Contribution, Subject
from shootplan.model.costing import ClaimFix
from shootplan.model.money import half_up
from shootplan.model.quantity import Amount

__all__ = ["dearest_rise", "fixes_of", "tipping_line"]

#: Steps in which a cook changes an amount in g or ml (rule A2): below the first number by the second.
_METRIC_STEPS = ((10, Fraction(1, 2)), (50, Fraction(1)), (250, Fraction(5)), (1000, Fraction(10)))
_COARSE = Fraction(50)
_UNIT_STEPS = {"tsp": Fraction(1, 4), "tbsp": Fraction(1, 2), "cup": Fraction(1, 4), "dl": Fraction(1, 2)}
_FINE = Fraction(1, 20)


def tipping_line(subject: Subject, limit: Fraction) -> str:
    """
    Return the item at which the figure, added up line by line (options last), first reaches the ceiling.

    It is empty where the flat sum for staples, which comes before all lines, already does.
    """
    reached, name = subject.flat(), ""
    for item in subject.contributions():
        if reached >= limit:
            break
        reached, name = reached + item.part, item.line.line.line.item
    return name


def fixes_of(subject: Subject, limit: Fraction) -> tuple[ClaimFix, ...]:
    """Return each line that alone could be cut enough, with the largest round amount that passes; least cut first."""
    excess = subject.figure.exact - limit
    fixes = [_fix(item, excess) for item in subject.contributions()]
    return tuple(sorted((fix for fix in fixes if fix is not None), key=lambda fix: (fix.cut_percent, fix.item)))


def _fix(item: Contribution, excess: Fraction) -> ClaimFix | None:
    """Return how far one line must be cut to take more than ``excess`` off the figure, or ``None`` if it cannot."""
    line = item.line.line.line
    if item.part == 0 or line.amount is None:
        return None
    now = line.amount.upper().scaled(item.dish.recipe.recipe.scale)
    bound = now.high * (1 - excess / item.part)
    step = _step(bound, now.unit)
    passing = -(-bound // step) * step - step
    if passing <= 0:
        return None
    cut = 100 * (now.high - passing) / now.high
    amount = Amount(passing, passing, now.unit)
    return ClaimFix(
        recipe=item.dish.recipe.id, item=line.item, amount_now=now, amount=amount, cut_percent=half_up(cut, 1)
    )


def _step(value: Fraction, unit: str) -> Fraction:
    """Return the step in which an amount just below ``value`` is changed."""
    if unit in ("g", "ml"):
        return next((step for below, step in _METRIC_STEPS if value <= below), _COARSE)
    if unit in _UNIT_STEPS:
        return _UNIT_STEPS[unit]
    return _FINE if unit in ("kg", "l", "oz", "lb", "cl", "pint", "quart", "fl oz") else Fraction(1)


def dearest_rise(subject: Subject, room: Fraction) -> tuple[str, Decimal | None]:
    """Return the item that costs most of the figure and by how many percent its price alone may rise to the ceiling."""
    by_item: dict[str, Fraction] = {}
    for item in subject.contributions():
        row = item.line.line.price
        name = row.item if row is not None else item.line.line.line.item
        by_item[name] = by_item.get(name, Fraction(0)) + item.part
    name, part = max(by_item.items(), key=lambda pair: pair[1], default=("", Fraction(0)))
    if part == 0:
        return "", None
    return name, half_up(100 * room / part, 1)
