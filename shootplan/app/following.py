"""
The plan that a day follows: cooked or filmed, built before or solved now, kept so that a restart finds the same.

A loaded episode and its folder come in; the planner's input with the schedule that everybody goes by goes out.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

from shootplan.app import Loaded, Solver, day_input
from shootplan.model.filming import PickUp
from shootplan.model.planning import Assignment, PlanInput, Schedule
from shootplan.problems import OutOfTime
from shootplan.records import dataclass

__all__ = ["Followed", "follow", "input_again", "schedule_of_text", "schedule_text"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Followed:
    """
    A day and the schedule that it goes by.

    Of a filmed day ``pick_ups`` are the shots taken later, and ``has_meal`` tells whether a break is planned.
    """

    plan_input: PlanInput
    schedule: Schedule
    is_filmed: bool = False
    pick_ups: tuple[PickUp, ...] = ()
    has_meal: bool = False


def follow(
    loaded: Loaded, folder: Path, *, is_filmed: bool = False, progress: Callable[[str], None] | None = None
) -> Followed:
    """
    Return the plan that the day follows: the one built or kept before if it still fits, else a new one.

    A cooked day is looked for in ``out/plan.json``, a filmed one in ``day-log/filmed-plan.json``, where it is kept.

    Raises
    ------
    InfeasiblePlan
        If no schedule keeps all rules.
    """
    if is_filmed:
        return _filmed(loaded, folder / "day-log" / "filmed-plan.json", progress)
    plan_input = day_input(loaded)
    schedule = _built(folder / "out" / "plan.json")
    if schedule is None or not _fits(plan_input, schedule):
        schedule = Solver(progress=progress)(plan_input).schedule
    if schedule is None:
        raise OutOfTime
    return Followed(plan_input=plan_input, schedule=schedule)


def input_again(loaded: Loaded, followed: Followed) -> PlanInput:
    """Return the planner's input of the same day with an episode that was read anew."""
    if not followed.is_filmed:
        return day_input(loaded)
    from shootplan.plan.film_planner import filmed_day_input

    return filmed_day_input(loaded.resolved, pick_ups=followed.pick_ups, has_meal=followed.has_meal)


def _fits(plan_input: PlanInput, schedule: Schedule) -> bool:
    from shootplan.plan.verify import verify

    return not verify(plan_input, schedule)


def _built(path: Path) -> Schedule | None:
    """Read the schedule of a built plan; whatever is wrong with the file, it is only not used."""
    try:
        day = json.loads(path.read_text(encoding="utf-8"))["day"]
        return Schedule(assignments=tuple(_assignment(item) for item in day["assignments"]))
    except (OSError, ValueError, KeyError, TypeError, IndexError, AttributeError):
        return None


def _assignment(item: dict[str, Any]) -> Assignment:
    return Assignment(
        activity=str(item["activity"]),
        pieces=tuple((int(start), int(end)) for start, end in item["pieces"]),
        worker=str(item["worker"]),
        look_ins=tuple((int(start), int(end), str(name)) for start, end, name in item["look_ins"]),
        units=tuple((str(name), int(number)) for name, number in item["units"]),
    )


# ---------------------------------------------------------------------------------------------------- the filmed day


def _filmed(loaded: Loaded, path: Path, progress: Callable[[str], None] | None) -> Followed:
    kept = _kept(loaded, path)
    if kept is not None:
        return kept
    from shootplan.app.film import film

    day = film(loaded, progress=progress)
    assert day.result.schedule is not None
    meal = day.plan_input.meal
    found = Followed(
        plan_input=day.plan_input,
        schedule=day.result.schedule,
        is_filmed=True,
        pick_ups=day.pick_ups,
        has_meal=meal is not None and bool(meal.activity),
    )
    path.parent.mkdir(parents=True, exist_ok=True)
    aside = path.with_suffix(".new")
    aside.write_text(_as_text(found), encoding="utf-8")
    aside.replace(path)
    return found


def _kept(loaded: Loaded, path: Path) -> Followed | None:
    """Return a kept filmed day if it is sound for the episode as it is now."""
    try:
        record = json.loads(path.read_text(encoding="utf-8"))
        pick_ups = tuple(PickUp(**item) for item in record["pick_ups"])
        schedule = Schedule(assignments=tuple(_assignment(item) for item in record["assignments"]))
        shell = Followed(
            plan_input=PlanInput(activities=()),
            schedule=schedule,
            is_filmed=True,
            pick_ups=pick_ups,
            has_meal=bool(record["has_meal"]),
        )
    except (OSError, ValueError, KeyError, TypeError, IndexError, AttributeError):
        return None
    found = replace(shell, plan_input=input_again(loaded, shell))
    return found if _fits(found.plan_input, schedule) else None


def _as_text(followed: Followed) -> str:
    record = {
        "schema_version": 1,
        "pick_ups": [
            {"recipe": p.recipe, "step": p.step, "label": p.label, "position": p.position, "because": p.because}
            for p in followed.pick_ups
        ],
        "has_meal": followed.has_meal,
        "assignments": _records(followed.schedule),
    }
    return json.dumps(record, ensure_ascii=False, indent=1, sort_keys=True) + "\n"


# ---------------------------------------------------------------------------------------------------- plans as text


def _records(schedule: Schedule) -> list[dict[str, Any]]:
    return [
        {
            "activity": item.activity,
            "pieces": item.pieces,
            "worker": item.worker,
            "look_ins": item.look_ins,
            "units": item.units,
        }
        for item in schedule.assignments
    ]


def schedule_text(schedule: Schedule) -> str:
    """Return a schedule as JSON."""
    return json.dumps(_records(schedule), ensure_ascii=False)


def schedule_of_text(text: str | None, plan_input: PlanInput) -> Schedule | None:
    """Return a schedule from its JSON if it speaks of the same activities as the plan, else ``None``."""
    try:
        schedule = Schedule(assignments=tuple(_assignment(item) for item in json.loads(text or "")))
    except (ValueError, KeyError, TypeError):
        return None
    same = {item.activity for item in schedule.assignments} == {item.id for item in plan_input.activities}
    return schedule if same else None
