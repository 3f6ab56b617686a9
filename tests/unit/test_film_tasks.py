"""What filming asks of an episode's steps: takes, who is in the picture, left pots, rows around, pick-ups."""

from __future__ import annotations

from pathlib import Path

import pytest

from shootplan.app import load
from shootplan.model.planning import Activity, ActivityKind, PlanInput
from shootplan.plan.film_planner import FilmedPlan, plan_filmed_day
from shootplan.plan.film_tasks import build_filmed_plan
from shootplan.plan.verify import verify
from shootplan.problems import InfeasiblePlan
from tests.planning_helpers import recipe, write_episode

KITCHEN = """
[[people]]
name = "host"
role = "cook"
presenter = true
[[people]]
name = "runner"
role = "helper"
[[people]]
name = "operator"
role = "helper"
skills = ["camera"]
[hob]
rings = 2
[tools]
"blender" = { count = 1, noise = true }
[cameras]
positions = ["over", "hob", { name = "lock-off", camera = "second camera" }]
rerig = "8 min"
rerig_between = [["over", "hob", "6 min"]]
[hours]
latest_wrap = "18:00"
staffed = "08:00–19:00"
meal = "30 min within 6 h"
"""
SOUP = (
    "Chop | Chop the [beans]. | hands: 5 min | shot: over, hands, 3 takes, reset 2 min",
    "Fry | Fry. | hands: 4 min | uses: ring | shot: hob",
    "Simmer | Simmer. | leave: 20 min | check: every 10 min for 1 min | uses: ring | shot: hob, steam, 20 s action",
    "Blend | Blend. | hands: 2 min | uses: blender",
    "Rest | Let it rest. | leave: at least 5 min, at most 15 min | good for: 10 min | shot: lock-off",
    "Serve | Serve. | hands: 1 min | who: cook | shot: over, ladle",
)


def episode(folder: Path, *steps: str, kitchen: str = KITCHEN, more: str = "") -> Path:
    """Write an episode of one soup."""
    return write_episode(folder, {"soup": recipe("Soup", "- 500 g beans", *steps)}, kitchen=kitchen, more=more)


def tasks(folder: Path, *steps: str, kitchen: str = KITCHEN) -> tuple[PlanInput, dict[str, Activity]]:
    """Return the filmed plan and its activities by id."""
    plan_input = build_filmed_plan(load(episode(folder, *steps, kitchen=kitchen)).resolved)
    return plan_input, {item.id: item for item in plan_input.activities}


def planned(folder: Path, *steps: str, kitchen: str = KITCHEN, more: str = "") -> FilmedPlan:
    """Return the filmed day of one soup, sound."""
    found = plan_filmed_day(load(episode(folder, *steps, kitchen=kitchen, more=more)).resolved)
    assert found.result.schedule is not None
    assert verify(found.plan_input, found.result.schedule) == ()
    return found


def test_three_takes_last_three_times_the_minutes_and_two_resets(tmp_path: Path) -> None:
    """Rule T9: 3 x 5 + 2 x 2 = 19 minutes, the camera bound all the while."""
    chop = tasks(tmp_path, *SOUP)[1]["soup/chop#hands"]
    assert chop.long_s == 19 * 60
    assert chop.film is not None
    assert (chop.film.position, chop.film.takes, chop.film.resets_s) == ("over", 3, 240)


def test_the_presenter_is_in_the_picture_and_the_runner_helps_elsewhere(tmp_path: Path) -> None:
    """Filmed work is the presenter's, unfilmed work and look-ins the runner's too, never the camera operator's."""
    found = tasks(tmp_path, *SOUP)[1]
    assert found["soup/fry#hands"].workers == ("host",)
    assert found["soup/blend#hands"].workers == ("host", "runner")
    assert found["soup/simmer#leave"].workers == ("host", "runner")
    assert found["soup/serve#hands"].workers == ("host",)


