"""Tiny filmed days against brute force, and that what is planned is sound and the same every time."""

from __future__ import annotations

from itertools import permutations, product

from hypothesis import given, settings
from hypothesis import strategies as st

from shootplan.model.planning import PlanInput, SolveStatus
from shootplan.plan.cp_sat import Limits, Model
from shootplan.plan.film_planner import FilmedPlan, rerig_count, solve_filmed
from shootplan.plan.film_trade import fewer_rerigs
from shootplan.plan.films import camera_work
from shootplan.plan.planner import horizon_of
from shootplan.plan.verify import verify
from tests.film_helpers import after, camera, day, shot, work


@st.composite
def tiny_days(draw: st.DrawFn, *, most: int = 5) -> PlanInput:
    """Return two to five shots from two or three positions, perhaps one piece of unfilmed work, and a few orders."""
    count = draw(st.integers(2, most))
    is_alone = draw(st.booleans())
    places = ("over", "hob", "front")[: draw(st.integers(2, 3))]
    activities = [shot(f"s{k}", draw(st.integers(1, 5)), draw(st.sampled_from(places))) for k in range(count)]
    if draw(st.booleans()):
        activities[draw(st.integers(0, count - 1))] = work("w", draw(st.integers(1, 6)))
    names = [item.id for item in activities]
    lags = tuple(
        after(names[i], names[j]) for i in range(count) for j in range(i + 1, count) if draw(st.integers(0, 3)) == 0
    )
    film = camera(draw(st.integers(1, 6)), operator="host" if is_alone else "", positions=places)
    return day(*activities, lags=lags, cameras=(film,))


def wraps_by_trying(plan_input: PlanInput) -> dict[int, int]:
    """
    Return for each number of re-rigs that is possible the shortest wrap in minutes.

    Everything is the host's work, so a day is an order. In an order everything starts as early as it can: after the
    work before it, and a shot from another position than the shot before it a re-rig later; a host who is alone moves
    the camera himself, so that his work in between comes on top.
    """
    film = plan_input.cameras[0]
    best: dict[int, int] = {}
    for order in permutations(plan_input.activities):
        place = {item.id: number for number, item in enumerate(order)}
        if any(place[lag.predecessor] > place[lag.successor] for lag in plan_input.lags):
            continue
        clock, rigs, last, shot_end, between = 0, 0, None, 0, 0
        for item in order:
            minutes = item.long_s // 60
            if item.film is None:
                clock, between = clock + minutes, between + minutes
                continue
            if last is not None and item.film.position != last:
                rigs += 1
                move = film.move_s(last, item.film.position) // 60
                clock = max(clock, shot_end + move + (between if film.operator else 0))
            clock += minutes
            last, shot_end, between = item.film.position, clock, 0
        best[rigs] = min(clock, best.get(rigs, clock))
    return best


@settings(max_examples=25, deadline=None)
@given(tiny_days())
def test_tiny_days_are_as_short_as_trying_every_order(plan_input: PlanInput) -> None:
    """The solver's wrap is that of brute force, proven; then the fewest re-rigs at that wrap; the plan is sound."""
    solved, result = solve_filmed(plan_input, aims=("rerigs",))
    assert result.schedule is not None
    assert verify(solved, result.schedule) == ()
    wrap, rigs = min((wrap, rigs) for rigs, wrap in wraps_by_trying(plan_input).items())
    assert result.schedule.makespan_s == 60 * wrap
    assert result.bound_s == 60 * wrap
    assert rerig_count(solved, result.schedule) == rigs
    assert all(phase.is_proven for phase in result.phases)


@settings(max_examples=25, deadline=None)
@given(tiny_days())
def test_so_many_re_rigs_at_most_against_trying_every_order(plan_input: PlanInput) -> None:
    """
    The fewest re-rigs at any wrap, and the shortest wrap with so many at most, are those of brute force.

    No wrap is shorter than the camera's own time: its recordings and the re-rigs.
    """
    wraps = wraps_by_trying(plan_input)
    model = Model(plan_input, 0, horizon_of(plan_input))
    model.aim("rerigs")
    assert model.solve(Limits(budget=1.0, linearization=1)).value == min(wraps)
    assert all(work.least_s(rerigs) <= 60 * wrap for rerigs, wrap in wraps.items() for work in camera_work(plan_input))
    if not any(work.least_move_s for work in camera_work(plan_input)):
        return
    for most in range(max(wraps) + 2):
        model = Model(plan_input, 0, horizon_of(plan_input))
        model.with_rerigs(0, most)
        model.shortest()
        outcome = model.solve(Limits(budget=1.0))
        possible = [wrap for rerigs, wrap in wraps.items() if rerigs <= most]
        assert outcome.status is (SolveStatus.OPTIMAL if possible else SolveStatus.INFEASIBLE)
        assert outcome.schedule is None or outcome.schedule.makespan_s == 60 * min(possible)


