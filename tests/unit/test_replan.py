"""
The rest of the day from what happened, on days worked by hand: minutes, one cook unless said.

Each expected number is from a worked sheet whose arithmetic stands in the test's sentence.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from test_plan_scenarios import COOK, MINUTE, chain, hands, left, within

from shootplan.model.planning import (
    Activity,
    ActivityKind,
    Assignment,
    Lag,
    LookInTask,
    Occupation,
    OvenState,
    PlanInput,
    Resource,
    Schedule,
    SolveStatus,
    Worker,
)
from shootplan.model.replanning import LogEvent, LogKind, Replan, RunState
from shootplan.plan import solve
from shootplan.plan.replan import replan
from shootplan.plan.verify import verify
from shootplan.problems import InfeasiblePlan


def began(run: str, minute: int) -> LogEvent:
    return LogEvent(kind=LogKind.BEGUN, run=run, at_s=minute * MINUTE)


def was_left(run: str, minute: int) -> LogEvent:
    return LogEvent(kind=LogKind.LEFT, run=run, at_s=minute * MINUTE)


def finished(run: str, minute: int) -> LogEvent:
    return LogEvent(kind=LogKind.DONE, run=run, at_s=minute * MINUTE)


def late(run: str, minutes: int) -> LogEvent:
    return LogEvent(kind=LogKind.LATE, run=run, at_s=0, late_s=minutes * MINUTE)


def swapped(run: str, minute: int) -> LogEvent:
    return LogEvent(kind=LogKind.SWAPPED, run=run, at_s=minute * MINUTE)


def looked(run: str, minute: int) -> LogEvent:
    return LogEvent(kind=LogKind.LOOKED, run=run, at_s=minute * MINUTE)


def day_of(plan_input: PlanInput) -> Schedule:
    schedule = solve(plan_input).schedule
    assert schedule is not None
    return schedule


def asked(plan_input: PlanInput, *events: LogEvent, minute: int, schedule: Schedule | None = None) -> Replan:
    """Replan; the rest must pass the verifier of the rest, and the past must be as it was told."""
    answer = replan(plan_input, schedule or day_of(plan_input), events, now_s=minute * MINUTE)
    assert verify(answer.rest, answer.rest_schedule) == ()
    return answer


def minutes_of(answer: Replan, activity: str) -> tuple[int, int]:
    item = answer.schedule.of(activity)
    return item.start_s // MINUTE, item.end_s // MINUTE


# ---------------------------------------------------------------------------------------------------- the late oven


def three_dishes() -> PlanInput:
    """
    M: assemble 8, bake 30 alone, plate 4 within 10. N: prep 12, fry 10, plate 4 within 5. O: slice 9, dress 3, plate 4
    within 10. The oven takes 8 to heat, from the start of the day, and is hot when M is assembled.
    """
    heat = Activity(
        id="oven",
        kind=ActivityKind.HEAT,
        short_s=8 * MINUTE,
        long_s=8 * MINUTE,
        label="heat the oven",
        oven=OvenState(oven="oven", temperature_c=200),
    )
    bake = replace(left("M bake", 30), oven=OvenState(oven="oven", temperature_c=200, heat="oven"))
    activities = (
        heat,
        hands("M assemble", 8),
        bake,
        hands("M plate", 4),
        hands("N prep", 12),
        hands("N fry", 10),
        hands("N plate", 4),
        hands("O slice", 9),
        hands("O dress", 3),
        hands("O plate", 4),
    )
    return PlanInput(
        activities=tuple(replace(item, step=item.id, label=item.id) for item in activities),
        lags=(
            *chain("M assemble", "M bake"),
            within("M bake", "M plate", 10),
            *chain("N prep", "N fry"),
            within("N fry", "N plate", 5),
            *chain("O slice", "O dress"),
            within("O dress", "O plate", 10),
        ),
        workers=COOK,
        oven_shelves=(("oven", 1),),
    )


def followed() -> Schedule:
    """The plan of the sheet: M, N, slice, plate M 43–47, dress, plate O; the oven from 0."""
    starts = {"oven": 0, "M assemble": 0, "M bake": 8, "N prep": 8, "N fry": 20, "N plate": 30, "O slice": 34}
    starts |= {"M plate": 43, "O dress": 47, "O plate": 50}
    return placed_at(three_dishes(), starts)


def placed_at(plan_input: PlanInput, starts: dict[str, int]) -> Schedule:
    return Schedule(
        assignments=tuple(
            Assignment(
                activity=item.id,
                pieces=((starts[item.id] * MINUTE, starts[item.id] * MINUTE + item.long_s),),
                worker=item.workers[0] if item.workers else "",
            )
            for item in plan_input.activities
        )
    )


BEGUN = (began("oven", 0), began("M assemble", 0), finished("M assemble", 8))


def test_the_sheets_own_plan_is_sound_and_wraps_at_54() -> None:
    """On time: 54 is all the hands-on work, 8 + 4 + 12 + 10 + 4 + 9 + 3 + 4."""
    plan = followed()
    assert verify(three_dishes(), plan) == ()
    assert plan.makespan_s == 54 * MINUTE == day_of(three_dishes()).makespan_s


def test_an_oven_ready_at_20_costs_nothing() -> None:
    """Bake 20–50; O is dressed 43–46 and plated 46–50 before M is plated 50–54: wrap stays 54."""
    answer = asked(three_dishes(), *BEGUN, late("oven", 12), minute=8, schedule=followed())
    assert minutes_of(answer, "oven") == (0, 20)
    assert minutes_of(answer, "M bake") == (20, 50)
    assert minutes_of(answer, "O dress") == (43, 46)
    assert minutes_of(answer, "O plate") == (46, 50)
    assert minutes_of(answer, "M plate") == (50, 54)
    assert answer.wrap_s == answer.old_wrap_s == 54 * MINUTE
    assert answer.status is SolveStatus.OPTIMAL
    assert answer.broken == ()
    assert [row.activities[0] for row in answer.next_rows] == ["N prep", "N fry", "N plate"]
    moved = {move.run: move for move in answer.moves}
    assert set(moved) == {"M bake", "M plate", "O dress", "O plate"}
    assert moved["O dress"].overtakes == ("M plate",)
    assert moved["M bake"].because == "M bake waits for the oven to be hot"
    assert moved["M plate"].because == "M plate soon after M bake"


def test_an_oven_ready_at_45_costs_25_minutes() -> None:
    """Bake 45–75, plate M 75–79: 25 later, the cook free from 50 to 75."""
    answer = asked(three_dishes(), *BEGUN, late("oven", 37), minute=8, schedule=followed())
    assert minutes_of(answer, "M bake") == (45, 75)
    assert minutes_of(answer, "M plate") == (75, 79)
    assert answer.wrap_s - answer.old_wrap_s == 25 * MINUTE
    busy = [item for item in answer.schedule.assignments if item.worker and item.start_s < 75 * MINUTE]
    assert max(item.end_s for item in busy) == 50 * MINUTE
    assert answer.status is SolveStatus.OPTIMAL


def test_a_dish_made_before_saves_the_late_oven() -> None:
    """With M's duplicate nothing waits for the bake: all the hands-on work again, 54."""
    events = (*BEGUN, late("oven", 37), swapped("M bake", 8))
    answer = asked(three_dishes(), *events, minute=8, schedule=followed())
    assert answer.wrap_s == 54 * MINUTE
    assert answer.broken == ()


