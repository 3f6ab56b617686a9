"""A duplicate that does not keep from the evening before is made on the day, or the plan says why it cannot be."""

from __future__ import annotations

from pathlib import Path

import pytest
from planning_helpers import KITCHEN, pot_and_pan, recipe, write_episode

from shootplan.app import Day, documents, load, plan, publish
from shootplan.model.show import clock_text
from shootplan.plan.duplicates import made_before_s
from shootplan.plan.film_tasks import build_filmed_plan
from shootplan.plan.verify import verify
from shootplan.problems import InfeasiblePlan

MINUTE = 60


def planned(folder: Path) -> Day:
    """Plan a day, checked without the solver."""
    day = plan(load(folder))
    assert day.result.schedule is not None
    assert verify(day.plan_input, day.result.schedule) == ()
    return day


def keeping(folder: Path, keeps: str) -> Path:
    """Write the two dishes, the pan's rested batter swapped and keeping so long."""
    pot_and_pan(folder, more="swap-outs: pan: Rest\n")
    path = folder / "recipes" / "pan.md"
    path.write_text(path.read_text(encoding="utf-8").replace("keeps: 2 h", f"keeps: {keeps}"), encoding="utf-8")
    return folder


def refused(folder: Path) -> list[str]:
    """Return the rules that clash."""
    with pytest.raises(InfeasiblePlan) as caught:
        plan(load(folder))
    return [item.rule for item in caught.value.conflicts]


def test_batter_that_keeps_two_hours_is_made_on_the_day(tmp_path: Path) -> None:
    """
    The evening ends at 20:00 and call is at 09:00: 13 h. A second batter is mixed (12) and rested (20) on the day.

    Chop 0-10, simmer to 55; batters 10-22 (rested at 42) and 22-34; fry 42-52, plate 52-57, plate the pot 57-62. To
    plate the pot at 55 the pan would be fried by 50, its batter mixed by 20 and the onions chopped before: 22 minutes.
    """
    day = planned(keeping(tmp_path, "2 h"))
    schedule = day.result.schedule
    assert schedule is not None
    assert schedule.makespan_s == 62 * MINUTE
    ready = schedule.of("pan duplicate/rest#leave")
    used = schedule.of("pan/rest#leave")
    assert ready.end_s - ready.start_s == 20 * MINUTE
    assert ready.end_s <= used.start_s == used.end_s <= ready.end_s + 2 * 3600
    assert [row.label for row in day.rows if row.recipe == "pan duplicate"] == [
        "pan duplicate: Mix",
        "pan duplicate: Rest",
    ]


def test_the_papers_say_that_it_is_made_on_the_day(tmp_path: Path) -> None:
    """The order has its work and when it is ready; its ingredients are bought and in no published cost."""
    loaded = load(keeping(tmp_path, "2 h"))
    publication = publish(loaded)
    schedule = publication.plan.schedule
    assert schedule is not None
    at_s = 9 * 3600 + schedule.of("pan duplicate/rest#leave").end_s
    order = documents(publication)["shooting_order.md"]
    ready = f"{at_s // 3600:02d}:{at_s % 3600 // 60:02d}"
    assert f"keeps 2 h only: made on the day, ready at {ready}" in order
    assert "## Swap-outs: ready before they are needed" in order
    assert "| pan duplicate | Mix |" in order
    assert publication.shopping is not None
    flour = next(item for item in publication.shopping.items if item.row.item == "flour")
    assert flour.packs == 2


def test_what_keeps_is_not_made_on_the_day(tmp_path: Path) -> None:
    """Fourteen hours from 20:00 reach to 10:00: made the evening before, and used within the first hour."""
    day = planned(keeping(tmp_path, "14 h"))
    schedule = day.result.schedule
    assert schedule is not None
    assert not any("duplicate/" in item.id for item in day.plan_input.activities)
    assert schedule.of("pan/rest#leave").end_s <= 60 * MINUTE


