"""Kitchen-clock times from a plan that the test itself makes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from shootplan.model.clock import Range, Window
from shootplan.model.episode import Episode, Hob, Kitchen, Person, PriceBook
from shootplan.model.planning import Assignment, PlanInput, Schedule, SolveResult, SolveStatus
from shootplan.model.recipe import Equipment, LookIn, Recipe, Serves, Step, When
from shootplan.model.resolved import ResolvedEpisode, ResolvedRecipe
from shootplan.model.times import AheadWork, EpisodeTimes, RecipeTimes
from shootplan.plan.tasks import build_plan
from shootplan.plan.times import active_time, ahead_work, bound_time, time_episode, time_recipe, unattended_time
from shootplan.problems import OutOfTime

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


# ------------------------------------------------------------------------------------------- whole results

#: Worked by hand from the recipe above, its activities one after the other.
STEW_TIMES = RecipeTimes(
    recipe="stew",
    active=Range(13 * MIN, 18 * MIN),
    elapsed=Range(71 * MIN, 104 * MIN),
    unattended=Range(60 * MIN, 90 * MIN),
    passive_short_s=58 * MIN,
    passive_long_s=86 * MIN,
    ahead=(
        AheadWork(
            step="soak", label="Soak", hands=Range(120, 180), unattended_low_s=36000, unattended_high_s=43200
        ),
    ),
    unknown=("Serve",),
    is_proven=False,
    bound_s=60,
)  # fmt: skip


def test_nothing_of_an_episodes_times_is_left_out() -> None:
    """By hand for two cooks: 2 x 71 - 13 = 129 and 2 x 104 - 18 = 190 minutes of hands are free."""
    assert time_episode(episode(STEW), in_a_row, cooks=2) == EpisodeTimes(
        recipes=(STEW_TIMES,),
        cooks=2,
        active=Range(13 * MIN, 18 * MIN),
        elapsed=Range(71 * MIN, 104 * MIN),
        hands_free_short_s=129 * MIN,
        hands_free_long_s=190 * MIN,
        sum_elapsed=Range(71 * MIN, 104 * MIN),
        is_proven=False,
        bound_s=60,
    )


def test_a_proven_plan_is_told_as_proven() -> None:
    """Both for a recipe alone and for the episode."""
    times = time_episode(episode(STEW), lambda asked: replace(in_a_row(asked), status=SolveStatus.OPTIMAL))
    assert (times.is_proven, times.recipes[0].is_proven) == (True, True)


def test_the_cooks_of_the_kitchen_file_are_counted_and_at_least_one() -> None:
    """Two cooks and a helper are two cooks; helpers alone still need somebody who cooks."""
    helper = Person(name="Odd", role="helper")
    for people, count in (((Person(name="Ines"), Person(name="Ada"), helper), 2), ((helper,), 1)):
        assert time_episode(episode(STEW, kitchen=Kitchen(people=people)), in_a_row).cooks == count


def test_a_recipe_alone_is_planned_for_one_cook_at_home_and_the_episode_for_its_own_kitchen() -> None:
    """Rules T1 and T4: three rings at home and one cook; five in the studio and as many cooks as are asked for."""
    boil = Step(id="boil", name="Boil", number=1, leave=Range(600, 600), uses=(Equipment(kind="ring"),))
    kitchen = Kitchen(
        people=(Person(name="Ines"), Person(name="Ada")), hob=Hob(rings=5), home_rings=3
    )  # fmt: skip
    asked: list[PlanInput] = []

    def watched(plan_input: PlanInput) -> SolveResult:
        asked.append(plan_input)
        return in_a_row(plan_input)

    time_episode(episode(replace(STEW, steps=(boil,)), kitchen=kitchen), watched, cooks=3)
    assert [len(item.workers) for item in asked] == [1, 3]
    assert [{use.id: use.capacity for use in item.resources}["ring"] for item in asked] == [3, 5]


def test_what_takes_no_time_does_not_begin_the_plan() -> None:
    """Rule T2: serving (no time) at 0 and the first chop ten minutes later: still 71 and 104 minutes."""

    def early(schedule: Schedule | None) -> Schedule:
        assert schedule is not None
        nothing = [item.start_s == item.end_s for item in schedule.assignments]
        assert any(nothing)
        moved = [
            replace(item, pieces=((0, 0),) if is_nothing else tuple((s + 600, e + 600) for s, e in item.pieces))
            for item, is_nothing in zip(schedule.assignments, nothing, strict=True)
        ]
        return Schedule(assignments=tuple(moved))

    def run(plan_input: PlanInput) -> SolveResult:
        found = in_a_row(plan_input)
        return replace(found, schedule=early(found.schedule), short_schedule=early(found.short_schedule))

    resolved = episode(STEW)
    assert time_recipe(resolved.recipes[0], resolved, run).elapsed == Range(71 * MIN, 104 * MIN)


def test_steps_that_all_lack_a_time_take_none() -> None:
    """A recipe just begun: nothing is known, so nothing is counted, and the step is named."""
    resolved = episode(replace(STEW, steps=STEW.steps[-1:]))
    times = time_recipe(resolved.recipes[0], resolved, in_a_row)
    assert (times.elapsed, times.unknown) == (Range(0, 0), ("Serve",))


def test_a_day_without_steps_is_proven_to_be_empty() -> None:
    """No planner is asked and no bound is above nothing."""
    resolved = episode(replace(STEW, steps=STEW.steps[:1]))
    times = time_recipe(resolved.recipes[0], resolved, in_a_row)
    assert (times.is_proven, times.bound_s) == (True, 0)


def test_a_planner_that_runs_out_of_time_gives_no_figure() -> None:
    """No schedule and no refusal: no figure is made up, and no rule is blamed."""
    resolved = episode(STEW)
    with pytest.raises(OutOfTime, match="in the time that the planner may take"):
        time_recipe(resolved.recipes[0], resolved, lambda asked: replace(in_a_row(asked), schedule=None))


def test_only_core_steps_of_the_day_are_missed_when_they_lack_a_time() -> None:
    """An option or ahead work without a time changes no figure of the day."""
    option = Step(id="dress", name="Dress", number=7, is_optional=True)
    ahead = Step(id="thaw", name="Thaw", number=8, when=When.AHEAD)
    resolved = episode(replace(STEW, steps=(*STEW.steps, option, ahead)))
    assert time_recipe(resolved.recipes[0], resolved, in_a_row).unknown == ("Serve",)


def test_ahead_work_without_waiting_or_with_an_unknown_wait() -> None:
    """Chopping the day before leaves nothing alone; a rise of 40 to 60 minutes has both its ends."""
    chop = Step(id="chop", name="Chop", number=1, hands=Range(60, 90), when=When.AHEAD)
    rise = Step(id="rise", name="Rise", number=2, leave=Range(2400, 3600), when=When.AHEAD)
    assert ahead_work(replace(STEW, steps=(chop, rise))) == (
        AheadWork(step="chop", label="Chop", hands=Range(60, 90), unattended_low_s=0, unattended_high_s=0),
        AheadWork(step="rise", label="Rise", hands=Range(0, 0), unattended_low_s=2400, unattended_high_s=3600),
    )


def test_a_step_binds_somebody_for_each_batch_and_each_look_in() -> None:
    """
    By hand, two batches of 2 to 3 minutes of hands, 1 watched, 60 to 90 left with 30 s of looking in every 20.

    60 / 20 - 1 = 2 look-ins, 90 / 20 up - 1 = 4: 2 x (120 + 60 + 60) = 480 s, 2 x (180 + 60 + 120) = 720 s.
    """
    step = Step(
        id="bake", name="Bake", number=1, hands=Range(120, 180), watch=Range(60, 60), leave=Range(3600, 5400),
        check=LookIn(every_s=1200, for_s=30), batches=2,
    )  # fmt: skip
    assert bound_time(step) == Range(480, 720)
