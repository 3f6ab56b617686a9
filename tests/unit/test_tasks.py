"""Steps become the planner's activities, lags, needs and occupations."""

from __future__ import annotations

from datetime import date, time

import pytest

from shootplan.model.clock import Range, Window
from shootplan.model.episode import Episode, Hob, Kitchen, Oven, Person, PriceBook, Together, Vessel
from shootplan.model.planning import Activity, ActivityKind, Anchor, Lag, PlanInput
from shootplan.model.recipe import After, Equipment, LookIn, Recipe, Serves, Step, When
from shootplan.model.resolved import ResolvedEpisode, ResolvedRecipe
from shootplan.plan.tasks import build_plan, check_equipment
from shootplan.problems import Problem, Severity, Span

MIN = 60
SPAN = Span("recipes/stew.md", 12, 9, 20)


def mins(low: int, high: int | None = None) -> Range:
    return Range(low * MIN, (low if high is None else high) * MIN)


def step(name: str, *, hands: int | None = None, left: int | None = None, **fields: object) -> Step:
    """A step with whole minutes of hands-on and left time."""
    values: dict[str, object] = {"id": name.lower().replace(" ", "-"), "name": name, "number": 1}
    values |= {"hands": None if hands is None else mins(hands), "leave": None if left is None else mins(left)}
    return Step(**(values | fields))  # type: ignore[arg-type]


def recipe(*steps: Step, name: str = "stew") -> Recipe:
    return Recipe(id=name, title=name.title(), serves=Serves(hearty=4), steps=steps)


def episode(*recipes: Recipe, kitchen: Kitchen | None = None, together: tuple[Together, ...] = ()) -> ResolvedEpisode:
    written = Episode(
        title="Test",
        shoot_date=date(2026, 11, 25),
        currency="GBP",
        recipes=recipes,
        kitchen=kitchen or Kitchen(),
        prices=PriceBook(),
        together=together,
    )
    return ResolvedEpisode(episode=written, recipes=tuple(ResolvedRecipe(recipe=item, lines=()) for item in recipes))


def activity(plan_input: PlanInput, activity_id: str) -> Activity:
    return next(item for item in plan_input.activities if item.id == activity_id)


def lag(plan_input: PlanInput, before: str, after: str) -> Lag:
    (found,) = [item for item in plan_input.lags if (item.predecessor, item.successor) == (before, after)]
    return found


def ids(plan_input: PlanInput) -> list[str]:
    return [item.id for item in plan_input.activities]


# ---------------------------------------------------------------------------------------------------- activities


def test_a_step_becomes_hands_watch_and_leave_in_that_order() -> None:
    """Each of the three times is an activity of its kind with both ends of its range."""
    found = build_plan(episode(recipe(step("Fry", watch=mins(3, 4), hands=2, left=5))))
    assert [(item.id, item.kind.value, item.short_s, item.long_s) for item in found.activities] == [
        ("stew/fry#hands", "hands", 120, 120),
        ("stew/fry#watch", "watch", 180, 240),
        ("stew/fry#leave", "leave", 300, 300),
    ]


def test_the_parts_of_a_step_follow_each_other_without_a_pause() -> None:
    """The lag between two parts is exactly 0."""
    found = lag(build_plan(episode(recipe(step("Fry", hands=2, left=5)))), "stew/fry#hands", "stew/fry#leave")
    assert (found.at_least_s, found.at_most_s) == (0, 0)


def test_work_binds_a_cook_and_left_time_binds_nobody() -> None:
    """Hands-on and watched time list the cooks; left time without look-ins lists nobody."""
    found = build_plan(episode(recipe(step("Fry", hands=2, watch=mins(1), left=5))))
    assert [item.workers for item in found.activities] == [("cook",), ("cook",), ()]


def test_a_look_in_binds_a_cook_while_the_step_is_left() -> None:
    """The look-in goes to the left part, with the cooks who may do it."""
    found = build_plan(episode(recipe(step("Simmer", left=20, check=LookIn(every_s=300, for_s=60)))))
    simmer = activity(found, "stew/simmer#leave")
    assert simmer.workers == ("cook",)
    assert simmer.look_in is not None
    assert simmer.look_in.offsets(simmer.long_s) == (300, 600, 900)


