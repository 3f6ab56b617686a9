"""The filmed day for a terminal and for machines."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from shootplan.model.filmed_day import FilmedDay
from shootplan.model.resolved import ResolvedEpisode
from shootplan.render.table_text import table
from shootplan.render.views_film import FilmRow, FilmView, film_view

__all__ = ["film_json", "film_text"]


def film_text(resolved: ResolvedEpisode, day: FilmedDay, *, colour: bool = False) -> str:
    """Return the filmed day by the clock, by set-up, its parts, pick-ups and what decides wrap."""
    view = film_view(resolved, day)
    lines = [f"call {view.call}, first shot {view.first_shot or 'none'}, wrap {view.wrap} ({view.proof})"]
    lines += [f"meal break {view.meal}" if view.meal else "no meal break is due", *view.aims, *view.notes, ""]
    lines += [_by_clock(view, colour=colour), "", *_by_set_up(view)]
    lines.append("the parts of the day: " + ", ".join(f"{name} {minutes}" for name, minutes in view.parts))
    for label, position, because, kept in view.pick_ups:
        lines.append(f"picked up later: {label} ({position}): {because}; keep a portion back for it: {kept}")
    for label, position, because in view.untaken:
        lines.append(f"not taken this day: {label}, {position}: {because}")
    lines += view.gaps
    lines += [f"takes: {text}" for text in view.takes]
    lines += [f"stands long: {text}" for text in view.standing]
    lines += ["what decides wrap, link by link:", *(f"  {link}" for link in view.chain)]
    return "\n".join(lines)


def _by_clock(view: FilmView, *, colour: bool) -> str:
    head = ("no", "clock", "to", "slack", "set-up", "takes", "what", "who", "with", "meanwhile")
    rows = [
        (
            row.number,
            row.clock,
            row.until,
            row.slack,
            row.set_up if row.kind == "shot" else "",
            row.takes,
            f"{row.what}: {row.framing}" if row.framing else row.what,
            row.who or "-",
            row.equipment or "-",
            row.meanwhile or "-",
        )
        for row in view.rows
    ]
    return table(head, rows, colour=colour)


def _by_set_up(view: FilmView) -> list[str]:
    lines = []
    for name, rows in view.by_set_up:
        shots = ", ".join(f"{row.number} ({row.clock})" for row in rows)
        lines.append(f"from {name}: {shots}")
    return lines


def _parts_json(day: FilmedDay) -> dict[str, int]:
    """Return the parts of the day; closed times only where there are some."""
    parts = {item.name: getattr(day.parts, item.name) for item in fields(day.parts)}
    return {name: seconds for name, seconds in parts.items() if name != "closed_s" or seconds}


def film_json(resolved: ResolvedEpisode, day: FilmedDay) -> dict[str, Any]:
    """Return the filmed day for machines: the same rows as printed, and its parts and moments in seconds from call."""
    view = film_view(resolved, day)
    schedule = day.result.schedule
    return {
        "schema_version": 1,
        "call": view.call,
        "wrap": view.wrap,
        "wrap_s": day.parts.total_s,
        "bound_s": day.result.bound_s,
        "status": day.result.status.value,
        "phases": [
            {"name": item.name, "value": item.value, "unit": item.unit, "is_proven": item.is_proven}
            for item in day.result.phases
        ],
        "parts_s": _parts_json(day),
        "recordings": [{item.name: getattr(entry, item.name) for item in fields(entry)} for entry in day.recordings],
        "starts_s": {item.activity: item.start_s for item in schedule.assignments} if schedule is not None else {},
        "rows": [_row_json(row) for row in view.rows],
        "pick_ups": [
            {"recipe": item.recipe, "step": item.step, "set_up": item.position, "because": item.because}
            for item in day.pick_ups
        ],
        "notes": list(view.notes),
        "stretches": [{item.name: getattr(entry, item.name) for item in fields(entry)} for entry in day.stretches],
        "gaps": [{item.name: getattr(entry, item.name) for item in fields(entry)} for entry in day.gaps],
        "takes": [{item.name: getattr(entry, item.name) for item in fields(entry)} for entry in day.takes],
        "standing": [{item.name: getattr(entry, item.name) for item in fields(entry)} for entry in day.standing],
        "untaken": [{item.name: getattr(entry, item.name) for item in fields(entry)} for entry in day.untaken],
    }


def _row_json(row: FilmRow) -> dict[str, str]:
    return {item.name: getattr(row, item.name) for item in fields(row) if item.name != "activities"}
