"""
The planned day as it is read off: rows by the clock, what runs alone meanwhile, limits, equipment at once.

All times are whole seconds on the plan's clock, which starts at 0 (call). Rows are computed; documents lay them out.
"""

from __future__ import annotations

from enum import Enum

from shootplan.records import dataclass

__all__ = ["DayRow", "EquipmentPeak", "IdleGap", "PendingLimit", "RowKind", "RowPart", "RunningTask"]

#: Kinds of parts that bind nobody.
_ALONE = ("leave", "heat")


class RowKind(Enum):
    """What begins at a row: a step, or a look-in on a step that runs."""

    STEP = "step"
    LOOK_IN = "look-in"


@dataclass(frozen=True, slots=True, kw_only=True)
class RowPart:
    """
    One stretch of a step: what kind of work ("hands", "watch", "leave", "heat"), from when to when.

    Work that was broken off has one part for each piece.
    """

    kind: str
    start_s: int
    end_s: int


@dataclass(frozen=True, slots=True, kw_only=True)
class RunningTask:
    """Something left alone (or an oven heating) that runs at a moment, and when it ends."""

    activity: str
    recipe: str
    step: str
    label: str
    ends_s: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PendingLimit:
    """
    A limit on waiting that runs: ``successor`` starts (or ends) by ``latest_s``; planned at ``planned_s``.

    ``rule`` is the sentence for the user. ``to_spare_s`` is the time left between plan and limit.
    """

    rule: str
    successor: str
    latest_s: int
    planned_s: int

    @property
    def to_spare_s(self) -> int:
        """How much later than planned it may happen."""
        return self.latest_s - self.planned_s


@dataclass(frozen=True, slots=True, kw_only=True)
class DayRow:
    """
    One row of the day by the clock: a step (or one batch of it) or a look-in.

    ``who`` is empty where nobody is bound. ``equipment`` are words ("ring", "28 cm pan", "oven 200 °C"), those that an
    earlier step took and still holds included. ``look_ins`` are the moments of looking in while it is left.
    ``meanwhile`` is what else runs alone when the row begins, by its end. ``limits`` are limits that run while the row
    lasts, the next to expire first. ``slack_s`` is how much later the row may begin with the plan's order kept and the
    wrap unmoved (rule T10), ``None`` where it was not worked out.
    """

    clock_s: int
    end_s: int
    kind: RowKind
    recipe: str
    step: str
    label: str
    activities: tuple[str, ...]
    who: str = ""
    parts: tuple[RowPart, ...] = ()
    equipment: tuple[str, ...] = ()
    look_ins: tuple[int, ...] = ()
    meanwhile: tuple[RunningTask, ...] = ()
    limits: tuple[PendingLimit, ...] = ()
    slack_s: int | None = None

    @property
    def is_alone(self) -> bool:
        """Whether it binds nobody from beginning to end."""
        return any(part.kind in _ALONE for part in self.parts) and self.hands_until_s == self.clock_s

    @property
    def is_alone_after(self) -> bool:
        """Whether it goes on by itself once somebody has worked at it."""
        return any(part.kind in _ALONE for part in self.parts) and self.hands_until_s > self.clock_s

    @property
    def hands_until_s(self) -> int:
        """When the last work at it ends, its begin where it binds nobody."""
        return max((part.end_s for part in self.parts if part.kind not in _ALONE), default=self.clock_s)

    @property
    def hands_s(self) -> int:
        """Seconds for which the row binds somebody, look-ins left out."""
        return sum(part.end_s - part.start_s for part in self.parts if part.kind in ("hands", "watch"))


@dataclass(frozen=True, slots=True, kw_only=True)
class IdleGap:
    """A stretch in which a person has nothing to do; ``fits`` are later steps that could be done in it, in words."""

    worker: str
    start_s: int
    end_s: int
    fits: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class EquipmentPeak:
    """
    The most of one kind of equipment in use at once, of how many, and when that is first so.

    For ovens it counts shelves. Washing after a hold counts as use.
    """

    resource: str
    label: str
    peak: int
    capacity: int
    at_s: int
