"""
Compiled templates in the user's cache folder, so that a build does not compile again what has not changed.

Only a folder that is the user's own and that nobody else can write to is used, because what lies in it is run. Where
there is none the templates are compiled each time; nothing else changes.
"""

from __future__ import annotations

import os
import stat
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from shootplan.resources import cache_root

if TYPE_CHECKING:
    from jinja2 import BytecodeCache

__all__ = ["template_cache"]


def template_cache() -> BytecodeCache | None:
    """Return the cache, or ``None`` where there can be none."""
    folder = _own_folder(cache_root() / "templates")
    if folder is None:
        return None
    from jinja2 import FileSystemBytecodeCache
    from jinja2.bccache import Bucket

    class Cache(FileSystemBytecodeCache):
        """A full disk or a folder that has gone must not stop a build."""

        def load_bytecode(self, bucket: Bucket) -> None:
            try:
                super().load_bytecode(bucket)
            except OSError:
                bucket.reset()

        def dump_bytecode(self, bucket: Bucket) -> None:
            try:
                super().dump_bytecode(bucket)
            except OSError:
                return

    return Cache(str(folder), "%s.compiled")


def _own_folder(folder: Path) -> Path | None:
    if sys.platform == "win32":  # the user's cache folder there is closed to others by default
        return _made(folder)
    made = _made(folder)
    if made is None:
        return None
    found = made.lstat()
    is_own = stat.S_ISDIR(found.st_mode) and found.st_uid == os.getuid() and not found.st_mode & 0o022
    return made if is_own else None


def _made(folder: Path) -> Path | None:
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError:
        return None
    return folder
