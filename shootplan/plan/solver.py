"""
OR-Tools' CP-SAT interface without pandas, which it imports for tables of variables that we never make.

That is half of its import. The module is loaded a second time under a name of our own, so that whoever uses the public
one beside us has it whole.
"""

from __future__ import annotations

import sys
from functools import cache
from types import ModuleType
from typing import Any

__all__ = ["cp_model"]

_PUBLIC = "ortools.sat.python.cp_model"
_OWN = "shootplan.plan._cp_model"


class _Standin(ModuleType):
    """A module whose every name is a class of its own, so that nothing is ever an instance of it."""

    def __getattr__(self, name: str) -> Any:
        if name.startswith("__"):
            raise AttributeError(name)
        made = type(name, (), {})
        setattr(self, name, made)
        return made


@cache
def cp_model() -> Any:
    """Return the module, light if that works with this version of OR-Tools, else the public one."""
    if _PUBLIC in sys.modules:
        return sys.modules[_PUBLIC]
    try:
        return _light()
    except Exception:
        from ortools.sat.python import cp_model as public

        return public


def _light() -> ModuleType:
    from importlib.machinery import SourceFileLoader
    from importlib.util import find_spec, module_from_spec, spec_from_file_location

    public = find_spec(_PUBLIC)
    origin = public.origin if public is not None else None
    # A loader runs code only for the name that it was made for.
    own = spec_from_file_location(_OWN, origin, loader=SourceFileLoader(_OWN, origin)) if origin else None
    if own is None or own.loader is None:
        raise ImportError(_PUBLIC)
    module = module_from_spec(own)
    before = sys.modules.get("pandas")
    sys.modules["pandas"] = before or _Standin("pandas")
    try:
        own.loader.exec_module(module)
    finally:
        if before is None:
            del sys.modules["pandas"]
    return module
