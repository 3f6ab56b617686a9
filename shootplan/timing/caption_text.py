"""
What every caption file needs: clean lines, times in hours to milliseconds.

Texts and milliseconds come in, strings go out. No format is known here.
"""

from __future__ import annotations

__all__ = ["clean_lines", "clock_parts"]


def clean_lines(text: str) -> tuple[str, ...]:
    """
    Return the lines of a caption without blank ones; any line separator parts lines, control characters are dropped.

    NUL becomes U+FFFD, as the WebVTT standard has it.
    """
    lines = (_clean(line) for line in text.replace("\0", "\ufffd").splitlines())
    return tuple(line for line in lines if line)


def _clean(line: str) -> str:
    """Drop control characters and lone surrogates, and spaces at the ends."""
    kept = (" " if character == "\t" else character for character in line)
    return "".join(c for c in kept if c >= " " and c != "\x7f" and not "\ud800" <= c <= "\udfff").strip()


def clock_parts(at_ms: int) -> tuple[int, int, int, int]:
    """
    Return hours, minutes, seconds and milliseconds.

    Raises
    ------
    ValueError
        If the time is negative.
    """
    if at_ms < 0:
        raise ValueError(f"a time on the cut clock is never negative, got {at_ms}")
    seconds, milliseconds = divmod(at_ms, 1000)
    minutes, second = divmod(seconds, 60)
    hours, minute = divmod(minutes, 60)
    return hours, minute, second, milliseconds
