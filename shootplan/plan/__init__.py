"""The plan stage: steps → ``PlanInput`` → ``SolveResult``; see DEVELOPERS.md. Its solver is imported last."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shootplan.plan.planner import is_sound, solve

__all__ = ["is_sound", "own_files", "solve"]


def own_files() -> tuple[Path, ...]:
    """Return the planner's own files, on which every plan depends; sorted."""
    return tuple(sorted(Path(__file__).parent.glob("*.py")))


def __getattr__(name: str) -> object:
    """Import the planner when it is asked for: what only reads steps does not wait for it."""
    if name not in ("is_sound", "solve"):
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from shootplan.plan import planner

    return getattr(planner, name)
