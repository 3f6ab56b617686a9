"""
What a producer asks of a filmed day that is planned: the takes there is time for, and the shots it does not take.

An episode, a filmed plan and its schedule come in, plain facts go out. Nothing is planned anew.
"""

from __future__ import annotations

from collections.abc import Iterator

from shootplan.model.filming import Film, Standing, TakesInTime, UntakenShot
from shootplan.model.planning import Activity, ActivityKind, Anchor, Assignment, Lag, PlanInput, Schedule
from shootplan.model.recipe import Step, When
from shootplan.model.resolved import ResolvedEpisode
from shootplan.plan.chain import slack

__all__ = ["standing", "takes_in_time", "untaken_shots"]

_BOUND = (ActivityKind.HANDS, ActivityKind.WATCH)
#: A limit that is further away than this leaves more takes than anybody makes.
_SOON_S = 3600
#: What stands for less between two steps is nobody's worry.
_STANDS_S = 3600


def untaken_shots(resolved: ResolvedEpisode, plan_input: PlanInput) -> tuple[UntakenShot, ...]:
    """Return the shots of the recipes that the plan does not record, in screen order, each with the reason."""
    taken = {(item.recipe, item.step) for item in plan_input.activities if item.film is not None}
    return tuple(
        UntakenShot(
            recipe=recipe.id,
            step=step.id,
            label=f"{recipe.id}: {step.name}",
            position=step.shot.set_up,
            framing=step.shot.framing,
            because=_why_untaken(step),
        )
        for recipe in (item.recipe for item in resolved.recipes)
        for step in recipe.steps
        if step.shot is not None and (recipe.id, step.id) not in taken
    )


def _why_untaken(step: Step) -> str:
    if step.when is When.AHEAD or (step.when is not When.DAY and step.is_optional):
        return "the step is done before the day" + (", if at all" if step.is_optional else "")
    if step.is_optional:
        return "the step is optional and not planned"
    return "a duplicate stands in for the step"


def standing(plan_input: PlanInput, schedule: Schedule) -> tuple[Standing, ...]:
    """
    Return what stands for an hour or more between two steps of its dish though no limit is said, the longest first.

    What no rule limits is planned when the camera is there: whether it can stand so long the recipe alone can say.
    """
    placed = {item.activity: item for item in schedule.assignments}
    steps = {item.id: (item.recipe, item.step) for item in plan_input.activities if "+" not in item.id and item.step}
    limited = {(lag.predecessor, lag.successor) for lag in plan_input.lags if lag.at_most_s is not None}
    labels = {item.id: item.label or item.id for item in plan_input.activities}
    found: dict[tuple[str, str], Standing] = {}
    for lag in plan_input.lags:
        is_next = (lag.predecessor_anchor, lag.successor_anchor) == (Anchor.END, Anchor.START) and lag.at_least_s == 0
        first, then = steps.get(lag.predecessor), steps.get(lag.successor)
        if not is_next or first is None or then is None or first[0] != then[0] or first == then:
            continue
        if (lag.predecessor, lag.successor) in limited:
            continue
        since_s, until_s = placed[lag.predecessor].end_s, placed[lag.successor].start_s
        if until_s - since_s >= _STANDS_S:
            label, after = labels[lag.predecessor], labels[lag.successor]
            found[first] = min(
                found.get(first, Standing(label=label, since_s=since_s, until_s=until_s, after=after)),
                Standing(label=label, since_s=since_s, until_s=until_s, after=after),
                key=lambda item: item.until_s,
            )
    return tuple(sorted(found.values(), key=lambda item: (item.since_s - item.until_s, item.label)))


def takes_in_time(resolved: ResolvedEpisode, plan_input: PlanInput, schedule: Schedule) -> tuple[TakesInTime, ...]:
    """
    Return for each shot of hands off the heat whose dish cannot wait how many takes there is time for, by the clock.

    The last take begins by the limit, which lies within the hour. On heat it is one take for each portion (rule T9), so
    such steps are left out, and those that can be done once only. A wait that lets nothing happen in between ("at
    once") limits no retake.
    """
    placed = {item.activity: item for item in schedule.assignments}
    steps = {(item.id, step.id): step for item in resolved.recipes for step in item.recipe.steps}
    room = slack(plan_input, schedule)
    found = []
    for item in plan_input.activities:
        step = steps.get((item.recipe, item.step))
        is_hands = item.kind in _BOUND and item.film is not None and "+" not in item.id
        if step is None or step.shot is None or not is_hands or step.is_on_heat or not step.shot.is_repeatable:
            continue
        limits = sorted(_limits(plan_input, placed, item))
        if limits and item.film is not None and limits[0][0] - placed[item.id].start_s <= _SOON_S:
            found.append(_takes(item, item.film, placed[item.id], limits[0], room[item.id]))
    return tuple(sorted(found, key=lambda entry: (entry.start_s, entry.activity)))


def _limits(plan_input: PlanInput, placed: dict[str, Assignment], item: Activity) -> Iterator[tuple[int, str]]:
    """Yield (latest start, rule) of each limit on waiting that an activity has to meet."""
    for lag in plan_input.lags:
        is_limit = lag.successor == item.id and lag.successor_anchor is Anchor.START and lag.at_most_s
        if is_limit and lag.at_most_s is not None:
            yield _counted_from(lag, placed) + lag.at_most_s, lag.rule


def _counted_from(lag: Lag, placed: dict[str, Assignment]) -> int:
    before = placed[lag.predecessor]
    return before.end_s if lag.predecessor_anchor is Anchor.END else before.start_s


def _takes(item: Activity, film: Film, own: Assignment, limit: tuple[int, str], room_s: int) -> TakesInTime:
    latest_s, rule = limit
    take_s = (own.end_s - own.start_s - film.resets_s) // film.takes
    each_s = take_s + film.reset_s
    return TakesInTime(
        activity=item.id,
        label=item.label or item.id,
        start_s=own.start_s,
        planned=film.takes,
        take_s=take_s,
        reset_s=film.reset_s,
        latest_s=latest_s,
        rule=rule,
        most=1 + max(0, latest_s - own.start_s) // each_s,
        most_in_wrap=film.takes + room_s // each_s,
    )