def test_batches_run_one_after_the_other() -> None:
    """Two batches are two runs of the step, the second after the first."""
    found = build_plan(episode(recipe(step("Fry", hands=6, batches=2))))
    assert ids(found) == ["stew/fry#hands", "stew/fry@2#hands"]
    assert lag(found, "stew/fry#hands", "stew/fry@2#hands").at_least_s == 0
    assert activity(found, "stew/fry@2#hands").label == "stew: Fry (batch 2 of 2)"


def test_the_first_batch_waits_no_longer_than_it_stays_good() -> None:
    """``good for:`` limits the time from the first batch's end to the last one's."""
    found = build_plan(episode(recipe(step("Fry", hands=6, batches=3, fit_s=600))))
    limit = lag(found, "stew/fry#hands", "stew/fry@3#hands")
    assert (limit.predecessor_anchor, limit.successor_anchor, limit.at_most_s) == (Anchor.END, Anchor.END, 600)


def test_what_follows_a_batched_step_waits_for_the_last_batch() -> None:
    """The link goes from the last batch's last part."""
    found = build_plan(episode(recipe(step("Fry", hands=6, batches=2), step("Plate", hands=1))))
    assert lag(found, "stew/fry@2#hands", "stew/plate#hands").at_least_s == 0


def test_a_step_without_a_time_is_kept_with_length_zero() -> None:
    """A recipe that is still being written can be planned; the step binds nobody."""
    found = build_plan(episode(recipe(step("Season"), step("Plate", hands=1))))
    assert (activity(found, "stew/season#untimed").long_s, activity(found, "stew/season#untimed").workers) == (0, ())
    assert lag(found, "stew/season#untimed", "stew/plate#hands")


# ---------------------------------------------------------------------------------------------------- links


def test_without_after_a_step_waits_for_the_step_above() -> None:
    """The step above is the default."""
    found = build_plan(episode(recipe(step("Chop", hands=2), step("Fry", hands=3))))
    assert lag(found, "stew/chop#hands", "stew/fry#hands").at_most_s is None


def test_after_none_lets_a_step_start_freely() -> None:
    """An empty ``after`` gives no lag."""
    found = build_plan(episode(recipe(step("Chop", hands=2), step("Fry", hands=3, after=()))))
    assert not found.lags


def test_limits_of_after_become_limits_of_the_lag_with_a_sentence() -> None:
    """At least and at most go from the end of one step to the start of the next."""
    after = (After(step="Boil", at_least_s=60, at_most_s=180, span=SPAN),)
    found = build_plan(episode(recipe(step("Boil", left=9), step("Mash", hands=4, after=after))))
    link = lag(found, "stew/boil#leave", "stew/mash#hands")
    assert (link.at_least_s, link.at_most_s, link.span) == (60, 180, SPAN)
    assert link.rule == "stew: Mash starts at least 1 min and at most 3 min after Boil"


def test_an_optional_step_is_left_out_and_what_it_waited_for_is_handed_on() -> None:
    """The step after the option waits for what the option waited for, so that the order of the core holds."""
    steps = (
        step("Fry", hands=3),
        step("Add chilli", hands=1, is_optional=True),
        step("Blend", hands=2, after=(After(step="Add chilli"),)),
    )
    found = build_plan(episode(recipe(*steps)))
    assert ids(found) == ["stew/fry#hands", "stew/blend#hands"]
    assert lag(found, "stew/fry#hands", "stew/blend#hands").at_most_s is None


def test_options_are_planned_when_asked_for() -> None:
    """``with_options`` keeps the optional step and its link."""
    steps = (step("Fry", hands=3), step("Add chilli", hands=1, is_optional=True))
    assert len(build_plan(episode(recipe(*steps)), with_options=True).activities) == 2


