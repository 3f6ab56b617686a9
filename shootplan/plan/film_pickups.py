"""
Which shots cannot be taken while the dish is made: one camera, its re-rigs, one presenter, and limits on waiting.

A filmed plan comes in, the shots to pick up later go out: the lightest set of them without which a day is possible, by
minutes of recording, what serves a dish last.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations

from shootplan.model.filming import PickUp, PickUps
from shootplan.model.planning import Activity, PlanInput, SolveStatus
from shootplan.plan.explain import cycle_conflicts
from shootplan.plan.film_tasks import CLOSING, LINK, OPENING
from shootplan.plan.graph import Edge, EdgeKind, Event, PositiveCycle, ends_of, network_of, starts_of
from shootplan.plan.planner import horizon_of
from shootplan.plan.task_lags import minutes
from shootplan.problems import Conflict
from shootplan.records import dataclass

__all__ = ["clash_conflicts", "find_pick_ups"]

#: How much more it weighs to pick up what is served, or a row around the dishes, than any other shot.
_SERVED = 1000


@dataclass(frozen=True, slots=True)
class _Clash:
    """Two recordings at different positions with too little time between them in either order."""

    first: str
    second: str
    needed_s: int


def find_pick_ups(plan_input: PlanInput, *, budget: float, horizon_s: int | None = None) -> PickUps:
    """
    Return the shots to pick up later; none where no day is possible even without a camera.

    Parameters
    ----------
    plan_input
        The filmed plan with every shot taken while the dish is made.
    budget
        Deterministic time units of the solver.
    horizon_s
        Seconds to the latest wrap; a day that is longer is looked at only if none fits.
    """
    from shootplan.plan.cp_sat import Limits, Model

    heroes = {(item.recipe, item.step) for item in plan_input.activities if item.id in plan_input.heroes}
    shots = {item.id: item for item in plan_input.activities if item.film is not None and item.long_s}
    weights = {name: _weight(item, heroes) for name, item in shots.items()}
    longest = horizon_of(plan_input)
    model = Model(plan_input, 0, min(longest, horizon_s or longest), may_leave_out=weights)
    clashes = list(_clashes(plan_input))
    for clash in clashes:
        model.model.add_bool_or(*(~model.live(shots[name])[0] for name in (clash.first, clash.second)))
    model.fewest_left_out()
    outcome = model.solve(Limits(budget=budget, linearization=1))
    if outcome.schedule is None and horizon_s is not None:
        return find_pick_ups(plan_input, budget=budget)
    later = [item for item in plan_input.activities if item.id in outcome.left_out]
    found = tuple(_pick_up(item, clashes, shots, set(outcome.left_out)) for item in later)
    return PickUps(
        shots=tuple(dict.fromkeys(found)),
        is_proven=outcome.status is not SolveStatus.FEASIBLE,
        is_stopped=outcome.is_stopped,
    )


def clash_conflicts(plan_input: PlanInput) -> tuple[Conflict, ...]:
    """Return why two shots cannot both be taken live: both shots and the rules between them; empty if none clash."""
    clash = next(_clashes(plan_input), None)
    if clash is None:
        return ()
    activities = {item.id: item for item in plan_input.activities}
    told = []
    for item in (activities[clash.first], activities[clash.second]):
        assert item.film is not None
        told.append(Conflict(rule=f"{item.label or item.id} is filmed from {item.film.position}", span=item.span))
    network = network_of(plan_input)
    reason = f"the {minutes(clash.needed_s)} of the re-rig lie between them"
    edge = Edge(ends_of(clash.first), starts_of(clash.second), clash.needed_s, EdgeKind.CAMERA, reason)
    network.add(edge)
    try:
        network.earliest()
    except PositiveCycle as cycle:
        told += [conflict for conflict in cycle_conflicts(plan_input, cycle) if conflict not in told]
    return tuple(told)


def _weight(activity: Activity, heroes: set[tuple[str, str]]) -> int:
    """Return what it costs to pick a shot up: its minutes at least, and one for the shot itself."""
    is_dear = (activity.recipe, activity.step) in heroes or activity.recipe in (OPENING, LINK, CLOSING)
    return (1 + activity.long_s // 60) * (_SERVED if is_dear else 1)


def _clashes(plan_input: PlanInput) -> Iterator[_Clash]:
    """Yield the recordings of one camera that the plan's limits hold too close together for its re-rig."""
    network = network_of(plan_input)
    shots = [item for item in plan_input.activities if item.film is not None and item.long_s]
    reach = {item.id: network.distances(starts_of(item.id)) for item in shots}
    for camera in plan_input.cameras:
        own = [item for item in shots if item.film is not None and item.film.camera == camera.name]
        for one, other in combinations(own, 2):
            assert one.film is not None and other.film is not None
            needed_s = camera.move_s(one.film.position, other.film.position)
            if not needed_s:
                continue
            orders = ((one, other), (other, one))
            if not any(_fits(reach[after.id], before.id, needed_s) for before, after in orders):
                yield _Clash(one.id, other.id, needed_s)


def _fits(reach: Mapping[Event, int], before: str, needed_s: int) -> bool:
    """Whether the end of ``before`` may lie ``needed_s`` ahead of the start that ``reach`` is counted from."""
    return ends_of(before) not in reach or reach[ends_of(before)] + needed_s <= 0


def _pick_up(activity: Activity, clashes: Sequence[_Clash], shots: Mapping[str, Activity], later: set[str]) -> PickUp:
    assert activity.film is not None
    return PickUp(
        recipe=activity.recipe,
        step=activity.step,
        label=activity.label.removesuffix(" (filmed)"),
        position=activity.film.position,
        because=_reason(activity, clashes, shots, later),
    )


def _reason(activity: Activity, clashes: Sequence[_Clash], shots: Mapping[str, Activity], later: set[str]) -> str:
    """Say why a shot is picked up, by a clash with a shot that is taken if there is one."""
    own = [clash for clash in clashes if activity.id in (clash.first, clash.second)]
    own.sort(key=lambda clash: {clash.first, clash.second} <= later)
    if not own:
        return "with the presenter's hands and the other shots there is no time for the re-rig"
    other = shots[own[0].second if own[0].first == activity.id else own[0].first]
    assert other.film is not None
    label = other.label.removesuffix(" (filmed)")
    return f"too little time for the re-rig ({minutes(own[0].needed_s)}) between it and {label} ({other.film.position})"
