"""
``swap-outs:`` of an episode: the waits for which the shoot day has a duplicate ready.

"oat-crumble: Bake the crumble, leek-bean-bake: Bake" comes in, the steps named go out. What that saves or costs is
not known here.
"""

from __future__ import annotations

from shootplan.model.episode import SwapOut
from shootplan.model.recipe import Recipe, Step, When
from shootplan.problems import did_you_mean
from shootplan.read.claims import KnownRecipes
from shootplan.read.passage import Log, Passage
from shootplan.read.values import quoted

__all__ = ["read_swap_outs"]


def read_swap_outs(value: Passage, recipes: tuple[Recipe, ...], known: KnownRecipes, log: Log) -> tuple[SwapOut, ...]:
    """Return the steps that a list of "RECIPE: STEP" names, each once; a step's name alone will do if it is unique."""
    found: dict[tuple[str, str], SwapOut] = {}
    for piece in value.pieces(","):
        swap = _swap_out(piece, recipes, known, log)
        if swap is not None:
            found.setdefault((swap.recipe, swap.step), swap)
    return tuple(found.values())


def _swap_out(piece: Passage, recipes: tuple[Recipe, ...], known: KnownRecipes, log: Log) -> SwapOut | None:
    before, colon, _ = piece.text.partition(":")
    name = piece.part(len(before) + 1) if colon else piece
    if colon:
        place = piece.part(0, len(before))
        if not known.has(place.text, place.span(), log):
            return None
        recipes = tuple(recipe for recipe in recipes if recipe.id == place.text)
    steps = [(recipe, step) for recipe in recipes if (step := recipe.step(name.text)) is not None]
    if len(steps) == 1:
        recipe, step = steps[0]
        return SwapOut(recipe=recipe.id, step=step.id, span=piece.span()) if _may(step, name, log) else None
    if steps:
        hint = "write " + " or ".join(f'"{recipe.id}: {step.name}"' for recipe, step in steps)
        log.fault(name.span(), "swap-out-unknown", f"{quoted(name.text)} is a step of {len(steps)} recipes", hint)
    elif known.is_complete or colon:
        waits = [step.name for recipe in recipes for step in recipe.steps if _is_wait(step)]
        hint = did_you_mean(name.text[:80], waits) or "steps that are left alone: " + (", ".join(waits) or "none")
        log.fault(name.span(), "swap-out-unknown", f"there is no step {quoted(name.text)}", hint)
    return None


def _is_wait(step: Step) -> bool:
    return step.leave is not None and step.heats is None and step.when is not When.AHEAD and not step.is_optional


def _may(step: Step, name: Passage, log: Log) -> bool:
    """Whether a duplicate may stand in; if not, say why."""
    if step.may_swap_out is False:
        message = f'{quoted(step.name)} says "swap-out: no"'
        log.fault(name.span(), "swap-out-refused", message, "take it out of the list, or change the step")
        return False
    if not _is_wait(step):
        message = f"{quoted(step.name)} is no wait of the day that a duplicate could save"
        log.fault(name.span(), "swap-out-refused", message, "name a core step of the day that is left alone")
        return False
    return True
