"""Kitchen-clock times from a plan that the test itself makes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from shootplan.model.clock import Range, Window
from shootplan.model.episode import Episode, Kitchen, Person, PriceBook
from shootplan.model.planning import Assignment, PlanInput, Schedule, SolveResult, SolveStatus
from shootplan.model.recipe import LookIn, Recipe, Serves, Step, When
from shootplan.model.resolved import ResolvedEpisode, ResolvedRecipe
from shootplan.plan.tasks import build_plan
from shootplan.plan.times import active_time, ahead_work, time_episode, time_recipe, unattended_time

MIN = 60


def in_a_row(plan_input: PlanInput) -> SolveResult:
    """One activity after the other, at both ends: the longest plan there is, and good enough here."""
    long, short = ([item.long_s for item in plan_input.activities], [item.short_s for item in plan_input.activities])
    return SolveResult(
        status=SolveStatus.FEASIBLE,
        schedule=_row(plan_input, long),
        bound_s=60,
        engine="list",
        short_schedule=_row(plan_input, short),
    )


def _row(plan_input: PlanInput, durations: list[int]) -> Schedule:
    clock, placed = 0, []
    for activity, duration_s in zip(plan_input.activities, durations, strict=True):
        placed.append(Assignment(activity=activity.id, pieces=((clock, clock + duration_s),)))
        clock += duration_s
    return Schedule(assignments=tuple(placed))


def with_lead(solve: Callable[[PlanInput], SolveResult], lead_s: int) -> Callable[[PlanInput], SolveResult]:
    """The same plan, begun later."""

    def later(schedule: Schedule | None) -> Schedule | None:
        if schedule is None:
            return None
        moved = [
            replace(item, pieces=tuple((start + lead_s, end + lead_s) for start, end in item.pieces))
            for item in schedule.assignments
        ]
        return Schedule(assignments=tuple(moved))

    def run(plan_input: PlanInput) -> SolveResult:
        result = solve(plan_input)
        return replace(result, schedule=later(result.schedule), short_schedule=later(result.short_schedule))

    return run


STEW = Recipe(
    id="stew",
    title="Stew",
    serves=Serves(hearty=4),
    steps=(
        Step(id="soak", name="Soak", number=1, hands=Range(120, 180), leave=Window(36000, 43200), when=When.AHEAD),
        Step(id="chop", name="Chop", number=2, hands=Range(8 * MIN, 10 * MIN), after=()),
        Step(id="fry", name="Fry", number=3, watch=Range(3 * MIN, 4 * MIN)),
        Step(
            id="simmer",
            name="Simmer",
            number=4,
            leave=Range(60 * MIN, 90 * MIN),
            check=LookIn(every_s=20 * MIN, for_s=MIN),
        ),
        Step(id="garnish", name="Garnish", number=5, hands=Range(300, 300), is_optional=True),
        Step(id="serve", name="Serve", number=6),
    ),
)


def episode(*recipes: Recipe, kitchen: Kitchen | None = None) -> ResolvedEpisode:
    written = Episode(
        title="Test",
        shoot_date=date(2026, 11, 25),
        currency="GBP",
        recipes=recipes,
        kitchen=kitchen or Kitchen(),
        prices=PriceBook(),
    )
    return ResolvedEpisode(episode=written, recipes=tuple(ResolvedRecipe(recipe=item, lines=()) for item in recipes))


def test_active_is_hands_and_watched_time_and_look_ins_at_each_end() -> None:
    """Rule T1 by hand: 8 + 3 + 2 look-ins (60 / 20 - 1) = 13; 10 + 4 + 4 look-ins (90 / 20 up - 1) = 18 minutes."""
    assert active_time(build_plan(episode(STEW))) == Range(13 * MIN, 18 * MIN)


def test_unattended_is_the_plain_sum_of_left_time() -> None:
    """The simmer alone, look-ins not taken off."""
    assert unattended_time(build_plan(episode(STEW))) == Range(60 * MIN, 90 * MIN)


def test_passive_is_elapsed_less_active_at_each_end() -> None:
    """Rule T3 by hand: in a row 71 and 104 minutes, less 13 and 18."""
    resolved = episode(STEW)
    times = time_recipe(resolved.recipes[0], resolved, in_a_row)
    assert times.elapsed == Range(71 * MIN, 104 * MIN)
    assert (times.passive_short_s, times.passive_long_s) == (58 * MIN, 86 * MIN)


def test_elapsed_is_counted_from_the_first_step_not_from_zero() -> None:
    """Rule T2: a plan that begins ten minutes later takes no longer."""
    resolved = episode(STEW)
    times = time_recipe(resolved.recipes[0], resolved, with_lead(in_a_row, 600))
    assert times.elapsed == Range(71 * MIN, 104 * MIN)


def test_a_plan_that_breaks_a_limit_when_short_is_never_promised_shorter() -> None:
    """Without a plan at the short end both ends of elapsed are the long one."""
    resolved = episode(STEW)
    times = time_recipe(
        resolved.recipes[0], resolved, lambda plan_input: replace(in_a_row(plan_input), short_schedule=None)
    )
    assert times.elapsed == Range(104 * MIN, 104 * MIN)
    assert times.active.low_s + times.passive_short_s == 104 * MIN


def test_ahead_work_is_stated_apart_with_its_hands() -> None:
    """Rule T2: 2 to 3 minutes of hands, 10 to 12 hours of waiting, the window's two ends."""
    (soak,) = ahead_work(STEW)
    assert (soak.label, soak.hands) == ("Soak", Range(120, 180))
    assert (soak.unattended_low_s, soak.unattended_high_s) == (36000, 43200)