def test_ahead_steps_are_left_out_and_may_be_ahead_steps_are_not() -> None:
    """A soak of the evening before is no part of the day; what only may be ahead is still done on the day."""
    steps = (
        step("Soak", left=600, when=When.AHEAD),
        step("Pickle", hands=4, when=When.MAY_BE_AHEAD, after=()),
        step("Drain", hands=2, after=(After(step="Soak"),)),
    )
    found = build_plan(episode(recipe(*steps)))
    assert ids(found) == ["stew/pickle#hands", "stew/drain#hands"]
    assert not found.lags


def test_a_link_to_another_recipe_holds_when_both_are_planned() -> None:
    """``after: crumble: Bake`` links across recipes, and drops out when that recipe is not planned."""
    bake = recipe(step("Bake", left=30), name="crumble")
    serve = recipe(step("Serve", hands=1, after=(After(step="Bake", recipe="crumble"),)), name="stew")
    assert lag(build_plan(episode(bake, serve)), "crumble/bake#leave", "stew/serve#hands")
    assert not build_plan(episode(bake, serve), recipes=("stew",)).lags


def test_a_window_lasts_its_minimum_and_limits_each_direct_successor() -> None:
    """Rule T7: 10 minutes long at both ends; what follows starts at most 40 minutes after the rest began."""
    rest = step("Rest", left=None, leave=Window(600, 2400))
    found = build_plan(episode(recipe(rest, step("Serve", hands=2))))
    assert (activity(found, "stew/rest#leave").short_s, activity(found, "stew/rest#leave").long_s) == (600, 600)
    links = [item for item in found.lags if item.predecessor == "stew/rest#leave"]
    assert [(item.predecessor_anchor, item.at_least_s, item.at_most_s) for item in links] == [
        (Anchor.END, 0, None),
        (Anchor.START, None, 2400),
    ]


def test_an_open_window_sets_no_limit() -> None:
    """``at least 60 min`` alone gives the plain lag only."""
    found = build_plan(episode(recipe(step("Cool", leave=Window(3600, None)), step("Slice", hands=3))))
    assert len(found.lags) == 1


@pytest.mark.parametrize(("is_after", "at_least_s"), [(False, -300), (True, 0)])
def test_recipes_that_land_together_are_tied_by_their_last_steps(is_after: bool, at_least_s: int) -> None:
    """ "within 5 min of" is either way, "within 5 min after" is not before it; ends are compared."""
    rule = Together(recipe="greens", other="stew", within_s=300, is_after=is_after)
    stew, greens = recipe(step("Serve", hands=1)), recipe(step("Steam", left=5), step("Top", hands=1), name="greens")
    found = lag(build_plan(episode(stew, greens, together=(rule,))), "stew/serve#hands", "greens/top#hands")
    assert (found.at_least_s, found.at_most_s, found.successor_anchor) == (at_least_s, 300, Anchor.END)


# ---------------------------------------------------------------------------------------------------- people


def test_the_crew_s_cooks_do_the_steps_and_the_helper_only_hers() -> None:
    """Steps without ``who:`` go to people of the role cook, ``who: helper`` to helpers."""
    people = (Person(name="Ines"), Person(name="Odd", role="helper"))
    steps = (step("Chop", hands=2), step("Wash up", hands=2, who="helper"))
    found = build_plan(episode(recipe(*steps), kitchen=Kitchen(people=people)))
    assert [item.workers for item in found.activities] == [("Ines",), ("Odd",)]


def test_a_number_of_cooks_takes_the_place_of_the_crew() -> None:
    """Two identical cooks share all work, the helper's too."""
    found = build_plan(episode(recipe(step("Wash up", hands=2, who="helper"))), cooks=2)
    assert [worker.name for worker in found.workers] == ["cook 1", "cook 2"]
    assert found.activities[0].workers == ("cook 1", "cook 2")


def test_a_step_may_name_its_person() -> None:
    """``who: Odd`` binds Odd and nobody else."""
    people = (Person(name="Ines"), Person(name="Odd"))
    found = build_plan(episode(recipe(step("Plate", hands=2, who="odd")), kitchen=Kitchen(people=people)))
    assert found.activities[0].workers == ("Odd",)


