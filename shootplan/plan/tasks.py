"""
From an episode's steps to what the planner is given.

A resolved episode comes in, a ``PlanInput`` goes out: each step becomes up to three activities (hands-on, watched,
left or heating) joined without a pause, its links become time lags, its equipment needs and occupations. Nothing is
scheduled here, and times are the kitchen clock's: takes and re-rigs of the camera are not in them.
"""

from __future__ import annotations

import itertools
from dataclasses import field, replace
from typing import Protocol

from shootplan.model.clock import Window
from shootplan.model.episode import Together
from shootplan.model.filming import Camera
from shootplan.model.planning import (
    Activity,
    ActivityKind,
    Anchor,
    Lag,
    LookInTask,
    Occupation,
    OvenState,
    PlanInput,
    Resource,
)
from shootplan.model.recipe import Recipe, Step
from shootplan.model.resolved import ResolvedEpisode
from shootplan.plan.task_gear import RING, Hold, check_equipment, find_holds, needs_of, resource_of, resources_of
from shootplan.plan.task_lags import after_words, batches_lag, hold_lag, minutes, plain_lag, window_lag
from shootplan.plan.task_ovens import InsertedHeat, OvenUse, heat_id, tie_ovens
from shootplan.plan.task_people import Setting, make_setting
from shootplan.plan.task_scope import Key, Link, Scope, ScopedStep, make_scope
from shootplan.records import dataclass

__all__ = ["Builder", "build_plan", "check_equipment"]


def build_plan(
    resolved: ResolvedEpisode,
    *,
    recipes: tuple[str, ...] | None = None,
    cooks: int | None = None,
    home: bool = False,
    with_options: bool = False,
    include_ahead: bool = False,
    beside: tuple[Recipe, ...] = (),
) -> PlanInput:
    """
    Return the planner's input for an episode or some of its recipes.

    Parameters
    ----------
    resolved
        The episode; equipment that the kitchen does not have is passed over (``check_equipment`` reports it).
    recipes
        Ids of the recipes to plan; ``None`` for all. Links to recipes left out are dropped.
    cooks
        So many identical cooks instead of the crew; ``None`` for the crew of the kitchen file.
    home
        Plan in the home kitchen: its rings and ovens, the vessels of the kitchen file, one cook unless ``cooks`` says
        otherwise.
    with_options
        Whether optional steps are planned.
    include_ahead
        Whether steps that are always done before the day are planned.
    beside
        More that is made, the duplicates of the day.

    Returns
    -------
    PlanInput
        Activities in the order of recipes and steps, ids "recipe/step#part", from the second batch on
        "recipe/step@2#part".
    """
    chosen = tuple(item.recipe for item in resolved.recipes if recipes is None or item.id in recipes)
    scope = make_scope((*chosen, *beside), with_options=with_options, include_ahead=include_ahead)
    setting = make_setting(resolved.episode, cooks=cooks, home=home)
    return Builder(scope, setting).build(resolved.episode.together)


# ---------------------------------------------------------------------------------------------------- building


class Extra(Protocol):
    """What a plan asks beyond the kitchen's clock: filming."""

    @property
    def cameras(self) -> tuple[Camera, ...]:
        """Return the cameras of the day."""

    def parts(self, item: ScopedStep, batch: int, parts: list[Activity]) -> list[Activity]:
        """Return a step's parts as they are done there."""

    def complete(self, builder: Builder) -> None:
        """Add what no step holds."""

    def heroes(self, builder: Builder) -> tuple[str, ...]:
        """Return the activities that begin the serving of a dish."""


