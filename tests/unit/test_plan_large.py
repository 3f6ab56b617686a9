"""Plans too large for one model: packed list schedules, their search, stretches; each against a sum done by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from shootplan.model.filming import Meal
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
from shootplan.plan import list_search, solve, stretches
from shootplan.plan.cp_sat import Limits
from shootplan.plan.large import shortest_of_large
from shootplan.plan.list_search import searched
from shootplan.plan.packed import Packed
from shootplan.plan.packing import packed
from shootplan.plan.stretches import made_shorter
from shootplan.plan.verify import verify

COOK = (Worker(name="cook"),)


def hands(name: str, long_s: int, **fields: object) -> Activity:
    """Return hands-on work of the cook."""
    values: dict[str, object] = {"kind": ActivityKind.HANDS, "workers": ("cook",), "short_s": long_s, **fields}
    return Activity(id=name, long_s=long_s, **values)  # type: ignore[arg-type]


def left(name: str, long_s: int, **fields: object) -> Activity:
    """Return something left alone."""
    return hands(name, long_s, **({"kind": ActivityKind.LEAVE, "workers": ()} | fields))


def after(first: str, second: str, at_most_s: int | None = None) -> Lag:
    """Return "second after first", with a limit if one is given."""
    return Lag(predecessor=first, successor=second, at_most_s=at_most_s)


def starts_by(plan_input: PlanInput, *names: str, top_s: int = 100) -> dict[str, int]:
    """Return the starts of a list schedule that takes the blocks of these activities in this order."""
    plan = packed(plan_input, top_s)
    assert plan is not None
    starts = plan.forward([_block(plan, name) for name in names])
    assert starts is not None
    schedule = plan.schedule(starts)
    assert verify(plan_input, schedule) == ()
    return {item.activity: item.start_s for item in schedule.assignments}


def _block(plan: Packed, name: str) -> int:
    ids = [item.id for item in plan.input.activities]
    return next(n for n, block in enumerate(plan.blocks) if name in {ids[member] for member in block})


# ---------------------------------------------------------------------------------------------------- list schedules


def test_what_comes_later_in_the_list_fills_a_gap_before_it() -> None:
    """The pot, both rings for 4, waits for 3 of chopping; the pan, both rings for 2, comes last and fits at 0."""
    plan_input = PlanInput(
        activities=(left("pot", 4, needs=(("ring", 2),)), left("pan", 2, needs=(("ring", 2),)), hands("chop", 3)),
        resources=(Resource(id="ring", capacity=2),),
        workers=COOK,
        lags=(after("chop", "pot"),),
    )
    assert starts_by(plan_input, "chop", "pot", "pan") == {"chop": 0, "pot": 3, "pan": 0}


def test_a_limit_inside_a_block_makes_its_first_step_later() -> None:
    """The cook is busy 0-6; stir comes at once after a simmer of 4, so the simmer begins at 2, not at 0."""
    plan_input = PlanInput(
        activities=(hands("knead", 6), left("simmer", 4), hands("stir", 1)),
        lags=(after("simmer", "stir", 0),),
        workers=COOK,
    )
    assert starts_by(plan_input, "knead", "simmer") == {"knead": 0, "simmer": 2, "stir": 6}


def test_look_ins_take_the_cook_at_their_own_moments_only() -> None:
    """A simmer of 6 looked in on at 2 and 4 leaves the cook 0-2: chop 2 fits there, mix 3 only after 5."""
    look = LookInTask(every_s=2, for_s=1)
    plan_input = PlanInput(
        activities=(left("simmer", 6, look_in=look, workers=("cook",)), hands("chop", 2), hands("mix", 3)),
        workers=COOK,
    )
    assert starts_by(plan_input, "simmer", "chop", "mix") == {"simmer": 0, "chop": 0, "mix": 5}


def test_a_vessel_is_free_again_before_a_later_use_that_is_placed() -> None:
    """One pan: dish A from 0 to 4 washed to 5; B, for 3, may begin at 5; C's use at 12 (after 12) leaves B its gap."""
    plan_input = PlanInput(
        activities=tuple(
            left(f"{dish}{step}", long_s)
            for dish, lengths in (("a", (2, 2)), ("c", (1, 1)), ("b", (1, 2)))
            for step, long_s in enumerate(lengths)
        ),
        lags=(after("a0", "a1"), after("c0", "c1"), after("b0", "b1")),
        occupations=tuple(
            Occupation(id=dish, resource="pan", first=f"{dish}0", last=f"{dish}1", after_s=1) for dish in "acb"
        ),
        resources=(Resource(id="pan", capacity=1),),
    )
    late = replace(plan_input.activities[2], release_s=12)
    plan_input = replace(plan_input, activities=(*plan_input.activities[:2], late, *plan_input.activities[3:]))
    expected = {"a0": 0, "a1": 2, "c0": 12, "c1": 13, "b0": 5, "b1": 6}
    assert starts_by(plan_input, "a0", "c0", "b0") == expected


