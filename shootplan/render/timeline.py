"""
The day as a chart: a lane for each person, ring, oven shelf and vessel in use, drawn to scale.

A publication comes in; lanes of bars in chart units go out, which a template turns into SVG. Hands-on work is solid,
work left alone is hatched, what decides wrap is underlined: no difference needs colour. The numbers in the bars are the
shooting order's. For a phone and for paper the same day is folded into stretches, one below the other.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from shootplan.model.planning import Activity, ActivityKind, Assignment
from shootplan.model.show import clock_text, minutes_text
from shootplan.records import dataclass
from shootplan.render.basis import Basis, step_name
from shootplan.render.views_day import row_numbers

__all__ = ["Bar", "Chart", "Lane", "Mark", "draw_day", "fold_day"]

_RIGHT, _TOP, _BOTTOM = 24, 46, 74
_MIN_LEFT = 96
_LANE, _GAP, _GROUP_GAP = 34, 6, 14
_MIN_WIDTH, _PER_MINUTE, _MAX_WIDTH = 900, 10, 2400
#: A folded stretch: width in chart units, room for half a clock label at each side, lanes with the label above.
_FOLDED_INNER, _FOLDED_SIDE, _FOLDED_LABEL = 308, 18, 18
_FOLDED_S, _MOST_FOLDS = 30 * 60, 16
_ALONE = (ActivityKind.LEAVE, ActivityKind.HEAT)
_TICKS_S = (300, 600, 900, 1800, 3600, 7200, 14400)
#: Width of one letter of the labels; a bar's label is cut short by it.
_CHARACTER = 8.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """
    One stretch of work: place in chart units, style (solid, hatched, outline, away), label and long title.

    ``decides_wrap`` marks what the end of the day waits for.
    """

    x: float
    width: float
    style: str
    label: str
    title: str
    decides_wrap: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A vertical line or a small sign: a look-in, a limit, a tick of the clock."""

    x: float
    label: str
    title: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lane:
    """One lane: label, top edge, bars from left to right, look-ins, limits (latest moment of what waits)."""

    label: str
    y: int
    bars: tuple[Bar, ...]
    look_ins: tuple[Mark, ...] = ()
    limits: tuple[Mark, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """
    The whole chart or a stretch of it: sizes in chart units, ticks, lanes, a description in words for those who do not
    see it. ``id`` is unique in a page.
    """

    id: str
    is_folded: bool
    width: int
    height: int
    left: int
    lane_height: int
    bottom: int
    title: str
    description: str
    ticks: tuple[Mark, ...]
    lanes: tuple[Lane, ...]


@dataclass(frozen=True, slots=True)
class _Piece:
    """A stretch of use before it has a lane."""

    start_s: int
    end_s: int
    style: str
    label: str
    title: str
    activity: str = ""


def draw_day(basis: Basis) -> Chart | None:
    """Return the chart of the planned day, ``None`` without a plan."""
    schedule = basis.publication.plan.schedule
    if schedule is None or not schedule.assignments:
        return None
    return _Drawing(basis, max(schedule.makespan_s, 60)).chart()


def fold_day(basis: Basis) -> tuple[Chart, ...]:
    """Return the day in stretches of half an hour (longer ones for a very long day), empty without a plan."""
    schedule = basis.publication.plan.schedule
    if schedule is None or not schedule.assignments:
        return ()
    length_s = max(schedule.makespan_s, 60)
    halves = max(1, -(-length_s // (_FOLDED_S * _MOST_FOLDS)))
    step_s = _FOLDED_S * halves
    return tuple(
        _Drawing(basis, length_s, from_s=start_s, until_s=start_s + step_s).folded(number)
        for number, start_s in enumerate(range(0, length_s, step_s), start=1)
    )


class _Drawing:
    """Places the pieces; the scale depends on the length of the day."""

    def __init__(self, basis: Basis, length_s: int, *, from_s: int = 0, until_s: int | None = None) -> None:
        schedule = basis.publication.plan.schedule
        assert schedule is not None
        self.basis = basis
        self.plan_input = basis.publication.plan_input
        self.placed: dict[str, Assignment] = {item.activity: item for item in schedule.assignments}
        self.activities: dict[str, Activity] = {item.id: item for item in self.plan_input.activities}
        self.numbers = row_numbers(basis.publication.day)
        self.chain = {link.activity for link in basis.publication.chain}
        self.length_s = length_s
        self.from_s, self.until_s = from_s, until_s if until_s is not None else length_s
        self.left = _MIN_LEFT
        wanted = length_s // 60 * _PER_MINUTE
        self.inner = min(max(wanted, _MIN_WIDTH), _MAX_WIDTH)

    def chart(self) -> Chart:
        lanes, y = [], _TOP
        groups = [self._people(), self._rings(), self._ovens(), self._vessels(), self._standing()]
        longest = max((len(label) for group in groups for label, _ in group), default=0)
        self.left = max(_MIN_LEFT, int(longest * _CHARACTER) + 18)
        for group in groups:
            if not group:
                continue
            for label, pieces in group:
                lanes.append(self._lane(label, y, pieces))
                y += _LANE + _GAP
            y += _GROUP_GAP
        clocks = f"{self.basis.clock(0)} to {self.basis.clock(self.length_s)}"
        return Chart(
            id="chart",
            is_folded=False,
            width=self.left + self.inner + _RIGHT,
            height=y + _BOTTOM,
            left=self.left,
            lane_height=_LANE,
            bottom=y,
            title=f"{self.basis.episode.title}: the day from {clocks}",
            description=self._description(lanes),
            ticks=tuple(self._ticks()),
            lanes=tuple(lanes),
        )

    def folded(self, number: int) -> Chart:
        """Return one stretch: only lanes in which something happens, each label above its lane."""
        self.left, self.inner = _FOLDED_SIDE, _FOLDED_INNER
        lanes, y = [], _TOP
        for group in (self._people(), self._rings(), self._ovens(), self._vessels(), self._standing()):
            found = [(label, inside) for label, pieces in group if (inside := list(self._inside(pieces)))]
            for label, pieces in found:
                y += _FOLDED_LABEL
                lanes.append(self._lane(label, y, pieces))
                y += _LANE + _GAP
            y += _GAP if found else 0
        clocks = f"{self.basis.clock(self.from_s)} to {self.basis.clock(min(self.until_s, self.length_s))}"
        return Chart(
            id=f"chart-{number}",
            is_folded=True,
            width=self.left + self.inner + _FOLDED_SIDE,
            height=y + _GAP,
            left=self.left,
            lane_height=_LANE,
            bottom=y,
            title=f"{self.basis.episode.title}: {clocks}",
            description=self._description(lanes),
            ticks=tuple(self._ticks()),
            lanes=tuple(lanes),
        )

    def _inside(self, pieces: Iterable[_Piece]) -> Iterator[_Piece]:
        """Yield the parts of pieces that lie in this stretch."""
        for piece in pieces:
            start_s, end_s = max(piece.start_s, self.from_s), min(piece.end_s, self.until_s)
            if start_s < end_s:
                yield replace(piece, start_s=start_s, end_s=end_s)

    # ------------------------------------------------------------------------------------------ lanes

    def _people(self) -> list[tuple[str, list[_Piece]]]:
        return [(worker.name, list(self._work_of(worker.name))) for worker in self.plan_input.workers]

    def _work_of(self, name: str) -> Iterator[_Piece]:
        for worker in self.plan_input.workers:
            if worker.name == name:
                for start_s, end_s in worker.away:
                    if start_s < self.length_s:
                        yield _Piece(max(start_s, 0), min(end_s, self.length_s), "away", "break", f"{name}: break")
        for activity in self.plan_input.activities:
            if self.placed[activity.id].worker == name:
                yield from self._pieces(activity)

    def _rings(self) -> list[tuple[str, list[_Piece]]]:
        return self._counted("ring", "ring")

    def _ovens(self) -> list[tuple[str, list[_Piece]]]:
        found: list[tuple[str, list[_Piece]]] = []
        for oven, _ in self.plan_input.oven_shelves:
            uses = [item for item in self.plan_input.activities if item.oven is not None and item.oven.oven == oven]
            pieces = [piece for item in uses for piece in self._pieces(item, f" {item.oven.temperature_c} °C")]  # type: ignore[union-attr]
            found += self._spread(oven, pieces)
        return found

    def _vessels(self) -> list[tuple[str, list[_Piece]]]:
        held = {item.resource for item in self.plan_input.occupations}
        names = [item.id for item in self.plan_input.resources if item.id in held and item.id != "ring"]
        return [lane for name in names for lane in self._counted(name, name)]

    def _standing(self) -> list[tuple[str, list[_Piece]]]:
        """What is left alone away from ring and oven: resting, soaking, standing."""
        pieces = [
            piece
            for item in self.plan_input.activities
            if item.kind in _ALONE and item.oven is None and not any(name == "ring" for name, _ in item.needs)
            for piece in self._pieces(item)
        ]
        return self._spread("left alone", pieces)

    def _counted(self, resource: str, label: str) -> list[tuple[str, list[_Piece]]]:
        pieces = []
        for activity in self.plan_input.activities:
            for name, count in activity.needs:
                if name == resource:
                    pieces += [piece for piece in self._pieces(activity) for _ in range(count)]
        for held in self.plan_input.occupations:
            if held.resource == resource:
                start_s, end_s = self.placed[held.first].start_s, self.placed[held.last].end_s
                words = f"{held.label or resource}, {self._clocks(start_s, end_s)}"
                wash = f", then washed to {self.basis.clock(end_s + held.after_s)}" if held.after_s else ""
                name = self._short_title(held.first)
                pieces += [_Piece(start_s, end_s, "outline", name, words + wash)] * held.count
        return self._spread(label, pieces)

    def _spread(self, label: str, pieces: list[_Piece]) -> list[tuple[str, list[_Piece]]]:
        """Put overlapping pieces in lanes of their own, as few as it takes."""
        lanes: list[list[_Piece]] = []
        for piece in sorted(pieces, key=lambda item: (item.start_s, item.end_s, item.label)):
            free = next((lane for lane in lanes if lane[-1].end_s <= piece.start_s), None)
            if free is None:
                lanes.append([piece])
            else:
                free.append(piece)
        return [(f"{label} {number}" if len(lanes) > 1 else label, lane) for number, lane in enumerate(lanes, start=1)]

    def _pieces(self, activity: Activity, extra: str = "") -> Iterator[_Piece]:
        number = self.numbers.get(activity.id)
        style = "hatched" if activity.kind in _ALONE else "solid"
        name = step_name(activity.label)
        label = f"{number} {name}{extra}" if number is not None else f"{name}{extra}"
        words = "left alone" if style == "hatched" else "hands-on"
        for start_s, end_s in self.placed[activity.id].pieces:
            if end_s > start_s:
                title = f"{label} ({self.basis.title(activity.recipe)}), {words}, {self._clocks(start_s, end_s)}"
                yield _Piece(start_s, end_s, style, label, title, activity.id)

    def _short_title(self, activity: str) -> str:
        return self.basis.title(self.activities[activity].recipe)

    # ------------------------------------------------------------------------------------------ drawing

    def _lane(self, label: str, y: int, pieces: list[_Piece]) -> Lane:
        ordered = sorted(pieces, key=lambda item: (item.start_s, item.end_s, item.label))
        return Lane(
            label=label,
            y=y,
            bars=tuple(self._bar(piece) for piece in ordered),
            look_ins=tuple(self._look_ins(label)),
            limits=tuple(self._limits(ordered)) if any(piece.style == "solid" for piece in ordered) else (),
        )

    def _bar(self, piece: _Piece) -> Bar:
        x, width = self._x(piece.start_s), round((piece.end_s - piece.start_s) * self.inner / self._span_s, 1)
        return Bar(
            x=x,
            width=max(width, 2.0),
            style=piece.style,
            label=_fitting(piece.label, width),
            title=piece.title,
            decides_wrap=piece.activity in self.chain,
        )

    def _look_ins(self, worker: str) -> Iterator[Mark]:
        for item in self.placed.values():
            for start_s, _, name in item.look_ins:
                if name == worker and self.from_s <= start_s < self.until_s:
                    words = f"look in: {step_name(self.activities[item.activity].label)}, {self.basis.clock(start_s)}"
                    yield Mark(x=self._x(start_s), label="", title=words)

    def _limits(self, pieces: Iterable[_Piece]) -> Iterator[Mark]:
        """Yield the latest moment at which each piece may begin or end by its limits, where the chart reaches it."""
        latest: dict[str, int] = {}
        for row in self.basis.publication.day:
            for limit in row.limits:
                latest[limit.successor] = min(limit.latest_s, latest.get(limit.successor, limit.latest_s))
        for piece in pieces:
            moment = latest.get(piece.activity)
            if moment is not None and self.from_s <= moment <= min(self.until_s, self.length_s):
                yield Mark(x=self._x(moment), label="", title=f"{piece.label}: by {self.basis.clock(moment)}")

    def _ticks(self) -> Iterator[Mark]:
        call = self.basis.episode.call_time
        first_s = call.hour * 3600 + call.minute * 60 + call.second
        step_s = next((step for step in _TICKS_S if self._span_s / step * 64 <= self.inner), _TICKS_S[-1])
        moment = self.from_s + -(first_s + self.from_s) % step_s
        while moment <= self.until_s:
            yield Mark(x=self._x(moment), label=clock_text(call, moment)[:5])
            moment += step_s

    def _x(self, seconds: int) -> float:
        return round(self.left + (seconds - self.from_s) * self.inner / self._span_s, 1)

    @property
    def _span_s(self) -> int:
        return self.until_s - self.from_s

    def _clocks(self, start_s: int, end_s: int) -> str:
        return f"{self.basis.clock(start_s)} to {self.basis.clock(end_s)} ({minutes_text(end_s - start_s)})"

    def _description(self, lanes: list[Lane]) -> str:
        parts = [f"{lane.label}: {'; '.join(bar.title for bar in lane.bars) or 'nothing'}" for lane in lanes]
        return ". ".join(parts) + "."


def _fitting(label: str, width: float) -> str:
    """Return as much of a label as its bar can hold: all of it, cut short, or only its number."""
    room = int((width - 6) / _CHARACTER)
    if len(label) <= room:
        return label
    number = label.split(" ", 1)[0]
    if room >= len(number) + 6:
        return label[: room - 1].rstrip() + "…"
    return number if number.isdigit() and width >= len(number) * _CHARACTER + 2 else ""
