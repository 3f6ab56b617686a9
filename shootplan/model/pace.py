"""A presenter's measured pace: what a timed text of a past episode says about it, and how good the fit is."""

from __future__ import annotations

from fractions import Fraction

from shootplan.records import dataclass

__all__ = ["PaceFit", "TimedLine"]


@dataclass(frozen=True, slots=True)
class TimedLine:
    """
    One timed line of a past episode: from ``start_ms`` to ``end_ms`` on its cut clock, and what was said.

    ``has_end`` is false where the file gives starts only: the end is then the start of the next line.
    """

    start_ms: int
    end_ms: int
    text: str
    has_end: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class PaceFit:
    """
    The factor of the syllables-and-pauses model for one presenter.

    ``factor`` is fitted on the odd paragraphs (``calibrated`` of them), rounded to hundredths. ``mean_error`` and
    ``worst_error`` are shares (0.08 is 8 %) on the even ones (``tested`` of them), which the fit has not seen;
    ``total_error`` is signed, above zero where the model is too long. ``flat_error`` is what one flat rate of words,
    fitted on the same paragraphs, would have had. All four are ``None`` without a held-out paragraph.
    """

    words: int
    length_ms: int
    words_per_minute: Fraction
    factor: Fraction
    calibrated: int
    tested: int
    mean_error: Fraction | None = None
    worst_error: Fraction | None = None
    total_error: Fraction | None = None
    flat_error: Fraction | None = None
