"""The rest of a filmed day, worked by hand in minutes: where the camera stands, who eats, what is filmed meanwhile."""

from __future__ import annotations

from dataclasses import replace

from test_replan import asked, began, finished, minutes_of

from shootplan.model.planning import Anchor, Lag, PlanInput, Schedule
from shootplan.model.replanning import RunState
from shootplan.plan.film_planner import solve_filmed
from tests.film_helpers import after, camera, day, left, meal, shot, work


def planned(plan_input: PlanInput) -> tuple[PlanInput, Schedule]:
    filmed, result = solve_filmed(plan_input)
    assert result.schedule is not None
    return filmed, result.schedule


def test_the_camera_is_moved_from_where_it_stands() -> None:
    """Filmed from above until 5; from the hob at 13, after the 8 of the re-rig; more from above at once."""
    filmed, plan = planned(day(shot("a", 5, "over"), shot("b", 4, "hob"), shot("c", 3, "over")))
    events = (began("a", 0), finished("a", 5))
    answer = asked(filmed, *events, minute=6, schedule=plan)
    assert minutes_of(answer, "c") == (6, 9)
    assert minutes_of(answer, "b") == (17, 21)
    late = asked(filmed, *events, began("c", 6), finished("c", 9), minute=12, schedule=plan)
    assert minutes_of(late, "b") == (17, 21)
    long_ago = asked(filmed, *events, began("c", 6), finished("c", 9), minute=30, schedule=plan)
    assert minutes_of(long_ago, "b") == (30, 34)


def test_two_recordings_begun_at_once_are_believed() -> None:
    """One camera and two shots that run: the camera is on the later one, and moves on from there."""
    people = (replace(day().workers[0]), replace(day().workers[0], name="cook"))
    activities = (
        shot("a", 5, "over"),
        shot("b", 4, "hob", workers=("cook",)),
        shot("c", 3, "over", workers=("host",)),
    )
    filmed, plan = planned(day(*activities, workers=people))
    answer = asked(filmed, began("a", 0), began("b", 1), minute=2, schedule=plan)
    assert (minutes_of(answer, "a"), minutes_of(answer, "b")) == ((0, 5), (1, 5))
    assert minutes_of(answer, "c") == (13, 16)


def test_noise_that_is_there_already_is_believed() -> None:
    """The mixer was begun while sound is recorded: both go on; what is to come keeps quiet."""
    activities = (shot("a", 10, "over"), left("mixer", 12, is_noisy=True), shot("b", 4, "over"))
    filmed, plan = planned(day(*activities, lags=(after("a", "b"),)))
    answer = asked(filmed, began("a", 0), began("mixer", 2), minute=3, schedule=plan)
    assert minutes_of(answer, "a") == (0, 10)
    assert minutes_of(answer, "b")[0] == 10
    later = asked(filmed, began("a", 0), finished("a", 10), began("mixer", 2), minute=11, schedule=plan)
    assert minutes_of(later, "b")[0] >= 11


def long_day() -> tuple[PlanInput, Schedule]:
    """Three works of 40 with a break of 30 within 60 of call."""
    return planned(day(work("a", 40), work("b", 40), work("c", 40), meal=meal(30, 60)))


def test_the_break_is_taken_and_over_once() -> None:
    """Work 0–40; the break from 40; back at 75 it is not taken again: 75 + 40 + 40."""
    filmed, plan = long_day()
    name = filmed.meal.activity if filmed.meal is not None else ""
    answer = asked(filmed, began("a", 0), finished("a", 40), began(name, 40), minute=50, schedule=plan)
    assert minutes_of(answer, name) == (40, 70)
    assert answer.wrap_s == 150 * 60
    over = asked(
        filmed, began("a", 0), finished("a", 40), began(name, 40), finished(name, 75), minute=75, schedule=plan
    )
    assert over.rest.meal is None
    assert over.wrap_s == 155 * 60


def test_who_eats_has_left_his_work() -> None:
    """Begun at 0, to the table at 30: 10 of it are left, to be done after 60."""
    filmed, plan = long_day()
    name = filmed.meal.activity if filmed.meal is not None else ""
    answer = asked(filmed, began("a", 0), began(name, 30), minute=35, schedule=plan)
    item = answer.schedule.of("a")
    assert item.pieces[0] == (0, 30 * 60)
    assert sum(end - start for start, end in item.pieces[1:]) == 10 * 60
    assert item.pieces[1][0] >= 60 * 60


def test_a_break_that_comes_too_late_is_named() -> None:
    """Within 60 of call, and at 70 nobody has eaten: due to be over at 90, it is over at 100 at the earliest."""
    filmed, plan = long_day()
    answer = asked(filmed, began("a", 0), finished("a", 70), minute=70, schedule=plan)
    (broken,) = answer.broken
    assert broken.rule == "the meal break is done by its deadline"
    assert broken.late_s == 10 * 60


def test_a_day_that_grows_past_its_hour_is_told_that_a_break_is_due() -> None:
    filmed, plan = planned(day(work("a", 20), work("b", 20), meal=meal(30, 60)))
    assert filmed.meal is not None and filmed.meal.activity == ""
    answer = asked(filmed, began("a", 0), finished("a", 45), minute=45, schedule=plan)
    assert answer.notes == ("the day is now longer than 1 h: a break of 30 min is due",)


def test_what_was_to_be_filmed_while_something_went_on_is_over_with_it() -> None:
    """Nobody ticked the picture of the pot, the pot is done: the picture is not planned any more."""
    pot = left("pot", 20)
    picture = left("pot+shot", 2, film=shot("x", 1, "hob").film, label="pot (filmed)")
    ends_by = Lag(
        predecessor="pot",
        successor="pot+shot",
        at_least_s=None,
        at_most_s=0,
        successor_anchor=Anchor.END,
        rule="filmed while it goes on",
    )
    begun = Lag(predecessor="pot", successor="pot+shot", predecessor_anchor=Anchor.START, rule="filmed when it is on")
    filmed, plan = planned(day(pot, picture, work("a", 5), lags=(ends_by, begun, after("pot", "a"))))
    answer = asked(filmed, began("pot", 0), finished("pot", 22), minute=23, schedule=plan)
    assert answer.state("pot+shot") is RunState.DONE
    assert answer.broken == ()
    assert minutes_of(answer, "a") == (23, 28)


def test_a_camera_that_records_is_set_up() -> None:
    """Set up by 20 was the plan; it records since 10, so the rest does not wait until 20."""
    filmed, plan = planned(day(shot("a", 5, "over"), shot("b", 2, "over"), cameras=(camera(ready=20),)))
    answer = asked(filmed, began("a", 10), minute=12, schedule=plan)
    assert minutes_of(answer, "b") == (15, 17)
