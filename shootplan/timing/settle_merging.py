"""
Captions of one picture that do not both fit after re-timing are shown as one, if that is quicker to read.

Captions with their places come in; settled slots, the captions with their new texts, and what was merged go out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from shootplan.model.cut import Caption
from shootplan.model.retiming import Place
from shootplan.model.timecode import Rate, least_frames
from shootplan.records import dataclass
from shootplan.timing.collisions import merged_text
from shootplan.timing.edit_rows import Mark
from shootplan.timing.holds import CaptionStyle, caption_need_ms
from shootplan.timing.settle import Settled, Wanted, settle

__all__ = ["Merged", "settle_merging"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Merged:
    """
    Captions on their frames.

    ``captions`` are those left, with their texts; ``into`` is {id of a caption: id of the one that now holds its text};
    ``no_room`` {id: reason}.
    """

    slots: tuple[Settled, ...]
    captions: tuple[Caption, ...]
    into: Mapping[str, str]
    no_room: Mapping[str, str]


def settle_merging(
    marks: Sequence[Mark],
    places: Mapping[str, Place],
    rate: Rate,
    length_f: int,
    *,
    style: CaptionStyle,
    over_cuts: bool = False,
) -> Merged:
    """Return the captions settled as ``settle`` does; one that finds no room joins the one before it in its picture."""
    left = [mark for mark in marks if mark.caption.id in places]
    into: dict[str, str] = {}
    slots, no_room = settle(_wanted(left, places, rate), rate, length_f, over_cuts=over_cuts)
    idx = 1
    while no_room and idx < len(left):
        joined = _joined(left[idx - 1], left[idx], style, rate) if left[idx].caption.id in no_room else None
        if joined is not None:
            tried = [*left[: idx - 1], joined, *left[idx + 1 :]]
            new_slots, still = settle(_wanted(tried, places, rate), rate, length_f, over_cuts=over_cuts)
            if joined.caption.id not in still and len(still) < len(no_room):
                into[left[idx].caption.id] = joined.caption.id
                left, slots, no_room = tried, new_slots, still
                continue
        idx += 1
    return Merged(slots=slots, captions=tuple(mark.caption for mark in left), into=into, no_room=no_room)


def _joined(first: Mark, second: Mark, style: CaptionStyle, rate: Rate) -> Mark | None:
    """Return two captions of one picture as one, ``None`` if that is no quicker to read or too much for the screen."""
    one, other = first.caption, second.caption
    text = merged_text(one.text, other.text, style) if one.row == other.row else None
    if text is None or caption_need_ms(text) >= one.need_ms + other.need_ms:
        return None
    sources = ", ".join(dict.fromkeys(source for source in (one.source, other.source) if source))
    need_ms = caption_need_ms(text)
    length_f = max(first.length_f, least_frames(need_ms, rate))
    return Mark(replace(one, text=text, need_ms=need_ms, source=sources), first.in_f, length_f)


def _wanted(left: Sequence[Mark], places: Mapping[str, Place], rate: Rate) -> list[Wanted]:
    return [
        Wanted(
            id=mark.caption.id,
            place=places[mark.caption.id],
            hold_f=mark.length_f,
            need_f=least_frames(mark.caption.need_ms, rate),
            order=order,
        )
        for order, mark in enumerate(left)
    ]
