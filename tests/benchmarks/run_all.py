"""
Run every benchmark, one after the other, each writing its section into ``RESULTS.md``.

``python tests/benchmarks/run_all.py [--instances PATH] [--quick]``: PATH is the folder of published instances that
``published.py`` asks for; without it that benchmark runs on the instances of ``tests/external/psplib``. ``--quick``
takes fewer rounds and smaller limits, for a busy machine. Exits with 1 if one of them failed, after running the others.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import time
from pathlib import Path

HERE = Path(__file__).resolve().parent


def commands(instances: Path | None, *, is_quick: bool) -> list[list[str]]:
    """Return each benchmark with its options, the quickest first."""
    published = [str(instances)] if instances else [str(HERE.parent / "external" / "psplib"), "--part", "tests"]
    rounds, most, budget, shoots = ("3", "6", "0.25", "1") if is_quick else ("9", "12", "2", "3")
    return [
        ["larder.py", "--rounds", rounds],
        ["build_ratio.py", "--rounds", rounds],
        ["rebuild.py", "--rounds", rounds],
        ["replan.py", "--days", "1" if is_quick else "3", *(["--budget", "1"] if is_quick else [])],
        ["growth.py", *(["--largest", "100"] if is_quick else [])],
        ["published.py", *published, "--most", most, "--budget", budget],
        ["shoots.py", "--shoots", shoots, *(["--budget", "1"] if is_quick else [])],
    ]


def main() -> int:
    """Run them and tell how long each took."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--instances", type=Path, help="folder with best_known.csv and the instances it names")
    parser.add_argument("--quick", action="store_true", help="fewer rounds, smaller limits")
    options = parser.parse_args()
    failed = []
    for name, *words in commands(options.instances, is_quick=options.quick):
        begun = time.monotonic()
        ran = subprocess.run([sys.executable, str(HERE / name), *words, "--write"], check=False)
        print(f"{name}: {time.monotonic() - begun:.0f} s\n", flush=True)
        failed += [name] if ran.returncode else []
    print(f"failed: {', '.join(failed)}" if failed else "all written to RESULTS.md")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
