"""
The book of facts: what each placeholder of a text stands for, in three forms.

Words between braces come in with the recipe and step they stand in; a ``Figure`` or a ``Missing`` (why not, and what to
write instead) goes out. It looks up; it computes no cost, amount or time.
"""

from __future__ import annotations

from collections.abc import Callable

from shootplan.facts.forms import Forms, amount_forms, joined, plain, verbatim
from shootplan.facts.names import find_names
from shootplan.facts.parts import StepShare, step_share
from shootplan.model.care import RecipeCare
from shootplan.model.clock import MINUTE, Range, Window, minutes_outward
from shootplan.model.costing import EpisodeCost, RecipeCost
from shootplan.model.filled import FilledText
from shootplan.model.money import Cost
from shootplan.model.quantity import COUNT
from shootplan.model.recipe import Step
from shootplan.model.resolved import ResolvedEpisode, ResolvedLine, ResolvedRecipe
from shootplan.model.show import range_text
from shootplan.model.times import EpisodeTimes, RecipeTimes
from shootplan.problems import did_you_mean
from shootplan.records import dataclass

__all__ = ["FactBook", "Figure", "Missing", "Place"]

_FORMS = ("metric", "household", "price", "name")
_STEP_NAMES = ("time", "oven", "until")
_RECIPE_NAMES = (
    "price",
    "price with options",
    "small price",
    "small price with options",
    "serves",
    "small serves",
    "active time",
    "waiting time",
    "elapsed time",
    "title",
)
_EPISODE_PRICES = ("total price", "total price with options", "average price", "average price with options")
_EPISODE_NAMES = (*_EPISODE_PRICES, "recipes", "active time", "waiting time", "elapsed time")
_UNTIMED = verbatim("(not timed)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A figure in three forms, what kind of caption it makes, and where it comes from in words."""

    text: FilledText
    kind: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Missing:
    """Why there is no figure: a code of ``problems.CODES``, a message, and what to write instead."""

    code: str
    message: str
    hint: str | None = None


@dataclass(frozen=True, slots=True)
class Place:
    """Where a placeholder stands: in the episode's texts, in a recipe, or in one of its steps."""

    recipe: ResolvedRecipe | None = None
    step: Step | None = None


Found = Figure | Missing


@dataclass(frozen=True, slots=True)
class FactBook:
    """
    Every figure of an episode by its name.

    Without ``times`` (a quick check) placeholders for times are known but say "(not timed)". ``care`` is what must be
    minded with each dish.
    """

    resolved: ResolvedEpisode
    costs: EpisodeCost
    times: EpisodeTimes | None = None
    care: tuple[RecipeCare, ...] = ()

    @property
    def forms(self) -> Forms:
        """How money and numbers look and sound in this episode."""
        return Forms.of(self.costs, self.resolved.episode.locale)

    def look_up(self, words: str, place: Place) -> Found:
        """Return the figure for the words between two braces."""
        words = " ".join(words.split())
        for search in (self._of_step, self._of_recipe, self._of_episode, self._of_other_recipe, self._of_line):
            found = search(words, place)
            if found is not None:
                return found
        names = self.names(place)
        hint = did_you_mean(words.partition(":")[0].strip(), names) or f"known here: {', '.join(names[:8])} …"
        return Missing(code="placeholder-unknown", message=f'nothing is called "{words}" here', hint=hint)

    def names(self, place: Place) -> tuple[str, ...]:
        """Return what may stand between braces at this place, figures' forms apart."""
        found = list(_STEP_NAMES if place.step is not None else ())
        if place.recipe is not None:
            found += [*_RECIPE_NAMES, *_things(place.recipe).values()]
        found += [*_EPISODE_NAMES, *(f"{recipe.id} price" for recipe in self.resolved.recipes)]
        return tuple(dict.fromkeys(found))

    # ------------------------------------------------------------------------------------------------ by place

    def _of_step(self, words: str, place: Place) -> Found | None:
        if place.step is None or place.recipe is None or words not in _STEP_NAMES:
            return None
        source = f"{place.recipe.id} {place.step.id} {words}"
        text = {"time": _step_time, "oven": self._oven, "until": _until}[words](place.recipe, place.step)
        if text is None:
            return _unknown_figure(f'the step "{place.step.name}" has no {words}')
        return Figure(text=text, kind="step", source=source)

    def _of_recipe(self, words: str, place: Place) -> Found | None:
        if place.recipe is None:
            return None
        return self._recipe_figure(words, place.recipe)

    def _of_other_recipe(self, words: str, _place: Place) -> Found | None:
        identifier, _, rest = words.partition(" ")
        recipe = self.resolved.recipe(identifier)
        return self._recipe_figure(rest.strip() or "title", recipe) if recipe is not None else None

    def _of_episode(self, words: str, _place: Place) -> Found | None:
        if words == "recipes":
            return Figure(text=self.forms.count(len(self.resolved.recipes)), kind="notice", source="episode recipes")
        if words in _EPISODE_PRICES:
            return self._total(words)
        if words in ("active time", "waiting time", "elapsed time"):
            return Figure(text=self._episode_time(words), kind="notice", source=f"episode {words}")
        return None

    def _of_line(self, words: str, place: Place) -> Found | None:
        if place.recipe is None:
            return None
        name, _, how = (part.strip() for part in words.partition(":"))
        if how and how not in _FORMS:
            message = f'"{how}" is not a form of a figure'
            return Missing(code="placeholder-unknown", message=message, hint=f"write one of {', '.join(_FORMS)}")
        share = step_share(name, place.recipe, place.step)
        if isinstance(share, StepShare):
            return self._line_figure(name, how, place.recipe, share)
        if not share:
            return None
        names = " or ".join(f'"{_things(place.recipe)[key]}"' for key in share)
        return Missing(
            code="placeholder-ambiguous", message=f'"{name}" may mean several ingredients', hint=f"write {names}"
        )

    # ------------------------------------------------------------------------------------------------ figures

    def _recipe_figure(self, words: str, recipe: ResolvedRecipe) -> Found | None:
        searches: tuple[Callable[[str, ResolvedRecipe], Found | None], ...] = (self._price, self._people, self._clock)
        for search in searches:
            found = search(words, recipe)
            if found is not None:
                return found
        return None

    def _price(self, words: str, recipe: ResolvedRecipe) -> Found | None:
        is_small = words.startswith("small price")
        if not (is_small or words.startswith("price")):
            return None
        costs = self.costs.recipe(recipe.id)
        if costs is None:
            return _unknown_figure(f'"{recipe.id}" has no cost')
        cost = _per_serving(words.removeprefix("small ").removeprefix("price").strip(), is_small, costs)
        if not isinstance(cost, Cost):
            return cost
        text = self.forms.price(cost, is_lower_bound=not costs.is_complete)
        return Figure(text=text, kind="price", source=f"{recipe.id} {words}")

    def _people(self, words: str, recipe: ResolvedRecipe) -> Found | None:
        source = f"{recipe.id} {words}"
        serves = recipe.recipe.serves
        if words == "title":
            return Figure(text=verbatim(recipe.recipe.title), kind="notice", source=source)
        if words == "serves":
            noun = "" if serves.noun == "servings" else serves.noun
            return Figure(text=self.forms.count(serves.hearty, noun), kind="notice", source=source)
        if words == "small serves":
            if serves.small is None:
                return _unknown_figure(f'"{recipe.id}" has no small servings')
            return Figure(text=self.forms.count(serves.small), kind="notice", source=source)
        return None

    def _clock(self, words: str, recipe: ResolvedRecipe) -> Found | None:
        if words not in ("active time", "waiting time", "elapsed time"):
            return None
        times = self.times.recipe(recipe.id) if self.times is not None else None
        text = _recipe_time(words, times) if times is not None else _UNTIMED
        return Figure(text=text, kind="notice", source=f"{recipe.id} {words}")

    def _oven(self, recipe: ResolvedRecipe, step: Step) -> FilledText | None:
        celsius = _oven_temperature(recipe, step)
        if celsius is None:
            return None
        ovens = self.resolved.episode.kitchen.ovens
        return self.forms.oven(celsius, ovens[0].fan_offset_c if ovens else 20)

    def _total(self, words: str) -> Found:
        """Return one serving of every recipe together, or the mean serving."""
        costs, with_options = self.costs, words.endswith("options")
        if words.startswith("average"):
            known = costs.average_with_options if with_options else costs.average_core
            cost = known or _sum_of_servings(costs, with_options).per(max(1, len(costs.recipes)))
        else:
            known = costs.head_with_options if with_options else costs.head_core
            cost = known or _sum_of_servings(costs, with_options)
        is_lower_bound = not all(recipe.is_complete for recipe in self.costs.recipes)
        text = self.forms.price(cost, is_lower_bound=is_lower_bound)
        return Figure(text=text, kind="total", source=f"episode {words}")

    def _episode_time(self, words: str) -> FilledText:
        if self.times is None:
            return _UNTIMED
        if words == "waiting time":
            return _outward(*sorted((self.times.hands_free_short_s, self.times.hands_free_long_s)))
        span = self.times.active if words == "active time" else self.times.elapsed
        return _outward(span.low_s, span.high_s)

    def _line_figure(self, name: str, how: str, recipe: ResolvedRecipe, share: StepShare) -> Found:
        source = f"{recipe.id} {name}"
        if how == "name":
            return Figure(text=verbatim(share.name), kind="ingredient", source=source)
        if how == "price":
            return self.line_price(name, recipe, share, source)
        words = share.name if "-" in name and name == share.key else name
        is_counted = share.line is not None and _is_counted(share.line)
        text = amount_forms(share.measured, words, how=how, is_counted=is_counted, is_american=self.forms.is_american)
        return Figure(text=text or verbatim(words), kind="ingredient", source=source)

    def line_price(self, name: str, recipe: ResolvedRecipe, share: StepShare, source: str) -> Found:
        """Return the price of the part of a line that is meant."""
        costs = self.costs.recipe(recipe.id)
        lines = costs.lines if costs is not None else ()
        cost = next((item.cost for item in lines if share.line and item.line.line.id == share.line.line.id), None)
        if cost is None:
            return _unknown_figure(f'the price of "{name}" is not known')
        return Figure(text=self.forms.price(cost.times(share.share)), kind="ingredient", source=source)


# ---------------------------------------------------------------------------------------------------- helpers


def _things(recipe: ResolvedRecipe) -> dict[str, str]:
    """Return what a recipe's texts may name: ids of lines and names of products, with their words."""
    found = {item.line.id: item.line.item for item in recipe.lines}
    return found | {product.name: product.name for product in recipe.products if product.name not in found}


def _is_counted(line: ResolvedLine) -> bool:
    amount = line.line.amount
    return amount is not None and amount.dimension == COUNT


def _unknown_figure(message: str) -> Missing:
    return Missing(code="figure-unknown", message=message)


def _per_serving(rest: str, is_small: bool, costs: RecipeCost) -> Cost | Missing:
    """Return the cost a serving with nothing, all options or one option (rule M4)."""
    if rest in ("", "with options"):
        servings = costs.with_options_per if rest else costs.core_per
        cost = servings.per_small if is_small else servings.per_hearty
        return cost if cost is not None else _unknown_figure(f'"{costs.recipe}" has no small servings')
    options = {item.line.line.id: item.line.line.item for item in costs.options}
    name = rest.removeprefix("with ")
    found = find_names(name, options)
    if len(found) == 1 and not is_small and rest.startswith("with "):
        return next(item.per_serving_with for item in costs.options if item.line.line.id == found[0])
    hint = did_you_mean(name, options.values()) or 'write "price", "price with options" or "price with" and one option'
    return Missing(code="placeholder-unknown", message=f'"{rest}" is no option of "{costs.recipe}"', hint=hint)


def _sum_of_servings(costs: EpisodeCost, with_options: bool) -> Cost:
    total = Cost.zero(costs.currency)
    for recipe in costs.recipes:
        total += (recipe.with_options_per if with_options else recipe.core_per).per_hearty
    return total


def _outward(low_s: int, high_s: int) -> FilledText:
    """Return a time as it is published, rounded outward to five minutes (rule T8)."""
    low, high = minutes_outward(low_s, high_s)
    return plain(range_text(low * MINUTE, high * MINUTE))


def _recipe_time(words: str, times: RecipeTimes) -> FilledText:
    span = {"active time": times.active, "waiting time": times.passive, "elapsed time": times.elapsed}[words]
    text = _outward(span.low_s, span.high_s)
    return joined("at least", text) if times.unknown else text


def _until(_recipe: ResolvedRecipe, step: Step) -> FilledText | None:
    return _plain_words(step.until) if step.until else None


def _plain_words(text: str) -> FilledText:
    """Return words of the author with figures said out."""
    figure = plain(text)
    return FilledText(printed=text, shown=text, spoken=figure.spoken)


def _step_time(_recipe: ResolvedRecipe, step: Step) -> FilledText | None:
    """Return the minutes of a step: its parts added up; a window chosen by us reads as its two limits."""
    leave = step.leave
    if isinstance(leave, Window) and step.hands is None and step.watch is None:
        if leave.at_most_s is None:
            return joined("at least", plain(range_text(leave.at_least_s, leave.at_least_s)))
        return plain(range_text(leave.at_least_s, leave.at_most_s))
    parts = [part for part in (step.hands, step.watch, leave) if part is not None]
    if not parts:
        return None
    total = Range(sum(part.low_s for part in parts), sum(part.high_s for part in parts))
    return plain(range_text(total.low_s, total.high_s))


def _oven_temperature(recipe: ResolvedRecipe, step: Step) -> int | None:
    """Return the temperature a step heats to or bakes at, else that of the last step before it with one."""
    for candidate in reversed(recipe.recipe.steps[: max(step.number, 1)]):
        for use in (candidate.heats, *candidate.uses, *candidate.holds):
            if use is not None and use.kind == "oven" and use.temperature_c is not None:
                return use.temperature_c
    return None
