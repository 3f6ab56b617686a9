"""
Solved plans in the user's cache folder: a build after a caption was changed does not plan the same day again.

A plan is found by everything that it came from: the plan input, the settings, the planner's own files, the solver's
version. What is found is checked by the verifier before it is used (by the caller, who has it).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from shootplan.model.planning import PlanInput
from shootplan.resources import cache_folder
from shootplan.write.kept import Kept

__all__ = ["KeptPlans", "kept_plans"]

_MOST = 400


class KeptPlans:
    """Plans in a folder, a file each."""

    def __init__(self, kept: Kept, planner: str) -> None:
        self._kept = kept
        self._planner = planner

    def place(self, plan_input: PlanInput, settings: str) -> Path:
        """Return the file of a plan."""
        return self._kept.place(self._told(plan_input, settings))

    def get(self, plan_input: PlanInput, settings: str, is_sound: Callable[[Any], bool]) -> Any:
        """Return what is kept of a plan, or ``None`` if there is nothing that can be read and is sound."""
        found = self._kept.get(self._told(plan_input, settings))
        try:
            return found if found is not None and is_sound(found) else None
        except Exception:
            # A file of the right form that names what this day does not have.
            return None

    def put(self, plan_input: PlanInput, settings: str, found: object) -> None:
        """Keep a plan, or what was found on the way to one."""
        self._kept.put(self._told(plan_input, settings), found)
        self._kept.tidy()

    def _told(self, plan_input: PlanInput, settings: str) -> str:
        return f"{self._planner}\n{settings}\n{plan_input!r}"


def kept_plans(planner_files: Iterable[Path]) -> KeptPlans | None:
    """
    Return the store, or ``None`` where nothing can be kept.

    ``planner_files`` are the files that make a plan; a change of any of them makes every plan anew.
    """
    from importlib.util import find_spec

    from shootplan import __version__

    folder = cache_folder("plans")
    solver = find_spec("ortools")
    if folder is None or solver is None or solver.origin is None:
        return None
    stamps = [f"{path.name} {_stamp(path)}" for path in sorted((*planner_files, Path(solver.origin)))]
    return KeptPlans(Kept(folder, most=_MOST), "\n".join((__version__, *stamps)))


def _stamp(path: Path) -> str:
    found = path.stat()
    return f"{found.st_size} {found.st_mtime_ns}"
