"""What cannot be planned is told in the user's words, as a smallest set of rules that clash, with their lines."""

from __future__ import annotations

import pytest

from shootplan.model.planning import (
    Activity,
    ActivityKind,
    Anchor,
    Lag,
    Occupation,
    OvenState,
    PlanInput,
    Resource,
    Worker,
)
from shootplan.plan import solve
from shootplan.problems import InfeasiblePlan, Span


def work(name: str, minutes: int, **fields: object) -> Activity:
    """Return an activity of so many minutes with its name as label and a line of its own."""
    values: dict[str, object] = {
        "id": name, "label": f"dish: {name}", "kind": ActivityKind.LEAVE, "short_s": 60 * minutes,
        "long_s": 60 * minutes, "span": Span("recipes/dish.md", 10 + len(name), 4, 9),
    }  # fmt: skip
    return Activity(**(values | fields))  # type: ignore[arg-type]


def hands(name: str, minutes: int, **fields: object) -> Activity:
    """Return hands-on work of the one cook."""
    return work(name, minutes, kind=ActivityKind.HANDS, workers=("cook",), **fields)


def told(plan_input: PlanInput) -> str:
    """Return the clashing rules as one text; there must be some, each with words."""
    with pytest.raises(InfeasiblePlan) as caught:
        solve(plan_input)
    assert caught.value.conflicts
    assert all(conflict.rule for conflict in caught.value.conflicts)
    return "\n".join(conflict.rule for conflict in caught.value.conflicts)


COOK = (Worker(name="cook"),)


def test_two_limits_that_pull_one_pair_of_hands_apart() -> None:
    """Both pans must be stirred within a minute of boiling together, and there is one cook: hands and both limits."""
    text = told(
        PlanInput(
            activities=(work("boil", 5), hands("stir the soup", 4), hands("stir the milk", 4)),
            lags=(
                Lag(predecessor="boil", successor="stir the soup", at_most_s=60, rule="stir the soup within 1 min"),
                Lag(predecessor="boil", successor="stir the milk", at_most_s=60, rule="stir the milk within 1 min"),
            ),
            workers=COOK,
        )
    )
    assert "stir the soup within 1 min" in text
    assert "stir the milk within 1 min" in text
    assert "cook" in text


def test_a_rule_that_is_not_to_blame_is_not_named() -> None:
    """A third limit that can be kept stays out of the smallest set."""
    text = told(
        PlanInput(
            activities=(work("boil", 5), hands("first", 4), hands("second", 4), hands("later", 1)),
            lags=(
                Lag(predecessor="boil", successor="first", at_most_s=0, rule="first at once"),
                Lag(predecessor="boil", successor="second", at_most_s=0, rule="second at once"),
                Lag(predecessor="boil", successor="later", at_most_s=3600, rule="later within the hour"),
            ),
            workers=COOK,
        )
    )
    assert "later within the hour" not in text


def test_a_circle_of_waits_names_its_links() -> None:
    """A after B and B after A can never begin."""
    text = told(
        PlanInput(
            activities=(work("a", 1), work("b", 1)),
            lags=(
                Lag(predecessor="a", successor="b", rule="b after a"),
                Lag(predecessor="b", successor="a", rule="a after b"),
            ),
        )
    )
    assert "b after a" in text
    assert "a after b" in text


def test_more_rings_at_once_than_the_hob_has() -> None:
    """Three pots that must start together on two rings: the rings are named with how many there are."""
    pots = tuple(work(name, 10, needs=(("ring", 1),)) for name in ("one", "two", "three"))
    lags = tuple(
        Lag(predecessor="one", successor=name, at_least_s=0, at_most_s=0, predecessor_anchor=Anchor.START,
            rule=f"{name} with one")
        for name in ("two", "three")
    )  # fmt: skip
    text = told(PlanInput(activities=pots, lags=lags, resources=(Resource(id="ring", capacity=2, label="ring"),)))
    assert "ring" in text
    assert "2" in text


def test_a_pan_that_one_step_asks_twice() -> None:
    """A single step that needs two of one pan is told at once, without a solver."""
    text = told(
        PlanInput(
            activities=(work("fry", 5, needs=(("pan", 2),)),),
            resources=(Resource(id="pan", capacity=1, label="28 cm pan"),),
        )
    )
    assert "28 cm pan" in text


def test_a_held_pan_that_is_wanted_meanwhile() -> None:
    """The only pan is held from the sauce to the serving, and the rice must be fried in between."""
    text = told(
        PlanInput(
            activities=(work("sauce", 5), work("serve", 1), work("fry", 5, needs=(("pan", 1),))),
            lags=(
                Lag(predecessor="sauce", successor="fry", rule="fry after the sauce"),
                Lag(predecessor="fry", successor="serve", rule="serve after frying"),
            ),
            resources=(Resource(id="pan", capacity=1, label="28 cm pan"),),
            occupations=(Occupation(id="hold", resource="pan", first="sauce", last="serve", label="28 cm pan"),),
        )
    )
    assert "28 cm pan" in text


def test_an_oven_that_must_be_at_two_temperatures_at_once() -> None:
    """Two bakes that must begin together at 200 and 180 °C in one oven: the temperatures are named."""
    heats = tuple(
        work(f"heat {t}", 10, kind=ActivityKind.HEAT, oven=OvenState(oven="oven", temperature_c=t)) for t in (200, 180)
    )
    bakes = tuple(
        work(f"bake {t}", 30, oven=OvenState(oven="oven", temperature_c=t, heat=f"heat {t}")) for t in (200, 180)
    )
    text = told(
        PlanInput(
            activities=(*heats, *bakes),
            lags=(
                Lag(predecessor="heat 200", successor="bake 200"),
                Lag(predecessor="heat 180", successor="bake 180"),
                Lag(
                    predecessor="bake 200",
                    successor="bake 180",
                    at_least_s=0,
                    at_most_s=0,
                    predecessor_anchor=Anchor.START,
                    rule="both bakes begin together",
                ),
            ),
            oven_shelves=(("oven", 2),),
            oven_tolerance_c=(("oven", 10),),
            oven_change_s=(("oven", 300),),
        )
    )
    assert "oven" in text
    assert "both bakes begin together" in text


def test_a_deadline_that_the_work_cannot_meet() -> None:
    """Twenty minutes of work that must be done within ten."""
    text = told(PlanInput(activities=(hands("knead", 20, deadline_s=600),), workers=COOK))
    assert "knead" in text
