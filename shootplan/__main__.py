"""``python -m shootplan`` and the ``shootplan`` console script."""

from shootplan.cli import main

__all__ = ["main"]

if __name__ == "__main__":
    main()
