"""
Where rows and captions stand in the finished edit, by its shots, by markers, or by its length alone.

The planned cut on the grid of frames and what was read of the edit come in; a ``Placing`` goes out. Captions are
anchored to their row and an offset in it, never to a time of the plan. Holds are not looked at here.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from shootplan.model.retiming import FinishedEdit, Place, Placing, Point, RowPlace, Shot, Way
from shootplan.records import dataclass
from shootplan.timing.edit_rows import EditRow

__all__ = ["Ruler", "place_by_length", "place_by_points", "place_by_ruler", "place_by_shots"]


# ---------------------------------------------------------------------------------------------------- shots


def place_by_shots(rows: Sequence[EditRow], edit: FinishedEdit) -> Placing:
    """
    Return the places by the shots: ``in + (anchor - source) / speed`` of the first shot that shows the anchor.

    A row without a shot, but with markers of its own, is placed by them; one without either is lost. An anchor that no
    shot shows is lost. Shots of a row that follow each other make one stretch of picture.
    """
    shots: dict[str, list[Shot]] = {}
    for shot in edit.shots:
        if shot.row:
            shots.setdefault(shot.row, []).append(shot)
    places: dict[str, RowPlace] = {}
    captions: dict[str, Place] = {}
    lost: dict[str, str] = {}
    for item in rows:
        own = shots.get(item.row.id, [])
        if own:
            places[item.row.id] = _row_place(own)
            _place_captions(item, own, captions, lost)
    by_marks = _of_markers(rows, [item for item in rows if item.row.id not in places], edit)
    for item in rows:
        if item.row.id in by_marks.rows and item.row.id not in places:
            found = by_marks.rows[item.row.id]
            high_f = min([found.end_f, *(shot.in_f for shot in edit.shots if shot.in_f > found.start_f)])
            places[item.row.id] = replace(found, end_f=high_f, remark="by its marker")
            for mark in item.marks:
                place = by_marks.captions[mark.caption.id]
                captions[mark.caption.id] = replace(place, high_f=high_f, remark="by its marker")
        elif item.row.id not in places:
            lost[item.row.id] = "not in the edit"
            lost.update({mark.caption.id: "its picture is not in the edit" for mark in item.marks})
    return Placing(way=Way.SHOTS, rows=places, captions=captions, lost=lost, length_f=edit.length_f)


def _row_place(own: list[Shot]) -> RowPlace:
    runs = _runs(own)
    again = len(runs) > 1
    remark = f"used {len(runs)} times, the first counts" if again else ""
    return RowPlace(start_f=max(Fraction(0), runs[0][0]), end_f=runs[0][1], remark=remark, is_repeated=again)


def _runs(own: list[Shot]) -> list[tuple[Fraction, Fraction]]:
    """Return the stretches of picture that shots of one row make where one ends as the next begins."""
    runs: list[tuple[Fraction, Fraction]] = []
    for shot in sorted(own, key=lambda item: (item.in_f, item.out_f)):
        if runs and shot.in_f <= runs[-1][1]:
            runs[-1] = (runs[-1][0], max(runs[-1][1], shot.out_f))
        else:
            runs.append((shot.in_f, shot.out_f))
    return runs


def _place_captions(item: EditRow, own: list[Shot], captions: dict[str, Place], lost: dict[str, str]) -> None:
    bases = _bases(own)
    runs = _runs(own)
    for mark in item.marks:
        shown = [(shot.place_of(bases[shot.reel] + mark.in_f), shot) for shot in own]
        # What lies before the first frame of the video is not in it.
        found = [(at_f, shot) for at_f, shot in shown if at_f is not None and at_f >= 0]
        if not found:
            lost[mark.caption.id] = "the part of the picture that it stands on is not in the edit"
            continue
        at_f, shot = found[0]
        low_f, high_f = next(run for run in runs if run[0] <= at_f < run[1])
        remarks = [f"its picture is shown {len(found)} times, the first counts"] if len(found) > 1 else []
        remarks += [_speed_words(shot.speed)] if shot.speed != 1 else []
        captions[mark.caption.id] = Place(at_f=at_f, low_f=low_f, high_f=high_f, remark="; ".join(remarks))


def _bases(own: list[Shot]) -> dict[str, Fraction]:
    """Return, by reel, the source frame at which the row begins: known, else the earliest that is used."""
    bases: dict[str, Fraction] = {}
    for shot in own:
        start_f = shot.base_f if shot.base_f is not None else shot.lowest_f
        bases[shot.reel] = min(bases.get(shot.reel, start_f), start_f)
    return bases


def _speed_words(speed: Fraction) -> str:
    if speed == 0:
        return "the picture stands still"
    return "the picture runs backwards" if speed < 0 else f"the picture runs at {float(speed):.3g} times its speed"


def _of_markers(rows: Sequence[EditRow], missing: Sequence[EditRow], edit: FinishedEdit) -> Placing:
    """Return places of the rows without a shot that have a marker of their own, by those markers."""
    ids = {item.row.id: {item.row.id, *(mark.caption.id for mark in item.marks)} for item in missing}
    wanted = set().union(*ids.values()) if ids else set()
    points = tuple(point for point in edit.points if point.id in wanted)
    if not points:
        return Placing(way=Way.MARKERS, rows={}, captions={}, lost={}, length_f=edit.length_f)
    marked = {point.id for point in points}
    kept = [item for item in missing if ids[item.row.id] & marked]
    return place_by_points(kept, points, edit.length_f)


# ---------------------------------------------------------------------------------------------------- points


@dataclass(frozen=True, slots=True)
class Ruler:
    """
    Known points, (planned frame, frame in the finished video), rising by the planned one.

    Between two of them times are interpolated, outside and after a step back they go on at the pace of the plan.
    """

    points: tuple[tuple[Fraction, Fraction], ...]

    @classmethod
    def of(cls, points: Mapping[Fraction, Fraction]) -> Ruler:
        """Return a ruler of points by their planned frames."""
        return cls(tuple(sorted(points.items())))

    def at(self, planned_f: Fraction) -> Fraction:
        """Return when a planned frame is shown; without any point, the plan holds."""
        if not self.points:
            return planned_f
        idx = bisect_right(self.points, planned_f, key=lambda point: point[0]) - 1
        if idx < 0:
            return self.points[0][1] - (self.points[0][0] - planned_f)
        start, new = self.points[idx]
        if idx + 1 < len(self.points):
            end, new_end = self.points[idx + 1]
            if new_end > new:
                return new + (planned_f - start) * (new_end - new) / (end - start)
        return new + planned_f - start


def place_by_points(rows: Sequence[EditRow], points: Sequence[Point], length_f: Fraction | None = None) -> Placing:
    """Return the places by markers of rows and captions: in-points go to them, what lies between is interpolated."""
    planned: dict[str, Fraction] = {}
    for item in rows:
        planned[item.row.id] = Fraction(item.start_f)
        planned.update({mark.caption.id: Fraction(item.start_f + mark.in_f) for mark in item.marks})
    known = {planned[point.id]: point.at_f for point in reversed(points) if point.id in planned}
    marked = {point.id for point in points}
    own = {item.row.id for item in rows if {item.row.id, *(mark.caption.id for mark in item.marks)} & marked}
    remarks = {item.row.id: "" if item.row.id in own else "between two markers" for item in rows}
    return place_by_ruler(rows, Ruler.of(known), way=Way.MARKERS, remarks=remarks, length_f=length_f)


def place_by_ruler(
    rows: Sequence[EditRow],
    ruler: Ruler,
    *,
    way: Way,
    remarks: Mapping[str, str],
    lost: Mapping[str, str] | None = None,
    length_f: Fraction | None = None,
) -> Placing:
    """
    Return the places that a ruler gives; rows in ``lost`` (id: reason) have none.

    A row's picture lasts until the next row of the finished video begins, the last one's to its end.
    """
    lost = lost or {}
    kept = [item for item in rows if item.row.id not in lost]
    end_f = ruler.at(Fraction(max((item.end_f for item in rows), default=0)))
    starts = {item.row.id: max(Fraction(0), ruler.at(Fraction(item.start_f))) for item in kept}
    tops = {item.row.id: ruler.at(Fraction(item.end_f)) for item in kept}
    # A row that was moved ends where its own length takes it: the end of the last row in time, not in the plan.
    length_f = length_f or max([end_f, *(start + 1 for start in starts.values())])
    places, captions = {}, {}
    for item in kept:
        start_f = starts[item.row.id]
        later = [other for other in starts.values() if other > start_f]
        high_f = min(later) if later else max(length_f, tops[item.row.id])
        remark = remarks.get(item.row.id, "")
        places[item.row.id] = RowPlace(start_f=start_f, end_f=high_f, remark=remark)
        for mark in item.marks:
            at_f = ruler.at(Fraction(item.start_f + mark.in_f))
            low_f = min(start_f, max(at_f, Fraction(0)))
            captions[mark.caption.id] = Place(at_f=at_f, low_f=low_f, high_f=high_f, remark=remark)
    reasons = {mark.caption.id: lost[item.row.id] for item in rows if item.row.id in lost for mark in item.marks}
    reasons.update(lost)
    ends = [length_f, *(place.end_f for place in places.values())]
    return Placing(way=way, rows=places, captions=captions, lost=reasons, length_f=max(ends))


def place_by_length(rows: Sequence[EditRow], length_f: Fraction) -> Placing:
    """Return the places by linear scaling to a new length, which is no more than a first guess."""
    planned_f = Fraction(max((item.end_f for item in rows), default=1))
    ruler = Ruler.of({Fraction(0): Fraction(0), planned_f: length_f})
    found = place_by_ruler(rows, ruler, way=Way.LENGTH, remarks={}, length_f=length_f)
    return Placing(
        way=Way.LENGTH, rows=found.rows, captions=found.captions, lost={}, length_f=length_f, is_provisional=True
    )
