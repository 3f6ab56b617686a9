"""
What re-timing did, for the terminal and for machines: what moved, what is held longer, what is lost.

A report comes in, text or plain values go out.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from shootplan.model.agreement import CheckResult, CheckStatus
from shootplan.model.retiming import CaptionMove, RetimeReport, RowMove
from shootplan.model.show import running_text
from shootplan.render.table_text import table

__all__ = ["checks_json", "checks_view", "retime_json", "retime_view"]

_SAID = {CheckStatus.HOLDS: "holds", CheckStatus.BROKEN: "broken", CheckStatus.NOT_ASKED: "nothing to compare"}


def retime_view(report: RetimeReport) -> str:
    """
    Return the report as text: the length, rows, captions, a count.

    Neighbouring rows that move alike share a line; of the captions those stand there that do not just move with their
    row.
    """
    lines = [
        f"placed by: {report.way.value}" + (" (a first guess)" if report.is_provisional else ""),
        f"length: planned {_clock(report.planned_ms)}, now {_clock(report.cut.length_ms)}"
        f" at {report.rate.name} frames a second",
        "",
        *_rows(report),
        "",
        *_captions(report),
        "",
        _counts(report),
    ]
    return "\n".join(lines)


def checks_view(checks: Sequence[CheckResult]) -> str:
    """Return a line for each check on the written files, and one for each thing that breaks it."""
    rows = [(item.id, item.title, _SAID[item.status], str(item.compared)) for item in checks]
    broken = [f"{item.id}: {fault}" for item in checks for fault in item.broken]
    return "\n".join([table(("check", "what it holds together", "verdict", "compared"), rows), *broken])


def checks_json(checks: Sequence[CheckResult]) -> list[dict[str, object]]:
    """Return the checks on the written files for machines."""
    return [
        {
            "id": item.id,
            "title": item.title,
            "status": item.status.value,
            "compared": item.compared,
            "broken": list(item.broken),
        }
        for item in checks
    ]


def _rows(report: RetimeReport) -> list[str]:
    rows = []
    for _, group in groupby(report.rows, key=lambda move: _likeness(move, report.frame_ms)):
        moves = list(group)
        cells = _row(moves[0], report.frame_ms)
        if cells and len(moves) > 1:
            cells = (f"{moves[0].id} to {moves[-1].id} ({len(moves)} rows)", *cells[1:])
        rows += [cells] if cells else []
    if not rows:
        return ["every row stands where it was planned"]
    return [table(("row", "planned", "now", "moved", "longer", "remark"), rows)]


def _likeness(move: RowMove, frame_ms: int) -> tuple[str, ...]:
    """Return what rows that share a line have in common; a lost row or one with a remark stands alone."""
    cells = _row(move, frame_ms)
    return cells[3:4] if cells and not cells[4] and not cells[5] else (move.id,) if cells else ()


def _row(move: RowMove, frame_ms: int) -> tuple[str, ...]:
    """Return the cells of a row, none if there is nothing to say of it."""
    if move.start_ms is None:
        return (move.id, _clock(move.planned_ms), "lost", "", "", move.remark)
    moved = _signed(move.start_ms - move.planned_ms, frame_ms)
    longer = _signed(move.length_ms - move.planned_length_ms, frame_ms)
    if not (moved or longer or move.remark):
        return ()
    return (move.id, _clock(move.planned_ms), _clock(move.start_ms), moved, longer, move.remark)


def _captions(report: RetimeReport) -> list[str]:
    shifts = {move.id: move.start_ms - move.planned_ms for move in report.rows if move.start_ms is not None}
    own = [move for move in report.captions if _is_its_own(move, shifts, report.frame_ms)]
    if not own:
        return ["every caption stands where it was planned in its row"]
    rows = [_caption(move, report.frame_ms) for move in own]
    others = len(report.captions) - len(own)
    rest = [f"every other caption ({others}) stands where it was planned in its row"] if others else []
    return [table(("caption", "planned", "now", "moved", "hold", "remark"), rows), *rest]


def _is_its_own(move: CaptionMove, shifts: dict[str, int], frame_ms: int) -> bool:
    """Return whether a caption did more than move with its row."""
    if move.is_lost or move.remark or abs(move.longer_ms) > frame_ms:
        return True
    return abs(move.moved_ms - shifts.get(move.row, 0)) > frame_ms


def _caption(move: CaptionMove, frame_ms: int) -> tuple[str, ...]:
    planned = _clock(move.planned_in_ms)
    if move.in_ms is None or move.out_ms is None:
        return (move.id, planned, "lost", "", "", move.remark)
    hold = f"{(move.out_ms - move.in_ms) / 1000:.1f} s"
    longer = _signed(move.longer_ms, frame_ms)
    hold += f" ({longer})" if longer else ""
    return (move.id, planned, _clock(move.in_ms), _signed(move.moved_ms, frame_ms), hold, move.remark)


def _counts(report: RetimeReport) -> str:
    """Return "12 captions: 8 moved, 1 longer, 0 shorter, 2 lost"; a frame's difference is none."""
    moves = [move for move in report.captions if not move.is_lost]
    moved = sum(abs(move.moved_ms) > report.frame_ms for move in moves)
    longer = sum(move.longer_ms > report.frame_ms for move in moves)
    shorter = sum(move.longer_ms < -report.frame_ms for move in moves)
    lost = len(report.captions) - len(moves)
    head = f"{len(report.captions)} caption{'' if len(report.captions) == 1 else 's'}"
    return f"{head}: {moved} moved, {longer} held longer, {shorter} shorter but long enough, {lost} lost"


def _clock(at_ms: int) -> str:
    """Return a time to the hundredth, cut down: "0:14.48"."""
    return f"{running_text(at_ms)}.{at_ms % 1000 // 10:02d}"


def _signed(delta_ms: int, frame_ms: int = 0) -> str:
    """Return "+1.2 s", "−0.4 s", nothing within a frame."""
    if abs(delta_ms) <= frame_ms:
        return ""
    tenths = (abs(delta_ms) + 5) // 10
    return f"{'−' if delta_ms < 0 else '+'}{tenths // 100}.{tenths % 100:02d} s"


def retime_json(report: RetimeReport) -> dict[str, object]:
    """Return the report for machines, times in milliseconds of the finished video."""
    return {
        "schema_version": 1,
        "placed_by": report.way.name.lower(),
        "is_provisional": report.is_provisional,
        "frame_rate": report.rate.name,
        "planned_ms": report.planned_ms,
        "length_ms": report.cut.length_ms,
        "rows": [
            {
                "row": move.id,
                "planned_ms": move.planned_ms,
                "start_ms": move.start_ms,
                "planned_length_ms": move.planned_length_ms,
                "length_ms": move.length_ms,
                "remark": move.remark,
            }
            for move in report.rows
        ],
        "rows_lost": list(report.rows_lost),
        "captions": [_caption_json(move) for move in report.captions],
        "findings": [
            {"code": item.code, "about": item.about, "message": item.message, "hint": item.hint, "source": item.source}
            for item in report.findings
        ],
    }


def _caption_json(move: CaptionMove) -> dict[str, object]:
    return {
        "caption": move.id,
        "row": move.row,
        "text": move.text,
        "planned_in_ms": move.planned_in_ms,
        "planned_out_ms": move.planned_out_ms,
        "in_ms": move.in_ms,
        "out_ms": move.out_ms,
        "need_ms": move.need_ms,
        "is_lost": move.is_lost,
        "remark": move.remark,
    }