def test_an_oven_goes_on_from_heat_to_heat() -> None:
    """First heat 4 and bake 5; the second, 40 °C hotter, waits for 9, changes in 3, its bake begins at 12."""
    activities: list[Activity] = []
    for name, celsius in (("one", 180), ("two", 220)):
        state = OvenState(oven="oven", temperature_c=celsius)
        activities.append(left(f"heat {name}", 4, kind=ActivityKind.HEAT, oven=state))
        activities.append(left(name, 5, oven=replace(state, heat=f"heat {name}")))
    plan_input = PlanInput(
        activities=tuple(activities), oven_shelves=(("oven", 2),), oven_change_s=(("oven", 3),), workers=COOK
    )
    assert starts_by(plan_input, "one", "two") == {"heat one": 0, "one": 4, "heat two": 9, "two": 12}
    assert starts_by(plan_input, "two", "one") == {"heat two": 0, "two": 4, "heat one": 9, "one": 12}


def test_whoever_may_do_it_and_is_free_first_does_it() -> None:
    """The cook alone ices for 5; both may chop: the helper is away 0-2 and takes it then."""
    plan_input = PlanInput(
        activities=(hands("ice", 5), hands("chop", 4, workers=("cook", "helper"))),
        workers=(Worker(name="cook"), Worker(name="helper", away=((0, 2),))),
    )
    assert starts_by(plan_input, "ice", "chop") == {"ice": 0, "chop": 2}


def test_an_order_that_leads_past_a_deadline_gives_nothing() -> None:
    """Peel 3 by 4: after knead 2 it would end at 5."""
    plan_input = PlanInput(activities=(hands("knead", 2), hands("peel", 3, deadline_s=4)), workers=COOK)
    plan = packed(plan_input, 100)
    assert plan is not None
    assert plan.forward([_block(plan, "knead"), _block(plan, "peel")]) is None
    assert plan.forward([_block(plan, "peel"), _block(plan, "knead")]) == [3, 0]


@pytest.mark.parametrize(
    "strange",
    [
        {"closed": ((50, 60),)},
        {
            "activities": (hands("a", 1), left("break", 5, kind=ActivityKind.BREAK)),
            "meal": Meal(activity="break", length_s=5, within_s=20),
        },
        {"activities": (hands("a", 1, needs=(("ring", 2),)),), "resources": (Resource(id="ring", capacity=1),)},
        {"activities": (left("a", 9, look_in=LookInTask(every_s=1, for_s=2), workers=("cook",)),)},
        {
            "activities": (
                left("heat", 4, kind=ActivityKind.HEAT, oven=OvenState(oven="oven", temperature_c=180)),
                hands("a", 1),
            ),
            "lags": (after("heat", "a"),),
        },
    ],
    ids=["closed", "break", "too many rings", "look-ins at once", "a wait for a heat"],
)
def test_what_packed_schedules_do_not_know_is_left_alone(strange: dict[str, object]) -> None:
    """Closed times, breaks, what can never fit, and a wait that is measured from a heat."""
    plan_input = PlanInput(**({"activities": (hands("a", 1),), "workers": COOK} | strange))  # type: ignore[arg-type]
    assert packed(plan_input, 100) is None
    assert searched(plan_input, None, bound_s=0, top_s=100, work=100, seed=0).schedule is None


