"""A plan and a sound schedule of it, both made by hand, for the tests of the verifier."""

from __future__ import annotations

from dataclasses import replace

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
    Worker,
)

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
