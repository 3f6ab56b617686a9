"""
Coverage-guided changes of a reader's input, on demand: ``python tests/fuzz/run.py recipe --minutes 20``.

Needs atheris (``pip install atheris``, CPython 3.11), which is in no extra because it has no wheel for other versions.
A text that breaks a reader is written to ``tests/fuzz/corpus/READER``, where ``test_corpus.py`` plays it from then on.
"""

from __future__ import annotations

import argparse
import hashlib
import sys
import tempfile
from pathlib import Path

import atheris

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

with atheris.instrument_imports(include=["shootplan"]):
    from tests.fuzz.targets import TARGETS, seeds

CORPUS = Path(__file__).with_name("corpus")
_MOST_BYTES = 6000


def main() -> None:
    """Run one reader for so many minutes."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("reader", choices=sorted(TARGETS))
    options.add_argument("--minutes", type=float, default=20)
    told = options.parse_args()
    run = TARGETS[told.reader]

    def one(data: bytes) -> None:
        text = data.decode("utf-8", "replace")
        try:
            run(text)
        except Exception:
            place = CORPUS / told.reader / hashlib.sha256(data).hexdigest()[:16]
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_bytes(text.encode())
            raise

    with tempfile.TemporaryDirectory() as scratch:
        for number, seed in enumerate(seeds(told.reader)):
            (Path(scratch) / str(number)).write_text(seed, encoding="utf-8")
        limits = [
            f"-max_total_time={int(told.minutes * 60)}",
            f"-max_len={_MOST_BYTES}",
            "-timeout=20",
            "-rss_limit_mb=2048",
        ]
        atheris.Setup([sys.argv[0], *limits, scratch], one)
        atheris.Fuzz()


if __name__ == "__main__":
    main()
