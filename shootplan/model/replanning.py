"""
What really happened on the day, and the rest of the day planned from it; no solver types, no files.

All times are whole seconds on the plan's clock, which starts at 0 (call); what happened before call is negative. A
*run* is what a cook begins and finishes as one thing: a step, one batch of it, or a heat of the oven that no step says.
"""

from __future__ import annotations

from dataclasses import field
from datetime import date
from enum import Enum

from shootplan.model.day import DayRow, PendingLimit, RunningTask
from shootplan.model.planning import PlanInput, Schedule, SolveStatus
from shootplan.problems import Span
from shootplan.records import dataclass

__all__ = [
    "BrokenLimit",
    "DayWrap",
    "Fact",
    "LogEvent",
    "LogKind",
    "LogLine",
    "Move",
    "Replan",
    "Run",
    "RunState",
    "StepMinutes",
]


class LogKind(Enum):
    """
    What a line of the day's log says of a step; the value is the word in the file.

    LEFT: the hands are off and the rest goes on alone. LATE: so much later than planned. SWAPPED: a dish made earlier
    stands in for the wait. LOOKED: somebody looked in.
    """

    BEGUN = "begun"
    LEFT = "left"
    DONE = "done"
    LATE = "late"
    SWAPPED = "swapped"
    LOOKED = "looked-in"


@dataclass(frozen=True, slots=True, kw_only=True)
class LogLine:
    """
    One line of the log as it was written: the step in the user's words, the moment in seconds of the day.

    ``late_s`` is how much later than planned, for LATE. ``clock_s`` is ``None`` where no time is told, ``on`` where no
    day is. What ``is_now`` is not from a file, but told with the moment that is asked for.
    """

    kind: LogKind
    step: str
    clock_s: int | None
    on: date | None = None
    is_now: bool = False
    late_s: int = 0
    span: Span = field(default_factory=lambda: Span("<made in code>"), compare=False, repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class LogEvent:
    """Something that happened to a run at ``at_s``."""

    kind: LogKind
    run: str
    at_s: int
    late_s: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A step, one batch of it, or a heat of its own: the activities that follow one another without a pause."""

    id: str
    label: str
    recipe: str
    step: str
    activities: tuple[str, ...]


class RunState(Enum):
    """How far a run is."""

    AHEAD = "ahead"
    RUNNING = "running"
    DONE = "done"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """
    When an activity really began, and when it ended or is expected to end.

    ``is_assumed`` marks what nobody logged and what follows from something logged. ``is_waiting`` marks hands-on work
    that was left for other work of the same person: ``left_s`` of it is still to be done, at any time.
    """

    start_s: int
    end_s: int
    is_done: bool
    worker: str = ""
    is_assumed: bool = False
    is_waiting: bool = False
    left_s: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class BrokenLimit:
    """
    A limit that cannot be kept any more, or is already broken: the rule and by how much it is overrun.

    ``late_s`` is 0 for a rule that is kept or not, such as that something is done on an earlier day.
    """

    rule: str
    activities: tuple[str, ...]
    late_s: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """A run that begins at another time than was planned, why, and which runs planned before it it now precedes."""

    run: str
    label: str
    old_s: int
    new_s: int
    because: str = ""
    overtakes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class DayWrap:
    """
    One day of a plan over several days: when it should end, when its last work ends now and in the plan before.

    The strike of filmed days comes after the last one. What goes on overnight does not count. A day on which nothing is
    done has ``None`` for its wrap.
    """

    opens_s: int
    closes_s: int
    wrap_s: int | None
    old_wrap_s: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Replan:
    """
    The rest of the day from ``now_s``.

    ``schedule`` holds every activity of ``plan_input``: those that happened at their real times, those that run to
    their expected end, the rest as planned now. ``rest`` and ``rest_schedule`` are what the planner was given and
    answered, and what the verifier checks (before call on a clock that begins now). ``old_wrap_s`` is the wrap of the
    plan before; ``days`` has that of each of several days. ``bound_s`` is a true lower bound on the wrap while every
    limit that can be kept is kept. ``broken`` names what cannot be kept.
    """

    now_s: int
    plan_input: PlanInput
    schedule: Schedule
    rest: PlanInput
    rest_schedule: Schedule
    old_wrap_s: int
    status: SolveStatus
    bound_s: int
    states: tuple[tuple[str, RunState], ...] = ()
    next_rows: tuple[DayRow, ...] = ()
    running: tuple[RunningTask, ...] = ()
    limits: tuple[PendingLimit, ...] = ()
    look_ins: tuple[tuple[int, str, str], ...] = ()
    moves: tuple[Move, ...] = ()
    broken: tuple[BrokenLimit, ...] = ()
    notes: tuple[str, ...] = ()
    days: tuple[DayWrap, ...] = ()

    @property
    def wrap_s(self) -> int:
        """When the last activity ends, what has happened included."""
        return self.schedule.makespan_s

    def state(self, run: str) -> RunState:
        """Return how far a run is."""
        return dict(self.states).get(run, RunState.AHEAD)


@dataclass(frozen=True, slots=True, kw_only=True)
class StepMinutes:
    """
    Planned and real seconds of one step, hands and left alone apart; ``None`` where the log does not say.

    ``field`` is the field of the step ("hands", "watch", "leave"); ``new_low_s`` and ``new_high_s`` are a range that
    holds the recipe's own and what was measured, in whole minutes.
    """

    run: str
    label: str
    field: str
    low_s: int
    high_s: int
    real_s: int
    new_low_s: int
    new_high_s: int

    @property
    def is_outside(self) -> bool:
        """Whether the real time lies outside the recipe's range, to the half minute."""
        return not self.low_s - 30 <= self.real_s <= self.high_s + 30