def test_somebody_who_comes_late_and_leaves_early_is_away_before_and_after() -> None:
    """Hours become time away, counted from call at 09:00."""
    people = (Person(name="Ines", start=time(10, 0), end=time(12, 0)),)
    found = build_plan(episode(recipe(step("Chop", hands=2)), kitchen=Kitchen(people=people)))
    assert found.workers[0].away == ((0, 3600), (3 * 3600, 24 * 3600))


@pytest.mark.parametrize(
    ("fields", "is_pausable"),
    [
        ({}, True),
        ({"uses": (Equipment(kind="ring"),)}, False),
        ({"is_pausable": False}, False),
        ({"after": (After(step="Rinse", at_most_s=300),)}, False),
        ({"uses": (Equipment(kind="ring"),), "is_pausable": True}, True),
    ],
)
def test_preparation_without_heat_may_be_broken_off(fields: dict[str, object], is_pausable: bool) -> None:
    """Not on heat, not within a limit, and never against the author's word."""
    steps = (step("Rinse", hands=1), step("Chop", hands=9, **fields), step("Serve", hands=1))
    assert activity(build_plan(episode(recipe(*steps))), "stew/chop#hands").is_pausable is is_pausable


def test_serving_is_not_broken_off() -> None:
    """The last step of a recipe is done in one go."""
    assert not build_plan(episode(recipe(step("Serve", hands=2)))).activities[0].is_pausable


# ---------------------------------------------------------------------------------------------------- equipment

PAN = Vessel(name="28 cm pan", count=1, wash_s=180)
KITCHEN = Kitchen(vessels=(PAN, Vessel(name="board", count=3)))


def pan(**fields: object) -> tuple[Equipment, ...]:
    return (Equipment(kind="28 CM pan", **fields),)  # type: ignore[arg-type]


def test_rings_vessels_and_tools_are_counted_needs() -> None:
    """Names are matched whatever their letters' case; capacities come from the kitchen."""
    fry = step("Fry", hands=5, uses=(Equipment(kind="ring"), *pan(), Equipment(kind="board", count=2)))
    found = build_plan(episode(recipe(fry), kitchen=KITCHEN))
    assert found.activities[0].needs == (("ring", 1), ("28 cm pan", 1), ("board", 2))
    assert [(item.id, item.capacity) for item in found.resources] == [("ring", 4), ("28 cm pan", 1), ("board", 3)]


def test_several_of_a_kind_may_be_named_in_the_plural() -> None:
    """ "2 boards" are two of the kitchen's "board"."""
    chop = step("Chop", hands=5, uses=(Equipment(kind="boards", count=2),))
    assert build_plan(episode(recipe(chop), kitchen=KITCHEN)).activities[0].needs == (("board", 2),)
    assert problems(chop) == ()


def test_a_held_vessel_is_occupied_until_freed_and_washed() -> None:
    """From the start of the step that holds it to the end of the step that frees it, and 3 minutes of washing."""
    steps = (step("Fry", hands=5, holds=pan()), step("Simmer", left=9), step("Tip out", hands=1, frees=pan()))
    found = build_plan(episode(recipe(*steps), kitchen=KITCHEN))
    (held,) = found.occupations
    assert (held.first, held.last, held.after_s) == ("stew/fry#hands", "stew/tip-out#hands", 180)


def test_using_a_vessel_that_is_held_does_not_count_it_twice() -> None:
    """A step between holding and freeing that also names the pan means the same pan; a step beside means another."""
    steps = (
        step("Fry", hands=5, holds=pan()),
        step("Simmer", left=9, uses=pan()),
        step("Tip out", hands=1, frees=pan()),
        step("Toast", hands=2, uses=pan(), after=()),
    )
    found = build_plan(episode(recipe(*steps), kitchen=KITCHEN))
    assert activity(found, "stew/simmer#leave").needs == ()
    assert activity(found, "stew/toast#hands").needs == (("28 cm pan", 1),)


