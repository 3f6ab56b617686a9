"""
The demos' narration read aloud by espeak-ng against the clock of the script; run by hand, needs espeak-ng.

``python tests/benchmarks/read_aloud.py [WORDS_PER_MINUTE]`` prints for each demo five rows spread over the script, and
over all its rows the mean error of the flat pace and of the syllables-and-pauses model with one factor, fitted on the
odd rows and tested on the even ones. A voice that is not the presenter's says nothing of the presenter: compare shapes.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import wave
from fractions import Fraction
from pathlib import Path

from shootplan.app import load
from shootplan.app.script import script
from shootplan.model.cut import Row
from shootplan.model.episode import Pace
from shootplan.timing.speech import speech_ms

DEMOS = Path(__file__).resolve().parents[2] / "demo_episodes"
ROWS = 5


def spoken_ms(text: str, words_per_minute: int) -> int:
    """Return how long espeak-ng (voice en) needs for a text, in milliseconds."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "row.wav"
        subprocess.run(
            ["espeak-ng", "-v", "en", "-s", str(words_per_minute), "-w", str(path), text], check=True, timeout=120
        )
        with wave.open(str(path)) as sound:
            return sound.getnframes() * 1000 // sound.getframerate()


def model_ms(row: Row, factor: Fraction) -> int:
    """Return the row's length by syllables and pauses."""
    return speech_ms(row.say, Pace(speech_factor=factor))


def error(pairs: list[tuple[int, int]]) -> float:
    """Return the mean of |reckoned - read| / read, in percent."""
    return 100 * sum(abs(made - read) / read for made, read in pairs) / len(pairs)


def measure(folder: Path, words_per_minute: int) -> None:
    """Print the figures of one demo."""
    rows = [row for row in script(load(folder)).cut.rows if row.say]
    read = {row.id: spoken_ms(row.say, words_per_minute) for row in rows}
    print(f"\n{folder.name}: {len(rows)} spoken rows, espeak-ng at {words_per_minute}")
    for row in rows[:: max(1, len(rows) // ROWS)][:ROWS]:
        off = 100 * (row.speech_ms - read[row.id]) / read[row.id]
        inside = row.speech_low_ms <= read[row.id] <= row.speech_high_ms
        print(
            f"  {row.id:45} script {row.speech_ms / 1000:5.1f} s  read {read[row.id] / 1000:5.1f} s  {off:+5.1f} %"
            f"  {'in' if inside else 'outside'} the band"
        )
    odd, even = rows[::2], rows[1::2]
    factor = Fraction(sum(read[row.id] for row in odd), sum(model_ms(row, Fraction(1)) for row in odd))
    flat = Fraction(sum(read[row.id] for row in odd), sum(row.speech_ms for row in odd))
    total, heard = sum(row.speech_ms for row in rows), sum(read.values())
    print(f"  whole script {total / 1000:.1f} s, read {heard / 1000:.1f} s, {100 * (total - heard) / heard:+.1f} %")
    print(f"  mean error of a row as scripted {error([(row.speech_ms, read[row.id]) for row in rows]):.1f} %")
    print(
        f"  held-out rows, flat pace fitted {error([(int(row.speech_ms * flat), read[row.id]) for row in even]):.1f} %"
    )
    held = error([(model_ms(row, factor), read[row.id]) for row in even])
    print(f"  held-out rows, syllables and pauses with factor {float(factor):.2f}: {held:.1f} %")


if __name__ == "__main__":
    for name in ("tuesday-supper", "waiting-day", "six-lunches"):
        measure(DEMOS / name, int(sys.argv[1]) if len(sys.argv) > 1 else 130)
