"""How the reading stage gets at text without opening files itself: ``app`` hands in the disk, tests a dict."""

from __future__ import annotations

from typing import Protocol

__all__ = ["Files", "MemoryFiles"]


class Files(Protocol):
    """Text by path, and the names in a folder; paths use ``/`` and are as the user typed them."""

    def text(self, path: str) -> str:
        """
        Return the file's text (UTF-8, BOM stripped, line ends as ``\\n``).

        Raises
        ------
        FileNotFoundError
            If there is no such file.
        OSError
            If it cannot be opened, is too large, or lies outside the folders that may be read.
        UnicodeDecodeError
            If it is not UTF-8.
        """
        ...

    def names(self, folder: str) -> tuple[str, ...]:
        """Return the sorted file names in a folder, empty if there is none."""
        ...


class MemoryFiles:
    """Files held in a dict: for tests and for callers who have the text already."""

    def __init__(self, texts: dict[str, str]) -> None:
        self._texts = dict(texts)

    def text(self, path: str) -> str:
        """Return the text stored under ``path``; raises ``FileNotFoundError`` if there is none."""
        try:
            return self._texts[path]
        except KeyError:
            raise FileNotFoundError(path) from None

    def names(self, folder: str) -> tuple[str, ...]:
        """Return the sorted names directly under ``folder``."""
        prefix = folder.rstrip("/") + "/"
        inside = (path[len(prefix) :] for path in self._texts if path.startswith(prefix))
        return tuple(sorted(name for name in inside if "/" not in name))