def test_a_vessel_never_freed_is_held_to_the_last_step() -> None:
    """What nobody frees stays occupied until the recipe is served."""
    steps = (step("Fry", hands=5, holds=pan()), step("Serve", hands=1))
    found = build_plan(episode(recipe(*steps), kitchen=KITCHEN))
    assert found.occupations[0].last == "stew/serve#hands"


def test_a_vessel_filled_the_evening_before_is_occupied_from_the_start() -> None:
    """The bowl with the sponge is not free in the morning: a moment at 0 begins the occupation."""
    steps = (
        step("Mix sponge", hands=4, holds=pan(), when=When.AHEAD),
        step("Mix dough", hands=6, frees=pan(), after=(After(step="Mix sponge"),)),
    )
    found = build_plan(episode(recipe(*steps), kitchen=KITCHEN))
    (held,) = found.occupations
    assert held.last == "stew/mix-dough#hands"
    assert activity(found, held.first).deadline_s == 0
    assert lag(found, held.first, "stew/mix-dough#hands").at_most_s is None


def test_home_has_its_own_rings_and_one_cook() -> None:
    """Blog times are those of the home kitchen: 4 rings although the studio has 2."""
    kitchen = Kitchen(hob=Hob(rings=2), people=(Person(name="Ines"), Person(name="Odd")), home_rings=4)
    fry = step("Fry", hands=5, uses=(Equipment(kind="ring"),))
    found = build_plan(episode(recipe(fry), kitchen=kitchen), home=True)
    assert found.resources[0].capacity == 4
    assert [worker.name for worker in found.workers] == ["cook 1"]


# ---------------------------------------------------------------------------------------------------- ovens


def oven(temperature_c: int | None, kind: str = "oven") -> Equipment:
    return Equipment(kind=kind, temperature_c=temperature_c)


def test_a_bake_belongs_to_its_recipe_s_heat_step() -> None:
    """The heat step's left time is a HEAT activity; the bake names it and waits for it even without ``after``."""
    steps = (step("Heat", left=15, heats=oven(200)), step("Bake", left=25, uses=(oven(200),), after=()))
    found = build_plan(episode(recipe(*steps)))
    heat, bake = activity(found, "stew/heat#heat"), activity(found, "stew/bake#leave")
    assert heat.kind is ActivityKind.HEAT
    assert heat.oven is not None
    assert bake.oven is not None
    assert (heat.oven.temperature_c, bake.oven.heat) == (200, "stew/heat#heat")
    assert lag(found, "stew/heat#heat", "stew/bake#leave").at_least_s == 0


def test_a_bake_within_the_tolerance_shares_the_heat() -> None:
    """190 °C bakes at the recipe's 200 °C when the oven's tolerance is 10 °C."""
    steps = (step("Heat", left=15, heats=oven(200)), step("Bake", left=25, uses=(oven(190),)))
    bake = activity(build_plan(episode(recipe(*steps))), "stew/bake#leave")
    assert bake.oven is not None
    assert bake.oven.heat == "stew/heat#heat"


def test_an_oven_that_nobody_heats_is_heated_in_the_kitchen_s_time() -> None:
    """A recipe without a heat step gets one before its bake, as long as the kitchen file says."""
    kitchen = Kitchen(ovens=(Oven(heat_up_s=mins(12, 15)),))
    found = build_plan(episode(recipe(step("Bake", left=25, uses=(oven(180),))), kitchen=kitchen))
    heat = activity(found, "stew/bake#heat")
    assert (heat.kind, heat.short_s, heat.long_s, heat.workers) == (ActivityKind.HEAT, 720, 900, ())
    assert lag(found, "stew/bake#heat", "stew/bake#leave")


