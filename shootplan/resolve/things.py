"""
What a step can name in square brackets: ingredient lines and intermediate products, and how a name finds one.

A recipe comes in; things by name go out. A name finds by its exact id or name, else by words that only one thing
contains; nothing near is ever taken.
"""

from __future__ import annotations

from collections.abc import Iterable

from shootplan.model.quantity import Amount
from shootplan.model.recipe import Group, IngredientLine, Recipe, Step
from shootplan.records import dataclass
from shootplan.resolve.names import is_within, plain

__all__ = ["Found", "Thing", "find", "things_of"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Thing:
    """
    A line or a product that steps may use.

    ``measures`` are its whole amounts as typed, unscaled. ``makers`` are the steps that say they make it; ``group`` the
    sub-preparation it is.
    """

    key: str
    name: str
    line: IngredientLine | None = None
    measures: tuple[Amount, ...] = ()
    makers: tuple[Step, ...] = ()
    group: Group | None = None
    is_optional: bool = False

    @property
    def is_product(self) -> bool:
        """Whether it is made in the recipe rather than bought."""
        return self.line is None

    @property
    def may_be_left_over(self) -> bool:
        """Whether a part of it may stay unused: a sub-preparation's batch."""
        return self.group is not None and self.group.makes is not None


@dataclass(frozen=True, slots=True)
class Found:
    """The thing that a name means, or the candidates where it means several or none."""

    thing: Thing | None = None
    candidates: tuple[str, ...] = ()


def things_of(recipe: Recipe) -> tuple[Thing, ...]:
    """Return the lines in their order, then the sub-preparations, then what steps make."""
    lines = [_line_thing(recipe, line) for line in recipe.lines]
    groups = [_group_thing(recipe, group) for group in recipe.groups if group.makes is not None]
    taken = {plain(thing.name) for thing in groups}
    made: dict[str, list[Step]] = {}
    for step in recipe.steps:
        if step.makes and plain(step.makes) not in taken:
            made.setdefault(plain(step.makes), []).append(step)
    return (*lines, *groups, *(_made_thing(tuple(steps)) for steps in made.values()))


def _line_thing(recipe: Recipe, line: IngredientLine) -> Thing:
    measures = [measure for measure in (line.amount, line.second) if measure is not None and measure.high]
    if line.each is not None and line.amount is not None and not line.amount.is_range:
        measures.append(line.each.scaled(line.amount.high))
    group = next((group for group in recipe.groups if group.id == line.group), None)
    is_optional = line.is_optional or (group is not None and group.is_optional)
    return Thing(key=line.id, name=line.item, line=line, measures=tuple(measures), is_optional=is_optional)


def _group_thing(recipe: Recipe, group: Group) -> Thing:
    makers = tuple(step for step in recipe.steps if step.makes and plain(step.makes) == plain(group.title))
    measures = (group.makes,) if group.makes is not None else ()
    return Thing(
        key=group.id, name=group.title, measures=measures, makers=makers, group=group, is_optional=group.is_optional
    )


def _made_thing(steps: tuple[Step, ...]) -> Thing:
    amount = steps[0].makes_amount
    measures = (amount,) if amount is not None and amount.high > 0 else ()
    is_optional = all(step.is_optional for step in steps)
    name = steps[0].makes
    return Thing(key=plain(name), name=name, measures=measures, makers=steps, is_optional=is_optional)


def find(name: str, things: Iterable[Thing]) -> Found:
    """Return the one thing that a name means; otherwise the names of all it could mean (none: not known)."""
    known = tuple(things)
    for fits in (_has_id, _has_name, _contains):
        fitting = [thing for thing in known if fits(name, thing)]
        if len(fitting) == 1:
            return Found(fitting[0])
        if fitting:
            return Found(candidates=tuple(_unique_name(thing, fitting) for thing in fitting))
    return Found()


def _has_id(name: str, thing: Thing) -> bool:
    return name.casefold().strip() == thing.key.casefold()


def _has_name(name: str, thing: Thing) -> bool:
    return plain(name) == plain(thing.name)


def _contains(name: str, thing: Thing) -> bool:
    form = f" {thing.line.form}" if thing.line is not None else ""
    return is_within(name, thing.name) or (bool(form) and is_within(name, thing.name + form))


def _unique_name(thing: Thing, among: list[Thing]) -> str:
    """Return the thing's name, or its id where another of the candidates has the same name."""
    is_shared = sum(plain(other.name) == plain(thing.name) for other in among) > 1
    return thing.key if is_shared else thing.name
