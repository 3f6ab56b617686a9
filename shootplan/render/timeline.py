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
from shootplan.render.basis import Basis, step_name
from shootplan.render.chart import CHARACTER, SIGN, Bar, Chart, Lane, Mark, Piece, fitting
from shootplan.render.views_day import row_numbers

__all__ = ["Drawing", "draw_day", "fold_day", "stretches"]

_RIGHT, _TOP, _BOTTOM = 24, 46, 74
_MIN_LEFT = 96
_LANE, _GAP, _GROUP_GAP = 34, 6, 14
#: A further row of the key for what only a filmed day has.
_FILM_KEYS = 27
_MIN_WIDTH, _PER_MINUTE, _MAX_WIDTH = 900, 10, 2400
#: A folded stretch: width in chart units, room for half a clock label at each side, lanes with the label above.
_FOLDED_INNER, _FOLDED_SIDE, _FOLDED_LABEL, _FOLDED_LANE, _FOLDED_GAP = 308, 18, 16, 28, 3
_FOLDED_S, _MOST_FOLDS = 30 * 60, 16
_ALONE = (ActivityKind.LEAVE, ActivityKind.HEAT)
#: How long a closed time is drawn, and how much room the label of a day's beginning takes.
_CLOSED_S, _TICK_ROOM = 30 * 60, 84
_TICKS_S = (300, 600, 900, 1800, 3600, 7200, 14400)


def draw_day(basis: Basis) -> Chart | None:
    """Return the chart of the planned day, ``None`` without a plan."""
    schedule = basis.publication.plan.schedule
    if schedule is None or not schedule.assignments:
        return None
    return Drawing(basis, max(schedule.makespan_s, 60)).chart()


def fold_day(basis: Basis) -> tuple[Chart, ...]:
    """Return the day in stretches of half an hour (longer ones for a very long day), empty without a plan."""
    schedule = basis.publication.plan.schedule
    if schedule is None or not schedule.assignments:
        return ()
    length_s = max(schedule.makespan_s, 60)
    return tuple(
        Drawing(basis, length_s, from_s=from_s, until_s=until_s).folded(number)
        for number, (from_s, until_s) in enumerate(
            _open_stretches(basis.publication.plan_input.closed, length_s), start=1
        )
    )


