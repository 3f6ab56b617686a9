"""
Paths inside an episode: written relative to its folder, with ``/``, never absolute and never an address.

Texts come in, paths as the user would type them go out. Nothing is opened.
"""

from __future__ import annotations

import posixpath
import re

from shootplan.read.values import Wrong, quoted

__all__ = ["join", "read_path"]


def read_path(text: str) -> str | Wrong:
    """Return a relative path with its ``.`` and ``..`` worked out; ``..`` may lead to a folder shared by episodes."""
    if not text or re.match(r"[A-Za-z][A-Za-z0-9+.-]*:|[/\\~]", text) or "\\" in text or "\x00" in text:
        hint = 'write a path from the episode\'s folder with "/", as in "../kitchen.toml"'
        return Wrong("path-outside", f"{quoted(text)} is not a path from the episode's folder", hint)
    return posixpath.normpath(text)


def join(folder: str, path: str) -> str:
    """Return ``path`` (relative to ``folder``) as seen from where the program runs."""
    return posixpath.normpath(posixpath.join(folder, path))