def test_time_runs_back_from_the_end() -> None:
    """Chop 2, then simmer 5; from the end the simmer takes 0-5 and the chopping 5-7, whoever began first."""
    plan_input = PlanInput(
        activities=(hands("chop", 2), left("simmer", 5)), lags=(after("chop", "simmer"),), workers=COOK
    )
    plan = packed(plan_input, 100)
    assert plan is not None
    assert plan.backward([_block(plan, "simmer"), _block(plan, "chop")]) == [5, 0]


# ---------------------------------------------------------------------------------------------------- search


def test_a_search_finds_what_the_longest_tail_first_misses() -> None:
    """Two cooks and works of 3, 3, 2, 2, 2: longest first takes 7, the shortest is 6 (Graham 1969, two machines)."""
    plan_input = PlanInput(
        activities=tuple(hands(f"{n} of {s}", s, workers=("ann", "ben")) for n, s in enumerate((3, 3, 2, 2, 2))),
        workers=(Worker(name="ann"), Worker(name="ben")),
    )
    plan = packed(plan_input, 100)
    assert plan is not None
    starts = plan.forward(sorted(range(5), key=lambda block: -plan.tails[block]))
    assert starts is not None
    listed = plan.schedule(starts)
    found = searched(plan_input, listed, bound_s=6, top_s=20, work=5000, seed=0)
    assert found.schedule is not None
    assert (listed.makespan_s, found.schedule.makespan_s) == (7, 6)
    assert found.work < 5000


def test_a_search_goes_on_with_crossed_orders(monkeypatch: pytest.MonkeyPatch) -> None:
    """Five dishes on four rings: the last of five chops ends at 10 at best, its simmer and plate at 17; four kept."""
    monkeypatch.setattr(list_search, "_KEPT", 4)
    plan_input = many_dishes(5)
    found = searched(plan_input, None, bound_s=0, top_s=60, work=20_000, seed=0)
    assert found.schedule is not None
    assert verify(plan_input, found.schedule) == ()
    assert found.schedule.makespan_s == 17


def test_a_search_without_a_sound_order_gives_nothing() -> None:
    """Two works of 3 for one cook, both due by 4."""
    plan_input = PlanInput(activities=(hands("peel", 3, deadline_s=4), hands("chop", 3, deadline_s=4)), workers=COOK)
    assert searched(plan_input, None, bound_s=0, top_s=60, work=1000, seed=0).schedule is None


# ---------------------------------------------------------------------------------------------------- stretches


def three_dishes() -> tuple[PlanInput, Schedule]:
    """Return three dishes of chop 2, simmer 6, plate 1 and a schedule of one after the other: 27; work is 9."""
    activities, lags, assignments = [], [], []
    for number, dish in enumerate("abc"):
        activities += [hands(f"chop {dish}", 2), left(f"simmer {dish}", 6), hands(f"plate {dish}", 1)]
        lags += [after(f"chop {dish}", f"simmer {dish}"), after(f"simmer {dish}", f"plate {dish}", 0)]
        for name, start, end in (("chop", 0, 2), ("simmer", 2, 8), ("plate", 8, 9)):
            worker = "" if name == "simmer" else "cook"
            assignments.append(
                Assignment(activity=f"{name} {dish}", pieces=((9 * number + start, 9 * number + end),), worker=worker)
            )
    plan_input = PlanInput(activities=tuple(activities), lags=tuple(lags), workers=COOK)
    return plan_input, Schedule(assignments=tuple(assignments))


@pytest.mark.parametrize("most", [3, 4, 9])
def test_stretches_shorten_a_plan_to_its_optimum(monkeypatch: pytest.MonkeyPatch, most: int) -> None:
    """Chops 0-6, plates from 8: the last chop ends at 6, its plate at 13; nothing is shorter."""
    monkeypatch.setattr(stretches, "_ACTIVITIES", most)
    plan_input, slow = three_dishes()
    assert verify(plan_input, slow) == ()
    told: list[str] = []
    found = made_shorter(plan_input, slow, bound_s=0, limits=Limits(budget=1.0), tell=told.append)
    assert verify(plan_input, found.schedule) == ()
    assert found.schedule.makespan_s == 13
    assert told
    assert found.spent > 0


