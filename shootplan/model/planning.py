"""
What the planner is given and what it answers; no solver types, no files.

``PlanInput`` is plain data: activities, occupations, time lags, calendars of people and counted resources. All times
are whole seconds on one clock that starts at 0. ``Schedule`` is the answer; ``SolveResult`` is the run. A schedule
is checked against the input by ``plan.verify``, which knows no solver.
"""

from __future__ import annotations

from dataclasses import field
from datetime import datetime
from enum import Enum

from shootplan.model.filming import Camera, Film, Meal, SolvePhase
from shootplan.problems import Span
from shootplan.records import dataclass

__all__ = [
    "Activity",
    "ActivityKind",
    "Anchor",
    "Assignment",
    "ChainLink",
    "DayRule",
    "Lag",
    "LookInTask",
    "Occupation",
    "OvenState",
    "PlanInput",
    "Resource",
    "Schedule",
    "Sequence",
    "SolveResult",
    "SolveStatus",
    "Violation",
    "Worker",
]


class ActivityKind(Enum):
    """Hands-on, must-watch (both bind a person), left alone, heating an oven, or everybody's break."""

    HANDS = "hands"
    WATCH = "watch"
    LEAVE = "leave"
    HEAT = "heat"
    BREAK = "break"


@dataclass(frozen=True, slots=True, kw_only=True)
class LookInTask:
    """Looking in while an activity runs: ``for_s`` of one person's time at every full ``every_s`` from its start."""

    every_s: int
    for_s: int

    def offsets(self, duration_s: int) -> tuple[int, ...]:
        """Return the offsets from the activity's start, none at its end (rule T1)."""
        count = max(0, -(-duration_s // self.every_s) - 1)
        return tuple(self.every_s * k for k in range(1, count + 1))


@dataclass(frozen=True, slots=True, kw_only=True)
class OvenState:
    """
    What an activity asks of an oven.

    A HEAT activity sets ``temperature_c``: it lasts its own duration if it is the oven's first heat, ``change_s``
    later. A baking activity names the HEAT activity (``heat``) whose temperature it bakes at, runs after it, and takes
    ``shelves``. A bake that goes on at once at another temperature (the dial is turned, the food stays in) names the
    same heat with its own ``temperature_c``: the session goes on, nothing waits. The oven is in that heat's *session*
    from the start of the heat to the end of its last bake; sessions further apart than the oven's tolerance never
    overlap. Heats of one oven follow one another. A session leaves the dial at the heat's temperature, or at that of
    its
    last bake, in the order of the input, that lies further from the heat's than the tolerance; a heat to exactly that
    temperature takes no time.
    """

    oven: str
    temperature_c: int
    heat: str = ""
    shelves: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Activity:
    """
    One piece of work that is not split; one that ``is_pausable`` may be broken off once.

    ``short_s`` and ``long_s`` are the two ends of its duration (equal for windows and fixed times). ``workers`` are
    the names of the people who may do it (exactly one does); empty for work that needs nobody. ``needs`` are (resource,
    count) held while it runs. ``label`` is the user's words for it ("leek bake: Peel potatoes"). ``step`` and
    ``recipe`` are ids of the source. ``film`` is what a recording of it asks; what ``is_noisy`` spoils other sound.
    ``deadline_why`` says in the user's words why it must end by then. What ``may_run_closed`` goes on while nobody is
    there; everything else lies within one of the staffed times.
    """

    id: str
    kind: ActivityKind
    short_s: int
    long_s: int
    label: str = ""
    recipe: str = ""
    step: str = ""
    workers: tuple[str, ...] = ()
    film: Film | None = None
    is_noisy: bool = False
    needs: tuple[tuple[str, int], ...] = ()
    look_in: LookInTask | None = None
    oven: OvenState | None = None
    is_pausable: bool = False
    may_run_closed: bool = False
    release_s: int = 0
    deadline_s: int | None = None
    deadline_why: str = ""
    span: Span = field(default_factory=lambda: Span("<made in code>"), compare=False, repr=False)


class Anchor(Enum):
    """Which end of an activity a lag is measured from or to."""

    START = "start"
    END = "end"


@dataclass(frozen=True, slots=True, kw_only=True)
class Lag:
    """
    ``at_least_s <= time(successor, successor_anchor) - time(predecessor, predecessor_anchor) <= at_most_s``.

    ``at_most_s`` is ``None`` for no limit. ``rule`` is the sentence for the user when it cannot be kept.
    """

    predecessor: str
    successor: str
    at_least_s: int | None = 0
    at_most_s: int | None = None
    predecessor_anchor: Anchor = Anchor.END
    successor_anchor: Anchor = Anchor.START
    rule: str = ""
    span: Span = field(default_factory=lambda: Span("<made in code>"), compare=False, repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Resource:
    """Something counted: rings, pans of one kind. ``label`` is the user's word for one of them."""

    id: str
    capacity: int
    label: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Occupation:
    """
    A resource held from the start of ``first`` to the end of ``last`` plus ``after_s`` (washing).

    Used for vessels that stay occupied from first use until freed.
    """

    id: str
    resource: str
    first: str
    last: str
    count: int = 1
    after_s: int = 0
    label: str = ""
    span: Span = field(default_factory=lambda: Span("<made in code>"), compare=False, repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class DayRule:
    """
    ``one`` and ``other`` begin on the same day, or with ``is_apart`` the first on an earlier day than the second.

    A day is what lies between two closed times of the plan.
    """

    one: str
    other: str
    is_apart: bool = False
    rule: str = ""
    span: Span = field(default_factory=lambda: Span("<made in code>"), compare=False, repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Worker:
    """A person; ``away`` are closed-open second ranges in which they do nothing (meal, night)."""

    name: str
    away: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanInput:
    """
    Everything the planner must know; ids are unique, lags and occupations name existing ids.

    ``oven_shelves``, ``oven_tolerance_c`` and ``oven_change_s`` map each oven. ``horizon_s`` bounds every end;
    ``None`` lets the planner find one. ``meal`` is the rule of the break, taken in the BREAK
    activity that it names; ``earlier_meals`` are those of the days before the last.
    ``heroes`` are the activities that begin the serving of a dish. ``closed`` are the closed-open second ranges between
    the days of a plan over several days, in order: only what may run then runs then, nothing begins, and an oven is
    cold after them. ``begins`` is second 0 on the calendar where the plan is over several days.

    Raises
    ------
    ValueError
        If ids are doubled or a lag, occupation, need, day rule or oven state names something that is not there, or if
        closed times are not in order.
    """

    activities: tuple[Activity, ...]
    lags: tuple[Lag, ...] = ()
    resources: tuple[Resource, ...] = ()
    occupations: tuple[Occupation, ...] = ()
    workers: tuple[Worker, ...] = ()
    oven_shelves: tuple[tuple[str, int], ...] = ()
    oven_tolerance_c: tuple[tuple[str, int], ...] = ()
    oven_change_s: tuple[tuple[str, int], ...] = ()
    horizon_s: int | None = None
    cameras: tuple[Camera, ...] = ()
    meal: Meal | None = None
    earlier_meals: tuple[Meal, ...] = ()
    heroes: tuple[str, ...] = ()
    closed: tuple[tuple[int, int], ...] = ()
    day_rules: tuple[DayRule, ...] = ()
    begins: datetime | None = None

    @property
    def breaks(self) -> tuple[Meal, ...]:
        """The meals that are planned, in the order of the days."""
        return (*self.earlier_meals, *((self.meal,) if self.meal is not None and self.meal.activity else ()))

    def __post_init__(self) -> None:
        ids = [activity.id for activity in self.activities]
        known = set(ids)
        if len(known) != len(ids):
            raise ValueError("activity ids must be unique")
        named = {lag.predecessor for lag in self.lags} | {lag.successor for lag in self.lags}
        named |= {item.first for item in self.occupations} | {item.last for item in self.occupations}
        named |= {name for rule in self.day_rules for name in (rule.one, rule.other)}
        named |= {a.oven.heat for a in self.activities if a.oven is not None and a.oven.heat}
        if not named <= known:
            raise ValueError(f"unknown activities: {sorted(named - known)}")
        resources = {resource.id for resource in self.resources}
        needed = {name for a in self.activities for name, _ in a.needs} | {o.resource for o in self.occupations}
        if not needed <= resources:
            raise ValueError(f"unknown resources: {sorted(needed - resources)}")
        people = {worker.name for worker in self.workers}
        asked = {name for a in self.activities for name in a.workers}
        if not asked <= people:
            raise ValueError(f"unknown workers: {sorted(asked - people)}")
        cameras = {a.film.camera for a in self.activities if a.film is not None}
        cameras -= {camera.name for camera in self.cameras}
        if cameras:
            raise ValueError(f"unknown cameras: {sorted(cameras)}")
        marks = [mark for pair in self.closed for mark in pair]
        if marks != sorted(set(marks)):
            raise ValueError("closed times must be in order and apart")
        if not {meal.activity for meal in self.breaks} <= known:
            raise ValueError("the meal break is not among the activities")


@dataclass(frozen=True, slots=True, kw_only=True)
class Assignment:
    """
    When an activity runs and who does it.

    ``pieces`` are closed-open (start, end) seconds in order: one, or several for a pausable activity. ``worker`` is
    empty where nobody is needed. ``look_ins`` are (start, end, worker).
    """

    activity: str
    pieces: tuple[tuple[int, int], ...]
    worker: str = ""
    look_ins: tuple[tuple[int, int, str], ...] = ()
    units: tuple[tuple[str, int], ...] = ()

    @property
    def start_s(self) -> int:
        """When the first piece starts."""
        return self.pieces[0][0]

    @property
    def end_s(self) -> int:
        """When the last piece ends."""
        return self.pieces[-1][1]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sequence:
    """The order in which one person, ring, vessel or oven serves activities, ids in order of start."""

    resource: str
    activities: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """An assignment for each activity, in the order of the input."""

    assignments: tuple[Assignment, ...]

    @property
    def makespan_s(self) -> int:
        """When the last activity ends, 0 for an empty schedule."""
        return max((item.end_s for item in self.assignments), default=0)

    def of(self, activity: str) -> Assignment:
        """
        Return the assignment of an activity.

        Raises
        ------
        KeyError
            If the activity is not in the schedule.
        """
        for item in self.assignments:
            if item.activity == activity:
                return item
        raise KeyError(activity)


class SolveStatus(Enum):
    """Proven shortest, valid with a gap to the bound, or no plan possible."""

    OPTIMAL = "optimal"
    FEASIBLE = "feasible"
    INFEASIBLE = "infeasible"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True, kw_only=True)
class SolveResult:
    """
    The run of a planner: status, the best schedule, a true lower bound on its makespan.

    ``short_schedule`` is the same plan run with every duration at its short end (rule T6), ``None`` if a limit breaks
    there. ``engine`` is "list" where a list schedule met the bounds and no solver was started, else "cp-sat".
    ``notes`` say in sentences what was not looked for or not proven. ``phases`` are the aims in their order, each with
    what it reached; fewer re-rigs than ``least_rerigs`` no day has within the latest wrap. ``is_stopped`` is whether
    the user stopped the search (Ctrl-C): another run may find more.
    """

    status: SolveStatus
    schedule: Schedule | None
    bound_s: int
    engine: str
    short_schedule: Schedule | None = None
    notes: tuple[str, ...] = ()
    phases: tuple[SolvePhase, ...] = ()
    least_rerigs: int = 0
    is_stopped: bool = False

    @property
    def gap_percent(self) -> float:
        """How far the makespan may be above the optimum, in percent of the bound."""
        if self.schedule is None or self.bound_s == 0:
            return 0.0
        return 100.0 * (self.schedule.makespan_s - self.bound_s) / self.bound_s


@dataclass(frozen=True, slots=True, kw_only=True)
class Violation:
    """A rule that a schedule breaks: its name, the activities involved, and the sentence for the user."""

    rule: str
    activities: tuple[str, ...]
    message: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChainLink:
    """
    One link of the chain that decides the wrap, in order of time (rule T10).

    ``because`` says what its start waited for: the rule of a lag, "waits for Ann's hands", "waits for the oven to
    change to 180 °C"; empty where it starts the day.
    """

    activity: str
    start_s: int
    end_s: int
    because: str = ""
