"""
How time and memory grow with recipes an episode, rows of a price book and episodes of a season.

Run: ``.venv/bin/python tests/benchmarks/growth.py [--largest 1000] [--write]``. Each size is a process of its own
whose CPU time and peak memory the system tells; the exponent is the slope of log time over log size between the two
largest, the shortest time taken off as start-up. Copies of the third demo; the solver's share of ``build`` is
left out by asking for ``costs``. Peak memory of ``build`` of the first demo and of the largest season is told too.
``--write`` puts the tables into ``RESULTS.md``. Not a test: nothing fails here.
"""

from __future__ import annotations

import argparse
import math
import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path

from results import machine, markdown_table, verdict, write

#: Where time grows no faster than in proportion; a tenth is left for the noise of a busy machine.
LINEAR = 1.1
#: Processes of less than so many seconds are run so often, and the quickest counts: other work only ever adds.
SHORT_S, RUNS = 3.0, 5
ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "demo_episodes" / "six-lunches"


def main() -> None:
    """Print a table for each growth with its exponent."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--largest", type=int, default=1000, help="episodes of the largest season")
    options.add_argument("--write", action="store_true", help="write RESULTS.md")
    chosen = options.parse_args()
    largest = chosen.largest
    rows: list[tuple[str, ...]] = []
    seasons = [size for size in (10, 100, 1000) if size <= largest]
    with tempfile.TemporaryDirectory() as scratch:
        place = Path(scratch)
        rows += table("recipes an episode (costs)", (1, 3, 6, 12, 24), lambda size: recipes(place, size), place)
        rows += table(
            "rows of a price book (costs)",
            (100, 1000, 10_000, 50_000, 100_000, 200_000),
            lambda size: prices(place, size),
            place,
        )
        rows += table("episodes of a season (costs, one core)", seasons, lambda size: shelf(place, size), place)
        supper = str(ROOT / "demo_episodes" / "tuesday-supper")
        took, peak = spent([sys.executable, "-m", "shootplan", "build", supper, "--out", f"{place}/out"], place)
        print(f"\nbuild of the first demo: {took:.2f} CPU s, {peak} MB")
    if chosen.write:
        rows.append(("build of the first demo", "3", f"{took:.2f}", str(peak), "", "", ""))
        note = (
            f"{machine()}. Processor seconds and peak memory, as the system tells them, of one cold process for each "
            f"size (the quickest of {RUNS} if short), nothing kept between runs. Exponent: of "
            f"the time between the two largest sizes, that of the smallest taken off as start-up. Aim: no faster "
            f"than in proportion ({LINEAR} allows for noise).\n\n"
            f"`python tests/benchmarks/growth.py --largest {largest} --write`"
        )
        heads = ("what", "size", "CPU s", "peak MB", "exponent", "aim", "")
        write("Growth", f"{note}\n\n{markdown_table(heads, rows)}")


def table(title: str, sizes: Sequence[int], made: Callable[[int], list[str]], place: Path) -> list[tuple[str, ...]]:
    """Print time and memory for each size and the exponent between the two largest; return them as rows."""
    print(f"\n{title}\n{'size':>8} {'CPU s':>8} {'peak MB':>8}")
    times: list[float] = []
    rows: list[tuple[str, ...]] = []
    for size in sizes:
        words = made(size)
        runs = [spent([sys.executable, "-m", "shootplan", *words], place)]
        while len(runs) < RUNS and runs[0][0] < SHORT_S:
            runs.append(spent([sys.executable, "-m", "shootplan", *words], place))
        seconds, megabytes = min(runs)
        times.append(seconds)
        print(f"{size:8} {seconds:8.2f} {megabytes:8}", flush=True)
        rows.append((title, f"{size:,}", f"{seconds:.2f}", str(megabytes), "", "", ""))
    if len(times) < 3:
        return rows
    start = min(times)
    grown = max(0.001, times[-1] - start) / max(0.001, times[-2] - start)
    exponent = math.log(grown) / math.log(sizes[-1] / sizes[-2])
    print(f"exponent between the two largest: {exponent:.2f}")
    rows[-1] = (*rows[-1][:4], f"{exponent:.2f}", f"{LINEAR:g}", verdict(exponent, LINEAR))
    return rows


def spent(words: list[str], place: Path) -> tuple[float, int]:
    """Return CPU seconds and peak memory in MB of one process and those it starts."""
    env = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    with (place / "output").open("w") as output:
        process = subprocess.Popen(words, stdout=output, stderr=output, env=env | {"SHOOTPLAN_CACHE": "off"}, cwd=ROOT)
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode != 0:
        raise SystemExit((place / "output").read_text())
    return used.ru_utime + used.ru_stime, used.ru_maxrss // 1024


def recipes(place: Path, size: int) -> list[str]:
    """Make an episode of so many recipes: those of the demo under other names, claims left out."""
    folder = place / f"recipes-{size}"
    shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns("out", "recipes"))
    (folder / "recipes").mkdir()
    known = sorted((DEMO / "recipes").glob("*.md"))
    links = []
    for number in range(size):
        old = known[number % len(known)]
        name = old.stem if number < len(known) else f"{old.stem}-{number}"
        text = old.read_text(encoding="utf-8")
        title = "# " + re.search(r"^# (.*)$", text, re.M)[1]  # type: ignore[index]
        (folder / "recipes" / f"{name}.md").write_text(text.replace(title, f"{title} {number}", 1), encoding="utf-8")
        links.append(f"{number + 1}. [{title[2:]} {number}](recipes/{name}.md)")
    head = re.match(r"---\n.*?\n---\n", (DEMO / "episode.md").read_text(encoding="utf-8"), re.S)
    lines = [line for line in (head[0] if head else "").splitlines() if not line.startswith(("budget:", "length:"))]
    body = "\n".join((*lines, "", "# Many lunches", "", "## Recipes", "", *links, ""))
    (folder / "episode.md").write_text(body, encoding="utf-8")
    return ["costs", str(folder)]


def prices(place: Path, size: int) -> list[str]:
    """Make the demo with a price book of so many rows."""
    folder = place / f"prices-{size}"
    shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns("out"))
    book = folder / "prices.csv"
    lines = book.read_text(encoding="utf-8").splitlines()
    columns = lines[0].split(",")
    for number in range(size - len(lines)):
        row = dict.fromkeys(columns, "")
        row |= {"item": f"thing {number % 5000}", "pack": "500 g", "price": f"{1 + number % 7}.50", "shop": "market"}
        row["date"] = f"2026-{1 + number % 9:02}-{1 + number % 28:02}"
        lines.append(",".join(row[column] for column in columns))
    book.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return ["costs", str(folder)]


def shelf(place: Path, size: int) -> list[str]:
    """Make a season of so many copies of the demo."""
    top = place / f"season-{size}"
    for number in range(size):
        shutil.copytree(DEMO, top / f"{number:04}", ignore=shutil.ignore_patterns("out"))
    return ["season", str(top), "--workers", "1"]


if __name__ == "__main__":
    main()
