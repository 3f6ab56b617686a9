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
    return work(name, minutes, **({"kind": ActivityKind.HANDS, "workers": ("cook",)} | fields))


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


def test_more_shelves_than_the_oven_has() -> None:
    """One bake of three trays in an oven of two shelves is told at once."""
    text = told(
        PlanInput(
            activities=(
                work("heat", 10, kind=ActivityKind.HEAT, oven=OvenState(oven="oven", temperature_c=200)),
                work("bake", 20, oven=OvenState(oven="oven", temperature_c=200, heat="heat", shelves=3)),
            ),
            oven_shelves=(("oven", 2),),
        )
    )
    assert text == "dish: bake needs 3 × shelf of the oven, there are 2"


def test_more_pans_held_than_there_are() -> None:
    """A dish that holds two of one pan is told at once."""
    text = told(
        PlanInput(
            activities=(work("sauce", 5),),
            resources=(Resource(id="pan", capacity=1),),
            occupations=(Occupation(id="hold", resource="pan", first="sauce", last="sauce", count=2, label="sauce"),),
        )
    )
    assert text == "sauce needs 2 × pan, there is 1"


def test_a_time_away_that_falls_on_the_only_moment() -> None:
    """Stirring must begin at 5 of the pot and the cook is away from 4 to 8: both are named, the deadline too."""
    text = told(
        PlanInput(
            activities=(work("pot", 5, deadline_s=300), hands("stir", 2)),
            lags=(Lag(predecessor="pot", successor="stir", at_most_s=0, rule="stir at once after the pot"),),
            workers=(Worker(name="cook", away=((240, 480),)),),
        )
    )
    assert "cook is away from 4 min to 8 min into the day" in text
    assert "stir at once after the pot" in text
    assert "dish: pot is done 5 min into the day" in text


def test_a_release_after_the_deadline_of_what_follows() -> None:
    """The delivery comes at 30 and the dish must be done at 35 with 10 of work."""
    text = told(
        PlanInput(
            activities=(work("deliver", 0, release_s=1800), work("cook", 10, deadline_s=2100)),
            lags=(Lag(predecessor="deliver", successor="cook", rule="cook after the delivery"),),
        )
    )
    assert "cook after the delivery" in text
    assert "dish: cook is done by its deadline" in text
    assert "dish: cook takes 10 min" in text


def test_a_circle_of_waits_names_the_circle_only() -> None:
    """A third wait that hangs on the circle is not to blame, nor are the steps' minutes."""
    with pytest.raises(InfeasiblePlan) as caught:
        solve(
            PlanInput(
                activities=(work("a", 1), work("b", 1), work("c", 1)),
                lags=(
                    Lag(predecessor="a", successor="b", rule="b after a"),
                    Lag(predecessor="b", successor="a", rule="a after b"),
                    Lag(predecessor="b", successor="c", rule="c after b"),
                ),
            )
        )
    assert {conflict.rule for conflict in caught.value.conflicts} == {"b after a", "a after b"}


def test_work_that_may_be_broken_off_and_still_does_not_fit() -> None:
    """Twelve of chopping that may be broken off, within 10 of the day."""
    text = told(
        PlanInput(activities=(hands("chop", 6, is_pausable=True), hands("peel", 6)), workers=COOK, horizon_s=600)
    )
    assert "everything is done within 10 min" in text
    assert "dish: chop needs the hands of cook" in text
    assert "dish: peel needs the hands of cook" in text


def test_every_rule_of_the_set_is_needed() -> None:
    """Whichever rule of the smallest set goes, there is a plan: here without either limit, or with a second cook."""
    activities = (work("boil", 5), hands("soup", 4), hands("milk", 4))
    lags = tuple(
        Lag(predecessor="boil", successor=name, at_most_s=60, rule=f"{name} within 1 min") for name in ("soup", "milk")
    )
    assert len(told(PlanInput(activities=activities, lags=lags, workers=COOK)).splitlines()) == 4
    for kept in lags:
        assert solve(PlanInput(activities=activities, lags=(kept,), workers=COOK)).schedule is not None
    pair = (*COOK, Worker(name="friend"))
    shared = (activities[0], *(hands(n, 4, workers=("cook", "friend")) for n in ("soup", "milk")))
    assert solve(PlanInput(activities=shared, lags=lags, workers=pair)).schedule is not None
