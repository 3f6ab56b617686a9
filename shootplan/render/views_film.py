"""
The filmed day as it is printed: by the clock with re-rigs and the break in their places, by set-up, the day's parts.

A resolved episode and a ``FilmedDay`` come in; rows of ready strings go out, times of day counted from call.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from shootplan.model.day import DayRow, RowKind
from shootplan.model.filmed_day import FilmedDay
from shootplan.model.filming import Film, PickUp, Recording, SolvePhase, Standing, TakesInTime
from shootplan.model.planning import Activity
from shootplan.model.resolved import ResolvedEpisode
from shootplan.model.show import clock_text, join_words, minutes_text
from shootplan.records import dataclass
from shootplan.render.basis import step_name
from shootplan.render.day_words import slack_text
from shootplan.render.views_day import proof_text

__all__ = ["FilmRow", "FilmView", "film_view"]

_ORDER = {"break": 0, "move": 1, "step": 2, "left": 3, "shot": 4, "look-in": 5}
_LIMITS_SHOWN = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmRow:
    """
    One row of the filmed day.

    ``kind`` is "shot", "move", "step" (off camera), "left" (nobody is bound), "look-in" or "break".

    ``number`` counts shots and steps off camera by the clock. ``takes`` is empty but for shots. ``cue`` is until when
    the step goes on, ``caution`` what may hurt somebody. ``slack`` is how much later it may begin with wrap unmoved,
    "none" where it may not. ``activities`` are ids of the plan.
    """

    kind: str
    number: str
    clock: str
    until: str
    set_up: str
    what: str
    framing: str = ""
    takes: str = ""
    who: str = ""
    equipment: str = ""
    meanwhile: str = ""
    limits: str = ""
    cue: str = ""
    caution: str = ""
    slack: str = ""
    activities: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmView:
    """
    Everything that the pages of the filmed day show.

    ``by_set_up`` are (set-up, its shots); ``parts`` are (name, minutes); ``pick_ups`` are (shot, set-up, why, how long
    the portion is kept back); ``untaken`` are (shot, set-up, why); ``takes`` and ``standing`` are sentences; ``aims``
    are sentences on what was asked and reached.
    """

    call: str
    wrap: str
    proof: str
    first_shot: str
    meal: str
    aims: tuple[str, ...]
    notes: tuple[str, ...]
    rows: tuple[FilmRow, ...]
    by_set_up: tuple[tuple[str, tuple[FilmRow, ...]], ...]
    parts: tuple[tuple[str, str], ...]
    pick_ups: tuple[tuple[str, str, str, str], ...]
    chain: tuple[str, ...]
    gaps: tuple[str, ...] = ()
    takes: tuple[str, ...] = ()
    untaken: tuple[tuple[str, str, str], ...] = ()
    standing: tuple[str, ...] = ()


def film_view(resolved: ResolvedEpisode, day: FilmedDay) -> FilmView:
    """Return the filmed day, ready to lay out."""
    return _Viewer(resolved, day).view()


class _Viewer:
    """Turns seconds into times of day and activities into words."""

    def __init__(self, resolved: ResolvedEpisode, day: FilmedDay) -> None:
        self._resolved = resolved
        self._day = day
        self._activities = {item.id: item for item in day.plan_input.activities}
        self._recordings = {item.activity: item for item in day.recordings}
        self._main = day.plan_input.cameras[0].name if day.plan_input.cameras else ""

    def view(self) -> FilmView:
        rows = tuple(row for _, row in self._numbered())
        shots = [row for row in rows if row.kind == "shot"]
        set_ups = dict.fromkeys(row.set_up for row in shots)
        wrap_s = self._day.parts.total_s
        return FilmView(
            call=self._clock(0),
            wrap=self._clock(wrap_s),
            proof=proof_text(self._day.result),
            first_shot=shots[0].clock if shots else "",
            meal=join_words(f"{row.clock}–{row.until}" for row in rows if row.kind == "break"),
            aims=tuple(_aim(phase) for phase in self._day.result.phases),
            notes=self._day.result.notes,
            rows=rows,
            by_set_up=tuple((name, tuple(row for row in shots if row.set_up == name)) for name in set_ups),
            parts=self._parts(),
            pick_ups=tuple(
                (item.label, item.position, item.because, self._kept_back(item)) for item in self._day.pick_ups
            ),
            chain=tuple(self._chain()),
            gaps=tuple(self._gaps()),
            takes=tuple(self._takes(item) for item in self._day.takes),
            untaken=tuple(
                (f"{item.label} ({item.framing})" if item.framing else item.label, item.position, item.because)
                for item in self._day.untaken
            ),
            standing=tuple(self._standing(item) for item in self._day.standing),
        )

    def _clock(self, seconds: int) -> str:
        return clock_text(self._resolved.episode.clock, seconds)

    def _numbered(self) -> Iterator[tuple[int, FilmRow]]:
        entries = sorted([*self._steps(), *self._moves(), *self._meal()], key=lambda entry: entry[:3])
        number = 0
        for moment, _, _, row in entries:
            if row.kind in ("shot", "step", "left"):
                number += 1
                yield moment, _with_number(row, str(number))
            else:
                yield moment, row

    # ------------------------------------------------------------------------------------------------ rows

    def _steps(self) -> Iterator[tuple[int, int, str, FilmRow]]:
        for row in self._day.rows:
            film = next((self._activities[name].film for name in row.activities if self._activities[name].film), None)
            kind = "look-in" if row.kind is RowKind.LOOK_IN else "shot" if film is not None else "step"
            kind = "left" if kind == "step" and not row.hands_s else kind
            yield row.clock_s, _ORDER[kind], row.activities[0], self._row(row, kind, film)

    def _row(self, row: DayRow, kind: str, film: Film | None) -> FilmRow:
        recording = next((self._recordings[name] for name in row.activities if name in self._recordings), None)
        is_shot = kind == "shot" and film is not None and recording is not None
        return FilmRow(
            kind=kind,
            number="",
            clock=self._clock(row.clock_s),
            until=self._clock(row.end_s),
            set_up=self._set_up(recording) if is_shot and recording is not None else "",
            what=row.label if kind != "look-in" else f"look in: {row.label}",
            framing=film.framing if is_shot and film is not None else "",
            takes=_takes(film) if is_shot and film is not None else "",
            who=row.who or self._operator(film),
            equipment=", ".join(row.equipment),
            meanwhile="; ".join(
                f"{step_name(task.label)} to {self._clock(task.ends_s)}"
                for task in row.meanwhile
                if "+" not in task.activity
            ),
            limits="; ".join(self._limits(row)),
            cue=self._step_text(row, "until"),
            caution=self._step_text(row, "caution"),
            slack=slack_text(row.slack_s) if kind != "look-in" else "",
            activities=row.activities if kind != "look-in" else (),
        )

    def _step_text(self, row: DayRow, name: str) -> str:
        """Return a text of the step that a row begins; look-ins and rows around the dishes have none."""
        recipe = self._resolved.recipe(row.recipe)
        step = next((item for item in recipe.recipe.steps if item.id == row.step), None) if recipe is not None else None
        return str(getattr(step, name)) if step is not None and row.kind is RowKind.STEP else ""

    def _limits(self, row: DayRow) -> list[str]:
        """Return the next limits that run beyond the row's beginning; what is met as it begins needs no watching."""
        running = [item for item in row.limits if item.planned_s > row.clock_s]
        told = [
            f"{item.rule}: by {self._clock(item.latest_s)}, {_spare(item.to_spare_s)} to spare"
            for item in running[:_LIMITS_SHOWN]
        ]
        return told + ([f"and {len(running) - _LIMITS_SHOWN} later"] if len(running) > _LIMITS_SHOWN else [])

    def _set_up(self, recording: Recording) -> str:
        return recording.position if recording.camera == self._main else f"{recording.position} ({recording.camera})"

    def _operator(self, film: Film | None) -> str:
        if film is None:
            return ""
        return next((item.operator for item in self._day.plan_input.cameras if item.name == film.camera), "")

    def _moves(self) -> Iterator[tuple[int, int, str, FilmRow]]:
        """Yield a row for each re-rig, at the latest moment at which it must begin."""
        for item in self._day.recordings:
            if item.rerig_s:
                who = self._operator(self._activities[item.activity].film)
                words = f"move the {item.camera} to {item.position} ({minutes_text(item.rerig_s)})"
                row = FilmRow(
                    kind="move",
                    number="",
                    clock=self._clock(item.rerig_from_s),
                    until=self._clock(item.start_s),
                    set_up=item.position,
                    what=words,
                    who=who,
                )
                yield item.rerig_from_s, _ORDER["move"], item.activity, row

    def _meal(self) -> Iterator[tuple[int, int, str, FilmRow]]:
        schedule = self._day.result.schedule
        for meal in self._day.plan_input.breaks if schedule is not None else ():
            assert schedule is not None
            item = schedule.of(meal.activity)
            row = FilmRow(
                kind="break",
                number="",
                clock=self._clock(item.start_s),
                until=self._clock(item.end_s),
                set_up="",
                what="meal break for everybody (local law decides)",
            )
            yield item.start_s, _ORDER["break"], meal.activity, row

    # ------------------------------------------------------------------------------------------------ the rest

    def _parts(self) -> tuple[tuple[str, str], ...]:
        parts = self._day.parts
        named = (
            ("set-up", parts.set_up_s),
            ("recording", parts.recording_s),
            ("re-rig", parts.rerig_s),
            ("reset between takes", parts.reset_s),
            ("camera wait", parts.wait_s),
            ("break", parts.break_s),
            ("strike", parts.strike_s),
            *((("closed", parts.closed_s),) if parts.closed_s else ()),
            ("wrap less call", parts.total_s),
        )
        open_s = parts.total_s - parts.closed_s
        share = 100 * parts.wait_s // open_s if open_s else 0
        shares = {"camera wait": f" ({share} % of the day)"} if parts.wait_s else {}
        return tuple((name, minutes_text(seconds) + shares.get(name, "")) for name, seconds in named)

    def _kept_back(self, item: PickUp) -> str:
        """Return from when to when the portion for a shot that is picked up later is kept back."""
        step = next(row for row in self._day.rows if (row.recipe, row.step) == (item.recipe, item.step))
        shot = self._recordings[f"{item.recipe}/{item.step}+pick-up"]
        waited = minutes_text(shot.start_s - step.clock_s)
        return f"kept back from {self._clock(step.clock_s)} to {self._clock(shot.start_s)} ({waited}), not to be eaten"

    def _standing(self, item: Standing) -> str:
        clock = f"{self._clock(item.since_s)}–{self._clock(item.until_s)}"
        return (
            f"{item.label} stands {minutes_text(item.until_s - item.since_s)}, {clock}, before {step_name(item.after)}"
        )

    def _takes(self, item: TakesInTime) -> str:
        one = f"{item.label}: a take of {minutes_text(item.take_s)}, {minutes_text(item.reset_s)} to reset"
        most = f"at most {item.most}, the last begun by {self._clock(item.latest_s)} ({item.rule})"
        return f"{one}: {most}; without moving wrap {min(item.most, item.most_in_wrap)}"

    def _gaps(self) -> Iterator[str]:
        """Yield a sentence for each longer wait of the camera, with the later shots that would fit in it."""
        for gap in self._day.gaps:
            clock = f"{self._clock(gap.start_s)}–{self._clock(gap.end_s)}"
            places = " and ".join(dict.fromkeys(place for place in (gap.before, gap.after) if place))
            where = f" between {places}" if gap.before and gap.after and gap.before != gap.after else ""
            fits = f"would fit: {join_words(gap.fits)}" if gap.fits else "no later shot would fit"
            yield f"{clock}{where} the camera waits {minutes_text(gap.wait_s)}; {fits}"
        rest = self._day.parts.wait_s - sum(gap.wait_s for gap in self._day.gaps)
        if rest > 0:
            yield f"shorter waits: {minutes_text(rest)} in all"

    def _chain(self) -> Iterator[str]:
        for link in self._day.chain:
            activity = self._activities[link.activity]
            because = link.because.removeprefix(activity.label).strip()
            yield f"{self._clock(link.start_s)} {_label(activity)}" + (f", {because}" if because else "")


def _label(activity: Activity) -> str:
    return activity.label or activity.id


def _spare(seconds: int) -> str:
    return minutes_text(seconds) if seconds > 0 else "nothing"


def _takes(film: Film) -> str:
    if film.takes == 1:
        return "1"
    return f"{film.takes}, reset {minutes_text(film.reset_s)}"


def _aim(phase: SolvePhase) -> str:
    value = minutes_text(phase.value) if phase.unit == "s" else str(phase.value)
    proof = "proven: no less is possible" if phase.is_proven else "not proven: less may be possible"
    return f"{phase.name}: {value} ({proof})"


def _with_number(row: FilmRow, number: str) -> FilmRow:
    return replace(row, number=number)
