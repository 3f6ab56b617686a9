"""What the verifier says of a plan over several days: a kitchen that is closed from 20 to 30 (seconds, by hand)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from shootplan.model.planning import Activity, ActivityKind, Assignment, DayRule, PlanInput, Schedule
from shootplan.plan.verify import verify
from tests.verify_helpers import activity, oven

Piece = tuple[int, int]
Said = tuple[str, str, tuple[str, ...]]
NIGHT = ((20, 30),)


def said(plan_input: PlanInput, **places: Piece) -> list[Said]:
    """Return (rule, message, activities) for activities placed so."""
    placed = tuple(Assignment(activity=name, pieces=(piece,)) for name, piece in places.items())
    return [(item.rule, item.message, item.activities) for item in verify(plan_input, Schedule(assignments=placed))]


def dough(seconds: int, *, may_run_closed: bool) -> Activity:
    return activity("dough", ActivityKind.LEAVE, seconds, may_run_closed=may_run_closed)


@pytest.mark.parametrize(
    ("place", "at_work", "at_night"),
    [
        ((10, 20), None, None),  # ends as the kitchen closes
        ((30, 40), None, None),  # begins as it opens
        ((15, 25), "goes on", None),
        ((15, 31), "goes on", None),
        ((20, 31), "goes on", None),
        ((21, 31), "begins", "begins"),
        ((29, 31), "begins", "begins"),
    ],
)
def test_only_what_may_run_alone_runs_by_night(place: Piece, at_work: str | None, at_night: str | None) -> None:
    """What nobody need be there for may go on, but not begin."""
    for may_run, word in ((False, at_work), (True, at_night)):
        plan_input = PlanInput(activities=(dough(place[1] - place[0], may_run_closed=may_run),), closed=NIGHT)
        expected = [] if word is None else [("closed_hours", f"dough {word} while nobody is there", ("dough",))]
        assert said(plan_input, dough=place) == expected


@pytest.mark.parametrize("rule", ["", "the dough proves overnight"])
@pytest.mark.parametrize(
    ("is_apart", "one", "other", "is_sound"),
    [
        (True, (15, 16), (30, 31), True),
        (True, (15, 16), (19, 20), False),
        (True, (30, 31), (15, 16), False),
        (False, (15, 16), (19, 20), True),
        (False, (30, 31), (40, 41), True),
        (False, (15, 16), (30, 31), False),
        (False, (30, 31), (15, 16), False),
    ],
)
def test_days_are_told_apart_by_the_night_between(
    rule: str, is_apart: bool, one: Piece, other: Piece, is_sound: bool
) -> None:
    """On an earlier day, or on the same; the opening moment belongs to the day that begins."""
    days = DayRule(one="mix", other="bake", is_apart=is_apart, rule=rule)
    work = tuple(activity(name, ActivityKind.LEAVE, 1) for name in ("mix", "bake"))
    plan_input = PlanInput(activities=work, closed=NIGHT, day_rules=(days,))
    words = "same day" if is_apart else "another day"
    plain = "one day before the other" if is_apart else "on one day"
    expected = [] if is_sound else [("days", f"{rule or plain}: {words}", ("mix", "bake"))]
    assert said(plan_input, mix=one, bake=other) == expected


def test_an_oven_is_cold_in_the_morning() -> None:
    """The second heat to 200 takes its own 5 again on the next day, and nothing on the same day."""
    first = activity("first", ActivityKind.HEAT, 5, oven=oven(200))
    second = replace(first, id="second")
    plan_input = PlanInput(activities=(first, second), closed=NIGHT, oven_change_s=(("oven", 2),))
    assert said(plan_input, first=(0, 5), second=(30, 35)) == []
    assert said(plan_input, first=(0, 5), second=(10, 10)) == []
    for end, second_at, wanted in ((30, 30, 5), (15, 10, 0)):
        assert said(plan_input, first=(0, 5), second=(second_at, end)) == [
            ("oven_heats", f"second does not take {wanted} s", ("first", "second"))
        ]
