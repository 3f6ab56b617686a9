"""
The cut on the clock of the finished video.

The planned cut and the places of its rows and captions come in; the re-timed cut, a report of what moved, was held
longer or was lost, and findings go out. The rules for captions are checked again on the result.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from shootplan.model.cut import Cut, Row, Section
from shootplan.model.retiming import CaptionMove, Placing, RetimeReport, RowMove
from shootplan.model.show import join_words
from shootplan.model.timecode import Rate, ms_of_frame
from shootplan.problems import Finding
from shootplan.timing.chapters import chapter_findings
from shootplan.timing.edit_rows import EditRow
from shootplan.timing.holds import VERTICAL, WIDE
from shootplan.timing.placing import LEAST_GAP_MS
from shootplan.timing.settle_merging import Merged, settle_merging

__all__ = ["check_captions", "retime_cut"]

_HOLD = "BCAP guidance on superimposed text as published by Clearcast; BBC subtitle guidelines"
_NAMED = 5


def retime_cut(
    cut: Cut, rows: Sequence[EditRow], placing: Placing, rate: Rate, *, over_cuts: bool = False
) -> RetimeReport:
    """
    Return the re-timed cut and how it differs from the plan.

    Parameters
    ----------
    cut, rows
        The planned cut, and the same on the grid of frames.
    placing
        Where rows and captions stand in the finished video.
    rate
        Frames a second of the finished video.
    over_cuts
        Whether a caption may run on into the next picture rather than be left out.
    """
    length_f = _near(placing.length_f)
    marks = [mark for item in rows for mark in item.marks]
    style = VERTICAL if cut.is_vertical else WIDE
    merged = settle_merging(marks, placing.captions, rate, length_f, style=style, over_cuts=over_cuts)
    moves = tuple(_moves(cut, merged, placing, rate))
    new = _cut(cut, placing, merged, ms_of_frame(length_f, rate), rate)
    report = RetimeReport(
        way=placing.way,
        rate=rate,
        cut=new,
        planned_ms=cut.length_ms,
        rows=tuple(_row_moves(cut, rows, placing, rate)),
        captions=moves,
        is_provisional=placing.is_provisional,
        frame_ms=int(-(-1000 // rate.frames_per_s)),
    )
    found = (*_findings(cut, placing, report), *check_captions(new, rate), *chapter_findings(new))
    return replace(report, findings=found)


def _near(value: Fraction) -> int:
    return (2 * value.numerator + value.denominator) // (2 * value.denominator)


def _moves(cut: Cut, merged: Merged, placing: Placing, rate: Rate) -> Iterator[CaptionMove]:
    """Yield what became of each planned caption; one that joined another comes and goes with it."""
    slots = {slot.id: slot for slot in merged.slots}
    reasons = {**placing.lost, **merged.no_room}
    for caption in cut.captions:
        holder = merged.into.get(caption.id, caption.id)
        slot = slots.get(holder)
        remarks = slot.remarks if slot is not None else []
        if holder != caption.id:
            remarks = [f"shown together with {holder}"]
        yield CaptionMove(
            id=caption.id,
            row=caption.row,
            text=caption.text,
            planned_in_ms=caption.in_ms,
            planned_out_ms=caption.out_ms,
            need_ms=caption.need_ms,
            in_ms=ms_of_frame(slot.in_f, rate) if slot is not None else None,
            out_ms=ms_of_frame(slot.out_f, rate) if slot is not None else None,
            remark="; ".join(remarks) if slot is not None else reasons.get(holder, "its picture has no frame"),
        )


# ---------------------------------------------------------------------------------------------------- the new cut


def _cut(cut: Cut, placing: Placing, merged: Merged, length_ms: int, rate: Rate) -> Cut:
    """Return the cut with what is in the finished video, in its order; a row of another section may stand between."""
    kept = {slot.id: slot for slot in merged.slots}
    captions = [
        replace(item, in_ms=ms_of_frame(kept[item.id].in_f, rate), out_ms=ms_of_frame(kept[item.id].out_f, rate))
        for item in merged.captions
        if item.id in kept
    ]
    sections = [
        replace(section, rows=tuple(_rows(section, placing, set(kept), rate)))
        for section in cut.sections
        if any(row.id in placing.rows for row in section.rows)
    ]
    return replace(
        cut,
        sections=tuple(sorted(sections, key=lambda section: section.rows[0].start_ms)),
        captions=tuple(sorted(captions, key=lambda item: (item.in_ms, item.out_ms))),
        length_ms=length_ms,
        over_ms=0,
        stuck_ms=0,
    )


def _rows(section: Section, placing: Placing, kept: set[str], rate: Rate) -> list[Row]:
    """Return the rows of a section that are in the finished video, by their new starts."""
    found = [
        replace(
            row,
            start_ms=_ms(place.start_f, rate),
            length_ms=_ms(place.end_f, rate) - _ms(place.start_f, rate),
            captions=tuple(name for name in row.captions if name in kept),
            cut_ms=0,
            cut_syllables=0,
            fill_ms=0,
        )
        for row in section.rows
        if (place := placing.rows.get(row.id)) is not None
    ]
    return sorted(found, key=lambda row: row.start_ms)


def _ms(frames: Fraction, rate: Rate) -> int:
    return ms_of_frame(_near(frames), rate)


def _row_moves(cut: Cut, rows: Sequence[EditRow], placing: Placing, rate: Rate) -> Iterator[RowMove]:
    planned = {item.row.id: item for item in rows}
    for row in cut.rows:
        item, place = planned.get(row.id), placing.rows.get(row.id)
        start_ms = ms_of_frame(item.start_f, rate) if item is not None else row.start_ms
        length_ms = ms_of_frame(item.end_f, rate) - start_ms if item is not None else row.length_ms
        yield RowMove(
            id=row.id,
            planned_ms=start_ms,
            planned_length_ms=length_ms,
            start_ms=_ms(place.start_f, rate) if place is not None else None,
            length_ms=_ms(place.end_f, rate) - _ms(place.start_f, rate) if place is not None else 0,
            remark=place.remark if place is not None else placing.lost.get(row.id, "its picture has no frame"),
        )


# ---------------------------------------------------------------------------------------------------- findings


def check_captions(cut: Cut, rate: Rate) -> Iterator[Finding]:
    """Yield where the captions of a cut break a rule: a hold below its need, one on another, too short a gap."""
    for caption in cut.captions:
        if caption.hold_ms < caption.need_ms:
            message = f"{caption.hold_ms} ms are too short, {caption.need_ms} ms are needed to read it"
            yield Finding(code="cut-hold-short", message=message, about=caption.id, source=_HOLD)
    gap_ms = LEAST_GAP_MS - 1000 // rate.frames_per_s
    for first, second in pairwise(sorted(cut.captions, key=lambda item: item.in_ms)):
        between_ms = second.in_ms - first.out_ms
        if between_ms < 0:
            message = f'it stands on "{first.id}" for {-between_ms} ms'
            yield Finding(code="cut-collision", message=message, about=second.id, source=_HOLD)
        elif 0 < between_ms < gap_ms:
            message = f'only {between_ms} ms behind "{first.id}", where none or a second should be'
            yield Finding(code="cut-gap-short", message=message, about=second.id, source=_HOLD)


def _findings(cut: Cut, placing: Placing, report: RetimeReport) -> Iterator[Finding]:
    if report.rows_lost:
        message = f"{_count(report.rows_lost, 'row')} of the script not found in the video: {_names(report.rows_lost)}"
        yield Finding(code="cut-row-lost", message=message)
    twice = [name for name, place in placing.rows.items() if place.is_repeated]
    if twice:
        yield Finding(code="cut-row-twice", message=f"used more than once, the first use counts: {_names(twice)}")
    for move in report.captions:
        if move.is_lost and move.row in placing.rows:
            flat = " / ".join(move.text.split("\n"))
            hint = "make its picture longer, or let it run on with --over-cuts" if "needs" in move.remark else None
            message = f'the caption "{flat}" is left out: {move.remark}'
            yield Finding(code="cut-caption-lost", message=message, about=move.id, hint=hint)
    if report.is_provisional:
        message = "only the length is known, so every time is a first guess; re-time again from the edit list"
        yield Finding(code="cut-provisional", message=message)


def _count(items: Sequence[str], noun: str) -> str:
    return f"{len(items)} {noun}{'' if len(items) == 1 else 's'}"


def _names(items: Sequence[str]) -> str:
    more = len(items) - _NAMED
    return join_words([*items[:_NAMED], f"{more} more"]) if more > 0 else join_words(items)
