"""One plan at both ends, the chain that decides its end, bounds and list schedules: each against a sum done by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from shootplan.model.planning import (
    Activity,
    ActivityKind,
    Anchor,
    Assignment,
    Lag,
    LookInTask,
    Occupation,
    OvenState,
    PlanInput,
    Resource,
    Schedule,
    Worker,
)
from shootplan.plan import solve
from shootplan.plan.bounds import lower_bound
from shootplan.plan.calendars import FOREVER_S, Counted, Person
from shootplan.plan.chain import critical_chain, slack
from shootplan.plan.cp_sat import time_unit
from shootplan.plan.fixed_order import fixed_order
from shootplan.plan.graph import Ends, PositiveCycle, network_of, precedence_cycle, precedence_graph, starts_of
from shootplan.plan.greedy import best_list_schedule, list_schedule
from shootplan.plan.orders import sequences, with_units
from shootplan.plan.verify import verify
from shootplan.problems import InfeasiblePlan

COOK = (Worker(name="cook"),)


def hands(name: str, long_s: int, short_s: int | None = None, **fields: object) -> Activity:
    """Return hands-on work of the cook."""
    values: dict[str, object] = {"kind": ActivityKind.HANDS, "workers": ("cook",), **fields}
    return Activity(id=name, long_s=long_s, short_s=long_s if short_s is None else short_s, **values)  # type: ignore[arg-type]


def left(name: str, long_s: int, short_s: int | None = None, **fields: object) -> Activity:
    """Return something left alone."""
    return hands(name, long_s, short_s, **({"kind": ActivityKind.LEAVE, "workers": ()} | fields))


def after(first: str, second: str, at_most_s: int | None = None) -> Lag:
    """Return "second after first", with a limit if one is given."""
    return Lag(predecessor=first, successor=second, at_most_s=at_most_s, rule=f"{second} after {first}")


def schedule_of(plan_input: PlanInput, **starts: int) -> Schedule:
    """Return the schedule with these starts at the long ends, hands-on work with its first worker."""
    items = []
    for item in plan_input.activities:
        start = starts[item.id]
        worker = item.workers[0] if item.workers and item.kind is ActivityKind.HANDS else ""
        looks = tuple(
            (start + at, start + at + item.look_in.for_s, item.workers[0])
            for at in (item.look_in.offsets(item.long_s) if item.look_in is not None else ())
            if item.look_in is not None
        )
        items.append(
            Assignment(activity=item.id, pieces=((start, start + item.long_s),), worker=worker, look_ins=looks)
        )
    return Schedule(assignments=tuple(items))


# ---------------------------------------------------------------------------------------------------- both ends


def test_the_short_end_keeps_the_order_of_hands() -> None:
    """A 4 (2) then B 3 (1), though B could now begin first: 2 + 1 = 3."""
    plan_input = PlanInput(activities=(hands("a", 4, 2), hands("b", 3, 1)), workers=COOK)
    short = fixed_order(plan_input, schedule_of(plan_input, a=0, b=4))
    assert short is not None
    assert [item.pieces for item in short.assignments] == [((0, 2),), ((2, 3),)]


def test_a_shorter_step_may_leave_the_end_where_it_is() -> None:
    """The soup of 9 (5) does not decide: hands 4 + 6 do, at both ends."""
    plan_input = PlanInput(activities=(hands("a", 4), hands("b", 6), left("soup", 9, 5)), workers=COOK)
    short = fixed_order(plan_input, schedule_of(plan_input, a=0, b=4, soup=0))
    assert short is not None
    assert short.makespan_s == 10


def test_a_limit_that_breaks_at_the_short_end_leaves_no_plan() -> None:
    """
    The pot of 9 (2) must be served within 1, and hands are with A until 8: 9 is in time, at 2 nobody is free.

    The pot may not begin later, for it follows the boil of 0 at once and that is at the beginning.
    """
    boil = left("boil", 0, deadline_s=0)
    plan_input = PlanInput(
        activities=(boil, left("pot", 9, 2), hands("a", 8), hands("serve", 1)),
        lags=(after("boil", "pot", 0), after("pot", "serve", 1)),
        workers=COOK,
    )
    long = schedule_of(plan_input, boil=0, pot=0, a=0, serve=9)
    assert verify(plan_input, long) == ()
    assert fixed_order(plan_input, long) is None


def test_a_limit_may_move_a_beginning_later_at_the_short_end() -> None:
    """Without the boil, the pot simply begins at 5: done at 7, served at 8 within 1."""
    plan_input = PlanInput(
        activities=(left("pot", 9, 2), hands("a", 8), hands("serve", 1)), lags=(after("pot", "serve", 1),), workers=COOK
    )
    short = fixed_order(plan_input, schedule_of(plan_input, pot=0, a=0, serve=9))
    assert short is not None
    assert short.of("pot").pieces == ((5, 7),)
    assert short.of("serve").start_s == 8


def test_look_ins_beyond_the_short_end_vanish() -> None:
    """Every 2 for 1: at 2, 4 and 6 of 8; of 5 only at 2 and 4."""
    simmer = left("simmer", 8, 5, workers=("cook",), look_in=LookInTask(every_s=2, for_s=1))
    plan_input = PlanInput(activities=(simmer,), workers=COOK)
    short = fixed_order(plan_input, schedule_of(plan_input, simmer=0))
    assert short is not None
    assert short.of("simmer").look_ins == ((2, 3, "cook"), (4, 5, "cook"))
    assert verify(plan_input, short, is_short=True) == ()


def test_work_stays_on_its_side_of_a_break() -> None:
    """Away 5-8: B at 8 stays after the break though A now ends at 1 and B would fit before."""
    away = (Worker(name="cook", away=((5, 8),)),)
    plan_input = PlanInput(activities=(hands("a", 4, 1), hands("b", 3)), workers=away)
    short = fixed_order(plan_input, schedule_of(plan_input, a=0, b=8))
    assert short is not None
    assert short.of("b").start_s == 8


def test_the_oven_goes_through_its_temperatures_in_the_same_order() -> None:
    """200 first: heat 3 (2), bread 5 (1), change 1, cake 2: 2 + 1 + 1 + 2 = 6."""
    plan_input = PlanInput(
        activities=(
            left("heat", 3, 2, kind=ActivityKind.HEAT, oven=OvenState(oven="oven", temperature_c=200)),
            left("bread", 5, 1, oven=OvenState(oven="oven", temperature_c=200, heat="heat")),
            left("cool", 3, 2, kind=ActivityKind.HEAT, oven=OvenState(oven="oven", temperature_c=150)),
            left("cake", 2, oven=OvenState(oven="oven", temperature_c=150, heat="cool")),
        ),
        oven_shelves=(("oven", 1),),
        oven_change_s=(("oven", 1),),
    )
    spans = {"heat": (0, 3), "bread": (3, 8), "cool": (8, 9), "cake": (9, 11)}
    long = Schedule(assignments=tuple(Assignment(activity=a, pieces=(span,)) for a, span in spans.items()))
    assert verify(plan_input, long) == ()
    short = fixed_order(plan_input, long)
    assert short is not None
    assert short.makespan_s == 6
    assert verify(plan_input, short, is_short=True) == ()


def test_the_long_end_of_a_plan_is_as_early_as_its_orders_allow() -> None:
    """A plan drawn late is moved to the front without changing who comes first."""
    plan_input = PlanInput(activities=(hands("a", 4), hands("b", 3)), workers=COOK)
    early = fixed_order(plan_input, schedule_of(plan_input, b=5, a=20), ends=Ends.LONG)
    assert early is not None
    assert (early.of("b").start_s, early.of("a").start_s) == (0, 3)


def test_of_equally_short_days_the_one_with_the_better_short_end_is_taken() -> None:
    """
    A roast of 20 (1) hides the order of A and B, 3 of hands each; A's pot takes 6, B's 8 (0).

    Long tails say B first, and then the short end is 3 + 3 + 6 = 12; A first makes it 3 + 6 = 9. Both are 20 long.
    """
    plan_input = PlanInput(
        activities=(left("roast", 20, 1), hands("a", 3), left("pot a", 6), hands("b", 3), left("pot b", 8, 0)),
        lags=(after("a", "pot a"), after("b", "pot b")),
        workers=COOK,
    )
    result = solve(plan_input)
    assert result.schedule is not None
    assert result.short_schedule is not None
    assert (result.schedule.makespan_s, result.short_schedule.makespan_s) == (20, 9)


# ---------------------------------------------------------------------------------------------------- orders and units


def test_units_are_numbered_and_the_ring_freed_first_serves_next() -> None:
    """Pots 0-5 and 0-3 take rings 1 and 2 by name; the third at 5 takes the one freed at 3."""
    ring = (("ring", 1),)
    plan_input = PlanInput(
        activities=(left("c", 2, needs=ring), left("a", 5, needs=ring), left("b", 3, needs=ring)),
        resources=(Resource(id="ring", capacity=2, label="ring"),),
    )
    schedule = with_units(plan_input, schedule_of(plan_input, c=5, a=0, b=0))
    taken = {item.activity: item.units[0][1] for item in schedule.assignments}
    assert taken["c"] == taken["b"] != taken["a"]


def test_a_dish_goes_on_where_it_was() -> None:
    """
    Three rings; soup 0-5 on ring 1, rice 0-3 on ring 2, sauce from 3 on the third, not on the rice's.

    The soup goes on at 7 where it was, though ring 2 has been free for longer.
    """
    ring = (("ring", 1),)
    activities = (
        *(left(name, long_s, needs=ring, recipe=name) for name, long_s in (("soup", 5), ("rice", 3), ("sauce", 9))),
        left("later", 2, needs=ring, recipe="soup"),
    )
    plan_input = PlanInput(activities=activities, resources=(Resource(id="ring", capacity=3, label="ring"),))
    made = with_units(plan_input, schedule_of(plan_input, soup=0, rice=0, sauce=3, later=7))
    taken = {item.activity: item.units[0][1] for item in made.assignments}
    assert len({taken["soup"], taken["rice"], taken["sauce"]}) == 3
    assert taken["later"] == taken["soup"]


def test_nothing_waits_for_a_thing_of_which_one_is_free() -> None:
    """Two cloths: the second rise may begin before the first ends, so its slack is not bound by the first."""
    cloth = (("cloth", 1),)
    activities = (
        left("first", 5, needs=cloth, recipe="loaf"),
        left("second", 5, needs=cloth, recipe="knots"),
        hands("last", 20),
    )
    plan_input = PlanInput(
        activities=activities,
        workers=(Worker(name="cook"),),
        resources=(Resource(id="cloth", capacity=2, label="cloth"),),
    )
    assert slack(plan_input, schedule_of(plan_input, first=0, second=5, last=0)) == {
        "first": 15,
        "second": 10,
        "last": 0,
    }


def test_sequences_say_who_serves_whom_in_order() -> None:
    """People first, then each unit."""
    ring = (("ring", 1),)
    plan_input = PlanInput(
        activities=(hands("a", 2, needs=ring), hands("b", 3)),
        resources=(Resource(id="ring", capacity=1, label="ring"),),
        workers=COOK,
    )
    found = [(item.resource, item.activities) for item in sequences(plan_input, schedule_of(plan_input, b=0, a=3))]
    assert found == [("cook", ("b", "a")), ("ring 1", ("a",))]


# ---------------------------------------------------------------------------------------------------- the chain


def test_the_chain_names_recipe_and_hands() -> None:
    """Boil 5, then A's 4 of hands, then B's 3 wait for them: 12; the rice of 6 has 6 to spare."""
    plan_input = PlanInput(
        activities=(left("boil", 5), hands("a", 4), hands("b", 3), left("rice", 6)),
        lags=(after("boil", "a"), after("boil", "b")),
        workers=COOK,
    )
    schedule = schedule_of(plan_input, boil=0, a=5, b=9, rice=0)
    links = [(link.activity, link.start_s, link.because) for link in critical_chain(plan_input, schedule)]
    assert links == [("boil", 0, ""), ("a", 5, "a after boil"), ("b", 9, "waits for cook's hands")]
    assert slack(plan_input, schedule) == {"boil": 0, "a": 0, "b": 0, "rice": 6}


def test_the_chain_names_the_change_of_the_oven() -> None:
    """The cake's change waits for the bread to come out."""
    plan_input = PlanInput(
        activities=(
            left("heat", 3, kind=ActivityKind.HEAT, oven=OvenState(oven="oven", temperature_c=200)),
            left("bread", 5, oven=OvenState(oven="oven", temperature_c=200, heat="heat")),
            left("cool", 3, kind=ActivityKind.HEAT, oven=OvenState(oven="oven", temperature_c=180)),
            left("cake", 7, oven=OvenState(oven="oven", temperature_c=180, heat="cool")),
        ),
        oven_change_s=(("oven", 1),),
    )
    result = solve(plan_input)
    assert result.schedule is not None
    links = {link.activity: link.because for link in critical_chain(plan_input, result.schedule)}
    assert links["cool"] == "waits for the oven to change to 180 °C"
    assert list(links) == ["heat", "bread", "cool", "cake"]


