"""
Who works on a plan, and with which rings and ovens.

An episode's kitchen comes in; the people as workers, the rings and ovens go out, of the studio or of the home kitchen.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import time

from shootplan.model.clock import MINUTE
from shootplan.model.episode import Episode, Kitchen, Oven, Person
from shootplan.model.planning import Worker
from shootplan.model.recipe import Step
from shootplan.records import dataclass

__all__ = ["Setting", "make_setting", "seconds_of_day"]

_NIGHT_S = 24 * 3600


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """Who works and with what."""

    kitchen: Kitchen
    rings: int
    ovens: tuple[Oven, ...]
    workers: tuple[Worker, ...]
    cooks: tuple[str, ...]
    helpers: tuple[str, ...] = ()

    def may_do(self, step: Step) -> tuple[str, ...]:
        """Return the names of those who may do a step; where there is no helper, a cook helps."""
        who = step.who.casefold()
        if who == "helper":
            return self.helpers or self.cooks
        named = tuple(worker.name for worker in self.workers if worker.name.casefold() == who)
        return named or self.cooks


def make_setting(episode: Episode, *, cooks: int | None = None, home: bool = False) -> Setting:
    """
    Return the crew of the kitchen file, or ``cooks`` identical cooks (one in the home kitchen).

    Hours of a person outside the day that begins at call become time away; an end before call is not looked at.
    """
    kitchen = episode.kitchen
    rings = kitchen.home_rings if home else kitchen.hob.rings
    ovens = _home_ovens(kitchen) if home else kitchen.ovens
    crew = [person for person in kitchen.people if person.role == "cook"]
    if cooks is None and not home and crew:
        helpers = [person for person in kitchen.people if person.role == "helper"]
        workers = tuple(_worker(person, episode.call_time) for person in (*crew, *helpers))
        return Setting(
            kitchen=kitchen,
            rings=rings,
            ovens=ovens,
            workers=workers,
            cooks=tuple(person.name for person in crew),
            helpers=tuple(person.name for person in helpers),
        )
    names = tuple(f"cook {number}" for number in range(1, (cooks or 1) + 1))
    workers = tuple(Worker(name=name) for name in names)
    return Setting(kitchen=kitchen, rings=rings, ovens=ovens, workers=workers, cooks=names)


def _home_ovens(kitchen: Kitchen) -> tuple[Oven, ...]:
    known = kitchen.ovens or (Oven(),)
    more = [replace(known[0], name=f"{known[0].name} {number}") for number in range(2, kitchen.home_ovens + 1)]
    return (*known, *more)[: kitchen.home_ovens]


def _worker(person: Person, call: time) -> Worker:
    away: list[tuple[int, int]] = []
    if person.start is not None and seconds_of_day(person.start) > seconds_of_day(call):
        away.append((0, seconds_of_day(person.start) - seconds_of_day(call)))
    if person.end is not None and seconds_of_day(person.end) > seconds_of_day(call):
        away.append((seconds_of_day(person.end) - seconds_of_day(call), _NIGHT_S))
    return Worker(name=person.name, away=tuple(away))


def seconds_of_day(moment: time) -> int:
    """Return the seconds since midnight."""
    return moment.hour * 3600 + moment.minute * MINUTE + moment.second
