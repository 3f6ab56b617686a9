"""
The filmed day as a chart: a lane for each camera above those of the cooked day, breaks, duplicates and pick-ups.

A publication that holds a filmed day comes in; charts like those of ``timeline`` go out. In a camera's lane a solid bar
is a recording, a runged one a re-rig, an outline set-up or strike. Numbers are those of the shoot day's list.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from shootplan.model.filmed_day import FilmedDay
from shootplan.model.filming import Camera, Recording
from shootplan.model.planning import Activity
from shootplan.model.show import minutes_text
from shootplan.render.basis import Basis, step_name
from shootplan.render.chart import Chart, Piece
from shootplan.render.timeline import Drawing, stretches
from shootplan.render.views_film import FilmView

__all__ = ["draw_film", "fold_film"]

#: A filmed day has so many lanes that more stretches would be too long a way on a phone.
_MOST_FOLDS = 8
_DUPLICATE, _FILMED, _PICKED_UP = " (duplicate comes in)", " (filmed)", " (picked up)"


def draw_film(basis: Basis, film: FilmView) -> Chart | None:
    """Return the chart of the filmed day, ``None`` without one."""
    day = basis.publication.filmed
    return _FilmDrawing(basis, day, film).chart() if day is not None else None


def fold_film(basis: Basis, film: FilmView) -> tuple[Chart, ...]:
    """Return the filmed day in stretches, one below the other, empty without one."""
    day = basis.publication.filmed
    if day is None:
        return ()
    return tuple(
        _FilmDrawing(basis, day, film, from_s=from_s, until_s=until_s).folded(number)
        for number, (from_s, until_s) in enumerate(stretches(day.parts.total_s, _MOST_FOLDS), start=1)
    )


class _FilmDrawing(Drawing):
    """The chart of the cooked day with what the cameras add."""

    has_cameras = True
    numbers_of = "the list by the clock"

    def __init__(
        self, basis: Basis, day: FilmedDay, film: FilmView, *, from_s: int = 0, until_s: int | None = None
    ) -> None:
        cooked = replace(basis.publication, plan_input=day.plan_input, plan=day.result, day=day.rows, chain=day.chain)
        super().__init__(Basis(cooked, basis.printer), max(day.parts.total_s, 60), from_s=from_s, until_s=until_s)
        self.day = day
        self.numbers = {name: int(row.number) for row in film.rows if row.number for name in row.activities}

    def groups(self) -> list[list[tuple[str, list[Piece]]]]:
        """Return the cameras first, then the lanes of the cooked day, then the duplicates."""
        return [self._cameras(), *super().groups(), self._duplicates()]

    # ------------------------------------------------------------------------------------------ cameras

    def _cameras(self) -> list[tuple[str, list[Piece]]]:
        cameras = self.day.plan_input.cameras
        return [(_camera_label(item.name), list(self._camera(item, item == cameras[0]))) for item in cameras]

    def _camera(self, camera: Camera, is_main: bool) -> Iterator[Piece]:
        if camera.ready_s:
            for begins_s in (0, *(till_s for _, till_s in self.day.plan_input.closed if till_s < self.length_s)):
                ready_s = begins_s + camera.ready_s
                words = f"set-up of the {camera.name}, {self._clocks(begins_s, ready_s)}"
                yield Piece(begins_s, ready_s, "outline", "set-up", words)
        own = [item for item in self.day.recordings if item.camera == camera.name]
        for item in own:
            yield from self._re_rig(item)
            yield self._recording(item)
        for piece in self._meal(f"the {camera.name} rests"):
            # one that is left running, fixed and with nobody at it, has no break
            if not any(piece.start_s < item.end_s and item.start_s < piece.end_s for item in own):
                yield piece
        if is_main:
            for stretch in self.day.stretches:
                if stretch.part == "strike":
                    start_s, end_s = stretch.start_s, stretch.end_s
                    yield Piece(start_s, end_s, "outline", "strike", f"strike, {self._clocks(start_s, end_s)}")

    def _re_rig(self, item: Recording) -> Iterator[Piece]:
        """Yield the move of the camera before a recording, in two parts where the break lies in it."""
        if not item.rerig_s:
            return
        title = f"re-rig: {item.camera} to {item.position} ({minutes_text(item.rerig_s)})"
        for start_s, end_s in self._moving(item):
            yield Piece(start_s, end_s, "move", f"to {item.position}", f"{title}, {self._clocks(start_s, end_s)}")

    def _moving(self, item: Recording) -> Iterator[tuple[int, int]]:
        """Yield when a camera is moved at the latest: nobody moves it in a break or while nobody is there."""
        end_s, left_s = item.start_s, item.rerig_s
        rests = [(piece.start_s, piece.end_s) for piece in self._meal("")]
        for rest_s, until_s in sorted([*rests, *self.day.plan_input.closed], reverse=True):
            if rest_s < end_s and until_s > end_s - left_s:
                if until_s < end_s:
                    yield until_s, end_s
                    left_s -= end_s - until_s
                end_s = rest_s
        yield end_s - left_s, end_s

    def _recording(self, item: Recording) -> Piece:
        activity, number = self.activities[item.activity], self.numbers.get(item.activity)
        film = activity.film
        is_pick_up = item.activity.endswith("+pick-up")
        name = step_name(activity.label).removesuffix(_FILMED).removesuffix(_PICKED_UP)
        takes = f", {film.takes} takes" if film is not None and film.takes > 1 else ""
        words = f"{'picked up' if is_pick_up else 'recorded'} from {item.position}{takes}"
        lead = f"{number} " if number is not None else ""
        title = f"{lead}{name} ({self.basis.title(activity.recipe)}), {words}, {self._clocks(item.start_s, item.end_s)}"
        return Piece(item.start_s, item.end_s, "take", f"{lead}{item.position}", title, item.activity, is_pick_up)

    def _meal(self, who: str) -> Iterator[Piece]:
        for meal in self.day.plan_input.breaks:
            item = self.placed[meal.activity]
            words = f"meal break, {who}, {self._clocks(item.start_s, item.end_s)}"
            yield Piece(item.start_s, item.end_s, "away", "meal break", words)

    # ------------------------------------------------------------------------------------------ the other lanes

    def _work_of(self, name: str) -> Iterator[Piece]:
        yield from super()._work_of(name)
        yield from self._meal(name)

    def _pieces(self, activity: Activity, extra: str = "") -> Iterator[Piece]:
        """Yield the work itself; the recording of what is left alone is the camera's."""
        if not (activity.film is not None and "+" in activity.id and not activity.workers):
            yield from super()._pieces(activity, extra)

    def _duplicates(self) -> list[tuple[str, list[Piece]]]:
        pieces = [
            self._duplicate(item)
            for item in self.day.plan_input.activities
            if item.label.endswith(_DUPLICATE) and item.id in self.placed
        ]
        return [("duplicate in", pieces)] if pieces else []

    def _duplicate(self, activity: Activity) -> Piece:
        moment = self.placed[activity.id].start_s
        name = step_name(activity.label.removesuffix(_DUPLICATE))
        title = f"{name} ({self.basis.title(activity.recipe)}): the duplicate comes in at {self.basis.clock(moment)}"
        return Piece(moment, moment, "moment", name, title, activity.id)


def _camera_label(name: str) -> str:
    return name if "camera" in name else f"camera {name}"
