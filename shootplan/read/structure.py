"""
What steps say about each other: names in ``after`` that exist, no step that waits for itself, cues and minutes.

Recipes come in, problems go out. Times are not added up and nothing is planned here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from shootplan.model.clock import Window
from shootplan.model.recipe import After, Recipe, RecipeKind, Step, When
from shootplan.problems import Span, did_you_mean
from shootplan.read.claims import KnownRecipes
from shootplan.read.passage import Log
from shootplan.read.values import quoted

__all__ = ["check_episode_links", "check_recipe"]

_TIMES = {"hands", "watch", "leave"}

Key = tuple[str, str]
#: What a step waits for: (recipe id, step id) and where that is written (``None``: nowhere, the step above).
Links = Mapping[Key, tuple[tuple[Key, Span | None], ...]]


def check_recipe(recipe: Recipe, log: Log) -> None:
    """Report what is wrong between the steps of one recipe; links to other recipes are left to the episode."""
    if not recipe.steps:
        _no_steps(recipe, log)
    for step in recipe.steps:
        _check_after(recipe, step, log)
        _check_times(step, log)
        _check_overnight(step, log)
    _check_cycles((recipe,), log)


def check_episode_links(recipes: tuple[Recipe, ...], known: KnownRecipes, log: Log) -> None:
    """Report ``after`` links between recipes that lead nowhere, and cycles that run through several recipes."""
    by_id = {recipe.id: recipe for recipe in recipes}
    for recipe in recipes:
        for step in recipe.steps:
            for after in step.after or ():
                if after.recipe:
                    _check_other(after, by_id, known, log)
    _check_cycles(recipes, log)


# ---------------------------------------------------------------------------------------------------- links


def _no_steps(recipe: Recipe, log: Log) -> None:
    what = "dish" if recipe.kind is RecipeKind.DISH else "sub-preparation"
    hint = 'write "## Method" and a numbered list: "1. **Name.** …"'
    log.fault(recipe.span, "method-missing", f"the {what} {quoted(recipe.title)} has no steps", hint)


def _check_after(recipe: Recipe, step: Step, log: Log) -> None:
    for after in step.after or ():
        if after.recipe and after.recipe != recipe.id:
            continue
        found = recipe.step(after.step)
        if found is None:
            _unknown(after, recipe, log, step)
        elif found is step:
            hint = 'name another step, or "none"'
            log.fault(after.span, "after-self", f"{quoted(step.name)} waits for itself", hint)


def _unknown(after: After, recipe: Recipe, log: Log, step: Step | None = None) -> None:
    names = [other.name for other in recipe.steps if other is not step]
    hint = did_you_mean(after.step[:100], names) or "steps are " + ", ".join(f'"{name}"' for name in names[:12])
    log.fault(after.span, "after-unknown", f"{recipe.id} has no step {quoted(after.step)}", hint)


def _check_other(after: After, by_id: Mapping[str, Recipe], known: KnownRecipes, log: Log) -> None:
    other = by_id.get(after.recipe)
    if other is None:
        known.has(after.recipe, after.span, log)
    elif other.step(after.step) is None:
        _unknown(after, other, log)


# ---------------------------------------------------------------------------------------------------- times and cues


def _check_times(step: Step, log: Log) -> None:
    if step.check is not None and step.leave is None:
        message = f"{quoted(step.name)} is looked in on but never left"
        log.fault(step.place("check"), "check-without-leave", message, 'add "leave:", or delete "check:"')
    if not step.has_time and step.heats is None and not _TIMES & {name for name, _ in step.field_spans}:
        log.doubt(
            step.span, "minutes-missing", f"{quoted(step.name)} has no minutes", 'add "hands:", "watch:" or "leave:"'
        )
    if _cooks(step) and not step.until:
        message = f"{quoted(step.name)} is on the heat and says no cue"
        log.doubt(step.span, "cue-missing", message, 'add "until:" with what is seen when it is done')


def _cooks(step: Step) -> bool:
    return any(use.kind == "ring" or use.temperature_c is not None for use in step.uses)


def _check_overnight(step: Step, log: Log) -> None:
    """Report what may not be left overnight, or does not say how long it may stand."""
    if not step.may_stand_overnight:
        return
    place = step.place("overnight")
    if step.leave is None or step.check is not None or step.heats is not None:
        hint = 'take "overnight:" out, or leave the step alone: "leave: at least 8 h, at most 12 h" without "check:"'
        log.fault(place, "overnight-bad", f"{quoted(step.name)} needs somebody while it goes on", hint)
    elif step.is_on_heat and not step.caution:
        message = f"{quoted(step.name)} would be on heat with nobody there"
        hint = 'take "overnight:" out, or write a "caution:" that says what makes it safe'
        log.fault(place, "overnight-bad", message, hint)
    elif step.keeps_s is None and not (isinstance(step.leave, Window) and step.leave.at_most_s is not None):
        message = f"{quoted(step.name)} does not say how long it may stand"
        hint = 'write "keeps: 24 h", or "leave: at least 8 h, at most 12 h"'
        log.fault(place, "overnight-bad", message, hint)


# ---------------------------------------------------------------------------------------------------- cycles


def _check_cycles(recipes: tuple[Recipe, ...], log: Log) -> None:
    """Report each cycle of waiting once; with several recipes only those that run through more than one."""
    links = _links(recipes)
    names = {(recipe.id, step.id): step.name for recipe in recipes for step in recipe.steps}
    for cycle in _cycles(links):
        if len(recipes) > 1 and len({recipe for recipe, _ in cycle}) == 1:
            continue
        chain = " waits for ".join(quoted(names[key]) for key in (*cycle, cycle[0]))
        log.fault(_where(cycle, links), "after-cycle", chain, 'take one of the names out of an "after:"')


def _links(recipes: tuple[Recipe, ...]) -> Links:
    by_id = {recipe.id: recipe for recipe in recipes}
    return {
        (recipe.id, step.id): tuple(_waits(recipe, at, by_id))
        for recipe in recipes
        for at, step in enumerate(recipe.steps)
    }


def _waits(recipe: Recipe, at: int, by_id: Mapping[str, Recipe]) -> Iterator[tuple[Key, Span | None]]:
    step = recipe.steps[at]
    if step.after is None:
        above = _above(recipe, at)
        if above is not None:
            yield (recipe.id, above.id), None
    for after in step.after or ():
        other = by_id.get(after.recipe) if after.recipe else recipe
        found = other.step(after.step) if other is not None else None
        if other is not None and found is not None and found is not step:
            yield (other.id, found.id), after.span


def _above(recipe: Recipe, at: int) -> Step | None:
    step = recipe.steps[at]
    fits = (
        s for s in reversed(recipe.steps[:at]) if s.is_optional <= step.is_optional and s.when in (When.DAY, step.when)
    )
    return next(fits, None)


def _cycles(links: Links) -> Iterator[tuple[Key, ...]]:
    """Yield cycles by a depth-first walk with its own stack; every step is in at most one that is yielded."""
    done: set[Key] = set()
    for start in links:
        path: list[Key] = []
        waiting: list[tuple[Key, bool]] = [(start, False)]
        while waiting:
            key, is_leaving = waiting.pop()
            if is_leaving:
                path.pop()
                done.add(key)
            elif key in done:
                continue
            elif key in path:
                yield tuple(path[path.index(key) :])
                done.update(path)
            else:
                path.append(key)
                waiting.append((key, True))
                waiting += [(before, False) for before, _ in reversed(links[key])]


def _where(cycle: tuple[Key, ...], links: Links) -> Span:
    """Where the first written link of a cycle stands."""
    members = set(cycle)
    spans = (span for key in cycle for before, span in links[key] if before in members and span is not None)
    return next(spans)
