"""The verifier accepts a sound schedule made by hand and names the rule that each damage to it breaks."""

from __future__ import annotations

from dataclasses import replace

import pytest

from shootplan.model.planning import Assignment, PlanInput, Resource, Schedule
from shootplan.plan.verify import verify
from tests.verify_helpers import PLAN, SOUND, at, oven


def broken(*changed: Assignment, plan_input: PlanInput = PLAN) -> set[str]:
    """Return the names of the rules that the sound schedule breaks with some assignments put in place."""
    items = SOUND | {item.activity: item for item in changed}
    return {violation.rule for violation in verify(plan_input, Schedule(assignments=tuple(items.values())))}


def test_a_sound_schedule_is_accepted() -> None:
    """Nothing is said of the schedule made by hand."""
    assert broken() == set()


@pytest.mark.parametrize(
    ("rule", "changed"),
    [
        ("durations", at("stock", (14, 18))),
        ("durations", at("stock", (14, 20))),
        ("pieces", at("fry", (5, 6), (6, 8))),
        ("pieces", at("chop", (0, 1), (2, 3), (3, 5))),
        ("pieces", at("chop", (3, 5), (0, 2))),
        ("calendar", at("plate", (13, 15))),
        ("calendar", at("plate", (29, 31))),
        ("calendar", at("stock", (36, 41))),
        ("time_lags", at("fry", (4, 7))),
        ("time_lags", at("simmer", (9, 15), look_ins=((11, 12, "cook"), (13, 14, "helper")))),
        ("time_lags", at("cake", (13, 17))),
        ("assignment", at("fry", worker="helper")),
        ("assignment", at("fry", worker="")),
        ("assignment", at("stock", worker="cook")),
        ("look_ins", at("simmer", look_ins=((10, 11, "cook"),))),
        ("look_ins", at("simmer", look_ins=((10, 11, "cook"), (13, 14, "helper")))),
        ("look_ins", at("simmer", look_ins=((10, 11, "cook"), (12, 13, "somebody")))),
        ("hands", at("glaze", (10, 11))),
        ("hands", at("glaze", (7, 8))),
        ("away", at("plate", (25, 27))),
        ("away", at("plate", (27, 29))),
        ("resources", at("stock", (12, 17))),
        ("resources", at("glaze", (14, 15))),
        ("oven_heats", at("heat 200", (0, 4))),
        ("oven_heats", at("heat 180", (9, 14))),
        ("oven_heats", at("bread", (4, 8))),
        ("oven_heats", at("cake", (10, 14))),
        ("oven_sessions", at("heat 180", (8, 10))),
        ("oven_shelves", at("biscuits", (14, 17))),
    ],
    ids=lambda value: value if isinstance(value, str) else f"{value.activity} {value.pieces}",
)
def test_each_damage_is_named_by_its_rule(rule: str, changed: Assignment) -> None:
    """One assignment is moved, cut, lengthened or given to another, and the rule it breaks is among those named."""
    assert rule in broken(changed)


def test_a_missing_a_doubled_and_an_unknown_activity_are_named() -> None:
    """A schedule has each activity once and no other."""
    whole = tuple(SOUND.values())
    stranger = replace(SOUND["stock"], activity="juggle")
    for items in (whole[1:], (*whole, whole[0]), (*whole, stranger)):
        assert "completeness" in {item.rule for item in verify(PLAN, Schedule(assignments=items))}


def test_a_pan_is_not_free_before_it_is_washed() -> None:
    """Without the washing the glaze may begin a second earlier."""
    unwashed = replace(PLAN, occupations=(replace(PLAN.occupations[0], after_s=0),))
    assert broken(at("glaze", (14, 15)), plan_input=unwashed) == set()


def test_temperatures_within_the_tolerance_may_overlap() -> None:
    """An oven that takes 180 for 200 may have both at once on two shelves; the heat takes the change all the same."""
    generous = replace(PLAN, oven_tolerance_c=(("oven", 20),), oven_shelves=(("oven", 2),))
    assert broken(at("heat 180", (6, 8)), at("cake", (8, 12)), plan_input=generous) == set()
    assert broken(at("heat 180", (6, 6)), plan_input=generous) == {"oven_heats"}


def test_a_heat_to_what_the_dial_stands_at_takes_no_time() -> None:
    """A second recipe heats to 200 when the oven is at 200: nothing to wait for, and a change would be wrong."""
    activities = tuple(
        replace(item, oven=replace(item.oven, temperature_c=200)) if item.oven is not None else item
        for item in PLAN.activities
    )
    same = replace(PLAN, activities=activities)
    assert broken(at("heat 180", (9, 9)), plan_input=same) == set()
    assert "oven_heats" in broken(plan_input=same)


def test_a_turned_dial_belongs_to_the_session() -> None:
    """The bread goes on at 180 in the heat of 200: the cake's heat finds the oven at 180 and takes no time."""
    activities = tuple(
        replace(item, oven=oven(180, "heat 200")) if item.id == "bread" else item for item in PLAN.activities
    )
    turned = replace(PLAN, activities=activities)
    assert broken(at("heat 180", (9, 9)), plan_input=turned) == set()
    assert "oven_sessions" in broken(at("heat 180", (8, 8)), plan_input=turned)


def test_two_users_of_one_numbered_unit_are_named() -> None:
    """There are two rings, but both pots are said to stand on the first."""
    two_rings = replace(PLAN, resources=(Resource(id="ring", capacity=2), Resource(id="pan", capacity=1)))
    first = (("ring", 1),)
    assert broken(at("stock", (8, 13), units=first), at("simmer", units=(("ring", 2),)), plan_input=two_rings) == set()
    assert broken(at("stock", (8, 13), units=first), at("simmer", units=first), plan_input=two_rings) == {"units"}


def test_the_short_end_has_its_own_durations_and_look_ins() -> None:
    """A simmer of 6 may be 4 at its short end: one look-in is left, none at the end of the 4."""
    activities = tuple(replace(item, short_s=4) if item.id == "simmer" else item for item in PLAN.activities)
    ranged = replace(PLAN, activities=activities)
    short = at("simmer", (8, 12), look_ins=((10, 11, "cook"),))
    schedule = Schedule(assignments=tuple((SOUND | {"simmer": short}).values()))
    assert verify(ranged, schedule, is_short=True) == ()
    assert {item.rule for item in verify(ranged, schedule)} == {"durations", "look_ins"}
