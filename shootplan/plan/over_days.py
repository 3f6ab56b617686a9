"""
The plan of an episode over several days: what may stand overnight, what belongs to one day, what an earlier one does.

The plan of one long stretch of time comes in, the same with its closed times and the rules of its days goes out. What
nobody says that it keeps is finished on the day on which it is begun; what is left alone goes on through a closed time
only where the recipe allows it. Nothing is scheduled here.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import field, replace
from datetime import datetime
from itertools import pairwise

from shootplan.model.clock import Window
from shootplan.model.episode import Episode
from shootplan.model.planning import Activity, ActivityKind, Anchor, DayRule, Lag, PlanInput, Worker
from shootplan.model.recipe import Recipe, Step, When
from shootplan.model.resolved import ResolvedEpisode
from shootplan.model.show import minutes_text
from shootplan.plan.film_food import is_perishable
from shootplan.plan.film_tasks import OPENING
from shootplan.plan.prep_windows import chilled_s
from shootplan.plan.task_people import seconds_of_day
from shootplan.records import dataclass

__all__ = ["over_days"]


def over_days(
    plan_input: PlanInput,
    resolved: ResolvedEpisode,
    swapped: Collection[tuple[str, str]] = (),
    duplicates: Collection[Recipe] = (),
) -> PlanInput:
    """
    Return the plan with the closed times between the episode's days and what they ask.

    Parameters
    ----------
    plan_input
        The plan with the steps that are done ahead.
    resolved
        The episode; one of a single day is left as it is.
    swapped
        Recipe and step of the waits for which a duplicate stands ready: what leads to them is put away.
    duplicates
        The work of those that are made within the plan, which may be done in the evening.
    """
    episode = resolved.episode
    if not episode.days:
        return plan_input
    recipes = {item.id: item for item in (*(found.recipe for found in resolved.recipes), *duplicates)}
    steps = {(item.id, step.id): step for item in recipes.values() for step in item.steps}
    made = frozenset(item.id for item in duplicates)
    return _Days(plan_input, episode, steps, recipes, frozenset(swapped), made).plan()


@dataclass(slots=True)
class _Days:
    """Adds the rules of the days to a plan."""

    input: PlanInput
    episode: Episode
    steps: dict[tuple[str, str], Step]
    recipes: dict[str, Recipe]
    swapped: frozenset[tuple[str, str]]
    made: frozenset[str]
    keys: dict[str, tuple[str, str]] = field(default_factory=dict)
    before: dict[str, set[str]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.keys = {item.id: (item.recipe, item.step) for item in self.input.activities}
        for lag, before, after in self._waits(self.input):
            if lag.at_least_s is not None:
                self.before.setdefault(after.id, set()).add(before.id)

    def plan(self) -> PlanInput:
        staffed = self.episode.staffed_s
        activities = tuple(self._activity(item) for item in self.input.activities)
        changed = replace(self.input, activities=activities)
        return replace(
            changed,
            lags=(*(self._lag(lag) for lag in changed.lags), *self._keeping(changed)),
            workers=tuple(self._worker(worker) for worker in changed.workers),
            horizon_s=staffed[-1][1] - (self.episode.kitchen.strike_s if self.input.cameras else 0),
            closed=tuple((before[1], after[0]) for before, after in pairwise(staffed)),
            day_rules=tuple(dict.fromkeys((*self._links(changed), *_bakes(changed)))),
            begins=datetime.combine(self.episode.days[0].on, self.episode.days[0].opens),
        )

    def _step(self, activity: Activity) -> Step | None:
        return self.steps.get((activity.recipe, activity.step))

    def _activity(self, item: Activity) -> Activity:
        step = self._step(item)
        is_evening = self.episode.days[0].is_evening
        starts_s = self.episode.staffed_s[1][0] if is_evening else 0
        is_of_the_day = item.recipe not in (OPENING, *self.made) and (step is None or step.when is When.DAY)
        return replace(
            item,
            may_run_closed=step is not None and self._may_run_closed(item, step),
            release_s=max(item.release_s, starts_s) if is_of_the_day else item.release_s,
        )

    def _worker(self, worker: Worker) -> Worker:
        """Return somebody with their own hours on each of the days."""
        person = next((item for item in self.episode.kitchen.people if item.name == worker.name), None)
        away = []
        for day, (opens_s, closes_s) in zip(self.episode.days, self.episode.staffed_s, strict=True):
            midnight_s = opens_s - seconds_of_day(day.opens)
            if person is not None and person.start is not None:
                away.append((opens_s, min(midnight_s + seconds_of_day(person.start), closes_s)))
            if person is not None and person.end is not None:
                away.append((max(midnight_s + seconds_of_day(person.end), opens_s), closes_s))
        return replace(worker, away=tuple(pair for pair in away if pair[1] > pair[0]))

    # ------------------------------------------------------------------------------------------------ overnight

    def _may_run_closed(self, item: Activity, step: Step) -> bool:
        """Whether something left alone may go on overnight: as the recipe says, else a chosen wait off the heat."""
        if item.kind is not ActivityKind.LEAVE or item.look_in is not None or not item.long_s or "+" in item.id:
            return False
        is_hot = step.is_on_heat or item.oven is not None
        if is_hot or self._spoils(item):
            return is_hot and bool(step.may_stand_overnight) and bool(step.caution)
        if step.may_stand_overnight is not None:
            return step.may_stand_overnight
        return _has_most(step) or step.when is When.AHEAD

    def _spoils(self, item: Activity) -> bool:
        """Whether food that spoils would stand out of the cold: something cooked, or kept in the fridge before."""
        step = self._step(item)
        if step is None or chilled_s(step) is not None:
            return False
        return any(is_perishable(self.recipes[key[0]], self.steps[key]) for key in self._made_of(item))

    def _made_of(self, item: Activity) -> Iterator[tuple[str, str]]:
        """Yield the step of an activity and all steps of its recipe that it waits for."""
        seen, waiting = {item.id}, [item.id]
        while waiting:
            now = waiting.pop()
            key = self.keys[now]
            if key in self.steps:
                yield key
            before = {name for name in self.before.get(now, ()) if self.keys[name][0] == item.recipe} - seen
            seen |= before
            waiting += sorted(before)

    # ------------------------------------------------------------------------------------------------ what waits

    def _lag(self, lag: Lag) -> Lag:
        """Return a chosen wait's maximum as the cold makes it longer, where the recipe says so."""
        before = self._of(lag.predecessor)
        step = self._step(before)
        if lag.at_least_s is not None or lag.predecessor_anchor is not Anchor.START or step is None:
            return lag
        cold = chilled_s(step)
        if before.kind is not ActivityKind.LEAVE or cold is None or lag.at_most_s is None or cold <= lag.at_most_s:
            return lag
        return replace(lag, at_most_s=cold, rule=f"{lag.rule}, or {minutes_text(cold)} in the {step.ahead_place}")

    def _of(self, name: str) -> Activity:
        return next(item for item in self.input.activities if item.id == name)

    def _waits(self, plan_input: PlanInput) -> Iterator[tuple[Lag, Activity, Activity]]:
        """Yield each "starts after the end of" with its two activities; recordings go by what they record."""
        activities = {item.id: item for item in plan_input.activities}
        for lag in plan_input.lags:
            is_order = lag.predecessor_anchor is Anchor.END and lag.successor_anchor is Anchor.START
            is_shot = any("+" in name.rpartition("/")[2] for name in (lag.predecessor, lag.successor))
            if is_order and not is_shot and lag.at_least_s is not None and lag.at_least_s >= 0:
                yield lag, activities[lag.predecessor], activities[lag.successor]

    def _links(self, plan_input: PlanInput) -> Iterator[DayRule]:
        """Yield what is one day's work, and what is done on an earlier day than its use."""
        for lag, before, after in self._waits(plan_input):
            step, next_step = self._step(before), self._step(after)
            if step is not None and step.when is When.AHEAD and (next_step is None or next_step.when is not When.AHEAD):
                rule = f"{before.label} is done on an earlier day than {after.label}"
                yield DayRule(one=before.id, other=after.id, is_apart=True, rule=rule, span=step.place("when"))
                if self._spoils(before):
                    yield self._same_day(lag, before, after)
            elif not self._may_wait_overnight(before, after):
                yield self._same_day(lag, before, after)

    def _same_day(self, lag: Lag, before: Activity, after: Activity) -> DayRule:
        step = self._step(before)
        why = "which does not say that it keeps"
        if step is not None and (step.keeps_s is not None or step.when is When.AHEAD) and self._spoils(before):
            why = "cooked or chilled food, which stands overnight in the fridge or freezer only: it names no such place"
        rule = f"{after.label} is done on the day of {before.label}, {why}"
        return DayRule(one=before.id, other=after.id, rule=rule, span=step.span if step is not None else lag.span)

    def _may_wait_overnight(self, before: Activity, after: Activity) -> bool:
        step = self._step(before)
        is_put_away = (after.recipe, after.step) in self.swapped and before.recipe not in self.made
        if before.may_run_closed or is_put_away:
            return True
        is_inside = (before.recipe, before.step) == (after.recipe, after.step)
        if step is None or is_inside or self._spoils(before):
            return False
        return step.when is not When.DAY or step.keeps_s is not None

    def _keeping(self, plan_input: PlanInput) -> Iterator[Lag]:
        """Yield how long each thing keeps that is not used on its day; a chosen wait has its own maximum."""
        for lag, before, after in self._waits(plan_input):
            step = self._step(before)
            is_inside = (before.recipe, before.step) == (after.recipe, after.step)
            if step is None or step.keeps_s is None or is_inside or _has_most(step):
                continue
            if (after.recipe, after.step) not in self.swapped:
                rule = f"{after.label} starts at most {minutes_text(step.keeps_s)} after {step.name}: it keeps so long"
                yield replace(lag, at_least_s=None, at_most_s=step.keeps_s, rule=rule, span=step.place("keeps"))


def _bakes(plan_input: PlanInput) -> Iterator[DayRule]:
    """Yield that a bake goes into the oven on the day on which it is heated."""
    for item in plan_input.activities:
        if item.oven is not None and item.oven.heat:
            rule = f"{item.label} is baked on the day on which the {item.oven.oven} is heated for it"
            yield DayRule(one=item.oven.heat, other=item.id, rule=rule, span=item.span)


def _has_most(step: Step) -> bool:
    return isinstance(step.leave, Window) and step.leave.at_most_s is not None
