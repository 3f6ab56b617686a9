"""
Finds folders: of the built-in templates, which ship with the program, and of what may be kept between runs.

Nothing comes in; a folder goes out. Nothing is read here.
"""

from __future__ import annotations

import os
import stat
import sys
from pathlib import Path

from shootplan.problems import ResourceError

__all__ = ["cache_folder", "templates_root"]

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


def cache_folder(name: str) -> Path | None:
    """
    Return the user's folder for one kind of what can be made again, made if need be; ``None`` where there can be none.

    ``SHOOTPLAN_CACHE`` names another place, or says ``off``. Else the XDG Base Directory Specification's
    ``XDG_CACHE_HOME`` or ``~/.cache``; on Windows ``LOCALAPPDATA``. What lies there is trusted, so on Unix only a
    folder that is the user's own and that nobody else can write to is taken.
    """
    told = os.environ.get("SHOOTPLAN_CACHE", "")
    if told == "off":
        return None
    usual = os.environ.get("LOCALAPPDATA" if sys.platform == "win32" else "XDG_CACHE_HOME", "")
    try:
        if told:
            place = Path(told)
        elif usual and Path(usual).is_absolute():
            place = Path(usual) / "shootplan"
        else:
            place = Path("~/.cache/shootplan").expanduser()
        folder = place / name
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        found = folder.lstat()
    except (OSError, RuntimeError):  # RuntimeError: nobody's home is known
        return None
    is_safe = sys.platform == "win32" or (found.st_uid == os.getuid() and not found.st_mode & 0o022)
    return folder if is_safe and stat.S_ISDIR(found.st_mode) else None
