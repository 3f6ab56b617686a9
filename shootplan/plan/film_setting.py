"""
Who and what a filmed day has: cameras with their positions and moves, who runs them, who may be in the picture.

An episode's kitchen comes in; a ``FilmSetting`` goes out. Nothing is scheduled here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import product

from shootplan.model.clock import MINUTE
from shootplan.model.episode import Episode, Kitchen, Person
from shootplan.model.filming import Camera
from shootplan.model.planning import Worker
from shootplan.plan.task_people import Setting, make_setting, seconds_of_day
from shootplan.records import dataclass

__all__ = ["CAMERA_SKILL", "FilmSetting", "make_film_setting"]

#: The skill in ``kitchen.toml`` that makes somebody run the camera.
CAMERA_SKILL = "camera"


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmSetting:
    """
    The people of a filmed day and its cameras.

    ``presenters`` may be in the picture; ``hands`` do work that is not filmed. Who runs a camera does no kitchen work,
    unless nobody else is there for it.
    """

    setting: Setting
    cameras: tuple[Camera, ...]
    presenters: tuple[str, ...]
    hands: tuple[str, ...]
    positions: tuple[tuple[str, str], ...]

    def camera_at(self, position: str) -> tuple[Camera, str]:
        """Return the camera of a position and the position as the kitchen writes it; an unknown one is the first's."""
        key = position.casefold()
        for name, camera in self.positions:
            if name.casefold() == key:
                return next(item for item in self.cameras if item.name == camera), name
        return self.cameras[0], position


def make_film_setting(episode: Episode, positions: Sequence[str]) -> FilmSetting:
    """
    Return the setting of a filmed day.

    The camera is run by those with the skill "camera", else by the helpers, else by a second cook; a lone presenter
    runs it alone. A camera with one position needs nobody.

    Parameters
    ----------
    episode
        The episode with its kitchen.
    positions
        The positions that shots name, as written; one that the kitchen does not list belongs to the first camera.
    """
    kitchen = episode.kitchen
    cooks = [person for person in kitchen.people if person.role == "cook"] or [Person(name="cook", is_presenter=True)]
    presenters = [person for person in cooks if person.is_presenter] or cooks[:1]
    operators = _operators(kitchen, cooks, presenters)
    working = [person for person in cooks if person not in operators] or cooks
    helpers = [person for person in kitchen.people if person.role == "helper" and person not in operators]
    base = make_setting(episode)
    everybody = tuple(dict.fromkeys(person.name for person in (*working, *helpers, *operators)))
    setting = replace(
        base,
        workers=tuple(_within_hours(episode, worker) for worker in base.workers if worker.name in everybody),
        cooks=tuple(person.name for person in working),
        helpers=tuple(person.name for person in helpers or operators if person.role == "helper"),
    )
    listed = tuple((item.name, item.camera) for item in kitchen.positions)
    cameras = _cameras(kitchen, listed, positions, tuple(person.name for person in operators))
    return FilmSetting(
        setting=setting,
        cameras=cameras,
        presenters=tuple(person.name for person in presenters),
        hands=tuple(person.name for person in (*working, *helpers)),
        positions=listed,
    )


def _operators(kitchen: Kitchen, cooks: list[Person], presenters: list[Person]) -> list[Person]:
    skilled = [person for person in kitchen.people if CAMERA_SKILL in {skill.casefold() for skill in person.skills}]
    helpers = [person for person in kitchen.people if person.role == "helper"]
    second = [person for person in cooks if person not in presenters]
    return skilled or helpers[-1:] or second[-1:] or presenters[:1]


def _within_hours(episode: Episode, worker: Worker) -> Worker:
    """Nobody works after the kitchen's staffed hours."""
    until = episode.kitchen.staffed_until
    if until is None:
        return worker
    end_s = seconds_of_day(until) - seconds_of_day(episode.call_time)
    if end_s <= 0 or any(since <= end_s for since, _ in worker.away if since):
        return worker
    return replace(worker, away=(*worker.away, (end_s, max(24 * 3600, end_s + MINUTE))))


def _cameras(
    kitchen: Kitchen, listed: Sequence[tuple[str, str]], named: Sequence[str], operators: tuple[str, ...]
) -> tuple[Camera, ...]:
    names = list(dict.fromkeys(camera for _, camera in listed)) or ["camera"]
    known = {position.casefold() for position, _ in listed}
    others = [position for position in dict.fromkeys(named) if position.casefold() not in known]
    cameras = []
    for number, name in enumerate(names):
        places = [position for position, camera in listed if camera == name] + (others if number == 0 else [])
        moves = _shortest_moves(kitchen, places)
        operator = operators[number % len(operators)] if len(places) > 1 else ""
        cameras.append(Camera(name=name, moves=moves, operator=operator, ready_s=kitchen.set_up_s))
    return tuple(cameras)


def _shortest_moves(kitchen: Kitchen, places: Sequence[str]) -> tuple[tuple[str, str, int], ...]:
    """Return the re-rig seconds of every two positions, by way of a third where that is shorter (Floyd, Warshall)."""
    moves = {(one, other): kitchen.rerig_s for one, other in product(places, places) if one != other}
    spelling = {place.casefold(): place for place in places}
    for one, other, seconds in kitchen.rerig_between_s:
        first, second = spelling.get(one.casefold()), spelling.get(other.casefold())
        if first is not None and second is not None and first != second:
            moves[first, second] = moves[second, first] = seconds
    for via, one, other in product(places, places, places):
        if len({via, one, other}) == 3:
            moves[one, other] = min(moves[one, other], moves[one, via] + moves[via, other])
    return tuple((one, other, seconds) for (one, other), seconds in moves.items())
