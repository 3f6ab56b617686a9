"""
Puts the documents of a build in their folder, all together or not at all.

{relative path: text} comes in, a ``Manifest`` goes out. New files are first written in full beside the old ones; then
the old manifest is set aside, the files change places one rename at a time, and the new manifest comes last. Whatever
fails on the way is undone, in this run or, after a crash, at the start of the next: a folder with a manifest is whole.
What the user changed by hand since the last build is kept beside the new file as ``NAME.yours``.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import field, replace
from pathlib import Path, PurePosixPath

from shootplan.problems import OutputError
from shootplan.records import dataclass
from shootplan.write.disk import Disk, reason
from shootplan.write.lock import LOCK_NAME, hold_folder
from shootplan.write.manifest import MANIFEST_NAME, Manifest, manifest_of, read_manifest

__all__ = ["write_documents"]

_NEW, _OLD = ".shootplan-new", ".shootplan-old"


def write_documents(
    out: Path,
    files: Mapping[str, str | bytes],
    *,
    version: str,
    keep_user_changes: bool = True,
    keep_others: bool = False,
    disk: Disk | None = None,
) -> Manifest:
    """
    Write all documents into ``out`` and remove those of the last build that are no longer made.

    Parameters
    ----------
    out
        The folder; it is made if need be. Files in it that no build wrote stay as they are.
    files
        Relative path with forward slashes → text (written as UTF-8, line ends as they are) or bytes.
    version
        The program's version, for the manifest.
    keep_user_changes
        Whether a document that was changed by hand, or one of the same name that no build wrote, is kept as
        ``NAME.yours`` before the new one takes its place.
    keep_others
        Whether these are only some of the documents: those of the last build that are not among them stay as they are.
    disk
        Where to write; tests pass one that fails.

    Returns
    -------
    Manifest
        What was written, what was kept aside, what was removed.

    Raises
    ------
    OutputError
        If something cannot be written or another build is writing; the earlier output is as it was.
    ValueError
        If a path is absolute, leaves the folder, or is one of the names that writing itself needs.
    """
    contents = {_checked(path): _bytes(text) for path, text in files.items()}
    disk = disk or Disk()
    try:
        disk.make_folder(out)
        with hold_folder(out):
            return _Landing(out, contents, version, keep_user_changes, keep_others, disk).run()
    except OSError as error:
        message = f'cannot write to "{out}": {reason(error)}; the earlier output is untouched'
        raise OutputError(message) from error


def _bytes(text: str | bytes) -> bytes:
    return text.encode() if isinstance(text, str) else text


def _checked(path: str) -> str:
    parts = PurePosixPath(path).parts
    is_ours = bool(parts) and (parts[0] in (_NEW, _OLD, LOCK_NAME) or path == MANIFEST_NAME)
    if not parts or PurePosixPath(path).is_absolute() or ".." in parts or "\\" in path or is_ours:
        raise ValueError(f"not a path for a document: {path!r}")
    return "/".join(parts)


@dataclass(slots=True)
class _Landing:
    """One run. ``undo`` are the renames done so far, (where it is now, where it was), newest last."""

    out: Path
    contents: dict[str, bytes]
    version: str
    keep_user_changes: bool
    keep_others: bool
    disk: Disk
    undo: list[tuple[Path, Path]] = field(default_factory=list)

    def run(self) -> Manifest:
        self._recover()
        last = read_manifest(self.disk.read(self.out / MANIFEST_NAME))
        manifest = manifest_of(self.contents, self.version)
        if self.keep_others:
            others = (item for item in last.files if item.path not in self.contents)
            files = sorted((*manifest.files, *others), key=lambda item: item.path)
            manifest = replace(manifest, files=tuple(files))
        stale = tuple(item.path for item in last.files if manifest.sha256_of(item.path) is None)
        changed = [path for path in (*self.contents, *stale) if self._is_inside(path)]
        aside = self._asides(changed, last) if self.keep_user_changes else {}
        fresh = [path for path, content in self.contents.items() if self.disk.read(self.out / path) != content]
        try:
            missing = {path: name for path, name in aside.items() if not os.path.lexists(self.out / name)}
            self._stage(fresh, manifest, missing)
            self._land(fresh, stale, missing)
        except BaseException:
            self._roll_back()
            raise
        self._tidy(stale)
        return replace(manifest, kept_aside=tuple(sorted(aside.values())), removed=stale)

    # ------------------------------------------------------------------------------------------ before

    def _is_inside(self, path: str) -> bool:
        """Refuse to write through a link that leads out of the folder."""
        if not (self.out / path).parent.resolve().is_relative_to(self.out.resolve()):
            raise OutputError(
                f'"{path}" would be written outside "{self.out}": a folder in it is a link; remove the link'
            )
        return True

    def _asides(self, paths: list[str], last: Manifest) -> dict[str, str]:
        """Return {document: name to keep the user's version under} for every document that is not as it was written."""
        found: dict[str, str] = {}
        for path in paths:
            present = self.disk.read(self.out / path)
            if present is None or present == self.contents.get(path):
                continue
            if hashlib.sha256(present).hexdigest() != last.sha256_of(path):
                found[path] = self._name_aside(path, present)
        return found

    def _name_aside(self, path: str, present: bytes) -> str:
        """Return a name that is free, or under which the very same bytes are kept already (after a crash)."""
        names = (f"{path}.yours" if number == 1 else f"{path}.yours-{number}" for number in range(1, 10_000))
        return next(name for name in names if self._may_hold(self.out / name, present))

    def _may_hold(self, place: Path, content: bytes) -> bool:
        return not os.path.lexists(place) or self.disk.read(place) == content

    # ------------------------------------------------------------------------------------------ writing

    def _stage(self, fresh: list[str], manifest: Manifest, aside: Mapping[str, str]) -> None:
        for path in fresh:
            self._write_new(path, self.contents[path])
        for path, name in aside.items():
            self._write_new(name, self.disk.read(self.out / path) or b"")
        self._write_new(MANIFEST_NAME, manifest.to_bytes())

    def _write_new(self, path: str, content: bytes) -> None:
        place = self.out / _NEW / path
        self.disk.make_folder(place.parent)
        self.disk.write(place, content)

    def _land(self, fresh: list[str], stale: tuple[str, ...], aside: Mapping[str, str]) -> None:
        """Change the files' places; the manifest goes first and comes back last, so it marks a whole folder."""
        for path in (MANIFEST_NAME, *fresh, *stale):
            if (self.out / path).is_symlink() or (self.out / path).is_file():
                self._move(self.out / path, self.out / _OLD / path)
        for path in (*fresh, *aside.values(), MANIFEST_NAME):
            self._move(self.out / _NEW / path, self.out / path)
        self.disk.settle(self.out)

    def _move(self, old: Path, new: Path) -> None:
        self.disk.make_folder(new.parent)
        self.undo.append((new, old))
        self.disk.rename(old, new)

    # ------------------------------------------------------------------------------------------ undoing

    def _roll_back(self) -> None:
        """Take back the renames; if the disk refuses, stop: the manifest, first to go, is last to return (recovery)."""
        with suppress(OSError):
            for now, before in reversed(self.undo):
                if not os.path.lexists(before):
                    self.disk.rename(now, before)
            self._clear(_OLD)
        self._clear(_NEW)
        self._remove_empty({PurePosixPath(path) for path in self.contents})

    def _recover(self) -> None:
        """Undo what a run that was killed left half done: without a manifest, the old files are the good ones."""
        if not (self.out / MANIFEST_NAME).is_file():
            for place in sorted(self._files(_OLD)):
                target = self.out / place.relative_to(self.out / _OLD)
                self.disk.make_folder(target.parent)
                self.disk.rename(place, target)
        self._clear(_NEW)
        self._clear(_OLD)

    def _tidy(self, stale: tuple[str, ...]) -> None:
        self._clear(_NEW)
        self._clear(_OLD)
        self._remove_empty({PurePosixPath(path) for path in stale})

    def _remove_empty(self, paths: set[PurePosixPath]) -> None:
        folders = {parent for path in paths for parent in path.parents if parent.parts}
        for folder in sorted(folders, key=lambda item: -len(item.parts)):
            with suppress(OSError):
                self.disk.remove_folder(self.out / folder)

    def _files(self, name: str) -> Iterator[Path]:
        return (item for item in (self.out / name).rglob("*") if not item.is_dir() or item.is_symlink())

    def _clear(self, name: str) -> None:
        """Remove one of our own folders; what cannot be removed now is cleared by the next run."""
        folder = self.out / name
        with suppress(OSError):
            for item in sorted(folder.rglob("*"), reverse=True):
                if item.is_dir() and not item.is_symlink():
                    self.disk.remove_folder(item)
                else:
                    self.disk.remove(item)
            if folder.is_dir():
                self.disk.remove_folder(folder)
