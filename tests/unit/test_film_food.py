"""
Limits of food safety on the shoot day, worked by hand; their figures against the shipped table.

Sources: UK Food Standards Agency (cooked rice: cool within 1 h; hot food below 63 °C one spell of 2 h; chilled food
above 8 °C one spell of 4 h), USDA FSIS Danger Zone (two hours in all), as in ``hazards.csv``.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from shootplan.app import load
from shootplan.model.planning import Assignment, Schedule
from shootplan.plan import solve
from shootplan.plan.film_food import COOKED_S, RICE_S, broken_food_limits, food_limits, tasting_limits
from shootplan.plan.film_planner import plan_filmed_day
from shootplan.plan.film_tasks import build_filmed_plan
from shootplan.plan.tasks import build_plan
from shootplan.problems import InfeasiblePlan
from tests.planning_helpers import recipe, write_episode

TABLE = Path("shootplan/data/tables/hazards.csv")
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
positions = ["over"]
"""
PRICES = """item,pack,price,date
rice,1000 g,3.20,2026-11-18
milk,1000 ml,1.00,2026-11-18
flour,1000 g,1.10,2026-11-18
yeast,100 g,1.10,2026-11-18
"""


def written(folder: Path, ingredients: str, *steps: str, limits: str = "caution") -> Path:
    """Write an episode of one dish."""
    kitchen = KITCHEN + f'[food]\nlimits = "{limits}"\n'
    return write_episode(folder, {"dish": recipe("Dish", ingredients, *steps)}, kitchen=kitchen, prices=PRICES)


RICE = (
    "Boil | Boil the [rice]. | leave: 12 min | uses: ring | until: soft | shot: none",
    "Wait | Do something else. | leave: at least 90 min | after: none | shot: none",
    "Dress | Dress it. | hands: 2 min | after: Boil, Wait | shot: over",
)


def test_the_figures_are_those_of_the_table() -> None:
    """Cooked rice 1 h, two hours on set: the limits column of the shipped table."""
    with TABLE.open(encoding="utf-8", newline="") as file:
        limits = {row["id"]: row["limits"] for row in csv.DictReader(file)}
    assert f"cool_h={RICE_S // 3600}" in limits["cooked_rice"].split(";")
    assert f"max_h={COOKED_S // 3600}" in limits["two_hours"].split(";")


def test_rice_that_waits_longer_than_an_hour_is_a_caution(tmp_path: Path) -> None:
    """Boiled 0-12, dressed at 90: 78 minutes; as a caution the plan stays and says so, with the publisher."""
    resolved = load(written(tmp_path, "- 500 g rice", *RICE)).resolved
    plan_input = build_filmed_plan(resolved)
    early = {"dish/boil#leave": (0, 12), "dish/wait#leave": (0, 90), "dish/dress#hands": (90, 92)}
    made = Schedule(
        assignments=tuple(Assignment(activity=k, pieces=((60 * a, 60 * b),)) for k, (a, b) in early.items())
    )
    told = broken_food_limits(food_limits(plan_input, resolved), made)
    assert len(told) == 1
    assert "cooked rice (UK Food Standards Agency); here it is 78 min" in told[0]


def test_as_a_rule_the_rice_is_boiled_later(tmp_path: Path) -> None:
    """With limits as rules at most 60 minutes pass: the rice is boiled from minute 18 on; wrap 92 as before."""
    found = plan_filmed_day(load(written(tmp_path, "- 500 g rice", *RICE, limits="rule")).resolved)
    assert found.result.schedule is not None
    assert found.result.schedule.makespan_s == 92 * 60
    assert found.result.schedule.of("dish/boil#leave").start_s >= 18 * 60
    assert not [note for note in found.result.notes if "caution" in note]


def test_a_rule_that_cannot_be_kept_is_told_with_its_publisher(tmp_path: Path) -> None:
    """The dish must stand 90 minutes after boiling: the hour for rice cannot be kept."""
    boiled = (
        "Boil | Boil the [rice]. | leave: 12 min | uses: ring | until: soft | shot: none",
        "Dress | Dress it. | hands: 2 min | after: Boil at least 90 min | shot: over",
    )
    with pytest.raises(InfeasiblePlan) as caught:
        plan_filmed_day(load(written(tmp_path, "- 500 g rice", *boiled, limits="rule")).resolved)
    assert "UK Food Standards Agency" in str(caught.value)


