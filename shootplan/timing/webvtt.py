"""
Captions as WebVTT (W3C), strictly: escaped, no blank line in a payload, times with hours, cues in order.

A ``Cut`` comes in, the text of a ``.vtt`` file goes out.
"""

from __future__ import annotations

from shootplan.model.cut import Caption, Cut
from shootplan.timing.caption_text import clean_lines, clock_parts
from shootplan.timing.screen import screen_of

__all__ = ["escape_payload", "format_time", "write_chapters", "write_webvtt"]


def write_webvtt(cut: Cut) -> str:
    """Return the captions as a WebVTT file, in the order of their in-times; a caption without words is left out."""
    screen = screen_of(cut)
    settings = f"line:{screen.top}% position:{screen.left}%,line-left align:left size:{screen.box_width}%"
    blocks = ["WEBVTT"]
    for caption in sorted(cut.captions, key=lambda item: (item.in_ms, item.out_ms)):
        payload = escape_payload(caption.text)
        if payload and caption.out_ms > caption.in_ms:
            blocks.append(f"{_identifier(caption)}\n{_timings(caption.in_ms, caption.out_ms)} {settings}\n{payload}")
    return "\n\n".join(blocks) + "\n"


def write_chapters(cut: Cut) -> str:
    """Return the sections as WebVTT chapter cues: consecutive, from the first frame to the last."""
    starts = [section.rows[0].start_ms for section in cut.sections if section.rows]
    titles = [section.title for section in cut.sections if section.rows]
    blocks = ["WEBVTT"]
    for start_ms, end_ms, title in zip(starts, [*starts[1:], cut.length_ms], titles, strict=True):
        name = " ".join(escape_payload(title).split("\n"))
        if name and end_ms > start_ms:
            blocks.append(f"{_timings(start_ms, end_ms)}\n{name}")
    return "\n\n".join(blocks) + "\n"


def escape_payload(text: str) -> str:
    """Return a cue's payload: ``&``, ``<`` and ``>`` escaped (so no ``-->`` can stand), blank lines dropped."""
    lines = (line.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;") for line in clean_lines(text))
    return "\n".join(lines)


def format_time(at_ms: int) -> str:
    """Return ``hh:mm:ss.ttt``, hours with two digits or more."""
    hours, minute, second, milliseconds = clock_parts(at_ms)
    return f"{hours:02d}:{minute:02d}:{second:02d}.{milliseconds:03d}"


def _timings(in_ms: int, out_ms: int) -> str:
    return f"{format_time(in_ms)} --> {format_time(out_ms)}"


def _identifier(caption: Caption) -> str:
    """Return a cue's id on one line; an arrow is not allowed in it."""
    return " ".join(clean_lines(caption.id)).replace("-->", "->") or "caption"
