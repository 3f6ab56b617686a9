"""
Finds the files that ship with the program: the built-in templates.

Nothing comes in; a folder goes out. No template is read here.
"""

from __future__ import annotations

from pathlib import Path

from shootplan.problems import ResourceError

__all__ = ["templates_root"]

_PACKAGE = Path(__file__).resolve().parent


def templates_root(package: Path = _PACKAGE) -> Path:
    """
    Return the folder of the built-in templates.

    An installed wheel carries them inside the package; a checkout (and an editable install, whose package is the
    checkout's) has them beside it.

    Parameters
    ----------
    package
        The package's folder; tests pass another.

    Raises
    ------
    ResourceError
        If neither place has them; both are named.
    """
    shipped = package / "_templates"
    if shipped.is_dir():
        return shipped
    beside = package.parent / "templates"
    if beside.is_dir() and (package.parent / "pyproject.toml").is_file():
        return beside
    raise ResourceError(f'the templates are missing: looked in "{shipped}" and "{beside}"; install shootplan again')