def test_cooked_food_counts_on_until_it_is_heated_again(tmp_path: Path) -> None:
    """Warm, tip, cover, boil again: all three lie within two hours of the warming; serving counts from the boiling."""
    steps = (
        "Warm | Warm the [milk]. | leave: 5 min | uses: ring | until: hot | shot: none",
        "Tip | Tip. | hands: 1 min | shot: none",
        "Cover | Cover. | hands: 1 min | shot: none",
        "Boil again | Boil. | leave: 5 min | uses: ring | until: hot | shot: none",
        "Serve | Serve. | hands: 1 min | shot: over",
    )
    resolved = load(written(tmp_path, "- 500 ml milk", *steps)).resolved
    limits = food_limits(build_filmed_plan(resolved), resolved)
    pairs = [(lag.predecessor.split("/")[1], lag.successor.split("/")[1]) for lag in limits]
    warmed = [after for before, after in pairs if before.startswith("warm")]
    assert warmed == ["tip#hands", "cover#hands", "boil-again#leave"]
    assert ("boil-again#leave", "serve#hands") in pairs


def test_bread_may_cool_on_the_bench(tmp_path: Path) -> None:
    """Yeast marks bread, to which the two hours do not apply."""
    steps = (
        "Mix | Mix the [flour] and the [yeast]. | hands: 5 min | shot: none",
        "Bake | Bake. | leave: 30 min | uses: ring | until: brown | shot: none",
        "Slice | Slice. | hands: 2 min | after: Bake | shot: over",
    )
    resolved = load(written(tmp_path, "- 500 g flour\n- 5 g yeast", *steps)).resolved
    assert food_limits(build_filmed_plan(resolved), resolved) == ()


# ---------------------------------------------------------------------------------------------------- on camera


def eaten_until(folder: Path, ingredients: str, *steps: str) -> tuple[int | None, str]:
    """Return until which minute a dish may be eaten and the step from which that counts."""
    resolved = load(written(folder, ingredients, *steps)).resolved
    plan_input = build_plan(resolved)
    schedule = solve(plan_input).schedule
    assert schedule is not None
    (found,) = tasting_limits(plan_input, schedule, resolved)
    return (found.until_s // 60 if found.until_s is not None else None), found.since


def test_hot_food_is_eaten_within_two_hours_of_its_last_heating(tmp_path: Path) -> None:
    """SOURCE: UK FSA, USDA FSIS. Warm 5, tip 1, boil again 5: off the heat at 11, so until 131."""
    steps = (
        "Warm | Warm the [milk]. | leave: 5 min | uses: ring | until: hot",
        "Tip | Tip. | hands: 1 min",
        "Boil again | Boil. | leave: 5 min | uses: ring | until: hot",
        "Serve | Serve. | hands: 1 min",
    )
    assert eaten_until(tmp_path, "- 500 ml milk", *steps) == (131, "Boil again")


def test_rice_is_eaten_within_an_hour_however_it_is_heated(tmp_path: Path) -> None:
    """SOURCE: UK FSA on rice. Boiled 12, fried with something else to 17: until 77, not 137."""
    steps = (
        "Boil | Boil the [rice]. | leave: 12 min | uses: ring | until: soft",
        "Fry | Fry. | hands: 5 min | uses: ring | until: hot",
        "Serve | Serve. | hands: 1 min",
    )
    assert eaten_until(tmp_path, "- 500 g rice", *steps) == (77, "Fry")


def test_chilled_food_out_of_the_cold_has_four_hours(tmp_path: Path) -> None:
    """SOURCE: UK FSA. Milk whisked in 3 minutes, never heated: until 243."""
    steps = ("Whisk | Whisk the [milk]. | hands: 3 min", "Serve | Serve. | hands: 1 min")
    assert eaten_until(tmp_path, "- 500 ml milk", *steps) == (243, "Whisk")


def test_of_dry_goods_no_limit_is_worked_out(tmp_path: Path) -> None:
    """Bread may stand: nothing is promised, nothing is limited."""
    steps = ("Mix | Mix the [yeast]. | hands: 3 min", "Bake | Bake. | leave: 30 min | uses: ring | until: brown")
    assert eaten_until(tmp_path, "- 5 g yeast", *steps) == (None, "")
