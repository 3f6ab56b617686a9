"""
A measured pace in words for the terminal, and for machines.

A ``PaceFit`` comes in; text or plain values for JSON go out.
"""

from __future__ import annotations

from fractions import Fraction

from shootplan.model.pace import PaceFit
from shootplan.model.show import decimal_text, number_text, running_text

__all__ = ["pace_json", "pace_view"]

#: About a minute of speech; fewer calibrating paragraphs cost up to 5 points of error (measured on timed speech).
_ENOUGH = 3


def pace_view(fit: PaceFit) -> str:
    """Return words a minute, the factor, the error on held-out paragraphs, and the lines for ``kitchen.toml``."""
    lines = [
        f"{fit.words} words in {running_text(fit.length_ms)}: {number_text(fit.words_per_minute, 1)} words a minute",
        f"factor {decimal_text(fit.factor, 2)}, from {_paragraphs(fit.calibrated)}",
        *_fit_lines(fit),
        *_warnings(fit),
        "for kitchen.toml (take out words_per_minute, which goes before it):",
        "[pace]",
        f"speech_factor = {decimal_text(fit.factor, 2)}",
    ]
    return "\n".join(lines)


def _fit_lines(fit: PaceFit) -> list[str]:
    if fit.mean_error is None or fit.worst_error is None or fit.total_error is None or fit.flat_error is None:
        return ["nothing was held out to test it on"]
    tested = _paragraphs(fit.tested)
    return [
        f"on {tested} held out: {_percent(fit.mean_error)} off on average, {_percent(fit.worst_error)} at worst, "
        f"{_percent(fit.total_error, signed=True)} in all",
        f"a flat rate of words would be {_percent(fit.flat_error)} off on average",
    ]


def _warnings(fit: PaceFit) -> list[str]:
    if fit.calibrated >= _ENOUGH and fit.tested >= _ENOUGH:
        return []
    return ["too short to trust: take a minute and a half of speech or more"]


def _paragraphs(count: int) -> str:
    return f"{count} paragraph{'' if count == 1 else 's'}"


def _percent(share: Fraction, *, signed: bool = False) -> str:
    text = decimal_text(abs(share) * 100, 1)
    sign = ("-" if share < 0 else "+") if signed else ""
    return f"{sign}{text} %"


def pace_json(fit: PaceFit) -> dict[str, object]:
    """Return the fit for machines; shares and factors are decimal texts."""
    errors = {
        name: None if share is None else decimal_text(share, 4)
        for name, share in (
            ("mean_error", fit.mean_error),
            ("worst_error", fit.worst_error),
            ("total_error", fit.total_error),
            ("flat_error", fit.flat_error),
        )
    }
    return {
        "schema_version": 1,
        "words": fit.words,
        "length_ms": fit.length_ms,
        "words_per_minute": decimal_text(fit.words_per_minute, 1),
        "speech_factor": decimal_text(fit.factor, 2),
        "calibrated_paragraphs": fit.calibrated,
        "tested_paragraphs": fit.tested,
        **errors,
    }
