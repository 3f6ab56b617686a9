"""
The kitchen clock: active, passive and elapsed time of each recipe alone and of the episode (rules T1 to T8).

A resolved episode and a ``solve`` function come in; ``RecipeTimes`` and ``EpisodeTimes`` go out, in whole seconds.
Core steps only: optional and ahead steps are left out, ahead work is stated apart. Nothing is rounded here.
"""

from __future__ import annotations

from collections.abc import Callable

from shootplan.model.clock import Range, Window
from shootplan.model.planning import Activity, ActivityKind, PlanInput, Schedule, SolveResult, SolveStatus
from shootplan.model.recipe import LookIn, Recipe, Step, When
from shootplan.model.resolved import ResolvedEpisode, ResolvedRecipe
from shootplan.model.times import AheadWork, EpisodeTimes, RecipeTimes
from shootplan.plan.tasks import build_plan
from shootplan.problems import OutOfTime
from shootplan.records import dataclass

__all__ = ["active_time", "ahead_work", "bound_time", "time_episode", "time_recipe", "unattended_time"]

Solve = Callable[[PlanInput], SolveResult]


def time_episode(resolved: ResolvedEpisode, solve: Solve, *, cooks: int | None = None) -> EpisodeTimes:
    """
    Return the times of each recipe alone and of all of them interleaved, each made once (rule T4).

    Parameters
    ----------
    resolved
        The episode; its own kitchen holds for the interleaved plan, its home kitchen for the recipes alone.
    solve
        The planner.
    cooks
        How many cook the interleaved plan; ``None`` for the cooks of the kitchen file.

    Returns
    -------
    EpisodeTimes
        ``hands_free`` is cooks x elapsed - active at each end of the one plan.

    Raises
    ------
    InfeasiblePlan
        If a recipe alone or the episode has no plan that keeps all limits.
    """
    recipes = tuple(time_recipe(recipe, resolved, solve) for recipe in resolved.recipes)
    count = cooks or max(1, sum(person.role == "cook" for person in resolved.episode.kitchen.people))
    plan_input = build_plan(resolved, cooks=cooks)
    active = active_time(plan_input)
    run = _solved(plan_input, solve)
    return EpisodeTimes(
        recipes=recipes,
        cooks=count,
        active=active,
        elapsed=run.elapsed,
        hands_free_short_s=count * run.short_s - active.low_s,
        hands_free_long_s=count * run.long_s - active.high_s,
        sum_elapsed=Range(
            sum(item.elapsed.low_s for item in recipes),
            sum(item.elapsed.high_s for item in recipes),
        ),
        is_proven=run.is_proven,
        bound_s=run.bound_s,
    )


def time_recipe(recipe: ResolvedRecipe, resolved: ResolvedEpisode, solve: Solve) -> RecipeTimes:
    """
    Return the times of one recipe alone: one cook, home kitchen, core steps (rules T1 to T3, T6, T7).

    Elapsed runs from the start of the first step to the end of the last, oven heating included, at the two ends of one
    fixed plan. Passive is elapsed less active, not the sum of the times left alone.

    Raises
    ------
    InfeasiblePlan
        If no plan keeps all limits of the recipe.
    """
    plan_input = build_plan(resolved, recipes=(recipe.id,), cooks=1, home=True)
    active = active_time(plan_input)
    run = _solved(plan_input, solve)
    return RecipeTimes(
        recipe=recipe.id,
        active=active,
        elapsed=run.elapsed,
        unattended=unattended_time(plan_input),
        passive_short_s=run.short_s - active.low_s,
        passive_long_s=run.long_s - active.high_s,
        ahead=ahead_work(recipe.recipe),
        unknown=tuple(step.name for step in _on_the_day(recipe.recipe) if not _has_time(step)),
        is_proven=run.is_proven,
        bound_s=run.bound_s,
    )


