"""
The use case of swap-outs: what each duplicate, and useful combinations of them, would do to the day.

A loaded episode comes in, a ``SwapReport`` goes out; one line per stage, and nothing is printed here.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import field, replace
from datetime import time
from fractions import Fraction
from itertools import combinations

from shootplan.app import Loaded, Solver, cost
from shootplan.app.swap_days import PlanDay, SwapDay, chosen_days, cooked_days, filmed_days
from shootplan.model.clock import Range
from shootplan.model.costing import EpisodeCost
from shootplan.model.money import Cost
from shootplan.model.planning import Activity, SolveStatus
from shootplan.model.recipe import Recipe, Step
from shootplan.model.swaps import SwapKey, SwapPlan, SwapReport, SwapStep
from shootplan.problems import InfeasiblePlan, OutOfTime
from shootplan.records import dataclass

__all__ = ["chosen_swaps", "swap_doubles", "swaps"]

#: Up to so many steps every combination is planned; above, each alone, pairs of the longest waits, and all together.
_ALL_COMBINATIONS = 4
_PAIRED = 8
_DAY_S = 24 * 3600


def swaps(
    loaded: Loaded, *, solver: Solver | None = None, least_s: int | None = None, is_filmed: bool = False
) -> SwapReport:
    """
    Return what swap-outs would do to the day: each step that allows one, and combinations.

    Parameters
    ----------
    loaded
        The episode.
    solver
        The planner; plans are shared with what it solved before.
    least_s
        Also look at steps that say nothing of a swap-out and are left alone for so many seconds.
    is_filmed
        Ask of the filmed day: what does not keep until then is made on the day too, and wraps have the strike in them.

    Raises
    ------
    InfeasiblePlan
        If the day without swap-outs has no plan; one that is over the latest wrap is told all the same.
    """
    from shootplan.plan.swaps import swap_steps

    recipes = tuple(item.recipe for item in loaded.resolved.recipes)
    found = swap_steps(recipes, least_s=least_s)
    plan_day = (filmed_days if is_filmed else cooked_days)(loaded, solver or Solver())
    report = _Reporter(loaded, plan_day, cost(loaded)[0]).report(found, _sets(found))
    return replace(report, is_filmed=True, latest_s=_latest_s(loaded)) if is_filmed else report


def _latest_s(loaded: Loaded) -> int | None:
    from shootplan.plan.film_planner import time_to_wrap

    limit_s = time_to_wrap(loaded.resolved)
    return limit_s + loaded.episode.kitchen.strike_s if limit_s is not None else None


def chosen_swaps(loaded: Loaded, solver: Solver, costs: EpisodeCost) -> SwapReport | None:
    """Return the swap-outs that the episode chooses, all of them together, or ``None`` if it chooses none."""
    chosen = [(item.recipe, item.step) for item in loaded.episode.swap_outs]
    found = tuple(
        (recipe.recipe, step)
        for recipe in loaded.resolved.recipes
        for step in recipe.recipe.steps
        if (recipe.id, step.id) in chosen
    )
    if not found:
        return None
    return _Reporter(loaded, chosen_days(loaded, solver), costs).report(found, (tuple(_key(*item) for item in found),))


def swap_doubles(loaded: Loaded) -> dict[tuple[str, str], Fraction]:
    """Return {(recipe id, line id): share of the line} that the duplicates of the chosen swap-outs take in all."""
    from shootplan.cost import duplicate_shares
    from shootplan.plan.swaps import duplicate_steps

    found: dict[tuple[str, str], Fraction] = {}
    for item in loaded.episode.swap_outs:
        recipe = loaded.resolved.recipe(item.recipe)
        if recipe is not None:
            steps = {step.id for step in duplicate_steps(recipe.recipe, item.step)}
            for line, share in duplicate_shares(recipe, steps):
                found[recipe.id, line] = found.get((recipe.id, line), Fraction(0)) + share
    return found


def _key(recipe: Recipe, step: Step) -> SwapKey:
    return (recipe.id, step.id)


def _sets(found: tuple[tuple[Recipe, Step], ...]) -> tuple[tuple[SwapKey, ...], ...]:
    """Return the combinations to plan, smaller ones first, each in list order."""
    keys = [_key(*item) for item in found]
    if len(keys) <= _ALL_COMBINATIONS:
        return tuple(some for size in range(1, len(keys) + 1) for some in combinations(keys, size))
    by_wait = sorted(found, key=lambda item: -(item[1].leave.high_s if item[1].leave is not None else 0))
    paired = {_key(*item) for item in by_wait[:_PAIRED]}
    pairs = combinations([key for key in keys if key in paired], 2)
    return (*((key,) for key in keys), *pairs, tuple(keys))


@dataclass(slots=True)
class _Reporter:
    """Plans the day with one set of duplicates after the other; ``made_s`` is when one is made within the plan."""

    loaded: Loaded
    plan_day: PlanDay
    costs: EpisodeCost
    made_s: dict[SwapKey, tuple[int, int]] = field(default_factory=dict)

    def report(self, found: tuple[tuple[Recipe, Step], ...], sets: tuple[tuple[SwapKey, ...], ...]) -> SwapReport:
        day = self.plan_day(())
        if day.result.schedule is None:
            raise OutOfTime
        wrap_s = day.result.schedule.makespan_s + day.strike_s
        steps = {_key(*item): self._step(*item) for item in found}
        plans: list[SwapPlan] = []
        for keys in sets:
            plan, starts = self._plan(wrap_s, day, [steps[key] for key in keys])
            plan = replace(plan, no_better_than=_no_better(plan, plans))
            plans.append(plan)
            for key in keys:
                age = steps[key].age_s
                found_age = self._age_s(starts.get(key))
                if age is None or (found_age is not None and found_age > age):
                    steps[key] = replace(steps[key], age_s=found_age)
        for key, (made_from_s, ready_s) in self.made_s.items():
            steps[key] = replace(steps[key], made_from_s=made_from_s, ready_s=ready_s)
        useful = [plan for plan in plans if plan.saved_s > 0 and plan.no_better_than is None]
        return SwapReport(
            wrap_s=wrap_s,
            is_proven=day.result.status is SolveStatus.OPTIMAL,
            bound_s=day.result.bound_s + day.strike_s,
            pick_ups=len(day.pick_ups),
            steps=tuple(steps.values()),
            plans=tuple(plans),
            cheapest=min(useful, key=lambda plan: (plan.cost.exact / plan.saved_s, plan.wrap_s), default=None),
            earliest=min(useful, key=lambda plan: (plan.wrap_s, plan.cost.exact), default=None),
        )

    def _step(self, recipe: Recipe, step: Step) -> SwapStep:
        from shootplan.cost import duplicate_cost
        from shootplan.plan.swaps import duplicate_steps, duplicate_time

        made = duplicate_steps(recipe, step.id)
        hands, alone = duplicate_time(made)
        resolved, known = self.loaded.resolved.recipe(recipe.id), self.costs.recipe(recipe.id)
        money, unpriced = Cost.zero(self.costs.currency), tuple[str, ...]()
        if resolved is not None and known is not None:
            money, unpriced = duplicate_cost(resolved, known, {item.id for item in made})
        wait = step.leave or Range(0, 0)
        return SwapStep(
            recipe=recipe.id,
            step=step.id,
            label=f"{recipe.id}: {step.name}",
            wait=Range(wait.low_s, wait.high_s),
            hands=hands,
            alone=alone,
            cost=money,
            unpriced=unpriced,
            keeps_s=step.keeps_s,
            keeps=step.keeps or recipe.attribute("keeps"),
            is_marked=bool(step.may_swap_out),
        )

    def _plan(self, wrap_s: int, without: SwapDay, chosen: list[SwapStep]) -> tuple[SwapPlan, dict[SwapKey, int]]:
        """Return the day with some duplicates, and when each of them is needed."""
        keys = tuple(item.key for item in chosen)
        money = sum((item.cost for item in chosen), Cost.zero(self.costs.currency))
        hands = Range(sum(item.hands.low_s for item in chosen), sum(item.hands.high_s for item in chosen))
        plan = SwapPlan(keys=keys, wrap_s=None, saved_s=0, cost=money, hands=hands)
        try:
            day = self.plan_day(keys)
        except InfeasiblePlan:
            return plan, {}
        bound_s = day.result.bound_s + day.strike_s
        is_other = set(day.pick_ups) != set(without.pick_ups)
        plan = replace(plan, bound_s=bound_s, pick_ups=len(day.pick_ups), has_other_pick_ups=is_other)
        if day.result.schedule is None:
            return replace(plan, is_proven=False), {}
        activities = day.plan_input.activities
        placed = {item.activity: item for item in day.result.schedule.assignments}
        starts = {
            (item.recipe, item.step): placed[item.id].start_s for item in activities if (item.recipe, item.step) in keys
        }
        wrap = day.result.schedule.makespan_s + day.strike_s
        is_proven = day.result.status is SolveStatus.OPTIMAL
        for key in keys:
            last = [item for item in activities if _is_duplicate(item, key)]
            if last:
                begun_s = min(placed[item.id].start_s for item in activities if item.recipe == last[0].recipe)
                self.made_s.setdefault(key, (begun_s, placed[last[-1].id].end_s))
        return replace(plan, wrap_s=wrap, saved_s=wrap_s - wrap, is_proven=is_proven), starts

    def _age_s(self, start_s: int | None) -> int | None:
        """Return how old a duplicate is when it is used that was made the evening before, as early as may be then."""
        if start_s is None or self.loaded.episode.days:
            return start_s
        kitchen = self.loaded.episode.kitchen
        made = kitchen.evening_from or kitchen.staffed_until or self.loaded.episode.call_time
        return start_s + _DAY_S + _seconds(self.loaded.episode.call_time) - _seconds(made)


def _is_duplicate(item: Activity, key: SwapKey) -> bool:
    """Whether an activity ends the making of a duplicate on the day."""
    return item.step == key[1] and item.recipe.startswith(f"{key[0]} duplicate")


def _seconds(moment: time) -> int:
    return moment.hour * 3600 + moment.minute * 60 + moment.second


def _no_better(plan: SwapPlan, earlier: Collection[SwapPlan]) -> tuple[SwapKey, ...] | None:
    """Return the smallest part of a combination that wraps as early; none at all (empty) where it saves nothing."""
    if plan.saved_s <= 0:
        return ()
    for other in earlier:
        is_part = set(other.keys) < set(plan.keys)
        if is_part and plan.wrap_s is not None and other.wrap_s is not None and other.wrap_s <= plan.wrap_s:
            return other.keys
    return None
