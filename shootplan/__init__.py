"""
Plan, cost, script and caption a multi-recipe cooking episode from one plain-text source.

The public names load on first use, so that ``import shootplan`` stays cheap.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shootplan.app import build, check, cost, load, plan, publish, times

__version__ = "0.1.0"
__all__ = ["__version__", "build", "check", "cost", "load", "plan", "publish", "times"]


def __getattr__(name: str) -> object:
    if name in __all__:
        from shootplan import app

        return getattr(app, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
