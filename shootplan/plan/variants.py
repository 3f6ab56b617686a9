"""
An episode under other conditions: more or fewer cooks, rings and ovens, another call, recipes left out.

A resolved episode and a ``Change`` come in, a resolved episode goes out; or a plan's input, to go with its oven's
temperatures in another order. Nothing is planned here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from shootplan.model.episode import Kitchen, Oven, Person
from shootplan.model.planning import Lag, PlanInput, Schedule
from shootplan.model.recipe import RecipeKind
from shootplan.model.resolved import ResolvedEpisode
from shootplan.model.what_if import Change
from shootplan.plan.ovens import Session, ovens_of
from shootplan.plan.task_gear import RING, is_oven

__all__ = ["at_long_end", "changed_episode", "other_oven_orders", "usual_changes"]


def changed_episode(resolved: ResolvedEpisode, change: Change) -> ResolvedEpisode:
    """
    Return the episode with the change made.

    A further cook may do whatever any cook may; cooks that go are the last of the kitchen file. A further oven is like
    the first. What shared the work with a recipe left out (landing together, waiting) goes with it.
    """
    episode = resolved.episode
    kitchen = _with_ovens(_with_cooks(episode.kitchen, change.cooks), change.ovens)
    if change.rings is not None:
        kitchen = replace(kitchen, hob=replace(kitchen.hob, rings=change.rings))
    episode = replace(
        episode,
        kitchen=kitchen,
        call=change.call or episode.call,
        recipes=tuple(item for item in episode.recipes if item.id not in change.without),
        swap_outs=tuple(item for item in episode.swap_outs if item.recipe not in change.without),
        together=tuple(rule for rule in episode.together if not {rule.recipe, rule.other} & set(change.without)),
    )
    return replace(
        resolved, episode=episode, recipes=tuple(item for item in resolved.recipes if item.id not in change.without)
    )


def at_long_end(plan_input: PlanInput) -> PlanInput:
    """Return the plan without its short ends: enough to find the wrap, and solved in half the time."""
    return replace(plan_input, activities=tuple(replace(item, short_s=item.long_s) for item in plan_input.activities))


def other_oven_orders(plan_input: PlanInput, schedule: Schedule) -> Iterator[tuple[Change, PlanInput]]:
    """Yield the plan with each two temperatures that follow one another in an oven the other way round."""
    start = {item.activity: item.start_s for item in schedule.assignments}
    for oven in ovens_of(plan_input):
        for first, second in pairwise(sorted(oven.sessions, key=lambda session: start[session.id])):
            if not oven.clash(first, second):
                continue
            words = f"{oven.name} at {_heat(second)} before {_heat(first)}"
            lags = tuple(Lag(predecessor=item.id, successor=first.id, rule=words) for item in second.members)
            yield Change(oven_order=words), replace(plan_input, lags=(*plan_input.lags, *lags))


def _heat(session: Session) -> str:
    """Return a session's first temperature and whose dish it is: "200 °C (leek-bean-bake)"."""
    return f"{session.temperatures[0]} °C ({session.heat.recipe})"


def _with_cooks(kitchen: Kitchen, count: int | None) -> Kitchen:
    if count is None:
        return kitchen
    cooks = [person for person in kitchen.people if person.role == "cook"]
    others = [person for person in kitchen.people if person.role != "cook"]
    names = {person.name for person in kitchen.people}
    for number in range(len(cooks) + 1, count + 1):
        name = f"cook {number}"
        while name in names:
            name += "'"
        cooks.append(Person(name=name))
    return replace(kitchen, people=(*cooks[:count], *others))


def _with_ovens(kitchen: Kitchen, count: int | None) -> Kitchen:
    if count is None:
        return kitchen
    ovens = list(kitchen.ovens)
    first = ovens[0] if ovens else Oven()
    ovens += [replace(first, name=f"{first.name} {number}") for number in range(len(ovens) + 1, count + 1)]
    return replace(kitchen, ovens=tuple(ovens[:count]))


def usual_changes(resolved: ResolvedEpisode) -> tuple[Change, ...]:
    """
    Return what a producer asks first: a cook more, rings, an oven more, an earlier call, each dish left out.

    Rings and ovens are asked about only where a step uses one.
    """
    kitchen, episode = resolved.episode.kitchen, resolved.episode
    cooks = max(1, sum(person.role == "cook" for person in kitchen.people))
    gear = [use for item in resolved.recipes for step in item.recipe.steps for use in (*step.uses, *step.holds)]
    found = [Change(cooks=cooks + 1)]
    if any(use.kind == RING for use in gear):
        rings = kitchen.hob.rings
        found += [Change(rings=rings + 1), Change(rings=rings + 2), Change(cooks=cooks + 1, rings=rings + 1)]
        found += [Change(rings=rings - 1)] if rings > 1 else []
    if any(is_oven(use, kitchen.ovens) for use in gear):
        found.append(Change(ovens=len(kitchen.ovens) + 1))
    call = episode.call_time
    if call.hour and not episode.days:
        found.append(Change(call=call.replace(hour=call.hour - 1)))
    dishes = [item.id for item in resolved.recipes if item.recipe.kind is RecipeKind.DISH]
    found += [Change(without=(dish,)) for dish in dishes] if len(dishes) > 1 else []
    return tuple(found)
