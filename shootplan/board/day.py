"""
The live day: ticks and changed files go in, what the page shows comes out, planned anew in a thread of its own.

One thread plans; whoever ticks is answered as soon as the tick is on the disk, and every page hears of it at once, of
the new plan when it is there.
"""

from __future__ import annotations

import json
import threading
import time
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from shootplan.app import Loaded, load
from shootplan.app.following import Followed, input_again, schedule_of_text, schedule_text
from shootplan.app.replanning import rest_of_day, rows_of_day, run_states, runs_of_day
from shootplan.board.store import Store, Tick, events_of_ticks
from shootplan.board.view import Wraps, board_view, last_tick, with_states
from shootplan.model.days import wraps_of
from shootplan.model.episode import Episode
from shootplan.model.replanning import Replan
from shootplan.model.show import clock_text
from shootplan.problems import InfeasiblePlan, InputError, Problem, Span

__all__ = ["Clock", "LiveDay"]

_EVERY_S = 30.0


class Clock:
    """
    The time of day in seconds from call, by this machine's clock plus a shift for rehearsals.

    Over several days the date counts too: ``begins`` is the first call. On a single day it does not.

    It never goes back: where the machine's clock is set back, in summer time's end or by hand, the seconds that really
    pass are counted on, so that what is ticked later is later. A clock that is set forward is believed: so is one that
    slept. ``wall`` tells the local time, ``passed`` seconds that only grow.
    """

    def __init__(
        self,
        call_s: int,
        shift_s: int = 0,
        *,
        begins: datetime | None = None,
        wall: Callable[[], datetime] = datetime.now,
        passed: Callable[[], float] = time.monotonic,
    ) -> None:
        self._call_s, self._begins = call_s, begins
        self.shift_s = shift_s
        self._wall, self._passed = wall, passed
        self._told: tuple[float, float] | None = None
        self._lock = threading.Lock()

    def not_before(self, moment_s: float) -> None:
        """Go on from a moment that is known to be over (a tick of before a restart), if the clock is behind it."""
        now = self.now_s()
        with self._lock:
            self._told = (max(now, moment_s), self._passed())

    def now_s(self) -> float:
        """Return seconds from call; before it, on a single day up to twelve hours, they are negative."""
        now = self._wall()
        if self._begins is not None:
            seconds = (now - self._begins).total_seconds() + self.shift_s
        else:
            of_day_s = now.hour * 3600 + now.minute * 60 + now.second + now.microsecond / 1e6
            seconds = of_day_s + self.shift_s - self._call_s
            seconds = (seconds + 43200) % 86400 - 43200 if seconds < -43200 else seconds
        with self._lock:
            passed = self._passed()
            if self._told is not None and seconds < self._told[0]:
                seconds = self._told[0] + passed - self._told[1]
            self._told = (seconds, passed)
        return seconds

    @staticmethod
    def today() -> str:
        """Return the date of the working day: the night until five belongs to the day before."""
        return (datetime.now() - timedelta(hours=5)).date().isoformat()


