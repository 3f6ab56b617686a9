"""
How a planner that takes long asks for what was found before: whoever calls it may bring a place to keep things in.

A plan input and settings that say everything else go in, what was kept for them or is made now comes out. Where things
are kept is decided elsewhere.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol, TypeVar

from shootplan.model.planning import PlanInput

__all__ = ["Found", "Keep", "made_anew"]


class _MayBeStopped(Protocol):
    """What a search that the user may stop has found."""

    @property
    def is_stopped(self) -> bool:
        """Whether the user stopped it, so that another run may find more."""
        ...


Found = TypeVar("Found", bound=_MayBeStopped)


class Keep(Protocol):
    """Returns what was kept for an input and settings if it ``is_sound`` still, else makes it and keeps it."""

    def __call__(
        self, plan_input: PlanInput, settings: str, make: Callable[[], Found], is_sound: Callable[[Found], bool]
    ) -> Found:
        """Return what was kept or made."""
        ...


def made_anew(
    plan_input: PlanInput, settings: str, make: Callable[[], Found], is_sound: Callable[[Found], bool]
) -> Found:
    """Keep nothing."""
    return make()
