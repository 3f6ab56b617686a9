"""
How long food may wait between steps on the shoot day: limits of food safety, each with its publisher.

A plan and its episode come in; time lags go out, which the planner of the filmed day keeps or whose breaking it only
tells, as the kitchen file says, and until when a dish may be eaten on camera. The figures are those of the larder's
``hazards.csv`` (tested against it); local rules override.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from shootplan.model.planning import Activity, Anchor, Lag, PlanInput, Schedule
from shootplan.model.prep import Tasting
from shootplan.model.recipe import Recipe, Step
from shootplan.model.resolved import ResolvedEpisode
from shootplan.plan.film_tasks import CLOSING
from shootplan.plan.task_lags import minutes
from shootplan.records import dataclass

__all__ = [
    "CHILLED",
    "COLD_S",
    "COOKED_S",
    "RICE_S",
    "broken_food_limits",
    "food_limits",
    "is_perishable",
    "tasting_limits",
]

#: Cooked food below 63 °C: one spell of at most two hours (UK Food Standards Agency; USDA FSIS, Danger Zone).
COOKED_S = 2 * 3600
#: Cooked rice goes on, or into the fridge, within one hour (UK Food Standards Agency advice on rice).
RICE_S = 3600
#: Chilled food above 8 °C: one spell of at most four hours (UK Food Standards Agency guidance).
COLD_S = 4 * 3600
_FSA = "UK Food Standards Agency"
_COOKED = f"cooked food below 63 °C ({_FSA}; USDA FSIS two-hour rule)"
_RICE = re.compile(r"\brice\b(?!\s+(?:vinegar|paper|noodle|flour|milk|wine|syrup))", re.I)
#: Foods that are kept chilled (common practice, no source).
CHILLED = re.compile(
    r"\b(?:milk|cream|eggs?|cheese|cheddar|feta|yogh?urt|chicken|turkey|mince|meat|beef|pork|lamb|ham|bacon|fish|salmon"
    r"|prawns?)\b",
    re.I,
)
#: What marks bread and the like, which may cool at room temperature (USDA FSIS, Danger Zone, names dry goods).
_BREAD = re.compile(r"\b(?:yeast|sourdough)\b", re.I)


@dataclass(frozen=True, slots=True)
class _Waiting:
    """The longest that what a step made may wait, why, and whether it counts on until it is heated again."""

    at_most_s: int
    why: str
    goes_on: bool


def food_limits(plan_input: PlanInput, resolved: ResolvedEpisode) -> tuple[Lag, ...]:
    """Return the limits on waiting of cooked food, rice, chilled food and served plates, in the order of the input."""
    reader = _Reader(plan_input, resolved)
    return tuple(dict.fromkeys([*reader.between_steps(), *reader.to_the_closing()]))


def broken_food_limits(limits: tuple[Lag, ...], schedule: Schedule) -> tuple[str, ...]:
    """Return a sentence for each limit that a plan breaks."""
    placed = {item.activity: item for item in schedule.assignments}
    sentences = []
    for lag in limits:
        waited = placed[lag.successor].start_s - placed[lag.predecessor].end_s
        if lag.at_most_s is not None and waited > lag.at_most_s:
            sentences.append(f"caution: {lag.rule}; here it is {minutes(waited)}: do not eat or keep it")
    return tuple(sentences)


def tasting_limits(plan_input: PlanInput, schedule: Schedule, resolved: ResolvedEpisode) -> tuple[Tasting, ...]:
    """
    Return until when each planned dish may be eaten on camera, in screen order.

    The clock of a dish begins when the first of its parts that is not heated again leaves the heat or the cold: food on
    a set is not held above 63 °C. A dish with cooked rice has the limit of rice. Dry goods, and dishes of nothing
    cooked or chilled, have none.
    """
    reader = _Reader(plan_input, resolved)
    found = (reader.tasting(item.id, schedule) for item in resolved.recipes)
    return tuple(item for item in found if item is not None)


class _Reader:
    """Finds what waits for what in a plan."""

    def __init__(self, plan_input: PlanInput, resolved: ResolvedEpisode) -> None:
        self._input = plan_input
        recipes = [item.recipe for item in resolved.recipes]
        self._steps = {(recipe.id, step.id): (recipe, step) for recipe in recipes for step in recipe.steps}
        self._keys = {item.id: (item.recipe, item.step) for item in plan_input.activities}
        self._labels = {item.id: item.label or item.id for item in plan_input.activities}
        self._next: dict[str, list[Lag]] = {}
        for lag in plan_input.lags:
            is_wait = lag.predecessor_anchor is Anchor.END and lag.successor_anchor is Anchor.START
            if is_wait and (lag.at_least_s or 0) >= 0 and "+" not in lag.successor:
                self._next.setdefault(lag.predecessor, []).append(lag)

    def between_steps(self) -> Iterator[Lag]:
        """Yield a limit for each step of a dish that follows another, up to the next that heats it."""
        for item in self._input.activities:
            known = self._steps.get(self._keys[item.id])
            waiting = _waiting(*known) if known is not None and "+" not in item.id else None
            if known is not None and waiting is not None:
                yield from self._limits(item.id, known, waiting)

    def _limits(self, first: str, known: tuple[Recipe, Step], waiting: _Waiting) -> Iterator[Lag]:
        recipe, step = known
        seen, queue = {first}, [(lag, lag.at_most_s) for lag in self._next.get(first, ())]
        while queue:
            lag, own_s = queue.pop(0)
            after = self._steps.get(self._keys[lag.successor])
            if after is None or after[0] is not recipe or lag.successor in seen:
                continue
            seen.add(lag.successor)
            if after[1] is not step and (own_s is None or own_s > waiting.at_most_s):
                rule = f"{self._labels[lag.successor]} starts at most {minutes(waiting.at_most_s)} after {step.name}"
                yield Lag(
                    predecessor=first,
                    successor=lag.successor,
                    at_most_s=waiting.at_most_s,
                    rule=f"{rule}: {waiting.why}",
                    span=step.span,
                )
            if after[1] is step or (waiting.goes_on and not after[1].is_on_heat):
                queue += [(later, None) for later in self._next.get(lag.successor, ())]

    def tasting(self, recipe_id: str, schedule: Schedule) -> Tasting | None:
        """Return the limit of one dish, ``None`` if it is not planned."""
        ends = {item.activity: item.end_s for item in schedule.assignments}
        own = [item for item in self._input.activities if item.recipe == recipe_id and "+" not in item.id]
        if not own:
            return None
        served_s = max(ends[item.id] for item in own)
        rices = (_waiting(*self._steps[key]) for key in self._steps if key[0] == recipe_id)
        rice = next((item for item in rices if item is not None and item.at_most_s == RICE_S), None)
        limits = []
        for item in own:
            known = self._steps.get(self._keys[item.id])
            waiting = _waiting(*known) if known is not None else None
            if known is not None and waiting is not None and not self._is_heated_again(item, known[1]):
                waiting = rice or waiting
                limits.append((ends[item.id] + waiting.at_most_s, ends[item.id], known[1].name, waiting.why))
        if not limits:
            return Tasting(recipe=recipe_id, served_s=served_s)
        until_s, since_s, since, why = min(limits)
        return Tasting(
            recipe=recipe_id, served_s=served_s, since_s=since_s, since=since, until_s=until_s, why=why
        )  # fmt: skip

    def _is_heated_again(self, item: Activity, step: Step) -> bool:
        """Whether what an activity makes comes on heat later, its own step's further parts included."""
        seen, queue = {item.id}, [item.id]
        while queue:
            for lag in self._next.get(queue.pop(0), ()):
                known = self._steps.get(self._keys[lag.successor])
                if lag.successor in seen or known is None or self._keys[lag.successor][0] != item.recipe:
                    continue
                if known[1] is step or known[1].is_on_heat:
                    return True
                seen.add(lag.successor)
                queue.append(lag.successor)
        return False

    def to_the_closing(self) -> Iterator[Lag]:
        """Yield the limit from serving a dish to the closing shot, in which it stands on the table."""
        for lag in self._input.lags:
            known = self._steps.get(self._keys[lag.predecessor])
            if self._keys[lag.successor][0] == CLOSING and known is not None and not _is_bread(known[0]):
                why = f"food on the set ({_FSA}; USDA FSIS two-hour rule)"
                words = f"comes at most {minutes(COOKED_S)} after {self._labels[lag.predecessor]}"
                yield Lag(
                    predecessor=lag.predecessor,
                    successor=lag.successor,
                    at_most_s=COOKED_S,
                    rule=f"{self._labels[lag.successor]} {words}: {why}",
                    span=lag.span,
                )


def _is_bread(recipe: Recipe) -> bool:
    return any(_BREAD.search(line.item) for line in recipe.lines)


def is_perishable(recipe: Recipe, step: Step) -> bool:
    """Return whether what a step makes may not stand out of the cold overnight: it is cooked, or of chilled food."""
    return _waiting(recipe, step) is not None


def _waiting(recipe: Recipe, step: Step) -> _Waiting | None:
    """Return how long what a step makes may wait."""
    mentioned = " ".join(mention.name for mention in step.mentions)
    if step.heats is not None:
        return None
    if step.is_on_heat and _RICE.search(mentioned):
        return _Waiting(RICE_S, f"cooked rice ({_FSA})", goes_on=False)
    if step.is_on_heat:
        return None if _is_bread(recipe) else _Waiting(COOKED_S, _COOKED, goes_on=True)
    if CHILLED.search(mentioned):
        return _Waiting(COLD_S, f"chilled food above 8 °C ({_FSA})", goes_on=False)
    return None
