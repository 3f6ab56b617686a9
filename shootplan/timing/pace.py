"""
How fast a presenter speaks, measured on the timed text of a past episode.

Timed lines and a function that says figures out come in; a ``PaceFit`` goes out. Lines are joined to paragraphs; the
odd ones set the factor, the even ones, which the fit has not seen, tell its error.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction

from shootplan.model.episode import Pace
from shootplan.model.money import half_up
from shootplan.model.pace import PaceFit, TimedLine
from shootplan.records import dataclass
from shootplan.timing.speech import speech_ms, spoken_words

__all__ = ["Paragraph", "fit_pace", "paragraphs"]

#: A paragraph is at least this long where the speech goes on (the measurements behind the model used 20 to 30 s).
PARAGRAPH_MS = 20_000
LONGEST_MS = 30_000
#: A silence longer than this ends a paragraph.
SILENCE_MS = 1_500
#: What is shorter says too little of a pace.
SHORTEST_MS = 5_000
_PLAIN = Pace(speech_factor=Fraction(1))
_SENTENCE_ENDS = (".", "!", "?", "…")


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A stretch of speech: how long it lasted, with the pauses inside it, and what was said, figures said out."""

    length_ms: int
    spoken: str

    @property
    def model_ms(self) -> int:
        """Its length by the model with a factor of 1."""
        return speech_ms(self.spoken, _PLAIN)

    @property
    def words(self) -> int:
        """Its spoken words."""
        return spoken_words(self.spoken)


def paragraphs(lines: Sequence[TimedLine], say: Callable[[str], str]) -> tuple[Paragraph, ...]:
    """
    Return the paragraphs of a timed text in order.

    A paragraph ends at a silence of more than 1.5 s (where ends are known), at the first sentence end from 20 s on, or
    before it would pass 30 s; what stays under 5 s is left out. ``say`` turns figures into spoken words.
    """
    groups: list[list[TimedLine]] = []
    for line in lines:
        if not groups or _ends(groups[-1], line):
            groups.append([])
        groups[-1].append(line)
    found = (_paragraph(group, say) for group in groups)
    return tuple(item for item in found if item.length_ms >= SHORTEST_MS and item.words)


def _ends(group: list[TimedLine], line: TimedLine) -> bool:
    first, last = group[0], group[-1]
    length_ms = last.end_ms - first.start_ms
    is_silent = last.has_end and line.start_ms - last.end_ms > SILENCE_MS
    is_full = length_ms >= PARAGRAPH_MS and last.text.rstrip("\"'”’)").endswith(_SENTENCE_ENDS)
    return is_silent or is_full or line.end_ms - first.start_ms > LONGEST_MS


def _paragraph(group: list[TimedLine], say: Callable[[str], str]) -> Paragraph:
    length_ms = max(line.end_ms for line in group) - group[0].start_ms
    return Paragraph(length_ms, say(" ".join(line.text for line in group)))


def fit_pace(lines: Sequence[TimedLine], say: Callable[[str], str]) -> PaceFit | None:
    """
    Return the pace of a timed text, ``None`` where no paragraph of it is long enough.

    The factor is the odd paragraphs' real length over the model's, so that their total comes out right; the error is
    the mean of |predicted - real| / real over the even ones.
    """
    found = paragraphs(lines, say)
    if not found:
        return None
    odd, even = found[0::2], found[1::2]
    factor = Fraction(half_up(Fraction(_total(odd), sum(item.model_ms for item in odd)), 2))
    words, length_ms = sum(item.words for item in found), _total(found)
    flat = Fraction(_total(odd), sum(item.words for item in odd))
    errors = [_error(factor * item.model_ms, item) for item in even]
    return PaceFit(
        words=words,
        length_ms=length_ms,
        words_per_minute=Fraction(words * 60_000, length_ms),
        factor=factor,
        calibrated=len(odd),
        tested=len(even),
        mean_error=_mean(errors),
        worst_error=max(errors, default=None),
        total_error=(factor * sum(item.model_ms for item in even) / _total(even) - 1) if even else None,
        flat_error=_mean([_error(flat * item.words, item) for item in even]),
    )


def _total(items: Sequence[Paragraph]) -> int:
    return sum(item.length_ms for item in items)


def _error(predicted_ms: Fraction, item: Paragraph) -> Fraction:
    return abs(predicted_ms - item.length_ms) / item.length_ms


def _mean(errors: Sequence[Fraction]) -> Fraction | None:
    return sum(errors, Fraction(0)) / len(errors) if errors else None
