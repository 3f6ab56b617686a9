"""
Times read back on the grid of frames: the planned edit as built (check C16), by expressions and parsers of our own.

The cut, the frame rate and the texts of ``edit.edl``, ``edit.otio``, captions and chapters come in, a ``CheckResult``
goes out. A planned caption or chapter is exact to the millisecond (to the second); its marker is on the nearest frame.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from fractions import Fraction
from itertools import pairwise
from typing import Any

from shootplan.model.agreement import CheckResult
from shootplan.model.chapters import chapters_of
from shootplan.model.cut import Cut
from shootplan.model.timecode import Rate, parse_label
from shootplan.readback.captions import Cue, srt_cues, vtt_cues

__all__ = ["C16", "chapter_times", "check_frames", "cue_faults"]

C16 = "all times lie on frames"
#: (is it right, what is wrong if not)
_Reading = tuple[bool, str]
_TIMECODE = r"\d\d:\d\d:\d\d[:;.]\d\d"
_EVENT = re.compile(rf"^\d{{3}}\s+\S+\s+V\s+C\s+({_TIMECODE}) ({_TIMECODE}) ({_TIMECODE}) ({_TIMECODE})\s*$")
_CLIP = re.compile(r"^\* FROM CLIP NAME: (\S+)")
_LOCATOR = re.compile(rf"^\* LOC: ({_TIMECODE}) \S+\s+(\S+)")
_CHAPTER = re.compile(r"^(?:(\d+):)?(\d{1,2}):(\d\d) ", re.MULTILINE)


def check_frames(cut: Cut, rate: Rate, files: Mapping[str, str]) -> CheckResult:
    """Return C16 on the documents of a build: every time of the edit on a frame, the others where the edit has them."""
    readings = [*_lists(cut, rate, files), *_timeline(cut, rate, files), *_cues(files), *_chapters(cut, rate, files)]
    broken = tuple(fault for is_right, fault in readings if not is_right)
    return CheckResult(id="C16", title=C16, compared=len(readings), broken=broken)


def _half_frame_ms(rate: Rate) -> Fraction:
    """Return how far the nearest frame may be from a time in whole milliseconds."""
    return 500 / rate.frames_per_s


def _is_near(frame: Fraction | int, wanted_ms: int, rate: Rate) -> bool:
    return abs(Fraction(frame) * 1000 / rate.frames_per_s - wanted_ms) <= _half_frame_ms(rate)


def _is_mark(frame: Fraction | int, wanted_ms: int, rate: Rate) -> bool:
    """Return whether a caption's marker is on its frame, or one later where the caption before needs that frame."""
    return _is_near(frame, wanted_ms, rate) or _is_near(frame - 1, wanted_ms, rate)


# ---------------------------------------------------------------------------------------------------- edit.edl


def _lists(cut: Cut, rate: Rate, files: Mapping[str, str]) -> Iterator[_Reading]:
    starts = {row.id: row.start_ms for row in cut.rows}
    comes = {caption.id: caption.in_ms for caption in cut.captions}
    end = hour = rate.base * 3600 - rate.dropped * 54
    for path in sorted(name for name in files if re.fullmatch(r"edit(?:_\d+)?\.edl", name)):
        mode = "DROP FRAME" if rate.is_drop else "NON-DROP FRAME"
        yield f"\nFCM: {mode}\n" in files[path], f"{path} does not say FCM: {mode}"
        begins = hour
        for line in files[path].split("\n"):
            if (event := _EVENT.match(line)) is not None:
                times, fault = _frames(event.groups(), rate)
                yield not fault, f"{path}: {fault}"
                if times:
                    source_in, source_out, begins, out = times
                    yield out > begins, f"{path}: the event at {event[3]} does not end behind its start"
                    yield source_out - source_in == out - begins, f"{path}: the event at {event[3]} has two lengths"
                    yield begins >= end, f"{path}: the event at {event[3]} begins before the one above it ends"
                    end = out
            elif (clip := _CLIP.match(line)) is not None and clip[1] in starts:
                is_near = _is_near(begins - hour, starts[clip[1]], rate)
                yield is_near, f"{path}: {clip[1]} is not on the frame of its {starts[clip[1]]} ms"
            elif (mark := _LOCATOR.match(line)) is not None and mark[2] in comes:
                times, fault = _frames((mark[1],), rate)
                yield not fault, f"{path}: {fault}"
                if times:
                    is_near = _is_mark(times[0] - hour, comes[mark[2]], rate)
                    yield is_near, f"{path}: the marker of {mark[2]} is not on the frame of its {comes[mark[2]]} ms"


