"""The planner on published instances: every makespan is the published optimum, every schedule passes the verifier."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from psplib_reader import read_instance

from shootplan.model.planning import SolveStatus
from shootplan.plan import solve
from shootplan.plan.verify import verify
from shootplan.problems import InfeasiblePlan

HERE = Path(__file__).parent / "psplib"


def _instances() -> list[dict[str, str]]:
    with (HERE / "best_known.csv").open(newline="") as file:
        return list(csv.DictReader(file))


INSTANCES = _instances()


def _path(row: dict[str, str]) -> Path:
    return HERE / Path(row["file"]).relative_to("tests")


def test_the_set_is_the_published_one() -> None:
    """24 instances of PSPLIB j30 and 12 of ProGen/max, two of these infeasible, all closed."""
    families = [row["family"] for row in INSTANCES]
    assert (families.count("rcpsp"), families.count("rcpsp-max")) == (24, 12)
    assert sum(row["status"] == "infeasible" for row in INSTANCES) == 2
    assert all(row["status"] in ("optimal", "infeasible") for row in INSTANCES)


@pytest.mark.parametrize("row", INSTANCES, ids=lambda row: row["file"].removeprefix("tests/"))
def test_the_published_optimum_is_met(row: dict[str, str]) -> None:
    """Best-known bounds of PSPLIB, Ghent University and the tables named beside the data."""
    plan_input = read_instance(_path(row))
    if row["status"] == "infeasible":
        with pytest.raises(InfeasiblePlan) as caught:
            solve(plan_input)
        assert caught.value.conflicts
        return
    result = solve(plan_input)
    assert result.schedule is not None
    assert result.schedule.makespan_s == int(row["best_ub"])
    assert result.status is SolveStatus.OPTIMAL
    assert result.bound_s == int(row["best_lb"])
    assert verify(plan_input, result.schedule) == ()


def test_a_budget_that_is_too_small_gives_a_sound_plan_and_a_true_bound() -> None:
    """j3025_9 with next to no time: the published optimum lies between bound and plan, and no proof is claimed."""
    row = next(row for row in INSTANCES if row["file"].endswith("j3025_9.sm"))
    plan_input = read_instance(_path(row))
    result = solve(plan_input, budget=0.01)
    assert result.schedule is not None
    assert verify(plan_input, result.schedule) == ()
    assert result.status is SolveStatus.FEASIBLE
    assert result.bound_s <= int(row["best_ub"]) <= result.schedule.makespan_s
    assert result.gap_percent > 0
