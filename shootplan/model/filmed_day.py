"""The filmed day as it was planned and as it is read off: recordings, rows by the clock, the day's parts, pick-ups."""

from __future__ import annotations

from shootplan.model.day import DayRow, EquipmentPeak
from shootplan.model.filming import CameraGap, DayParts, PickUp, Recording, Standing, Stretch, TakesInTime, UntakenShot
from shootplan.model.planning import ChainLink, PlanInput, SolveResult
from shootplan.records import dataclass

__all__ = ["FilmedDay"]


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmedDay:
    """
    What was asked, the answer, and its readings.

    ``rows`` are all steps and look-ins by the clock, ``recordings`` what the cameras take, ``parts`` the parts of the
    day that add up to wrap less call (rule T5), ``pick_ups`` shots that are not taken while the dish is made, ``chain``
    what decides wrap. ``stretches`` are the day minute by minute, ``gaps`` the longer waits of the main camera with the
    later shots that would fit, ``takes`` how often a dish that cannot wait may be shot, ``untaken`` the shots of the
    recipes that this day does not take, ``standing`` what stands longest between two steps.
    """

    plan_input: PlanInput
    result: SolveResult
    rows: tuple[DayRow, ...]
    peaks: tuple[EquipmentPeak, ...]
    recordings: tuple[Recording, ...]
    parts: DayParts
    pick_ups: tuple[PickUp, ...] = ()
    chain: tuple[ChainLink, ...] = ()
    stretches: tuple[Stretch, ...] = ()
    gaps: tuple[CameraGap, ...] = ()
    takes: tuple[TakesInTime, ...] = ()
    untaken: tuple[UntakenShot, ...] = ()
    standing: tuple[Standing, ...] = ()