def test_a_left_pot_has_a_recording_of_its_own(tmp_path: Path) -> None:
    """The simmering is filmed for a whole minute at some moment; a camera that runs alone records all of the rest."""
    found = tasks(tmp_path, *SOUP)[1]
    assert found["soup/simmer#leave"].film is None
    assert found["soup/simmer+shot"].long_s == 60
    rest = found["soup/rest#leave"].film
    assert rest is not None
    assert rest.camera == "second camera"


def test_a_blender_is_noisy_by_the_kitchen_file(tmp_path: Path) -> None:
    """The kitchen says that the blender is loud; the step need not."""
    found = tasks(tmp_path, *SOUP)[1]
    assert [name for name, item in found.items() if item.is_noisy] == ["soup/blend#hands"]


def test_re_rigs_between_named_positions_and_round_about(tmp_path: Path) -> None:
    """Over to hob takes its own 6 minutes; the second camera has nowhere to go and nobody at it."""
    plan_input, _ = tasks(tmp_path, *SOUP)
    first, second = plan_input.cameras
    assert first.move_s("over", "hob") == first.move_s("hob", "over") == 360
    assert (first.operator, second.operator, second.moves) == ("operator", "", ())


@pytest.mark.parametrize(
    ("crew", "operator"),
    [
        ('[[people]]\nname = "a"\n', "a"),
        ('[[people]]\nname = "a"\npresenter = true\n[[people]]\nname = "b"\n', "b"),
        ('[[people]]\nname = "a"\n[[people]]\nname = "c"\nrole = "helper"\n', "c"),
    ],
)
def test_who_runs_the_camera(tmp_path: Path, crew: str, operator: str) -> None:
    """Alone the presenter; else a helper, else the second cook."""
    kitchen = KITCHEN[KITCHEN.index("[hob]") :]
    plan_input, _ = tasks(tmp_path, *SOUP, kitchen=crew + kitchen)
    assert plan_input.cameras[0].operator == operator


def test_a_lone_presenter_can_film_a_day(tmp_path: Path) -> None:
    """
    Chop 19 (over), move 6, fry 4 (hob), simmer 20 with its picture, look-in, blend 2, rest 5, move, serve 1.

    Everything is the host's; the camera is moved back while the soup simmers: 19 + 6 + 4 + 20 + 2 + 5 + 1 = 57.
    """
    kitchen = '[[people]]\nname = "host"\npresenter = true\n' + KITCHEN[KITCHEN.index("[hob]") :]
    found = planned(tmp_path, *SOUP, kitchen=kitchen)
    assert found.result.schedule is not None
    assert found.result.schedule.makespan_s == 57 * 60
    assert found.result.bound_s == 57 * 60


def test_what_stays_good_for_ten_minutes_is_served_within_them(tmp_path: Path) -> None:
    """The rested soup is good for 10 minutes after its rest: a limit of the filmed day, with the line it stands on."""
    plan_input, _ = tasks(tmp_path, *SOUP)
    rule = next(lag for lag in plan_input.lags if "stays good for 10 min" in lag.rule)
    assert (rule.predecessor, rule.successor, rule.at_most_s) == ("soup/rest#leave", "soup/serve#hands", 600)


QUICK = (
    "Fry | Fry the [beans]. | hands: 4 min | uses: ring | shot: hob",
    "Season | Season. | hands: 1 min | after: Fry within 1 min | shot: hob",
    "Serve | Serve. | hands: 2 min | after: Season within 2 min | shot: over",
)


def test_a_shot_too_close_to_the_serving_is_picked_up(tmp_path: Path) -> None:
    """
    Re-rig 6: from frying (ends 0) to serving there are at most 1 + 1 + 2 = 4 minutes, so hob and over do not both go.

    Lightest: the serving is kept, frying (4) and seasoning (1) are picked up; served at 7, re-rig, then 4 + 1 again.
    """
    found = planned(tmp_path, *QUICK)
    assert [item.step for item in found.pick_ups] == ["fry", "season"]
    assert "re-rig (6 min)" in found.pick_ups[0].because
    assert found.result.schedule is not None
    assert found.result.schedule.makespan_s == (4 + 1 + 2 + 6 + 4 + 1) * 60


