"""
Duplicates that are made within the plan, in time for the wait that they save: on the day what does not keep before.

An episode and the waits that duplicates stand in for come in; dishes to be made beside the others, and the limits that
tie them to their waits, go out. Nothing is scheduled here.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import replace

from shootplan.model.episode import Episode
from shootplan.model.planning import ActivityKind, Anchor, Lag, PlanInput
from shootplan.model.recipe import Recipe, Step
from shootplan.model.resolved import ResolvedEpisode
from shootplan.model.show import minutes_text
from shootplan.model.swaps import SwapKey
from shootplan.plan.swaps import duplicate_steps
from shootplan.plan.task_people import seconds_of_day
from shootplan.records import dataclass

__all__ = ["DayDuplicate", "duplicates_of_the_day", "made_before_s", "with_duplicates"]

_DAY_S = 24 * 3600


@dataclass(frozen=True, slots=True, kw_only=True)
class DayDuplicate:
    """A duplicate that is made on the day: the wait that it saves, and the work as a recipe of its own."""

    key: SwapKey
    step: Step
    recipe: Recipe


def made_before_s(episode: Episode) -> int:
    """Return the latest moment of the evening before at which a duplicate can be ready, in seconds from call."""
    kitchen = episode.kitchen
    evening = kitchen.evening_until or kitchen.staffed_until or episode.call_time
    return seconds_of_day(evening) - seconds_of_day(episode.call_time) - _DAY_S


def duplicates_of_the_day(resolved: ResolvedEpisode, keys: Collection[SwapKey]) -> tuple[DayDuplicate, ...]:
    """
    Return what is made within the plan, of what says how long it keeps.

    On one day that is what would be too old at call from the evening before. A plan over several days has them all: the
    evening is in it.
    """
    episode = resolved.episode
    found: list[DayDuplicate] = []
    for item in resolved.recipes:
        for step in item.recipe.steps:
            if (item.id, step.id) not in keys or step.keeps_s is None:
                continue
            if episode.days or step.keeps_s <= -made_before_s(episode):
                number = 1 + sum(known.key[0] == item.id for known in found)
                recipe = _duplicate(item.recipe, step, number)
                found.append(DayDuplicate(key=(item.id, step.id), step=step, recipe=recipe))
    return tuple(found)


def _duplicate(recipe: Recipe, step: Step, number: int) -> Recipe:
    """Return the work of a duplicate as a recipe of its own; nothing of it is filmed or served."""
    steps = tuple(_made_beside(recipe, item) for item in duplicate_steps(recipe, step.id))
    name = f"{recipe.id} duplicate" + (f" {number}" if number > 1 else "")
    return replace(recipe, id=name, steps=steps)


def _made_beside(recipe: Recipe, step: Step) -> Step:
    """Return a step that waits for steps of its own dish only."""
    if step.after is None:
        return replace(step, shot=None, is_serving=False)
    own = tuple(replace(after, recipe="") for after in step.after if after.recipe in ("", recipe.id))
    return replace(step, shot=None, is_serving=False, after=own)


def with_duplicates(
    plan_input: PlanInput, resolved: ResolvedEpisode, keys: Collection[SwapKey], duplicates: tuple[DayDuplicate, ...]
) -> PlanInput:
    """
    Return the plan with what ties each duplicate to the wait that it saves.

    Parameters
    ----------
    plan_input
        The plan, the waits swapped and the work of the duplicates in it.
    resolved
        The episode.
    keys
        Recipe and step of the waits that a duplicate saves.
    duplicates
        Those of them that are made on the day.
    """
    episode = resolved.episode
    steps = {(item.id, step.id): step for item in resolved.recipes for step in item.recipe.steps}
    on_the_day = {item.key: item for item in duplicates}
    lags: list[Lag] = []
    deadlines: dict[str, int] = {}
    keeps: dict[str, str] = {}
    for key, step in ((key, steps[key]) for key in sorted(set(keys)) if key in steps):
        own = [item for item in plan_input.activities if (item.recipe, item.step) == key]
        swapped = [item for item in own if item.kind is ActivityKind.LEAVE and not item.long_s]
        for item in swapped:
            made = on_the_day.get(key)
            if made is not None:
                lags += _ties(plan_input, made, item.id)
            elif step.keeps_s is not None and step.keeps_s < _DAY_S:
                deadlines[item.id] = made_before_s(episode) + step.keeps_s
                keeps[item.id] = minutes_text(step.keeps_s)
    activities = tuple(
        replace(item, deadline_s=deadlines[item.id], deadline_why=f"it keeps {keeps[item.id]} from the evening before")
        if item.id in deadlines
        else item
        for item in plan_input.activities
    )
    return replace(plan_input, activities=activities, lags=(*plan_input.lags, *lags))


def _ties(plan_input: PlanInput, made: DayDuplicate, swapped: str) -> Iterator[Lag]:
    """Yield that the duplicate is ready before it comes in, and still fit."""
    own = [item for item in plan_input.activities if (item.recipe, item.step) == (made.recipe.id, made.step.id)]
    if not own:
        return
    keeps = minutes_text(made.step.keeps_s or 0)
    rule = f"{made.recipe.id}: {made.step.name} comes in at most {keeps} after it is made: it keeps so long"
    yield Lag(
        predecessor=own[-1].id,
        successor=swapped,
        at_most_s=made.step.keeps_s,
        predecessor_anchor=Anchor.END,
        rule=rule,
        span=made.step.place("keeps"),
    )
