"""A seeded simulator: days go wrong, the rest is planned anew after everything that happens, never against what was."""

from __future__ import annotations

import random
from collections.abc import Iterator

import pytest

from shootplan.model.planning import ActivityKind, PlanInput, Schedule
from shootplan.model.replanning import LogEvent, LogKind, Replan, RunState
from shootplan.plan import solve
from shootplan.plan.film_planner import solve_filmed
from shootplan.plan.happened import happened, opened_early, runs_of
from shootplan.plan.replan import replan
from shootplan.plan.rest import rest_of
from shootplan.plan.verify import verify
from shootplan.problems import InfeasiblePlan

__all__ = ["Simulator"]

MINUTE = 60


class Simulator:
    """
    Follows the latest plan; every part of a run takes a random time between its shortest and ``most`` times its
    longest, in whole ``unit`` seconds, and is logged when it begins and when it is done. Somebody looks again after
    ``every_s`` at the earliest.
    """

    def __init__(
        self,
        plan_input: PlanInput,
        schedule: Schedule,
        seed: int,
        *,
        unit: int = MINUTE,
        most: float = 2,
        every_s: int = 0,
    ) -> None:
        self.input, self.plan = plan_input, schedule
        self.unit, self.most, self.every_s = unit, most, every_s
        self.chance = random.Random(seed)
        self.runs = {run.id: run for run in runs_of(plan_input)}
        self.run_of = {name: run.id for run in self.runs.values() for name in run.activities}
        self.activities = {item.id: item for item in plan_input.activities}
        self.events: list[LogEvent] = []
        self.begun: dict[str, int] = {}
        self.ends: dict[str, int] = {}
        self.now_s = 0

    def play(self) -> list[Replan]:
        """Play to the end and return each new plan of the rest."""
        return list(self.plans())

    def plans(self) -> Iterator[Replan]:
        """Yield each new plan of the rest, checked, until everything is done."""
        for _ in range(20 * len(self.runs) + 20):
            answer = replan(self.input, self.plan, self.events, now_s=self.now_s)
            self.check(answer)
            yield answer
            self.plan = answer.schedule
            if all(state is RunState.DONE for _, state in answer.states):
                return
            self.go_on(answer.schedule)
        raise AssertionError("the days never end")

    def go_on(self, schedule: Schedule) -> None:
        """Begin what is planned for now and may begin, and go on to what happens next."""
        starts = {run.id: schedule.of(run.activities[0]).start_s for run in self.runs.values()}
        for name, start_s in starts.items():
            if name not in self.begun and start_s <= self.now_s and self.may_begin(name):
                self.begin(name)
        ahead = [start_s for name, start_s in starts.items() if name not in self.begun and start_s > self.now_s]
        running = [end for name, end in self.ends.items() if name not in self.done()]
        self.now_s = max(self.now_s + self.every_s, min([*ahead, *running], default=self.now_s))
        for name, end in sorted(self.ends.items()):
            if end <= self.now_s and name not in self.done():
                self.events.append(LogEvent(kind=LogKind.DONE, run=name, at_s=end))

    def done(self) -> set[str]:
        """Return the runs that were logged as done and not begun again."""
        return {run for run, kind in {event.run: event.kind for event in self.events}.items() if kind is LogKind.DONE}

    def may_begin(self, name: str) -> bool:
        """Nobody begins what waits for something that still runs, though it was planned to be over."""
        own = self.runs[name].activities
        waits = [lag.predecessor for lag in self.input.lags if lag.successor in own and lag.predecessor not in own]
        waits += [oven.heat for oven in (self.activities[part].oven for part in own) if oven is not None and oven.heat]
        return {self.run_of[part] for part in waits if part not in own} <= self.done()

    def heat_again(self, answer: Replan) -> None:
        """Forget an oven's heat of an earlier day: it is ahead again, and so is nothing else that was begun."""
        for name in [name for name in self.begun if answer.state(name) is RunState.AHEAD]:
            parts = [self.activities[part] for part in self.runs[name].activities]
            assert any(part.kind is ActivityKind.HEAT for part in parts)
            assert any(self.begun[name] <= since and till <= self.now_s for since, till in answer.plan_input.closed)
            del self.begun[name], self.ends[name]

    def begin(self, name: str) -> None:
        """Begin a run and draw how long it will take."""
        self.begun[name] = self.ends[name] = self.now_s
        for part in self.runs[name].activities:
            item = self.activities[part]
            least, most = item.short_s // self.unit, int(self.most * item.long_s) // self.unit
            self.ends[name] += self.unit * self.chance.randint(least, max(least, most))
        self.events.append(LogEvent(kind=LogKind.BEGUN, run=name, at_s=self.now_s))

    # ------------------------------------------------------------------------------------------------ what must hold

    def check(self, answer: Replan) -> None:
        """
        The past stands, the rest is sound, nothing lies before now.

        Limits are loosened only where the planner proves that all of them cannot be kept.
        """
        assert verify(answer.rest, answer.rest_schedule) == ()
        self.heat_again(answer)
        for name, start_s in self.begun.items():
            first, last = (answer.schedule.of(self.runs[name].activities[place]) for place in (0, -1))
            assert first.start_s == start_s
            if name in self.done():
                assert last.end_s == self.ends[name]
            elif answer.state(name) is RunState.DONE:
                # Nobody said so, but it was begun on an earlier day and may not go on overnight.
                nights = [till for since, till in answer.plan_input.closed if start_s <= since and till <= self.now_s]
                assert nights
            else:
                assert last.end_s > self.now_s
        for item in answer.schedule.assignments:
            if self.run_of[item.activity] not in self.begun:
                assert item.start_s >= self.now_s
        plan_input = opened_early(self.input, self.events)
        known = happened(plan_input, self.plan, self.events, self.now_s)
        strict = rest_of(plan_input, known, self.now_s).plan_input
        if answer.rest != strict:
            with pytest.raises(InfeasiblePlan):
                _ = solve_filmed(strict) if strict.cameras else solve(strict, is_explained=False)
