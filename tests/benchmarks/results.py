"""
The page of results: each benchmark puts its own section into ``RESULTS.md``, beside its aims and under its machine.

``verdict`` judges a figure against its aim; ``write`` replaces the section of one heading and keeps all others.
"""

from __future__ import annotations

import os
import platform
import re
from collections.abc import Iterable, Sequence
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

RESULTS = Path(__file__).parent / "RESULTS.md"


def machine() -> str:
    """Return what the numbers were measured on and how busy it was with other work."""
    model = platform.processor() or platform.machine()
    info = Path("/proc/cpuinfo")
    if info.exists():
        found = re.search(r"model name\s*:\s*(.+)", info.read_text(encoding="utf-8"))
        model = found[1] if found else model
    try:
        solver = version("ortools")
    except PackageNotFoundError:
        solver = "not installed"
    load = f"{os.getloadavg()[1]:.0f}" if hasattr(os, "getloadavg") else "not known"
    return (
        f"{model}, {os.cpu_count()} cores, Python {platform.python_version()}, OR-Tools {solver}; "
        f"load of the last five minutes {load}"
    )


def verdict(value: float, aim: float, *, is_least: bool = False) -> str:
    """Return "met" or "not met": ``value`` may be no more than ``aim``, or no less where that is asked for."""
    return "met" if (value >= aim if is_least else value <= aim) else "not met"


def markdown_table(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Return a Markdown table, the first column to the left and all others to the right."""
    lines = [heads, ("---", *("---:" for _ in heads[1:])), *rows]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)


def write(heading: str, text: str, *, page: Path | None = None) -> None:
    """Put the text under its heading in the page, whatever else stands there."""
    page = page or RESULTS
    old = page.read_text(encoding="utf-8") if page.exists() else "# Results of the benchmarks\n"
    kept = re.sub(rf"\n## {re.escape(heading)}\n.*?(?=\n## |\Z)", "", old, flags=re.S).rstrip()
    page.write_text(f"{kept}\n\n## {heading}\n\n{text}\n", encoding="utf-8")
