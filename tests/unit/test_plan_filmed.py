"""Filmed days worked by hand: re-rigs, who moves the camera, noise, left pots, the meal, what is asked after wrap."""

from __future__ import annotations

from dataclasses import replace

import pytest

from shootplan.model.planning import Anchor, Lag, PlanInput, Schedule, SolveStatus, Worker
from shootplan.plan.film_orders import day_parts, recordings_of
from shootplan.plan.film_planner import rerig_count, solve_filmed
from shootplan.plan.verify import verify
from shootplan.problems import InfeasiblePlan
from tests.film_helpers import after, camera, day, left, meal, shot, starts, work


def planned(plan_input: PlanInput, *aims: str, latest: int | None = None) -> tuple[PlanInput, Schedule]:
    """Return the plan as it was solved, proven and sound, with its schedule."""
    latest_s = None if latest is None else 60 * latest
    solved, result = solve_filmed(plan_input, aims=aims, latest_s=latest_s)
    assert result.schedule is not None
    assert result.status is SolveStatus.OPTIMAL
    assert verify(solved, result.schedule) == ()
    assert all(phase.is_proven for phase in result.phases)
    return solved, result.schedule


def wrap(plan_input: PlanInput) -> int:
    """Return the proven wrap in minutes after call."""
    return planned(plan_input)[1].makespan_s // 60


# ---------------------------------------------------------------------------------------------------- camera


def test_shots_from_one_position_are_taken_together() -> None:
    """Overhead 4 and 2, hob 3, in any order: 4 + 2 + 8 (one re-rig) + 3 = 17."""
    assert wrap(day(shot("a", 4, "over"), shot("b", 3, "hob"), shot("c", 2, "over"))) == 17


def test_an_order_between_shots_costs_its_re_rigs() -> None:
    """Overhead 4, then hob 3, then overhead 2: 4 + 8 + 3 + 8 + 2 = 25."""
    shots = (shot("a", 4, "over"), shot("b", 3, "hob"), shot("c", 2, "over"))
    assert wrap(day(*shots, lags=(after("a", "b"), after("b", "c")))) == 25


def test_the_camera_moves_while_the_host_chops() -> None:
    """Somebody else moves the camera (8): the host's 6 minutes off camera lie inside it. 5 + 8 + 5 = 18."""
    helped = day(
        shot("a", 5, "over"), work("chop", 6), shot("b", 5, "hob"), lags=(after("a", "chop"), after("chop", "b"))
    )
    assert wrap(helped) == 18


def test_who_is_alone_moves_the_camera_himself() -> None:
    """The same day alone: chopping 6 and moving 8 are both the host's. 5 + 6 + 8 + 5 = 24."""
    alone = day(
        shot("a", 5, "over"), work("chop", 6), shot("b", 5, "hob"),
        lags=(after("a", "chop"), after("chop", "b")), cameras=(camera(operator="host"),),
    )  # fmt: skip
    assert wrap(alone) == 24


def test_the_operator_is_not_free_for_other_work_while_recording() -> None:
    """The helper runs the camera (recording 5) and must whisk 4 himself: 9, not 5."""
    crew = (Worker(name="host"), Worker(name="helper"))
    helped = day(
        shot("a", 5, "over"), work("whisk", 4, workers=("helper",)), workers=crew, cameras=(camera(operator="helper"),)
    )
    assert wrap(helped) == 9


def test_an_operator_who_goes_home_takes_the_camera_along() -> None:
    """The operator is there from minute 10 on: nothing is recorded before. 10 + 5 = 15."""
    crew = (Worker(name="host"), Worker(name="helper", away=((0, 600),)))
    assert wrap(day(shot("a", 5, "over"), workers=crew, cameras=(camera(operator="helper"),))) == 15


def test_nothing_is_recorded_before_the_set_up_is_done() -> None:
    """Set-up 12, in which the host may chop 9 off camera; the shot of 5 follows: 17."""
    assert (
        wrap(day(work("chop", 9), shot("a", 5, "over"), lags=(after("chop", "a"),), cameras=(camera(ready=12),))) == 17
    )


def test_two_cameras_need_no_re_rig() -> None:
    """Overhead 4 and hob 3 on two cameras, one host: 7; and what is left alone is recorded at the same time."""
    second = replace(camera(), name="second", moves=())
    shots = (shot("a", 4, "over"), shot("b", 3, "hob"))
    other = replace(shots[1], film=replace(shots[1].film, camera="second"))  # type: ignore[type-var]
    assert wrap(day(shots[0], other, cameras=(camera(), second))) == 7
    pot = replace(other, workers=(), kind=left("p", 1).kind)
    assert wrap(day(shots[0], pot, cameras=(camera(), second))) == 4