def test_the_chain_names_a_pan_that_is_washed() -> None:
    """One pan, held by the sauce for 4 and washed for 2: the eggs begin at 6."""
    plan_input = PlanInput(
        activities=(left("sauce", 4), left("eggs", 3)),
        resources=(Resource(id="pan", capacity=1, label="28 cm pan"),),
        occupations=(
            Occupation(id="s", resource="pan", first="sauce", last="sauce", after_s=2),
            Occupation(id="e", resource="pan", first="eggs", last="eggs", after_s=2),
        ),
    )
    schedule = schedule_of(plan_input, sauce=0, eggs=6)
    assert [link.because for link in critical_chain(plan_input, schedule)] == ["", "waits for the 28 cm pan"]
    assert critical_chain(plan_input, schedule)[-1].end_s == 9


# ---------------------------------------------------------------------------------------------------- graph and bounds


def test_the_bound_counts_hands_with_what_lies_before_and_after() -> None:
    """Both works of 4 come after a boil of 3 and before a rest of 2: 3 + 8 + 2, more than any path's 9."""
    plan_input = PlanInput(
        activities=(left("boil", 3), hands("a", 4), hands("b", 4), left("rest a", 2), left("rest b", 2)),
        lags=(after("boil", "a"), after("boil", "b"), after("a", "rest a"), after("b", "rest b")),
        workers=COOK,
    )
    assert lower_bound(plan_input, network_of(plan_input)) == 13


