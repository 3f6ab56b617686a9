"""
What the board's page is told: plain values for JSON, every text as it stands in the user's files.

The episode, the latest plan of the rest and the ticks come in; a dictionary goes out. The page puts texts in as text,
never as markup.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from shootplan.board.store import UNDO, Tick
from shootplan.model.day import DayRow, RowKind
from shootplan.model.planning import SolveStatus
from shootplan.model.recipe import Step
from shootplan.model.replanning import Replan, Run, RunState
from shootplan.model.resolved import ResolvedEpisode
from shootplan.model.show import clock_text, minutes_text
from shootplan.problems import Problem
from shootplan.records import dataclass

__all__ = ["Wraps", "board_view", "last_tick", "with_states"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wraps:
    """
    The end of the whole plan and of each of several days, as it was first planned.

    A day on which nothing is done has ``None``; ``days_s`` is empty for a plan of one day.
    """

    whole_s: int
    days_s: tuple[int | None, ...] = ()


def board_view(
    resolved: ResolvedEpisode,
    answer: Replan,
    rows: Sequence[DayRow],
    runs: Sequence[Run],
    ticks: Sequence[Tick],
    *,
    morning: Wraps,
    problems: Sequence[Problem] = (),
) -> dict[str, Any]:
    """
    Return the day as the page shows it, times in seconds from call.

    Parameters
    ----------
    resolved
        The episode.
    answer
        The latest plan of the rest.
    rows
        The whole day by the clock, as of that plan.
    runs
        What can be begun and done.
    ticks
        All ticks of the day.
    morning
        The wraps of the plan that the day, or the first of several, began with.
    problems
        What is wrong with the files since they were last sound.
    """
    call = resolved.episode.call_time
    by_activity = {row.activities[0]: row for row in rows if row.kind is RowKind.STEP}
    states = dict(answer.states)
    return {
        "title": resolved.episode.title,
        "call": clock_text(call, 0),
        "call_s": call.hour * 3600 + call.minute * 60 + call.second,
        "wrap_s": answer.wrap_s,
        "morning_wrap_s": morning.whole_s,
        "days": _days(resolved, answer, morning),
        "is_planning": False,
        "is_proven": answer.status is SolveStatus.OPTIMAL,
        "steps": [
            _step(resolved, run, by_activity[run.activities[0]], answer, states[run.id])
            if run.activities[0] in by_activity
            else _break(run, answer, states[run.id])
            for run in runs
            if run.activities[0] in by_activity or _is_break(run, answer)
        ],
        "limits": [
            {"rule": limit.rule, "latest_s": limit.latest_s, "planned_s": limit.planned_s} for limit in answer.limits
        ],
        "broken": [
            {"rule": item.rule, "late": minutes_text(item.late_s) if item.late_s else ""} for item in answer.broken
        ],
        "notes": list(answer.notes),
        "last": last_tick(ticks),
        "problems": [f"{item.span}: {item.message}" for item in problems],
    }


def _days(resolved: ResolvedEpisode, answer: Replan, morning: Wraps) -> list[dict[str, Any]]:
    """Return the days of a plan over several days, in order; nothing for one of a single day."""
    names = [day.on for day in resolved.episode.days]
    call = resolved.episode.clock
    if len(names) != len(answer.days) or len(names) != len(morning.days_s):
        return []
    return [
        {
            "date": on.isoformat(),
            "weekday": clock_text(call, day.opens_s).split(" ")[-1],
            "opens_s": day.opens_s,
            "closes_s": closes_s,
            "wrap_s": day.wrap_s,
            "morning_wrap_s": planned_s,
        }
        for on, day, (_, closes_s), planned_s in zip(
            names, answer.days, resolved.episode.staffed_s, morning.days_s, strict=True
        )
    ]


def _step(resolved: ResolvedEpisode, run: Run, row: DayRow, answer: Replan, state: RunState) -> dict[str, Any]:
    step = _source(resolved, run)
    is_heat = any(part.kind == "heat" for part in row.parts)
    film = next((item.film for item in answer.plan_input.activities if item.id in run.activities and item.film), None)
    camera = step.shot.set_up if step is not None and step.shot is not None else ""
    if answer.plan_input.cameras:
        camera = film.position if film is not None else ""
    return {
        "run": run.id,
        "label": run.label.partition(": ")[2] or run.label,
        "recipe": _title(resolved, run.recipe),
        "state": state.value,
        "start_s": row.clock_s,
        "hands_until_s": row.hands_until_s,
        "end_s": row.end_s,
        "is_alone_after": row.is_alone_after,
        "is_alone": row.is_alone,
        "is_begun_by_hand": row.hands_until_s > row.clock_s or is_heat or film is not None,
        "who": row.who,
        "look_ins": [moment for moment in row.look_ins if moment >= answer.now_s - 60],
        "with": list(row.equipment),
        "camera": camera,
        "takes": film.takes if film is not None else 1,
        "until": step.until if step is not None else "",
        "caution": step.caution if step is not None else "",
        "may_swap": step is not None and step.may_swap_out is True,
    }


def _is_break(run: Run, answer: Replan) -> bool:
    return run.activities[0] in {meal.activity for meal in answer.plan_input.breaks}


def _break(run: Run, answer: Replan, state: RunState) -> dict[str, Any]:
    """Return the meal break as something that is begun and done like a step."""
    item = answer.schedule.of(run.activities[0])
    texts = dict.fromkeys(("recipe", "who", "camera", "until", "caution"), "")
    return {
        **texts,
        "run": run.id,
        "label": run.label,
        "state": state.value,
        "start_s": item.start_s,
        "hands_until_s": item.end_s,
        "end_s": item.end_s,
        "is_alone_after": False,
        "is_alone": False,
        "is_begun_by_hand": True,
        "look_ins": [],
        "with": [],
        "takes": 1,
        "may_swap": False,
    }


def _source(resolved: ResolvedEpisode, run: Run) -> Step | None:
    found = resolved.recipe(run.recipe)
    return found.recipe.step(run.step) if found is not None else None


def _title(resolved: ResolvedEpisode, recipe: str) -> str:
    found = resolved.recipe(recipe)
    return found.recipe.title if found is not None else recipe


def last_tick(ticks: Sequence[Tick]) -> dict[str, str] | None:
    """Return the latest tick that can be taken back, ``None`` if there is none."""
    gone = {tick.run for tick in ticks if tick.kind == UNDO}
    left = [tick for tick in ticks if tick.kind != UNDO and tick.id not in gone]
    return {"id": left[-1].id, "kind": left[-1].kind, "label": left[-1].label} if left else None


def with_states(view: Mapping[str, Any], states: Mapping[str, RunState]) -> dict[str, Any]:
    """Return a view at once after a tick, before the rest is planned again: states anew, times as they were."""
    steps = [{**step, "state": states.get(step["run"], RunState.AHEAD).value} for step in view["steps"]]
    return {**view, "steps": steps, "is_planning": True}
