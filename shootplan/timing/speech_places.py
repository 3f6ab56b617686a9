"""
Where rows and captions stand in the finished edit, by the subtitles of its speech.

The planned rows and the timed lines of the finished video come in, a ``Placing`` goes out: the words of the script
are aligned with the words of the subtitles, and times between matched words are interpolated.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from difflib import SequenceMatcher
from fractions import Fraction

from shootplan.model.pace import TimedLine
from shootplan.model.retiming import Placing, Way
from shootplan.model.timecode import Rate
from shootplan.records import dataclass
from shootplan.timing.edit_rows import EditRow
from shootplan.timing.places import Ruler, place_by_ruler

__all__ = ["MOST_WORDS", "place_by_speech"]

#: A row of which fewer words are found is reported, not guessed.
LEAST_MATCHED = Fraction(60, 100)
#: Two hours of quick speech; the rest is not looked at.
MOST_WORDS = 20_000
#: Above this many words the words that stand everywhere no longer begin a match, which would take too long.
_MANY = 3000
_WORD = re.compile(r"[^\W_]+(?:['’][^\W_]+)*")


@dataclass(frozen=True, slots=True)
class _Word:
    """A word without letters' case, and the frame at which it begins."""

    text: str
    at_f: Fraction


def place_by_speech(
    rows: Sequence[EditRow], lines: Sequence[TimedLine], rate: Rate, say: Callable[[str], str]
) -> Placing:
    """
    Return the places by speech; ``say`` says figures out, so that "£1.28" meets "one pound twenty-eight".

    A row of which less than 60 % of the words are found is lost. One that was moved is looked for among the words
    that are left. A row without speech lies between its neighbours.
    """
    heard = [word for line in lines for word in _heard(line, rate, say)][:MOST_WORDS]
    script = {item.row.id: _script_words(item, rate, say) for item in rows}
    pairs = _aligned(rows, script, heard)
    known: dict[Fraction, Fraction] = {}
    remarks, lost = {}, {}
    for item in rows:
        words, found = script[item.row.id], pairs.get(item.row.id, {})
        if not words:
            remarks[item.row.id] = "nobody speaks: between its neighbours"
        elif len(found) < LEAST_MATCHED * len(words):
            share = f"{100 * len(found) // len(words)} %"
            lost[item.row.id] = f"only {share} of its words are heard"
        else:
            known.update({words[idx].at_f: heard[at].at_f for idx, at in found.items()})
    if not known:
        lost.update({item.row.id: "nothing of the script is heard" for item in rows if item.row.id not in lost})
    return place_by_ruler(rows, Ruler.of(known), way=Way.SPEECH, remarks=remarks, lost=lost)


def _script_words(item: EditRow, rate: Rate, say: Callable[[str], str]) -> list[_Word]:
    texts = _words(say(item.row.say))
    length_f = Fraction(item.row.speech_ms) * rate.frames_per_s / 1000
    return [_Word(text, item.start_f + length_f * idx / len(texts)) for idx, text in enumerate(texts)]


def _heard(line: TimedLine, rate: Rate, say: Callable[[str], str]) -> list[_Word]:
    texts = _words(say(line.text))
    a_ms = rate.frames_per_s / 1000
    length_ms = line.end_ms - line.start_ms
    return [
        _Word(text, (line.start_ms + Fraction(length_ms * idx, len(texts))) * a_ms) for idx, text in enumerate(texts)
    ]


def _words(text: str) -> list[str]:
    return [word.casefold().replace("’", "'") for word in _WORD.findall(text)]


def _aligned(rows: Sequence[EditRow], script: dict[str, list[_Word]], heard: list[_Word]) -> dict[str, dict[int, int]]:
    """Return {row: {index of its word: index of the word heard}}; a row's matches rise."""
    flat = [(item.row.id, idx, word.text) for item in rows for idx, word in enumerate(script[item.row.id])]
    pairs: dict[str, dict[int, int]] = {}
    for mine, theirs in _matches([text for *_, text in flat], [word.text for word in heard]):
        row, idx, _ = flat[mine]
        pairs.setdefault(row, {})[idx] = theirs
    good = {row for row, found in pairs.items() if len(found) >= LEAST_MATCHED * len(script[row])}
    free = sorted(set(range(len(heard))) - {at for row in good for at in pairs[row].values()})
    for item in rows:
        row = item.row.id
        if script[row] and row not in good:
            found = _elsewhere(script[row], heard, free)
            if len(found) > len(pairs.get(row, {})):
                pairs[row] = found
            if len(found) >= LEAST_MATCHED * len(script[row]):
                free = sorted(set(free) - set(found.values()))
    return pairs


def _elsewhere(words: list[_Word], heard: list[_Word], free: list[int]) -> dict[int, int]:
    """Return a row's matches among the words that no other row has, where they stand close together."""
    matches = _matches([word.text for word in words], [heard[at].text for at in free])
    found = {mine: free[theirs] for mine, theirs in matches}
    is_close = found and max(found.values()) - min(found.values()) <= 2 * len(words)
    return found if is_close else {}


def _matches(mine: list[str], theirs: list[str]) -> list[tuple[int, int]]:
    matcher = SequenceMatcher(None, theirs, mine, autojunk=len(mine) * len(theirs) > _MANY * _MANY)
    return [(block.b + k, block.a + k) for block in matcher.get_matching_blocks() for k in range(block.size)]
