"""
A finished edit as OpenTimelineIO JSON: which shot stands when, how fast it runs, and its markers.

Text comes in, a ``FinishedEdit`` and problems go out. Tracks, stacks in tracks, gaps, transitions and time warps are
followed; of a dissolve the incoming shot counts from the start of the dissolve. Media are not opened.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from dataclasses import field, replace
from fractions import Fraction
from typing import Any

from shootplan.model.retiming import FinishedEdit, Point, Shot
from shootplan.model.timecode import RATES, Rate
from shootplan.problems import Problem, Severity, Span
from shootplan.records import dataclass
from shootplan.timing.edit_otio import OURS
from shootplan.timing.row_names import RowNames

__all__ = ["read_otio"]

_DEEP, _ITEMS, _MOST = 30, 100_000, 1e12
_HINT = "save the timeline again as OpenTimelineIO (.otio)"
_COMPOSITES = ("Stack", "Track")
#: A rate written as a decimal number is the known one that it is nearest to within this (29.97 is 30000/1001).
_NEAR = Fraction(1, 200)


class _Broken(Exception):
    """A part of the timeline that cannot be used: what is wrong, and the name of the item it is in."""

    def __init__(self, message: str, name: str = "") -> None:
        super().__init__(message)
        self.name = name


@dataclass(frozen=True, slots=True)
class _Window:
    """Where a composite's own time 0 lies in the video, and the stretch of the video that it may fill."""

    zero_f: Fraction
    low_f: Fraction
    high_f: Fraction | None


def read_otio(text: str, path: str, *, names: RowNames, rate: Rate) -> tuple[FinishedEdit, tuple[Problem, ...]]:
    """
    Return what a timeline says of the rows, in frames of ``rate``.

    Parameters
    ----------
    text, path
        The file's text and its name as typed.
    names
        Finds rows in the names of clips, captions and rows in those of markers.
    rate
        Frames a second of the video; times of other rates are converted exactly.
    """
    reader = _Reader(names, rate)
    empty = FinishedEdit(shots=())
    try:
        document = json.loads(text, parse_constant=_no_number)
    except json.JSONDecodeError as error:
        span = Span(path, error.lineno, error.colno, error.colno + 1)
        return empty, (_problem(span, f"this is not JSON: {error.msg.lower()}"),)
    except (ValueError, RecursionError):
        return empty, (_problem(Span(path), "a number of it cannot be read, or it is nested too deeply"),)
    try:
        edit = reader.edit(document)
    except _Broken as error:
        return empty, (_problem(_span_of(error.name, text, path), str(error)),)
    if not edit.shots and not edit.points:
        problem = Problem(span=Span(path), code="edit-empty", message="there is no clip in this timeline", hint=_HINT)
        return empty, (problem,)
    return edit, tuple(
        Problem(
            span=_span_of(name, text, path),
            code="edit-speed-unclear",
            message=message,
            severity=Severity.WARNING,
            hint="render it into one clip, or check the captions there by eye",
        )
        for name, message in reader.doubts
    )


def _problem(span: Span, message: str) -> Problem:
    return Problem(span=span, code="edit-timeline-bad", message=message, hint=_HINT)


def _no_number(name: str) -> float:
    raise ValueError(name)


def _span_of(name: str, text: str, path: str) -> Span:
    """Return the line on which an item's name stands first, which is as near as JSON lets us come."""
    at = text.find(json.dumps(name, ensure_ascii=False)) if name else -1
    if at < 0:
        return Span(path)
    line_start = text.rfind("\n", 0, at) + 1
    column = at - line_start + 1
    return Span(path, text.count("\n", 0, at) + 1, column, column + len(name) + 2)


