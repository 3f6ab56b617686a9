"""
The record of what a build wrote: each document with its checksum (SHA-256, FIPS 180-4).

The next build compares it with the disk to see which documents the user has changed by hand since. It holds no time and
no folder, so that equal builds have equal records.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping

from shootplan.records import dataclass

__all__ = ["MANIFEST_NAME", "Manifest", "WrittenFile", "manifest_of", "read_manifest"]

MANIFEST_NAME = "manifest.json"
_SCHEMA_VERSION = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenFile:
    """One document: its path relative to the folder with forward slashes, SHA-256 in hex, size in bytes."""

    path: str
    sha256: str
    size: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Manifest:
    """
    What a build wrote, files sorted by path.

    ``kept_aside`` are the paths under which documents that the user had changed were kept; ``removed`` are documents of
    the build before that this one no longer makes. Neither is part of the file.
    """

    version: str
    files: tuple[WrittenFile, ...] = ()
    kept_aside: tuple[str, ...] = ()
    removed: tuple[str, ...] = ()

    def sha256_of(self, path: str) -> str | None:
        """Return the checksum of a document as it was written, or ``None``."""
        return next((item.sha256 for item in self.files if item.path == path), None)

    def to_bytes(self) -> bytes:
        """Return the file's content: JSON (RFC 8259), sorted keys, a line feed at the end."""
        record = {
            "schema_version": _SCHEMA_VERSION,
            "program": "shootplan",
            "version": self.version,
            "files": {item.path: {"sha256": item.sha256, "bytes": item.size} for item in self.files},
        }
        return (json.dumps(record, indent=2, sort_keys=True, ensure_ascii=False) + "\n").encode()


def manifest_of(contents: Mapping[str, bytes], version: str) -> Manifest:
    """Return the record of these documents."""
    files = (
        WrittenFile(path=path, sha256=hashlib.sha256(content).hexdigest(), size=len(content))
        for path, content in sorted(contents.items())
    )
    return Manifest(version=version, files=tuple(files))


def read_manifest(content: bytes | None) -> Manifest:
    """
    Return the record that a file holds.

    A missing or damaged one gives an empty record: every document on the disk then counts as the user's; none is lost.
    """
    try:
        record = json.loads(content or b"{}")
        files = tuple(
            WrittenFile(path=str(path), sha256=str(entry["sha256"]), size=int(entry["bytes"]))
            for path, entry in sorted(record.get("files", {}).items())
        )
        return Manifest(version=str(record.get("version", "")), files=files)
    except (ValueError, TypeError, KeyError, AttributeError):
        return Manifest(version="")
