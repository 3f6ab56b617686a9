"""Small filmed days made in code, in minutes."""

from __future__ import annotations

from shootplan.model.filming import Camera, Film, Meal
from shootplan.model.planning import Activity, ActivityKind, Lag, PlanInput, Schedule, Worker
from shootplan.problems import Span

HOST = (Worker(name="host"),)


def camera(
    move: int = 8, *, operator: str = "", positions: tuple[str, ...] = ("over", "hob"), ready: int = 0
) -> Camera:
    """Return a camera that takes ``move`` minutes between any two positions."""
    moves = tuple((one, other, 60 * move) for one in positions for other in positions if one != other)
    return Camera(name="camera", moves=moves, operator=operator, ready_s=60 * ready)


def work(name: str, minutes: int, **fields: object) -> Activity:
    """Return hands-on work of the host, its name as label."""
    values: dict[str, object] = {
        "id": name, "label": name, "recipe": "dish", "step": name, "kind": ActivityKind.HANDS, "workers": ("host",),
        "short_s": 60 * minutes, "long_s": 60 * minutes, "span": Span("recipes/dish.md", 10 + len(name), 4, 9),
    }  # fmt: skip
    return Activity(**(values | fields))  # type: ignore[arg-type]


def shot(name: str, minutes: int, position: str, **fields: object) -> Activity:
    """Return filmed work of the host; ``sound`` says whether its sound is recorded."""
    has_sound = bool(fields.pop("sound", True))
    film = Film(camera="camera", position=position, has_sync_sound=has_sound)
    return work(name, minutes, **({"film": film} | fields))


def left(name: str, minutes: int, **fields: object) -> Activity:
    """Return something that is left alone."""
    return work(name, minutes, **({"kind": ActivityKind.LEAVE, "workers": ()} | fields))


def after(before: str, name: str, at_most: int | None = None, **fields: object) -> Lag:
    """Return "``name`` starts after ``before``", at most so many minutes later."""
    limit = None if at_most is None else 60 * at_most
    rule = f"{name} after {before}" + ("" if at_most is None else f" within {at_most} min")
    return Lag(predecessor=before, successor=name, at_most_s=limit, rule=rule, **fields)  # type: ignore[arg-type]


def day(*activities: Activity, lags: tuple[Lag, ...] = (), **fields: object) -> PlanInput:
    """Return a plan with one host and one camera."""
    values: dict[str, object] = {"workers": HOST, "cameras": (camera(),)}
    return PlanInput(activities=activities, lags=lags, **(values | fields))  # type: ignore[arg-type]


def meal(length: int, within: int, start: int = 0) -> Meal:
    """Return the rule of a meal break, not yet planned."""
    return Meal(activity="", length_s=60 * length, within_s=60 * within, from_s=60 * start)


def starts(schedule: Schedule) -> dict[str, int]:
    """Return the start of each activity in minutes."""
    return {item.activity: item.start_s // 60 for item in schedule.assignments}