def test_a_left_pot_is_filmed_at_any_moment_while_it_simmers() -> None:
    """
    The pot simmers 20 from minute 2; its picture (1, hob) needs a re-rig from the overhead shot of 6.

    Stir 2 (off camera), overhead 2-8, re-rig to 16, pot 16-17, before 22: wrap 22, the pot's end. With a pot of 10
    minutes (2-12) the picture comes first: the camera starts at the hob. 2-3 pot, re-rig to 11, overhead 11-17.
    """

    def simmering(minutes: int) -> PlanInput:
        pot, picture = left("pot", minutes), replace(shot("picture", 1, "hob"), workers=(), kind=left("p", 1).kind)
        within = (
            Lag(predecessor="pot", successor="picture", predecessor_anchor=Anchor.START),
            Lag(predecessor="pot", successor="picture", at_least_s=None, at_most_s=0, successor_anchor=Anchor.END),
        )  # fmt: skip
        return day(
            work("stir", 2),
            pot,
            picture,
            shot("a", 6, "over"),
            lags=(after("stir", "pot", 0), *within, after("stir", "a")),
        )

    assert wrap(simmering(20)) == 22
    assert wrap(simmering(10)) == 17


# ---------------------------------------------------------------------------------------------------- noise


def test_a_blender_waits_for_the_sound_of_a_shot() -> None:
    """The helper blends 3 while the host is recorded 5 with sound: one after the other, 8; without sound 5."""
    crew = (Worker(name="host"), Worker(name="helper"))
    loud = work("blend", 3, workers=("helper",), is_noisy=True)
    assert wrap(day(shot("a", 5, "over"), loud, workers=crew)) == 8
    assert wrap(day(shot("a", 5, "over", sound=False), loud, workers=crew)) == 5


# ---------------------------------------------------------------------------------------------------- meal


def test_a_short_day_has_no_meal_break() -> None:
    """50 minutes of work, break due within 60: wrap 50."""
    solved, schedule = planned(day(shot("a", 50, "over"), meal=meal(30, 60)))
    assert schedule.makespan_s == 50 * 60
    assert solved.meal is not None
    assert solved.meal.activity == ""


def test_a_long_day_breaks_in_time() -> None:
    """Two shots of 40, break of 30 begun within 60 and not before 30: after the first, 40-70; wrap 110."""
    solved, schedule = planned(day(shot("a", 40, "over"), shot("b", 40, "over"), meal=meal(30, 60, 30)))
    assert schedule.makespan_s == 110 * 60
    assert starts(schedule)["#meal"] == 40
    assert day_parts(solved, schedule).break_s == 30 * 60


def test_no_break_falls_into_a_limit() -> None:
    """
    B starts within 5 of A, both 40; break of 30 begun within 60, not before 30; C of 10 anywhere.

    Not between A and B (a limit runs); after B is too late (80 > 60). So C, break 30-60, A, B: 140.
    """
    shots = (shot("a", 40, "over"), shot("b", 40, "over"), shot("c", 10, "over"))
    assert wrap(day(*shots, lags=(after("a", "b", 5),), meal=meal(30, 60, 30))) == 140


def test_a_pot_simmers_through_the_break_but_nobody_looks_in() -> None:
    """Left alone 60, then plate 5; break of 30 due within 60, not before 20: the pot does not mind, wrap 65."""
    solved, schedule = planned(
        day(left("pot", 60), work("plate", 5), lags=(after("pot", "plate"),), meal=meal(30, 60, 20))
    )
    assert schedule.makespan_s == 65 * 60
    assert verify(solved, schedule) == ()


def test_the_camera_is_not_moved_in_the_break() -> None:
    """Overhead 40, break 30, hob 40: the operator eats too, re-rig 8 before or after it. 40 + 30 + 8 + 40 = 118."""
    shots = (shot("a", 40, "over"), shot("b", 40, "hob"))
    crew = (Worker(name="host"), Worker(name="operator"))
    cameras = (camera(operator="operator"),)
    assert wrap(day(*shots, lags=(after("a", "b"),), meal=meal(30, 60, 30), workers=crew, cameras=cameras)) == 118


