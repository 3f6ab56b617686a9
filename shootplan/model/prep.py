"""What the crew prepares: jobs before the day with their start windows, what leaves the fridge when, bowls on trays."""

from __future__ import annotations

from shootplan.model.quantity import Amount
from shootplan.model.resolved import Measured
from shootplan.records import dataclass

__all__ = ["AheadJob", "Bowl", "FridgeItem", "Prep", "Tasting", "Washing"]

#: Closed start and end, whole seconds from call; below zero before it.
Span = tuple[int, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class AheadJob:
    """
    One job before its use: steps that follow one another within a limit, the last of which is then left alone.

    It may begin from ``earliest_s`` (``None``: no limit) to ``latest_s``, seconds from call; ``slots`` are the parts of
    that in which somebody is there, the evening before first. ``left_s`` is how long it then waits at the least and
    (``None``: no limit) at the most; ``chilled_s`` how long it may wait in the fridge instead. ``refused`` says why
    there is no slot. ``is_optional`` where only options need it. ``what`` is what it
    makes or begins with.
    """

    recipe: str
    steps: tuple[str, ...]
    hands_s: int
    earliest_s: int | None
    latest_s: int
    used_by: str
    used_at_s: int
    left_s: tuple[int, int | None] = (0, None)
    chilled_s: int | None = None
    place: str = ""
    keeps: str = ""
    slots: tuple[Span, ...] = ()
    refused: str = ""
    is_optional: bool = False
    what: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FridgeItem:
    """
    Something that comes out of the fridge, at ``planned_s`` by the plan.

    What must soften or thaw may come out from ``earliest_s`` to ``latest_s``; both are ``None`` for what is used cold.
    """

    recipe: str
    what: str
    planned_s: int
    used_by: str
    used_at_s: int
    earliest_s: int | None = None
    latest_s: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Bowl:
    """
    One bowl of a dish's tray: an ingredient's part for one step.

    ``mark`` is its letter, ``clock_s`` when the step begins (``None``: before the day). ``by_s`` is set instead where
    the step is optional and not planned: when what it makes is wanted. A held-back part stands in a bowl of its own,
    ``is_held_back``. ``spare`` is what further takes need beside it.
    """

    recipe: str
    mark: str
    item: str
    form: str
    measured: Measured
    typed: Amount | None
    step: str
    clock_s: int | None
    is_held_back: bool = False
    is_optional: bool = False
    spare: Amount | None = None
    by_s: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Tasting:
    """
    Until when a dish may be eaten on camera, by the rules of food safety; ``None`` where none of ours limits it.

    ``served_s`` is when it is on the plate, ``since_s`` when the part of it that limits it left the heat or the cold in
    the step ``since``; ``why`` names the rule and its publisher.
    """

    recipe: str
    served_s: int
    since_s: int | None = None
    since: str = ""
    until_s: int | None = None
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Washing:
    """A vessel that is washed between two uses: free at ``free_s``, clean at ``clean_s``, wanted at ``wanted_s``."""

    label: str
    free_s: int
    clean_s: int
    wanted_s: int
    before: str
    after: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Prep:
    """
    All of it: jobs and fridge list by the clock, bowls of each dish in order of use, when a ring is on.

    ``washing`` is by the clock, ``tasting`` in screen order.
    """

    ahead: tuple[AheadJob, ...] = ()
    fridge: tuple[FridgeItem, ...] = ()
    bowls: tuple[Bowl, ...] = ()
    on_heat: tuple[Span, ...] = ()
    washing: tuple[Washing, ...] = ()
    tasting: tuple[Tasting, ...] = ()