@dataclass(slots=True)
class _Reader:
    names: RowNames
    rate: Rate
    shots: list[Shot] = field(default_factory=list)
    points: list[Point] = field(default_factory=list)
    doubts: list[tuple[str, str]] = field(default_factory=list)
    count: int = 0

    def edit(self, document: object) -> FinishedEdit:
        if _schema(document) != "Timeline" or not isinstance(document, dict):
            raise _Broken("this is not an OpenTimelineIO timeline")
        window = _Window(Fraction(0), Fraction(0), None)
        length_f = self._composite(document.get("tracks"), window, 0)
        shots = sorted((shot for shot in self.shots if shot.out_f > shot.in_f), key=lambda shot: shot.in_f)
        return FinishedEdit(shots=tuple(shots), points=tuple(self.points), length_f=length_f)

    # ------------------------------------------------------------------------------------------ walking

    def _composite(self, item: object, window: _Window, depth: int) -> Fraction:
        """Read a stack or track and return how long it is."""
        kind = _schema(item)
        if not isinstance(item, dict) or kind not in _COMPOSITES:
            raise _Broken("a stack or track is missing")
        if depth > _DEEP:
            raise _Broken("stacks are nested too deeply", _name(item))
        trim = self._range(item.get("source_range"), item)
        if trim is not None:
            # A track has nothing before its first frame; the public adapter for edit lists writes such starts.
            trim = (max(Fraction(0), trim[0]), trim[1])
            ends = [window.zero_f + trim[1]] + ([window.high_f] if window.high_f is not None else [])
            window = _Window(window.zero_f - trim[0], max(window.low_f, window.zero_f), min(ends))
        self._markers(item, window.zero_f, Fraction(0), Fraction(1))
        if kind == "Track" and item.get("kind", "Video") != "Video":
            return trim[1] if trim is not None else Fraction(0)
        if _speed_of(item) != 1:
            self.doubts.append((_name(item), "a change of speed over several clips together is not followed"))
        read = self._track if kind == "Track" else self._stack
        length_f = read(_children(item), window, depth)
        return trim[1] if trim is not None else length_f

    def _stack(self, children: list[Any], window: _Window, depth: int) -> Fraction:
        lengths = [self._item(child, window.zero_f, Fraction(0), window, depth) for child in children]
        return max(lengths, default=Fraction(0))

    def _track(self, children: list[Any], window: _Window, depth: int) -> Fraction:
        at_f = window.zero_f
        lead_f = Fraction(0)
        for child in children:
            if _schema(child) == "Transition":
                lead_f = self._time(child.get("in_offset"), child) or Fraction(0)
                self._end_before(at_f, lead_f)
                continue
            at_f += self._item(child, at_f, lead_f, window, depth)
            lead_f = Fraction(0)
        return at_f - window.zero_f

    def _end_before(self, cut_f: Fraction, lead_f: Fraction) -> None:
        """Let the outgoing shot end where its dissolve begins."""
        if self.shots and self.shots[-1].out_f == cut_f:
            last = self.shots[-1]
            self.shots[-1] = replace(last, out_f=max(last.in_f, cut_f - lead_f))

    def _item(self, item: object, at_f: Fraction, lead_f: Fraction, window: _Window, depth: int) -> Fraction:
        """Read one item of a track or stack that begins at ``at_f`` and return its length."""
        self.count += 1
        if self.count > _ITEMS:
            raise _Broken(f"more than {_ITEMS} items")
        kind = _schema(item)
        if not isinstance(item, dict):
            raise _Broken("an item of a track is not an object")
        if kind in _COMPOSITES:
            inner = _Window(at_f, max(at_f, window.low_f), window.high_f)
            return self._composite(item, inner, depth + 1)
        if kind == "Gap":
            found = self._range(item.get("source_range"), item)
            return found[1] if found is not None else Fraction(0)
        if kind != "Clip":
            return Fraction(0)
        return self._clip(item, at_f, lead_f, window)

    def _clip(self, item: dict[str, Any], at_f: Fraction, lead_f: Fraction, window: _Window) -> Fraction:
        media = _media(item)
        used = self._range(item.get("source_range"), item) or self._range(media.get("available_range"), item)
        if used is None:
            raise _Broken(f'the clip "{_name(item)}" has no length', _name(item))
        source_f, length_f = used
        speed = _speed_of(item)
        if speed < 0:
            source_f += length_f * -speed - 1
        self._markers(item, at_f, source_f, speed)
        ours = _ours(item)
        row = self.names.row(str(ours.get("row", ""))) or self.names.row(_name(item)) or self.names.row(_name(media))
        is_planned = bool(ours.get("row")) and _schema(media) in ("MissingReference", "")
        in_f, out_f = at_f - lead_f, at_f + length_f
        low_f = max(in_f, window.low_f)
        high_f = out_f if window.high_f is None else min(out_f, window.high_f)
        if item.get("enabled", True) is not False and high_f > low_f:
            shot = Shot(
                name=_name(item),
                reel=_name(media),
                row=row,
                in_f=low_f,
                out_f=high_f,
                source_f=source_f + (low_f - at_f) * speed,
                speed=speed,
                base_f=Fraction(0) if is_planned else None,
            )
            self.shots.append(shot)
        return length_f

    def _markers(self, item: dict[str, Any], at_f: Fraction, source_f: Fraction, speed: Fraction) -> None:
        markers = item.get("markers") or []
        for marker in markers if isinstance(markers, list) else []:
            if not isinstance(marker, dict):
                continue
            ours = _ours(marker)
            named = str(ours.get("caption") or "") or _name(marker)
            found = self.names.any(named)
            place = self._range(marker.get("marked_range"), marker) if found else None
            if place is not None and speed:
                self.points.append(Point(id=found, at_f=at_f + (place[0] - source_f) / speed))

    # ------------------------------------------------------------------------------------------ times

    def _range(self, value: object, item: dict[str, Any]) -> tuple[Fraction, Fraction] | None:
        """Return start and length of a range in frames of the video, ``None`` where there is none."""
        if value is None:
            return None
        if not isinstance(value, dict):
            raise _Broken(f'a range of "{_name(item)}" is not an object', _name(item))
        start_f = self._time(value.get("start_time"), item) or Fraction(0)
        length_f = self._time(value.get("duration"), item)
        if length_f is None or length_f < 0:
            raise _Broken(f'a range of "{_name(item)}" has no length', _name(item))
        return start_f, length_f

    def _time(self, value: object, item: dict[str, Any]) -> Fraction | None:
        if value is None:
            return None
        parts = (value.get("value"), value.get("rate")) if isinstance(value, dict) else (None, None)
        numbers = [float(part) for part in parts if isinstance(part, int | float) and not isinstance(part, bool)]
        if (
            len(numbers) != 2
            or not all(math.isfinite(part) and abs(part) < _MOST for part in numbers)
            or numbers[1] <= 0
        ):
            raise _Broken(f'a time of "{_name(item)}" has no value or no rate', _name(item))
        return Fraction(numbers[0]) / _exact_rate(numbers[1]) * self.rate.frames_per_s