def test_what_keeps_until_ten_past_nine_cannot_wait_for_its_batter(tmp_path: Path) -> None:
    """13 h 10 min from 20:00 are over at 09:10; the first batter, which is filmed, takes 12 min from 09:00."""
    (rule,) = (rule for rule in refused(keeping(tmp_path, "13 h 10 min")) if "keeps" in rule)
    assert rule.startswith("pan: Rest (duplicate comes in) is done by")
    assert rule.endswith("it keeps 13 h 10 min from the evening before")


def test_a_duplicate_with_no_bowl_to_be_made_in_is_refused(tmp_path: Path) -> None:
    """One bowl: the duplicate rests in it, then it is washed (3) and mixed in (12): too old after 10 min."""
    batter = recipe(
        "Pan",
        "- 1000 g flour",
        "Mix | Mix the [flour]. | hands: 12 min | pausable: no | holds: bowl",
        "Rest | Let it rest. | leave: 20 min | swap-out: yes | keeps: 10 min",
        "Fry | Fry. | hands: 10 min | uses: ring | until: gold | frees: bowl",
    )
    kitchen = KITCHEN + "[vessels]\nbowl = 1\n"
    folder = write_episode(tmp_path / "one", {"pan": batter}, kitchen=kitchen, more="swap-outs: Rest\n")
    told = refused(folder)
    assert any("comes in at most 10 min after it is made" in rule for rule in told)
    assert any("bowl" in rule for rule in told)
    two = kitchen.replace("bowl = 1", "bowl = 2")
    assert planned(write_episode(tmp_path / "two", {"pan": batter}, kitchen=two, more="swap-outs: Rest\n"))


def test_the_filmed_day_makes_it_off_camera(tmp_path: Path) -> None:
    """The work of the duplicate is in the filmed plan without a shot."""
    plan_input = build_filmed_plan(load(keeping(tmp_path, "2 h")).resolved)
    made = [item for item in plan_input.activities if item.recipe == "pan duplicate"]
    assert [item.id for item in made] == ["pan duplicate/mix#hands", "pan duplicate/rest#leave"]
    assert all(item.film is None for item in made)


def test_the_evening_before_ends_when_the_kitchen_says(tmp_path: Path) -> None:
    """20:00 the day before is 13 h before a call at 09:00."""
    assert made_before_s(load(pot_and_pan(tmp_path)).episode) == -13 * 3600


@pytest.mark.parametrize(("place", "weekday"), [("\n   - place: fridge", "Thu"), ("", "Fri")])
def test_over_several_days_a_duplicate_is_made_in_the_evening_and_stands_in_the_cold(
    tmp_path: Path, place: str, weekday: str
) -> None:
    """
    The pot's beans are chopped and simmered in the evening window, and the day wraps at 47 as with one ready (sheet 9).

    A cooked pot with no place in the fridge does not stand overnight: then its duplicate is simmered on the day.
    """
    folder = pot_and_pan(tmp_path, more="swap-outs: pot: Simmer\ndays: evening before, 2026-11-20 09:00–18:00\n")
    for path, old, new in (
        (folder / "episode.md", "call: 09:00\n", ""),
        (folder / "recipes" / "pot.md", "keeps: 2 days", f"keeps: 2 days{place}"),
    ):
        path.write_text(path.read_text(encoding="utf-8").replace(old, new), encoding="utf-8")
    day = planned(folder)
    schedule, clock = day.result.schedule, load(folder).episode.clock
    assert schedule is not None
    assert clock_text(clock, schedule.of("pot duplicate/chop#hands").start_s).endswith(weekday)
    assert clock_text(clock, schedule.of("pot duplicate/simmer#leave").end_s).endswith(weekday)
    if weekday == "Thu":
        assert clock_text(clock, schedule.makespan_s) == "09:47 Fri"
        order = documents(publish(load(folder)))["shooting_order.md"]
        assert "keeps 2 days: made within the plan, ready at" in order
