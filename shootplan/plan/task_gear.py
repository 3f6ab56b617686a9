"""
Equipment of the planned steps: counted needs, vessels held over several steps, and faults in naming them.

A scope and a kitchen come in; (resource, count) needs and holds go out. Ovens are in ``task_ovens``.
"""

from __future__ import annotations

from collections.abc import Iterator

from shootplan.model.episode import Kitchen, Oven, Vessel
from shootplan.model.planning import Resource
from shootplan.model.recipe import Equipment, Recipe, Step
from shootplan.model.resolved import ResolvedEpisode
from shootplan.plan.task_scope import Scope, ScopedStep
from shootplan.problems import Problem, Severity, did_you_mean
from shootplan.records import dataclass

__all__ = ["RING", "Hold", "check_equipment", "find_holds", "is_oven", "needs_of", "resource_of", "resources_of"]

#: The resource that stands for the rings of the hob.
RING = "ring"


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """
    A vessel that stays occupied from the start of ``first`` to the end of ``last``.

    ``is_from_before`` marks a vessel that an ahead step filled: it is occupied when the day begins.
    """

    equipment: Equipment
    first: ScopedStep
    last: ScopedStep
    is_from_before: bool = False


def is_oven(equipment: Equipment, ovens: tuple[Oven, ...]) -> bool:
    """Return whether a piece of equipment is an oven, by the word "oven" or by an oven's own name."""
    return _key(equipment.kind) in {"oven", *(_key(oven.name) for oven in ovens)}


def _key(kind: str) -> str:
    """Return a kind as it is compared: letters' case and a plain plural apart."""
    return kind.casefold().removesuffix("s")


def resource_of(equipment: Equipment, kitchen: Kitchen) -> str | None:
    """Return the id of the counted resource behind a piece of equipment, ``None`` for ovens and unknown names."""
    if is_oven(equipment, kitchen.ovens):
        return None
    if _key(equipment.kind) == RING:
        return RING
    vessel = _vessel(kitchen, equipment.kind)
    return vessel.name if vessel is not None else None


def _vessel(kitchen: Kitchen, kind: str) -> Vessel | None:
    """Find a vessel or tool by its name, "2 plates" being two of the kind "plate"."""
    return kitchen.vessel(kind) or next((item for item in kitchen.vessels if _key(item.name) == _key(kind)), None)


def resources_of(kitchen: Kitchen, rings: int) -> tuple[Resource, ...]:
    """Return the rings, then the vessels and tools in the kitchen file's order."""
    vessels = [Resource(id=item.name, capacity=item.count, label=item.name) for item in kitchen.vessels]
    return (Resource(id=RING, capacity=rings, label=RING), *vessels)


def find_holds(scope: Scope, recipe: Recipe) -> tuple[Hold, ...]:
    """
    Return the vessels that a recipe's planned steps keep occupied.

    Each ``frees`` ends the earliest open hold of its kind. What is never freed is held to the recipe's last step. If
    the freeing step is left out, the last planned step before it frees.
    """
    holds = [_hold(scope, recipe, *pair) for pair in _pairs(recipe)]
    return tuple(hold for hold in holds if hold is not None)


def needs_of(item: ScopedStep, holds: tuple[Hold, ...], scope: Scope, kitchen: Kitchen) -> tuple[tuple[str, int], ...]:
    """Return the (resource, count) pairs of a step, less what an open hold of its recipe already occupies."""
    needs: dict[str, int] = {}
    for use in item.step.uses:
        name = resource_of(use, kitchen)
        if name is not None:
            needs[name] = needs.get(name, 0) + use.count
    for hold in holds:
        name = resource_of(hold.equipment, kitchen)
        if name in needs and _spans(hold, item, scope):
            needs[name] -= hold.equipment.count
    return tuple((name, count) for name, count in needs.items() if count > 0)


def all_gear_of(item: ScopedStep, holds: tuple[Hold, ...], scope: Scope, kitchen: Kitchen) -> dict[str, int]:
    """Return resource → count of everything that a step works with, vessels held from before it included."""
    gear = dict(needs_of(item, (), scope, kitchen))
    held: dict[str, int] = {}
    for hold in holds:
        name = resource_of(hold.equipment, kitchen)
        if name is not None and _spans(hold, item, scope):
            held[name] = held.get(name, 0) + hold.equipment.count
    return gear | {name: max(count, gear.get(name, 0)) for name, count in held.items()}


def _spans(hold: Hold, item: ScopedStep, scope: Scope) -> bool:
    after_first = hold.is_from_before or scope.leads_to(hold.first.key, item.key)
    return after_first and scope.leads_to(item.key, hold.last.key)


