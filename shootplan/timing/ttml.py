"""
Captions as TTML, IMSC 1.1 text profile (W3C, from memory): one region, media time, white on an opaque ground.

A ``Cut`` comes in, the text of a ``.ttml`` file goes out. Only what the profile allows is written: clock times, lengths
in percent and cells, colours with six or eight digits, text in spans.
"""

from __future__ import annotations

import re

from shootplan.model.cut import Caption, Cut
from shootplan.timing.caption_text import clean_lines, clock_parts
from shootplan.timing.screen import Screen, screen_of

__all__ = ["PROFILE", "escape_xml", "write_ttml"]

#: The profile designator of the IMSC 1.1 text profile.
PROFILE = "http://www.w3.org/ns/ttml/profile/imsc1.1/text"
_NAMESPACES = (
    'xmlns="http://www.w3.org/ns/ttml"',
    'xmlns:ttp="http://www.w3.org/ns/ttml#parameter"',
    'xmlns:tts="http://www.w3.org/ns/ttml#styling"',
    'xmlns:ebutts="urn:ebu:tt:style"',
)
#: Not characters of XML 1.0, beside the control characters that are dropped from every caption.
_NOT_XML = re.compile("[\ufffe\uffff]")


def write_ttml(cut: Cut) -> str:
    """Return the captions as a TTML document, in the order of their in-times; one without words is left out."""
    screen = screen_of(cut)
    ratio = "9 16" if cut.is_vertical else "16 9"
    parameters = (
        'xml:lang="en"',
        'ttp:timeBase="media"',
        f'ttp:contentProfiles="{PROFILE}"',
        f'ttp:displayAspectRatio="{ratio}"',
        f'ttp:cellResolution="40 {screen.rows}"',
    )
    attributes = "\n    ".join((*_NAMESPACES, *parameters))
    shown = sorted(cut.captions, key=lambda item: (item.in_ms, item.out_ms))
    cues = [_cue(number, caption) for number, caption in enumerate(shown, start=1)]
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f"<tt {attributes}>",
        *_head(screen),
        '  <body style="text">',
        '    <div region="top">',
        *(f"      {cue}" for cue in cues if cue),
        "    </div>",
        "  </body>",
        "</tt>",
    ]
    return "\n".join(lines) + "\n"


def escape_xml(text: str) -> str:
    """Return text as XML 1.0 character data that may also stand between double quotes."""
    kept = _NOT_XML.sub("", text).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    return kept.replace('"', "&quot;")


def _head(screen: Screen) -> tuple[str, ...]:
    """Return styles and the region; a cell is as high as a line of text, so the font's 100 % is one cell."""
    text = 'tts:fontFamily="proportionalSansSerif" tts:fontSize="100%" tts:lineHeight="125%" tts:textAlign="start"'
    ground = 'tts:color="#ffffffff" tts:backgroundColor="#14110bff"'
    place = f'tts:origin="{screen.left}% {screen.top}%" tts:extent="{screen.box_width}% {screen.box_height}%"'
    return (
        "  <head>",
        "    <styling>",
        f'      <style xml:id="text" {text} ebutts:linePadding="0.5c"/>',
        f'      <style xml:id="ground" {ground}/>',
        "    </styling>",
        "    <layout>",
        f'      <region xml:id="top" {place} tts:displayAlign="before" tts:showBackground="whenActive"/>',
        "    </layout>",
        "  </head>",
    )


def _cue(number: int, caption: Caption) -> str:
    lines = [escape_xml(line) for line in clean_lines(caption.text)]
    if not any(lines) or caption.out_ms <= caption.in_ms:
        return ""
    times = f'begin="{_clock(caption.in_ms)}" end="{_clock(caption.out_ms)}"'
    return f'<p xml:id="c{number}" {times}><span style="ground">{"<br/>".join(lines)}</span></p>'


def _clock(at_ms: int) -> str:
    hours, minute, second, milliseconds = clock_parts(at_ms)
    return f"{hours:02d}:{minute:02d}:{second:02d}.{milliseconds:03d}"
