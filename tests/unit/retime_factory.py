"""
A small planned cut made by hand, for tests of re-timing: four rows of 12, 10, 18 and 10 seconds.

Captions come 1.2 s into "bake.cut", 1 and 10 s into "bake.boil", 1 s into "closing.end"; each is held for 3 s and needs
2.4 s.
"""

from __future__ import annotations

from shootplan.app.retime import place
from shootplan.model.cut import Caption, CaptionKind, Cut, Row, Section
from shootplan.model.retiming import Placing, RetimeReport
from shootplan.model.timecode import RATES, Rate
from shootplan.problems import InputError, Problem
from shootplan.read.files import MemoryFiles
from shootplan.timing.edit_rows import edit_rows
from shootplan.timing.retime import retime_cut

HOLD_MS, NEED_MS = 3000, 2400
SAY = {
    "opening.hello": "Good evening and welcome to a kitchen with a single oven tonight",
    "bake.cut": "Cut the potatoes into chunks of one size so that they cook at one speed",
    "bake.boil": "",
    "closing.end": "There it is for one pound twenty-eight a head thank you for watching",
}


def row(name: str, start_s: int, length_ms: int, *captions: str) -> Row:
    """Return a row whose narration fills its first half."""
    section, _, step = name.partition(".")
    return Row(
        id=name,
        section=section,
        recipe="bake" if section == "bake" else "",
        step=step,
        say=SAY[name],
        speech_ms=length_ms // 2 if SAY[name] else 0,
        start_ms=start_s * 1000,
        length_ms=length_ms,
        captions=captions,
    )


def caption(row_id: str, number: int, in_ms: int, text: str = "2 tbsp oil", need_ms: int = NEED_MS) -> Caption:
    """Return a caption of three seconds."""
    return Caption(
        id=f"{row_id}.{number}",
        row=row_id,
        kind=CaptionKind.INGREDIENT,
        text=text,
        in_ms=in_ms,
        out_ms=in_ms + HOLD_MS,
        need_ms=need_ms,
    )


CUT = Cut(
    sections=(
        Section(id="opening", title="Supper", rows=(row("opening.hello", 0, 11_500),)),
        Section(
            id="bake",
            title="The bake",
            rows=(
                row("bake.cut", 12, 9_500, "bake.cut.1"),
                row("bake.boil", 22, 17_500, "bake.boil.1", "bake.boil.2"),
            ),
        ),
        Section(id="closing", title="Table", rows=(row("closing.end", 40, 10_000, "closing.end.1"),)),
    ),
    captions=(
        caption("bake.cut", 1, 13_200),
        caption("bake.boil", 1, 23_000, "900 g potatoes"),
        caption("bake.boil", 2, 32_000, "½ tsp salt"),
        caption("closing.end", 1, 41_000, "£1.28 a head"),
    ),
    length_ms=50_000,
)


def placed(
    text: str, name: str = "cut.edl", rate: Rate = RATES["25"], start: str = ""
) -> tuple[Placing, tuple[Problem, ...]]:
    """Return the places by a file of that text."""
    return place(CUT, rate, cut=name, start=start, files=MemoryFiles({name: text}))


def retimed(
    text: str, name: str = "cut.edl", rate: Rate = RATES["25"], *, start: str = "", over_cuts: bool = False
) -> RetimeReport:
    """Return the report by a file of that text."""
    placing, _ = placed(text, name, rate, start)
    return retime_cut(CUT, edit_rows(CUT, rate), placing, rate, over_cuts=over_cuts)


def times(report: RetimeReport) -> dict[str, tuple[int, int] | None]:
    """Return {caption: (in, out)} in milliseconds, ``None`` for a lost one."""
    return {
        move.id: None if move.in_ms is None or move.out_ms is None else (move.in_ms, move.out_ms)
        for move in report.captions
    }


def faults(text: str, name: str = "cut.edl", rate: Rate = RATES["25"]) -> list[tuple[str, int, int]]:
    """Return (code, line, column) of each problem, whether or not it stops the work."""
    try:
        problems = placed(text, name, rate)[1]
    except InputError as error:
        problems = error.problems
    return [(item.code, item.span.line, item.span.column) for item in problems]


def event(number: int, reel: str, source: str, record: str, name: str = "", more: str = "") -> str:
    """Return an event: "source" and "record" are "IN OUT" without hours, which are 00 and 01."""
    source_in, source_out = (f"00:{part}" for part in source.split())
    record_in, record_out = (f"01:{part}" for part in record.split())
    lines = [f"{number:03d}  {reel:<8} V     C        {source_in} {source_out} {record_in} {record_out}"]
    lines += [f"* FROM CLIP NAME: {name}"] if name else []
    lines += [more] if more else []
    return "\n".join(lines) + "\n"


def edl(*events: str, mode: str = "NON-DROP FRAME") -> str:
    """Return a list of these events."""
    return f"TITLE: by hand\nFCM: {mode}\n" + "".join(events)
