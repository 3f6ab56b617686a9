"""
The plan of the day for the wall: the running order by the clock, what goes on by itself, look-ins, limits, shots.

A publication comes in (the filmed day where there is one, else the cooked day); ready strings go out, each with its
moments in seconds from call, by which the page's script knows what is past. ``board`` is the live twin of this page.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from shootplan.model.day import DayRow, RowKind
from shootplan.model.days import staffed_s, wraps_of
from shootplan.model.planning import PlanInput, Schedule
from shootplan.model.show import minutes_text
from shootplan.records import dataclass
from shootplan.render.basis import Basis, step_name
from shootplan.render.views_day import proof_text, row_numbers
from shootplan.render.views_days import date_of, first_rows
from shootplan.render.views_film import FilmRow, film_view

__all__ = ["BoardRow", "BoardView", "Moment", "board_view"]


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardRow:
    """
    One row of the running order.

    ``kind`` is "step", "alone" (nobody is bound), "look-in", "move" (a re-rig) or "break". ``hands_until_s`` is when
    the last work at it ends; ``work`` says how long, in words. ``camera`` is set-up, framing and takes of a shot,
    ``day`` the name of the day that begins with the row, where there are several.
    """

    kind: str
    start_s: int
    hands_until_s: int
    end_s: int
    clock: str
    label: str
    number: str = ""
    dish: str = ""
    work: str = ""
    facts: str = ""
    camera: str = ""
    cue: str = ""
    caution: str = ""
    day: str = ""

    @property
    def is_alone_after(self) -> bool:
        """Whether it goes on by itself when the hands are off."""
        return self.start_s < self.hands_until_s < self.end_s


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """Something in a list at the side: to be seen from ``from_s`` to ``until_s``, counted down to ``at_s``."""

    from_s: int
    until_s: int
    at_s: int
    clock: str
    what: str
    detail: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardView:
    """
    Everything on the board; ``date`` and ``call_s`` are day and time of day of the first call.

    Unless ``is_filmed``, ``wrap`` is the end of the cooking alone and is not called wrap on the board. ``days`` are the
    seconds at which each of several days begins, should end, and is over by the plan (the same as it begins where
    nothing is done).
    """

    date: str
    call_s: int
    wrap_s: int
    call: str
    wrap: str
    proof: str
    is_filmed: bool
    rows: tuple[BoardRow, ...]
    alone: tuple[Moment, ...]
    look_ins: tuple[Moment, ...]
    limits: tuple[Moment, ...]
    shots: tuple[Moment, ...]
    days: tuple[tuple[int, int, int], ...] = ()


def board_view(basis: Basis) -> BoardView | None:
    """Return the board of the filmed day, else of the cooked one, ``None`` without a plan."""
    filmed = basis.publication.filmed
    result = filmed.result if filmed is not None else basis.publication.plan
    plan_input, schedule = basis.crew_plan
    if schedule is None or not schedule.assignments:
        return None
    return _Board(basis, plan_input, schedule).view(proof_text(result))


class _Board:
    def __init__(self, basis: Basis, plan_input: PlanInput, schedule: Schedule) -> None:
        self._basis, self._input, self._schedule = basis, plan_input, schedule
        filmed = basis.publication.filmed
        self._day = basis.crew_rows
        self._recordings = filmed.recordings if filmed is not None else ()
        self._wrap_s = filmed.parts.total_s if filmed is not None else schedule.makespan_s
        film_rows = film_view(basis.publication.resolved, filmed).rows if filmed is not None else ()
        self._film: dict[str, FilmRow] = {row.activities[0]: row for row in film_rows if row.activities}
        self._numbers = {name: str(number) for name, number in row_numbers(basis.publication.day).items()}
        if filmed is not None:
            self._numbers = {name: row.number for name, row in self._film.items()}
        self._cameras = {item.activity: item.position for item in self._recordings}

    def view(self, proof: str) -> BoardView:
        call = self._basis.episode.clock
        rows = sorted([*map(self._row, self._day), *self._moves(), *self._meal()], key=lambda row: row.start_s)
        days = first_rows(self._basis.episode, tuple(row.start_s for row in rows))
        return BoardView(
            date=date_of(self._basis.episode, 0).isoformat(),
            call_s=call.hour * 3600 + call.minute * 60 + call.second,
            wrap_s=self._wrap_s,
            call=self._clock(0),
            wrap=self._clock(self._wrap_s),
            proof=proof,
            is_filmed=self._basis.publication.filmed is not None,
            rows=tuple(replace(row, day=days.get(number, "")) for number, row in enumerate(rows)),
            alone=tuple(self._alone()),
            look_ins=tuple(self._look_ins()),
            limits=tuple(sorted(self._limits(), key=lambda item: item.at_s)),
            shots=tuple(self._shots()),
            days=self._days(),
        )

    def _days(self) -> tuple[tuple[int, int, int], ...]:
        """Return the hours and the wrap of each of several days, the strike of a filmed one in the last."""
        wraps = list(wraps_of(self._input, self._schedule))
        if wraps and wraps[-1] is not None:
            wraps[-1] = max(wraps[-1], self._wrap_s)
        hours = zip(staffed_s(self._input), wraps, strict=False)
        return tuple(
            (opens_s, closes_s, opens_s if wrap_s is None else wrap_s) for (opens_s, closes_s), wrap_s in hours
        )

    def _clock(self, seconds: int) -> str:
        return self._basis.clock(seconds)

    def _dish(self, row: DayRow) -> str:
        return self._basis.title(row.recipe) if row.recipe else ""

    # ------------------------------------------------------------------------------------------------ the order

    def _row(self, row: DayRow) -> BoardRow:
        if row.kind is RowKind.LOOK_IN:
            return BoardRow(
                kind="look-in",
                start_s=row.clock_s,
                hands_until_s=row.end_s,
                end_s=row.end_s,
                clock=self._clock(row.clock_s),
                label=f"Look in: {step_name(row.label)}",
                dish=self._dish(row),
                facts=row.who,
            )
        step, film = self._basis.step(row.recipe, row.step), self._film.get(row.activities[0])
        is_alone = row.is_alone and not _is_recording(row)
        return BoardRow(
            kind="alone" if is_alone else "step",
            start_s=row.clock_s,
            hands_until_s=row.end_s if row.is_alone and not is_alone else row.hands_until_s,
            end_s=row.end_s,
            clock=self._clock(row.clock_s),
            label=step_name(row.label),
            number=self._numbers.get(row.activities[0], ""),
            dish=self._dish(row),
            work=self._work(row, is_alone=is_alone),
            facts=" · ".join(text for text in (film.who if film else row.who, *row.equipment) if text),
            camera=self._camera(row, film),
            cue=step.until if step is not None else "",
            caution=step.caution if step is not None else "",
        )

    def _work(self, row: DayRow, *, is_alone: bool) -> str:
        """Return until when hands are on and until when it goes on by itself."""
        if row.end_s == row.clock_s:
            return ""
        if is_alone:
            return f"by itself to {self._clock(row.end_s)} ({minutes_text(row.end_s - row.clock_s)})"
        if row.is_alone_after:
            hands, alone = row.hands_until_s - row.clock_s, row.end_s - row.hands_until_s
            words = f"hands-on to {self._clock(row.hands_until_s)} ({minutes_text(hands)})"
            return f"{words}, then by itself to {self._clock(row.end_s)} ({minutes_text(alone)})"
        return f"to {self._clock(row.end_s)} ({minutes_text(row.end_s - row.clock_s)})"

    def _camera(self, row: DayRow, film: FilmRow | None) -> str:
        """Return the shot: as planned on the filmed day, else as the recipe asks for it."""
        if film is not None:
            takes = f"takes: {film.takes}" if film.takes not in ("", "1") else ""
            return " · ".join(text for text in (film.set_up, film.framing, takes) if text)
        step = self._basis.step(row.recipe, row.step)
        shot = step.shot if step is not None and not self._film else None
        return " · ".join(text for text in (shot.set_up, shot.framing) if text) if shot is not None else ""

    def _moves(self) -> Iterator[BoardRow]:
        for item in self._recordings:
            if item.rerig_s:
                yield BoardRow(
                    kind="move",
                    start_s=item.rerig_from_s,
                    hands_until_s=item.start_s,
                    end_s=item.start_s,
                    clock=self._clock(item.rerig_from_s),
                    label=f"Re-rig: {item.camera} to {item.position}",
                    work=f"to {self._clock(item.start_s)} ({minutes_text(item.rerig_s)})",
                )

    def _meal(self) -> Iterator[BoardRow]:
        for meal in self._input.breaks:
            item = self._schedule.of(meal.activity)
            yield BoardRow(
                kind="break",
                start_s=item.start_s,
                hands_until_s=item.end_s,
                end_s=item.end_s,
                clock=self._clock(item.start_s),
                label="Meal break for everybody",
                work=f"to {self._clock(item.end_s)} ({minutes_text(item.end_s - item.start_s)})",
            )

    # ------------------------------------------------------------------------------------------------ at the side

    def _steps(self) -> Iterator[DayRow]:
        return (row for row in self._day if row.kind is RowKind.STEP)

    def _alone(self) -> Iterator[Moment]:
        """Yield what goes on by itself, by its end; a recording of it is the camera's."""
        found = []
        for row in self._steps():
            if not (row.is_alone or row.is_alone_after) or _is_recording(row):
                continue
            from_s = row.hands_until_s
            moments = [self._clock(moment) for moment in row.look_ins]
            step = self._basis.step(row.recipe, row.step)
            details = (
                self._dish(row),
                f"from {self._clock(from_s)}",
                f"until {step.until}" if step is not None and step.until else "",
                f"look in {', '.join(moments)}" if moments else "",
            )
            found.append(self._moment(from_s, row.end_s, row.end_s, self._named(row), *details))
        return iter(sorted(found, key=lambda item: item.at_s))

    def _look_ins(self) -> Iterator[Moment]:
        for row in self._day:
            if row.kind is RowKind.LOOK_IN:
                length = minutes_text(row.end_s - row.clock_s)
                yield self._moment(0, row.end_s, row.clock_s, step_name(row.label), self._dish(row), row.who, length)

    def _limits(self) -> Iterator[Moment]:
        """Yield each limit once, from the row at which it begins to run to the moment at which it is kept."""
        seen: set[str] = set()
        for row in self._day:
            for limit in row.limits:
                if limit.planned_s > row.clock_s and limit.rule not in seen:
                    seen.add(limit.rule)
                    detail = f"planned {self._clock(limit.planned_s)}"
                    yield self._moment(row.clock_s, limit.planned_s, limit.latest_s, limit.rule, detail)

    def _shots(self) -> Iterator[Moment]:
        """Yield the shots by the clock, with the camera's way to them."""
        moves = {item.activity: item for item in self._recordings if item.rerig_s}
        for row in self._steps():
            camera = self._camera(row, self._film.get(row.activities[0]))
            if camera:
                move = moves.get(row.activities[0])
                rig = f"re-rig from {self._clock(move.rerig_from_s)}" if move is not None else ""
                yield self._moment(0, row.clock_s, row.clock_s, self._named(row), camera, self._dish(row), rig)

    def _named(self, row: DayRow) -> str:
        number = self._numbers.get(row.activities[0], "")
        return f"{number} {step_name(row.label)}" if number else step_name(row.label)

    def _moment(self, from_s: int, until_s: int, at_s: int, what: str, *details: str) -> Moment:
        detail = " · ".join(text for text in details if text)
        return Moment(from_s=from_s, until_s=until_s, at_s=at_s, clock=self._clock(at_s), what=what, detail=detail)


def _is_recording(row: DayRow) -> bool:
    """Return whether the row is only the camera's part of a step that has a row of its own."""
    return "+" in row.activities[0]
