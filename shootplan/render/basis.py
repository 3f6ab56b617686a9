"""
What every view needs: the publication, the printer of money, the call, and look-ups by id.

A ``Publication`` comes in; short texts and parts of it go out. Nothing is computed here.
"""

from __future__ import annotations

from dataclasses import field
from typing import Any

from shootplan.model.costing import RecipeCost
from shootplan.model.day import DayRow
from shootplan.model.episode import Episode
from shootplan.model.filled import FilledRecipe, FilledStep, FilledText
from shootplan.model.money import Cost
from shootplan.model.planning import PlanInput, Schedule
from shootplan.model.publication import Publication
from shootplan.model.recipe import Step
from shootplan.model.resolved import ResolvedRecipe
from shootplan.model.show import clock_text
from shootplan.records import dataclass
from shootplan.render.money import MoneyPrinter

__all__ = ["Basis", "step_name"]


@dataclass(frozen=True, slots=True)
class Basis:
    """A publication with the printer of its money."""

    publication: Publication
    printer: MoneyPrinter
    #: Costing sheets that were made: three documents print each.
    sheets: dict[str, Any] = field(default_factory=dict, compare=False, repr=False)

    @classmethod
    def of(cls, publication: Publication) -> Basis:
        """Return the basis of a publication; money is printed in its currency, decimals and locale."""
        costs, locale = publication.costs, publication.resolved.episode.locale
        return cls(publication, MoneyPrinter(costs.currency, locale, costs.places))

    @property
    def episode(self) -> Episode:
        """The episode as its author wrote it."""
        return self.publication.resolved.episode

    @property
    def recipes(self) -> tuple[ResolvedRecipe, ...]:
        """The resolved recipes in screen order."""
        return self.publication.resolved.recipes

    @property
    def dishes(self) -> tuple[ResolvedRecipe, ...]:
        """The recipes with costs of their own, in screen order."""
        return tuple(item for item in self.recipes if self.publication.costs.recipe(item.id) is not None)

    @property
    def crew_rows(self) -> tuple[DayRow, ...]:
        """The rows that the crew works by: those of the filmed day where cameras are planned."""
        filmed = self.publication.filmed
        return filmed.rows if filmed is not None else self.publication.day

    @property
    def crew_plan(self) -> tuple[PlanInput, Schedule | None]:
        """What the crew works by, as it was planned: with the cameras where they are planned."""
        day = self.publication.filmed
        if day is not None:
            return day.plan_input, day.result.schedule
        return self.publication.plan_input, self.publication.plan.schedule

    def title(self, recipe_id: str) -> str:
        """Return a recipe's title, or its id if there is no such recipe."""
        found = self.publication.resolved.recipe(recipe_id)
        return found.recipe.title if found is not None else recipe_id

    def clock(self, seconds: int) -> str:
        """Return the time of day so many seconds after call."""
        return clock_text(self.episode.clock, seconds)

    def cost(self, recipe_id: str) -> RecipeCost:
        """
        Return a recipe's cost.

        Raises
        ------
        KeyError
            If it has none.
        """
        found = self.publication.costs.recipe(recipe_id)
        if found is None:
            raise KeyError(recipe_id)
        return found

    def price(self, cost: Cost | None, recipe: RecipeCost) -> str:
        """Return a price of that recipe, led by "at least" while lines of it have no price."""
        return self.printer.money(cost, at_least=not recipe.is_complete)

    def filled(self, recipe_id: str) -> FilledRecipe:
        """Return the filled texts of a recipe; the author's own text where nothing was filled."""
        for item in self.publication.filled.recipes:
            if item.id == recipe_id:
                return item
        found = self.publication.resolved.recipe(recipe_id)
        if found is None:
            raise KeyError(recipe_id)
        recipe = found.recipe
        steps = tuple(FilledStep(id=step.id, text=FilledText(printed=step.text)) for step in recipe.steps)
        texts = (FilledText(printed=text) for text in (recipe.headnote, recipe.serve, recipe.keep, recipe.notes))
        headnote, serve, keep, notes = texts
        return FilledRecipe(id=recipe_id, headnote=headnote, serve=serve, keep=keep, notes=notes, steps=steps)

    def step(self, recipe_id: str, step_id: str) -> Step | None:
        """Return a step of a recipe by its id, or ``None``."""
        found = self.publication.resolved.recipe(recipe_id)
        return found.recipe.step(step_id) if found is not None else None


def step_name(label: str) -> str:
    """Return a plan label without the recipe's id before it: "Peel potatoes" of "leek-bean-bake: Peel potatoes"."""
    return label.partition(": ")[2] or label
