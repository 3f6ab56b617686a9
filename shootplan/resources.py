"""
Finds folders: of the built-in templates, which ship with the program, and of what may be kept between runs.

Nothing comes in; a folder goes out. Nothing is read or made here.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

from shootplan.problems import ResourceError

__all__ = ["cache_root", "templates_root"]

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


def cache_root() -> Path:
    """
    Return the user's folder for what can be made again, for this version of the program and Python; it may not exist.

    ``SHOOTPLAN_CACHE`` names another place. Else the XDG Base Directory Specification's ``XDG_CACHE_HOME`` or
    ``~/.cache``; on Windows ``LOCALAPPDATA``.
    """
    from shootplan import __version__

    told = os.environ.get("SHOOTPLAN_CACHE")
    usual = os.environ.get("LOCALAPPDATA" if sys.platform == "win32" else "XDG_CACHE_HOME")
    if told:
        place = Path(told)
    elif usual and Path(usual).is_absolute():
        place = Path(usual) / "shootplan"
    else:
        place = Path("~/.cache/shootplan").expanduser()
    return place / f"{__version__}-{sys.implementation.cache_tag}"
