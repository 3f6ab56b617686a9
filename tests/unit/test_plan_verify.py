"""The verifier accepts a sound schedule made by hand and names the rule that each damage to it breaks."""

from __future__ import annotations

from dataclasses import replace

import pytest

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
    Worker,
)
from shootplan.plan.verify import verify

BOTH = ("cook", "helper")


def activity(name: str, kind: ActivityKind, seconds: int, **fields: object) -> Activity:
    """Return an activity of a fixed length."""
    return Activity(id=name, kind=kind, short_s=seconds, long_s=seconds, **fields)  # type: ignore[arg-type]


def oven(celsius: int, heat: str = "") -> OvenState:
    """Return what is asked of the only oven."""
    return OvenState(oven="oven", temperature_c=celsius, heat=heat)


PLAN = PlanInput(
    activities=(
        activity("chop", ActivityKind.HANDS, 4, workers=BOTH, is_pausable=True),
        activity("fry", ActivityKind.WATCH, 3, workers=("cook",), needs=(("ring", 1),)),
        activity(
            "simmer",
            ActivityKind.LEAVE,
            6,
            workers=BOTH,
            needs=(("ring", 1),),
            look_in=LookInTask(every_s=2, for_s=1),
        ),
        activity("stock", ActivityKind.LEAVE, 5, needs=(("ring", 1),)),
        activity("glaze", ActivityKind.HANDS, 1, workers=("cook",), needs=(("pan", 1),)),
        activity("heat 200", ActivityKind.HEAT, 5, oven=oven(200)),
        activity("bread", ActivityKind.LEAVE, 4, oven=oven(200, "heat 200")),
        activity("heat 180", ActivityKind.HEAT, 5, oven=oven(180)),
        activity("cake", ActivityKind.LEAVE, 4, oven=oven(180, "heat 180")),
        activity("biscuits", ActivityKind.LEAVE, 3, oven=oven(180, "heat 180")),
        activity("plate", ActivityKind.HANDS, 2, workers=("helper",), release_s=14, deadline_s=30),
    ),
    lags=(
        Lag(predecessor="chop", successor="fry", at_most_s=2),
        Lag(predecessor="fry", successor="simmer", at_most_s=0),
        Lag(predecessor="cake", successor="plate"),
    ),
    resources=(Resource(id="ring", capacity=1), Resource(id="pan", capacity=1)),
    occupations=(Occupation(id="pan", resource="pan", first="fry", last="simmer", after_s=1),),
    workers=(Worker(name="cook"), Worker(name="helper", away=((26, 28),))),
    oven_shelves=(("oven", 1),),
    oven_tolerance_c=(("oven", 10),),
    oven_change_s=(("oven", 2),),
    horizon_s=40,
)

#: Made by hand: chop broken off for a second; the oven goes 200 (0-9), change (9-11), 180 (11-18).
SOUND = {
    item.activity: item
    for item in (
        Assignment(activity="chop", pieces=((0, 2), (3, 5)), worker="cook"),
        Assignment(activity="fry", pieces=((5, 8),), worker="cook"),
        Assignment(activity="simmer", pieces=((8, 14),), look_ins=((10, 11, "cook"), (12, 13, "helper"))),
        Assignment(activity="stock", pieces=((14, 19),)),
        Assignment(activity="glaze", pieces=((15, 16),), worker="cook"),
        Assignment(activity="heat 200", pieces=((0, 5),)),
        Assignment(activity="bread", pieces=((5, 9),)),
        Assignment(activity="heat 180", pieces=((9, 11),)),
        Assignment(activity="cake", pieces=((11, 15),)),
        Assignment(activity="biscuits", pieces=((15, 18),)),
        Assignment(activity="plate", pieces=((15, 17),), worker="helper"),
    )
}


def at(name: str, *pieces: tuple[int, int], **fields: object) -> Assignment:
    """Return the sound assignment of an activity moved or changed."""
    return replace(SOUND[name], pieces=pieces or SOUND[name].pieces, **fields)  # type: ignore[arg-type]


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