@settings(max_examples=25, deadline=None)
@given(tiny_days(), st.integers(0, 20))
def test_fewer_re_rigs_for_a_later_wrap_against_trying_every_order(plan_input: PlanInput, within: int) -> None:
    """Within so many minutes of the shortest wrap the fewest re-rigs, and of those plans the shortest, both proven."""
    solved, result = solve_filmed(plan_input, aims=("rerigs",))
    found = fewer_rerigs(FilmedPlan(plan_input=solved, result=result), 60 * within)
    assert found.schedule is not None
    assert verify(solved, found.schedule) == ()
    tried = wraps_by_trying(plan_input)
    most = min(tried.values()) + within
    rigs, wrap = min((rigs, wrap) for rigs, wrap in tried.items() if wrap <= most)
    assert (rerig_count(solved, found.schedule), found.schedule.makespan_s) == (rigs, 60 * wrap)
    assert all(phase.is_proven for phase in found.phases)


@settings(max_examples=10, deadline=None)
@given(tiny_days(most=3), st.integers(0, 8))
def test_limits_on_waiting_against_every_start(plan_input: PlanInput, at_most: int) -> None:
    """
    With a limit between the first two, starts at every minute of a short day are tried.

    Where no choice of starts is sound, the planner must say so; else its wrap is the shortest of the sound ones.
    """
    from shootplan.model.planning import Assignment, Schedule
    from shootplan.problems import InfeasiblePlan

    first, second = plan_input.activities[0].id, plan_input.activities[1].id
    limited = day(
        *plan_input.activities, lags=(*plan_input.lags, after(first, second, at_most)), cameras=plan_input.cameras
    )
    horizon = sum(item.long_s // 60 for item in limited.activities) + 12
    best = None
    for moments in product(range(horizon), repeat=len(limited.activities)):
        made = Schedule(
            assignments=tuple(
                Assignment(activity=item.id, pieces=((60 * at, 60 * at + item.long_s),), worker="host")
                for item, at in zip(limited.activities, moments, strict=True)
            )
        )
        if (best is None or made.makespan_s < best) and not verify(limited, made):
            best = made.makespan_s
    try:
        _, result = solve_filmed(limited)
    except InfeasiblePlan:
        assert best is None
        return
    assert result.schedule is not None
    assert result.schedule.makespan_s == best


def test_a_filmed_day_is_planned_the_same_every_time() -> None:
    """Two runs with the same input give the same plan to the second, phases included."""
    shots = [shot(f"s{k}", 1 + k % 4, ("over", "hob", "front")[k % 3]) for k in range(7)]
    plan_input = day(
        *shots, work("w", 9), lags=(after("s0", "s5", 30),), cameras=(camera(positions=("over", "hob", "front")),)
    )
    assert solve_filmed(plan_input, aims=("rerigs",)) == solve_filmed(plan_input, aims=("rerigs",))


@settings(max_examples=15, deadline=None)
@given(tiny_days(), st.data())
def test_whatever_is_moved_into_a_re_rig_is_caught(plan_input: PlanInput, data: st.DataObject) -> None:
    """In a sound day one shot is moved; where it then lies nearer than the re-rig to another, the checker says so."""
    from shootplan.model.planning import Assignment, Schedule

    solved, result = solve_filmed(plan_input)
    assert result.schedule is not None
    shots = [item for item in solved.activities if item.film is not None]
    if len(shots) < 2:
        return
    chosen = data.draw(st.sampled_from(shots))
    at_s = 60 * data.draw(st.integers(0, result.schedule.makespan_s // 60 + 3))
    placed = {item.activity: item.pieces[0] for item in result.schedule.assignments}
    placed[chosen.id] = (at_s, at_s + chosen.long_s)
    made = Schedule(
        assignments=tuple(
            Assignment(activity=item.id, pieces=(placed[item.id],), worker="host") for item in solved.activities
        )
    )
    film = solved.cameras[0]
    too_near = False
    for other in shots:
        if other is chosen or other.film is None or chosen.film is None:
            continue
        (start, end), (start_2, end_2) = placed[chosen.id], placed[other.id]
        move = film.move_s(chosen.film.position, other.film.position)
        too_near = too_near or not (start >= end_2 + move or start_2 >= end + move)
    if too_near:
        assert {item.rule for item in verify(solved, made)} & {"cameras", "rerig"}