def active_time(plan_input: PlanInput) -> Range:
    """Return the sum of hands-on, watched and look-in time at both ends, in seconds (rule T1)."""
    return Range(
        sum(_active_s(activity, activity.short_s) for activity in plan_input.activities),
        sum(_active_s(activity, activity.long_s) for activity in plan_input.activities),
    )


def unattended_time(plan_input: PlanInput) -> Range:
    """Return the plain sum of the times left alone, heating included, at both ends, in seconds."""
    left = [item for item in plan_input.activities if item.kind in (ActivityKind.LEAVE, ActivityKind.HEAT)]
    return Range(sum(item.short_s for item in left), sum(item.long_s for item in left))


def ahead_work(recipe: Recipe) -> tuple[AheadWork, ...]:
    """Return the core steps that are done before the day, in list order: hands-on and unattended time apart (T2)."""
    return tuple(_ahead(step) for step in recipe.steps if step.when is When.AHEAD and not step.is_optional)


# ---------------------------------------------------------------------------------------------------- the plan's ends


@dataclass(frozen=True, slots=True, kw_only=True)
class _Run:
    """Elapsed seconds of one fixed plan at all-short and all-long."""

    short_s: int
    long_s: int
    is_proven: bool
    bound_s: int

    @property
    def elapsed(self) -> Range:
        """Both ends sorted: with limits on waiting, a plan may take longer when its steps are shorter (rule T6)."""
        return Range(*sorted((self.short_s, self.long_s)))


def _solved(plan_input: PlanInput, solve: Solve) -> _Run:
    """
    Solve once on the long end and read the same plan at both ends.

    Where the plan breaks a limit at the short end, it is taken at its long end there too: never a promise of less.
    """
    if not plan_input.activities:
        return _Run(short_s=0, long_s=0, is_proven=True, bound_s=0)
    result = solve(plan_input)
    if result.schedule is None:
        raise OutOfTime
    long_s = _elapsed_s(result.schedule)
    short_s = _elapsed_s(result.short_schedule) if result.short_schedule is not None else long_s
    is_proven = result.status is SolveStatus.OPTIMAL
    return _Run(short_s=short_s, long_s=long_s, is_proven=is_proven, bound_s=result.bound_s)


def _elapsed_s(schedule: Schedule) -> int:
    begun = [item.start_s for item in schedule.assignments if item.end_s > item.start_s]
    return schedule.makespan_s - min(begun, default=0)


# ---------------------------------------------------------------------------------------------------- sums


def _active_s(activity: Activity, duration_s: int) -> int:
    if activity.kind in (ActivityKind.HANDS, ActivityKind.WATCH):
        return duration_s
    if activity.look_in is None:
        return 0
    return len(activity.look_in.offsets(duration_s)) * activity.look_in.for_s


def _ahead(step: Step) -> AheadWork:
    left = step.leave or Range(0, 0)
    return AheadWork(
        step=step.id,
        label=step.name,
        hands=bound_time(step),
        unattended_low_s=left.low_s,
        unattended_high_s=left.at_most_s if isinstance(left, Window) else left.high_s,
    )


def bound_time(step: Step) -> Range:
    """Return the seconds for which a step binds somebody, all its batches, look-ins included, at both ends."""
    parts = [part for part in (step.hands, step.watch) if part is not None]
    left = step.leave or Range(0, 0)
    low = sum(part.low_s for part in parts) + _looked_in_s(step.check, left.low_s)
    high = sum(part.high_s for part in parts) + _looked_in_s(step.check, left.high_s)
    return Range(step.batches * low, step.batches * high)


def _looked_in_s(check: LookIn | None, left_s: int) -> int:
    return check.count(left_s) * check.for_s if check is not None else 0


def _on_the_day(recipe: Recipe) -> tuple[Step, ...]:
    return tuple(step for step in recipe.steps if not step.is_optional and step.when is not When.AHEAD)


def _has_time(step: Step) -> bool:
    return step.has_time or step.heats is not None
