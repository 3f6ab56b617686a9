"""``python -m shootplan`` and the ``shootplan`` console script."""

from __future__ import annotations

import gc

__all__ = ["main"]

#: A command makes some ten thousand objects and ends: searching them for cycles again and again is waste. Only long
#: work makes so many that a search pays.
_OBJECTS_BEFORE_A_SEARCH = 300_000


def main() -> None:
    """Run the command line in its own process, at whose end nothing is searched: all goes with it."""
    gc.set_threshold(_OBJECTS_BEFORE_A_SEARCH, 10, 10)
    from shootplan.cli import main as run

    try:
        run()
    finally:
        gc.freeze()


if __name__ == "__main__":
    main()
