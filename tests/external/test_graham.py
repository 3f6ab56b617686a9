"""
Graham's multiprocessing anomalies, and longest paths against networkx.

R. L. Graham (1969), Bounds on multiprocessing timing anomalies, SIAM Journal on Applied Mathematics 17(2), 416–429:
nine tasks on three machines in list order take 12; all one shorter 13; without dependencies 16; on four machines 15.
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shootplan.model.planning import Activity, ActivityKind, Lag, PlanInput, Resource
from shootplan.plan import solve
from shootplan.plan.graph import network_of
from shootplan.plan.greedy import list_schedule
from shootplan.plan.verify import verify

TIMES = (3, 2, 2, 2, 4, 4, 4, 4, 9)
AFTER = ((1, 9), (4, 5), (4, 6), (4, 7), (4, 8))


def nine_tasks(*, shorter: int = 0, machines: int = 3, is_free: bool = False) -> PlanInput:
    """Return Graham's tasks 1 to 9 in list order."""
    activities = tuple(
        Activity(id=str(k), kind=ActivityKind.LEAVE, short_s=t - shorter, long_s=t - shorter, needs=(("machine", 1),))
        for k, t in enumerate(TIMES, start=1)
    )
    lags = () if is_free else tuple(Lag(predecessor=str(a), successor=str(b)) for a, b in AFTER)
    return PlanInput(
        activities=activities, lags=lags, resources=(Resource(id="machine", capacity=machines, label="machine"),)
    )


@pytest.mark.parametrize(
    ("plan_input", "published"),
    [
        (nine_tasks(), 12),
        (nine_tasks(shorter=1), 13),
        (nine_tasks(is_free=True), 16),
        (nine_tasks(machines=4), 15),
    ],
    ids=["as given", "all one shorter", "no dependencies", "four machines"],
)
def test_a_list_schedule_shows_the_published_anomalies(plan_input: PlanInput, published: int) -> None:
    """Always starting the next job of the list gives Graham's published lengths."""
    schedule = list_schedule(plan_input)
    assert schedule is not None
    assert schedule.makespan_s == published
    assert verify(plan_input, schedule) == ()


@pytest.mark.parametrize(
    ("plan_input", "shortest"),
    [(nine_tasks(), 12), (nine_tasks(shorter=1), 10), (nine_tasks(is_free=True), 12), (nine_tasks(machines=4), 12)],
    ids=["as given", "all one shorter", "no dependencies", "four machines"],
)
def test_the_planner_does_not_fall_for_them(plan_input: PlanInput, shortest: int) -> None:
    """
    Easier problems never take longer than the one they ease.

    By hand: 34 units on three machines need 12; tasks 1 and 9 in a row need 12 as given and 2 + 8 = 10 when shorter.
    """
    result = solve(plan_input)
    assert result.schedule is not None
    assert result.schedule.makespan_s == shortest


@st.composite
def chains(draw: st.DrawFn) -> PlanInput:
    """Return activities with random forward links and nothing that they share."""
    times = draw(st.lists(st.integers(0, 30), min_size=1, max_size=12))
    activities = tuple(Activity(id=str(k), kind=ActivityKind.LEAVE, short_s=t, long_s=t) for k, t in enumerate(times))
    pairs = [(a, b) for b in range(len(times)) for a in range(b)]
    chosen = draw(st.lists(st.sampled_from(pairs), unique=True, max_size=20)) if pairs else []
    lags = tuple(Lag(predecessor=str(a), successor=str(b)) for a, b in chosen)
    return PlanInput(activities=activities, lags=lags)


@given(chains())
@settings(max_examples=60, derandomize=True, deadline=None)
def test_with_nothing_shared_the_plan_is_the_longest_path_of_networkx(plan_input: PlanInput) -> None:
    """networkx.dag_longest_path_length is the reference for the critical path."""
    import networkx as nx

    graph = nx.DiGraph()
    times = {item.id: item.long_s for item in plan_input.activities}
    graph.add_nodes_from(("start", *times))
    for name, seconds in times.items():
        graph.add_edge("start", name, weight=0)
        graph.add_edge(name, "end", weight=seconds)
    for lag in plan_input.lags:
        graph.add_edge(lag.predecessor, lag.successor, weight=times[lag.predecessor])
    result = solve(plan_input)
    assert result.schedule is not None
    assert result.schedule.makespan_s == nx.dag_longest_path_length(graph)
    assert network_of(plan_input) is not None
