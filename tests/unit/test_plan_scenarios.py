"""
Whole days worked by hand, as the planner gets them: minutes, one cook unless said.

Each expected number is from a worked sheet whose arithmetic stands in the test's sentence.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from shootplan.model.planning import (
    Activity,
    ActivityKind,
    Lag,
    OvenState,
    PlanInput,
    Resource,
    Schedule,
    SolveResult,
    SolveStatus,
    Worker,
)
from shootplan.plan import solve
from shootplan.plan.verify import verify

MINUTE = 60
COOK = (Worker(name="cook"),)


def hands(name: str, minutes: int, **fields: object) -> Activity:
    """Return hands-on work of the cook."""
    return Activity(
        id=name,
        kind=ActivityKind.HANDS,
        short_s=minutes * MINUTE,
        long_s=minutes * MINUTE,
        workers=("cook",),
        recipe=name[0],
        **fields,  # type: ignore[arg-type]
    )


def left(name: str, low: int, high: int | None = None, **fields: object) -> Activity:
    """Return something left alone for a time or a range."""
    seconds = (high if high is not None else low) * MINUTE
    values: dict[str, object] = {"kind": ActivityKind.LEAVE, "recipe": name[0], **fields}
    return Activity(id=name, short_s=low * MINUTE, long_s=seconds, **values)  # type: ignore[arg-type]


def chain(*names: str) -> tuple[Lag, ...]:
    """Return the lags of steps that follow one another."""
    return tuple(Lag(predecessor=a, successor=b, rule=f"{b} after {a}") for a, b in pairwise(names))


def within(before: str, after: str, minutes: int) -> Lag:
    """Return a limit on the wait between two steps."""
    return Lag(predecessor=before, successor=after, at_most_s=minutes * MINUTE, rule=f"{after} soon after {before}")


def planned(plan_input: PlanInput) -> tuple[SolveResult, Schedule]:
    """Solve; the plan must be proven and sound."""
    result = solve(plan_input)
    assert result.schedule is not None
    assert result.status is SolveStatus.OPTIMAL
    assert verify(plan_input, result.schedule) == ()
    return result, result.schedule


def wrap(plan_input: PlanInput) -> int:
    """Return the proven wrap in minutes."""
    return planned(plan_input)[1].makespan_s // MINUTE


# ---------------------------------------------------------------------------------------------------- pausable chopping


def barley(*, is_pausable: bool) -> PlanInput:
    """Return a pot of barley beside a pan of vegetables on two rings."""
    ring = (("ring", 1),)
    return PlanInput(
        activities=(
            hands("fill", 1),
            left("boil", 8, needs=ring),
            hands("add", 1),
            left("cook", 25, 30, needs=ring),
            hands("chop", 10, is_pausable=is_pausable),
            hands("saute", 6, needs=ring),
            left("simmer", 15, needs=ring),
            hands("combine", 2),
        ),
        lags=(*chain("fill", "boil", "add", "cook", "combine"), *chain("chop", "saute", "simmer", "combine")),
        resources=(Resource(id="ring", capacity=2),),
        workers=COOK,
    )


def test_chopping_in_one_piece_takes_43_at_both_ends() -> None:
    """
    Fill 0-1, boil 1-9, add 9-10, cook 10-40; chop 10-20, saute 20-26, simmer 26-41, combine 41-43.

    At the short end the barley is done at 35, and combining still waits for the simmer.
    """
    result, schedule = planned(barley(is_pausable=False))
    assert schedule.makespan_s == 43 * MINUTE
    assert result.short_schedule is not None
    assert result.short_schedule.makespan_s == 43 * MINUTE


def test_chopping_broken_off_once_takes_42() -> None:
    """The chain of the barley alone is 1 + 8 + 1 + 30 + 2; chopping 1-9 and 10-12 keeps out of its way."""
    _, schedule = planned(barley(is_pausable=True))
    assert schedule.makespan_s == 42 * MINUTE
    assert len(schedule.of("chop").pieces) == 2


# ---------------------------------------------------------------------------------------------------- one oven


def two_bakes(*, celsius: int = 200, shelves: int = 1) -> PlanInput:
    """Return P and Q in one oven, Q at 180 °C, nobody's heat written by hand."""

    def oven(temperature: int, heat: str = "") -> OvenState:
        return OvenState(oven="oven", temperature_c=temperature, heat=heat)

    return PlanInput(
        activities=(
            left("p heat", 12, kind=ActivityKind.HEAT, oven=oven(celsius)),
            hands("p assemble", 10),
            left("p bake", 30, oven=oven(celsius, "p heat")),
            left("p rest", 5),
            left("q heat", 12, kind=ActivityKind.HEAT, oven=oven(180)),
            hands("q assemble", 15),
            left("q bake", 40, oven=oven(180, "q heat")),
            left("q rest", 10),
        ),
        lags=(*chain("p assemble", "p bake", "p rest"), *chain("q assemble", "q bake", "q rest")),
        workers=COOK,
        oven_shelves=(("oven", shelves),),
        oven_tolerance_c=(("oven", 10),),
        oven_change_s=(("oven", 5 * MINUTE),),
    )


def test_one_oven_bakes_the_longer_dish_first() -> None:
    """Q 15-55, change to 60, P 60-90, rest to 95; P first would end Q's rest at 97."""
    _, schedule = planned(two_bakes())
    assert schedule.makespan_s == 95 * MINUTE
    assert schedule.of("q bake").start_s == 15 * MINUTE
    assert schedule.of("p bake").pieces == ((60 * MINUTE, 90 * MINUTE),)