def _frames(labels: tuple[str, ...], rate: Rate) -> tuple[tuple[int, ...], str]:
    """Return the frames of timecodes, or what is wrong with one of them at this rate."""
    try:
        return tuple(parse_label(text, rate) for text in labels), ""
    except ValueError as error:
        return (), str(error)


# ---------------------------------------------------------------------------------------------------- edit.otio


def _timeline(cut: Cut, rate: Rate, files: Mapping[str, str]) -> Iterator[_Reading]:
    if "edit.otio" not in files:
        return
    root = json.loads(files["edit.otio"])
    for time in _times(root):
        is_whole = time["rate"] == float(rate.frames_per_s) and float(time["value"]).is_integer() and time["value"] >= 0
        yield is_whole, f"edit.otio: {time['value']} at rate {time['rate']} is no frame at {rate.name} frames a second"
    starts = {row.id: row.start_ms for row in cut.rows}
    captions = {caption.id: caption for caption in cut.captions}
    for track in root["tracks"]["children"]:
        at = free = Fraction(0)
        for clip in track["children"]:
            name, length = clip["name"], Fraction(clip["source_range"]["duration"]["value"])
            yield length > 0, f"edit.otio: {name} has no frame"
            yield (
                name in starts and _is_near(at, starts[name], rate),
                f"edit.otio: {name} is not on the frame of its row",
            )
            for marker in clip["markers"]:
                caption = captions.get(marker["name"])
                first = at + Fraction(marker["marked_range"]["start_time"]["value"])
                lasts = Fraction(marker["marked_range"]["duration"]["value"])
                lasts_ms = lasts * 1000 / rate.frames_per_s
                yield first >= free, f"edit.otio: the marker {marker['name']} stands on the one before it"
                free = first + lasts
                is_right = caption is not None and _is_mark(first, caption.in_ms, rate) and lasts_ms >= caption.need_ms
                yield is_right, f"edit.otio: the marker {marker['name']} is not on the frames of its caption"
            at += length


def _times(value: Any) -> Iterator[dict[str, Any]]:
    """Yield every time in a timeline, however deep."""
    if isinstance(value, dict):
        if value.get("OTIO_SCHEMA") == "RationalTime.1":
            yield value
        else:
            for inner in value.values():
                yield from _times(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _times(inner)


# ---------------------------------------------------------------------------------------------------- the others


def _cues(files: Mapping[str, str]) -> Iterator[_Reading]:
    for path, read in (("captions.vtt", vtt_cues), ("captions.srt", srt_cues)):
        if path in files:
            yield from cue_faults(path, list(read(files[path])))


def cue_faults(path: str, cues: list[Cue]) -> Iterator[_Reading]:
    """Yield for each caption whether it ends behind its start, and whether it stands clear of the next one."""
    for begins, ends, _ in cues:
        yield ends > begins, f"{path}: the caption at {begins} ms does not end behind its start"
    for (_, ends, _), (begins, _, _) in pairwise(sorted(cues)):
        yield ends <= begins, f"{path}: the caption at {begins} ms stands on the one before it"


def chapter_times(text: str) -> list[int]:
    """Return the seconds of a list of chapters."""
    return [
        (int(hours or 0) * 60 + int(minutes)) * 60 + int(seconds) for hours, minutes, seconds in _CHAPTER.findall(text)
    ]


def _chapters(cut: Cut, rate: Rate, files: Mapping[str, str]) -> Iterator[_Reading]:
    """Yield for each chapter whether its second is that in which its first picture comes, half a frame either way."""
    if "chapters.txt" not in files:
        return
    half_ms = _half_frame_ms(rate)
    for at_s, chapter in zip(chapter_times(files["chapters.txt"]), chapters_of(cut), strict=False):
        is_right = at_s * 1000 - half_ms <= chapter.start_ms < at_s * 1000 + 1000 + half_ms
        yield is_right, f"chapters.txt: {at_s} s, the first picture of it comes at {chapter.start_ms} ms"
