"""
The day with a wish beside an early wrap, as one more rule of the plan, and what a plan is worth by such wishes.

A ``PlanInput`` comes in, one with further lags or resources goes out; the planner itself knows no wishes.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from itertools import pairwise

from shootplan.model.clock import Window
from shootplan.model.days import day_of
from shootplan.model.planning import Activity, ActivityKind, Anchor, Lag, Occupation, PlanInput, Resource, Schedule
from shootplan.model.recipe import When
from shootplan.model.resolved import ResolvedEpisode
from shootplan.model.trade import Wish
from shootplan.plan.orders import hands_uses
from shootplan.plan.task_scope import make_scope

__all__ = ["ahead_of", "changes_of_dish", "dishes_at_once", "served_after", "waits_of", "with_wish"]

_DISHES = "dishes in work"

#: The first activity of a dish's serving step, and the last ones of what is served hot or within a limit.
Served = Mapping[str, tuple[str, ...]]


def with_wish(plan_input: PlanInput, wish: Wish, served: Served, ahead: Collection[str] = ()) -> PlanInput:
    """
    Return the plan in which no more dishes are in work at once, and each is served so soon when it is ready.

    What is done ``ahead`` does not put a dish in work.
    """
    if wish.dishes is not None:
        plan_input = _with_dishes(plan_input, wish.dishes, ahead)
    if wish.served_within_s is not None:
        plan_input = _served_within(plan_input, wish.served_within_s, served)
    return plan_input


def ahead_of(resolved: ResolvedEpisode, plan_input: PlanInput) -> frozenset[str]:
    """Return the activities of steps that are done ahead: none of them is in the plan of a single day."""
    ahead = {(item.id, step.id) for item in resolved.recipes for step in item.recipe.steps if step.when is not When.DAY}
    return frozenset(item.id for item in plan_input.activities if (item.recipe, item.step) in ahead)


def served_after(resolved: ResolvedEpisode, plan_input: PlanInput) -> dict[str, tuple[str, ...]]:
    """
    Return for each dish's serving step what it serves: the steps right before it that are on the heat, or are left
    for a time that we choose, or must be used within a limit; all of them where none is. What may stand overnight does
    not wait to be served.
    """
    scope = make_scope(tuple(item.recipe for item in resolved.recipes))
    found: dict[str, tuple[str, ...]] = {}
    for recipe in resolved.recipes:
        last = scope.final(recipe.id)
        run = [item for item in plan_input.activities if last is not None and (item.recipe, item.step) == last.key]
        if not run or last is None:
            continue
        limited = {link.predecessor for link in last.links if link.at_most_s is not None}
        before: list[tuple[str, bool]] = []
        for lag in plan_input.lags:
            item = _activity(plan_input, lag.predecessor)
            is_link = lag.successor == run[0].id and lag.at_least_s is not None and lag.predecessor_anchor is Anchor.END
            if is_link and item.recipe == recipe.id and not item.may_run_closed:
                step = recipe.recipe.step(item.step)
                is_hot = step is not None and (step.is_on_heat or isinstance(step.leave, Window))
                before.append((item.id, is_hot or (item.recipe, item.step) in limited))
        chosen = tuple(name for name, is_chosen in before if is_chosen)
        found[run[0].id] = chosen or tuple(name for name, _ in before)
    return found


def _activity(plan_input: PlanInput, name: str) -> Activity:
    return next(item for item in plan_input.activities if item.id == name)


def _with_dishes(plan_input: PlanInput, count: int, ahead: Collection[str]) -> PlanInput:
    """Let each dish take one of ``count`` places from its first hands-on work to the end of its last step."""
    activities, lags, held = list(plan_input.activities), list(plan_input.lags), []
    for recipe in _recipes(plan_input):
        own = [item for item in plan_input.activities if item.recipe == recipe and item.id not in ahead]
        opens, closes = _moment(recipe, "begun"), _moment(recipe, "done")
        activities += [opens, closes]
        rule = f"no more than {count} dishes are in work at once"
        for item in own:
            if item.kind is not ActivityKind.HEAT:
                lags.append(Lag(predecessor=opens.id, successor=item.id, rule=rule))
            lags.append(Lag(predecessor=item.id, successor=closes.id, rule=rule))
        held.append(Occupation(id=f"{recipe}/place", resource=_DISHES, first=opens.id, last=closes.id, label=recipe))
    return replace(
        plan_input,
        activities=tuple(activities),
        lags=tuple(lags),
        resources=(*plan_input.resources, Resource(id=_DISHES, capacity=count, label="place for a dish in work")),
        occupations=(*plan_input.occupations, *held),
    )


def _moment(recipe: str, word: str) -> Activity:
    return Activity(
        id=f"{recipe}/{word}",
        kind=ActivityKind.LEAVE,
        short_s=0,
        long_s=0,
        label=f"{recipe}: {word}",
        recipe=recipe,
    )


def _served_within(plan_input: PlanInput, within_s: int, served: Served) -> PlanInput:
    rule = f"each dish is served within {within_s // 60} min of being ready"
    more = tuple(
        Lag(predecessor=before, successor=serve, at_least_s=None, at_most_s=within_s, rule=rule)
        for serve, ready in served.items()
        for before in ready
    )
    return replace(plan_input, lags=(*plan_input.lags, *more))


# ---------------------------------------------------------------------------------------------------- what it is worth


def changes_of_dish(plan_input: PlanInput, schedule: Schedule) -> int:
    """Return how often somebody's hands go on with another dish; look-ins are no change, nor is another day."""
    recipes = {item.id: item.recipe for item in plan_input.activities}
    total = 0
    for worker in plan_input.workers:
        uses = [use for use in hands_uses(plan_input, schedule, worker.name) if not use.begins.offset_s]
        total += sum(
            recipes[one.activity] != recipes[other.activity]
            and day_of(plan_input, one.start_s) == day_of(plan_input, other.start_s)
            for one, other in pairwise(uses)
        )
    return total


def waits_of(schedule: Schedule, served: Served) -> tuple[int, ...]:
    """Return for each dish the longest seconds that anything waits between ready and served."""
    placed = {item.activity: item for item in schedule.assignments}
    return tuple(
        max((placed[serve].start_s - placed[before].end_s for before in ready), default=0)
        for serve, ready in served.items()
    )


def dishes_at_once(plan_input: PlanInput, schedule: Schedule, ahead: Collection[str] = ()) -> int:
    """
    Return the most dishes in work at once, each from its first work (an oven's heating apart) to its last.

    What is done ``ahead`` does not put a dish in work.
    """
    placed = {item.activity: item for item in schedule.assignments}
    spans = []
    for recipe in _recipes(plan_input):
        own = [item for item in plan_input.activities if item.recipe == recipe and item.id not in ahead]
        begun = [placed[item.id].start_s for item in own if _is_work(item, recipe)]
        spans.append((min(begun, default=0), max((placed[item.id].end_s for item in own), default=0)))
    return max((sum(start <= moment < end for start, end in spans) for moment, _ in spans), default=0)


def _is_work(item: Activity, recipe: str) -> bool:
    return item.recipe == recipe and item.kind is not ActivityKind.HEAT and item.long_s > 0


def _recipes(plan_input: PlanInput) -> tuple[str, ...]:
    return tuple(dict.fromkeys(item.recipe for item in plan_input.activities))
