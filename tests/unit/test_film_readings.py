"""The takes that there is time for and the shots that a filmed day does not take, worked by hand."""

from __future__ import annotations

from pathlib import Path

from shootplan.app import load, publish
from shootplan.app.film import film
from shootplan.model.filmed_day import FilmedDay
from shootplan.model.planning import Anchor
from shootplan.plan.film_tasks import build_filmed_plan
from tests.planning_helpers import recipe, write_episode

KITCHEN = """
[[people]]
name = "host"
presenter = true
[[people]]
name = "operator"
role = "helper"
[hob]
rings = 2
[cameras]
positions = ["over", "hob"]
rerig = "8 min"
"""


def filmed(folder: Path, *steps: str) -> FilmedDay:
    """Return the filmed day of one dish of beans."""
    return film(load(write_episode(folder, {"dish": recipe("Dish", "- 500 g beans", *steps)}, kitchen=KITCHEN)))


def test_the_takes_before_the_mash_is_cold(tmp_path: Path) -> None:
    """
    Mashed 0-5, good for 15: a topping of 4 min, 2 min to reset, begins at 5, 11 and 17, three times by 20.

    The dish ends with it, so without moving wrap it is one. Serving, 2 min within 5, begins at 9 and 13: twice by 14.
    """
    day = filmed(
        tmp_path,
        "Mash | Mash the [beans]. | hands: 5 min | good for: 15 min | shot: over",
        "Top | Top it. | hands: 4 min | shot: over, ridges",
        "Serve | Serve. | hands: 2 min | after: Top within 5 min | shot: over, scoop",
    )
    assert [(item.label, item.most, item.latest_s, item.most_in_wrap) for item in day.takes] == [
        ("dish: Top", 3, 20 * 60, 1),
        ("dish: Serve", 2, 14 * 60, 1),
    ]


def test_what_is_done_once_or_on_heat_has_no_further_take(tmp_path: Path) -> None:
    """On heat it is one take for each portion; one take only is one."""
    day = filmed(
        tmp_path,
        "Mix | Mix the [beans]. | hands: 5 min | good for: 15 min | shot: over",
        "Fry | Fry. | hands: 4 min | uses: ring | until: hot | good for: 15 min | shot: over",
        "Cut | Cut. | hands: 1 min | shot: over, one take only",
    )
    assert day.takes == ()


def test_a_take_without_moving_wrap_fits_into_what_waits_anyway(tmp_path: Path) -> None:
    """
    A pot of 30 min runs; the bowl, 4 min within 15 of the mash, is wanted at 30.

    Mash 0-5, bowl 5-9: it may end by 30, so 21 // 6 = 3 further takes; its own limit, 20, leaves three in all.
    """
    day = filmed(
        tmp_path,
        "Pot | Boil the [beans]. | leave: 30 min | after: none | uses: ring | until: soft | shot: none",
        "Mash | Mash. | hands: 5 min | after: none | shot: over",
        "Bowl | Fill a bowl. | hands: 4 min | after: Mash within 15 min | shot: over",
        "Serve | Serve. | hands: 1 min | after: Bowl, Pot | shot: over",
    )
    (bowl,) = day.takes
    assert (bowl.start_s, bowl.latest_s, bowl.most, bowl.most_in_wrap) == (5 * 60, 20 * 60, 3, 4)


def test_shots_that_the_day_does_not_take_are_named_with_the_reason(tmp_path: Path) -> None:
    """Of the evening, of an option: told; of the day: taken; without a shot: nothing to tell."""
    day = filmed(
        tmp_path,
        "Soak | Soak the [beans]. | leave: at least 8 h | after: none | when: evening before | shot: over, bowl",
        "Toast | Toast. | hands: 2 min | after: none | optional: yes | shot: hob, shake",
        "Chop | Chop. | hands: 5 min | after: none | shot: over",
        "Serve | Serve. | hands: 1 min | after: Soak, Toast, Chop | shot: none",
    )
    assert [(item.label, item.position, item.framing, item.because) for item in day.untaken] == [
        ("dish: Soak", "over", "bowl", "the step is done before the day"),
        ("dish: Toast", "hob", "shake", "the step is optional and not planned"),
    ]


def test_a_tip_in_begins_with_what_it_begins(tmp_path: Path) -> None:
    """The beans go in at the start of 8-10 min; the lid, of the same kind of wait, is lifted within its first 8."""
    steps = (
        "Add | Add the [beans]. | leave: 8–10 min | after: none | uses: ring | until: hot | shot: hob, tip-in",
        "Simmer | Simmer. | leave: 8–10 min | uses: ring | until: soft | shot: hob, lid lift",
    )
    folder = write_episode(tmp_path, {"dish": recipe("Dish", "- 500 g beans", *steps)}, kitchen=KITCHEN)
    lags = build_filmed_plan(load(folder).resolved).lags
    tip_in = [lag for lag in lags if lag.successor == "dish/add+shot" and lag.at_least_s is not None]
    assert [(lag.predecessor_anchor, lag.at_least_s, lag.at_most_s) for lag in tip_in] == [(Anchor.START, 0, 0)]
    assert tip_in[0].rule == "dish: Add is filmed as it begins"
    lift = [lag for lag in lags if lag.successor == "dish/simmer+shot" and lag.at_most_s is not None]
    assert [(lag.predecessor_anchor, lag.successor_anchor, lag.at_most_s) for lag in lift] == [
        (Anchor.START, Anchor.END, 8 * 60)
    ]


