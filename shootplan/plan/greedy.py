"""
List schedules: activities are placed one by one at the earliest moment that fits, in the order of a priority rule.

A ``PlanInput`` comes in, a ``Schedule`` or ``None`` goes out. Limits on waiting are kept by moving a predecessor later
and starting again (after Franck, Neumann and Schwindt 2001, OR Spektrum 23). It may fail where a plan exists, and
what it finds may be longer than need be; the solver is for that. Nothing is broken off here.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import field
from typing import NamedTuple

from shootplan.model.planning import Activity, ActivityKind, Assignment, Occupation, PlanInput, Schedule
from shootplan.plan.calendars import FOREVER_S, Counted, Person
from shootplan.plan.closed import Days
from shootplan.plan.graph import ORIGIN, EdgeKind, Event, Network, ends_of, network_of, starts_of
from shootplan.plan.orders import with_units
from shootplan.plan.ovens import Oven, Session, ovens_of
from shootplan.records import dataclass

__all__ = ["best_list_schedule", "list_schedule", "ordered_schedule"]

#: How often a list schedule, or one recipe of it, is begun again after a limit on waiting broke.
_RESTARTS = 40
_RESTARTS_OF_RECIPE = 150
#: How often a recipe is fitted in anew because a later one asks for it.
_ROUNDS = 12
#: Up to so many activities the solver is quicker than list schedules by further rules.
_SMALL = 80
#: How many orders of the recipes are tried.
_RECIPE_ORDERS = 4
_BUSY = (ActivityKind.HANDS, ActivityKind.WATCH)

Priority = Callable[[str], tuple[int, ...]]
#: Ids that are placed together, one group after the other.
Stages = tuple[tuple[str, ...], ...]


def list_schedule(plan_input: PlanInput) -> Schedule | None:
    """
    Return the plan of somebody who always begins the first thing of the list that can be begun.

    At each moment the first activity in the order of the input that is ready and fits is started (the list schedule of
    Graham 1969). ``None`` if that leads nowhere.
    """
    plan = _Plan.of(plan_input)
    order = {activity.id: number for number, activity in enumerate(plan_input.activities)}
    return _tried(plan, lambda name: (order[name],), is_by_clock=True)


def ordered_schedule(plan_input: PlanInput, rank: Mapping[str, int]) -> Schedule | None:
    """
    Return a plan in which each activity begins as early as those of lower rank allow, ``None`` if that leads nowhere.

    What has no rank comes last, in the order of the input.
    """
    plan = _Plan.of(plan_input)
    last = max(rank.values(), default=0) + 1
    order = {activity.id: number for number, activity in enumerate(plan_input.activities)}
    return _tried(plan, lambda name: (rank.get(name, last), order[name]), is_by_clock=False)


def best_list_schedule(plan_input: PlanInput, *, bound_s: int, seed: int = 0) -> Schedule | None:
    """
    Return the shortest of several list schedules; the first that meets ``bound_s`` ends the search.

    Rules: one recipe after the other, each fitted in around those before, the longest first, or without recipes the
    longest tail first. For large inputs also other orders of the recipes, or by the clock.
    """
    plan = _Plan.of(plan_input)
    best: Schedule | None = None
    for stages, priority, is_by_clock in _rules(plan, seed):
        found = _tried(plan, priority, is_by_clock=is_by_clock, stages=stages)
        if found is not None and (best is None or found.makespan_s < best.makespan_s):
            best = found
        if best is not None and best.makespan_s <= bound_s:
            break
    return best


def _rules(plan: _Plan, seed: int) -> Iterator[tuple[Stages, Priority, bool]]:
    """Yield the stages, priorities, the smallest first, and whether the clock comes before them."""
    order = {activity.id: number for number, activity in enumerate(plan.input.activities)}
    tails = {name: plan.tails[starts_of(name)] for name in order}
    is_small = len(order) <= _SMALL
    recipes = list(_recipe_stages(plan, tails, seed))
    for stages in recipes[:1] if is_small else recipes:
        yield stages, _by(tails, order), False
    if recipes:
        return
    whole = (tuple(order),)
    yield whole, _by(tails, order), False
    if is_small:
        return
    yield whole, _by(tails, order), True
    yield whole, lambda name: (order[name],), True


def _recipe_stages(plan: _Plan, tails: Mapping[str, int], seed: int) -> Iterator[Stages]:
    """Yield orders of the recipes, if there are several: the longest first, as in the input, then seeded ones."""
    recipes: dict[str, list[str]] = {}
    for activity in plan.input.activities:
        recipes.setdefault(activity.recipe, []).append(activity.id)
    if len(recipes) < 2:
        return
    names = sorted(recipes, key=lambda recipe: -max(tails[name] for name in recipes[recipe]))
    yield tuple(tuple(recipes[name]) for name in names)
    yield tuple(tuple(steps) for steps in recipes.values())
    chance = random.Random(seed)
    for _ in range(_RECIPE_ORDERS - 2):
        chance.shuffle(names)
        yield tuple(tuple(recipes[name]) for name in names)


def _by(weight: Mapping[str, int], order: Mapping[str, int]) -> Priority:
    return lambda name: (-weight[name], order[name])


def _tried(plan: _Plan, priority: Priority, *, is_by_clock: bool, stages: Stages | None = None) -> Schedule | None:
    """Build a schedule; where a later stage asks an earlier one to begin later, begin again."""
    floors: dict[str, int] = {}
    for _ in range(_ROUNDS):
        run = _Run(plan, priority, is_by_clock, stages or (tuple(plan.activities),), dict(floors))
        outcome = run.build()
        if isinstance(outcome, Schedule) or outcome is None:
            return outcome
        floors[outcome.activity] = max(floors.get(outcome.activity, 0), outcome.from_s)
    return None


# ---------------------------------------------------------------------------------------------------- what stays


class _TooEarly(NamedTuple):
    """An activity that must start later than it was placed, for a limit's sake."""

    activity: str
    from_s: int


