"""
The days in the rest of a plan over several days: the nights to come, and what each rule of the days still asks.

A plan input and what happened come in; the closed times from now on and rules that count from now go out, with what a
schedule of the rest breaks of them. Somebody who works when the kitchen closes is believed: the night begins later.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from shootplan.model.days import day_of, staffed_s
from shootplan.model.planning import Activity, DayRule, PlanInput, Schedule
from shootplan.model.replanning import BrokenLimit, Fact
from shootplan.model.show import clock_text
from shootplan.plan.calendars import FOREVER_S
from shootplan.plan.rest_ovens import NOW
from shootplan.records import dataclass

__all__ = ["Closing", "LostRule", "RestDays", "broken_rules", "days_of", "worked_late"]

#: What is left of a night in a plan that counts what is late and does not forbid it.
_SHORT_NIGHT_S = 60


class Closing(NamedTuple):
    """When the kitchen should close on a day, and when it opens again; far away after the last day."""

    since_s: int
    till_s: int


class LostRule(NamedTuple):
    """A rule of days that no plan can keep any more, and when the day ended on which it was to be kept."""

    rule: DayRule
    since_s: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RestDays:
    """
    The days from now on.

    ``closings`` are those of today and of each day after it, the last one's included; ``closed`` are the nights between
    them and ``ends_s`` the end of the last day, each as late as what runs now makes it. ``rules`` count from now, what
    is ``lost`` no plan keeps. ``overnight`` may run while nobody is there, or has to; ``going_on`` is what of it runs.
    ``leaving`` are people who go before the last day ends, and when. Everything is empty for a plan of one day.
    """

    closings: tuple[Closing, ...] = ()
    closed: tuple[tuple[int, int], ...] = ()
    ends_s: int | None = None
    rules: tuple[DayRule, ...] = ()
    lost: tuple[LostRule, ...] = ()
    overnight: frozenset[str] = frozenset()
    going_on: frozenset[str] = frozenset()
    leaving: tuple[tuple[str, int], ...] = ()
    notes: tuple[str, ...] = ()

    def later(self, by_s: int) -> RestDays:
        """Return the same on a clock that shows ``by_s`` more."""
        return replace(
            self,
            closings=tuple(Closing(since + by_s, till + by_s) for since, till in self.closings),
            closed=tuple((since + by_s, till + by_s) for since, till in self.closed),
            ends_s=self.ends_s + by_s if self.ends_s is not None else None,
            leaving=tuple((name, since + by_s) for name, since in self.leaving),
            lost=tuple(LostRule(rule, since + by_s if since is not None else None) for rule, since in self.lost),
        )

    def short_nights(self) -> tuple[tuple[int, int], ...]:
        """Return nights so short that work may go on through them, for a plan that counts what is late."""
        return tuple(
            (till - (_SHORT_NIGHT_S if till - since > _SHORT_NIGHT_S else 1), till) for since, till in self.closed
        )

    def nights_after(self, late: Mapping[int, int]) -> tuple[tuple[int, int], ...]:
        """Return the nights, each begun as much later as was worked on its day, days counted from 0."""
        nights = enumerate(zip(self.closings, self.closed, strict=False))
        return tuple((max(since, close.since_s + late.get(day, 0)), till) for day, (close, (since, till)) in nights)


def days_of(plan_input: PlanInput, facts: Mapping[str, Fact], now_s: int, again: Mapping[str, str]) -> RestDays:
    """
    Return the days from ``now_s`` on.

    Parameters
    ----------
    plan_input
        The whole plan.
    facts
        What has begun.
    now_s
        This moment.
    again
        The heat that an oven is given once more, by the one of the plan that is over.
    """
    if not plan_input.closed and plan_input.begins is None:
        return RestDays()
    return _Reader(plan_input, facts, now_s, again).days()


@dataclass(slots=True)
class _Reader:
    input: PlanInput
    facts: Mapping[str, Fact]
    now_s: int
    again: Mapping[str, str]

    def days(self) -> RestDays:
        nights = [(since, till) for since, till in self.input.closed if till > self.now_s]
        ends_s = staffed_s(self.input)[-1][1]
        running = [item for item in self.input.activities if self._is_running(item)]
        staying = {item.id for item in running if nights and self.facts[item.id].end_s >= nights[0][1]}
        alone = {item.id for item in self.input.activities if item.may_run_closed}
        attended = [self.facts[item.id].end_s for item in running if item.id not in alone | staying]
        ends = [self.facts[item.id].end_s for item in running]
        closed = list(nights)
        if nights:
            since_s, till_s = nights[0]
            closed[0] = (max([since_s, min(self.now_s, till_s - 1), *attended]), till_s)
        return RestDays(
            closings=(*(Closing(*pair) for pair in nights), Closing(ends_s, FOREVER_S)),
            closed=tuple(closed),
            ends_s=max([ends_s, self.now_s, *ends]) if self.input.horizon_s is not None else None,
            rules=tuple(self._rules(bool(nights))),
            lost=tuple(self._lost(bool(nights))),
            overnight=frozenset(alone | staying),
            going_on=frozenset(item.id for item in running if item.id in alone | staying),
            leaving=tuple(
                (worker.name, since_s)
                for worker in self.input.workers
                for since_s, till_s in worker.away
                if till_s == ends_s
            ),
            notes=tuple(
                f"{item.label or item.id} goes on through the night: somebody has to stay with it"
                for item in running
                if item.id in staying - alone
            ),
        )

    def _is_running(self, item: Activity) -> bool:
        fact = self.facts.get(item.id)
        return fact is not None and not fact.is_done and not fact.is_waiting

    # ------------------------------------------------------------------------------------------------ rules of days

    def _rules(self, has_night: bool) -> Iterator[DayRule]:
        """Yield the rules that can still be kept, what has begun standing for now if that was today."""
        for rule in self._open():
            day = self._day(rule.one)
            if rule.is_apart and not has_night:
                continue
            if day is None:
                yield replace(rule, one=self.again.get(rule.one, rule.one))
            elif day == self._today and has_night:
                yield replace(rule, one=NOW)
        for name in self._waiting():
            if self._day_begun(name) == self._today and has_night:
                yield DayRule(one=NOW, other=name, rule=self._finished(name))

    def _lost(self, has_night: bool) -> Iterator[LostRule]:
        """Yield the rules that no plan keeps any more."""
        for rule in self._open():
            day = self._day(rule.one)
            if rule.is_apart and not has_night and day in (None, self._today):
                yield LostRule(rule, None)
            elif not rule.is_apart and day is not None and day < self._today:
                yield LostRule(rule, staffed_s(self.input)[day][1])
        for name in self._waiting():
            day = self._day_begun(name)
            if day < self._today:
                rule = DayRule(one=name, other=name, rule=self._finished(name))
                yield LostRule(rule, staffed_s(self.input)[day][1])

    def _open(self) -> Iterator[DayRule]:
        """Yield the rules whose second activity is still to begin."""
        yield from (rule for rule in self.input.day_rules if rule.other not in self.facts)

    def _day(self, name: str) -> int | None:
        """Return the day on which something began, ``None`` for what may still choose: an oven is heated again."""
        fact = self.facts.get(name)
        return None if fact is None or name in self.again else day_of(self.input, fact.start_s)

    def _day_begun(self, name: str) -> int:
        return day_of(self.input, self.facts[name].start_s)

    @property
    def _today(self) -> int:
        return day_of(self.input, self.now_s)

    def _waiting(self) -> list[str]:
        return [name for name, fact in self.facts.items() if fact.is_waiting]

    def _finished(self, name: str) -> str:
        label = next(item.label or item.id for item in self.input.activities if item.id == name)
        return f"{label} is finished on the day on which it was begun"


# ---------------------------------------------------------------------------------------------------- what is broken


def worked_late(plan_input: PlanInput, days: RestDays, schedule: Schedule) -> dict[int, tuple[int, str]]:
    """
    Return {day, today being 0: (seconds after its closing, the activity that ends last)} where work is late.

    What may run while nobody is there counts with its beginning only, and what runs so already or takes no time not at
    all.
    """
    late: dict[int, tuple[int, str]] = {}
    work = {item.id for item in plan_input.activities if item.long_s}
    opens_s = 0
    for day, (since_s, till_s) in enumerate(days.closings):
        is_last = till_s == FOREVER_S
        for item in schedule.assignments:
            is_alone = item.activity in days.overnight and not is_last
            is_of_day = is_last or opens_s <= item.start_s < till_s
            if item.activity not in work or not is_of_day or (is_alone and item.activity in days.going_on):
                continue
            over_s = (item.start_s if is_alone else min(item.end_s, till_s)) - since_s
            if over_s > late.get(day, (0, ""))[0]:
                late[day] = (over_s, item.activity)
        opens_s = till_s
    return late


def broken_rules(plan_input: PlanInput, days: RestDays, schedule: Schedule) -> Iterator[BrokenLimit]:
    """Yield each closing that is overrun and each broken rule of days, late by what its day has been over."""
    for day, (late_s, name) in worked_late(plan_input, days, schedule).items():
        since_s, till_s = days.closings[day]
        closes = clock_text(plan_input.begins, since_s) if plan_input.begins is not None else ""
        # What is struck after the last recording is none of the plan's activities.
        is_before_strike = bool(plan_input.cameras) and till_s == FOREVER_S
        words = f"work on the last day ends at {closes}" if is_before_strike else f"the kitchen closes at {closes}"
        yield BrokenLimit(rule=words, activities=(name,), late_s=late_s)
    yield from _called_back(plan_input, days, schedule)
    placed = {item.activity: item for item in schedule.assignments}
    for rule in days.rules:
        one, other = (_day(days.closings, placed[name].start_s) for name in (rule.one, rule.other))
        if rule.is_apart and one >= other:
            yield BrokenLimit(rule=rule.rule, activities=(rule.one, rule.other), late_s=0)
        elif not rule.is_apart and one != other:
            since_s = days.closings[one].since_s
            yield BrokenLimit(
                rule=rule.rule,
                activities=(rule.one, rule.other),
                late_s=max(0, placed[rule.other].start_s - since_s),
            )
    for lost in days.lost:
        late_s = placed[lost.rule.other].start_s - lost.since_s if lost.since_s is not None else 0
        yield BrokenLimit(rule=lost.rule.rule, activities=(lost.rule.one, lost.rule.other), late_s=max(0, late_s))


def _called_back(plan_input: PlanInput, days: RestDays, schedule: Schedule) -> Iterator[BrokenLimit]:
    """Yield who works after the end of the last day though their own hours ended before it."""
    for name, since_s in days.leaving:
        work = [(item.end_s, item.activity) for item in schedule.assignments if item.worker == name]
        until_s, activity = max(work, default=(0, ""))
        if until_s > days.closings[-1].since_s:
            leaves = clock_text(plan_input.begins, since_s) if plan_input.begins is not None else ""
            yield BrokenLimit(rule=f"{name} leaves at {leaves}", activities=(activity,), late_s=until_s - since_s)


def _day(closings: Sequence[Closing], moment_s: int) -> int:
    return sum(closing.till_s <= moment_s for closing in closings)