# ---------------------------------------------------------------------------------------------------- aims


def test_fewest_re_rigs_at_the_same_wrap() -> None:
    """
    A long pot (60) decides wrap; overhead a, hob b, overhead c in any order: one re-rig is enough, and it is proven.
    """
    shots = (shot("a", 4, "over"), shot("b", 3, "hob"), shot("c", 2, "over"))
    solved, schedule = planned(day(left("pot", 60), *shots), "rerigs")
    assert schedule.makespan_s == 3600
    assert rerig_count(solved, schedule) == 1


def test_two_positions_without_a_move_between_are_one_set_up() -> None:
    """Beside a pot of 60: over and front are one place, hob another; four shots in any order need one re-rig."""
    moves = (("over", "hob", 480), ("hob", "over", 480), ("front", "hob", 480), ("hob", "front", 480))
    film = replace(camera(), moves=(*moves, ("over", "front", 0), ("front", "over", 0)))
    shots = (shot("a", 4, "over"), shot("b", 3, "hob"), shot("c", 2, "front"), shot("d", 2, "hob"))
    solved, schedule = planned(day(left("pot", 60), *shots, cameras=(film,)), "rerigs")
    assert rerig_count(solved, schedule) == 1


def test_an_order_of_shots_that_comes_back_is_counted_each_time() -> None:
    """Over, hob, over, hob, over in that order beside a pot of 90, and a fifth shot at the hob anywhere: four."""
    chain = [shot(f"s{k}", 2, ("over", "hob")[k % 2]) for k in range(5)]
    lags = tuple(after(f"s{k}", f"s{k + 1}") for k in range(4))
    solved, schedule = planned(day(left("pot", 90), *chain, shot("free", 2, "hob"), lags=lags), "rerigs", "camera")
    assert rerig_count(solved, schedule) == 4


def test_the_freshest_plate_waits_for_the_hero_shot() -> None:
    """Fry 5, plate 2 after it; pot 30. Plating could come at any time; asked for fresh plates it follows at once."""
    fry, plate = work("fry", 5), shot("plate", 2, "over")
    plan_input = day(left("pot", 30), fry, plate, lags=(after("fry", "plate"),), heroes=("plate",))
    _, schedule = planned(plan_input, "fresh")
    assert starts(schedule)["plate"] == starts(schedule)["fry"] + 5


def test_what_was_asked_for_is_still_so_in_the_plan_that_is_given() -> None:
    """
    The operator is away until 30, so the plate's shot (2) is at 30; fry (5) could be done at 0 and would then stand.

    Asked for fresh plates, frying ends at 30: moving everything as early as can be must not undo it.
    """
    crew = (Worker(name="host"), Worker(name="operator", away=((0, 1800),)))
    plan_input = day(
        work("fry", 5),
        shot("plate", 2, "over"),
        lags=(after("fry", "plate"),),
        heroes=("plate",),
        workers=crew,
        cameras=(camera(operator="operator"),),
    )
    _, schedule = planned(plan_input, "fresh")
    assert starts(schedule) == {"fry": 25, "plate": 30}
    assert starts(planned(plan_input)[1]) == {"fry": 0, "plate": 30}


def test_the_camera_is_wanted_for_as_short_as_can_be() -> None:
    """Shots of 4 and 2 from one position beside a pot of 60: with "camera" they follow one another."""
    solved, schedule = planned(day(left("pot", 60), shot("a", 4, "over"), shot("b", 2, "over")), "camera")
    taken = recordings_of(solved, schedule)
    assert taken[1].start_s == taken[0].end_s


# ---------------------------------------------------------------------------------------------------- parts, damage


def test_the_parts_of_the_day_add_up() -> None:
    """4 + 8 + 3 with a pot of 60 beside: recording 7, re-rig 8, waiting the other 45; with strike 20 in all 80."""
    solved, schedule = planned(day(left("pot", 60), shot("a", 4, "over"), shot("b", 3, "hob")))
    parts = day_parts(solved, schedule, strike_s=1200)
    assert (parts.recording_s, parts.rerig_s, parts.wait_s) == (420, 480, 2700)
    assert parts.total_s == schedule.makespan_s + 1200


def moved(schedule: Schedule, name: str, minutes: int) -> Schedule:
    """Return the schedule with one activity moved."""
    return Schedule(
        assignments=tuple(
            replace(item, pieces=tuple((start + 60 * minutes, end + 60 * minutes) for start, end in item.pieces))
            if item.activity == name
            else item
            for item in schedule.assignments
        )
    )