def test_stretches_stop_at_the_bound_and_at_the_budget() -> None:
    """A plan as short as the bound is left as it is, and so is any where there is no time."""
    plan_input, slow = three_dishes()
    for bound_s, budget in ((27, 1.0), (0, 0.0)):
        found = made_shorter(plan_input, slow, bound_s=bound_s, limits=Limits(budget=budget), tell=lambda words: None)
        assert (found.schedule, found.spent) == (slow, 0.0)


def test_stretches_leave_plans_over_several_days_alone() -> None:
    """What lies after a night cannot come earlier as one."""
    plan_input, slow = three_dishes()
    closed = replace(plan_input, closed=((30, 40),))
    found = made_shorter(closed, slow, bound_s=0, limits=Limits(budget=1.0), tell=lambda words: None)
    assert found.schedule is slow


def test_who_stops_it_keeps_what_was_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl-C in the second stretch, and in the third schedule of a search: the best so far is the answer."""
    plan_input, slow = three_dishes()
    monkeypatch.setattr(stretches, "_ACTIVITIES", 4)
    _stop_at(monkeypatch, stretches._Stretch, "solved", 2)
    found = made_shorter(plan_input, slow, bound_s=0, limits=Limits(budget=1.0), tell=lambda words: None)
    assert found.is_stopped
    assert verify(plan_input, found.schedule) == ()
    assert 13 <= found.schedule.makespan_s < 27
    _stop_at(monkeypatch, Packed, "forward", 3)
    searching = searched(plan_input, slow, bound_s=0, top_s=40, work=5000, seed=0)
    assert searching.is_stopped
    assert searching.schedule is not None
    assert searching.schedule.makespan_s <= 27


def _stop_at(monkeypatch: pytest.MonkeyPatch, owner: type, name: str, call: int) -> None:
    """Let one call of a method be the moment at which the user presses Ctrl-C."""
    real, count = getattr(owner, name), 0

    def counted(*args: object) -> object:
        nonlocal count
        count += 1
        if count == call:
            raise KeyboardInterrupt
        return real(*args)

    monkeypatch.setattr(owner, name, counted)


@pytest.mark.parametrize(("is_split", "makespan_s"), [(False, 12), (True, 8)])
def test_stretches_break_work_off_where_that_shortens_the_day(is_split: bool, makespan_s: int) -> None:
    """The simmer must end at 4, the stir of 2 comes at once; peel 6 goes after it, 12, or 0-4 and 6-8 around it."""
    plan_input = PlanInput(
        activities=(left("simmer", 4, deadline_s=4), hands("stir", 2), hands("peel", 6, is_pausable=True)),
        lags=(after("simmer", "stir", 0),),
        workers=COOK,
    )
    whole = Schedule(
        assignments=(
            Assignment(activity="simmer", pieces=((0, 4),)),
            Assignment(activity="stir", pieces=((4, 6),), worker="cook"),
            Assignment(activity="peel", pieces=((8, 14),), worker="cook"),
        )
    )
    found = made_shorter(
        plan_input, whole, bound_s=0, limits=Limits(budget=1.0), tell=lambda words: None, is_split=is_split
    )
    assert verify(plan_input, found.schedule) == ()
    assert found.schedule.makespan_s == makespan_s


def test_what_stands_keeps_its_people(monkeypatch: pytest.MonkeyPatch) -> None:
    """
    Ann minds the pot 0-8, which Ben could do too, had he not rolled 0-2; so Ann cannot ice before 8.

    When the stretch from 3 is planned, Ben's rolling is over and no longer looked at.
    """
    monkeypatch.setattr(stretches, "_ACTIVITIES", 1)
    plan_input = PlanInput(
        activities=(
            hands("roll", 2, workers=("ben",)),
            hands("mind", 8, workers=("ann", "ben")),
            left("rest", 1, release_s=3),
            hands("ice", 1, workers=("ann",)),
        ),
        lags=(after("roll", "rest"),),
        workers=(Worker(name="ann"), Worker(name="ben")),
    )
    slow = Schedule(
        assignments=(
            Assignment(activity="roll", pieces=((0, 2),), worker="ben"),
            Assignment(activity="mind", pieces=((0, 8),), worker="ann"),
            Assignment(activity="rest", pieces=((3, 4),)),
            Assignment(activity="ice", pieces=((9, 10),), worker="ann"),
        )
    )
    found = made_shorter(plan_input, slow, bound_s=8, limits=Limits(budget=1.0), tell=lambda words: None)
    assert verify(plan_input, found.schedule) == ()
    assert found.schedule.makespan_s == 9


# ---------------------------------------------------------------------------------------------------- the whole


def many_dishes(count: int) -> PlanInput:
    """Return so many dishes of chop 2, simmer 6, plate 1, the simmers on four rings."""
    activities, lags = [], []
    for dish in range(count):
        chop, simmer, plate = (f"{word} {dish}" for word in ("chop", "simmer", "plate"))
        activities += [hands(chop, 2), left(simmer, 6, needs=(("ring", 1),)), hands(plate, 1)]
        lags += [after(chop, simmer), after(simmer, plate, 2)]
    resources = (Resource(id="ring", capacity=4),)
    return PlanInput(activities=tuple(activities), lags=tuple(lags), resources=resources, workers=COOK)


def test_a_large_plan_is_proven_where_the_cook_never_rests() -> None:
    """30 dishes are 90 of the cook's work; the rings leave room to plate while the rest simmers: 90, twice alike."""
    plan_input = many_dishes(30)
    results = [solve(plan_input, budget=1.0, is_tidy=False) for _ in range(2)]
    assert results[0] == results[1]
    schedule = results[0].schedule
    assert schedule is not None
    assert verify(plan_input, schedule) == ()
    assert (results[0].bound_s, schedule.makespan_s, results[0].status) == (90, 90, SolveStatus.OPTIMAL)