@dataclass(slots=True)
class Builder:
    """Turns steps into activities and keeps the ids by which lags and occupations refer to them."""

    scope: Scope
    setting: Setting
    activities: list[Activity] = field(default_factory=list)
    lags: list[Lag] = field(default_factory=list)
    occupations: list[Occupation] = field(default_factory=list)
    holds: dict[str, tuple[Hold, ...]] = field(default_factory=dict)
    oven_use: OvenUse = field(default_factory=OvenUse)
    runs: dict[Key, list[list[Activity]]] = field(default_factory=dict)
    extra: Extra | None = None

    def build(self, together: tuple[Together, ...]) -> PlanInput:
        """Return the plan's input, ``together`` being the dishes that land together."""
        self.oven_use = tie_ovens(self.scope, self.setting.ovens)
        for recipe in dict.fromkeys(item.recipe.id for item in self.scope.steps):
            items = self.scope.of_recipe(recipe)
            self.holds[recipe] = find_holds(self.scope, items[0].recipe)
        for item in self.scope.steps:
            self._add_step(item)
        for item in self.scope.steps:
            self._add_links(item)
        for recipe, holds in self.holds.items():
            self._add_occupations(recipe, holds)
        for rule in together:
            self._add_together(rule)
        if self.extra is not None:
            self.extra.complete(self)
        return self._input()

    def _input(self) -> PlanInput:
        used = {name for activity in self.activities for name, _ in activity.needs}
        used |= {occupation.resource for occupation in self.occupations}
        ovens = self.setting.ovens
        return PlanInput(
            activities=tuple(self.activities),
            lags=tuple(self.lags),
            resources=tuple(item for item in self._resources() if item.id in used),
            occupations=tuple(self.occupations),
            workers=self.setting.workers,
            oven_shelves=tuple((oven.name, oven.shelves) for oven in ovens),
            oven_tolerance_c=tuple((oven.name, oven.tolerance_c) for oven in ovens),
            oven_change_s=tuple((oven.name, oven.change_s) for oven in ovens),
            cameras=self.extra.cameras if self.extra is not None else (),
            heroes=self.extra.heroes(self) if self.extra is not None else (),
        )

    def _resources(self) -> tuple[Resource, ...]:
        return resources_of(self.setting.kitchen, self.setting.rings)

    # ------------------------------------------------------------------------------------------------ activities

    def _add_step(self, item: ScopedStep) -> None:
        for heat in self.oven_use.inserted:
            if heat.item.key == item.key:
                self.activities.append(_inserted_heat(heat))
        runs = [self._run(item, number) for number in range(1, max(1, item.step.batches) + 1)]
        self.runs[item.key] = runs
        for before, after in itertools.pairwise(runs):
            self.lags.append(plain_lag(before[-1], after[0], rule=f"{item.label} is done batch after batch"))
        if item.step.fit_s is not None and len(runs) > 1:
            self.lags.append(batches_lag(item, runs[0][-1], runs[-1][-1], item.step.fit_s))

    def _run(self, item: ScopedStep, batch: int) -> list[Activity]:
        run = self._parts(item, batch)
        for before, after in itertools.pairwise(run):
            self.lags.append(plain_lag(before, after, at_most_s=0, rule=f"{item.label} goes on without a pause"))
        self.activities += run
        return run

    def _parts(self, item: ScopedStep, batch: int) -> list[Activity]:
        step = item.step
        people = self.setting.may_do(step)
        suffix = f"@{batch}" if batch > 1 else ""
        base = self._base(item, f"{item.recipe.id}/{step.id}{suffix}", batch)
        parts: list[Activity] = []
        if step.hands is not None:
            low, high = step.hands.low_s, step.hands.high_s
            pausable = _may_pause(item, self.scope)
            parts.append(_part(base, "hands", ActivityKind.HANDS, low, high, workers=people, is_pausable=pausable))
        if step.watch is not None:
            low, high = step.watch.low_s, step.watch.high_s
            parts.append(_part(base, "watch", ActivityKind.WATCH, low, high, workers=people))
        if step.heats is not None and item.key in self.oven_use.heating:
            parts.append(self._heat(item, base))
        elif step.leave is not None:
            parts.append(_leave(base, step, people))
        parts = parts or [_part(base, "untimed", ActivityKind.LEAVE, 0, 0)]
        return self.extra.parts(item, batch, parts) if self.extra is not None else parts

    def _base(self, item: ScopedStep, base_id: str, batch: int) -> Activity:
        count = f" (batch {batch} of {item.step.batches})" if item.step.batches > 1 else ""
        return Activity(
            id=base_id,
            kind=ActivityKind.LEAVE,
            short_s=0,
            long_s=0,
            label=f"{item.label}{count}",
            recipe=item.recipe.id,
            step=item.step.id,
            needs=needs_of(item, self.holds[item.recipe.id], self.scope, self.setting.kitchen),
            oven=self.oven_use.baking.get(item.key),
            span=item.step.span,
        )

    def _heat(self, item: ScopedStep, base: Activity) -> Activity:
        state = self.oven_use.heating[item.key]
        oven = next(oven for oven in self.setting.ovens if oven.name == state.oven)
        leave = item.step.leave or oven.heat_up_s
        return _part(base, "heat", ActivityKind.HEAT, leave.low_s, leave.high_s, oven=state)

    # ------------------------------------------------------------------------------------------------ lags

    def _add_links(self, item: ScopedStep) -> None:
        first = self.runs[item.key][0][0]
        for link in item.links:
            before = self.scope.find(link.predecessor)
            if before is None:
                continue
            self.lags.append(self._link_lag(before, item, link))
            left = self.runs[before.key][-1][-1]
            if isinstance(before.step.leave, Window) and before.step.leave.at_most_s is not None:
                self.lags.append(window_lag(before, item, left, first, before.step.leave.at_most_s))
        self._tie_to_heat(item)

    def _link_lag(self, before: ScopedStep, item: ScopedStep, link: Link) -> Lag:
        last, first = self.runs[before.key][-1][-1], self.runs[item.key][0][0]
        rule = f"{item.label} {after_words(link)} {before.step.name}"
        span = link.span
        return plain_lag(last, first, at_least_s=link.at_least_s, at_most_s=link.at_most_s, rule=rule, span=span)

    def _tie_to_heat(self, item: ScopedStep) -> None:
        """A bake waits for its heat even where no ``after`` says so; one that follows in the same oven need not."""
        state = self.oven_use.baking.get(item.key)
        if state is None or any(heat_id(link.predecessor) == state.heat for link in item.links):
            return
        heat = next(activity for activity in self.activities if activity.id == state.heat)
        rule = f"{item.label} waits until the oven is at {state.temperature_c} °C"
        for run in self.runs[item.key]:
            self.lags.append(plain_lag(heat, run[0], rule=rule))

    def _add_together(self, rule: Together) -> None:
        first, second = self.scope.final(rule.other), self.scope.final(rule.recipe)
        if first is None or second is None:
            return
        words = "after" if rule.is_after else "of"
        lag = plain_lag(
            self.runs[first.key][-1][-1],
            self.runs[second.key][-1][-1],
            at_least_s=0 if rule.is_after else -rule.within_s,
            at_most_s=rule.within_s,
            rule=f"{rule.recipe} is ready within {minutes(rule.within_s)} {words} {rule.other}",
            span=rule.span,
        )
        self.lags.append(replace(lag, successor_anchor=Anchor.END))

    # ------------------------------------------------------------------------------------------------ occupations

    def _add_occupations(self, recipe: str, holds: tuple[Hold, ...]) -> None:
        for number, hold in enumerate(holds, start=1):
            resource = resource_of(hold.equipment, self.setting.kitchen)
            if resource is None:
                continue
            first, last = self.runs[hold.first.key][0][0], self.runs[hold.last.key][-1][-1]
            if hold.is_from_before:
                first = self._filled_before(recipe, number)
                rule = f"{hold.last.label} works with what was made before the day"
                self.lags.append(plain_lag(first, self.runs[hold.last.key][0][0], rule=rule))
            elif not self.scope.leads_to(hold.first.key, hold.last.key):
                self.lags.append(hold_lag(hold, first, last))
            self.occupations.append(
                Occupation(
                    id=f"{recipe}/{resource}#{number}",
                    resource=resource,
                    first=first.id,
                    last=last.id,
                    count=hold.equipment.count,
                    after_s=self.wash_s(resource),
                    label=f"{recipe}: {hold.equipment.kind}",
                    span=hold.equipment.span,
                )
            )

    def _filled_before(self, recipe: str, number: int) -> Activity:
        """Add the moment at which the day begins, from which a vessel filled ahead is occupied."""
        moment = Activity(
            id=f"{recipe}/ahead#{number}",
            kind=ActivityKind.LEAVE,
            short_s=0,
            long_s=0,
            label=f"{recipe}: made ahead",
            recipe=recipe,
            deadline_s=0,
        )
        self.activities.append(moment)
        return moment

    def wash_s(self, resource: str) -> int:
        """Return the seconds of washing after a vessel's use, 0 for what is not washed."""
        vessel = self.setting.kitchen.vessel(resource)
        return vessel.wash_s if vessel is not None and resource != RING else 0