def test_the_bound_counts_time_away() -> None:
    """Six of hands with an absence of 10 from 4 on: 4 before, 2 after 14."""
    plan_input = PlanInput(activities=(hands("a", 3), hands("b", 3)), workers=(Worker(name="cook", away=((4, 14),)),))
    assert lower_bound(plan_input, network_of(plan_input)) == 16


def test_the_bound_counts_a_held_pan_with_its_washing() -> None:
    """Two dishes hold the pan for 4 + 1 of washing and 4: 9."""
    plan_input = PlanInput(
        activities=(left("a", 4), left("b", 4)),
        resources=(Resource(id="pan", capacity=1),),
        occupations=(
            Occupation(id="a", resource="pan", first="a", last="a", after_s=1),
            Occupation(id="b", resource="pan", first="b", last="b", after_s=1),
        ),
    )
    assert lower_bound(plan_input, network_of(plan_input)) == 9


def test_lags_work_from_either_end_and_may_be_negative() -> None:
    """B starts at least 2 after A's start, C ends at most 1 before A's end: the earliest are 2 and 10 - 1 - 3 = 6."""
    plan_input = PlanInput(
        activities=(left("a", 10), left("b", 1), left("c", 3)),
        lags=(
            Lag(predecessor="a", successor="b", at_least_s=2, predecessor_anchor=Anchor.START),
            Lag(predecessor="a", successor="c", at_least_s=-1, at_most_s=0, successor_anchor=Anchor.END),
        ),
    )
    earliest, _ = network_of(plan_input).earliest()
    assert (earliest[starts_of("b")], earliest[starts_of("c")]) == (2, 6)


