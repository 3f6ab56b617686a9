"""
Solved plans in the user's cache folder: a build after a caption was changed does not plan the same day again.

A plan is found by everything that it came from: the plan input, the settings, the planner's own files, the solver's
version. What is found is checked by the verifier before it is used (by the caller, who has it).
"""

from __future__ import annotations

import hashlib
import os
import pickle
from collections.abc import Callable, Iterable
from contextlib import suppress
from pathlib import Path
from typing import Any

from shootplan.model.planning import PlanInput, SolveResult
from shootplan.resources import cache_folder

__all__ = ["KeptPlans", "kept_plans"]

#: The most plans that are kept; the longest unused go first.
_MOST = 400
_OURS = ("shootplan.model.", "shootplan.problems")
_PLAIN = {("builtins", "tuple"), ("builtins", "frozenset"), ("datetime", "time"), ("fractions", "Fraction")}


class _Reader(pickle.Unpickler):
    """Reads values of the model and nothing that could do anything."""

    def find_class(self, module: str, name: str) -> Any:
        if (module.startswith(_OURS) and "." not in name) or (module, name) in _PLAIN:
            return super().find_class(module, name)
        raise pickle.UnpicklingError(f"{module}.{name} does not belong in a plan")


class KeptPlans:
    """Plans in a folder, a file each."""

    def __init__(self, folder: Path, planner: str) -> None:
        self._folder = folder
        self._planner = planner

    def place(self, plan_input: PlanInput, settings: str) -> Path:
        """Return the file of a plan; its name holds everything that the plan depends on."""
        told = f"{self._planner}\n{settings}\n{plan_input!r}"
        return self._folder / f"{hashlib.sha256(told.encode()).hexdigest()}.plan"

    def get(self, plan_input: PlanInput, settings: str, is_sound: Callable[[SolveResult], bool]) -> SolveResult | None:
        """Return the kept plan, or ``None`` if there is none that can be read and is sound."""
        path = self.place(plan_input, settings)
        try:
            with path.open("rb") as file:
                found = _Reader(file).load()
            if isinstance(found, SolveResult) and is_sound(found):
                os.utime(path)
                return found
        except Exception:
            # Whatever is wrong with the file, the plan is made anew and the file replaced.
            return None
        return None

    def put(self, plan_input: PlanInput, settings: str, result: SolveResult) -> None:
        """Keep a plan; a full disk or a folder that has gone is no fault of the plan."""
        path = self.place(plan_input, settings)
        fresh = path.with_name(f"{path.name}.{os.getpid()}")
        with suppress(OSError):
            try:
                fresh.write_bytes(pickle.dumps(result, protocol=5))
                fresh.replace(path)
            finally:
                fresh.unlink(missing_ok=True)
            self._tidy()

    def _tidy(self) -> None:
        plans = list(self._folder.glob("*.plan"))
        if len(plans) > _MOST:
            for path in sorted(plans, key=lambda path: path.stat().st_mtime)[: len(plans) - _MOST]:
                path.unlink(missing_ok=True)


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
    return KeptPlans(folder, "\n".join((__version__, *stamps)))


def _stamp(path: Path) -> str:
    found = path.stat()
    return f"{found.st_size} {found.st_mtime_ns}"