def test_a_pick_up_waits_for_the_pan_that_its_dish_was_held_in_and_for_its_washing(tmp_path: Path) -> None:
    """
    The only pan is held from frying to serving (0 to 7) and washed for 10: longer than the re-rig of 6.

    Frying again (4) and seasoning again (1) each take the washed pan, so 7 + 10, the first, 10 more, the second: 32.
    """
    fry, season, serve = QUICK
    steps = (f"{fry} | holds: pan", season, f"{serve} | frees: pan")
    found = planned(tmp_path, *steps, kitchen=KITCHEN + '[vessels]\npan = { count = 1, wash = "10 min" }\n')
    assert [item.step for item in found.pick_ups] == ["fry", "season"]
    assert found.result.schedule is not None
    assert found.result.schedule.makespan_s == (7 + 10 + 4 + 10 + 1) * 60


def test_no_pick_ups_where_the_kitchen_wants_none(tmp_path: Path) -> None:
    """With pick_ups = false the same day is impossible, and both shots and the limits are told."""
    kitchen = KITCHEN.replace('rerig = "8 min"', 'rerig = "8 min"\npick_ups = false')
    with pytest.raises(InfeasiblePlan) as caught:
        planned(tmp_path, *QUICK, kitchen=kitchen)
    text = "\n".join(conflict.rule for conflict in caught.value.conflicts)
    assert "soup: Serve is filmed from over" in text
    assert "soup: Fry is filmed from hob" in text
    assert "6 min of the re-rig" in text
    assert "within 2 min" in text or "at most 2 min" in text


def test_each_take_on_heat_needs_a_portion(tmp_path: Path) -> None:
    """Frying is filmed twice: two portions; chopping off the heat three times: the same board (rule T9)."""
    steps = (SOUP[0], SOUP[1].replace("shot: hob", "shot: hob, 2 takes"), SOUP[5])
    notes = planned(tmp_path, *steps).result.notes
    assert notes == ("soup: Fry has 2 takes: prepare a portion for each",)


def test_an_over_full_day_is_told_with_the_time_it_is_over(tmp_path: Path) -> None:
    """The soup's day cannot end by 09:30."""
    with pytest.raises(InfeasiblePlan) as caught:
        planned(tmp_path, *SOUP, more="latest wrap: 09:30")
    assert "by the latest wrap, 30 min after call" in str(caught.value)


def test_dishes_in_screen_order_where_asked(tmp_path: Path) -> None:
    """A long and a short dish: free, the short one may be served first; as on screen, it is not."""
    slow = recipe(
        "Slow",
        "- 500 g beans",
        "Boil | Boil the [beans]. | leave: 40 min | shot: none",
        "Slow plate | Plate. | hands: 2 min | who: host",
    )
    fast = recipe("Fast", "- 500 g flour", "Fast plate | Plate the [flour]. | hands: 2 min | shot: over")
    folder = write_episode(tmp_path, {"slow": slow, "fast": fast}, kitchen=KITCHEN, more="shooting order: as on screen")
    found = plan_filmed_day(load(folder).resolved)
    assert found.result.schedule is not None
    assert found.result.schedule.makespan_s == 44 * 60
    assert found.result.schedule.of("fast/fast-plate#hands").start_s == 42 * 60


def test_opening_link_and_closing_are_filmed_too() -> None:
    """Tuesday supper: opening, two links before their dish is begun, the closing after all three are served."""
    plan_input = build_filmed_plan(load("demo_episodes/tuesday-supper").resolved)
    rows = [item for item in plan_input.activities if item.recipe in ("opening", "link", "closing")]
    assert all(item.kind is ActivityKind.HANDS and item.workers == ("host",) for item in rows)
    assert {item.recipe for item in rows} == {"opening", "link", "closing"}
    last = next(item.id for item in rows if item.recipe == "closing")
    served = {lag.predecessor.split("/")[0] for lag in plan_input.lags if lag.successor == last}
    assert served == {"leek-bean-bake", "crumb-cabbage", "oat-crumble"}
    link = next(item.id for item in rows if item.recipe == "link")
    before = {lag.successor.split("/")[0] for lag in plan_input.lags if lag.predecessor == link}
    assert before == {"crumb-cabbage"}
