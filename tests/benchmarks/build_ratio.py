"""
How long commands take as cold processes, as ratios to floors measured in the same run.

Run: ``.venv/bin/python tests/benchmarks/build_ratio.py [--rounds 9]``. The floor of a command is a process that only
imports the third-party libraries which that command was seen to import. Not a test: nothing fails here.
"""

from __future__ import annotations

import argparse
import json
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
DEMO = ROOT / "demo_episodes" / "tuesday-supper"
LIBRARIES = (
    "typer", "markdown_it", "pint", "networkx", "jinja2", "babel.numbers", "num2words", "nh3", "icalendar",
    "ortools.sat.python.cp_model",
)  # fmt: skip

_PROBE = """
import json, sys
sys.argv = {argv!r}
try:
    from shootplan.cli import main
    main()
except SystemExit:
    pass
print(json.dumps([name for name in {libraries!r} if name in sys.modules]), file=sys.stderr)
"""


def used(argv: list[str]) -> list[str]:
    """Return which of the libraries the command imports."""
    code = _PROBE.format(argv=["shootplan", *argv], libraries=LIBRARIES)
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    names: list[str] = json.loads(ran.stderr.strip().splitlines()[-1])
    return names


def seconds(words: list[str]) -> float:
    """Return the wall time of one cold process."""
    start = time.perf_counter()
    subprocess.run(words, capture_output=True, check=True)
    return time.perf_counter() - start


def main() -> None:
    """Measure every command against its floor, interleaved, and print medians and ratios."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--rounds", type=int, default=9)
    rounds = options.parse_args().rounds
    with tempfile.TemporaryDirectory() as scratch:
        commands = {
            "--help": ["--help"],
            "check": ["check", str(DEMO)],
            "costs": ["costs", str(DEMO)],
            "day": ["day", str(DEMO)],
            "build": ["build", str(DEMO), "--out", scratch],
        }
        print(f"{'command':10} {'floor ms':>9} {'ms':>7} {'ratio':>6}  libraries")
        for name, argv in commands.items():
            libraries = used(argv)
            floor_code = "import " + ", ".join(libraries)
            floors, times = [], []
            for _ in range(rounds):
                floors.append(seconds([sys.executable, "-c", floor_code]))
                times.append(seconds([sys.executable, "-m", "shootplan", *argv]))
            floor, real = statistics.median(floors), statistics.median(times)
            print(f"{name:10} {floor * 1000:9.0f} {real * 1000:7.0f} {real / floor:6.2f}  {' '.join(libraries)}")


if __name__ == "__main__":
    main()