#: Nothing that begins later can help.
_NO_WAY = _TooEarly("", 0)


@dataclass(frozen=True, slots=True)
class _Plan:
    """The input with what every run needs of it."""

    input: PlanInput
    activities: Mapping[str, Activity]
    network: Network
    earliest: Mapping[Event, int]
    tails: Mapping[Event, int]
    before: Mapping[str, frozenset[str]]
    ovens: tuple[Oven, ...]
    end_cap_s: int
    days: Days
    taken: Mapping[str, tuple[Occupation, ...]]
    freed: Mapping[str, tuple[Occupation, ...]]
    limited: Mapping[str, frozenset[str]]

    @classmethod
    def of(cls, plan_input: PlanInput) -> _Plan:
        network = network_of(plan_input)
        earliest, _ = network.earliest()
        tails = network.tails(plan_input.activities)
        return cls(
            input=plan_input,
            activities={activity.id: activity for activity in plan_input.activities},
            network=network,
            earliest=earliest,
            tails=tails,
            before=_before(plan_input, network),
            ovens=ovens_of(plan_input),
            end_cap_s=plan_input.horizon_s if plan_input.horizon_s is not None else FOREVER_S // 2,
            days=Days.of(plan_input),
            taken=_by_activity((held.first, held) for held in plan_input.occupations),
            freed=_by_activity((held.last, held) for held in plan_input.occupations),
            limited=_limited(network),
        )


def _by_activity(pairs: Iterable[tuple[str, Occupation]]) -> dict[str, tuple[Occupation, ...]]:
    found: dict[str, tuple[Occupation, ...]] = {}
    for name, held in pairs:
        found[name] = (*found.get(name, ()), held)
    return found


def _limited(network: Network) -> dict[str, frozenset[str]]:
    """Return for each activity those that it limits in how late they may start or end."""
    found: dict[str, set[str]] = {}
    for edge in network.edges:
        if edge.kind is EdgeKind.LIMIT:
            found.setdefault(edge.target.activity, set()).add(edge.source.activity)
    return {name: frozenset(names) for name, names in found.items()}


def _before(plan_input: PlanInput, network: Network) -> dict[str, frozenset[str]]:
    """Return for each activity those that must be placed first: what it waits for, whose end or vessel it needs."""
    found: dict[str, set[str]] = {activity.id: set() for activity in plan_input.activities}
    for edge in network.edges:
        is_order = edge.kind in (EdgeKind.LAG, EdgeKind.OVEN, EdgeKind.GEAR) and edge.weight_s >= 0
        if is_order and edge.source.activity != edge.target.activity:
            found[edge.target.activity].add(edge.source.activity)
    return {name: frozenset(names) for name, names in found.items()}