def test_a_bake_that_goes_on_at_once_at_another_temperature_stays_in_the_same_heat() -> None:
    """The dial is turned with the door shut: no new heat, nothing waits, and nobody else gets the oven between."""
    steps = (
        step("Heat", left=20, heats=oven(230)),
        step("Bake hot", left=10, uses=(oven(230),)),
        step("Bake on", left=30, uses=(oven(200),), after=(After(step="Bake hot", at_most_s=0),)),
    )
    found = build_plan(episode(recipe(*steps)))
    bake = activity(found, "stew/bake-on#leave")
    assert bake.oven is not None
    assert (bake.oven.heat, bake.oven.temperature_c) == ("stew/heat#heat", 200)
    assert len([item for item in found.activities if item.kind is ActivityKind.HEAT]) == 1


def test_a_later_bake_at_another_temperature_needs_a_heat_of_its_own() -> None:
    """A dish that comes back after ten minutes at another temperature gets a change of the oven."""
    steps = (
        step("Heat", left=20, heats=oven(230)),
        step("Bake", left=10, uses=(oven(230),)),
        step("Top", hands=10),
        step("Brown", left=5, uses=(oven(180),)),
    )
    brown = activity(build_plan(episode(recipe(*steps))), "stew/brown#leave")
    assert brown.oven is not None
    assert brown.oven.heat == "stew/brown#heat"


def test_two_ovens_share_two_temperatures() -> None:
    """Each temperature goes to an oven of its own, in order of appearance."""
    kitchen = Kitchen(ovens=(Oven(name="left oven"), Oven(name="right oven")))
    first, second = (
        recipe(step("Bake", left=9, uses=(oven(200),))),
        recipe(step("Bake", left=9, uses=(oven(160),)), name="cake"),
    )
    found = build_plan(episode(first, second, kitchen=kitchen))
    used = [item.oven.oven for item in found.activities if item.oven is not None and item.kind is ActivityKind.LEAVE]
    assert used == ["left oven", "right oven"]


# ---------------------------------------------------------------------------------------------------- problems


def problems(*steps: Step, kitchen: Kitchen = KITCHEN) -> tuple[Problem, ...]:
    return check_equipment(episode(recipe(*steps), kitchen=kitchen))


def test_equipment_of_the_kitchen_is_no_problem() -> None:
    """Rings, ovens with a temperature, vessels, tools and people of the crew are known."""
    fry = step("Fry", hands=5, uses=(Equipment(kind="ring"), oven(200)), holds=pan(), frees=pan(), who="cook")
    assert problems(fry) == ()


def test_a_vessel_that_the_kitchen_lacks_is_reported_with_the_nearest_name() -> None:
    """The problem stands at the equipment and offers the name in the kitchen file."""
    (found,) = problems(step("Fry", hands=5, uses=(Equipment(kind="26 cm pan", span=SPAN),)))
    assert (found.code, found.span, found.hint) == ("equipment-unknown", SPAN, 'did you mean "28 cm pan"?')


def test_an_oven_is_unknown_where_there_is_none() -> None:
    """A kitchen without ovens cannot bake."""
    (found,) = problems(step("Bake", left=5, uses=(oven(200),)), kitchen=Kitchen(ovens=()))
    assert found.code == "equipment-unknown"


def test_an_oven_needs_a_temperature() -> None:
    """``uses: oven`` alone cannot be planned."""
    (found,) = problems(step("Bake", left=5, uses=(oven(None),)))
    assert found.code == "oven-without-temperature"


def test_heating_and_baking_are_two_steps() -> None:
    """One step cannot do both: the bake would have to wait for itself; the plan keeps the heat."""
    both = step("Bake", left=25, heats=oven(200), uses=(oven(200),))
    (found,) = problems(both)
    assert found.code == "heat-and-bake"
    assert ids(build_plan(episode(recipe(both)))) == ["stew/bake#heat"]


def test_freeing_what_nobody_holds_is_a_warning() -> None:
    """It changes no plan, but the author meant something."""
    (found,) = problems(step("Tip out", hands=1, frees=pan()))
    assert (found.code, found.severity) == ("frees-without-hold", Severity.WARNING)


def test_somebody_unknown_is_reported() -> None:
    """``who:`` names a role or somebody of the crew."""
    (found,) = problems(step("Plate", hands=1, who="helpr"))
    assert (found.code, found.hint) == ("person-unknown", 'did you mean "helper"?')