def test_an_oven_that_was_heated_before_call_is_hot() -> None:
    """On from ten minutes before call, hot two minutes before it: M is assembled 0–8 and bakes from 8."""
    answer = asked(three_dishes(), began("oven", -10), finished("oven", -2), minute=0, schedule=followed())
    assert minutes_of(answer, "oven") == (-10, -2)
    assert minutes_of(answer, "M bake") == (8, 38)
    assert answer.state("oven") is RunState.DONE


def test_an_oven_is_heated_though_its_heating_is_told_to_be_replaced() -> None:
    """A dish made before stands in for a bake, not for a hot oven: M bakes from 8 on as planned."""
    answer = asked(three_dishes(), swapped("oven", 0), minute=0, schedule=followed())
    assert minutes_of(answer, "oven") == (0, 8)
    assert minutes_of(answer, "M bake") == (8, 38)


# ---------------------------------------------------------------------------------------------------- what runs


def soup(**fields: object) -> PlanInput:
    """Put on 4 by hand and 20–30 alone, looked in on every 10 for 1; bread: knead 10, plate 5."""
    on = replace(hands("soup#hands", 4), step="soup", label="soup")
    look = LookInTask(every_s=600, for_s=60)
    alone = replace(left("soup#leave", 20, 30), step="soup", label="soup", workers=("cook",), look_in=look)
    bread = (replace(hands("knead", 10), recipe="b"), replace(hands("plate", 5), recipe="b"))
    lags = (
        Lag(predecessor="soup#hands", successor="soup#leave", at_most_s=0, rule="goes on without a pause"),
        *chain("soup#leave", "plate"),
    )
    values: dict[str, object] = {"activities": (on, alone, *bread), "lags": lags, "workers": COOK, **fields}
    return PlanInput(**values)  # type: ignore[arg-type]