def _pairs(recipe: Recipe) -> Iterator[tuple[Equipment, Step, Step | None]]:
    """Yield each hold with its first step and the step that frees it."""
    open_holds: list[tuple[Equipment, Step]] = []
    for step in recipe.steps:
        open_holds += [(equipment, step) for equipment in step.holds]
        for freed in step.frees:
            kind = _key(freed.kind)
            match = next((pair for pair in open_holds if _key(pair[0].kind) == kind), None)
            if match is not None:
                open_holds.remove(match)
                yield (*match, step)
    for equipment, step in open_holds:
        yield equipment, step, None


def _hold(scope: Scope, recipe: Recipe, equipment: Equipment, begun: Step, freed: Step | None) -> Hold | None:
    planned = scope.of_recipe(recipe.id)
    numbers = {step.id: number for number, step in enumerate(recipe.steps)}
    last_number = numbers[freed.id] if freed is not None else len(numbers)
    within = [item for item in planned if numbers[begun.id] <= numbers[item.step.id] <= last_number]
    if not within or (begun.is_optional and within[0].step is not begun):
        return None
    is_from_before = within[0].step is not begun
    return Hold(equipment=equipment, first=within[0], last=within[-1], is_from_before=is_from_before)


def check_equipment(resolved: ResolvedEpisode) -> tuple[Problem, ...]:
    """
    Return what is wrong with the equipment and people that steps name.

    Equipment that the kitchen does not have, an oven without a temperature, heating and
    baking in one step, ``frees`` of something not held, and a
    ``who`` that is nobody. Too much of something at once is the planner's to find.
    """
    kitchen = resolved.episode.kitchen
    found: list[Problem] = []
    for item in resolved.recipes:
        for step in item.recipe.steps:
            found += _step_problems(step, kitchen)
        found += _frees_without_hold(item.recipe)
    return tuple(found)


def _step_problems(step: Step, kitchen: Kitchen) -> Iterator[Problem]:
    heats = (step.heats,) if step.heats is not None else ()
    for equipment in (*step.uses, *step.holds, *heats):
        if not _is_known(equipment, kitchen):
            yield _unknown(equipment, kitchen)
        elif is_oven(equipment, kitchen.ovens) and equipment.temperature_c is None:
            yield Problem(
                span=equipment.span,
                code="oven-without-temperature",
                message=f'"{step.name}" names the oven without a temperature',
                hint=f'write "{equipment.kind} 180 °C"',
            )
    if step.heats is not None and any(is_oven(equipment, kitchen.ovens) for equipment in step.uses):
        yield Problem(
            span=step.place("uses"),
            code="heat-and-bake",
            message=f'"{step.name}" heats the oven and bakes in it',
            hint="write two steps: one with heats:, one after it with uses:",
        )
    if not _is_somebody(step.who, kitchen):
        known = ["cook", "helper", *(person.name for person in kitchen.people)]
        yield Problem(
            span=step.place("who"),
            code="person-unknown",
            message=f'"{step.who}" is nobody of the crew',
            hint=did_you_mean(step.who, known) or 'write "cook", "helper" or the name of somebody in kitchen.toml',
        )


def _is_known(equipment: Equipment, kitchen: Kitchen) -> bool:
    if _key(equipment.kind) == RING:
        return kitchen.hob.rings > 0
    if is_oven(equipment, kitchen.ovens):
        return bool(kitchen.ovens)
    return _vessel(kitchen, equipment.kind) is not None


def _is_somebody(who: str, kitchen: Kitchen) -> bool:
    return who.casefold() in {"", "cook", "helper", *(person.name.casefold() for person in kitchen.people)}


def _unknown(equipment: Equipment, kitchen: Kitchen) -> Problem:
    known = [vessel.name for vessel in kitchen.vessels]
    known += ["ring"] if kitchen.hob.rings else []
    known += [oven.name for oven in kitchen.ovens]
    place = kitchen.path or "kitchen.toml"
    return Problem(
        span=equipment.span,
        code="equipment-unknown",
        message=f'"{equipment.kind}" is not in the kitchen',
        hint=did_you_mean(equipment.kind, known) or f"add it to [vessels] or [tools] in {place}",
    )


def _frees_without_hold(recipe: Recipe) -> Iterator[Problem]:
    held: list[str] = []
    for step in recipe.steps:
        held += [_key(equipment.kind) for equipment in step.holds]
        for equipment in step.frees:
            if _key(equipment.kind) in held:
                held.remove(_key(equipment.kind))
                continue
            yield Problem(
                span=equipment.span,
                code="frees-without-hold",
                severity=Severity.WARNING,
                message=f'"{step.name}" frees "{equipment.kind}", which no step before it holds',
                hint=did_you_mean(equipment.kind, held)
                or f"write holds: {equipment.kind} at the step that first uses it",
            )
