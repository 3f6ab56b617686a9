"""The filmed day minute by minute, and what could be shot while the camera waits; worked by hand."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from shootplan.model.filming import CameraGap, Film, Meal
from shootplan.model.planning import ActivityKind, Assignment, PlanInput, Schedule
from shootplan.plan.film_gaps import camera_gaps, stretches_of
from shootplan.plan.film_orders import day_parts
from shootplan.plan.verify import verify
from tests.film_helpers import after, camera, day, left, shot, work

MIN = 60


def placed(plan_input: PlanInput, **starts: int) -> Schedule:
    """Return a schedule from starts in minutes; hands-on work is the host's."""
    return Schedule(
        assignments=tuple(
            Assignment(
                activity=item.id,
                pieces=((starts[item.id] * MIN, starts[item.id] * MIN + item.long_s),),
                worker="host" if item.kind is ActivityKind.HANDS else "",
            )
            for item in plan_input.activities
        )
    )


def a_b_c() -> tuple[PlanInput, Schedule]:
    """
    Return three shots: A overhead 5-10, B at the hob 40-46 in two takes with a reset of 2, C overhead 60-64.

    The camera is rigged by 5 and moves in 8 minutes. A pot that B waits for simmers 10-40.
    """
    film = Film(camera="camera", position="hob", takes=2, reset_s=2 * MIN)
    activities = (shot("A", 5, "over"), left("pot", 30), shot("B", 6, "hob", film=film), shot("C", 4, "over"))
    lags = (after("A", "pot"), after("pot", "B"))
    plan_input = day(*activities, lags=lags, cameras=(camera(8, ready=5),))
    return plan_input, placed(plan_input, A=5, pot=10, B=40, C=60)