def test_a_step_that_was_left_runs_to_its_long_end_from_then() -> None:
    """Begun at 0, left at 6 instead of 4: alone until 36; looked in on at 16 and 26, so the knead fits at 27–37."""
    answer = asked(soup(), began("soup", 0), was_left("soup", 6), minute=8)
    assert minutes_of(answer, "soup#hands") == (0, 6)
    assert minutes_of(answer, "soup#leave") == (6, 36)
    assert [at // MINUTE for at, _, _ in answer.look_ins] == [16, 26]
    assert minutes_of(answer, "knead") == (27, 37)
    assert minutes_of(answer, "plate") == (37, 42)
    assert [task.ends_s // MINUTE for task in answer.running] == [36]
    assert answer.state("soup") is RunState.RUNNING
    assert answer.broken == ()


def test_hands_are_off_at_the_long_end_if_nobody_says() -> None:
    """Begun at 0, now 10: left at 4, alone until 34, look-ins at 14 and 24 to come."""
    answer = asked(soup(), began("soup", 0), minute=10)
    assert minutes_of(answer, "soup#leave") == (4, 34)
    assert [at // MINUTE for at, _, _ in answer.look_ins] == [14, 24]


def test_a_missed_look_in_is_said_and_made_up_for_at_once() -> None:
    """Alone from 4 to 34, looked in on at 14 and 24; now 20, nothing logged: that of 14 at 20, that of 24 stays."""
    answer = asked(soup(), began("soup", 0), was_left("soup", 4), minute=20)
    assert [at // MINUTE for at, _, _ in answer.look_ins] == [20, 24]
    assert answer.notes == ("soup: a look-in is not logged, due 6 min ago; look in as soon as hands are free",)


def test_a_missed_look_in_waits_for_hands() -> None:
    """Kneading since 18 ends at 28: nobody is free before, both look-ins come then, and their lateness is told."""
    answer = asked(soup(), began("soup", 0), was_left("soup", 4), began("knead", 18), minute=20)
    assert [at // MINUTE for at, _, _ in answer.look_ins] == [28, 29]
    assert sum(item.late_s for item in answer.broken) == (8 + 5) * MINUTE


def test_a_look_in_that_is_logged_is_not_missed() -> None:
    """Looked in on at 13, a minute early: only that of 24 is to come. One look-in covers those missed before it."""
    answer = asked(soup(), began("soup", 0), was_left("soup", 4), looked("soup", 13), minute=20)
    assert [at // MINUTE for at, _, _ in answer.look_ins] == [24]
    assert answer.notes == ()
    answer = asked(soup(), began("soup", 0), was_left("soup", 4), looked("soup", 25), minute=30)
    assert answer.look_ins == ()
    assert answer.notes == ()


def test_several_missed_look_ins_are_made_up_for_by_one() -> None:
    """Now 30, those of 14 and 24 are not logged: one look-in at 30, and both are told."""
    answer = asked(soup(), began("soup", 0), was_left("soup", 4), minute=30)
    assert [at // MINUTE for at, _, _ in answer.look_ins] == [30]
    assert answer.notes == ("soup: 2 look-ins are not logged, due 6 min ago; look in as soon as hands are free",)


def test_what_is_overdue_needs_a_minute_more() -> None:
    """Alone until 34 at the longest, still not done at 40: expected at 41."""
    answer = asked(soup(), began("soup", 0), minute=40)
    assert minutes_of(answer, "soup#leave") == (4, 41)
    assert answer.wrap_s >= 46 * MINUTE


def test_what_was_told_late_and_is_not_begun_begins_late() -> None:
    """So much later than it was planned, or after; the reason is that it was told."""
    plan = day_of(soup())
    answer = asked(soup(), late("knead", 20), minute=0, schedule=plan)
    assert minutes_of(answer, "knead")[0] >= plan.of("knead").start_s // MINUTE + 20
    (move,) = [move for move in answer.moves if move.run == "knead"]
    assert move.because == "told to be late"


def test_two_things_begun_by_one_cook_leave_the_first_waiting() -> None:
    """Kneading since 0, the soup put on at 4: the knead has 6 minutes left, to be done after the soup is put on."""
    answer = asked(soup(), began("knead", 0), began("soup", 4), minute=5)
    assert minutes_of(answer, "soup#hands") == (4, 8)
    item = answer.schedule.of("knead")
    assert item.pieces[0] == (0, 4 * MINUTE)
    assert sum(end - start for start, end in item.pieces[1:]) == 6 * MINUTE
    assert item.pieces[1][0] >= 8 * MINUTE
    assert any("waits" in note for note in answer.notes)


def test_what_a_begun_step_waits_for_is_taken_as_done() -> None:
    answer = asked(soup(), began("plate", 30), minute=31)
    assert answer.state("soup") is RunState.DONE
    assert answer.state("knead") is RunState.AHEAD
    assert answer.notes == ("taken as done, since what waits for it was begun: soup",)


def test_events_after_now_and_of_other_days_are_passed_over() -> None:
    plan = day_of(soup())
    quiet = asked(soup(), minute=0, schedule=plan)
    assert asked(soup(), began("soup", 9), began("stew", 0), minute=0, schedule=plan).schedule == quiet.schedule


def test_the_end_of_a_day() -> None:
    """Everything done: nothing is next, and the wrap is when the last step ended."""
    events = (began("soup", 0), finished("soup", 30), finished("knead", 14), began("plate", 31), finished("plate", 37))
    answer = asked(soup(), *events, minute=40)
    assert answer.next_rows == ()
    assert answer.wrap_s == 37 * MINUTE
    assert all(state is RunState.DONE for _, state in answer.states)


# ---------------------------------------------------------------------------------------------------- limits


def plated_soon() -> PlanInput:
    """The soup, to be plated within 5 of being done."""
    return replace(soup(), lags=(*soup().lags[:1], within("soup#leave", "plate", 5)))


def test_a_limit_that_can_be_kept_is_kept_at_the_cost_of_the_order() -> None:
    """Soup done at 30, to be plated within 5; the knead (10), planned before, has to wait: plate 32–37, knead 37–47."""
    answer = asked(plated_soon(), began("soup", 0), was_left("soup", 2), finished("soup", 30), minute=32)
    assert minutes_of(answer, "plate") == (32, 37)
    assert minutes_of(answer, "knead") == (37, 47)
    assert answer.broken == ()


def test_a_limit_that_is_past_is_overrun_as_little_as_can_be() -> None:
    """Done at 30, within 5, now 40: 5 over already; plated at once, and the knead after it."""
    answer = asked(plated_soon(), began("soup", 0), was_left("soup", 2), finished("soup", 30), minute=40)
    assert minutes_of(answer, "plate") == (40, 45)
    assert [(item.rule, item.late_s // MINUTE) for item in answer.broken] == [("plate soon after soup#leave", 5)]
    assert answer.status is SolveStatus.OPTIMAL
    (limit,) = [limit for limit in answer.limits if limit.successor == "plate"]
    assert limit.to_spare_s == -5 * MINUTE


def test_a_deadline_that_cannot_be_met_is_named() -> None:
    """Begun at 20 the soup is done at 54 and plated at 59: 19 over 40."""
    activities = tuple(
        replace(item, deadline_s=40 * MINUTE) if item.id == "plate" else item for item in soup().activities
    )
    answer = asked(replace(soup(), activities=activities), began("soup", 20), minute=21)
    assert minutes_of(answer, "plate") == (54, 59)
    assert [(item.rule, item.late_s // MINUTE) for item in answer.broken] == [("plate is done by its deadline", 19)]


def test_a_break_moves_behind_what_somebody_is_doing() -> None:
    """Away from 12 to 22, but the knead begun at 8 lasts until 18: away 18–28."""
    day = soup(workers=(Worker(name="cook", away=((12 * MINUTE, 22 * MINUTE),)),))
    plan = day_of(soup())
    answer = asked(day, began("soup", 0), was_left("soup", 4), began("knead", 8), minute=13, schedule=plan)
    assert answer.rest.workers[0].away == ((18 * MINUTE, 28 * MINUTE),)
    assert minutes_of(answer, "plate")[0] == 34


# ---------------------------------------------------------------------------------------------------- things


def two_stews() -> PlanInput:
    """Two stews, each 2 by hand and 10 alone in the only pan from first to last, which is then washed for 3."""
    activities, lags, held = [], [], []
    for name in ("one", "two"):
        first, last = f"{name} on", f"{name} stews"
        activities += [hands(first, 2), left(last, 10)]
        lags += chain(first, last)
        held.append(Occupation(id=name, resource="pan", first=first, last=last, after_s=180, label="pan"))
    return PlanInput(
        activities=tuple(activities),
        lags=tuple(lags),
        occupations=tuple(held),
        resources=(Resource(id="pan", capacity=1, label="pan"),),
        workers=COOK,
    )


def test_a_pan_in_use_stays_in_use_and_is_washed() -> None:
    """In at 2, out at 12, washed until 15; out at 20 instead, the pan is free at 23."""
    events = (began("one on", 0), finished("one on", 2), began("one stews", 2), finished("one stews", 20))
    answer = asked(two_stews(), *events[:3], minute=11)
    assert minutes_of(answer, "two on")[0] == 15
    answer = asked(two_stews(), *events, minute=21)
    assert minutes_of(answer, "two on") == (23, 25)


def test_more_in_use_than_the_kitchen_has_is_believed() -> None:
    """Both stews were begun although there is one pan: somebody found another; the day goes on."""
    events = (began("one on", 0), finished("one on", 2), began("two on", 3), finished("two on", 5))
    answer = asked(two_stews(), *events, minute=6)
    assert minutes_of(answer, "one stews") == (6, 16)
    assert any("more of pan" in note for note in answer.notes)


def bakes_at(first_c: int, second_c: int) -> PlanInput:
    """Two heats (10, then the change of 5) and two bakes (20 each) in one oven with one shelf."""

    def heat(name: str, celsius: int) -> Activity:
        state = OvenState(oven="oven", temperature_c=celsius)
        return Activity(id=name, kind=ActivityKind.HEAT, short_s=600, long_s=600, label=name, oven=state)

    def bake(name: str, celsius: int, by: str) -> Activity:
        return replace(left(name, 20), oven=OvenState(oven="oven", temperature_c=celsius, heat=by))

    return PlanInput(
        activities=(
            heat("hot", first_c),
            bake("pie", first_c, "hot"),
            heat("cooler", second_c),
            bake("cake", second_c, "cooler"),
        ),
        oven_shelves=(("oven", 1),),
        oven_change_s=(("oven", 300),),
    )


def test_the_oven_is_at_what_it_was_turned_to() -> None:
    """Heated at 0, the pie in at 12 until 32: then the change until 37 and the cake until 57."""
    answer = asked(bakes_at(200, 160), began("hot", 0), finished("hot", 10), began("pie", 12), minute=15)
    assert minutes_of(answer, "cooler") == (32, 37)
    assert minutes_of(answer, "cake") == (37, 57)


def test_an_oven_turned_too_early_is_heated_again() -> None:
    """Turned to 160 at 11 before the pie went in at 200: another change, and both are baked."""
    events = (began("hot", 0), finished("hot", 10), began("cooler", 11), finished("cooler", 16))
    answer = asked(bakes_at(200, 160), *events, minute=17)
    assert minutes_of(answer, "cake") == (17, 37)
    assert minutes_of(answer, "pie") == (42, 62)
    assert any("before everything was baked" in note for note in answer.notes)


def test_the_same_day_is_planned_the_same_twice() -> None:
    events = (*BEGUN, late("oven", 37))
    assert asked(three_dishes(), *events, minute=8) == asked(three_dishes(), *events, minute=8)


def test_two_dishes_that_each_hold_the_other_s_pan_are_refused_in_words() -> None:
    """Both were begun and hold one pan each; each needs the other's to go on: no order of anything helps."""
    activities, held = [], []
    for name, own, other in (("one", "pan", "pot"), ("two", "pot", "pan")):
        activities += [hands(f"{name} on", 2), hands(f"{name} off", 2, needs=((other, 1),))]
        held.append(Occupation(id=name, resource=own, first=f"{name} on", last=f"{name} off"))
    day = PlanInput(
        activities=tuple(activities),
        lags=(*chain("one on", "one off"), *chain("two on", "two off")),
        occupations=tuple(held),
        resources=(Resource(id="pan", capacity=1, label="pan"), Resource(id="pot", capacity=1, label="pot")),
        workers=COOK,
    )
    plan = placed_at(day, {"one on": 0, "one off": 2, "two on": 4, "two off": 6})
    events = (began("one on", 0), finished("one on", 2), began("two on", 2), finished("two on", 4))
    with pytest.raises(InfeasiblePlan, match="each wait for something that the other holds"):
        asked(day, *events, minute=5, schedule=plan)


def test_a_crew_that_begins_before_call_is_ahead() -> None:
    """Begun 20 before call, now 15 before: alone from -16 to 14, looked in on at -6 and 4; knead 5–15, plate 15–20."""
    answer = asked(soup(), began("soup", -20), minute=-15)
    assert minutes_of(answer, "soup#hands") == (-20, -16)
    assert minutes_of(answer, "soup#leave") == (-16, 14)
    assert minutes_of(answer, "knead") == (5, 15)
    assert minutes_of(answer, "plate") == (15, 20)
    assert answer.wrap_s == 20 * MINUTE
    assert answer.bound_s <= answer.wrap_s
    assert [at // MINUTE for at, _, _ in answer.look_ins] == [-6, 4]


def test_before_call_nothing_is_begun_by_itself() -> None:
    """The board is opened an hour before call: the day is as planned."""
    plan = day_of(soup())
    answer = asked(soup(), minute=-60, schedule=plan)
    assert answer.schedule == asked(soup(), minute=0, schedule=plan).schedule
    assert answer.wrap_s == plan.makespan_s
