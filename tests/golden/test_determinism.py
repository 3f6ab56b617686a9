"""Same input, same bytes: whatever the folder, the locale, the time zone, the hash seed or the order of files."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path


def _build(folder: Path, out: Path, **env: str) -> dict[str, bytes]:
    ran = subprocess.run(
        [sys.executable, "-m", "shootplan", "build", folder.name, "--out", str(out)],
        cwd=folder.parent,
        capture_output=True,
        text=True,
        timeout=180,
        check=False,
        env={**os.environ, **env},
    )
    assert ran.returncode == 0, ran.stderr
    return {str(p.relative_to(out)): p.read_bytes() for p in sorted(out.rglob("*")) if p.is_file()}


def test_two_builds_are_byte_identical(demo: Path, tmp_path: Path) -> None:
    """Two builds in different folders, locales, time zones and with different hash seeds agree in every byte."""
    places = (tmp_path / "here" / "episode", tmp_path / "a folder with spaces" / "episode")
    for place in places:
        shutil.copytree(demo, place, ignore=shutil.ignore_patterns("out"))
    first = _build(places[0], tmp_path / "one", SHOOTPLAN_CACHE="off", PYTHONHASHSEED="1", TZ="UTC", LC_ALL="C.UTF-8")
    second = _build(
        places[1], tmp_path / "two", SHOOTPLAN_CACHE="off", PYTHONHASHSEED="2", TZ="Asia/Tokyo", LC_ALL="POSIX"
    )
    assert set(first) == set(second)
    assert [name for name in first if first[name] != second[name]] == []