@pytest.mark.parametrize(
    ("plan_input", "name", "minutes", "rule"),
    [
        (day(shot("a", 4, "over"), shot("b", 3, "hob"), lags=(after("a", "b"),)), "b", -1, "rerig"),
        (day(shot("a", 4, "over"), shot("b", 3, "over"), lags=(after("a", "b"),)), "b", -1, "cameras"),
        (day(shot("a", 4, "over"), cameras=(camera(ready=5),)), "a", -1, "cameras"),
        (
            day(shot("a", 5, "over"), work("blend", 3, workers=("h",), is_noisy=True), lags=(after("a", "blend"),),
                workers=(Worker(name="host"), Worker(name="h"))),
            "blend", -1, "noise",
        ),
        (day(shot("a", 40, "over"), shot("b", 40, "over"), meal=meal(30, 60, 30)), "#meal", -5, "meal"),
        (day(shot("a", 40, "over"), shot("b", 40, "over"), meal=meal(30, 60, 30)), "#meal", 25, "meal"),
    ],
)  # fmt: skip
def test_a_damaged_day_is_caught(plan_input: PlanInput, name: str, minutes: int, rule: str) -> None:
    """A shot moved into a re-rig, another shot, the set-up, noise; a break moved into work or out of its time."""
    solved, schedule = planned(plan_input)
    broken = verify(solved, moved(schedule, name, minutes))
    assert rule in {item.rule for item in broken}


def test_a_day_that_needs_a_break_and_has_none_is_caught() -> None:
    """80 minutes of shots against a rule of 60, and no break planned."""
    long_day = day(shot("a", 40, "over"), shot("b", 40, "over"))
    _, schedule = planned(long_day)
    broken = verify(replace(long_day, meal=meal(30, 60)), schedule)
    assert [item.rule for item in broken] == ["meal"]


# ---------------------------------------------------------------------------------------------------- no plan at all


def told(plan_input: PlanInput, latest: int | None = None) -> str:
    """Return the clashing rules as one text."""
    with pytest.raises(InfeasiblePlan) as caught:
        solve_filmed(plan_input, latest_s=None if latest is None else 60 * latest)
    return "\n".join(conflict.rule for conflict in caught.value.conflicts)


def test_a_limit_shorter_than_the_re_rig_is_told() -> None:
    """Plate (hob) within 5 min of frying (over), re-rig 8: the limit, both shots, the camera; not the third."""
    shots = (shot("fry", 4, "over"), shot("plate", 3, "hob"), shot("other", 3, "hob"))
    text = told(day(*shots, lags=(after("fry", "plate", 5),)))
    assert "plate after fry within 5 min" in text
    assert "fry is filmed from over" in text
    assert "plate is filmed from hob" in text
    assert "to move it takes up to 8 min" in text
    assert "other" not in text


def test_noise_that_cannot_wait_is_told() -> None:
    """The blender must start at once after boiling, and the shot too."""
    crew = (Worker(name="host"), Worker(name="helper"))
    loud = work("blend", 3, workers=("helper",), is_noisy=True)
    text = told(
        day(
            left("boil", 5),
            shot("a", 5, "over"),
            loud,
            lags=(after("boil", "a", 0), after("boil", "blend", 0)),
            workers=crew,
        )
    )
    assert "blend is noisy" in text


def test_a_break_that_fits_nowhere_is_told() -> None:
    """A shot of 100 minutes that must be done after 110, and a break begun between 30 and 60."""
    text = told(day(shot("a", 100, "over", deadline_s=110 * 60), meal=meal(30, 60, 30)))
    assert "meal break" in text


def test_a_shot_that_no_presenter_may_do_is_told() -> None:
    """A filmed step that is for somebody who may not be in the picture."""
    assert "only a presenter's hands may be in the picture" in told(day(shot("a", 5, "over", workers=())))


def test_a_day_longer_than_the_latest_wrap_says_by_how_much() -> None:
    """17 minutes of shots against a latest wrap after 15: 2 min over, proven."""
    shots = (shot("a", 4, "over"), shot("b", 3, "hob"), shot("c", 2, "over"))
    text = told(day(*shots), latest=15)
    assert "no plan ends by the latest wrap, 15 min after call" in text
    assert "2 min over" in text
