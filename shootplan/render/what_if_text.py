"""
"What if" as a table: the change, the new wrap, how long the day is then, and the difference.

A ``WhatIf`` comes in, text for the terminal and a record for machines go out.
"""

from __future__ import annotations

from typing import Any

from shootplan.model.show import clock_text, minutes_text
from shootplan.model.what_if import WhatIf, WhatIfRow
from shootplan.render.encode import encode
from shootplan.render.table_text import table

__all__ = ["what_if_json", "what_if_view"]


def what_if_view(found: WhatIf, *, colour: bool = False) -> str:
    """Return the table for the terminal, and below it why a change has no plan."""
    told = (found.as_it_is, *found.rows)
    rows = [_row(row, is_base=row is found.as_it_is) for row in told]
    head: tuple[str, ...] = ("what if", "call", "wrap", "the day lasts", "difference", "plan")
    if found.as_it_is.pick_ups is not None:
        head = (*head, "picked up later")
        rows = [(*row, _shots(told[number].pick_ups)) for number, row in enumerate(rows)]
    lines = [table(head, rows, colour=colour)]
    for row in found.rows:
        lines += [f"{row.change.label}: cannot all be kept: {rule}" for rule in row.why_not]
    return "\n".join(lines)


def what_if_json(found: WhatIf) -> dict[str, Any]:
    """Return the rows for machines, seconds from each row's call."""
    return {
        "schema_version": 1,
        "as_it_is": _record(found.as_it_is),
        "rows": [_record(row) for row in found.rows],
    }


def _record(row: WhatIfRow) -> dict[str, Any]:
    return dict(encode(row)) | {"label": row.change.label}


def _row(row: WhatIfRow, *, is_base: bool) -> tuple[str, ...]:
    call = clock_text(row.call, 0)
    if row.wrap_s is None:
        return (row.change.label, call, "-", "-", "-", "no plan")
    proof = "shortest" if row.is_proven else f"none is under {minutes_text(row.bound_s)}"
    difference = "-" if is_base else _difference(row.earlier_s)
    return (row.change.label, call, clock_text(row.call, row.wrap_s), minutes_text(row.wrap_s), difference, proof)


def _shots(count: int | None) -> str:
    if count is None:
        return "-"
    return f"{count} shot{'' if count == 1 else 's'}" if count else "none"


def _difference(earlier_s: int) -> str:
    if earlier_s == 0:
        return "none"
    return f"{minutes_text(abs(earlier_s))} {'shorter' if earlier_s > 0 else 'longer'}"