def test_a_lid_is_lifted_by_the_presenter(tmp_path: Path) -> None:
    """
    A pot of 10 and chopping of 10 begin together; the lid is lifted, 1, within the pot's time, by the only hands.

    So it is lifted 0-1, chopped 1-11 and served to 12; where the picture needs no hands, chopped to 10, served to 11.
    """
    wraps = []
    for number, hands in enumerate(("", ", no hands")):
        boil = "Pot | Boil the [beans]. | leave: 10 min | after: none | uses: ring | until: soft | shot: hob, lid lift"
        day = filmed(
            tmp_path / str(number),
            f"{boil}{hands}",
            "Chop | Chop. | hands: 10 min | after: none | shot: none",
            "Serve | Serve. | hands: 1 min | after: Chop, Pot | shot: hob",
        )
        assert day.result.schedule is not None
        wraps.append(day.result.schedule.makespan_s // 60)
        assert day.result.schedule.of("dish/pot+shot").worker == ("host", "")[number]
    assert wraps == [12, 11]


def test_what_a_wait_has_come_to_is_filmed_when_it_has(tmp_path: Path) -> None:
    """Butter of 60-120 min shows its thumbprint after the 60 and before it is beaten, a pot of 30 min its last one."""
    day = filmed(
        tmp_path,
        "Soften | Leave it. | leave: at least 60 min, at most 120 min | after: none | shot: over, thumb, at the end",
        "Beat | Beat. | hands: 3 min | shot: none",
        "Pot | Boil the [beans]. | leave: 30 min | after: none | uses: ring | until: soft | shot: hob, at the end",
        "Serve | Serve. | hands: 1 min | after: Beat, Pot | shot: over",
    )
    schedule = day.result.schedule
    assert schedule is not None
    thumb, beaten = schedule.of("dish/soften+shot"), schedule.of("dish/beat#hands")
    assert schedule.of("dish/soften#leave").end_s <= thumb.start_s and thumb.end_s <= beaten.start_s
    assert schedule.of("dish/pot+shot").end_s == schedule.of("dish/pot#leave").end_s


def test_the_shot_of_a_swapped_wait_is_taken_before_its_dish_is_served(tmp_path: Path) -> None:
    """The duplicate comes in, is filmed from the hob, then served; it leaves the fridge as it comes in."""
    steps = (
        "Mix | Mix the [beans]. | hands: 5 min | shot: over",
        "Bake | Bake. | leave: 40 min | uses: ring | until: brown | keeps: 2 days | place: fridge | shot: hob",
        "Serve | Serve. | hands: 2 min | shot: over",
    )
    folder = write_episode(
        tmp_path,
        {"dish": recipe("Dish", "- 500 g beans", *steps)},
        kitchen=KITCHEN,
        more="swap-outs: dish: Bake\n",
    )
    loaded = load(folder)
    day = film(loaded)
    schedule = day.result.schedule
    assert schedule is not None
    comes_in, shot, served = (schedule.of(f"dish/{name}") for name in ("bake#leave", "bake+shot", "serve#hands"))
    assert comes_in.end_s <= shot.start_s and shot.end_s <= served.start_s
    assert day.parts.total_s == (5 + 8 + 1 + 8 + 2) * 60  # mix, re-rig, the shot, re-rig back, serve
    prep = publish(loaded).prep
    assert prep is not None
    assert [(item.what, item.planned_s) for item in prep.fridge] == [("duplicate: Bake", 5 * 60)]


def test_what_stands_long_without_a_limit_is_named(tmp_path: Path) -> None:
    """
    Bowl 0-4 and chopped 4-9 beside a pot of 90 min, tipped in at 90: it stands 81 min. The bowl waits too, but says its
    limit.
    """
    day = filmed(
        tmp_path,
        "Pot | Boil the [beans]. | leave: 90 min | after: none | uses: ring | until: soft | shot: none",
        "Bowl | Fill a bowl. | hands: 4 min | after: none | good for: 200 min | shot: none",
        "Chop | Chop. | hands: 5 min | shot: over",
        "Tip | Tip it in. | hands: 1 min | after: Pot, Chop, Bowl | shot: over",
        "Serve | Serve. | hands: 1 min | shot: over",
    )
    assert [(item.label, item.since_s // 60, item.until_s // 60, item.after) for item in day.standing] == [
        ("dish: Chop", 9, 90, "dish: Tip")
    ]