# ---------------------------------------------------------------------------------------------------- small pieces


def _part(
    base: Activity,
    name: str,
    kind: ActivityKind,
    low_s: int,
    high_s: int,
    *,
    workers: tuple[str, ...] = (),
    is_pausable: bool = False,
    oven: OvenState | None = None,
) -> Activity:
    return replace(
        base,
        id=f"{base.id}#{name}",
        kind=kind,
        short_s=low_s,
        long_s=high_s,
        workers=workers,
        is_pausable=is_pausable,
        oven=oven or base.oven,
    )


def _leave(base: Activity, step: Step, people: tuple[str, ...]) -> Activity:
    if step.leave is None:
        raise ValueError("a step without leave: has nothing to leave")
    low, high = step.leave.low_s, step.leave.high_s
    if step.check is None:
        return _part(base, "leave", ActivityKind.LEAVE, low, high)
    look_in = LookInTask(every_s=step.check.every_s, for_s=step.check.for_s)
    return replace(_part(base, "leave", ActivityKind.LEAVE, low, high, workers=people), look_in=look_in)


def _inserted_heat(heat: InsertedHeat) -> Activity:
    item = heat.item
    return Activity(
        id=heat_id(item.key),
        kind=ActivityKind.HEAT,
        short_s=heat.oven.heat_up_s.low_s,
        long_s=heat.oven.heat_up_s.high_s,
        label=f"{item.recipe.id}: heat the oven to {heat.temperature_c} °C for {item.step.name}",
        recipe=item.recipe.id,
        step=item.step.id,
        oven=OvenState(oven=heat.oven.name, temperature_c=heat.temperature_c),
        span=item.step.span,
    )


def _may_pause(item: ScopedStep, scope: Scope) -> bool:
    """Preparation without heat may be broken off, unless it follows something within a limit or serves the dish."""
    step = item.step
    if step.is_pausable is not None:
        return step.is_pausable
    is_bound = any(link.at_most_s is not None for link in item.links)
    return not (step.is_on_heat or step.is_serving or is_bound or item is scope.final(item.recipe.id))
