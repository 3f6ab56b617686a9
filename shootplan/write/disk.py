"""
The few operations on files that writing needs, in one place, so that a test can make any of them fail.

Paths and bytes come in; nothing is decided here.
"""

from __future__ import annotations

import errno
import os
from pathlib import Path

__all__ = ["Disk", "reason"]

_READ_ONLY = (errno.EROFS, errno.EACCES, errno.EPERM)
_IN_THE_WAY = (errno.ENOTDIR, errno.EEXIST, errno.EISDIR)


class Disk:
    """The real disk. Every method may raise ``OSError``."""

    def make_folder(self, folder: Path) -> None:
        """Make a folder and those above it; one that is there is fine."""
        folder.mkdir(parents=True, exist_ok=True)

    def write(self, path: Path, content: bytes) -> None:
        """Write a new file through to the disk, so that a later rename never shows a half-written one."""
        with path.open("wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())

    def read(self, path: Path) -> bytes | None:
        """Return a file's bytes, or ``None`` if there is no such file (a broken link is none)."""
        return path.read_bytes() if path.is_file() else None

    def rename(self, old: Path, new: Path) -> None:
        """Put ``old`` in the place of ``new`` in one step."""
        old.replace(new)

    def link(self, old: Path, new: Path) -> None:
        """Give ``old`` the name ``new`` as well; fails where that name is taken."""
        new.hardlink_to(old)

    def remove(self, path: Path) -> None:
        """Remove a file; one that is gone is fine."""
        path.unlink(missing_ok=True)

    def remove_folder(self, folder: Path) -> None:
        """Remove an empty folder."""
        folder.rmdir()

    def settle(self, folder: Path) -> None:
        """Write a folder's own entries through to the disk, where the system can."""
        if not hasattr(os, "O_DIRECTORY"):
            return
        handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def reason(error: OSError) -> str:
    """Say in plain words why the disk refused."""
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return "the disk is full"
    if error.errno in _READ_ONLY:
        return "it is read-only, or you have no right to write there"
    if error.errno in _IN_THE_WAY:
        return "something else of that name is in the way"
    return (error.strerror or str(error)).lower()