def test_a_large_plan_that_cannot_be_is_told() -> None:
    """Two dishes that must both be plated by 9 need the cook twice at once."""
    plan_input, _ = three_dishes()
    due = tuple(replace(item, deadline_s=9) if item.id.startswith("plate") else item for item in plan_input.activities)
    outcome = shortest_of_large(
        replace(plan_input, activities=due),
        None,
        bound_s=0,
        upper_s=27,
        limits=Limits(budget=1.0),
        tell=lambda words: None,
    )
    assert outcome.status is SolveStatus.INFEASIBLE
    assert outcome.schedule is None


def test_a_large_plan_that_no_list_finds_is_left_to_the_model() -> None:
    """With a break in it nothing is searched for: three dishes take 13, the break of 2 fits between 6 and 8."""
    plan_input, _ = three_dishes()
    meal = Meal(activity="break", length_s=2, within_s=13)
    filmed = replace(
        plan_input, activities=(*plan_input.activities, left("break", 2, kind=ActivityKind.BREAK)), meal=meal
    )
    outcome = shortest_of_large(filmed, None, bound_s=0, upper_s=30, limits=Limits(budget=1.0), tell=lambda words: None)
    assert outcome.schedule is not None
    assert (outcome.status, outcome.schedule.makespan_s) == (SolveStatus.OPTIMAL, 13)


def test_a_large_plan_is_looked_at_whole_then_in_stretches() -> None:
    """Three dishes one after the other, 27, become the optimum 13, with its proof."""
    plan_input, slow = three_dishes()
    outcome = shortest_of_large(
        plan_input, slow, bound_s=9, upper_s=27, limits=Limits(budget=1.0), tell=lambda words: None
    )
    assert outcome.schedule is not None
    assert (outcome.status, outcome.schedule.makespan_s, outcome.bound) == (SolveStatus.OPTIMAL, 13, 13)
