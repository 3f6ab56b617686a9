"""New files beside the user's own: all of them or none, and never one in the place of another."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

from shootplan.problems import OutputError
from shootplan.write.disk import Disk, reason

__all__ = ["write_new"]


def write_new(folder: Path, texts: Mapping[str, str], *, disk: Disk | None = None) -> None:
    """
    Write each text as UTF-8 under its name into ``folder``, which is made if it is not there.

    Raises
    ------
    OutputError
        If a file of one of the names is there already, or the disk refuses; nothing of this call is left behind.
    """
    on = disk or Disk()
    there = [name for name in texts if os.path.lexists(folder / name)]
    if there:
        raise OutputError(f'"{folder / there[0]}" is there already and stays as it is: move it, or give another --out')
    landed: list[Path] = []
    try:
        on.make_folder(folder)
        for name, text in texts.items():
            _land(on, folder / name, text, landed)
        on.settle(folder)
    except OSError as error:
        for path in landed:
            on.remove(path)
        raise OutputError(f'"{folder}" cannot be written: {reason(error)}') from error


def _land(disk: Disk, path: Path, text: str, landed: list[Path]) -> None:
    """Write beside the place and link into it, which fails if something has come there meanwhile."""
    aside = path.with_name(f".{path.name}.{os.getpid()}.new")
    try:
        disk.write(aside, text.encode("utf-8"))
        disk.link(aside, path)
        landed.append(path)
    finally:
        disk.remove(aside)
