"""
The written captions and chapters of a re-timed video read back: holds (C12), every caption (C15), frames (C16).

The planned cut, the report of re-timing, the places found and the texts go in, three ``CheckResult`` come out.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from itertools import pairwise

from shootplan.model.agreement import CheckResult
from shootplan.model.cut import Cut
from shootplan.model.retiming import CaptionMove, Placing, RetimeReport
from shootplan.model.timecode import Rate, frame_of_ms, ms_of_frame
from shootplan.readback.captions import Cue, srt_cues, vtt_cues
from shootplan.readback.frames import C16, chapter_times, cue_faults

__all__ = ["check_retimed"]

C12, C15 = "every caption stays long enough", "the re-timed edit has every caption"
_ID = re.compile(r"^(\S+)\n(?=\S+ --> )", re.MULTILINE)
_Reading = tuple[bool, str]


def check_retimed(
    planned: Cut, report: RetimeReport, placing: Placing, files: Mapping[str, str], *, over_cuts: bool = False
) -> tuple[CheckResult, ...]:
    """
    Return C12, C15 and C16 on the written files of a re-timed video.

    C15: each planned caption is in the file once (alone, or in the one that it is shown with) or is listed as lost,
    nothing else is in it, and none leaves its picture unless ``over_cuts``.
    """
    text = files["captions.vtt"]
    cues = dict(zip(_ID.findall(text), vtt_cues(text), strict=False))
    return (
        _result("C12", C12, _holds(report.cut, cues)),
        _result("C15", C15, _whole(planned, report, placing, text, cues, over_cuts=over_cuts)),
        _result("C16", C16, _on_frames(report.rate, files)),
    )


def _result(name: str, title: str, readings: Iterator[_Reading]) -> CheckResult:
    found = list(readings)
    return CheckResult(
        id=name, title=title, compared=len(found), broken=tuple(fault for is_right, fault in found if not is_right)
    )


def _holds(cut: Cut, cues: Mapping[str, Cue]) -> Iterator[_Reading]:
    needs = {caption.id: caption.need_ms for caption in cut.captions}
    for name, (begins, ends, _) in cues.items():
        need_ms = needs.get(name, 0)
        yield ends - begins >= need_ms, f"caption {name} stays {ends - begins} ms and needs {need_ms}"


# ---------------------------------------------------------------------------------------------------- C15


def _whole(
    planned: Cut, report: RetimeReport, placing: Placing, text: str, cues: Mapping[str, Cue], *, over_cuts: bool
) -> Iterator[_Reading]:
    moves = {move.id: move for move in report.captions}
    names, known = _ID.findall(text), {caption.id for caption in planned.captions}
    for name in dict.fromkeys(names):
        yield names.count(name) == 1, f"caption {name} is in the file {names.count(name)} times"
        yield name in known, f"caption {name} is not one of the plan"
    for caption in planned.captions:
        move = moves.get(caption.id)
        if move is None:
            yield False, f"caption {caption.id} is neither in the report nor listed as lost"
        elif move.is_lost:
            yield caption.id not in cues, f"caption {caption.id} is listed as lost and is in the file"
        else:
            holder = _holder(move, cues)
            yield holder is not None, f"caption {caption.id} is neither in the file nor listed as lost"
            if holder is not None and not over_cuts:
                yield from _inside(caption.id, cues[holder], placing, report.rate)


def _holder(move: CaptionMove, cues: Mapping[str, Cue]) -> str | None:
    """Return the cue that shows a caption's words: its own, else one at that time which it was joined to."""
    words = _words(move.text)
    for name in (move.id, *cues):
        cue = cues.get(name)
        if cue is not None and (name == move.id or cue[:2] == (move.in_ms, move.out_ms)) and words <= _words(cue[2]):
            return name
    return None


def _words(text: str) -> set[str]:
    return {word for word in "".join(sign if sign.isprintable() else " " for sign in text).split() if word != "·"}


def _inside(name: str, cue: Cue, placing: Placing, rate: Rate) -> Iterator[_Reading]:
    """Yield whether a caption keeps to the picture that it belongs to; a millisecond is rounding."""
    place = placing.captions.get(name)
    if place is not None:
        low_ms, high_ms = (value * 1000 / rate.frames_per_s for value in (place.low_f, place.high_f))
        is_inside = low_ms - 1 <= cue[0] and cue[1] <= high_ms + 1
        yield is_inside, f"caption {name} crosses a cut: its picture has {round(low_ms)} to {round(high_ms)} ms"


# ---------------------------------------------------------------------------------------------------- C16


def _on_frames(rate: Rate, files: Mapping[str, str]) -> Iterator[_Reading]:
    for path, read in (("captions.vtt", vtt_cues), ("captions.srt", srt_cues)):
        cues = list(read(files[path]))
        yield from cue_faults(path, cues)
        for begins, ends, _ in cues:
            for at_ms in (begins, ends):
                is_frame = ms_of_frame(frame_of_ms(at_ms, rate), rate) == at_ms
                yield is_frame, f"{path}: {at_ms} ms is no frame at {rate.name} frames a second"
    seconds = chapter_times(files["chapters.txt"])
    for before, after in pairwise(seconds):
        yield before < after, f"chapters.txt: {after} s does not follow {before} s"
