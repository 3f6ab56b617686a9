"""
A duplicate that is ready instead of a wait: which steps allow it, the plan with it, and the work that it takes.

Recipes and a ``PlanInput`` come in; the plan in which the waits are gone, and the steps that make a duplicate, go out.
Money is not here, and nothing is scheduled.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import replace

from shootplan.model.clock import Range
from shootplan.model.planning import Activity, ActivityKind, Anchor, Lag, PlanInput
from shootplan.model.recipe import Recipe, Step, When
from shootplan.model.swaps import SwapKey
from shootplan.plan.task_scope import Key, make_scope
from shootplan.plan.times import bound_time

__all__ = ["duplicate_steps", "duplicate_time", "swap_steps", "with_swaps"]


def swap_steps(recipes: tuple[Recipe, ...], *, least_s: int | None = None) -> tuple[tuple[Recipe, Step], ...]:
    """
    Return the waiting steps of the day that a duplicate may stand in for, in list order.

    Parameters
    ----------
    recipes
        The episode's recipes.
    least_s
        Also the steps that say nothing of a swap-out and are left alone for so long at their long end; ``None`` for
        those marked ``swap-out: yes`` only.
    """
    return tuple(
        (recipe, step)
        for recipe in recipes
        for step in recipe.steps
        if is_wait(step) and (step.may_swap_out or (step.may_swap_out is None and _is_long(step, least_s)))
    )


def is_wait(step: Step) -> bool:
    """Return whether a step of the day, options left out, leaves something alone that no oven's heating is."""
    return step.leave is not None and step.heats is None and not step.is_optional and step.when is not When.AHEAD


def _is_long(step: Step, least_s: int | None) -> bool:
    return least_s is not None and step.leave is not None and step.leave.high_s >= least_s


def with_swaps(plan_input: PlanInput, keys: Collection[SwapKey]) -> PlanInput:
    """
    Return the plan in which a duplicate stands ready for each of the steps: their waits take no time and no gear.

    The hands-on part of such a step is still filmed, and the order of the steps stays. What is filmed up to there is
    put away, so nothing limits how long it waits; the most that a swapped window may last is the duplicate's business.
    An oven that heats for none but them is not heated. A shot of the wait is taken when the duplicate is in and before
    the dish is served. Everything else stays.
    """
    if not keys:
        return plan_input
    swapped = {item.id for item in plan_input.activities if (item.recipe, item.step) in keys and _is_wait_part(item)}
    gone = _needless(plan_input, swapped)
    activities = tuple(
        _ready(item) if item.id in swapped else item for item in plan_input.activities if item.id not in gone
    )
    lags = tuple(
        replace(lag, at_most_s=None) if lag.successor in swapped else lag
        for lag in plan_input.lags
        if not (lag.predecessor in swapped and _is_bound_to_wait(lag)) and not {lag.predecessor, lag.successor} & gone
    )
    return replace(plan_input, activities=activities, lags=(*lags, *_before_served(plan_input, keys, gone)))


def _before_served(plan_input: PlanInput, keys: Collection[SwapKey], gone: set[str]) -> Iterator[Lag]:
    """Yield that the shot of a wait is taken before its dish is served: nothing is left of it afterwards."""
    found = {item.id: item for item in plan_input.activities}
    served = {found[name].recipe: found[name] for name in plan_input.heroes}
    for item in plan_input.activities:
        is_live = item.id.endswith("+shot") and (item.recipe, item.step) in keys and item.id not in gone
        if is_live and item.recipe in served:
            hero = served[item.recipe]
            rule = f"{item.label} is taken before {hero.label}"
            yield Lag(predecessor=item.id, successor=hero.id, at_least_s=0, rule=rule, span=item.span)


def _needless(plan_input: PlanInput, swapped: set[str]) -> set[str]:
    """Return the heats that nothing but swapped waits bakes at, and the shots of their dials."""
    used = {item.oven.heat for item in plan_input.activities if item.oven is not None and item.id not in swapped}
    idle = {item.oven.heat for item in plan_input.activities if item.oven is not None and item.id in swapped} - used
    idle -= {name for held in plan_input.occupations for name in (held.first, held.last)}
    steps = {(item.recipe, item.step) for item in plan_input.activities if item.id in idle}
    shots = {item.id for item in plan_input.activities if (item.recipe, item.step) in steps and _is_recording(item)}
    return idle | shots


def _is_wait_part(activity: Activity) -> bool:
    return activity.kind is ActivityKind.LEAVE and not _is_recording(activity)


def _is_recording(activity: Activity) -> bool:
    """Whether an activity is the shot of a step that is left alone, which the filmed day plans apart."""
    return "+" in activity.id.rpartition("/")[2]


def _ready(activity: Activity) -> Activity:
    return replace(
        activity,
        label=f"{activity.label or activity.id} (duplicate comes in)",
        short_s=0,
        long_s=0,
        workers=(),
        needs=(),
        look_in=None,
        oven=None,
        film=None,
    )


def _is_bound_to_wait(lag: Lag) -> bool:
    """Whether a lag only limits how long its predecessor is left (rule T7), or keeps a shot within that time."""
    is_shot = "+" in lag.successor.rpartition("/")[2]
    is_limit = lag.at_least_s is None and lag.at_most_s is not None
    return is_limit and (lag.predecessor_anchor is Anchor.START or is_shot)


def duplicate_steps(recipe: Recipe, step_id: str) -> tuple[Step, ...]:
    """
    Return the core steps of a recipe that a duplicate goes through, up to and with the step named, in list order.

    Steps done before the day are in; what other recipes do is not.
    """
    scope = make_scope((recipe,), include_ahead=True)
    found: set[Key] = set()
    waiting: list[Key] = [(recipe.id, step_id)]
    while waiting:
        item = scope.find(waiting.pop())
        if item is not None and item.key not in found:
            found.add(item.key)
            waiting += [link.predecessor for link in item.links]
    return tuple(step for step in recipe.steps if (recipe.id, step.id) in found)


def duplicate_time(steps: tuple[Step, ...]) -> tuple[Range, Range]:
    """Return the seconds of hands (watching and look-ins included) and of leaving alone that steps take together."""
    bound = [bound_time(step) for step in steps]
    alone = [(step.leave.low_s, step.leave.high_s, step.batches) for step in steps if step.leave is not None]
    hands = Range(sum(item.low_s for item in bound), sum(item.high_s for item in bound))
    return hands, Range(
        sum(low * batches for low, _, batches in alone),
        sum(high * batches for _, high, batches in alone),
    )