def test_limits_that_contradict_waits_are_a_cycle_with_its_links() -> None:
    """B at least 5 after A, at most 3 after A: the two lags are the chain."""
    plan_input = PlanInput(
        activities=(left("a", 1), left("b", 1)),
        lags=(
            Lag(predecessor="a", successor="b", at_least_s=5, rule="rests 5"),
            Lag(predecessor="a", successor="b", at_least_s=None, at_most_s=3, rule="within 3"),
        ),
    )
    with pytest.raises(PositiveCycle) as caught:
        network_of(plan_input).earliest()
    assert {edge.reason for edge in caught.value.edges} == {"rests 5", "within 3"}


def test_steps_that_wait_for_one_another_are_found_by_networkx() -> None:
    """A, B, C in a circle; D is not in it."""
    names = ("a", "b", "c", "d")
    lags = (after("a", "b"), after("b", "c"), after("c", "a"), after("c", "d"))
    plan_input = PlanInput(activities=tuple(left(name, 1) for name in names), lags=lags)
    assert set(precedence_cycle(plan_input)) == {"a", "b", "c"}
    assert precedence_cycle(replace(plan_input, lags=lags[:2])) == ()


def test_the_precedence_graph_has_the_critical_path_as_its_longest_path() -> None:
    """4 + a wait of 2 + 5 = 11 against 8."""
    import networkx

    lags = (Lag(predecessor="a", successor="b", at_least_s=2),)
    plan_input = PlanInput(activities=(left("a", 4), left("b", 5), left("c", 8)), lags=lags)
    assert networkx.dag_longest_path_length(precedence_graph(plan_input)) == 11