def parts(plan_input: PlanInput, schedule: Schedule, strike: int = 0) -> list[tuple[str, int, int]]:
    """Return (part, from, to) in minutes."""
    found = stretches_of(plan_input, schedule, strike_s=strike * MIN)
    return [(item.part, item.start_s // MIN, item.end_s // MIN) for item in found]


def test_every_minute_lies_in_one_part_of_the_day() -> None:
    """Set-up to 5, A to 10, wait, re-rig 32-40, take, reset, take to 46, wait, re-rig 52-60, C, strike 15."""
    plan_input, schedule = a_b_c()
    assert verify(plan_input, schedule) == ()
    assert parts(plan_input, schedule, strike=15) == [
        ("set-up", 0, 5),
        ("recording", 5, 10),
        ("camera wait", 10, 32),
        ("re-rig", 32, 40),
        ("recording", 40, 42),
        ("reset", 42, 44),
        ("recording", 44, 46),
        ("camera wait", 46, 52),
        ("re-rig", 52, 60),
        ("recording", 60, 64),
        ("strike", 64, 79),
    ]


def test_a_later_shot_fits_where_the_camera_can_go_there_and_back() -> None:
    """C may be taken at 10-14, still overhead, and the camera is at the hob by 22: the wait of 22 minutes holds it."""
    assert camera_gaps(*a_b_c(), least_s=10 * MIN) == (
        CameraGap(start_s=10 * MIN, end_s=40 * MIN, wait_s=22 * MIN, before="over", after="hob", fits=("C",)),
    )


def test_a_shot_from_another_position_needs_both_re_rigs() -> None:
    """From the front C needs 8 + 4 + 8 = 20 of the 30 minutes and fits; 15 minutes long it needs 31 and does not."""
    plan_input, _ = a_b_c()
    rig = camera(8, ready=5, positions=("over", "hob", "front"))
    for length, fits in ((4, ("C",)), (15, ())):
        activities = (*plan_input.activities[:3], shot("C", length, "front"))
        longer = replace(plan_input, activities=activities, cameras=(rig,))
        (gap, *_) = camera_gaps(longer, placed(longer, A=5, pot=10, B=40, C=60), least_s=10 * MIN)
        assert gap.fits == fits


def test_what_waits_for_the_shot_before_the_gap_ends_does_not_fit() -> None:
    """C follows B, so it cannot be taken before; with the host at work 10-40 there are no hands for it either."""
    plan_input, schedule = a_b_c()
    later = replace(plan_input, lags=(*plan_input.lags, after("B", "C")))
    assert camera_gaps(later, schedule, least_s=10 * MIN)[0].fits == ()
    busy = replace(plan_input, activities=(*plan_input.activities, work("knead", 30)))
    assert camera_gaps(busy, placed(busy, A=5, pot=10, B=40, C=60, knead=10), least_s=10 * MIN)[0].fits == ()


def test_a_break_lies_in_no_wait_and_is_not_cut_by_a_re_rig() -> None:
    """The meal 12-32 leaves 10-12 waiting and 32-40 for the re-rig; at 15-35 the re-rig takes 35-40 and 12-15."""
    plan_input, _ = a_b_c()
    for start, expected in (
        (12, [("camera wait", 10, 12), ("break", 12, 32), ("re-rig", 32, 40)]),
        (15, [("camera wait", 10, 12), ("re-rig", 12, 15), ("break", 15, 35), ("re-rig", 35, 40)]),
    ):
        meal = Meal(activity="meal", length_s=20 * MIN, within_s=60 * MIN)
        lunch = replace(plan_input, activities=(*plan_input.activities, left("meal", 20)), meal=meal)
        found = parts(lunch, placed(lunch, A=5, pot=10, B=40, C=60, meal=start))
        assert found[2 : 2 + len(expected)] == expected


def test_without_a_camera_nothing_is_recorded_and_nothing_waits_for_it() -> None:
    """The day is one wait, and no shot would fit."""
    plan_input = day(work("chop", 10), cameras=())
    schedule = placed(plan_input, chop=0)
    assert parts(plan_input, schedule) == [("camera wait", 0, 10)]
    assert [gap.fits for gap in camera_gaps(plan_input, schedule)] == [()]


@st.composite
def filmed_orders(draw: st.DrawFn) -> tuple[PlanInput, Schedule]:
    """Return shots one after the other with random lengths, positions, takes and waits, each re-rig allowed for."""
    rig = camera(draw(st.integers(1, 9)), ready=draw(st.integers(0, 6)))
    activities, starts, clock, last = [], {}, rig.ready_s // MIN, None
    for number in range(draw(st.integers(1, 6))):
        position, takes = draw(st.sampled_from(("over", "hob"))), draw(st.integers(1, 3))
        film = Film(camera="camera", position=position, takes=takes, reset_s=draw(st.integers(0, 2)) * MIN)
        clock += rig.move_s(last or position, position) // MIN + draw(st.integers(0, 12))
        length = takes * draw(st.integers(1, 4)) + film.resets_s // MIN
        activities.append(shot(f"s{number}", length, position, film=film))
        starts[f"s{number}"], last = clock, position
        clock += length
    plan_input = day(*activities, cameras=(rig,))
    return plan_input, placed(plan_input, **starts)


@settings(max_examples=80, deadline=None, derandomize=True)
@given(filmed_orders(), st.integers(0, 20))
def test_the_parts_neither_overlap_nor_leave_a_gap_and_add_up(filmed: tuple[PlanInput, Schedule], strike: int) -> None:
    """Each second from call to the end of the strike lies in one part; sums are those that are printed (rule T5)."""
    plan_input, schedule = filmed
    found = stretches_of(plan_input, schedule, strike_s=strike * MIN)
    assert [item.start_s for item in found] == [0, *(item.end_s for item in found[:-1])][: len(found)]
    assert all(item.end_s > item.start_s for item in found)
    sums = day_parts(plan_input, schedule, strike_s=strike * MIN)
    total = {"set-up": 0, "recording": 0, "re-rig": 0, "reset": 0, "camera wait": 0, "break": 0, "strike": 0}
    for item in found:
        total[item.part] += item.end_s - item.start_s
    assert tuple(total.values()) == (
        sums.set_up_s,
        sums.recording_s,
        sums.rerig_s,
        sums.reset_s,
        sums.wait_s,
        sums.break_s,
        sums.strike_s,
    )
    assert found[-1].end_s == sums.total_s
    waiting = sum(gap.wait_s for gap in camera_gaps(plan_input, schedule))
    assert waiting == sums.wait_s
