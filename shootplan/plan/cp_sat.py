"""
The plan as a constraint model, solved by OR-Tools' CP-SAT.

A ``PlanInput`` with bounds comes in, a ``Schedule``, a proven bound and a verdict go out. One small method for each
rule, under the name it has in ``verify``. OR-Tools is imported where the model is made, so that who never comes here
never waits for it. Units of time are the greatest common divisor of all times, minutes in most plans.
"""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import field
from itertools import combinations
from math import gcd
from typing import Any

from shootplan.model.planning import Activity, ActivityKind, Anchor, PlanInput, Schedule, SolveStatus
from shootplan.plan.closed import set_up_s
from shootplan.plan.cp_film import add_filming, least_standing, shortest_camera
from shootplan.plan.cp_rerigs import fewest_rerigs, hint_rerigs, number_set_ups
from shootplan.plan.films import is_mere_recording
from shootplan.plan.graph import ORIGIN, EdgeKind, Ends, Event, Network, duration_at, network_of, starts_of
from shootplan.plan.groups import Group, Item, assigned, groups_of, items_of, name_people
from shootplan.plan.orders import with_units
from shootplan.plan.ovens import Oven, ovens_of
from shootplan.plan.solver import cp_model as solver_module
from shootplan.records import dataclass

__all__ = ["Limits", "Model", "ModelCopy", "Outcome", "time_unit"]

#: Pieces of work that is broken off: once. A third piece costs twenty times the proof and no cook works like that.
PIECES = 2


