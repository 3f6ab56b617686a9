"""
What a day's log means for the activities of a plan: what is done, what runs and until when.

A plan input, its schedule and the logged events come in; a ``Fact`` for each activity that has begun, and how much
later the others may begin, go out. A log that says too little is filled in: a step that began has all that it waits for
behind it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import field, replace

from shootplan.model.days import day_of, staffed_s
from shootplan.model.planning import Activity, ActivityKind, Anchor, PlanInput, Schedule
from shootplan.model.replanning import Fact, LogEvent, LogKind, Run, RunState
from shootplan.plan.ovens import ovens_of
from shootplan.records import dataclass

__all__ = ["Happened", "happened", "opened_early", "runs_of"]

#: What is overdue is expected to need so much longer, in seconds, until somebody says that it is done.
_OVERDUE_S = 60
_BINDING = (ActivityKind.HANDS, ActivityKind.WATCH)


@dataclass(slots=True, kw_only=True)
class Happened:
    """
    ``facts`` by activity, earliest starts of what is told to be late, runs whose wait a stand-in replaces, and when
    somebody looked in on a run.

    ``notes`` are sentences about what was taken to have happened although nobody logged it.
    """

    facts: dict[str, Fact] = field(default_factory=dict)
    releases: dict[str, int] = field(default_factory=dict)
    swapped: frozenset[str] = frozenset()
    looked: dict[str, list[int]] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)

    def state(self, run: Run) -> RunState:
        """Return how far a run is."""
        known = [self.facts.get(name) for name in run.activities]
        if all(fact is not None and fact.is_done for fact in known):
            return RunState.DONE
        return RunState.RUNNING if any(fact is not None for fact in known) else RunState.AHEAD


def runs_of(plan_input: PlanInput) -> tuple[Run, ...]:
    """Return the runs of a plan in the order of its input; an activity without a step is a run of its own."""
    groups: dict[str, list[Activity]] = {}
    for activity in plan_input.activities:
        groups.setdefault(_run_id(activity, plan_input), []).append(activity)
    return tuple(
        Run(
            id=name,
            label=items[0].label or items[0].id,
            recipe=items[0].recipe,
            step=items[0].step,
            activities=tuple(item.id for item in items),
        )
        for name, items in groups.items()
    )


def _run_id(activity: Activity, plan_input: PlanInput) -> str:
    if not activity.step:
        return activity.id
    base = activity.id.split("#")[0]
    if activity.kind is not ActivityKind.HEAT:
        return base
    bakes = any(
        item.id.startswith(f"{base}#") and item.oven and item.oven.heat == activity.id for item in plan_input.activities
    )
    return activity.id if bakes else base


def opened_early(plan_input: PlanInput, events: Iterable[LogEvent]) -> PlanInput:
    """
    Return the plan with each day begun when somebody was there, if that was before its hours.

    Whoever begins something, leaves it alone or looks in on it in the second half of a closed time opens the day after.
    """
    there = sorted(event.at_s for event in events if event.kind in (LogKind.BEGUN, LogKind.LEFT, LogKind.LOOKED))
    closed = []
    for since_s, till_s in plan_input.closed:
        early = (at_s for at_s in there if max(since_s + 1, (since_s + till_s) // 2) <= at_s < till_s)
        closed.append((since_s, next(early, till_s)))
    return replace(plan_input, closed=tuple(closed))


def happened(plan_input: PlanInput, schedule: Schedule, events: Iterable[LogEvent], now_s: int) -> Happened:
    """
    Return what the events until ``now_s`` mean.

    The parts of a step that runs follow one another at the long ends of their times unless the log says when it was
    left. A person who began two things does the later one; the earlier one waits. Events after ``now_s`` are
    passed over.
    """
    return _Reader(plan_input, schedule, now_s).read(sorted(events, key=lambda event: event.at_s))


@dataclass(slots=True)
class _Logged:
    """What the log says of one run."""

    begun_s: int | None = None
    left_s: int | None = None
    done_s: int | None = None
    late_s: int = 0
    is_assumed: bool = False


class _Reader:
    def __init__(self, plan_input: PlanInput, schedule: Schedule, now_s: int) -> None:
        self.now_s = now_s
        self.input = plan_input
        self.planned = {item.activity: item for item in schedule.assignments}
        self.activities = {item.id: item for item in plan_input.activities}
        self.runs = {run.id: run for run in runs_of(plan_input)}
        self.run_of = {name: run.id for run in self.runs.values() for name in run.activities}
        self.logged = {name: _Logged() for name in self.runs}
        self.found = Happened()

    def read(self, events: list[LogEvent]) -> Happened:
        swapped = set()
        for event in events:
            if event.run not in self.logged or event.at_s > self.now_s:
                continue
            if event.kind is LogKind.SWAPPED:
                swapped.add(event.run)
            if event.kind is LogKind.LOOKED:
                self.found.looked.setdefault(event.run, []).append(event.at_s)
            self._note(self.logged[event.run], event)
        self.found.swapped = frozenset(swapped)
        self._before_the_day()
        self._breaks_of_days_before()
        self._infer()
        for name, logged in self.logged.items():
            self._facts(self.runs[name], logged)
        self._nobody_works_in_the_break()
        self._one_pair_of_hands()
        self._nobody_works_overnight()
        self._cold_in_the_morning()
        return self.found

    def _note(self, logged: _Logged, event: LogEvent) -> None:
        if event.kind is LogKind.BEGUN:
            logged.begun_s, logged.left_s, logged.done_s = event.at_s, None, None
        elif event.kind is LogKind.LEFT:
            logged.left_s = event.at_s
        elif event.kind is LogKind.DONE:
            logged.done_s = event.at_s
        elif event.kind is LogKind.LATE:
            logged.late_s += event.late_s

    def _before_the_day(self) -> None:
        """Moments that stand for what was made ahead lie at the start of the day, ticked or not."""
        for activity in self.input.activities:
            if activity.deadline_s is not None and activity.deadline_s <= min(0, self.now_s) and not activity.long_s:
                self.logged[self.run_of[activity.id]].begun_s = activity.deadline_s
                self.logged[self.run_of[activity.id]].done_s = activity.deadline_s

    def _breaks_of_days_before(self) -> None:
        """A break that nobody logged was had as planned when its day is over."""
        opens_s = staffed_s(self.input)[day_of(self.input, self.now_s)][0]
        for meal in self.input.breaks:
            logged, planned = self.logged[self.run_of[meal.activity]], self.planned.get(meal.activity)
            if planned is not None and meal.within_s < opens_s and logged.done_s is None:
                logged.begun_s = planned.start_s if logged.begun_s is None else logged.begun_s
                logged.done_s, logged.is_assumed = max(logged.begun_s, min(planned.end_s, opens_s)), True

    # ------------------------------------------------------------------------------------------------ what follows

    def _infer(self) -> None:
        """What a begun run waits for is done: at the latest when that began."""
        waits, assumed = self._waits(), list[str]()
        queue = [name for name, logged in self.logged.items() if self._begun(logged, self.runs[name]) is not None]
        while queue:
            name = queue.pop()
            begun = self._begun(self.logged[name], self.runs[name])
            assert begun is not None
            for before in waits.get(name, ()):
                logged = self.logged[before]
                if logged.done_s is not None:
                    continue
                logged.done_s, logged.is_assumed = begun, True
                assumed.append(self.runs[before].label)
                queue.append(before)
        assumed += self._filmed_meanwhile()
        if assumed:
            self.found.notes.append(f"taken as done, since what waits for it was begun: {', '.join(sorted(assumed))}")

    def _filmed_meanwhile(self) -> list[str]:
        """What was to be filmed while something went on that is over was filmed, or never will be."""
        found = []
        for lag in self.input.lags:
            shot, before, after = (
                self.activities[lag.successor],
                self.run_of[lag.predecessor],
                self.run_of[lag.successor],
            )
            is_by_its_end = lag.successor_anchor is Anchor.END and lag.at_most_s == 0 and lag.at_least_s is None
            is_while = shot.film is not None and shot.kind is ActivityKind.LEAVE and is_by_its_end and before != after
            over = self.logged[before].done_s
            if is_while and over is not None and self.logged[after].done_s is None:
                self.logged[after].done_s, self.logged[after].is_assumed = over, True
                found.append(self.runs[after].label)
        return found

    def _waits(self) -> Mapping[str, list[str]]:
        """Return for each run those that must be over before it begins."""
        found: dict[str, list[str]] = {}
        pairs = [
            (lag.predecessor, lag.successor)
            for lag in self.input.lags
            if lag.predecessor_anchor is Anchor.END
            and lag.successor_anchor is Anchor.START
            and lag.at_least_s is not None
            and lag.at_least_s >= 0
        ]
        pairs += [(item.oven.heat, item.id) for item in self.input.activities if item.oven and item.oven.heat]
        for before, after in pairs:
            one, other = self.run_of[before], self.run_of[after]
            if one != other and one not in found.setdefault(other, []):
                found[other].append(one)
        return found

    def _begun(self, logged: _Logged, run: Run) -> int | None:
        """Return when a run began: as logged, else reckoned back from when it was left or done."""
        if logged.begun_s is not None:
            return logged.begun_s
        parts = [self.activities[name] for name in run.activities]
        if logged.left_s is not None:
            return logged.left_s - sum(part.long_s for part in parts if part.kind in _BINDING)
        if logged.done_s is not None:
            return logged.done_s - sum(part.long_s for part in parts)
        return None

    # ------------------------------------------------------------------------------------------------ facts

    def _facts(self, run: Run, logged: _Logged) -> None:
        begun = self._begun(logged, run)
        if begun is None:
            if logged.late_s:
                first = run.activities[0]
                planned = self.planned.get(first)
                self.found.releases[first] = (planned.start_s if planned is not None else self.now_s) + logged.late_s
            return
        moment = begun
        parts = [self.activities[name] for name in run.activities]
        for number, part in enumerate(parts):
            is_last = number == len(parts) - 1
            end = self._part_end(part, moment, logged, is_last=is_last)
            is_over = end <= self.now_s and (not is_last or logged.done_s is not None)
            if not is_over:
                end = max(end, self.now_s + _OVERDUE_S)
            self.found.facts[part.id] = Fact(
                start_s=moment,
                end_s=end,
                is_done=is_over,
                worker=self._worker(part),
                is_assumed=logged.is_assumed or logged.begun_s is None,
            )
            if not is_over:
                return
            moment = end

    def _part_end(self, part: Activity, start_s: int, logged: _Logged, *, is_last: bool) -> int:
        """Return when a part ended or is expected to: what is told first, else the long end of its time."""
        if is_last and logged.done_s is not None:
            return max(start_s, logged.done_s)
        end = start_s + part.long_s
        is_handed = part.kind in _BINDING and logged.left_s is not None
        if is_handed and logged.left_s is not None:
            end = max(start_s, logged.left_s)
        elif is_last or end + logged.late_s > self.now_s:
            end += logged.late_s
        return end if logged.done_s is None else max(start_s, min(end, logged.done_s))

    def _worker(self, part: Activity) -> str:
        if part.kind not in _BINDING or not part.workers:
            return ""
        known = self.planned.get(part.id)
        return known.worker if known is not None and known.worker in part.workers else part.workers[0]

    # ------------------------------------------------------------------------------------------------ hands

    def _nobody_works_in_the_break(self) -> None:
        """Who is on a break has left what was begun before it, to go on after."""
        for name, rest in self.found.facts.items():
            if self.activities[name].kind is not ActivityKind.BREAK or rest.is_done:
                continue
            for other, fact in self.found.facts.items():
                if fact.worker and not fact.is_done:
                    left = max(_OVERDUE_S, fact.end_s - max(fact.start_s, rest.start_s))
                    self.found.facts[other] = replace(fact, is_waiting=True, left_s=left)

    def _one_pair_of_hands(self) -> None:
        """Give what runs to different people, the latest begun first; what finds nobody free waits."""
        busy: set[str] = set()
        running = [(fact.start_s, name) for name, fact in self.found.facts.items() if not fact.is_done and fact.worker]
        for start_s, name in sorted(running, reverse=True):
            fact, able = self.found.facts[name], self.activities[name].workers
            free = [worker for worker in (fact.worker, *able) if worker not in busy]
            if free:
                busy.add(free[0])
                self.found.facts[name] = replace(fact, worker=free[0])
                continue
            later = min(at for at, other in running if at >= start_s and other != name)
            left = max(_OVERDUE_S, fact.end_s - max(start_s, later))
            self.found.facts[name] = replace(fact, is_waiting=True, left_s=left)
            self.found.notes.append(f"{self.activities[name].label or name} waits: other work was begun meanwhile")

    def _nobody_works_overnight(self) -> None:
        """
        What was begun on an earlier day, not logged as done, and may not go on overnight is not there any more.

        Hands-on work stopped when the kitchen closed, and the rest of it waits. What was left alone was over in time.
        """
        today, over = day_of(self.input, self.now_s), []
        for name, fact in self.found.facts.items():
            activity, day = self.activities[name], day_of(self.input, fact.start_s)
            if fact.is_done or day == today or activity.may_run_closed:
                continue
            planned_s = fact.start_s + activity.long_s + self.logged[self.run_of[name]].late_s
            if not fact.worker:
                if planned_s <= self.now_s:
                    self.found.facts[name] = replace(fact, end_s=planned_s, is_done=True, is_assumed=True)
                    over.append(activity.label or name)
                continue
            stopped_s = max(fact.start_s, min(planned_s, self.input.closed[day][0]))
            left_s = max(_OVERDUE_S, planned_s - stopped_s)
            self.found.facts[name] = replace(fact, end_s=stopped_s + left_s, is_waiting=True, left_s=left_s)
        if over:
            self.found.notes.append(f"taken as done, since nothing of it goes on overnight: {', '.join(sorted(over))}")

    def _cold_in_the_morning(self) -> None:
        """An oven that was heated on an earlier day is to be heated again for what did not go into it."""
        today = day_of(self.input, self.now_s)
        for oven in ovens_of(self.input):
            for session in oven.sessions:
                begun = [self.found.facts[item.id] for item in session.members if item.id in self.found.facts]
                is_hot = any(day_of(self.input, fact.start_s) == today or not fact.is_done for fact in begun)
                if not begun or is_hot or len(begun) == len(session.members):
                    continue
                run = self.runs[self.run_of[session.id]]
                for name in run.activities:
                    self.found.facts.pop(name, None)
                self.found.notes.append(f"{run.label}: the oven is cold by now and is heated again")
