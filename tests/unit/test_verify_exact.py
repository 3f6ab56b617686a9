"""What the verifier says, word by word, and where exactly each rule begins to be broken."""

from __future__ import annotations

from dataclasses import replace

import pytest

from shootplan.model.planning import (
    Activity,
    ActivityKind,
    Anchor,
    Assignment,
    Lag,
    Occupation,
    PlanInput,
    Resource,
    Schedule,
    Violation,
)
from shootplan.plan.verify import verify
from tests.verify_helpers import PLAN, SOUND, activity, at, oven

Said = tuple[str, str, tuple[str, ...]]


def said(*changed: Assignment, plan_input: PlanInput = PLAN) -> list[Said]:
    """Return (rule, message, activities) of all that the sound schedule breaks with some assignments put in place."""
    items = SOUND | {item.activity: item for item in changed}
    return told(verify(plan_input, Schedule(assignments=tuple(items.values()))))


def told(violations: tuple[Violation, ...]) -> list[Said]:
    return [(item.rule, item.message, item.activities) for item in violations]


def with_activity(name: str, **fields: object) -> PlanInput:
    """Return the plan with one activity changed."""
    return replace(PLAN, activities=tuple(replace(a, **fields) if a.id == name else a for a in PLAN.activities))  # type: ignore[arg-type]


def with_more(*more: Activity, **fields: object) -> PlanInput:
    """Return the plan with activities added, one resource of each kind as before."""
    return replace(PLAN, activities=(*PLAN.activities, *more), **fields)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("changed", "expected"),
    [
        (at("stock", (14, 20)), [("durations", "stock lasts 6 s, not 5 s", ("stock",))]),
        (at("plate", (15, 18)), [("durations", "plate lasts 3 s, not 2 s", ("plate",))]),
        (at("fry", (5, 6), (6, 8)), [("pieces", "fry is broken off into 2", ("fry",))]),
        (at("chop", (0, 1), (2, 3), (3, 5)), [("pieces", "chop is broken off into 3", ("chop",))]),
        (at("chop", (0, 4), (5, 5)), [("pieces", "chop has a piece that ends before it starts", ("chop",))]),
        (
            at("chop", (-1, 4), (5, 4)),
            [
                ("pieces", "chop has a piece that ends before it starts", ("chop",)),
                ("calendar", "chop starts before it may", ("chop",)),
            ],
        ),
        (
            at("chop", (0, 3), (2, 3)),
            [
                ("pieces", "chop has pieces out of order", ("chop",)),
                ("hands", "cook does two things at 2 s", ("chop", "chop")),
            ],
        ),
        (at("plate", (13, 15)), [
            ("calendar", "plate starts before it may", ("plate",)),
            ("time_lags", "a wait: -2 s instead of at least 0 s", ("cake", "plate")),
        ]),
        (at("plate", (29, 31)), [("calendar", "plate ends after 30 s", ("plate",))]),
        (at("stock", (36, 41)), [("calendar", "stock ends after 40 s", ("stock",))]),
        (at("chop", (0, 2)), [
            ("durations", "chop lasts 2 s, not 4 s", ("chop",)),
            ("time_lags", "a wait: 3 s instead of at most 2 s", ("chop", "fry")),
        ]),
        (at("fry", worker=""), [("assignment", 'fry is done by ""', ("fry",))]),
        (at("stock", worker="helper"), [
            ("assignment", "stock needs nobody", ("stock",)),
            ("hands", "helper does two things at 15 s", ("stock", "plate")),
        ]),
        (at("simmer", look_ins=()), [("look_ins", "simmer is not looked in on as asked", ("simmer",))]),
        (at("simmer", look_ins=((10, 11, "cook"), (12, 13, "x"))), [
            ("look_ins", "simmer is looked in on by somebody who may not", ("simmer",)),
        ]),
        (at("plate", (25, 27)), [("away", "helper is away between 25 s and 27 s", ("plate",))]),
        (at("stock", (13, 18)), [("resources", "2 of ring at 13 s, there are 1", ("simmer", "stock"))]),
        (at("heat 200", (0, 4)), [("oven_heats", "heat 200 does not take 5 s", ("heat 200",))]),
        (at("heat 180", (9, 12)), [
            ("oven_heats", "heat 180 does not take 2 s", ("heat 200", "heat 180")),
            ("oven_heats", "cake goes into a cold oven", ("heat 180", "cake")),
        ]),
        (at("heat 180", (8, 10)), [
            ("oven_sessions", "oven is needed at (200, 180) °C at once", ("heat 200", "heat 180")),
        ]),
        (at("biscuits", (14, 17)), [
            ("oven_shelves", "2 of shelf of the oven at 14 s, there are 1", ("cake", "biscuits")),
        ]),
    ],
    ids=lambda value: f"{value.activity} {value.pieces} {value.worker}" if isinstance(value, Assignment) else "",
)  # fmt: skip
def test_each_damage_is_told_in_full(changed: Assignment, expected: list[Said]) -> None:
    """Nothing else is said than the rule, who is involved, and the figures (worked by hand from the plan)."""
    assert said(changed) == expected