_AIMS: Mapping[str, Callable[[Any], Any]] = {
    "rerigs": fewest_rerigs,
    "camera": shortest_camera,
    "fresh": least_standing,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """
    How far the solver goes: deterministic time units, workers (more than one is not repeatable), seed.

    ``is_presolved`` is whether the model is simplified first, which takes longer than to solve an easy one;
    ``is_thorough`` whether orders of one pair of hands are reasoned about longer, which pays where lengths are known;
    ``is_stoppable`` whether Ctrl-C ends the solver, else it is Python's, once the solver has ended.
    """

    budget: float
    workers: int = 1
    seed: int = 0
    linearization: int = 0
    is_presolved: bool = True
    is_thorough: bool = False
    is_stoppable: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """
    The verdict, the schedule if there is one, the proven bound of the objective as a time, time spent, shots left out.

    ``value`` is the objective's and ``value_bound`` its proven bound, both as the model counts them. ``is_stopped`` is
    whether the user stopped it (Ctrl-C, which the solver takes as the end of its time).
    """

    status: SolveStatus
    schedule: Schedule | None
    bound: int
    spent: float
    value: int = 0
    value_bound: int = 0
    left_out: tuple[str, ...] = ()
    is_stopped: bool = False


def time_unit(plan_input: PlanInput) -> int:
    """Return the greatest common divisor, in seconds, of every time in the plan; at least 1."""
    times: list[int] = [plan_input.horizon_s or 0]
    for item in plan_input.activities:
        times += [item.short_s, item.long_s, item.release_s, item.deadline_s or 0]
        times += [item.look_in.every_s, item.look_in.for_s] if item.look_in is not None else []
    for lag in plan_input.lags:
        times += [lag.at_least_s or 0, lag.at_most_s or 0]
    times += [held.after_s for held in plan_input.occupations]
    times += [mark for worker in plan_input.workers for pair in worker.away for mark in pair]
    times += [mark for pair in plan_input.closed for mark in pair]
    times += [change for _, change in plan_input.oven_change_s]
    for camera in plan_input.cameras:
        times += [camera.ready_s, *(seconds for _, _, seconds in camera.moves)]
    return gcd(*times) or 1


@dataclass(slots=True)
class Model:
    """
    A constraint model of the plan at its long ends, and on demand a second copy at its short ends.

    Parameters
    ----------
    plan_input
        The plan.
    lower_s
        A true lower bound on the makespan in seconds; it stands in the variable's domain.
    upper_s
        The longest makespan to look at, in seconds.
    is_split
        Whether pausable work may be broken off once.
    is_pooled
        Whether people who are alike are counted; else each has an order of work of their own.
    may_leave_out
        Recordings that need not be taken, and what leaving each out weighs.
    unit
        Seconds in a unit of time; 0 is the greatest common divisor of the plan's times.
    """

    plan_input: PlanInput
    lower_s: int
    upper_s: int
    is_split: bool = False
    is_pooled: bool = True
    may_leave_out: Mapping[str, int] = field(default_factory=dict)
    unit: int = 0
    model: Any = None
    groups: tuple[Group, ...] = ()
    ovens: tuple[Oven, ...] = ()
    shared: dict[tuple[object, ...], Any] = field(default_factory=dict)
    long: ModelCopy | None = None
    short: ModelCopy | None = None
    later: Mapping[str, frozenset[str]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        cp_model = solver_module()
        self.unit = self.unit or time_unit(self.plan_input)
        self.model = cp_model.CpModel()
        self.groups = groups_of(self.plan_input, is_pooled=self.is_pooled and not self.is_split)
        self.ovens = ovens_of(self.plan_input)
        self.long = ModelCopy(self, Ends.LONG)
        self.long.build(-(-self.lower_s // self.unit))

    def literal(self, *key: object) -> Any:
        """Return the Boolean of that name, the same for both copies."""
        if key not in self.shared:
            self.shared[key] = self.model.new_bool_var(" ".join(str(part) for part in key))
        return self.shared[key]

    def live(self, item: Activity) -> list[Any]:
        """Return the literal "this recording is taken", nothing where it must be."""
        return [self.literal("live", item.id)] if item.id in self.may_leave_out else []

    def fewest_left_out(self) -> None:
        """Ask for the lightest set of recordings that are not taken."""
        weights = self.may_leave_out.items()
        self.model.minimize(sum(weight * ~self.literal("live", name) for name, weight in weights))

    def units(self, seconds: int) -> int:
        """Return whole units of time, rounded up."""
        return -(-seconds // self.unit)

    # ------------------------------------------------------------------------------------------------ phases

    def share_orders(self, lower_s: int, upper_s: int | None = None) -> None:
        """Add the copy at the short ends, tied to the first by every order of people, single things and ovens."""
        self.short = ModelCopy(self, Ends.SHORT)
        self.short.build(self.units(lower_s))
        if upper_s is not None:
            self.model.add(self.short.makespan <= self.units(upper_s))
        assert self.long is not None
        for copy in (self.long, self.short):
            copy.hands_order()
            copy.resources_order()

    def known_order(self, one: Item, other: Item) -> str | bool | None:
        """
        Return whether the first of two pieces of one person's work comes first in every plan, ``None`` if that is open.

        An order that either copy leaves no choice about holds in both; "kept" is one that waits keep by themselves.
        """
        assert self.long is not None
        if not self.later:
            self.later = _later(self.plan_input)
        if other.activity in self.later[one.activity] or one.activity in self.later[other.activity]:
            return _KEPT
        copies = [self.long] if self.short is None else [self.long, self.short]
        if any(copy.must_precede(one, other) for copy in copies):
            return True
        return False if any(copy.must_precede(other, one) for copy in copies) else None

    def order_count(self) -> int:
        """Return how many pairs ``share_orders`` would order."""
        assert self.long is not None
        return sum(1 for _ in self.long.hands_pairs()) + sum(1 for _ in self.long.resource_pairs())

    def at_most_long(self, makespan_s: int) -> None:
        """Keep the makespan from now on."""
        assert self.long is not None
        self.model.add(self.long.makespan <= makespan_s // self.unit)

    def hint(self, schedule: Schedule, *, is_short: bool = False) -> None:
        """Start the search from a schedule."""
        copy = self.short if is_short else self.long
        assert copy is not None
        for item in schedule.assignments:
            self.model.add_hint(copy.start[item.activity], item.start_s // self.unit)
        self.model.add_hint(copy.makespan, schedule.makespan_s // self.unit)

    def forget_hints(self) -> None:
        """Start the next search from nothing that is known."""
        self.model.clear_hints()

    def shortest(self, *, is_short: bool = False) -> None:
        """Ask for the shortest makespan of a copy."""
        copy = self.short if is_short else self.long
        assert copy is not None
        self.model.minimize(copy.makespan)

    def earliest_starts(self) -> None:
        """Ask for early starts, and for few pieces of what may be broken off."""
        assert self.long is not None
        weight = len(self.plan_input.activities) * self.units(self.upper_s) if self.long.extra_pieces else 1
        starts = sum(self.long.start[item.id] for item in self.plan_input.activities)
        self.model.minimize(starts + weight * sum(self.long.extra_pieces))

    def aim(self, name: str, start: Schedule | None = None) -> None:
        """
        Ask for the fewest re-rigs ("rerigs"), the shortest camera day ("camera") or fresh plates ("fresh").

        The search starts from what ``start`` reaches.
        """
        assert self.long is not None
        self.model.minimize(_AIMS[name](self.long))
        if start is not None:
            self._hint_aim(name, start)

    def with_rerigs(self, least: int, most: int) -> None:
        """Have the cameras moved ``most`` times at most, all together; ``least`` is proven to be needed."""
        assert self.long is not None
        number_set_ups(self.long, least, most)

    def in_order(self, pairs: Iterable[tuple[str, str]]) -> None:
        """Let each second activity start no earlier than the first ends."""
        assert self.long is not None
        for before, after in pairs:
            self.model.add(self.long.start[after] >= self.long.end[before])

    def keep(self, name: str, value: int, start: Schedule) -> None:
        """Keep what ``start`` reached for an aim, in its own unit: a count, or seconds."""
        assert self.long is not None
        most = value if name == "rerigs" else value // self.unit
        self.model.add(_AIMS[name](self.long) <= most)
        self._hint_aim(name, start)

    def _hint_aim(self, name: str, start: Schedule) -> None:
        assert self.long is not None
        if name == "rerigs":
            hint_rerigs(self.long, start)

    def solve(self, limits: Limits, progress: Callable[[str], None] | None = None) -> Outcome:
        """Solve the model as it stands."""
        cp_model = solver_module()
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = limits.workers
        solver.parameters.random_seed = limits.seed
        solver.parameters.max_deterministic_time = max(0.01, limits.budget)
        solver.parameters.linearization_level = limits.linearization
        solver.parameters.cp_model_presolve = limits.is_presolved
        solver.parameters.use_strong_propagation_in_disjunctive = limits.is_thorough
        solver.parameters.catch_sigint_signal = limits.is_stoppable
        if limits.linearization == 0:
            # On a cooked day probing and symmetries cost a third of the time and find nothing; a filmed day needs both.
            solver.parameters.cp_model_probing_level = 0
            solver.parameters.symmetry_level = 0
        callback = _watch(progress, self.unit) if progress is not None else None
        ours = signal.getsignal(signal.SIGINT)
        status = solver.solve(self.model, callback)
        if ours is not None and threading.current_thread() is threading.main_thread():
            # The solver leaves Ctrl-C as if Python had never asked for it: it would end the program at once.
            signal.signal(signal.SIGINT, ours)
        spent = float(solver.response_proto.deterministic_time)
        verdict = {
            cp_model.OPTIMAL: SolveStatus.OPTIMAL,
            cp_model.FEASIBLE: SolveStatus.FEASIBLE,
            cp_model.INFEASIBLE: SolveStatus.INFEASIBLE,
            cp_model.UNKNOWN: SolveStatus.UNKNOWN,
        }.get(status)
        if verdict is None:
            raise RuntimeError(f"the solver refuses the model: {self.model.validate()}")
        is_found = verdict in (SolveStatus.OPTIMAL, SolveStatus.FEASIBLE)
        schedule = self._schedule(solver) if is_found else None
        least = round(solver.best_objective_bound) if is_found or verdict is SolveStatus.UNKNOWN else 0
        value = round(solver.objective_value) if is_found else 0
        left_out = tuple(
            name for name in self.may_leave_out if is_found and not solver.value(self.literal("live", name))
        )
        is_open = verdict in (SolveStatus.FEASIBLE, SolveStatus.UNKNOWN)
        return Outcome(
            status=verdict,
            schedule=schedule,
            bound=least * self.unit,
            spent=spent,
            value=value,
            value_bound=least,
            left_out=left_out,
            is_stopped=is_open and spent < 0.9 * limits.budget,
        )

    def _schedule(self, solver: Any) -> Schedule:
        assert self.long is not None
        return _Reader(self, self.long, solver.value).schedule()


def _later(plan_input: PlanInput) -> dict[str, frozenset[str]]:
    """Return for each activity those that wait, at both ends of the durations, until it has ended."""
    direct: dict[str, set[str]] = {item.id: set() for item in plan_input.activities}
    for lag in plan_input.lags:
        is_after = lag.predecessor_anchor is Anchor.END and lag.successor_anchor is Anchor.START
        if is_after and lag.at_least_s is not None and lag.at_least_s >= 0:
            direct[lag.predecessor].add(lag.successor)
    found: dict[str, frozenset[str]] = {}
    for name in direct:
        reached: set[str] = set()
        waiting = [name]
        while waiting:
            new = direct[waiting.pop()] - reached
            reached |= new
            waiting += new
        found[name] = frozenset(reached)
    return found


def _watch(progress: Callable[[str], None], unit: int) -> Any:
    base: Any = solver_module().CpSolverSolutionCallback

    class Watch(base):  # type: ignore[misc]
        def on_solution_callback(self) -> None:
            progress(f"a plan of {round(self.objective_value) * unit // 60} min")

    return Watch()


# ---------------------------------------------------------------------------------------------------- the rules


#: An order that a chain of waits keeps by itself.
_KEPT = "kept"


def _not(literal: Any) -> Any:
    return not literal if isinstance(literal, bool) else ~literal


@dataclass(frozen=True, slots=True)
class _Use:
    """A use of a counted thing that takes time; a vessel held and then washed has no interval until it is asked for."""

    name: str
    count: int
    begin: Any
    finish: Any
    interval: Any
    after: int = 0


@dataclass(slots=True)
class ModelCopy:
    """Variables and rules at one end of the durations; choices and orders are the owner's literals."""

    owner: Model
    ends: Ends
    start: dict[str, Any] = field(default_factory=dict)
    end: dict[str, Any] = field(default_factory=dict)
    intervals: dict[str, list[Any]] = field(default_factory=dict)
    pieces: dict[str, list[tuple[Any, Any, Any]]] = field(default_factory=dict)
    extra_pieces: list[Any] = field(default_factory=list)
    makespan: Any = None
    top: int = 0
    network: Network = field(default_factory=Network)
    known: set[tuple[object, ...]] = field(default_factory=set)
    spans: dict[str, tuple[int, int]] = field(default_factory=dict)
    uses: dict[str, list[_Use]] = field(default_factory=dict)
    work: dict[tuple[str, int], Item] = field(default_factory=dict)

    @property
    def model(self) -> Any:
        """The owner's model."""
        return self.owner.model

    @property
    def activities(self) -> tuple[Activity, ...]:
        """All activities of the plan."""
        return self.owner.plan_input.activities

    def build(self, lower: int) -> None:
        """Make the variables, ``lower`` being the least makespan in units, and add every rule."""
        self.top = self.owner.upper_s // self.owner.unit
        self.makespan = self.model.new_int_var(min(lower, self.top), self.top, f"makespan {self.ends.value}")
        self.durations()
        self.time_lags()
        self.closed_hours()
        self.days()
        self.hands()
        self.resources()
        for oven in self.owner.ovens:
            self.oven_heats(oven)
            self.oven_sessions(oven)
            self.oven_shelves(oven)
        if self.owner.plan_input.cameras:
            add_filming(self)

    # ------------------------------------------------------------------------------------------------ each activity

    def durations(self) -> None:
        """Starts within what the temporal network leaves; pieces add up; nothing after the makespan."""
        network = self.network = network_of(self.owner.plan_input, ends=self.ends, broken_off=self._broken_off())
        earliest, _ = network.earliest()
        tails = network.tails(self.activities)
        for item in self.activities:
            first = self.owner.units(earliest[starts_of(item.id)])
            last = self.top - self.owner.units(tails[starts_of(item.id)])
            self.start[item.id] = self.model.new_int_var(first, max(first, last), f"start {item.id}")
            self.spans[item.id] = (first, max(first, last))
            self._extent(item)
            self.model.add(self.end[item.id] <= self.makespan)
            if last < first:
                self.model.add_bool_or([])

    def _broken_off(self) -> frozenset[str]:
        unit = self.owner.unit
        if not self.owner.is_split or self.ends is Ends.SHORT:
            return frozenset()
        return frozenset(item.id for item in self.activities if item.is_pausable and item.long_s >= 2 * unit)

    def _extent(self, item: Activity) -> None:
        """Give an activity its end and the intervals in which it runs."""
        start, length = self.start[item.id], self.owner.units(duration_at(item, self.ends))
        if item.kind is ActivityKind.HEAT and item.oven is not None:
            self.end[item.id] = self.model.new_int_var(0, self.top, f"end {item.id}")
            size = self.model.new_int_var(0, self.top, f"size {item.id}")
            self.intervals[item.id] = [self.model.new_interval_var(start, size, self.end[item.id], item.id)]
        elif item.id in self._broken_off():
            self.pieces_of(item, length)
        else:
            self.end[item.id] = start + length
            self.intervals[item.id] = [self.model.new_fixed_size_interval_var(start, length, item.id)] if length else []

    def pieces_of(self, item: Activity, length: int) -> None:
        """Break an activity off into pieces, in order; a piece that is not there takes no time after the last."""
        before: Any = None
        sizes = []
        for number in range(PIECES):
            begin = self.start[item.id] if number == 0 else self.model.new_int_var(0, self.top, f"piece {item.id}")
            size = self.model.new_int_var(0 if number else 1, length, "size")
            finish = self.model.new_int_var(0, self.top, "finish")
            is_there: Any = True
            if number:
                is_there = self.model.new_bool_var(f"piece {number} of {item.id}")
                self.extra_pieces.append(is_there)
                self.model.add(size >= 1).only_enforce_if(is_there)
                self.model.add(size == 0).only_enforce_if(~is_there)
                self.model.add(begin == before[1]).only_enforce_if(~is_there)
                # Two pieces without a pause are one: the same plan is not looked at twice.
                self.model.add(begin >= before[1] + is_there)
                self.model.add(finish == begin + size)
                if number > 1:
                    self.model.add_implication(is_there, before[2])
            self.intervals.setdefault(item.id, []).append(
                self.model.new_optional_interval_var(begin, size, finish, is_there, f"{item.id} {number}")
            )
            before = (begin, finish, is_there)
            self.pieces.setdefault(item.id, []).append(before)
            sizes.append(size)
        self.model.add(sum(sizes) == length)
        self.end[item.id] = before[1]
        # The pieces say so too, but only once all of them are placed; time that is to pass at least is seen at once.
        self.model.add(self.end[item.id] >= self.start[item.id] + length)

    def time_lags(self) -> None:
        """Waits as long as they must be and no longer than they may be; releases, deadlines, vessels in order."""
        for edge in self.network.edges:
            if edge.kind is EdgeKind.DURATION:
                continue
            weight = self.owner.units(edge.weight_s)
            source = 0 if edge.source == ORIGIN else self._moment(edge.source)
            target = 0 if edge.target == ORIGIN else self._moment(edge.target)
            self.model.add(target >= source + weight)

    def closed_hours(self) -> None:
        """Everything lies before or after each closed time, at both ends alike; what may run then begins there."""
        plan_input = self.owner.plan_input
        for number, (since, till) in enumerate(plan_input.closed):
            first = self.owner.units(since)
            for item in self.activities:
                is_past, opens = self.is_past(item.id, number), self.owner.units(till + set_up_s(plan_input, item))
                before = self.start[item.id] if item.may_run_closed else self.end[item.id]
                self.model.add(self.start[item.id] >= opens).only_enforce_if(is_past)
                self.model.add(before <= first).only_enforce_if(~is_past)

    def is_past(self, name: str, number: int) -> Any:
        """Return the literal "this begins after the closed time of that number"."""
        return self.owner.literal("past", name, number)

    def days(self) -> None:
        """What belongs to one day is on one day, what is done on an earlier day is on an earlier one."""
        numbers = range(len(self.owner.plan_input.closed))
        for rule in self.owner.plan_input.day_rules:
            if rule.is_apart:
                between = [self.is_between(rule.one, rule.other, number) for number in numbers]
                self.model.add_bool_or(between)
            else:
                for number in numbers:
                    self.model.add(self.is_past(rule.one, number) == self.is_past(rule.other, number))

    def is_between(self, one: str, other: str, number: int) -> Any:
        """Return a literal that holds if the first lies before a closed time and the second after it."""
        key = ("between", one, other, number)
        if key not in self.owner.shared:
            both = self.owner.literal(*key)
            self.model.add_bool_and(~self.is_past(one, number), self.is_past(other, number)).only_enforce_if(both)
            self.model.add_bool_or(self.is_past(one, number), ~self.is_past(other, number), both)
        return self.owner.shared[key]

    def _moment(self, event: Event) -> Any:
        return self.start[event.activity] if event.mark == 0 else self.end[event.activity]

    # ------------------------------------------------------------------------------------------------ people

    def items(self) -> Iterator[tuple[Activity, Item]]:
        """Yield all work of people at this end of the durations."""
        for activity in self.activities:
            for item in items_of(activity, is_short=self.ends is Ends.SHORT):
                yield activity, item

    def does(self, activity: Activity, item: Item, group: Group) -> Any:
        """Return the literal "one of these people does it"; ``True`` where only they may."""
        able = [other for other in self.owner.groups if other.may_do(activity)]
        return True if able == [group] else self.owner.literal("does", item.activity, item.look_in, group.name)

    def hands(self) -> None:
        """Exactly one person does each piece of work, nobody does two things at once or works while away."""
        busy: dict[str, list[Any]] = {group.name: [] for group in self.owner.groups}
        for activity, item in self.items():
            able = [group for group in self.owner.groups if group.may_do(activity)]
            if len(able) > 1 and self.ends is Ends.LONG:
                self.model.add_exactly_one(self.does(activity, item, group) for group in able)
            for group in able:
                busy[group.name] += self._busy(item, self._is_busy(activity, self.does(activity, item, group)))
        for group in self.owner.groups:
            away = list(self._away(group))
            if len(group.workers) == 1:
                self.model.add_no_overlap(busy[group.name] + away)
            else:
                demands = [1] * len(busy[group.name]) + [len(group.workers)] * len(away)
                self.model.add_cumulative(busy[group.name] + away, demands, len(group.workers))

    def _is_busy(self, activity: Activity, is_done: Any) -> Any:
        """Return the literal "this person does it": what is there for the camera alone is only done if it is taken."""
        live = self.owner.live(activity) if is_mere_recording(activity) else []
        if not live:
            return is_done
        if is_done is True:
            return live[0]
        both = self.model.new_bool_var(f"{activity.id} taken")
        self.model.add_bool_and(is_done, live[0]).only_enforce_if(both)
        self.model.add_bool_or(both, ~is_done, ~live[0])
        return both

    def _busy(self, item: Item, is_done: Any) -> Iterator[Any]:
        length = self.owner.units(item.length_s)
        if item.look_in or is_done is not True:
            yield from self._optional(item, is_done, length)
        else:
            yield from self.intervals[item.activity]

    def _optional(self, item: Item, is_done: Any, length: int) -> Iterator[Any]:
        if item.activity in self.pieces:
            for number, (begin, finish, is_there) in enumerate(self.pieces[item.activity]):
                both = is_done
                if number:
                    both = self.model.new_bool_var(f"{item.activity} {number}")
                    self.model.add_bool_and(is_done, is_there).only_enforce_if(both)
                    self.model.add_bool_or(both, ~is_done, ~is_there)
                size = self.model.new_int_var(0, self.top, "size")
                yield self.model.new_optional_interval_var(begin, size, finish, both, "piece")
        elif length:
            start = self.start[item.activity] + self.owner.units(item.offset_s)
            yield self.model.new_optional_fixed_size_interval_var(start, length, is_done, "work")

    def _away(self, group: Group) -> Iterator[Any]:
        for meal in self.owner.plan_input.breaks:
            yield from self.intervals[meal.activity]
        for since, till in group.workers[0].away:
            first, last = self.owner.units(since), self.owner.units(till)
            yield self.model.new_fixed_size_interval_var(first, last - first, "away")

    def hands_pairs(self) -> Iterator[tuple[Group, Item, Item, list[Any]]]:
        """Yield each two pieces of work that the same single person may do, with the literals that say so."""
        work = list(self.items())
        for group in self.owner.groups:
            if len(group.workers) > 1:
                continue
            own = [(activity, item) for activity, item in work if group.may_do(activity)]
            for (first, one), (second, other) in combinations(own, 2):
                if one.activity == other.activity:
                    continue
                done = (self.does(first, one, group), self.does(second, other, group))
                yield group, one, other, [literal for literal in done if literal is not True]

    def hands_order(self) -> None:
        """Order each two pieces of work of one person: as is known, or by a literal that both copies share."""
        for group, one, other, done in self.hands_pairs():
            known = self.owner.known_order(one, other)
            if known == _KEPT:
                continue
            name = ("hands", group.name, one.activity, one.look_in, other.activity, other.look_in)
            is_first = self.owner.literal(*name) if known is None else known
            for before, after, literal in ((one, other, is_first), (other, one, _not(is_first))):
                if literal is False:
                    continue
                ends = self.start[before.activity] + self.owner.units(before.offset_s + before.length_s)
                begins = self.start[after.activity] + self.owner.units(after.offset_s)
                conditions = done if literal is True else [*done, literal]
                rule = self.model.add(begins >= ends)
                if conditions:
                    rule.only_enforce_if(conditions)

    def must_precede(self, one: Item, other: Item) -> bool:
        """
        Whether the other cannot be done first in this copy: it would end after the last moment to begin the one.

        Lengths are this copy's own, and what is not done in it has no order.
        """
        if not self.work:
            self.work = {(item.activity, item.look_in): item for _, item in self.items()}
        before = self.work.get((other.activity, other.look_in))
        after = self.work.get((one.activity, one.look_in))
        if before is None or after is None:
            return False
        first = self.spans[before.activity][0] + self.owner.units(before.offset_s + before.length_s)
        return first > self.spans[after.activity][1] + self.owner.units(after.offset_s)

    # ------------------------------------------------------------------------------------------------ equipment

    def resources(self) -> None:
        """Not more of anything in use at once than there is, held vessels and washing included."""
        self._find_uses()
        for resource in self.owner.plan_input.resources:
            uses = self.uses.get(resource.id, [])
            if sum(use.count for use in uses) > resource.capacity:
                intervals = [self._interval(use) for use in uses]
                self.model.add_cumulative(intervals, [use.count for use in uses], resource.capacity)

    def _find_uses(self) -> None:
        """Collect the uses of each thing that take time."""
        for item in self.activities:
            for name in dict.fromkeys(name for name, _ in item.needs):
                count = sum(count for other, count in item.needs if other == name)
                for number, interval in enumerate(self.intervals[item.id] if count else ()):
                    begin, finish = self.start[item.id], self.end[item.id]
                    if item.id in self.pieces:
                        begin, finish, _ = self.pieces[item.id][number]
                    use = _Use(f"{item.id} {number}", count, begin, finish, interval)
                    self.uses.setdefault(name, []).append(use)
        for held in self.owner.plan_input.occupations:
            begin, finish = self.start[held.first], self.end[held.last] + self.owner.units(held.after_s)
            use = _Use(f"held {held.id}", held.count, begin, finish, None, self.owner.units(held.after_s))
            self.uses.setdefault(held.resource, []).append(use)

    def _interval(self, use: _Use) -> Any:
        if use.interval is not None:
            return use.interval
        size = self.model.new_int_var(0, self.top + use.after, "held")
        return self.model.new_interval_var(use.begin, size, use.finish, use.name)

    def resource_pairs(self) -> Iterator[tuple[str, _Use, _Use]]:
        """Yield each two uses of a thing of which two do not fit at once."""
        for resource in self.owner.plan_input.resources:
            if resource.capacity == 1:
                for one, other in combinations(self.uses.get(resource.id, ()), 2):
                    yield resource.id, one, other

    def resources_order(self) -> None:
        """Order each two uses of a single thing by a literal that both copies share."""
        for resource, one, other in self.resource_pairs():
            is_first = self.owner.literal("thing", resource, one.name, other.name)
            self.model.add(other.begin >= one.finish).only_enforce_if(is_first)
            self.model.add(one.begin >= other.finish).only_enforce_if(~is_first)

    # ------------------------------------------------------------------------------------------------ ovens

    def oven_heats(self, oven: Oven) -> None:
        """An oven's first heat of a day lasts its own time, each later one the change from what is set before it."""
        arcs: list[tuple[int, int, Any]] = []
        for number, session in enumerate(oven.sessions, start=1):
            start, end = self.start[session.id], self.end[session.id]
            is_first = self.owner.literal("first", oven.name, session.id)
            arcs.append((0, number, is_first))
            arcs.append((number, 0, self.owner.literal("last", oven.name, session.id)))
            own = self.owner.units(duration_at(session.heat, self.ends))
            self.model.add(end == start + own).only_enforce_if(is_first)
            for place, other in enumerate(oven.sessions, start=1):
                if other is session:
                    continue
                is_next = self.owner.literal("next", oven.name, other.id, session.id)
                arcs.append((place, number, is_next))
                change = self.owner.units(oven.change_after(other, session))
                nights = range(len(self.owner.plan_input.closed))
                cold = [self.is_between(other.id, session.id, number) for number in nights]
                self.model.add(end == start + change).only_enforce_if(is_next, *(~literal for literal in cold))
                for literal in cold:
                    self.model.add(end == start + own).only_enforce_if(is_next, literal)
                self.model.add(start >= self.end[other.id]).only_enforce_if(is_next)
        if arcs:
            self.model.add_circuit(arcs)

    def oven_sessions(self, oven: Oven) -> None:
        """Sessions at temperatures too far apart follow one another."""
        for one, other in combinations(oven.sessions, 2):
            if not oven.clash(one, other):
                continue
            is_first = self.owner.literal("session", oven.name, one.id, other.id)
            for before, after, literal in ((one, other, is_first), (other, one, ~is_first)):
                for item in before.members:
                    self.model.add(self.start[after.id] >= self.end[item.id]).only_enforce_if(literal)

    def oven_shelves(self, oven: Oven) -> None:
        """Not more shelves in use at once than the oven has."""
        bakes = [
            (interval, bake.oven.shelves)
            for session in oven.sessions
            for bake in session.bakes
            if bake.oven is not None
            for interval in self.intervals[bake.id]
        ]
        if sum(count for _, count in bakes) > oven.shelves:
            self.model.add_cumulative([bake[0] for bake in bakes], [bake[1] for bake in bakes], oven.shelves)


# ---------------------------------------------------------------------------------------------------- the answer


@dataclass(slots=True)
class _Reader:
    """Reads a schedule out of a solved model."""

    owner: Model
    copy: ModelCopy
    value: Callable[[Any], int]

    def schedule(self) -> Schedule:
        pieces = {item.id: self._pieces(item) for item in self.copy.activities}
        names = self._names(pieces)
        assignments = tuple(assigned(item, pieces[item.id], names) for item in self.copy.activities)
        return with_units(self.owner.plan_input, Schedule(assignments=assignments))

    def _pieces(self, item: Activity) -> list[tuple[int, int]]:
        unit = self.owner.unit
        if item.id not in self.copy.pieces:
            return [(self.value(self.copy.start[item.id]) * unit, self.value(self.copy.end[item.id]) * unit)]
        found: list[tuple[int, int]] = []
        for begin, finish, _ in self.copy.pieces[item.id]:
            first, last = self.value(begin) * unit, self.value(finish) * unit
            if found and found[-1][1] == first:
                found[-1] = (found[-1][0], last)
            elif last > first:
                found.append((first, last))
        return found

    def _names(self, pieces: Mapping[str, list[tuple[int, int]]]) -> dict[Item, str]:
        chosen: dict[Item, Group] = {}
        busy: dict[Item, Sequence[tuple[int, int]]] = {}
        for activity, item in self.copy.items():
            chosen[item] = next(
                group for group in self.owner.groups if group.may_do(activity) and self._is_done(activity, item, group)
            )
            start = pieces[activity.id][0][0] + item.offset_s
            busy[item] = [(start, start + item.length_s)] if item.look_in else pieces[activity.id]
        return name_people(self.owner.groups, chosen, busy)

    def _is_done(self, activity: Activity, item: Item, group: Group) -> bool:
        literal = self.copy.does(activity, item, group)
        return literal is True or bool(self.value(literal))
