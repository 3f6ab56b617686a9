"""
Why there is no plan: a smallest set of rules that clash, in the user's words, with the lines they stand on.

A ``PlanInput`` that cannot be planned and a test for that come in, ``Conflict`` values go out. Rules are taken away as
long as what is left still cannot be planned; what remains is needed in full.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from shootplan.model.planning import Activity, ActivityKind, PlanInput
from shootplan.model.show import clock_text
from shootplan.plan.graph import EdgeKind, PositiveCycle
from shootplan.problems import Conflict, Span
from shootplan.records import dataclass

__all__ = ["circle_conflicts", "conflicts_of", "cycle_conflicts", "obvious_conflicts"]


@dataclass(frozen=True, slots=True)
class _Rule:
    """Something that can be taken away from a plan: ``kind`` and ``key`` find it, the sentence is for the user."""

    kind: str
    key: tuple[str, ...]
    sentence: str
    span: Span | None = None


def obvious_conflicts(plan_input: PlanInput) -> tuple[Conflict, ...]:
    """Return what can be seen without planning: one step that needs more of something than there is."""
    found: list[Conflict] = []
    capacity = {resource.id: resource.capacity for resource in plan_input.resources}
    labels = {resource.id: resource.label or resource.id for resource in plan_input.resources}
    shelves = dict(plan_input.oven_shelves)
    for item in plan_input.activities:
        for name, count in item.needs:
            if item.long_s and count > capacity[name]:
                found.append(_too_few(_name(item), count, labels[name], capacity[name], item.span))
        if item.oven is not None and item.oven.heat and item.long_s:
            there = shelves.get(item.oven.oven, 1)
            if item.oven.shelves > there:
                label = f"shelf of the {item.oven.oven}"
                found.append(_too_few(_name(item), item.oven.shelves, label, there, item.span))
    for held in plan_input.occupations:
        if held.count > capacity[held.resource]:
            label = labels[held.resource]
            found.append(_too_few(held.label or held.id, held.count, label, capacity[held.resource], held.span))
    return tuple(found)


def _too_few(name: str, count: int, label: str, there: int, span: Span) -> Conflict:
    return Conflict(rule=f"{name} needs {count} × {label}, there {'is' if there == 1 else 'are'} {there}", span=span)


def circle_conflicts(plan_input: PlanInput, circle: Sequence[str]) -> tuple[Conflict, ...]:
    """Return the waits by which steps wait for one another in a circle: one for each step of it, in order."""
    found: list[Conflict] = []
    for before, after in zip(circle, [*circle[1:], *circle[:1]], strict=True):
        lag = next(lag for lag in plan_input.lags if (lag.predecessor, lag.successor) == (before, after))
        found.append(Conflict(rule=lag.rule or f"{after} waits for {before}", span=lag.span))
    return tuple(found)


def cycle_conflicts(plan_input: PlanInput, cycle: PositiveCycle) -> tuple[Conflict, ...]:
    """Return the rules of a chain that would have to lie after itself, in the order of the chain."""
    spans = {activity.id: activity.span for activity in plan_input.activities}
    found: list[Conflict] = []
    for edge in cycle.edges:
        span = edge.lag.span if edge.lag is not None else spans.get(edge.target.activity or edge.source.activity)
        if edge.kind is EdgeKind.DURATION:
            if edge.weight_s <= 0:
                continue
            sentence = f"{edge.reason} takes {_clock(edge.weight_s)}"
        elif edge.kind is EdgeKind.CALENDAR and edge.weight_s == 0:
            continue
        else:
            before, after = edge.source.activity, edge.target.activity
            sentence = edge.reason or f"{after} waits for {before}"
        conflict = Conflict(rule=sentence, span=span)
        if conflict not in found:
            found.append(conflict)
    return tuple(found)


def conflicts_of(plan_input: PlanInput, is_impossible: Callable[[PlanInput], bool]) -> tuple[Conflict, ...]:
    """
    Return a smallest set of rules that cannot all be kept: none of them can be left out.

    Parameters
    ----------
    plan_input
        A plan that ``is_impossible``.
    is_impossible
        Whether a plan certainly cannot be; where it does not know, a rule is kept.
    """
    coarse = _smallest(plan_input, list(_rules(plan_input)), is_impossible)
    base = _without(plan_input, [rule for rule in _rules(plan_input) if rule not in coarse])
    wholes = {
        "worker": _hands_rules,
        "resource": _resource_rules,
        "oven": _bake_rules,
        "camera": _film_rules,
        "noise": _noise_rules,
        "closed": _closed_rules,
    }
    fine = [rule for kind in wholes.values() for rule in kind(base)]
    kept = [rule for rule in coarse if rule.kind not in wholes or rule.kind in ("camera", "closed")]
    kept += _smallest(base, fine, is_impossible) if fine else []
    return tuple(Conflict(rule=rule.sentence, span=rule.span) for rule in kept)


def _smallest(plan_input: PlanInput, rules: Sequence[_Rule], is_impossible: Callable[[PlanInput], bool]) -> list[_Rule]:
    """Take rules away, half of them at a time at first, then singly, as long as no plan becomes possible."""
    kept = list(rules)
    size = max(1, len(kept) // 2)
    while True:
        start = 0
        while start < len(kept):
            tried = kept[:start] + kept[start + size :]
            if is_impossible(_without(plan_input, [rule for rule in rules if rule not in tried])):
                kept = tried
            else:
                start += size
        if size == 1:
            return kept
        size = max(1, size // 2)


# ---------------------------------------------------------------------------------------------------- what is a rule


def _rules(plan_input: PlanInput) -> Iterator[_Rule]:
    names = {activity.id: _name(activity) for activity in plan_input.activities}
    for number, lag in enumerate(plan_input.lags):
        sentence = lag.rule or f"{names[lag.successor]} waits for {names[lag.predecessor]}"
        yield _Rule("lag", (str(number),), sentence, lag.span)
    for activity in plan_input.activities:
        if activity.release_s:
            sentence = f"{_name(activity)} starts {_at(plan_input, activity.release_s)} or later"
            yield _Rule("release", (activity.id,), sentence, activity.span)
        if activity.deadline_s is not None:
            why = f": {activity.deadline_why}" if activity.deadline_why else ""
            sentence = f"{_name(activity)} is done {_at(plan_input, activity.deadline_s)}{why}"
            yield _Rule("deadline", (activity.id,), sentence, activity.span)
    if plan_input.horizon_s is not None:
        yield _Rule("horizon", (), _end(plan_input, plan_input.horizon_s))
    for since, till in plan_input.closed:
        sentence = f"nobody is there from {_at(plan_input, since)} to {_at(plan_input, till)}"
        yield _Rule("closed", (str(since),), sentence)
    for number, day_rule in enumerate(plan_input.day_rules):
        yield _Rule("day", (str(number),), day_rule.rule or f"{names[day_rule.other]} keeps its day", day_rule.span)
    for worker in plan_input.workers:
        for since, till in worker.away:
            sentence = f"{worker.name} is away from {_away(plan_input, since, till)}"
            yield _Rule("away", (worker.name, str(since)), sentence)
        yield _Rule("worker", (worker.name,), f"{worker.name} does one thing at a time")
    for resource in plan_input.resources:
        yield _Rule("resource", (resource.id,), f"there is {resource.capacity} × {resource.label or resource.id}")
    for oven in dict.fromkeys(item.oven.oven for item in plan_input.activities if item.oven is not None):
        yield _Rule("oven", (oven,), f"the {oven} has one temperature at a time")
    yield from _film_wholes(plan_input)


def _film_wholes(plan_input: PlanInput) -> Iterator[_Rule]:
    for camera in plan_input.cameras:
        moved = max([0, *(seconds for _, _, seconds in camera.moves)])
        words = f", and to move it takes up to {_clock(moved)}" if moved else ""
        yield _Rule("camera", (camera.name,), f"the {camera.name} is in one place at a time{words}")
    if any(item.is_noisy for item in plan_input.activities):
        yield _Rule("noise", (), "nothing noisy runs while a shot with sound is recorded")
    if plan_input.meal is not None and plan_input.breaks:
        length, within = _clock(plan_input.meal.length_s), _clock(plan_input.meal.within_s)
        yield _Rule("meal", (), f"a meal break of {length} begins within {within} of call (local law decides)")


def _film_rules(plan_input: PlanInput) -> Iterator[_Rule]:
    for item in plan_input.activities:
        if item.film is not None:
            yield _Rule("film", (item.id,), f"{_name(item)} is filmed from {item.film.position}", item.span)


def _noise_rules(plan_input: PlanInput) -> Iterator[_Rule]:
    for item in plan_input.activities:
        if item.is_noisy:
            yield _Rule("noise of", (item.id,), f"{_name(item)} is noisy", item.span)


def _closed_rules(plan_input: PlanInput) -> Iterator[_Rule]:
    for item in plan_input.activities if plan_input.closed else ():
        if not item.may_run_closed and item.long_s:
            words = "is not left overnight: its recipe does not say that it may" if _is_left(item) else "needs somebody"
            yield _Rule("stays", (item.id,), f"{_name(item)} {words}", item.span)


def _is_left(item: Activity) -> bool:
    return item.kind is ActivityKind.LEAVE and item.look_in is None


def _hands_rules(plan_input: PlanInput) -> Iterator[_Rule]:
    for item in plan_input.activities:
        if item.workers and (item.kind in (ActivityKind.HANDS, ActivityKind.WATCH) or item.look_in is not None):
            who = " or ".join(item.workers)
            doing = "looking in by" if item.look_in is not None else "the hands of"
            yield _Rule("hands of", (item.id,), f"{_name(item)} needs {doing} {who}", item.span)


def _resource_rules(plan_input: PlanInput) -> Iterator[_Rule]:
    resources = {resource.id: resource for resource in plan_input.resources}
    for item in plan_input.activities:
        for name, count in item.needs:
            sentence = f"{_name(item)} needs {count} of {_there(resources[name].capacity)} {_label(resources[name])}"
            yield _Rule("need", (item.id, name), sentence, item.span)
    for held in plan_input.occupations:
        resource = resources[held.resource]
        sentence = f"{held.label or held.id} holds {held.count} of {_there(resource.capacity)} {_label(resource)}"
        yield _Rule("held", (held.id,), sentence, held.span)


def _bake_rules(plan_input: PlanInput) -> Iterator[_Rule]:
    for item in plan_input.activities:
        if item.oven is not None:
            what = f"{item.oven.oven} at {item.oven.temperature_c} °C"
            yield _Rule("oven use", (item.id,), f"{_name(item)} needs the {what}", item.span)


def _there(capacity: int) -> str:
    return "only" if capacity == 1 else f"only {capacity}"


def _label(resource: object) -> str:
    return str(getattr(resource, "label", "") or getattr(resource, "id", ""))


# ---------------------------------------------------------------------------------------------------- taking away


def _without(plan_input: PlanInput, rules: Sequence[_Rule]) -> PlanInput:
    """Return the plan without some rules; each kind of rule is taken away so that only more plans become possible."""
    gone = {(rule.kind, rule.key) for rule in rules}
    activities = tuple(_loosened(item, gone) for item in plan_input.activities)
    heats = {item.id for item in activities if item.kind is ActivityKind.HEAT}
    activities = tuple(
        replace(item, oven=None) if item.oven is not None and item.oven.heat and item.oven.heat not in heats else item
        for item in activities
    )
    return replace(
        plan_input,
        activities=activities,
        lags=tuple(lag for number, lag in enumerate(plan_input.lags) if ("lag", (str(number),)) not in gone),
        occupations=tuple(
            held
            for held in plan_input.occupations
            if ("held", (held.id,)) not in gone and ("resource", (held.resource,)) not in gone
        ),
        workers=tuple(
            replace(
                worker,
                away=tuple(pair for pair in worker.away if ("away", (worker.name, str(pair[0]))) not in gone),
            )
            for worker in plan_input.workers
        ),
        horizon_s=None if ("horizon", ()) in gone else plan_input.horizon_s,
        meal=None if ("meal", ()) in gone else plan_input.meal,
        earlier_meals=() if ("meal", ()) in gone else plan_input.earlier_meals,
        closed=tuple(pair for pair in plan_input.closed if ("closed", (str(pair[0]),)) not in gone),
        day_rules=tuple(
            rule
            for number, rule in enumerate(plan_input.day_rules)
            if ("day", (str(number),)) not in gone and not (rule.is_apart and any(kind == "closed" for kind, _ in gone))
        ),
    )


def _loosened(item: Activity, gone: set[tuple[str, tuple[str, ...]]]) -> Activity:
    needs_nobody = ("hands of", (item.id,)) in gone or any(("worker", (name,)) in gone for name in item.workers)
    needs_no_oven = item.oven is not None and (("oven", (item.oven.oven,)) in gone or ("oven use", (item.id,)) in gone)
    changed = replace(
        item,
        workers=() if needs_nobody else item.workers,
        needs=tuple(
            (name, count)
            for name, count in item.needs
            if ("need", (item.id, name)) not in gone and ("resource", (name,)) not in gone
        ),
        release_s=0 if ("release", (item.id,)) in gone else item.release_s,
        deadline_s=None if ("deadline", (item.id,)) in gone else item.deadline_s,
        may_run_closed=item.may_run_closed or ("stays", (item.id,)) in gone,
        film=None if _is_unfilmed(item, gone) else item.film,
        is_noisy=item.is_noisy and not {("noise", ()), ("noise of", (item.id,))} & gone,
    )
    if not needs_no_oven:
        return changed
    if item.kind is ActivityKind.HEAT:
        return replace(changed, kind=ActivityKind.LEAVE, oven=None, short_s=0, long_s=0)
    return replace(changed, oven=None)


def _is_unfilmed(item: Activity, gone: set[tuple[str, tuple[str, ...]]]) -> bool:
    return item.film is None or bool({("film", (item.id,)), ("camera", (item.film.camera,))} & gone)


def _name(activity: Activity) -> str:
    return activity.label or activity.id


def _at(plan_input: PlanInput, seconds: int) -> str:
    """Return a moment: on the clock where the plan knows the calendar."""
    if plan_input.begins is not None:
        return clock_text(plan_input.begins, seconds)
    return f"{_clock(seconds)} into the day"


def _away(plan_input: PlanInput, since_s: int, till_s: int) -> str:
    if plan_input.begins is not None:
        return f"{_at(plan_input, since_s)} to {_at(plan_input, till_s)}"
    return f"{_clock(since_s)} to {_clock(till_s)} into the day"


def _end(plan_input: PlanInput, seconds: int) -> str:
    if plan_input.begins is not None:
        return f"everything is done by {_at(plan_input, seconds)}, when the last day ends"
    return f"everything is done within {_clock(seconds)}"


def _clock(seconds: int) -> str:
    minutes, rest = divmod(seconds, 60)
    return f"{minutes} min" if not rest else f"{minutes} min {rest} s"
