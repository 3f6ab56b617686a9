"""
What a plan's ovens ask for: sessions, which of them cannot overlap, and how long each heat lasts after which other.

A ``PlanInput`` comes in, facts that hold for every schedule go out. When anything happens is decided elsewhere.
"""

from __future__ import annotations

from shootplan.model.planning import Activity, ActivityKind, PlanInput
from shootplan.records import dataclass

__all__ = ["Oven", "Session", "heat_range", "ovens_of"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Session:
    """
    One heat and its bakes, in the order of the input.

    ``temperatures`` are those of the dial: the heat's, then each bake's that lies further from it than the tolerance.
    """

    heat: Activity
    bakes: tuple[Activity, ...]
    temperatures: tuple[int, ...]

    @property
    def id(self) -> str:
        """The id of the heat."""
        return self.heat.id

    @property
    def members(self) -> tuple[Activity, ...]:
        """The heat and its bakes."""
        return (self.heat, *self.bakes)


@dataclass(frozen=True, slots=True, kw_only=True)
class Oven:
    """An oven with its sessions, shelves, tolerance in °C and seconds for a change of temperature."""

    name: str
    shelves: int
    tolerance_c: int
    change_s: int
    sessions: tuple[Session, ...]

    def clash(self, one: Session, other: Session) -> bool:
        """Return whether two sessions ask for temperatures too far apart to overlap."""
        both = (*one.temperatures, *other.temperatures)
        return max(both) - min(both) > self.tolerance_c

    def change_after(self, before: Session, after: Session) -> int:
        """Return the seconds of a later heat: none if the dial already stands there."""
        return 0 if before.temperatures[-1] == after.temperatures[0] else self.change_s


def ovens_of(plan_input: PlanInput) -> tuple[Oven, ...]:
    """Return the ovens that the plan heats, in order of first use; an oven not described has one shelf."""
    shelves, tolerance = dict(plan_input.oven_shelves), dict(plan_input.oven_tolerance_c)
    change = dict(plan_input.oven_change_s)
    names = dict.fromkeys(item.oven.oven for item in plan_input.activities if item.oven is not None)
    return tuple(
        Oven(
            name=name,
            shelves=shelves.get(name, 1),
            tolerance_c=tolerance.get(name, 0),
            change_s=change.get(name, 0),
            sessions=_sessions(plan_input, name, tolerance.get(name, 0)),
        )
        for name in names
    )


def _sessions(plan_input: PlanInput, oven: str, tolerance_c: int) -> tuple[Session, ...]:
    found = []
    for heat in plan_input.activities:
        if heat.kind is not ActivityKind.HEAT or heat.oven is None or heat.oven.oven != oven:
            continue
        bakes = tuple(item for item in plan_input.activities if item.oven is not None and item.oven.heat == heat.id)
        set_c = heat.oven.temperature_c
        asked = [item.oven.temperature_c for item in bakes if item.oven is not None]
        turned = [value for value in asked if abs(value - set_c) > tolerance_c]
        found.append(Session(heat=heat, bakes=bakes, temperatures=(set_c, *turned)))
    return tuple(found)


def heat_range(plan_input: PlanInput, heat: Activity, own_s: int) -> tuple[int, int]:
    """Return the fewest and the most seconds that a heat may last, whatever comes before it."""
    for oven in ovens_of(plan_input):
        for session in oven.sessions:
            if session.id == heat.id:
                later = [oven.change_after(other, session) for other in oven.sessions if other is not session]
                return min([own_s, *later]), max([own_s, *later])
    return own_s, own_s