def test_what_is_missing_doubled_or_unknown_is_told_and_nothing_else_is_asked() -> None:
    """A count for each; an assignment without a piece is no plan, and the other rules need a start and an end."""
    whole = tuple(SOUND.values())
    stranger = replace(SOUND["stock"], activity="juggle")
    for items, name, count, wanted in (
        (whole[1:], "chop", 0, 1),
        ((*whole, whole[0]), "chop", 2, 1),
        ((*whole, stranger), "juggle", 1, 0),
        ((replace(whole[0], pieces=()), *whole[1:]), "chop", 0, 1),
    ):
        message = f"{name} is planned {count} times, not {wanted}"
        assert told(verify(PLAN, Schedule(assignments=items))) == [("completeness", message, (name,))]


def test_a_label_and_a_rule_are_said_instead_of_ids() -> None:
    """The user's words where there are any."""
    labelled = with_activity("fry", label="pie: Fry the onion")
    assert said(at("fry", worker=""), plan_input=labelled)[0][1] == 'pie: Fry the onion is done by ""'
    ruled = replace(PLAN, lags=tuple(replace(lag, rule="the oil is hot") for lag in PLAN.lags))
    assert [item[1] for item in said(at("fry", (4, 7)), plan_input=ruled)] == [
        "the oil is hot: -1 s instead of at least 0 s",
        "the oil is hot: 1 s instead of at most 0 s",
        "cook does two things at 4 s",
    ]
    rings = replace(PLAN, resources=(Resource(id="ring", capacity=1, label="gas ring"), PLAN.resources[1]))
    assert said(at("stock", (13, 18)), plan_input=rings)[0][1] == "2 of gas ring at 13 s, there are 1"


@pytest.mark.parametrize("label", ["", "big pan"])
def test_a_vessel_freed_before_it_is_taken_is_told(label: str) -> None:
    """Held from the plating to the end of the frying, which is over before."""
    held = Occupation(id="held", resource="pan", first="plate", last="fry", label=label)
    backward = replace(PLAN, occupations=(*PLAN.occupations, held))
    message = f"{label or 'pan'} is freed before it is taken"
    assert said(plan_input=backward) == [("resources", message, ("plate", "fry"))]


# ------------------------------------------------------------------------------------------- the last sound moment


@pytest.mark.parametrize(
    "changed",
    [
        at("chop", (0, 2), (2, 4)),  # broken off for no time; the wait of 1 s is within its 2
        at("chop", (0, 4)),  # what may be broken off need not be
        at("plate", (28, 30)),  # begins as the helper comes back, ends on its deadline
        at("plate", (24, 26)),  # ends as the helper leaves
        at("stock", (35, 40)),  # ends with the day
    ],
    ids=lambda value: f"{value.activity} {value.pieces}",
)
def test_a_bound_may_be_reached(changed: Assignment) -> None:
    """Times are closed at the start and open at the end: to touch is not to overlap."""
    assert said(changed) == []


def test_one_unit_passes_from_hand_to_hand_without_a_wait() -> None:
    """The simmer leaves ring 1 at 14, the stock takes it at 14; a second earlier both are named."""
    rings = replace(PLAN, resources=(replace(PLAN.resources[0], capacity=2), PLAN.resources[1]))
    first = (("ring", 1),)
    assert said(at("simmer", units=first), at("stock", units=first), plan_input=rings) == []
    assert said(at("simmer", units=first), at("stock", (13, 18), units=first), plan_input=rings) == [
        ("units", "ring 1 is used twice at 13 s", ("simmer", "stock"))
    ]


def test_what_takes_no_time_is_in_nobodys_way() -> None:
    """A step without minutes, in the middle of other work of the same person, on the same ring and shelf: no clash."""
    tick = activity("tick", ActivityKind.HANDS, 0, workers=("cook",), needs=(("ring", 1),))
    pot = Occupation(id="pot", resource="pan", first="tick", last="tick")
    plan_input = with_more(tick, occupations=(*PLAN.occupations, pot))
    placed = Assignment(activity="tick", pieces=((6, 6),), worker="cook", units=(("ring", 1),))
    assert said(placed, at("fry", units=(("ring", 1),)), plan_input=plan_input) == []