def _exact_rate(value: float) -> Fraction:
    given = Fraction(value)
    near = min((rate.frames_per_s for rate in RATES.values()), key=lambda known: abs(known - given))
    return near if abs(near - given) < _NEAR else given.limit_denominator(1001) or given


def _schema(item: object) -> str:
    """Return the schema's name without its version."""
    return str(item.get("OTIO_SCHEMA", "")).partition(".")[0] if isinstance(item, dict) else ""


def _name(item: dict[str, Any]) -> str:
    return str(item.get("name") or "")[:500]


def _ours(item: dict[str, Any]) -> dict[str, Any]:
    metadata = item.get("metadata")
    ours = metadata.get(OURS) if isinstance(metadata, dict) else None
    return ours if isinstance(ours, dict) else {}


def _children(item: dict[str, Any]) -> list[Any]:
    children = item.get("children") or []
    if not isinstance(children, list):
        raise _Broken("the children of a track are not a list", _name(item))
    return children


def _media(item: dict[str, Any]) -> dict[str, Any]:
    """Return the clip's media: the active one of several (Clip.2), or the only one (Clip.1)."""
    several = item.get("media_references")
    if isinstance(several, dict):
        media = several.get(str(item.get("active_media_reference_key", "DEFAULT_MEDIA")))
    else:
        media = item.get("media_reference")
    return media if isinstance(media, dict) else {}


def _speed_of(item: dict[str, Any]) -> Fraction:
    """Return the product of the item's time warps."""
    speed = Fraction(1)
    for effect in _effects(item):
        scalar = effect.get("time_scalar")
        if _schema(effect) == "FreezeFrame":
            return Fraction(0)
        if _schema(effect) != "LinearTimeWarp" or not isinstance(scalar, int | float):
            continue
        if math.isfinite(scalar) and abs(scalar) < _MOST:
            speed *= Fraction(scalar).limit_denominator(1_000_000)
    return speed


def _effects(item: dict[str, Any]) -> Iterator[dict[str, Any]]:
    effects = item.get("effects")
    for effect in effects if isinstance(effects, list) else ():
        if isinstance(effect, dict):
            yield effect