def test_an_open_window_ahead_has_no_upper_end() -> None:
    """``at least 8 h`` alone: the upper end is unknown."""
    rise = Step(id="rise", name="Rise", number=1, leave=Window(28800, None), when=When.AHEAD)
    (ahead,) = ahead_work(replace(STEW, steps=(rise,)))
    assert ahead.unattended_high_s is None


def test_steps_without_a_time_are_named() -> None:
    """Figures of a recipe that is still being written read "at least" and say because of what."""
    resolved = episode(STEW)
    assert time_recipe(resolved.recipes[0], resolved, in_a_row).unknown == ("Serve",)


def test_proof_and_bound_come_from_the_run() -> None:
    """A plan that may not be the shortest says so."""
    resolved = episode(STEW)
    times = time_recipe(resolved.recipes[0], resolved, in_a_row)
    assert (times.is_proven, times.bound_s) == (False, 60)


@pytest.mark.parametrize(("cooks", "free_long"), [(None, 86), (2, 190)])
def test_hands_free_counts_every_cook(cooks: int | None, free_long: int) -> None:
    """Rule T4 by hand: k x 104 - 18 minutes; without a number, the kitchen's one cook (the helper is none)."""
    kitchen = Kitchen(people=(Person(name="Ines"), Person(name="Odd", role="helper")))
    times = time_episode(episode(STEW, kitchen=kitchen), in_a_row, cooks=cooks)
    assert times.hands_free_long_s == free_long * MIN


def test_the_sum_of_the_recipes_alone_stands_beside_the_interleaved_plan() -> None:
    """Two stews alone take twice one stew."""
    times = time_episode(episode(STEW, replace(STEW, id="other")), in_a_row)
    assert times.sum_elapsed == Range(142 * MIN, 208 * MIN)


def test_a_recipe_without_core_steps_takes_no_time() -> None:
    """Nothing to do on the day is no error and asks no planner."""
    resolved = episode(replace(STEW, steps=STEW.steps[:1]))
    times = time_recipe(resolved.recipes[0], resolved, in_a_row)
    assert (times.elapsed, times.active) == (Range(0, 0), Range(0, 0))
