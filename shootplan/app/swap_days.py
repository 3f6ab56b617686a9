"""
The day with some duplicates ready in place of waits, cooked or filmed: what the report on swap-outs compares.

A loaded episode and the waits that are saved come in, a ``SwapDay`` goes out; nothing is compared here.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import replace
from typing import TYPE_CHECKING

from shootplan.app import Loaded, Solver, day_input
from shootplan.app.film import filmed_plan
from shootplan.model.episode import SwapOut
from shootplan.model.planning import PlanInput, SolveResult
from shootplan.model.resolved import ResolvedEpisode
from shootplan.model.swaps import SwapKey
from shootplan.problems import InfeasiblePlan
from shootplan.records import dataclass

if TYPE_CHECKING:
    from shootplan.plan.film_planner import FilmedPlan

__all__ = ["PlanDay", "SwapDay", "chosen_days", "cooked_days", "filmed_days"]

#: What each filmed day with duplicates has of the time of the day without them, which is planned for its re-rigs too.
_SHARE = 0.4


@dataclass(frozen=True, slots=True, kw_only=True)
class SwapDay:
    """A planned day; ``strike_s`` is what comes after the plan's end, ``pick_ups`` the steps picked up later."""

    plan_input: PlanInput
    result: SolveResult
    strike_s: int = 0
    pick_ups: tuple[tuple[str, str], ...] = ()


#: Plans the day in which duplicates stand in for these waits, none for the day without.
PlanDay = Callable[[Collection[SwapKey]], SwapDay]


def cooked_days(loaded: Loaded, solver: Solver) -> PlanDay:
    """Return how the cooked day is planned for its wrap alone, duplicates ready wherever they come from."""
    from shootplan.plan.variants import at_long_end

    def planned(keys: Collection[SwapKey]) -> SwapDay:
        plan_input = at_long_end(day_input(loaded, ready=keys))
        return SwapDay(plan_input=plan_input, result=solver.lengths(plan_input))

    return planned


def chosen_days(loaded: Loaded, solver: Solver) -> PlanDay:
    """Return how the cooked day is planned with the duplicates that the episode chooses, or with none."""

    def planned(keys: Collection[SwapKey]) -> SwapDay:
        plan_input = day_input(loaded, ready=None if keys else ())
        return SwapDay(plan_input=plan_input, result=solver(plan_input))

    return planned


def filmed_days(loaded: Loaded, solver: Solver) -> PlanDay:
    """
    Return how the filmed day is planned: with cameras, re-rigs and meal, duplicates made on the day in it.

    The same shots are picked up later as on the day without duplicates, so that wraps are of the same work; only where
    no day is possible so, others are looked for.
    """
    return _FilmedDays(loaded.resolved, solver)


@dataclass(slots=True)
class _FilmedDays:
    """
    Plans the filmed day without duplicates once, and from it each day with some.

    Only the day without them is first planned within the latest wrap, as everywhere; a day that is over it is no error
    here, for that is why one asks for duplicates.
    """

    resolved: ResolvedEpisode
    solver: Solver
    first: FilmedPlan | None = None

    def __call__(self, keys: Collection[SwapKey]) -> SwapDay:
        first = self.first = self.first or self._without_any()
        plan = self._again(_chosen(_at_any_hour(self.resolved), keys), first) if keys else first
        return SwapDay(
            plan_input=plan.plan_input,
            result=plan.result,
            strike_s=self.resolved.episode.kitchen.strike_s,
            pick_ups=tuple((item.recipe, item.step) for item in plan.pick_ups),
        )

    def _without_any(self) -> FilmedPlan:
        from shootplan.plan.film_planner import time_to_wrap

        without = _chosen(self.resolved, ())
        try:
            return filmed_plan(without, self.solver)
        except InfeasiblePlan:
            if time_to_wrap(without) is None:
                raise
        return filmed_plan(_at_any_hour(without), self.solver)

    def _again(self, resolved: ResolvedEpisode, first: FilmedPlan) -> FilmedPlan:
        from shootplan.plan.film_again import plan_again
        from shootplan.plan.film_planner import FILM_BUDGET

        run, budget = self.solver, _SHARE * FILM_BUDGET
        return plan_again(resolved, first, budget=budget, workers=run.workers, progress=run.progress, keep=run.keep)


def _chosen(resolved: ResolvedEpisode, keys: Collection[SwapKey]) -> ResolvedEpisode:
    """Return the episode with these duplicates and no others."""
    chosen = tuple(SwapOut(recipe=recipe, step=step) for recipe, step in keys)
    return replace(resolved, episode=replace(resolved.episode, swap_outs=chosen))


def _at_any_hour(resolved: ResolvedEpisode) -> ResolvedEpisode:
    """Return the episode without its latest wrap."""
    kitchen = replace(resolved.episode.kitchen, latest_wrap=None)
    return replace(resolved, episode=replace(resolved.episode, kitchen=kitchen, latest_wrap=None))