def test_the_dish_that_bakes_first_pays_the_first_heat_and_the_other_the_change() -> None:
    """The heat of 12 is Q's, P's takes the 5 of the change."""
    _, schedule = planned(two_bakes())
    lengths = {name: schedule.of(name).end_s - schedule.of(name).start_s for name in ("p heat", "q heat")}
    assert lengths == {"p heat": 5 * MINUTE, "q heat": 12 * MINUTE}


def test_two_shelves_at_one_temperature_share_the_heat() -> None:
    """Q 15-55 and P 25-55, Q's rest to 65; P first would end at 75."""
    assert wrap(two_bakes(celsius=180, shelves=2)) == 65


def test_no_oven_runs_hot_longer_than_its_bake_asks() -> None:
    """Q's bake begins at 15 with the assembly done, so its heat of 12 begins at 3, not at 0."""
    _, schedule = planned(two_bakes())
    assert schedule.of("q heat").pieces == ((3 * MINUTE, 15 * MINUTE),)


# ---------------------------------------------------------------------------------------------------- a duplicate ready


def two_dishes(*, simmer: int = 45, rest: int = 20, is_waited_for: tuple[bool, bool] = (True, True)) -> PlanInput:
    """Return K and L; a duplicate that stands ready takes the wait out of the filmed chain."""
    k, l = is_waited_for  # noqa: E741
    lags = (
        *(chain("k chop", "k simmer", "k plate") if k else chain("k chop", "k plate")),
        *(chain("l mix", "l rest", "l fry") if l else chain("l mix", "l fry")),
        *chain("l fry", "l plate"),
    )
    waits = [left("k simmer", simmer)] if k else []
    waits += [left("l rest", rest)] if l else []
    work = (("k chop", 10), ("k plate", 5), ("l mix", 12), ("l fry", 10), ("l plate", 5))
    return PlanInput(activities=(*(hands(name, m) for name, m in work), *waits), lags=lags, workers=COOK)


@pytest.mark.parametrize(
    ("is_waited_for", "minutes"),
    [((True, True), 62), ((False, True), 47), ((True, False), 60), ((False, False), 42)],
    ids=["none ready", "K's pot ready", "L's batter ready", "both ready"],
)
def test_what_stands_ready_saves_less_than_its_own_wait(is_waited_for: tuple[bool, bool], minutes: int) -> None:
    """
    K alone is 10 + 45 + 5 = 60, L alone 12 + 20 + 10 + 5 = 47, all hands 42.

    With none ready: chop 0-10, mix 10-22, fry 42-52, L plated 52-57, and K, done at 55, only 57-62.
    """
    assert wrap(two_dishes(is_waited_for=is_waited_for)) == minutes


# --------------------------------------------------------------------------------------------- an oven that is late


def three_dishes(*, oven_ready: int = 0) -> PlanInput:
    """Return a bake and two dishes of hands only; the oven is not hot before ``oven_ready``."""
    return PlanInput(
        activities=(
            hands("m assemble", 8),
            left("m bake", 30, release_s=oven_ready * MINUTE),
            hands("m plate", 4),
            hands("n prep", 12),
            hands("n fry", 10),
            hands("n plate", 4),
            hands("o slice", 9),
            hands("o dress", 3),
            hands("o plate", 4),
        ),
        lags=(
            *chain("m assemble", "m bake"),
            within("m bake", "m plate", 10),
            *chain("n prep", "n fry"),
            within("n fry", "n plate", 5),
            *chain("o slice", "o dress"),
            within("o dress", "o plate", 10),
        ),
        workers=COOK,
    )


@pytest.mark.parametrize(("oven_ready", "minutes"), [(0, 54), (20, 54), (45, 79)])
def test_a_late_oven_moves_wrap_only_when_hands_run_out_of_work(oven_ready: int, minutes: int) -> None:
    """All hands are 54. Ready at 20: bake 20-50, M plated 50-54. Ready at 45: bake 45-75, plated 75-79."""
    assert wrap(three_dishes(oven_ready=oven_ready)) == minutes


def test_a_second_cook_halves_hands_but_not_the_bake() -> None:
    """Assemble 8, bake 30, plate 4 in a row are 42, more than half of the 54 minutes of hands."""
    pair = replace(
        three_dishes(),
        workers=(Worker(name="cook"), Worker(name="friend")),
        activities=tuple(
            replace(item, workers=("cook", "friend")) if item.workers else item for item in three_dishes().activities
        ),
    )
    assert wrap(pair) == 42


# ---------------------------------------------------------------------------------------------------- hours


def test_nobody_works_through_a_time_away_but_the_pot_does() -> None:
    """Away 10-40: 10 of hands before, the pot simmers 10-30 meanwhile, plating waits for 40: 45."""
    plan_input = PlanInput(
        activities=(hands("chop", 10), left("simmer", 20), hands("plate", 5)),
        lags=chain("chop", "simmer", "plate"),
        workers=(Worker(name="cook", away=((10 * MINUTE, 40 * MINUTE),)),),
    )
    assert wrap(plan_input) == 45


def test_a_limit_pulls_the_beginning_to_the_other_side_of_a_break() -> None:
    """Away 20-50; plated at once after a bake of 20 at once after 10 of hands: 50 + 10 + 20 + 5."""
    plan_input = PlanInput(
        activities=(hands("mix", 10), left("bake", 20), hands("plate", 5)),
        lags=(within("mix", "bake", 0), within("bake", "plate", 0)),
        workers=(Worker(name="cook", away=((20 * MINUTE, 50 * MINUTE),)),),
    )
    _, schedule = planned(plan_input)
    assert schedule.of("mix").start_s == 50 * MINUTE
    assert schedule.makespan_s == 85 * MINUTE
