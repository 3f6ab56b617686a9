"""What the verifier says of a filmed day, word by word, on days laid out by hand (minutes after call)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import pytest

from shootplan.model.planning import Activity, ActivityKind, Anchor, Assignment, Lag, PlanInput, Worker
from shootplan.plan.verify_film import film_violations
from tests.film_helpers import after, camera, day, left, meal, shot, work

Said = tuple[str, str, tuple[str, ...]]
Piece = tuple[int, int]
CREW = (Worker(name="host"), Worker(name="helper", away=((2400, 3000),)))
HELPED = (camera(operator="helper", ready=2),)
BREAK = Activity(id="#meal", kind=ActivityKind.BREAK, short_s=1800, long_s=1800)


def crewed(*activities: Activity, **fields: object) -> PlanInput:
    """Return a day on which the helper, away from 40 to 50, runs the camera; set-up 2, a re-rig takes 8."""
    return day(*activities, **({"workers": CREW, "cameras": HELPED} | fields))  # type: ignore[arg-type]


def said(plan_input: PlanInput, places: Mapping[str, Piece], **look_ins: tuple[int, int, str]) -> list[Said]:
    """Return (rule, message, activities) for activities placed from minute to minute by whom they name first."""
    placed = {}
    for item in plan_input.activities:
        start, end = places[item.id]
        looks = tuple((60 * a, 60 * b, who) for a, b, who in [look_ins[item.id]]) if item.id in look_ins else ()
        placed[item.id] = Assignment(
            activity=item.id, pieces=((60 * start, 60 * end),), worker="".join(item.workers[:1]), look_ins=looks
        )
    return [(found.rule, found.message, found.activities) for found in film_violations(plan_input, placed)]


# ------------------------------------------------------------------------------------------- camera and re-rig

SHOTS = (shot("a", 5, "over"), shot("b", 5, "hob"), work("chop", 6, workers=("helper",)))
SOUND = {"a": (2, 7), "b": (15, 20), "chop": (20, 26)}


@pytest.mark.parametrize(
    ("places", "expected"),
    [
        ({}, []),
        ({"chop": (26, 32)}, []),
        ({"a": (1, 6)}, [("cameras", "a is recorded before the set-up is done", ("a",))]),
        ({"b": (14, 19)}, [("rerig", "420 s to move camera before b, 480 s are needed", ("a", "b"))]),
        ({"b": (6, 11)}, [
            ("cameras", "camera records a and b at once", ("a", "b")),
            ("rerig", "-60 s to move camera before b, 480 s are needed", ("a", "b")),
        ]),
        ({"chop": (19, 25)}, [("cameras", "helper does something else while b is recorded", ("b", "chop"))]),
        ({"chop": (6, 12)}, [
            ("cameras", "helper does something else while a is recorded", ("a", "chop")),
            ("rerig", "180 s to move camera before b, 480 s are needed", ("a", "b")),
        ]),
        ({"b": (21, 26), "chop": (7, 13)}, []),
        ({"b": (20, 25), "chop": (7, 13)}, [
            ("rerig", "420 s to move camera before b, 480 s are needed", ("a", "b")),
        ]),
        ({"b": (35, 40)}, []),
        ({"b": (36, 41)}, [("cameras", "helper does something else while b is recorded", ("b", ""))]),
        ({"b": (50, 55)}, []),
    ],
    ids=str,
)  # fmt: skip
def test_the_camera_and_who_runs_it(places: dict[str, Piece], expected: list[Said]) -> None:
    """
    Overhead 2 to 7, move 8, hob 15 to 20, the helper chops from 20 and is away from 40 to 50.

    By hand: with chopping 7-13 the move of 8 fits before 21 and not before 20 (13 - 6 = 7 minutes left).
    """
    assert said(crewed(*SHOTS), SOUND | places) == expected


def test_time_taken_twice_is_counted_once() -> None:
    """
    The helper chops 7-13, looks in 9-10 and 12-15 (inside and beyond it), all of it 7-15: free 15-22.

    By hand: 15 minutes from 7 to 22, 8 taken, 7 left of the 8 that are needed; a minute later it is enough.
    """
    pot, soup = left("pot", 30), left("soup", 30)
    plan_input = crewed(*SHOTS, pot, soup)
    looks = {"pot": (9, 10, "helper"), "soup": (12, 15, "helper")}
    places = SOUND | {"chop": (7, 13), "b": (22, 27), "pot": (0, 30), "soup": (0, 30)}
    message = "420 s to move camera before b, 480 s are needed"
    assert said(plan_input, places, **looks) == [("rerig", message, ("a", "b"))]
    assert said(plan_input, places | {"b": (23, 28)}, **looks) == []
    # What somebody else looks in on keeps the operator from nothing.
    others = {name: (start, end, "host") for name, (start, end, _) in looks.items()}
    assert said(plan_input, places | {"b": (21, 26)}, **others) == []


def test_what_keeps_the_operator_before_and_after_a_move_is_no_part_of_it() -> None:
    """The host runs the camera and is recorded: his own recordings before and after take nothing from the move."""
    alone = day(shot("a", 5, "over"), shot("b", 5, "hob"), cameras=(camera(operator="host"),))
    assert said(alone, {"a": (0, 5), "b": (13, 18)}) == []
    assert said(alone, {"a": (0, 5), "b": (12, 17)}) == [
        ("rerig", "420 s to move camera before b, 480 s are needed", ("a", "b"))
    ]


def test_the_break_is_no_time_to_move_the_camera() -> None:
    """The helper eats from 10 to 20: from 7 to 25 there are 8 minutes left, to 24 only 7."""
    eaten = replace(meal(10, 60), activity="#meal")
    plan_input = crewed(*SHOTS, replace(BREAK, short_s=600, long_s=600), meal=eaten)
    places = SOUND | {"#meal": (10, 20), "chop": (30, 36)}
    assert said(plan_input, places | {"b": (25, 30)}) == []
    assert said(plan_input, places | {"b": (24, 29)}) == [
        ("rerig", "420 s to move camera before b, 480 s are needed", ("a", "b"))
    ]


def test_shots_from_one_position_follow_each_other_at_once() -> None:
    """No re-rig and no gap; a minute earlier they are recorded at once."""
    plan_input = crewed(*SHOTS, shot("c", 2, "over"))
    assert said(plan_input, SOUND | {"c": (7, 9), "b": (17, 22), "chop": (22, 28)}) == []
    assert said(plan_input, SOUND | {"c": (6, 8), "b": (17, 22), "chop": (22, 28)}) == [
        ("cameras", "camera records a and c at once", ("a", "c"))
    ]


def test_each_day_has_its_set_up_and_no_camera_moves_by_night() -> None:
    """Closed from 30 to 100: the set-up of 2 is over at 102, and from 25 on 5 and then 3 minutes make a move."""
    night = {"closed": ((1800, 6000),)}
    plan_input = crewed(*SHOTS, **night)
    places = {"a": (2, 7), "chop": (8, 14), "b": (102, 107)}
    assert said(plan_input, places) == []
    assert said(plan_input, places | {"b": (101, 106)}) == [
        ("cameras", "b is recorded before the set-up is done", ("b",))
    ]
    assert said(plan_input, places | {"b": (100, 105)}) == [
        ("cameras", "b is recorded before the set-up is done", ("b",))
    ]
    late = {"a": (20, 25), "chop": (2, 8), "b": (103, 108)}
    assert said(plan_input, late) == []
    assert said(plan_input, late | {"b": (102, 107)}) == [
        ("rerig", "420 s to move camera before b, 480 s are needed", ("a", "b"))
    ]
    found = said(plan_input, places | {"a": (26, 31)})
    assert found[0] == ("cameras", "helper does something else while a is recorded", ("a", ""))


def test_a_recording_that_takes_no_time_moves_no_camera() -> None:
    """A shot of no length on the way asks for no re-rig."""
    plan_input = crewed(*SHOTS, shot("nothing", 0, "side"))
    assert said(plan_input, SOUND | {"nothing": (8, 8)}) == []


# ------------------------------------------------------------------------------------------- noise


@pytest.mark.parametrize(
    ("blend", "shown", "expected"),
    [
        ((5, 8), (0, 5), []),
        ((0, 3), (3, 8), []),
        ((4, 7), (0, 5), [("noise", "blend is heard in a", ("blend", "a"))]),
        ((4, 4), (0, 5), []),
        ((0, 5), (3, 3), []),
    ],
)
def test_noise_is_heard_while_it_lasts(blend: Piece, shown: Piece, expected: list[Said]) -> None:
    """Noise may begin as the shot ends; what takes no time makes none, and nobody hears any in a shot of no length."""
    loud = work("blend", 3, workers=("helper",), is_noisy=True)
    plan_input = day(shot("a", 5, "over"), loud, workers=CREW)
    assert said(plan_input, {"a": shown, "blend": blend}) == expected


def test_a_noisy_step_may_be_heard_in_its_own_shot() -> None:
    """The blender in the picture is meant to be heard; in the picture of another step of the dish it is not."""
    own = replace(shot("a", 5, "over"), is_noisy=True)
    assert said(day(own), {"a": (0, 5)}) == []
    part = replace(work("part", 5, is_noisy=True), step="a")
    assert said(day(shot("a", 5, "over"), part), {"a": (0, 5), "part": (0, 5)}) == []
    for other in (replace(part, step="b"), replace(part, recipe="other")):
        assert said(day(shot("a", 5, "over"), other), {"a": (0, 5), "part": (0, 5)}) == [
            ("noise", "part is heard in a", ("part", "a"))
        ]


# ------------------------------------------------------------------------------------------- the meal break

MEAL = replace(meal(30, 60, 30), activity="#meal")


def test_a_long_day_without_a_break_is_told() -> None:
    """A break is due in a day of more than 60 minutes, not of 60."""
    plan_input = day(work("chop", 60), meal=meal(30, 60))
    assert said(plan_input, {"chop": (0, 60)}) == []
    assert said(plan_input, {"chop": (0, 61)}) == [("meal", "no break within 60 min of call", ())]
    assert said(replace(plan_input, activities=()), {}) == []


@pytest.mark.parametrize(("start", "is_sound"), [(29, False), (30, True), (60, True), (61, False)])
def test_the_break_begins_in_its_time(start: int, is_sound: bool) -> None:
    """Not before 30 minutes after call and not after 60, both ends included."""
    expected = [] if is_sound else [("meal", f"the break begins {start} min after call", ("#meal",))]
    assert said(day(BREAK, meal=MEAL), {"#meal": (start, start + 30)}) == expected


def test_nobody_works_and_nothing_is_recorded_in_the_break() -> None:
    """From 40 to 70: work may end at 40 and begin at 70; what is left alone goes on, but nobody looks in."""
    cameras = (camera(operator="helper"), replace(camera(), name="fixed"))
    pot = left("pot", 60)
    pan = replace(shot("pan", 10, "hob"), workers=(), kind=ActivityKind.LEAVE)
    film = pan.film
    assert film is not None
    fixed = replace(pan, id="fixed pan", film=replace(film, camera="fixed"))
    plan_input = day(BREAK, work("chop", 10), pot, pan, fixed, meal=MEAL, cameras=cameras, workers=CREW)
    sound = {"#meal": (40, 70), "chop": (30, 40), "pot": (20, 80), "pan": (70, 80), "fixed pan": (50, 60)}
    assert said(plan_input, sound) == []
    assert said(plan_input, sound | {"chop": (70, 80)}) == []
    assert said(plan_input, sound | {"chop": (50, 50)}) == []
    assert said(plan_input, sound | {"chop": (31, 41)}) == [
        ("meal", "chop runs into the meal break", ("chop", "#meal"))
    ]
    assert said(plan_input, sound, pot=(40, 41, "host")) == [("meal", "pot runs into the meal break", ("pot", "#meal"))]
    found = said(plan_input, sound | {"pan": (69, 79)})
    assert [item for item in found if item[0] == "meal"] == [("meal", "pan runs into the meal break", ("pan", "#meal"))]


LIMIT = after("pot", "soup", 45)


@pytest.mark.parametrize(
    ("lag", "pot_end", "soup", "is_sound"),
    [
        (LIMIT, 39, (71, 81), False),  # the break lies in the wait
        (LIMIT, 69, (71, 81), False),
        (LIMIT, 70, (71, 81), True),  # it is over when the wait begins
        (LIMIT, 30, (40, 50), True),  # the wait is over when it begins
        (LIMIT, 30, (41, 51), False),
        (replace(LIMIT, successor_anchor=Anchor.END), 30, (35, 40), True),
        (replace(LIMIT, successor_anchor=Anchor.END), 30, (35, 41), False),
        (replace(LIMIT, at_most_s=None), 39, (71, 81), True),  # no limit, no matter
        (replace(LIMIT, at_most_s=0), 50, (50, 60), True),  # at once: nothing waits
        (replace(LIMIT, at_most_s=1), 50, (51, 60), False),
        (replace(LIMIT, at_least_s=None), 39, (71, 81), True),  # a rule of what lands together, not a wait
        (replace(LIMIT, at_least_s=-60), 39, (71, 81), True),
        (replace(LIMIT, at_least_s=60), 39, (71, 81), False),
        (replace(LIMIT, predecessor_anchor=Anchor.START), 39, (71, 81), True),
    ],
)
def test_no_limit_on_waiting_runs_across_the_break(lag: Lag, pot_end: int, soup: Piece, is_sound: bool) -> None:
    """The soup waits for the pot within a limit; the break is from 40 to 70."""
    free = replace(LIMIT, at_most_s=None, at_least_s=None)
    plan_input = day(BREAK, left("pot", 10), left("soup", 10), lags=(free, lag), meal=MEAL)
    expected = [] if is_sound else [("meal", "the break lies in a limit: soup after pot within 45 min", ("soup",))]
    assert said(plan_input, {"#meal": (40, 70), "pot": (0, pot_end), "soup": soup}) == expected


def test_every_limit_is_asked() -> None:
    """Lags that are no limits stand before the one that is: none, at once, what lands together, from a start."""
    lags = (
        replace(LIMIT, at_most_s=None),
        replace(LIMIT, at_most_s=0),
        replace(LIMIT, at_least_s=-60),
        replace(LIMIT, predecessor_anchor=Anchor.START),
        LIMIT,
    )
    plan_input = day(BREAK, left("pot", 10), left("soup", 10), lags=lags, meal=MEAL)
    assert said(plan_input, {"#meal": (40, 70), "pot": (0, 39), "soup": (71, 81)}) == [
        ("meal", "the break lies in a limit: soup after pot within 45 min", ("soup",))
    ]


def test_words_of_the_user_stand_for_ids() -> None:
    """Where there is no label the id is said."""
    named = replace(shot("a", 5, "over"), label="")
    assert said(crewed(named), {"a": (1, 6)})[0][1] == "a is recorded before the set-up is done"
    named = replace(named, label="pie: Roll the dough")
    assert said(crewed(named), {"a": (1, 6)})[0][1] == "pie: Roll the dough is recorded before the set-up is done"