def test_three_things_at_once_are_told_pair_by_pair() -> None:
    """A long piece of work and two short ones inside it."""
    more = [activity(name, ActivityKind.HANDS, 1, workers=("cook",)) for name in ("salt", "taste")]
    placed = [Assignment(activity="salt", pieces=((6, 7),), worker="cook")]
    placed.append(Assignment(activity="taste", pieces=((6, 7),), worker="cook"))
    assert said(*placed, plan_input=with_more(*more)) == [
        ("hands", "cook does two things at 6 s", ("fry", "salt")),
        ("hands", "cook does two things at 6 s", ("salt", "taste")),
    ]


# ------------------------------------------------------------------------------------------- ovens


def ovens_at(first: int, bread: int, second: int, **fields: object) -> PlanInput:
    """Return the plan with other temperatures: of the first heat, of the bread in it, of the second heat."""
    states = {
        "heat 200": oven(first),
        "bread": oven(bread, "heat 200"),
        "heat 180": oven(second),
        "cake": oven(second, "heat 180"),
        "biscuits": oven(second, "heat 180"),
    }
    activities = tuple(replace(a, oven=states.get(a.id)) for a in PLAN.activities)
    return replace(PLAN, activities=activities, **fields)  # type: ignore[arg-type]


def test_a_dial_is_turned_only_for_what_lies_beyond_the_tolerance() -> None:
    """Tolerance 10: bread at 190 bakes at 200, which the dial is left at; at 189 the dial is turned to 189."""
    assert said(at("heat 180", (9, 11)), plan_input=ovens_at(200, 190, 190)) == []
    assert said(at("heat 180", (9, 9)), plan_input=ovens_at(200, 189, 189)) == []


def test_an_oven_that_says_no_tolerance_has_none() -> None:
    """A single degree counts: 199 is dialled, and a session at 199 may not overlap one at 200."""
    strict = ovens_at(200, 200, 199, oven_tolerance_c=())
    assert said(plan_input=strict) == []
    assert said(at("heat 180", (8, 10)), plan_input=strict) == [
        ("oven_sessions", "oven is needed at (200, 199) °C at once", ("heat 200", "heat 180"))
    ]
    assert said(at("heat 180", (9, 9)), plan_input=ovens_at(200, 199, 199, oven_tolerance_c=())) == []


def test_an_oven_that_says_no_change_time_and_no_shelves_has_none_and_one() -> None:
    """The later heat takes no time, and a second bake on the one shelf is too much."""
    bare = replace(PLAN, oven_change_s=(), oven_shelves=())
    assert said(at("heat 180", (9, 9)), plan_input=bare) == []
    assert said(at("heat 180", (9, 9)), at("biscuits", (14, 17)), plan_input=bare) == [
        ("oven_shelves", "2 of shelf of the oven at 14 s, there are 1", ("cake", "biscuits"))
    ]


def test_a_day_may_begin_before_its_oven() -> None:
    """The first heat is as long from 1 as from 0; one heat may follow the other at once where both are tolerated."""
    later = (at("heat 200", (1, 6)), at("bread", (6, 10)), at("heat 180", (10, 12)), at("cake", (12, 16)))
    assert said(*later, at("biscuits", (16, 19)), at("plate", (16, 18))) == []
    generous = replace(PLAN, oven_tolerance_c=(("oven", 20),), oven_shelves=(("oven", 2),))
    assert said(at("heat 180", (5, 7)), plan_input=generous) == []
    assert said(at("heat 180", (4, 6)), plan_input=generous) == [
        ("oven_heats", "oven is heated twice at 4 s", ("heat 200", "heat 180"))
    ]


def test_a_wait_may_count_from_the_start_of_a_step() -> None:
    """The bread goes in at 5 and the plate is begun at 15: ten from its start, though only six from its end."""
    wait = Lag(predecessor="bread", predecessor_anchor=Anchor.START, successor="plate", at_least_s=10, at_most_s=10)
    assert said(plan_input=replace(PLAN, lags=(*PLAN.lags, wait))) == []
    shorter = replace(wait, at_least_s=0, at_most_s=9)
    assert said(plan_input=replace(PLAN, lags=(*PLAN.lags, shorter))) == [
        ("time_lags", "a wait: 10 s instead of at most 9 s", ("bread", "plate"))
    ]
