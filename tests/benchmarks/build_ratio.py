"""
How long commands take as cold processes, as ratios to floors measured in the same run.

Run: ``.venv/bin/python tests/benchmarks/build_ratio.py [--rounds 9] [--write]``. The floor of a command is a process
that only imports the third-party libraries which that command was seen to import, as their manuals say to. ``build``
and ``day`` solve each time (their cache is empty); ``build again`` finds the plan of the round before, as after a
change of a caption. Compiled templates and byte code are kept throughout. Not a test: nothing fails here.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from results import machine, markdown_table, verdict, write

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "demo_episodes" / "tuesday-supper"
LIBRARIES = (
    "typer", "markdown_it", "pint", "networkx", "jinja2", "babel.numbers", "num2words", "nh3", "icalendar",
    "ortools.sat.python.cp_model",
)  # fmt: skip

#: The most that a command's time may be, as a ratio to its floor.
AIMS = {"--help": 1.3, "check": 1.5, "build": 1.5}
#: The most that "build again" may be of "build".
AGAIN = 0.6

_PROBE = """
import json, sys
sys.argv = {argv!r}
try:
    from shootplan.cli import main
    main()
except SystemExit:
    pass
seen = [name for name in {libraries!r} if name in sys.modules or name[:7] == "ortools" in sys.modules]
print(json.dumps(seen), file=sys.stderr)
"""


def used(argv: list[str], cache: Path) -> list[str]:
    """Return which of the libraries the command imports, given what is kept in the cache."""
    code = _PROBE.format(argv=["shootplan", *argv], libraries=LIBRARIES)
    ran = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env=os.environ | {"SHOOTPLAN_CACHE": str(cache)},
    )
    names: list[str] = json.loads(ran.stderr.strip().splitlines()[-1])
    return names


def seconds(words: list[str], cache: Path) -> float:
    """Return the wall time of one cold process, byte code kept."""
    env = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    start = time.perf_counter()
    subprocess.run(words, capture_output=True, check=True, env=env | {"SHOOTPLAN_CACHE": str(cache)})
    return time.perf_counter() - start


def main() -> None:
    """Measure every command against its floor, interleaved, and print medians and ratios."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--rounds", type=int, default=9)
    options.add_argument("--write", action="store_true", help="write RESULTS.md")
    chosen = options.parse_args()
    rounds = chosen.rounds
    with tempfile.TemporaryDirectory() as scratch:
        commands = {
            "--help": ["--help"],
            "check": ["check", str(DEMO)],
            "costs": ["costs", str(DEMO)],
            "day": ["day", str(DEMO)],
            "build": ["build", str(DEMO), "--out", f"{scratch}/out"],
            "build again": ["build", str(DEMO), "--out", f"{scratch}/out"],
        }
        cache = Path(scratch) / "cache"
        print(f"{'command':12} {'floor ms':>9} {'ms':>7} {'ratio':>6}  libraries")
        medians: dict[str, float] = {}
        rows: list[tuple[str, ...]] = []
        for name, argv in commands.items():
            shutil.rmtree(cache, ignore_errors=True)
            libraries = used(argv, cache)
            if name == "build again":
                libraries = used(argv, cache)
            floor_code = "import " + ", ".join(libraries)
            floors, times = [], []
            for number in range(rounds + 1):
                if name != "build again":
                    shutil.rmtree(cache / "plans", ignore_errors=True)
                floor = seconds([sys.executable, "-c", floor_code], cache)
                real = seconds([sys.executable, "-m", "shootplan", *argv], cache)
                if number:  # the first round fills the caches of byte code and templates
                    floors.append(floor)
                    times.append(real)
            floor, medians[name] = statistics.median(floors), statistics.median(times)
            ratio = medians[name] / floor
            aim = (f"{AIMS[name]:g}", verdict(ratio, AIMS[name])) if name in AIMS else ("", "")
            rows.append((name, f"{floor * 1000:.0f}", f"{medians[name] * 1000:.0f}", f"{ratio:.2f}", *aim))
            print(f"{name:12} {floor * 1000:9.0f} {medians[name] * 1000:7.0f} {ratio:6.2f}  {' '.join(libraries)}")
        again = medians["build again"] / medians["build"]
        print(f"build again is {again:.2f} of build")
        rows.append(("build again, of build", "", "", f"{again:.2f}", f"{AGAIN:g}", verdict(again, AGAIN)))
    if chosen.write:
        note = (
            f"{machine()}. Wall time of cold processes on the first demo, medians of {rounds} interleaved rounds; the "
            "floor imports the third-party libraries that the command uses.\n\n"
            f"`python tests/benchmarks/build_ratio.py --rounds {rounds} --write`"
        )
        write("Commands", f"{note}\n\n{markdown_table(('command', 'floor ms', 'ms', 'ratio', 'aim', ''), rows)}")


if __name__ == "__main__":
    main()
