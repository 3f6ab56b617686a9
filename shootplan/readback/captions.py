"""
Caption files read back: WebVTT (W3C), SubRip as commonly read, and our list (RFC 4180), against the cut.

The texts of the files come in, counts and sentences about what differs go out.
"""

from __future__ import annotations

import csv
import html
import io
import re
from collections.abc import Iterator, Mapping

from shootplan.model.agreement import CheckResult
from shootplan.model.cut import Caption, Cut

__all__ = ["check_captions", "srt_cues", "vtt_cues"]

#: In, out, text with single line feeds.
Cue = tuple[int, int, str]
_TIMES = re.compile(r"(?:(\d+):)?(\d\d):(\d\d)[.,](\d{3})\s+-->\s+(?:(\d+):)?(\d\d):(\d\d)[.,](\d{3})")
_CLOCK = re.compile(r"(?:(\d+):)?(\d{1,2}):(\d\d)[.](\d{3})")


def check_captions(cut: Cut, files: Mapping[str, str]) -> tuple[CheckResult, CheckResult]:
    """Return C19 (texts survive escaping) and the part of C3 on times (in, out, hold)."""
    wanted = sorted(
        (item for item in cut.captions if _plain(item.text) and item.out_ms > item.in_ms),
        key=lambda item: (item.in_ms, item.out_ms),
    )
    readers = (("captions.vtt", vtt_cues), ("captions.srt", srt_cues), ("captions.csv", _csv_cues))
    compared, of_text, of_time = 0, list[str](), list[str]()
    for path, read in readers:
        if path not in files:
            continue
        cues = list(read(files[path]))
        if len(cues) != len(wanted):
            of_time.append(f"{path} has {len(cues)} captions, the cut {len(wanted)}")
            continue
        for caption, cue in zip(wanted, cues, strict=True):
            compared += 1
            of_text += _text_fault(path, caption, cue)
            of_time += _time_fault(path, caption, cue)
    texts = CheckResult(
        id="C19", title="texts come through escaping unchanged", compared=compared, broken=tuple(of_text)
    )
    return texts, CheckResult(id="C3", title="", compared=compared, broken=tuple(of_time))


def _text_fault(path: str, caption: Caption, cue: Cue) -> list[str]:
    wanted, found = _plain(caption.text), _plain(cue[2])
    same = wanted == found or (path != "captions.vtt" and wanted.replace("-->", "→") == found)
    return [] if same else [f'{path}: caption "{caption.id}" reads "{found}", the cut has "{wanted}"']


def _time_fault(path: str, caption: Caption, cue: Cue) -> list[str]:
    same = (caption.in_ms, caption.out_ms) == cue[:2]
    return (
        []
        if same
        else [f"{path}: caption {caption.id} runs {cue[0]}–{cue[1]} ms, in the cut {caption.in_ms}–{caption.out_ms}"]
    )


def _plain(text: str) -> str:
    """Return a caption's words, however its lines are parted."""
    text = "".join(sign for sign in text if sign.isprintable() or sign.isspace())
    return " ".join(word for word in text.replace("\u00a0", " ").split() if word != "/")


def vtt_cues(text: str) -> Iterator[Cue]:
    """Yield the cues of a WebVTT file: blocks between blank lines, character references read."""
    for block in re.split(r"\n{2,}", text.replace("\r\n", "\n").strip())[1:]:
        cue = _cue(block.split("\n"))
        if cue is not None:
            yield cue[0], cue[1], html.unescape(cue[2])


def srt_cues(text: str) -> Iterator[Cue]:
    """Yield the cues of a SubRip file, whose text is not escaped."""
    for block in re.split(r"\n{2,}", text.replace("\r\n", "\n").strip()):
        cue = _cue(block.split("\n"))
        if cue is not None:
            yield cue


def _cue(lines: list[str]) -> Cue | None:
    for number, line in enumerate(lines[:2]):
        match = _TIMES.match(line)
        if match is not None:
            parts = match.groups()
            return _ms(parts[:4]), _ms(parts[4:]), "\n".join(lines[number + 1 :])
    return None


def _ms(parts: tuple[str | None, ...]) -> int:
    hours, minutes, seconds, milliseconds = (int(part or 0) for part in parts)
    return ((hours * 60 + minutes) * 60 + seconds) * 1000 + milliseconds


def _csv_cues(text: str) -> Iterator[Cue]:
    for row in csv.DictReader(io.StringIO(text.removeprefix("\ufeff"), newline="")):
        begins, ends = _CLOCK.fullmatch(row["in"]), _CLOCK.fullmatch(row["out"])
        if begins is not None and ends is not None:
            shown = row["text"]
            yield _ms(begins.groups()), _ms(ends.groups()), shown[1:] if shown.startswith("'") else shown
