"""
Captions as SubRip, as it is commonly read: counters from 1, commas before milliseconds, nothing escaped.

A ``Cut`` comes in, the text of an ``.srt`` file goes out. The format has no standard (common practice, no source).
"""

from __future__ import annotations

from shootplan.model.cut import Cut
from shootplan.timing.caption_text import clean_lines, clock_parts

__all__ = ["format_time", "write_subrip"]


def write_subrip(cut: Cut) -> str:
    """Return the captions as a SubRip file, in the order of their in-times; a caption without words is left out."""
    blocks: list[str] = []
    for caption in sorted(cut.captions, key=lambda item: (item.in_ms, item.out_ms)):
        lines = clean_lines(caption.text.replace("-->", "→"))
        if lines and caption.out_ms > caption.in_ms:
            timings = f"{format_time(caption.in_ms)} --> {format_time(caption.out_ms)}"
            blocks.append("\n".join([str(len(blocks) + 1), timings, *lines]) + "\n")
    return "\n".join(blocks)


def format_time(at_ms: int) -> str:
    """Return ``hh:mm:ss,ttt``."""
    hours, minute, second, milliseconds = clock_parts(at_ms)
    return f"{hours:02d}:{minute:02d}:{second:02d},{milliseconds:03d}"