def test_the_unit_of_time_divides_every_time() -> None:
    """120, 180 and a limit of 30: whole steps of 30 s."""
    plan_input = PlanInput(activities=(left("a", 120), left("b", 180)), lags=(after("a", "b", 30),))
    assert time_unit(plan_input) == 30


# ---------------------------------------------------------------------------------------------------- list schedules


def test_a_list_schedule_moves_a_beginning_for_a_limit() -> None:
    """Served within 0 of the pot, after 6 of other hands in the list: the pot begins at 4, not at 0."""
    plan_input = PlanInput(
        activities=(hands("chop", 6), left("pot", 2), hands("serve", 1)), lags=(after("pot", "serve", 0),), workers=COOK
    )
    schedule = list_schedule(plan_input)
    assert schedule is not None
    assert schedule.of("pot").start_s == 4
    assert verify(plan_input, schedule) == ()


def test_a_list_schedule_keeps_hands_free_for_look_ins() -> None:
    """The pot of 6 is looked in on at 2 and 4 for 1: work of 3 does not fit between and comes after 5."""
    pot = left("pot", 6, workers=("cook",), look_in=LookInTask(every_s=2, for_s=1), release_s=0)
    plan_input = PlanInput(activities=(pot, hands("knead", 3)), workers=COOK)
    schedule = list_schedule(plan_input)
    assert schedule is not None
    assert schedule.of("knead").start_s == 5
    assert verify(plan_input, schedule) == ()


