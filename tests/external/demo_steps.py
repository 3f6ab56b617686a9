"""Read ``demo_times/steps.txt`` into episodes: steps, kitchen and rules only, no ingredients (see SOURCE.md there)."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path

from shootplan.model.clock import Known, Range, Window
from shootplan.model.episode import Episode, Hob, Kitchen, Oven, PriceBook, Together, Vessel
from shootplan.model.recipe import After, Equipment, LookIn, Recipe, Serves, Step, When
from shootplan.model.resolved import ResolvedEpisode, ResolvedRecipe

TABLE = Path(__file__).with_name("demo_times") / "steps.txt"

SUPPER = ("leek-bean-bake", "crumb-cabbage", "oat-crumble")
WAITING = ("pea-soup", "rye-loaf", "cardamom-knots")
LUNCHES = ("fried-rice", "peanut-noodles", "bean-toast", "zucchini-fritters", "corn-chowder", "oat-pancakes")

_UNITS = {"": 60, "h": 3600, "d": 86400}
_PAN = Vessel(name="28 cm pan", count=1, wash_s=180)
KITCHENS = {
    SUPPER: Kitchen(hob=Hob(rings=4), ovens=(Oven(shelves=2, heat_up_s=Range(720, 900), change_s=300),)),
    WAITING: Kitchen(hob=Hob(rings=2), ovens=(Oven(shelves=1, tolerance_c=0, change_s=300),)),
    LUNCHES: Kitchen(hob=Hob(rings=2), ovens=(), vessels=(_PAN,)),
}
TOGETHER = {
    SUPPER: (
        Together(recipe="crumb-cabbage", other="leek-bean-bake", within_s=300),
        Together(recipe="oat-crumble", other="leek-bean-bake", within_s=1800, is_after=True),
    ),
}


def episode_of(recipes: tuple[str, ...], kitchen: Kitchen | None = None) -> ResolvedEpisode:
    """Return the demo episode that holds these recipes, in another kitchen if one is given."""
    return resolved(
        tuple(Recipe(id=name, title=name, serves=Serves(hearty=4), steps=_steps(name)) for name in recipes),
        kitchen or KITCHENS[recipes],
        TOGETHER.get(recipes, ()),
    )


def resolved(
    recipes: tuple[Recipe, ...], kitchen: Kitchen | None = None, together: tuple[Together, ...] = ()
) -> ResolvedEpisode:
    """Return an episode of these recipes with nothing but steps in it."""
    episode = Episode(
        title="Demo",
        shoot_date=date(2026, 11, 25),
        currency="GBP",
        recipes=recipes,
        kitchen=kitchen or Kitchen(),
        prices=PriceBook(),
        together=together,
    )
    return ResolvedEpisode(
        episode=episode, recipes=tuple(ResolvedRecipe(recipe=recipe, lines=()) for recipe in recipes)
    )


def steps_from(text: str) -> tuple[Step, ...]:
    """Return the steps of a small table in the form of ``steps.txt``."""
    lines = [line for line in text.splitlines() if "|" in line]
    return tuple(_step(number, line) for number, line in enumerate(lines, start=1))


def _steps(recipe: str) -> tuple[Step, ...]:
    block = TABLE.read_text(encoding="utf-8").split(f"# {recipe}\n")[1].split("\n#")[0]
    return steps_from(block)


def _step(number: int, line: str) -> Step:
    name, minutes, hands, gear, after, *flags = (part.strip() for part in line.split("|"))
    marks = set(" ".join(flags).split())
    equipment = {verb: tuple(_equipment(gear, verb)) for verb in ("uses", "holds", "frees", "heats")}
    time = _time(minutes)
    is_left = hands[0] in "UA"
    return Step(
        id=name,
        name=name,
        number=number,
        hands=None if is_left or not isinstance(time, Range) else time,
        leave=time if is_left else None,
        check=_look_in(hands),
        after=tuple(_after(after)) if after else None,
        uses=equipment["uses"],
        holds=equipment["holds"],
        frees=equipment["frees"],
        heats=next(iter(equipment["heats"]), None),
        is_optional="optional" in marks,
        when=When.AHEAD if "ahead" in marks else When.DAY,
        batches=next((int(mark[1:]) for mark in marks if mark[0] == "x"), 1),
        is_pausable=False if "whole" in marks else True if "pausable" in marks else None,
    )


def _time(text: str) -> Known:
    bounds = [int(number) * _UNITS[unit] for number, unit in re.findall(r"(\d+) ?([hd]?)", text)]
    if "≥" in text:
        return Window(bounds[0], bounds[1] if "≤" in text else None)
    return Range(bounds[0], bounds[-1])


def _look_in(text: str) -> LookIn | None:
    found = re.search(r"look (\d+)/(\d+)", text)
    return LookIn(every_s=int(found[2]) * 60, for_s=int(found[1]) * 60) if found else None


def _after(text: str) -> Iterator[After]:
    for part in text.split(","):
        name, _, limit = part.strip().partition(" within ")
        if name != "-":
            recipe, _, step = name.rpartition(":")
            yield After(step=step.strip(), recipe=recipe, at_most_s=int(limit) * 60 if limit else None)


def _equipment(text: str, wanted: str) -> Iterator[Equipment]:
    for part in filter(None, (piece.strip() for piece in text.split(";"))):
        verb, _, rest = part.partition(" ")
        if verb not in ("holds", "frees", "heats"):
            verb, rest = "uses", part
        oven = re.match(r"oven (\d+)", rest)
        if verb == wanted:
            yield Equipment(kind="oven", temperature_c=int(oven[1])) if oven else Equipment(kind=rest)
