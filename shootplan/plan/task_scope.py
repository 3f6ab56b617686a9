"""
Which steps a plan holds and which of them wait for which.

A resolved episode comes in; steps in scope with their links go out. Optional and ahead steps may be left out; what a
step left out waited for is handed on to the steps that waited for it. Equipment, people and time are not looked at.
"""

from __future__ import annotations

from dataclasses import field

from shootplan.model.recipe import Recipe, Step, When
from shootplan.problems import Span
from shootplan.records import dataclass

__all__ = ["Key", "Link", "Scope", "ScopedStep", "make_scope"]

#: Recipe id and step id.
Key = tuple[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """A step waits for ``predecessor``: its start is ``at_least_s`` to ``at_most_s`` seconds after that one's end."""

    predecessor: Key
    at_least_s: int = 0
    at_most_s: int | None = None
    span: Span = field(default_factory=lambda: Span("<made in code>"), compare=False, repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class ScopedStep:
    """A step that is planned, with the links to the planned steps that it waits for."""

    recipe: Recipe
    step: Step
    links: tuple[Link, ...] = ()

    @property
    def key(self) -> Key:
        """Recipe id and step id."""
        return (self.recipe.id, self.step.id)

    @property
    def label(self) -> str:
        """The step in the user's words: "leek-bean-bake: Peel potatoes"."""
        return f"{self.recipe.id}: {self.step.name}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Scope:
    """The planned steps, recipe by recipe in list order."""

    steps: tuple[ScopedStep, ...]

    def find(self, key: Key) -> ScopedStep | None:
        """Return the planned step of that key, or ``None``."""
        return next((item for item in self.steps if item.key == key), None)

    def of_recipe(self, recipe_id: str) -> tuple[ScopedStep, ...]:
        """Return a recipe's planned steps in list order."""
        return tuple(item for item in self.steps if item.recipe.id == recipe_id)

    def successors(self, key: Key) -> tuple[ScopedStep, ...]:
        """Return the steps that wait for this one directly."""
        return tuple(item for item in self.steps if any(link.predecessor == key for link in item.links))

    def leads_to(self, first: Key, last: Key) -> bool:
        """Return whether ``last`` is ``first`` or waits for it, directly or through other steps."""
        seen: set[Key] = set()
        waiting = [last]
        while waiting:
            key = waiting.pop()
            if key == first:
                return True
            item = self.find(key)
            if key not in seen and item is not None:
                seen.add(key)
                waiting += [link.predecessor for link in item.links]
        return False

    def final(self, recipe_id: str) -> ScopedStep | None:
        """Return the step that ends a recipe: the last one marked as serving, else the last planned one."""
        steps = self.of_recipe(recipe_id)
        serving = [item for item in steps if item.step.is_serving]
        last = serving or list(steps)
        return last[-1] if last else None


def make_scope(recipes: tuple[Recipe, ...], *, with_options: bool = False, include_ahead: bool = False) -> Scope:
    """
    Return the steps to plan, each with its links.

    Steps that are always done before the day (``When.AHEAD``) are in only with ``include_ahead``; steps that may be
    done before it are planned on the day. A missing ``after`` is the planned step above; an ``after`` that names a
    step left out becomes plain waiting for what that step waited for.
    """
    planned = {
        (recipe.id, step.id)
        for recipe in recipes
        for step in recipe.steps
        if (with_options or not step.is_optional) and (include_ahead or step.when is not When.AHEAD)
    }
    linker = _Linker(recipes, planned)
    steps = [
        ScopedStep(recipe=recipe, step=step, links=linker.links(recipe, step))
        for recipe in recipes
        for step in recipe.steps
        if (recipe.id, step.id) in planned
    ]
    return Scope(steps=tuple(steps))


class _Linker:
    """Finds what a step waits for among the planned steps."""

    def __init__(self, recipes: tuple[Recipe, ...], planned: set[Key]) -> None:
        self._recipes = {recipe.id: recipe for recipe in recipes}
        self._planned = planned

    def links(self, recipe: Recipe, step: Step) -> tuple[Link, ...]:
        if step.after is None:
            return self._step_above(recipe, step)
        found: list[Link] = []
        for after in step.after:
            other, named = self._named(recipe, after.recipe, after.step)
            if other is None or named is None or named is step:
                continue
            key = (other.id, named.id)
            if key in self._planned:
                link = Link(predecessor=key, at_least_s=after.at_least_s, at_most_s=after.at_most_s, span=after.span)
                found.append(link)
            else:
                found += self._handed_on(other, named, {key})
        return _without_repeats(found)

    def _named(self, recipe: Recipe, recipe_id: str, name: str) -> tuple[Recipe | None, Step | None]:
        other = self._recipes.get(recipe_id) if recipe_id else recipe
        return other, (other.step(name) if other is not None else None)

    def _step_above(self, recipe: Recipe, step: Step) -> tuple[Link, ...]:
        above = recipe.steps[: recipe.steps.index(step)]
        keys = [(recipe.id, item.id) for item in above if (recipe.id, item.id) in self._planned]
        return tuple(Link(predecessor=key, span=step.span) for key in keys[-1:])

    def _handed_on(self, recipe: Recipe, dropped: Step, seen: set[Key]) -> list[Link]:
        if dropped.after is None:
            return list(self._step_above(recipe, dropped))
        found: list[Link] = []
        for after in dropped.after:
            other, named = self._named(recipe, after.recipe, after.step)
            if other is None or named is None or (other.id, named.id) in seen:
                continue
            key = (other.id, named.id)
            if key in self._planned:
                found.append(Link(predecessor=key, span=after.span))
            else:
                found += self._handed_on(other, named, seen | {key})
        return found


def _without_repeats(links: list[Link]) -> tuple[Link, ...]:
    return tuple(dict.fromkeys(links))