def stretches(length_s: int, most: int = _MOST_FOLDS) -> tuple[tuple[int, int], ...]:
    """Return (from, until) in seconds of the at most so many stretches into which a day of that length is folded."""
    halves = max(1, -(-length_s // (_FOLDED_S * most)))
    step_s = _FOLDED_S * halves
    return tuple((start_s, start_s + step_s) for start_s in range(0, length_s, step_s))


def _open_stretches(closed: tuple[tuple[int, int], ...], length_s: int) -> tuple[tuple[int, int], ...]:
    """Return the stretches of each day apart, so that no closed time takes room on a page."""
    opens, found = 0, list[tuple[int, int]]()
    for since_s, till_s in (*closed, (length_s, length_s)):
        closes = min(since_s, length_s)
        if closes > opens:
            found += [(opens + first, opens + last) for first, last in stretches(closes - opens)]
        opens = till_s
    return tuple(found)


class Drawing:
    """Places the pieces; the scale depends on the length of the day."""

    has_cameras = False
    numbers_of = "the shooting order"

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
        wanted = self._shown(length_s) // 60 * _PER_MINUTE
        self.inner = min(max(wanted, _MIN_WIDTH), _MAX_WIDTH)

    def chart(self) -> Chart:
        """Return the whole day at its full width."""
        lanes, y = [], _TOP
        groups = self.groups()
        longest = max((len(label) for group in groups for label, _ in group), default=0)
        self.left = max(_MIN_LEFT, int(longest * CHARACTER) + 18)
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
            height=y + _BOTTOM + (_FILM_KEYS if self.has_cameras else 0),
            left=self.left,
            lane_height=_LANE,
            bottom=y,
            title=f"{self.basis.episode.title}: the day from {clocks}",
            description=self._description(lanes),
            ticks=tuple(self._ticks()),
            lanes=tuple(lanes),
            has_cameras=self.has_cameras,
            numbers_of=self.numbers_of,
        )

    def folded(self, number: int) -> Chart:
        """Return one stretch: only lanes in which something happens, each label above its lane."""
        self.left, self.inner = _FOLDED_SIDE, _FOLDED_INNER
        lanes, y = [], _TOP
        for group in self.groups():
            found = [(label, inside) for label, pieces in group if (inside := list(self._inside(pieces)))]
            for label, pieces in found:
                y += _FOLDED_LABEL
                lanes.append(self._lane(label, y, pieces))
                y += _FOLDED_LANE + _FOLDED_GAP
            y += _GAP if found else 0
        clocks = f"{self.basis.clock(self.from_s)} to {self.basis.clock(min(self.until_s, self.length_s))}"
        return Chart(
            id=f"chart-{number}",
            is_folded=True,
            width=self.left + self.inner + _FOLDED_SIDE,
            height=y + _GAP,
            left=self.left,
            lane_height=_FOLDED_LANE,
            bottom=y,
            title=f"{self.basis.episode.title}: {clocks}",
            description=self._description(lanes),
            ticks=tuple(self._ticks()),
            lanes=tuple(lanes),
            has_cameras=self.has_cameras,
            numbers_of=self.numbers_of,
        )

    def _inside(self, pieces: Iterable[Piece]) -> Iterator[Piece]:
        """Yield the parts of pieces that lie in this stretch."""
        for piece in pieces:
            start_s, end_s = max(piece.start_s, self.from_s), min(piece.end_s, self.until_s)
            is_moment = piece.start_s == piece.end_s and self.from_s <= piece.start_s < self.until_s
            if start_s < end_s or is_moment:
                is_pick_up = piece.is_pick_up and start_s == piece.start_s
                yield replace(piece, start_s=start_s, end_s=end_s, is_pick_up=is_pick_up)

    # ------------------------------------------------------------------------------------------ lanes

    def groups(self) -> list[list[tuple[str, list[Piece]]]]:
        """Return the lanes in groups, as (label, pieces), from top to bottom."""
        return [self._people(), self._rings(), self._ovens(), self._vessels(), self._standing()]

    def _people(self) -> list[tuple[str, list[Piece]]]:
        return [(worker.name, list(self._work_of(worker.name))) for worker in self.plan_input.workers]

    def _work_of(self, name: str) -> Iterator[Piece]:
        for worker in self.plan_input.workers:
            if worker.name == name:
                for start_s, end_s in worker.away:
                    if start_s < self.length_s:
                        yield Piece(max(start_s, 0), min(end_s, self.length_s), "away", "break", f"{name}: break")
                for start_s, end_s in self.plan_input.closed:
                    if start_s < self.length_s:
                        yield Piece(
                            start_s,
                            min(end_s, self.length_s),
                            "away",
                            "closed",
                            f"nobody is there, {self._clocks(start_s, end_s)}",
                        )
        for activity in self.plan_input.activities:
            if self.placed[activity.id].worker == name:
                yield from self._pieces(activity)

    def _rings(self) -> list[tuple[str, list[Piece]]]:
        return self._counted("ring", "ring")

    def _ovens(self) -> list[tuple[str, list[Piece]]]:
        found: list[tuple[str, list[Piece]]] = []
        for oven, _ in self.plan_input.oven_shelves:
            uses = [item for item in self.plan_input.activities if item.oven is not None and item.oven.oven == oven]
            pieces = [piece for item in uses for piece in self._pieces(item, f" {item.oven.temperature_c} °C")]  # type: ignore[union-attr]
            found += self._spread(oven, pieces)
        return found

    def _vessels(self) -> list[tuple[str, list[Piece]]]:
        held = {item.resource for item in self.plan_input.occupations}
        names = [item.id for item in self.plan_input.resources if item.id in held and item.id != "ring"]
        return [lane for name in names for lane in self._counted(name, name)]

    def _standing(self) -> list[tuple[str, list[Piece]]]:
        """What is left alone away from ring and oven: resting, soaking, standing."""
        pieces = [
            piece
            for item in self.plan_input.activities
            if item.kind in _ALONE and item.oven is None and not any(name == "ring" for name, _ in item.needs)
            for piece in self._pieces(item)
        ]
        return self._spread("left alone", pieces)

    def _counted(self, resource: str, label: str) -> list[tuple[str, list[Piece]]]:
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
                pieces += [Piece(start_s, end_s, "outline", name, words + wash)] * held.count
        return self._spread(label, pieces)

    def _spread(self, label: str, pieces: list[Piece]) -> list[tuple[str, list[Piece]]]:
        """Put overlapping pieces in lanes of their own, as few as it takes."""
        lanes: list[list[Piece]] = []
        for piece in sorted(pieces, key=lambda item: (item.start_s, item.end_s, item.label)):
            free = next((lane for lane in lanes if lane[-1].end_s <= piece.start_s), None)
            if free is None:
                lanes.append([piece])
            else:
                free.append(piece)
        return [(f"{label} {number}" if len(lanes) > 1 else label, lane) for number, lane in enumerate(lanes, start=1)]

    def _pieces(self, activity: Activity, extra: str = "") -> Iterator[Piece]:
        number = self.numbers.get(activity.id)
        style = "hatched" if activity.kind in _ALONE else "solid"
        name = step_name(activity.label)
        label = f"{number} {name}{extra}" if number is not None else f"{name}{extra}"
        words = "left alone" if style == "hatched" else "hands-on"
        for start_s, end_s in self.placed[activity.id].pieces:
            if end_s > start_s:
                title = f"{label} ({self.basis.title(activity.recipe)}), {words}, {self._clocks(start_s, end_s)}"
                yield Piece(start_s, end_s, style, label, title, activity.id)

    def _short_title(self, activity: str) -> str:
        return self.basis.title(self.activities[activity].recipe)

    # ------------------------------------------------------------------------------------------ drawing

    def _lane(self, label: str, y: int, pieces: list[Piece]) -> Lane:
        ordered = sorted(pieces, key=lambda item: (item.start_s, item.end_s, item.label))
        return Lane(
            label=label,
            y=y,
            bars=tuple(self._bars(ordered)),
            look_ins=tuple(self._look_ins(label)),
            limits=tuple(self._limits(ordered)) if any(piece.style == "solid" for piece in ordered) else (),
            pick_ups=tuple(
                Mark(x=self._x(piece.start_s), label="", title=piece.title) for piece in ordered if piece.is_pick_up
            ),
        )

    def _bars(self, pieces: list[Piece]) -> Iterator[Bar]:
        """Yield the bars; a moment has the room up to the next one, or to the end, for its label."""
        for number, piece in enumerate(pieces):
            if piece.style == "moment":
                x = self._x(piece.start_s)
                end = self._x(pieces[number + 1].start_s) if number + 1 < len(pieces) else self.left + self.inner
                room = round(max(end - x, 0), 1)
                yield Bar(x=x, width=room, style="moment", label=fitting(piece.label, room - SIGN), title=piece.title)
            else:
                yield self._bar(piece)

    def _bar(self, piece: Piece) -> Bar:
        shown_s = self._shown(piece.end_s) - self._shown(piece.start_s)
        x, width = self._x(piece.start_s), round(shown_s * self.inner / self._span_s, 1)
        return Bar(
            x=x,
            width=max(width, 2.0),
            style=piece.style,
            label=fitting(piece.label, width),
            title=piece.title,
            decides_wrap=piece.activity in self.chain,
        )

    def _look_ins(self, worker: str) -> Iterator[Mark]:
        for item in self.placed.values():
            for start_s, _, name in item.look_ins:
                if name == worker and self.from_s <= start_s < self.until_s:
                    words = f"look in: {step_name(self.activities[item.activity].label)}, {self.basis.clock(start_s)}"
                    yield Mark(x=self._x(start_s), label="", title=words)

    def _limits(self, pieces: Iterable[Piece]) -> Iterator[Mark]:
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
        call, opens = self.basis.episode.call_time, [till_s for _, till_s in self.plan_input.closed]
        opens = [0, *opens] if opens else []
        # A folded stretch lies within one day, which its title names; its edge has room for the time of day only.
        is_folded = self.left == _FOLDED_SIDE
        room = _TICK_ROOM // 2 if is_folded else _TICK_ROOM
        for till_s in opens:
            if self.from_s <= till_s <= self.until_s:
                clock = self.basis.clock(till_s)
                yield Mark(x=self._x(till_s), label=clock[:5] if is_folded else clock)
        first_s = call.hour * 3600 + call.minute * 60 + call.second
        step_s = next((step for step in _TICKS_S if self._span_s / step * 64 <= self.inner), _TICKS_S[-1])
        moment = self.from_s + -(first_s + self.from_s) % step_s
        while moment <= self.until_s:
            is_shown = not any(since_s <= moment < till_s for since_s, till_s in self.plan_input.closed)
            if is_shown and all(abs(self._x(moment) - self._x(till_s)) >= room for till_s in opens):
                yield Mark(x=self._x(moment), label=clock_text(call, moment)[:5])
            moment += step_s

    def _x(self, seconds: int) -> float:
        return round(self.left + (self._shown(seconds) - self._shown(self.from_s)) * self.inner / self._span_s, 1)

    @property
    def _span_s(self) -> int:
        return self._shown(self.until_s) - self._shown(self.from_s)

    def _shown(self, seconds: int) -> int:
        """Return the seconds up to a moment as they are drawn: a closed time takes the room of a short one."""
        passed = 0
        for since_s, till_s in self.plan_input.closed:
            inside_s = min(max(seconds - since_s, 0), till_s - since_s)
            passed += inside_s - inside_s * min(_CLOSED_S, till_s - since_s) // (till_s - since_s)
        return seconds - passed

    def _clocks(self, start_s: int, end_s: int) -> str:
        return f"{self.basis.clock(start_s)} to {self.basis.clock(end_s)} ({minutes_text(end_s - start_s)})"

    def _description(self, lanes: list[Lane]) -> str:
        parts = [f"{lane.label}: {'; '.join(bar.title for bar in lane.bars) or 'nothing'}" for lane in lanes]
        return ". ".join(parts) + "."
