"""
The edit as OpenTimelineIO JSON: sections and captions as markers, each row of the script as a clip.

A ``Cut`` comes in, the text of an ``.otio`` file goes out. Schemas as the library writes them (Timeline.1, Stack.1,
Track.1, Clip.2, Marker.2); numbers are floats only because the format wants them.
"""

from __future__ import annotations

from typing import Any

from shootplan.model.cut import CaptionKind, Cut
from shootplan.model.json_text import laid_out
from shootplan.model.timecode import Rate, label
from shootplan.timing.edit_rows import EditRow, Mark, edit_rows

__all__ = ["OURS", "write_otio"]

#: Our name in the metadata, under which a row's and a caption's id are found again.
OURS = "shootplan"
#: Levels that are broken into lines, so that each clip is a line: timeline, stack, tracks, track, clips.
_DEPTH = 5
_SECTION_COLOUR = "PURPLE"
_COLOURS = {
    CaptionKind.INGREDIENT: "GREEN",
    CaptionKind.PRICE: "YELLOW",
    CaptionKind.STEP: "CYAN",
    CaptionKind.TOTAL: "ORANGE",
    CaptionKind.NOTICE: "RED",
}


def write_otio(cut: Cut, rate: Rate, title: str) -> str:
    """
    Return the timeline: one video track with a clip for each row, its captions as markers, sections as markers above.

    A clip has its row's id as name; its source begins at frame 0. The timeline begins at 01:00:00:00, as the list does.
    """
    rows = edit_rows(cut, rate)
    clips = [_clip(item, rate) for item in rows]
    track = {**_item("Track.1", "rows", {}), "kind": "Video", "children": clips}
    stack = {**_item("Stack.1", "tracks", {}), "children": [track], "markers": _sections(cut, rows, rate)}
    start_f = rate.base * 3600 - rate.dropped * 54
    timeline = {
        "OTIO_SCHEMA": "Timeline.1",
        "metadata": {OURS: {"frame_rate": rate.name, "starts_at": label(start_f, rate)}},
        "name": title,
        "global_start_time": _time(start_f, rate),
        "tracks": stack,
    }
    return laid_out(timeline, depth=_DEPTH) + "\n"


def _clip(item: EditRow, rate: Rate) -> dict[str, Any]:
    row = item.row
    ours = {
        "row": row.id,
        "section": row.section,
        "recipe": row.recipe,
        "step": row.step,
        "action": row.action,
        "set_up": row.set_up,
        "picture": row.picture,
        "narration": row.say,
        "speaker": row.speaker,
        "reel": item.reel,
    }
    missing: dict[str, Any] = {
        "OTIO_SCHEMA": "MissingReference.1",
        "metadata": {},
        "name": row.id,
        "available_range": None,
        "available_image_bounds": None,
    }
    return {
        **_item("Clip.2", row.id, ours),
        "source_range": _range(0, item.end_f - item.start_f, rate),
        "markers": [_caption(mark, rate) for mark in item.marks],
        "media_references": {"DEFAULT_MEDIA": missing},
        "active_media_reference_key": "DEFAULT_MEDIA",
    }


def _caption(mark: Mark, rate: Rate) -> dict[str, Any]:
    caption = mark.caption
    ours = {"caption": caption.id, "kind": caption.kind.value, "text": caption.text, "from": caption.source}
    words = " / ".join(caption.text.split("\n"))
    return _marker(caption.id, mark.in_f, mark.length_f, rate, _COLOURS[caption.kind], words, ours)


def _sections(cut: Cut, rows: tuple[EditRow, ...], rate: Rate) -> list[dict[str, Any]]:
    found = []
    for section in cut.sections:
        own = [item for item in rows if item.row.section == section.id]
        if own:
            start_f, end_f = own[0].start_f, own[-1].end_f
            ours = {"section": section.id}
            found.append(_marker(section.title, start_f, end_f - start_f, rate, _SECTION_COLOUR, "", ours))
    return found


def _marker(
    name: str, start_f: int, length_f: int, rate: Rate, colour: str, comment: str, ours: dict[str, str]
) -> dict[str, Any]:
    return {
        "OTIO_SCHEMA": "Marker.2",
        "metadata": {OURS: ours},
        "name": name,
        "color": colour,
        "marked_range": _range(start_f, length_f, rate),
        "comment": comment,
    }


def _item(schema: str, name: str, ours: dict[str, str]) -> dict[str, Any]:
    return {
        "OTIO_SCHEMA": schema,
        "metadata": {OURS: ours} if ours else {},
        "name": name,
        "source_range": None,
        "effects": [],
        "markers": [],
        "enabled": True,
        "color": None,
    }


def _range(start_f: int, length_f: int, rate: Rate) -> dict[str, Any]:
    return {"OTIO_SCHEMA": "TimeRange.1", "duration": _time(length_f, rate), "start_time": _time(start_f, rate)}


def _time(frames: int, rate: Rate) -> dict[str, Any]:
    return {"OTIO_SCHEMA": "RationalTime.1", "rate": float(rate.frames_per_s), "value": float(frames)}
