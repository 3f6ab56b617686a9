"""
Values of the model in a folder of the user's cache, a file each, until they are made again.

What is read back is nothing but values of the model: a file that holds anything else is as good as none.
"""

from __future__ import annotations

import hashlib
import os
import pickle
from contextlib import suppress
from enum import Enum
from pathlib import Path
from typing import Any

__all__ = ["Kept"]

_OURS = ("shootplan.model.", "shootplan.problems")
_PLAIN = {
    *(("builtins", name) for name in ("tuple", "frozenset")),
    *(("datetime", name) for name in ("date", "time")),
    *(("fractions", "Fraction"), ("decimal", "Decimal")),
}


class _Reader(pickle.Unpickler):
    """Reads values of the model and nothing that could do anything."""

    def find_class(self, module: str, name: str) -> Any:
        if (module, name) == ("builtins", "getattr"):
            return _member
        if (module.startswith(_OURS) and "." not in name) or (module, name) in _PLAIN:
            return super().find_class(module, name)
        raise pickle.UnpicklingError(f"{module}.{name} is no value of the model")


def _member(kind: Any, name: Any) -> Enum:
    """Return a member of an enumeration, which Python up to 3.11.3 writes as an attribute of its class."""
    if isinstance(kind, type) and issubclass(kind, Enum) and name in kind.__members__:
        return kind[name]
    raise pickle.UnpicklingError(f"{name} is no value of the model")


class Kept:
    """Values in a folder by a text that says everything they depend on; the longest unused go when there are many."""

    def __init__(self, folder: Path, *, most: int) -> None:
        self._folder = folder
        self._most = most

    def place(self, told: str) -> Path:
        """Return the file of a value."""
        return self._folder / f"{hashlib.sha256(told.encode()).hexdigest()}.kept"

    def get(self, told: str) -> object:
        """Return a kept value, or ``None`` if there is none that can be read."""
        path = self.place(told)
        try:
            with path.open("rb") as file:
                found: object = _Reader(file).load()
            os.utime(path)
        except Exception:
            # Whatever is wrong with the file, the value is made anew and the file replaced.
            return None
        return found

    def put(self, told: str, value: object) -> None:
        """Keep a value; a full disk or a folder that has gone is no fault of the value."""
        path = self.place(told)
        fresh = path.with_name(f"{path.name}.{os.getpid()}")
        with suppress(OSError):
            try:
                fresh.write_bytes(pickle.dumps(value, protocol=5))
                fresh.replace(path)
            finally:
                fresh.unlink(missing_ok=True)

    def tidy(self) -> None:
        """Remove the longest unused values beyond the limit."""
        with suppress(OSError):
            kept = list(self._folder.glob("*.kept"))
            for path in sorted(kept, key=lambda path: path.stat().st_mtime)[: max(0, len(kept) - self._most)]:
                path.unlink(missing_ok=True)