class LiveDay:
    """
    The day of one episode, with its ticks.

    Parameters
    ----------
    folder
        The episode's folder.
    store
        The ticks of the day.
    clock
        The clock.
    publish
        Called with the view, as JSON, whenever it changes; from any thread.

    loaded, followed
        The episode and the plan that its day follows.
    """

    def __init__(self, folder: Path, store: Store, clock: Clock, *, loaded: Loaded, followed: Followed) -> None:
        self.folder, self.store, self.clock = folder, store, clock
        self.publish: Callable[[str], None] = lambda text: None
        self._lock = threading.Lock()
        self._wake = threading.Condition()
        self._is_asked, self._is_reload, self._is_over = False, False, False
        self._revision = 0
        self._loaded, self._problems = loaded, tuple[Problem, ...]()
        self._followed, self._input = followed, followed.plan_input
        kept = schedule_of_text(store.fact("current"), self._input)
        self._plan = kept or followed.schedule
        if ticked := [tick.at_s for tick in store.ticks()]:
            self.clock.not_before(max(ticked))
        self._morning = self._kept_wraps(followed)
        self._view = self._planned()
        self._thread = threading.Thread(target=self._run, name="planner", daemon=True)

    def _kept_wraps(self, followed: Followed) -> Wraps:
        """Return the wraps of the plan that the board was first started with: of all of it, and of each day."""
        known = self.store.fact("morning wraps")
        if known is None:
            days = wraps_of(followed.plan_input, followed.schedule)
            known = json.dumps([followed.schedule.makespan_s, *days])
            self.store.keep("morning wraps", known)
        whole, *days = json.loads(known)
        return Wraps(whole_s=int(whole), days_s=tuple(days))

    def start(self) -> None:
        """Begin to plan in the background."""
        self._thread.start()

    def stop(self) -> None:
        """End the background work."""
        with self._wake:
            self._is_over = True
            self._wake.notify()
        self._thread.join(timeout=5)

    # ------------------------------------------------------------------------------------------------ what happens

    def tick(self, ticks: Sequence[Tick]) -> int:
        """Keep ticks; on the disk when this returns, on every page soon after. Return how many were new."""
        count = self.store.add(ticks)
        if count:
            with self._lock:
                states = run_states(self._input, self._plan, self._events(), self._now())
                self._view = with_states(self._view, states) | {"last": last_tick(self.store.ticks())}
                self._tell()
            self._ask()
        return count

    def files_changed(self) -> None:
        """Read the files again and plan with them; while they have errors the last sound ones are kept."""
        self._ask(is_reload=True)

    def view(self) -> str:
        """Return what the page shows, as JSON."""
        with self._lock:
            return self._text()

    def log_text(self) -> str:
        """Return the day's log in the plain text that ``replan --log`` reads."""
        with self._lock:
            call, input_ = self._loaded.episode.clock, self._input
        labels = {run.id: run.label for run in runs_of_day(input_)}
        title = " ".join(self._loaded.episode.title.split())
        lines = [f"# {title}, {self.store.path.stem}"]
        for event in events_of_ticks(self.store.ticks()):
            late = f"{event.late_s // 60} min " if event.late_s else ""
            moment = clock_text(call, event.at_s).split(" ")[0]
            if isinstance(call, datetime):
                moment = f"{(call + timedelta(seconds=event.at_s)).date().isoformat()} {moment}"
            lines.append(f"{moment} {event.kind.value} {late}{labels.get(event.run, event.run)}")
        return "\n".join(lines) + "\n"

    @property
    def episode(self) -> Episode:
        """The episode as it was last read without errors."""
        return self._loaded.episode

    # ------------------------------------------------------------------------------------------------ planning

    def _ask(self, *, is_reload: bool = False) -> None:
        with self._wake:
            self._is_asked = True
            self._is_reload = self._is_reload or is_reload
            self._wake.notify()

    def _run(self) -> None:
        while True:
            with self._wake:
                if not self._is_asked:
                    self._wake.wait(timeout=_EVERY_S)
                if self._is_over:
                    return
                is_reload, self._is_asked, self._is_reload = self._is_reload, False, False
            try:
                self._plan_once(is_reload=is_reload)
            except Exception as error:  # the thread must go on: the next tick may be planned without fault
                with self._lock:
                    bug = f"a bug in shootplan ({type(error).__name__}: {error}); the plan shown is the last one"
                    self._view = {**self._view, "problems": [bug]}
                    self._tell()

    def _plan_once(self, *, is_reload: bool) -> None:
        if is_reload:
            self._reload()
        view = self._planned()
        with self._lock:
            if not self._is_asked:
                self._view = view
            self._tell()
        self._write_log()

    def _reload(self) -> None:
        try:
            loaded = load(self.folder)
            plan_input = input_again(loaded, self._followed)
        except InputError as error:
            self._problems = error.problems
            return
        with self._lock:
            self._loaded, self._input, self._problems = loaded, plan_input, ()

    def _planned(self) -> dict[str, Any]:
        """Plan the rest and return its view; what cannot be planned leaves the last plan and says why."""
        loaded, plan_input, problems = self._loaded, self._input, self._problems
        try:
            answer = rest_of_day(plan_input, self._plan, self._events(), self._now())
        except InfeasiblePlan as error:
            path = str(self.folder)
            problems = (
                *problems,
                *(Problem(span=c.span or Span(path), code="rest-stuck", message=c.rule) for c in error.conflicts),
            )
            return {**self._view, "problems": [f"{item.span}: {item.message}" for item in problems]}
        with self._lock:
            self._plan = answer.schedule
        self.store.keep("current", schedule_text(answer.schedule))
        return self._view_of(loaded, answer, problems)

    def _view_of(self, loaded: Loaded, answer: Replan, problems: tuple[Problem, ...]) -> dict[str, Any]:
        return board_view(
            loaded.resolved,
            answer,
            rows_of_day(answer),
            runs_of_day(answer.plan_input),
            self.store.ticks(),
            morning=self._morning,
            problems=problems,
        )

    def _events(self) -> Any:
        return events_of_ticks(self.store.ticks())

    def _now(self) -> int:
        return int(self.clock.now_s())

    def _tell(self) -> None:
        self._revision += 1
        self.publish(self._text())

    def _text(self) -> str:
        return json.dumps({**self._view, "revision": self._revision, "now_s": self.clock.now_s()}, ensure_ascii=False)

    def _write_log(self) -> None:
        """Put the log beside the ticks; the ticks are what counts, so a disk that refuses stops nothing."""
        path = self.store.path.with_suffix(".txt")
        text = self.log_text()
        aside = path.with_suffix(".txt.new")
        try:
            if not path.is_file() or path.read_text(encoding="utf-8") != text:
                aside.write_text(text, encoding="utf-8")
                aside.replace(path)
        except OSError:
            return
