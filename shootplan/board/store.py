"""
What was ticked, kept through a lost server: an SQLite file in write-ahead mode, committed before anybody is answered.

Ticks come in, each with an id of its own, any number of times and in any order; each is kept once. Nothing is changed
or removed: taking a tick back is a tick too.
"""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Iterable
from pathlib import Path

from shootplan.model.replanning import LogEvent, LogKind
from shootplan.records import dataclass

__all__ = ["UNDO", "Store", "Tick", "events_of_ticks"]

#: The kind of a tick that takes another one back.
UNDO = "undo"

_SCHEMA = """
CREATE TABLE IF NOT EXISTS ticks (
  number INTEGER PRIMARY KEY, id TEXT NOT NULL UNIQUE, kind TEXT NOT NULL, run TEXT NOT NULL, label TEXT NOT NULL,
  at_s INTEGER NOT NULL, late_s INTEGER NOT NULL, device TEXT NOT NULL);
CREATE TABLE IF NOT EXISTS facts (name TEXT PRIMARY KEY, value TEXT NOT NULL);
CREATE TABLE IF NOT EXISTS devices (token TEXT PRIMARY KEY);
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """
    One tick: ``kind`` is a word of the day's log, or ``UNDO`` with the other tick's id as ``run``.

    ``at_s`` is in seconds from call, by the clock of the server as the device knew it. ``device`` is who ticked.
    """

    id: str
    kind: str
    run: str
    at_s: int
    label: str = ""
    late_s: int = 0
    device: str = ""


class Store:
    """
    The file of one day. Safe to use from several threads.

    Raises
    ------
    sqlite3.Error
        From every method, if the disk refuses.
    """

    def __init__(self, path: Path) -> None:
        path.parent.mkdir(parents=True, exist_ok=True)
        self.path = path
        self._lock = threading.Lock()
        self._base = sqlite3.connect(path, check_same_thread=False, isolation_level=None, timeout=10)
        self._base.execute("PRAGMA journal_mode = WAL")
        self._base.execute("PRAGMA synchronous = FULL")
        self._base.executescript(_SCHEMA)

    def close(self) -> None:
        """Close the file."""
        with self._lock:
            self._base.close()

    def add(self, ticks: Iterable[Tick]) -> int:
        """Keep ticks, all or none, on the disk when this returns; return how many were new."""
        rows = [(t.id, t.kind, t.run, t.label, t.at_s, t.late_s, t.device) for t in ticks]
        with self._lock:
            self._base.execute("BEGIN IMMEDIATE")
            try:
                before = self._base.total_changes
                self._base.executemany(
                    "INSERT INTO ticks (id, kind, run, label, at_s, late_s, device) VALUES (?,?,?,?,?,?,?)"
                    " ON CONFLICT (id) DO NOTHING",
                    rows,
                )
                count = self._base.total_changes - before
            except BaseException:
                self._base.execute("ROLLBACK")
                raise
            self._base.execute("COMMIT")
        return count

    def ticks(self) -> tuple[Tick, ...]:
        """Return all ticks by their time, those of one second as they came: a device sends in the order of tapping."""
        columns = "id, kind, run, at_s, label, late_s, device"
        with self._lock:
            rows = self._base.execute(f"SELECT {columns} FROM ticks ORDER BY at_s, number").fetchall()
        return tuple(
            Tick(id=row[0], kind=row[1], run=row[2], at_s=row[3], label=row[4], late_s=row[5], device=row[6])
            for row in rows
        )

    def fact(self, name: str) -> str | None:
        """Return what was kept under a name."""
        with self._lock:
            row = self._base.execute("SELECT value FROM facts WHERE name = ?", (name,)).fetchone()
        return str(row[0]) if row is not None else None

    def keep(self, name: str, value: str) -> None:
        """Keep a text under a name."""
        with self._lock:
            self._base.execute("INSERT OR REPLACE INTO facts (name, value) VALUES (?, ?)", (name, value))

    def admit(self, token_hash: str) -> None:
        """Remember a paired device by the hash of its token."""
        with self._lock:
            self._base.execute("INSERT OR IGNORE INTO devices (token) VALUES (?)", (token_hash,))

    def knows(self, token_hash: str) -> bool:
        """Whether a device was paired."""
        with self._lock:
            row = self._base.execute("SELECT 1 FROM devices WHERE token = ?", (token_hash,)).fetchone()
        return row is not None


def events_of_ticks(ticks: Iterable[Tick]) -> tuple[LogEvent, ...]:
    """Return what the ticks say happened, those taken back left out."""
    every = tuple(ticks)
    gone = {tick.run for tick in every if tick.kind == UNDO}
    kinds = {kind.value: kind for kind in LogKind}
    return tuple(
        LogEvent(kind=kinds[tick.kind], run=tick.run, at_s=tick.at_s, late_s=tick.late_s)
        for tick in every
        if tick.kind in kinds and tick.id not in gone
    )