def test_where_the_list_meets_the_bound_no_solver_is_started() -> None:
    """A row of hands is as short as it can be."""
    plan_input = PlanInput(activities=(hands("a", 4), hands("b", 3)), lags=(after("a", "b"),), workers=COOK)
    result = solve(plan_input)
    assert (result.engine, result.bound_s) == ("list", 7)
    schedule = best_list_schedule(plan_input, bound_s=7)
    assert schedule is not None
    assert schedule.makespan_s == 7


def test_an_empty_plan_is_done_at_once() -> None:
    """Nothing to do takes no time and no solver."""
    result = solve(PlanInput(activities=()))
    assert result.schedule == Schedule(assignments=())
    assert (result.bound_s, result.engine, result.gap_percent) == (0, "list", 0.0)


def test_the_next_free_moment_of_a_person_and_of_a_counted_thing() -> None:
    """Busy 2-4: 2 fit at 0, 3 only at 4. Two of three in use 0-5: 1 fits at 0, 2 at 5, 4 never."""
    person = Person([(2, 4)])
    assert (person.next_free(0, 2), person.next_free(0, 3)) == (0, 4)
    rings = Counted(3)
    rings.book(0, 5, 2)
    assert (rings.next_free(0, 1, 1), rings.next_free(0, 1, 2), rings.next_free(0, 1, 4)) == (0, 5, None)
    rings.book(0, 5, -2)
    assert rings.next_free(0, 1, 3) == 0
    rings.book(2, FOREVER_S, 1)
    assert (rings.next_free(0, 2, 3), rings.next_free(0, 3, 2), rings.next_free(0, 3, 3)) == (0, 0, None)


# ---------------------------------------------------------------------------------------------------- who and how


def test_two_cooks_who_are_alike_are_named_one_by_one() -> None:
    """Three works of 4 by two cooks take 8, each cook one thing at a time."""
    both = ("ann", "ben")
    plan_input = PlanInput(
        activities=tuple(hands(name, 4, workers=both) for name in "xyz"),
        workers=(Worker(name="ann"), Worker(name="ben")),
    )
    result = solve(plan_input)
    assert result.schedule is not None
    assert result.schedule.makespan_s == 8
    assert {item.worker for item in result.schedule.assignments} == set(both)


def test_the_helper_does_what_only_the_helper_may() -> None:
    """Cook-only 5, helper-only 5, either's 5: 10, and nobody does the other's work."""
    plan_input = PlanInput(
        activities=(
            hands("present", 5),
            hands("wash", 5, workers=("helper",)),
            hands("peel", 5, workers=("cook", "helper")),
        ),
        workers=(Worker(name="cook"), Worker(name="helper")),
    )
    schedule = solve(plan_input).schedule
    assert schedule is not None
    assert schedule.makespan_s == 10
    assert (schedule.of("present").worker, schedule.of("wash").worker) == ("cook", "helper")


def test_progress_is_told_and_runs_are_equal() -> None:
    """A plan that needs the solver says so as it goes, and comes out the same twice."""
    plan_input = PlanInput(
        activities=(hands("a", 3), left("pot", 5), hands("b", 2), hands("c", 4), left("rest", 6)),
        lags=(after("a", "pot"), after("pot", "b", 0), after("c", "rest")),
        workers=COOK,
    )
    told: list[str] = []
    first = solve(plan_input, progress=told.append)
    assert told
    assert first == solve(plan_input)


def test_a_horizon_that_is_too_near_is_told() -> None:
    """Seven of hands within 6."""
    plan_input = PlanInput(activities=(hands("a", 4), hands("b", 3)), workers=COOK, horizon_s=6)
    with pytest.raises(InfeasiblePlan) as caught:
        solve(plan_input)
    assert any("within" in conflict.rule for conflict in caught.value.conflicts)
