"""
One build at a time in one folder: a lock that the system lets go of when its holder ends, however it ends.

A folder comes in; while the lock is held a second holder gets an ``OutputError``.
"""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from shootplan.problems import OutputError

__all__ = ["LOCK_NAME", "hold_folder"]

LOCK_NAME = ".shootplan-lock"
_HELD = (errno.EAGAIN, errno.EACCES, errno.EDEADLK)


@contextmanager
def hold_folder(folder: Path) -> Iterator[None]:
    """
    Hold the folder's lock for the length of a ``with`` block; the lock file is gone afterwards.

    Raises
    ------
    OutputError
        If another build holds it.
    OSError
        If the lock file cannot be made.
    """
    path = folder / LOCK_NAME
    handle = _take(path)
    try:
        yield
    finally:
        with suppress(OSError):
            path.unlink(missing_ok=True)
        os.close(handle)


def _take(path: Path) -> int:
    """Lock the file and make sure that it is still the one in the folder: its last holder may just have removed it."""
    while True:
        handle = os.open(path, os.O_CREAT | os.O_RDWR, 0o644)
        try:
            _lock(handle)
        except OSError as error:
            os.close(handle)
            if error.errno not in _HELD:
                raise
            raise OutputError(f'another build is writing to "{path.parent}"; wait until it is done') from error
        with suppress(OSError):
            if os.path.samestat(os.fstat(handle), path.stat()):
                return handle
        os.close(handle)


def _lock(handle: int) -> None:
    if sys.platform == "win32":
        import msvcrt

        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
    else:
        import fcntl

        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
