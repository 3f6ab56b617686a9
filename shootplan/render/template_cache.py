"""
Compiled templates in the user's cache folder, so that a build does not compile again what has not changed.

Where there is no such folder the templates are compiled each time; nothing else changes.
"""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from shootplan.resources import cache_folder

if TYPE_CHECKING:
    from jinja2 import BytecodeCache

__all__ = ["template_cache"]


def template_cache(*, is_sandboxed: bool) -> BytecodeCache | None:
    """Return the cache, or ``None`` where there can be none; a sandbox compiles otherwise and has its own."""
    from shootplan import __version__

    kind = "templates" if is_sandboxed else "plain-templates"
    folder = cache_folder(f"{kind}-{__version__}-{sys.implementation.cache_tag}")
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