# ---------------------------------------------------------------------------------------------------- one run


@dataclass(frozen=True, slots=True)
class _Spot:
    """Where an activity fits."""

    start_s: int
    end_s: int
    worker: str = ""
    look_ins: tuple[tuple[int, int, str], ...] = ()


@dataclass(slots=True)
class _Run:
    """One list schedule in the making."""

    plan: _Plan
    priority: Priority
    is_by_clock: bool
    stages: Stages
    floors: dict[str, int]
    times: dict[Event, int] = field(default_factory=dict)
    spots: dict[str, _Spot] = field(default_factory=dict)
    people: dict[str, Person] = field(default_factory=dict)
    things: dict[str, Counted] = field(default_factory=dict)
    urgent: set[str] = field(default_factory=set)

    def build(self) -> Schedule | _TooEarly | None:
        self._set_up()
        for stage in self.stages:
            late = self._fit_in(stage)
            if late is not None:
                return late if late.activity else None
        return self._schedule()

    def _fit_in(self, stage: tuple[str, ...]) -> _TooEarly | None:
        """Place a stage around what is placed, beginning it again as often as one of its own limits breaks."""
        saved = self._state()
        members = frozenset(stage)
        for _ in range(_RESTARTS if len(self.stages) == 1 else _RESTARTS_OF_RECIPE):
            late = self._fill(stage)
            if late is None or late.activity not in members:
                return late
            self.floors[late.activity] = max(self.floors.get(late.activity, 0), late.from_s)
            self.times, self.spots, self.people, self.things, self.urgent = saved
            saved = self._state()
        return _NO_WAY

    def _state(self) -> tuple[dict[Event, int], dict[str, _Spot], dict[str, Person], dict[str, Counted], set[str]]:
        people = {name: person.copy() for name, person in self.people.items()}
        things = {name: thing.copy() for name, thing in self.things.items()}
        return dict(self.times), dict(self.spots), people, things, set(self.urgent)

    def _fill(self, stage: tuple[str, ...]) -> _TooEarly | None:
        """Place every activity of a stage; return what must begin later, ``_NO_WAY`` if nothing helps."""
        for name in stage:
            start, floor_s = starts_of(name), self.floors.get(name, 0)
            if floor_s <= self.times[start]:
                continue
            self.times[start] = floor_s
            late = self._spread(start)
            if late is not None:
                return late
        left = sorted(stage, key=self.priority)
        while left:
            chosen = self._choose(left)
            if chosen is None:
                return _NO_WAY
            late = self._place(*chosen)
            if late is not None:
                return late
            left.remove(chosen[0])
        return None

    def _set_up(self) -> None:
        self.times = dict(self.plan.earliest)
        for worker in self.plan.input.workers:
            self.people[worker.name] = Person(sorted(worker.away))
        for resource in self.plan.input.resources:
            self.things[resource.id] = Counted(resource.capacity)
        for oven in self.plan.ovens:
            self.things[f"oven {oven.name}"] = Counted(oven.shelves)

    def _choose(self, left: Sequence[str]) -> tuple[str, _Spot] | None:
        """
        Return the next of ``left``, which come by priority, and its spot: the first, or the first by the clock.

        What something already placed limits in how late it may be goes before all others.
        """
        if self.is_by_clock:
            ready = [name for name in left if self._is_ready(name)] or left
            spots = ((name, spot) for name in ready if (spot := self._spot(name)) is not None)
            return min(spots, key=lambda item: (item[1].start_s, *self.priority(item[0])), default=None)
        ranked = [*(name for name in left if name in self.urgent), *left]
        found = self._first(name for name in ranked if self._is_ready(name))
        if found is None and not any(self._is_ready(name) for name in left):
            return self._first(ranked)
        return found

    def _first(self, names: Iterable[str]) -> tuple[str, _Spot] | None:
        return next(((name, spot) for name in names if (spot := self._spot(name)) is not None), None)

    def _is_ready(self, name: str) -> bool:
        return self.plan.before[name] <= self.spots.keys()

    # ------------------------------------------------------------------------------------------------ finding a spot

    def _spot(self, name: str) -> _Spot | None:
        activity = self.plan.activities[name]
        moment = self.times[starts_of(name)]
        length = activity.long_s
        if activity.kind is ActivityKind.HEAT:
            opening = self._opening(activity)
            if opening is None:
                return None
            length = opening[1]
            moment = max(moment, opening[0], self.times[ends_of(name)] - length)
        begun = {other: spot.start_s for other, spot in self.spots.items()} if self.plan.days.closed else {}
        moment = max(moment, self.plan.days.from_s(name, begun))
        for _ in range(10_000):
            later = self._next(activity, moment, length)
            if later is None or later + length > self.plan.end_cap_s:
                return None
            if later == moment and self._is_cold(activity, moment, length):
                length = activity.long_s
            elif later == moment:
                return self._with_people(activity, moment, length)
            moment = later
        return None

    def _next(self, activity: Activity, moment: int, length: int) -> int | None:
        """Return ``moment`` if everything is free then, else a later moment to look at, ``None`` if never."""
        opens_s = self.plan.days.open_from(activity, moment, length)
        if opens_s > moment:
            return opens_s
        if activity.kind in _BUSY and activity.workers:
            later = min(self.people[name].next_free(moment, length) for name in activity.workers)
            if later > moment:
                return later
        for key, span, count in self._wanted(activity, length):
            free = self.things[key].next_free(moment, span, count)
            if free is None or free > moment:
                return free
        return self._next_look_in(activity, moment)

    def _wanted(self, activity: Activity, length: int) -> Iterator[tuple[str, int, int]]:
        for resource, count in activity.needs:
            yield resource, length, count
        for held in self.plan.taken.get(activity.id, ()):
            is_whole = held.last == activity.id
            yield held.resource, (length + held.after_s if is_whole else FOREVER_S), held.count
        if activity.oven is not None and activity.kind is not ActivityKind.HEAT and activity.oven.heat:
            yield f"oven {activity.oven.oven}", length, activity.oven.shelves

    def _next_look_in(self, activity: Activity, moment: int) -> int:
        look = activity.look_in
        if look is None or not activity.workers:
            return moment
        for offset in look.offsets(activity.long_s):
            free = min(self.people[name].next_free(moment + offset, look.for_s) for name in activity.workers)
            if free > moment + offset:
                return free - offset
        return moment

    def _with_people(self, activity: Activity, moment: int, length: int) -> _Spot | None:
        if activity.kind in _BUSY and activity.workers:
            free = (name for name in activity.workers if self.people[name].next_free(moment, length) == moment)
            return _Spot(moment, moment + length, worker=next(free))
        look = activity.look_in
        if look is None or not activity.workers:
            return _Spot(moment, moment + length)
        booked: list[tuple[int, int, str]] = []
        for offset in look.offsets(activity.long_s):
            start, end = moment + offset, moment + offset + look.for_s
            taken = {name for since, till, name in booked if since < end and start < till}
            free = (
                n for n in activity.workers if n not in taken and self.people[n].next_free(start, end - start) == start
            )
            chosen = next(free, None)
            if chosen is None:
                return None
            booked.append((start, end, chosen))
        return _Spot(moment, moment + length, look_ins=tuple(booked))

    # ------------------------------------------------------------------------------------------------ ovens

    def _opening(self, heat: Activity) -> tuple[int, int] | None:
        """Return from when on a heat may start and its seconds; ``None`` while a session is open that excludes it."""
        for oven in self.plan.ovens:
            for session in oven.sessions:
                if session.id == heat.id:
                    return self._opening_in(oven, session)
        return 0, heat.long_s

    def _opening_in(self, oven: Oven, session: Session) -> tuple[int, int] | None:
        heated = [other for other in oven.sessions if other.id in self.spots]
        heated.sort(key=lambda item: (self.spots[item.id].start_s, self.spots[item.id].end_s))
        moment = 0
        for other in heated:
            ends = [self.spots[item.id].end_s for item in other.members if item.id in self.spots]
            if oven.clash(other, session):
                if len(ends) < len(other.members):
                    return None
                moment = max([moment, *ends])
            moment = max(moment, self.spots[other.id].end_s)
        own = session.heat.long_s
        return moment, (oven.change_after(heated[-1], session) if heated else own)

    def _is_cold(self, heat: Activity, moment: int, length: int) -> bool:
        """Whether a heat that was to last as long as a change is the first of its day."""
        if heat.kind is not ActivityKind.HEAT or heat.oven is None or length == heat.long_s:
            return False
        days, starts = self.plan.days, list[int]()
        for item in self.plan.input.activities:
            is_heat = item.kind is ActivityKind.HEAT and item.oven is not None and item.oven.oven == heat.oven.oven
            starts += [self.spots[item.id].start_s] if is_heat and item.id in self.spots else []
        return bool(starts) and days.number(max(starts)) != days.number(moment)

    # ------------------------------------------------------------------------------------------------ placing

    def _place(self, name: str, spot: _Spot) -> _TooEarly | None:
        """Book everything; return what was placed too early for this, ``_NO_WAY`` if nothing can help."""
        activity = self.plan.activities[name]
        self.spots[name] = spot
        self.urgent |= self.plan.limited.get(name, frozenset())
        self._book(activity, spot)
        self.times[starts_of(name)], self.times[ends_of(name)] = spot.start_s, spot.end_s
        late = self._on_its_day(name, spot)
        if late is not None:
            return late
        return self._spread(starts_of(name)) or self._spread(ends_of(name))

    def _on_its_day(self, name: str, spot: _Spot) -> _TooEarly | None:
        """Return what was placed on an earlier day than what belongs with it; all that belongs together comes later."""
        days = self.plan.days
        day = days.number(spot.start_s)
        for other in sorted(days.together.get(name, ())):
            if other in self.spots and days.number(self.spots[other].start_s) < day:
                opens_s = days.opens_s(day)
                for each in days.together[name]:
                    self.floors[each] = max(self.floors.get(each, 0), opens_s)
                return _TooEarly(other, opens_s)
        return None

    def _book(self, activity: Activity, spot: _Spot) -> None:
        if spot.worker:
            self.people[spot.worker].book(spot.start_s, spot.end_s)
        for start, end, worker in spot.look_ins:
            self.people[worker].book(start, end)
        for resource, count in activity.needs:
            self.things[resource].book(spot.start_s, spot.end_s, count)
        if activity.oven is not None and activity.kind is not ActivityKind.HEAT and activity.oven.heat:
            key = f"oven {activity.oven.oven}"
            self.things[key].book(spot.start_s, spot.end_s, activity.oven.shelves)
        for held in self.plan.taken.get(activity.id, ()):
            self.things[held.resource].book(spot.start_s, FOREVER_S, held.count)
        for held in self.plan.freed.get(activity.id, ()):
            if held.first in self.spots:
                self.things[held.resource].book(spot.end_s + held.after_s, FOREVER_S, -held.count)

    def _spread(self, event: Event) -> _TooEarly | None:
        """Raise the times of what follows; what is already placed cannot be raised and is returned."""
        queue = [event]
        while queue:
            source = queue.pop()
            for edge in self.plan.network.out(source):
                reached = self.times[source] + edge.weight_s
                if reached <= self.times[edge.target]:
                    continue
                target = edge.target
                if target == ORIGIN:
                    return _NO_WAY
                if target.activity in self.spots:
                    return self._too_early(target, reached)
                self.times[target] = reached
                queue.append(target)
        return None

    def _too_early(self, target: Event, reached: int) -> _TooEarly:
        spot = self.spots[target.activity]
        planned = spot.start_s if target.mark == 0 else spot.end_s
        return _TooEarly(target.activity, spot.start_s + reached - planned)

    def _schedule(self) -> Schedule:
        assignments = tuple(
            Assignment(
                activity=activity.id,
                pieces=((self.spots[activity.id].start_s, self.spots[activity.id].end_s),),
                worker=self.spots[activity.id].worker,
                look_ins=self.spots[activity.id].look_ins,
            )
            for activity in self.plan.input.activities
        )
        return with_units(self.plan.input, Schedule(assignments=assignments))
