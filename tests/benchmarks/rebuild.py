"""
How long a rebuild takes in a running process, as the board and ``watch`` do it, as a ratio to a bare start of Python.

Run: ``.venv/bin/python tests/benchmarks/rebuild.py [--rounds 9] [--write]``. One process builds a copy of the first
demo again and again. Before each build a step's text is changed (a caption, so that no plan is looked for) or a time
(so that the day is planned anew). The floor is ``python -c pass``, measured between. Processor seconds, medians. Not a
test: nothing fails here.
"""

from __future__ import annotations

import argparse
import gc
import os
import re
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from results import machine, markdown_table, verdict, write

from shootplan.board.preview import Preview

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "demo_episodes" / "tuesday-supper"
#: The most that a rebuild may take, as a ratio to a bare start of Python.
AIM = 10.0


def bare() -> float:
    """Return the processor seconds of a Python that does nothing."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run([sys.executable, "-c", "pass"], check=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def words(folder: Path, number: int) -> None:
    """Change the headnote of the episode."""
    page = folder / "episode.md"
    text = page.read_text(encoding="utf-8")
    page.write_text(re.sub(r"^(# .*\n)(?:\nTry \d+\.\n)?", rf"\1\nTry {number}.\n", text, count=1, flags=re.M))


def times(folder: Path, number: int) -> None:
    """Change how long the first hands-on step of the first recipe takes, so that the day is planned anew."""
    page = sorted((folder / "recipes").glob("*.md"))[0]
    text = page.read_text(encoding="utf-8")
    page.write_text(re.sub(r"(- hands: ).*", rf"\g<1>{3 + number % 20} min", text, count=1))


def main() -> None:
    """Measure, print, and write if asked."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--rounds", type=int, default=9)
    parser.add_argument("--write", action="store_true", help="write RESULTS.md")
    options = parser.parse_args()
    kinds: dict[str, tuple[Callable[[Path, int], None], float | None]] = {
        "after a change of words": (words, AIM),
        "after a change of a step's time": (times, None),
    }
    rows: list[tuple[str, ...]] = []
    gc.set_threshold(300_000, 10, 10)  # as ``shootplan/__main__.py`` does
    with tempfile.TemporaryDirectory() as scratch:
        os.environ["SHOOTPLAN_CACHE"] = f"{scratch}/cache"
        folder = Path(scratch) / "supper"
        shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns("out"))
        preview = Preview(folder, Path(scratch) / "out")
        for name, (change, aim) in kinds.items():
            floors, spent = [], []
            for number in range(options.rounds + 1):
                change(folder, number)
                floor = bare()
                begun = time.process_time()
                told = preview.build()
                taken = time.process_time() - begun
                if not told.startswith("built"):
                    raise SystemExit(told)
                if number:
                    floors.append(floor)
                    spent.append(taken)
            floor, median = statistics.median(floors), statistics.median(spent)
            ratio = median / floor
            print(f"{name:32} {floor * 1000:6.0f} ms {median * 1000:6.0f} ms {ratio:6.1f} x", flush=True)
            judged = (f"{aim:g}", verdict(ratio, aim)) if aim is not None else ("", "")
            rows.append((name, f"{floor * 1000:.0f}", f"{median * 1000:.0f}", f"{ratio:.1f}", *judged))
    if options.write:
        note = (
            f"{machine()}. Processor time of a build in a process that has built before, medians of {options.rounds}; "
            "the floor is a bare start of Python measured between.\n\n"
            f"`python tests/benchmarks/rebuild.py --rounds {options.rounds} --write`"
        )
        heads = ("rebuild in a running process", "floor ms", "ms", "ratio", "aim", "")
        write("Rebuild", f"{note}\n\n{markdown_table(heads, rows)}")


if __name__ == "__main__":
    main()
