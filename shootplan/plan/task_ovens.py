"""
Which oven each planned step heats or bakes in, and which heat each bake belongs to.

A scope and the ovens come in; an ``OvenState`` for each heating and baking step goes out, with the heats that nobody
wrote but the oven needs. When the heats happen is the planner's business.
"""

from __future__ import annotations

from dataclasses import field

from shootplan.model.episode import Oven
from shootplan.model.planning import OvenState
from shootplan.model.recipe import Equipment
from shootplan.plan.task_gear import is_oven
from shootplan.plan.task_scope import Key, Scope, ScopedStep
from shootplan.records import dataclass

__all__ = ["InsertedHeat", "OvenUse", "heat_id", "tie_ovens"]


def heat_id(key: Key) -> str:
    """Return the id of the activity that heats an oven at (or for) a step."""
    return f"{key[0]}/{key[1]}#heat"


@dataclass(frozen=True, slots=True, kw_only=True)
class InsertedHeat:
    """A heat that no step says: the oven is set to ``temperature_c`` for ``item``, in the kitchen's own time."""

    item: ScopedStep
    oven: Oven
    temperature_c: int


@dataclass(slots=True, kw_only=True)
class OvenUse:
    """The oven state of each heating step and of each baking step, and the heats to insert."""

    heating: dict[Key, OvenState] = field(default_factory=dict)
    baking: dict[Key, OvenState] = field(default_factory=dict)
    inserted: list[InsertedHeat] = field(default_factory=list)


def tie_ovens(scope: Scope, ovens: tuple[Oven, ...]) -> OvenUse:
    """
    Tie every baking step to a heat.

    In this order: the heat of about its temperature that its ``after`` names; the heat of the bake that it follows at
    once (the dial is turned, the food stays in, nothing waits); the recipe's heat of about its temperature; a heat
    inserted for the recipe and temperature. A step that heats the oven bakes nothing itself. Several ovens share the
    temperatures in order of appearance.
    """
    use = OvenUse()
    if not ovens:
        return use
    tie = _Tie(ovens, use)
    for item in scope.steps:
        if item.step.heats is not None:
            tie.heat(item, item.step.heats)
    for item in _in_order(scope):
        oven = next((piece for piece in item.step.uses if is_oven(piece, ovens)), None)
        if oven is not None and item.step.heats is None:
            tie.bake(item, oven)
    return use


def _in_order(scope: Scope) -> list[ScopedStep]:
    """Return the steps so that each comes after those it waits for where the list allows it."""
    placed: list[ScopedStep] = []
    keys: set[Key] = set()
    waiting = list(scope.steps)
    while waiting:
        ready = [item for item in waiting if all(link.predecessor in keys for link in item.links)]
        chosen = (ready or waiting)[0]
        placed.append(chosen)
        keys.add(chosen.key)
        waiting.remove(chosen)
    return placed


class _Tie:
    """Chooses oven and heat, step by step."""

    def __init__(self, ovens: tuple[Oven, ...], use: OvenUse) -> None:
        self._ovens = ovens
        self._use = use
        self._temperatures: list[int] = []

    def heat(self, item: ScopedStep, oven: Equipment) -> None:
        if oven.temperature_c is None:
            return
        chosen = self._choose(oven, oven.temperature_c)
        self._use.heating[item.key] = OvenState(oven=chosen.name, temperature_c=oven.temperature_c)

    def bake(self, item: ScopedStep, oven: Equipment) -> None:
        temperature_c = oven.temperature_c
        if temperature_c is None:
            return
        found = self._named(item, temperature_c) or self._followed(item) or self._own(item, temperature_c)
        name, heat = found or self._insert(item, oven, temperature_c)
        state = OvenState(oven=name, temperature_c=temperature_c, heat=heat, shelves=oven.shelves)
        self._use.baking[item.key] = state

    def _named(self, item: ScopedStep, temperature_c: int) -> tuple[str, str] | None:
        return self._nearest([link.predecessor for link in item.links], temperature_c)

    def _followed(self, item: ScopedStep) -> tuple[str, str] | None:
        for link in item.links:
            before = self._use.baking.get(link.predecessor)
            if before is not None and link.at_most_s == 0 and link.predecessor[0] == item.recipe.id:
                return before.oven, before.heat
        return None

    def _own(self, item: ScopedStep, temperature_c: int) -> tuple[str, str] | None:
        """Return the recipe's heat of about that temperature, one listed before the bake first, the nearest first."""
        numbers = {step.id: number for number, step in enumerate(item.recipe.steps)}
        here = numbers[item.step.id]
        keys = [key for key in self._use.heating if key[0] == item.recipe.id]
        keys.sort(key=lambda key: (numbers[key[1]] > here, abs(numbers[key[1]] - here)))
        written = self._nearest(keys, temperature_c)
        made = [heat for heat in self._use.inserted if heat.item.recipe.id == item.recipe.id]
        same = next((heat for heat in made if heat.temperature_c == temperature_c), None)
        return written or ((same.oven.name, heat_id(same.item.key)) if same is not None else None)

    def _nearest(self, keys: list[Key], temperature_c: int) -> tuple[str, str] | None:
        best: tuple[int, str, str] | None = None
        for key in keys:
            state = self._use.heating.get(key)
            if state is None:
                continue
            distance = abs(state.temperature_c - temperature_c)
            if distance <= self._tolerance(state.oven) and (best is None or distance < best[0]):
                best = (distance, state.oven, heat_id(key))
        return best[1:] if best is not None else None

    def _insert(self, item: ScopedStep, oven: Equipment, temperature_c: int) -> tuple[str, str]:
        chosen = self._choose(oven, temperature_c)
        self._use.inserted.append(InsertedHeat(item=item, oven=chosen, temperature_c=temperature_c))
        return chosen.name, heat_id(item.key)

    def _tolerance(self, name: str) -> int:
        return next(oven.tolerance_c for oven in self._ovens if oven.name == name)

    def _choose(self, equipment: Equipment, temperature_c: int) -> Oven:
        named = [oven for oven in self._ovens if oven.name.casefold() == equipment.kind.casefold()]
        if named and (len(self._ovens) == 1 or equipment.kind.casefold() != "oven"):
            return named[0]
        if temperature_c not in self._temperatures:
            self._temperatures.append(temperature_c)
        return self._ovens[self._temperatures.index(temperature_c) % len(self._ovens)]
