"""
The filmed day: what a recording asks of a camera, the cameras with their positions, the meal break, the day's parts.

Plain data without solver types. All times are whole seconds; moments are on the plan's clock, which starts at 0 (call).
"""

from __future__ import annotations

from shootplan.records import dataclass

__all__ = [
    "Camera",
    "CameraGap",
    "DayParts",
    "Film",
    "Meal",
    "PickUp",
    "PickUps",
    "Recording",
    "SolvePhase",
    "Standing",
    "Stretch",
    "TakesInTime",
    "UntakenShot",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Film:
    """
    That an activity is recorded: by which camera, from which position, with how many takes and resets between them.

    The camera is bound as long as the activity runs; its duration holds all takes and resets (rule T9). With
    ``has_sync_sound`` nothing noisy may run at the same time, the activity itself apart.
    """

    camera: str
    position: str
    framing: str = ""
    takes: int = 1
    reset_s: int = 0
    has_sync_sound: bool = True

    @property
    def resets_s(self) -> int:
        """Seconds of resetting between the takes."""
        return max(0, self.takes - 1) * self.reset_s


@dataclass(frozen=True, slots=True, kw_only=True)
class Camera:
    """
    One camera and how long it takes to move between its positions.

    ``moves`` are (from, to, seconds) for every two positions, each no longer than any way round. ``operator`` is the
    person who moves and runs it, empty for a camera that is fixed once and runs alone. The first position is rigged
    before ``ready_s``; nothing is recorded earlier.
    """

    name: str
    moves: tuple[tuple[str, str, int], ...] = ()
    operator: str = ""
    ready_s: int = 0

    def move_s(self, first: str, second: str) -> int:
        """Return the seconds of a re-rig, 0 within one position."""
        return next((seconds for one, other, seconds in self.moves if (one, other) == (first, second)), 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Meal:
    """
    A break of ``length_s`` in which nobody works and nothing is recorded, begun ``within_s`` after call.

    It is due only if the day is longer than ``within_s``; it is not begun before ``from_s``. No limit on waiting
    between two steps runs across it. ``activity`` is the id under which it is planned, empty where none is.
    """

    activity: str
    length_s: int
    within_s: int
    from_s: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class PickUp:
    """A shot that one camera cannot take while the dish is made: recorded later, ``because`` in the user's words."""

    recipe: str
    step: str
    label: str
    position: str
    because: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PickUps:
    """
    The shots to pick up later, in the order of the plan's input, and whether fewer are proven impossible.

    ``is_stopped`` is whether the user stopped the search for them.
    """

    shots: tuple[PickUp, ...] = ()
    is_proven: bool = True
    is_stopped: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class UntakenShot:
    """A shot of a recipe that the planned day does not record, ``because`` in the user's words."""

    recipe: str
    step: str
    label: str
    position: str
    framing: str
    because: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """What a step made stands from ``since_s`` until the step that goes on with it begins; both in the user's words."""

    label: str
    since_s: int
    until_s: int
    after: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TakesInTime:
    """
    How many takes of a shot there is time for: ``most`` begin by ``latest_s``, the moment that ``rule`` gives.

    A take lasts ``take_s``, with ``reset_s`` before the next; ``planned`` takes begin at ``start_s``. ``most_in_wrap``
    leave the wrap where it is.
    """

    activity: str
    label: str
    start_s: int
    planned: int
    take_s: int
    reset_s: int
    latest_s: int
    rule: str
    most: int
    most_in_wrap: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Recording:
    """
    One recording of the day in order of the clock.

    ``rerig_s`` is the time in which the camera is moved here before it, ``rerig_from_s`` when that begins at the
    latest; both 0 where the camera stands there already.
    """

    activity: str
    camera: str
    position: str
    start_s: int
    end_s: int
    rerig_s: int = 0
    rerig_from_s: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class DayParts:
    """
    The parts of the shoot day, which add up to wrap less call exactly (rule T5), for the main camera.

    ``wait_s`` is what is left: rigged, nobody on a break, not recording. ``closed_s`` are the closed times between the
    days of a plan over several days, each of which begins with its set-up.
    """

    set_up_s: int
    recording_s: int
    rerig_s: int
    reset_s: int
    wait_s: int
    break_s: int
    strike_s: int
    closed_s: int = 0

    @property
    def total_s(self) -> int:
        """Wrap less call."""
        parts = (self.set_up_s, self.recording_s, self.rerig_s, self.reset_s, self.wait_s, self.break_s, self.strike_s)
        return sum(parts) + self.closed_s


@dataclass(frozen=True, slots=True, kw_only=True)
class SolvePhase:
    """What one phase of the planner looked for, what it reached and whether nothing better is possible."""

    name: str
    value: int
    unit: str
    is_proven: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """
    A stretch of the day of the main camera in one of its parts (rule T5).

    ``part`` is "set-up", "recording", "reset", "re-rig", "camera wait", "break" or "strike"; ``activity`` what is
    recorded or reset.
    """

    part: str
    start_s: int
    end_s: int
    activity: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CameraGap:
    """
    From one recording to the next with ``wait_s`` of waiting in it; positions are empty at the ends of the day.

    ``fits`` are later shots, in words, that could be taken in it, the camera moved there and back.
    """

    start_s: int
    end_s: int
    wait_s: int
    before: str
    after: str
    fits: tuple[str, ...] = ()
