"""
The rest of the day as a plan of its own: what happened becomes moments, what runs becomes work that goes on now.

A plan input and what happened come in; a ``PlanInput`` whose every activity lies at or after now goes out, with the
limits of it that may have to give. It is planned and verified like any other day.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import field, replace
from datetime import timedelta

from shootplan.model.filming import Meal
from shootplan.model.planning import (
    Activity,
    ActivityKind,
    Anchor,
    Lag,
    LookInTask,
    Occupation,
    PlanInput,
    Worker,
)
from shootplan.model.replanning import Fact
from shootplan.plan.happened import Happened
from shootplan.plan.rest_days import RestDays, days_of
from shootplan.plan.rest_film import RestFilm
from shootplan.plan.rest_ovens import NOW, OvenStates, RestOvens, at_once
from shootplan.plan.task_lags import minutes
from shootplan.records import dataclass

__all__ = ["NOW", "Rest", "look_in_id", "on_later_clock", "rest_of"]


@dataclass(slots=True, kw_only=True)
class Rest:
    """
    The rest of a day: ``plan_input`` with every limit, and the places in its lags of those that may be overrun.

    ``look_ins`` maps an activity that stands for one looking in to what is looked in on. ``days`` are those to come of
    a plan over several days.
    """

    plan_input: PlanInput
    soft: tuple[int, ...] = ()
    look_ins: dict[str, str] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    days: RestDays = field(default_factory=RestDays)

    def softened(self) -> PlanInput:
        """Return the rest without its soft limits and the end of its last day: the nights are still kept."""
        soft = set(self.soft)
        lags = tuple(
            replace(lag, at_most_s=None) if number in soft else lag for number, lag in enumerate(self.plan_input.lags)
        )
        return replace(self.plan_input, lags=tuple(lag for lag in lags if _says_something(lag)), horizon_s=None)

    def loosened(self) -> Iterator[PlanInput]:
        """
        Yield the rest ever looser; the last one can always be planned, however late.

        Work may go on into each night, then the rules of days go too, but an oven is not hot on a day without a heat.
        """
        loose = replace(self.softened(), closed=self.days.short_nights())
        yield loose
        heats = {item.id for item in loose.activities if item.kind is ActivityKind.HEAT}
        if any(rule.one not in heats for rule in loose.day_rules):
            yield replace(loose, day_rules=tuple(rule for rule in loose.day_rules if rule.one in heats))


def on_later_clock(rest: Rest, by_s: int) -> Rest:
    """Return the same rest on a clock that shows ``by_s`` more, so that nothing of it lies before 0."""

    def later(item: Activity) -> Activity:
        deadline_s = item.deadline_s + by_s if item.deadline_s is not None else None
        return replace(item, release_s=item.release_s + by_s, deadline_s=deadline_s)

    def later_meal(meal: Meal) -> Meal:
        return replace(meal, from_s=meal.from_s + by_s, within_s=meal.within_s + by_s)

    old = rest.plan_input
    plan_input = replace(
        old,
        activities=tuple(later(item) for item in old.activities),
        workers=tuple(
            replace(worker, away=tuple((since + by_s, till + by_s) for since, till in worker.away))
            for worker in old.workers
        ),
        cameras=tuple(replace(camera, ready_s=camera.ready_s + by_s) for camera in old.cameras),
        meal=later_meal(old.meal) if old.meal is not None else None,
        earlier_meals=tuple(later_meal(meal) for meal in old.earlier_meals),
        closed=tuple((since + by_s, till + by_s) for since, till in old.closed),
        horizon_s=old.horizon_s + by_s if old.horizon_s is not None else None,
        begins=old.begins - timedelta(seconds=by_s) if old.begins is not None else None,
    )
    return replace(rest, plan_input=plan_input, days=rest.days.later(by_s))


def look_in_id(activity: str, number: int) -> str:
    """Return the id of the activity that stands for the ``number``-th looking in on something that runs."""
    return f"{activity}~look {number}"


def rest_of(plan_input: PlanInput, known: Happened, now_s: int) -> Rest:
    """
    Return the rest of the day from ``now_s``.

    Parameters
    ----------
    plan_input
        The whole day.
    known
        What happened until now.
    now_s
        This moment, not before the start of the day.
    """
    return _Builder(plan_input, known, now_s, RestFilm(plan_input, known.facts, now_s)).build()


@dataclass(slots=True)
class _Builder:
    input: PlanInput
    known: Happened
    now_s: int
    film: RestFilm
    activities: list[Activity] = field(default_factory=list)
    lags: list[Lag] = field(default_factory=list)
    hard: set[int] = field(default_factory=set)
    occupations: list[Occupation] = field(default_factory=list)
    looks: dict[str, str] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    ends_at: dict[str, str] = field(default_factory=dict)

    def build(self) -> Rest:
        self.activities.append(
            Activity(
                id=NOW,
                kind=ActivityKind.LEAVE,
                short_s=0,
                long_s=0,
                label="now",
                release_s=self.now_s,
                deadline_s=self.now_s,
            )
        )
        ovens = RestOvens(self.input, self.known.facts, self.now_s).states()
        self.ends_at, self.notes = ovens.ends_at, ovens.notes
        self.activities += ovens.heats
        for activity in self.input.activities:
            self._add(activity, ovens)
        for lag in ovens.lags:
            self._hard(lag)
        for lag in self.input.lags:
            self._carry(lag)
        for held in self.input.occupations:
            self._hold(held)
        self._fit_in_what_there_is()
        days = days_of(self.input, self.known.facts, self.now_s, ovens.again)
        heats = {self.ends_at[name] for name in days.going_on if name in self.ends_at}
        days = replace(days, overnight=days.overnight | heats, going_on=days.going_on | heats)
        self.notes += days.notes
        plan_input = replace(
            self.input,
            activities=tuple(replace(item, may_run_closed=item.id in days.overnight) for item in self.activities),
            lags=tuple(self.lags),
            occupations=tuple(self.occupations),
            workers=tuple(self._worker(worker) for worker in self.input.workers),
            closed=days.closed,
            day_rules=days.rules,
            horizon_s=days.ends_s,
            cameras=self.film.cameras(),
            meal=self.film.meal(),
            earlier_meals=self.film.earlier_meals(),
            heroes=tuple(name for name in self.input.heroes if name in {item.id for item in self.activities}),
        )
        soft = [n for n, lag in enumerate(self.lags) if lag.at_most_s is not None and n not in self.hard]
        return Rest(plan_input=plan_input, soft=tuple(soft), look_ins=self.looks, notes=self.notes, days=days)

    def _hard(self, lag: Lag) -> None:
        self.hard.add(len(self.lags))
        self.lags.append(lag)

    # ------------------------------------------------------------------------------------------------ activities

    def _add(self, activity: Activity, ovens: OvenStates) -> None:
        fact = self.known.facts.get(activity.id)
        if fact is not None and fact.is_done:
            return
        if activity.kind is ActivityKind.HEAT and fact is not None:
            return
        oven = ovens.of(activity)
        told_s = self.known.releases.get(activity.id, 0)
        release_s = max(self.now_s, told_s, activity.release_s, self.film.from_s(activity))
        ahead = replace(activity, release_s=release_s, deadline_s=None, oven=oven)
        if self._is_swapped(activity):
            self.activities.append(
                replace(
                    ahead,
                    kind=ActivityKind.LEAVE,
                    short_s=0,
                    long_s=0,
                    needs=(),
                    oven=None,
                    look_in=None,
                    workers=(),
                    release_s=self.now_s,
                )
            )
            return
        if fact is None:
            self.activities.append(ahead)
        elif fact.is_waiting:
            short = min(activity.short_s, fact.left_s)
            self.activities.append(replace(ahead, short_s=short, long_s=fact.left_s, release_s=self.now_s))
        else:
            running = self.film.running(replace(ahead, release_s=self.now_s, is_pausable=False))
            self._goes_on(running, fact)
        if activity.deadline_s is not None:
            rule = f"{activity.label or activity.id} is done by its deadline"
            until = activity.deadline_s - self.now_s
            self.lags.append(_to_end(activity.id, until, rule, activity))

    def _is_swapped(self, activity: Activity) -> bool:
        run = activity.id.split("#")[0]
        is_wait = activity.kind is not ActivityKind.HANDS
        is_told = is_wait and bool({run, activity.id} & self.known.swapped)
        if activity.kind is not ActivityKind.HEAT or not is_told:
            return is_told
        # An oven is heated all the same while something is to be baked in it.
        bakes = [item for item in self.input.activities if item.oven is not None and item.oven.heat == activity.id]
        return all(self._is_swapped(bake) for bake in bakes)

    def _goes_on(self, activity: Activity, fact: Fact) -> None:
        """Add what runs: it goes on now until its expected end, looked in on at its moments."""
        left = fact.end_s - self.now_s
        short = min(left, max(0, activity.short_s - (self.now_s - fact.start_s)))
        workers = (fact.worker,) if fact.worker else ()
        self.activities.append(replace(activity, short_s=short, long_s=left, workers=workers, look_in=None))
        self._hard(at_once(activity.id))
        look = activity.look_in
        if look is None or not activity.workers:
            return
        offsets = look.offsets(fact.end_s - fact.start_s)
        for number, offset in enumerate(offsets, start=1):
            wait = fact.start_s + offset - self.now_s
            if wait >= 0:
                self._look_in(activity, number, wait, look.for_s)
        self._missed(activity, look, [fact.start_s + offset for offset in offsets])

    def _missed(self, activity: Activity, look: LookInTask, due_s: list[int]) -> None:
        """Say which look-ins are due and not logged, and look in once as soon as hands allow, unless one is due now."""
        looked = self.known.looked.get(activity.id.split("#")[0], [])
        past = [moment for moment in due_s if moment < self.now_s]
        # Whoever looked in half an interval early or later than that did look in.
        missed = [moment for moment in past if not any(at >= moment - look.every_s // 2 for at in looked)]
        if not missed:
            return
        label, ago = activity.label or activity.id, minutes(self.now_s - missed[-1])
        count = "a look-in is" if len(missed) == 1 else f"{len(missed)} look-ins are"
        self.notes.append(f"{label}: {count} not logged, due {ago} ago; look in as soon as hands are free")
        if self.now_s not in due_s:
            self._look_in(activity, len(past), 0, look.for_s)

    def _look_in(self, activity: Activity, number: int, wait_s: int, for_s: int) -> None:
        name = look_in_id(activity.id, number)
        self.looks[name] = activity.id
        label = f"{activity.label or activity.id}: look in"
        looking = replace(
            activity, id=name, kind=ActivityKind.HANDS, short_s=for_s, long_s=for_s, needs=(), oven=None, look_in=None
        )
        self.activities.append(replace(looking, label=label))
        rule = f"{label} in time"
        self.lags.append(Lag(predecessor=NOW, successor=name, at_least_s=wait_s, at_most_s=wait_s, rule=rule))

    # ------------------------------------------------------------------------------------------------ lags

    def _moment(self, activity: str, anchor: Anchor) -> int | None:
        """Return a moment that is known, ``None`` while it lies ahead."""
        fact = self.known.facts.get(activity)
        if fact is None or (anchor is Anchor.END and not fact.is_done):
            return None
        return fact.start_s if anchor is Anchor.START else fact.end_s

    def _carry(self, lag: Lag) -> None:
        """Carry a lag over: moments that are known are counted from now; between two of them nothing is left to do."""
        before = self._moment(lag.predecessor, lag.predecessor_anchor)
        after = self._moment(lag.successor, lag.successor_anchor)
        if before is not None and after is not None:
            return
        at_most_s = lag.at_most_s
        if at_most_s is not None and self._stands_in(lag):
            at_most_s = None
        carried = replace(lag, at_most_s=at_most_s, predecessor=self._end_of(lag.predecessor))
        carried = replace(carried, successor=self._end_of(lag.successor))
        if before is not None:
            carried = _from_now(carried, before - self.now_s)
        elif after is not None:
            carried = _until_now(carried, after - self.now_s)
        if _says_something(carried):
            self.lags.append(carried)

    def _end_of(self, activity: str) -> str:
        return self.ends_at.get(activity, activity)

    def _stands_in(self, lag: Lag) -> bool:
        """A limit on what goes into a wait means nothing where a dish made earlier stands in for the wait."""
        run = lag.successor.split("#")[0]
        is_wait = next(item for item in self.input.activities if item.id == lag.successor).kind
        return run in self.known.swapped and is_wait is not ActivityKind.HANDS

    # ------------------------------------------------------------------------------------------------ things held

    def _hold(self, held: Occupation) -> None:
        first, last = self.known.facts.get(held.first), self.known.facts.get(held.last)
        if last is not None and last.is_done:
            washed = last.end_s + held.after_s - self.now_s
            if first is not None and washed > 0:
                self.occupations.append(replace(held, first=NOW, last=NOW, after_s=washed))
            return
        begins = NOW if first is not None else held.first
        self.occupations.append(replace(held, first=begins, last=self._end_of(held.last)))

    def _fit_in_what_there_is(self) -> None:
        """Where more is in use now than the kitchen has, what came last is not counted: it is there all the same."""
        for resource in self.input.resources:
            left = resource.capacity
            for number, held in enumerate(self.occupations):
                if held.resource == resource.id and self._is_begun(held.first):
                    left -= held.count
                    if left < 0:
                        self._say_more(resource.label or resource.id)
                        self.occupations[number] = replace(held, count=0)
                        left += held.count
            for number, activity in enumerate(self.activities):
                count = sum(count for name, count in activity.needs if name == resource.id)
                if count and self._is_begun(activity.id):
                    left -= count
                    if left < 0:
                        self._say_more(resource.label or resource.id)
                        kept = tuple(need for need in activity.needs if need[0] != resource.id)
                        self.activities[number] = replace(activity, needs=kept)
                        left += count
        self.occupations = [held for held in self.occupations if held.count]

    def _is_begun(self, activity: str) -> bool:
        fact = self.known.facts.get(activity)
        return activity == NOW or (fact is not None and not fact.is_waiting)

    def _say_more(self, label: str) -> None:
        self.notes.append(f"more of {label} is in use than the kitchen file has")

    # ------------------------------------------------------------------------------------------------ people

    def _worker(self, worker: Worker) -> Worker:
        """A person who is still at work goes on a break after that; the break keeps its length."""
        busy = [
            fact.end_s
            for fact in self.known.facts.values()
            if fact.worker == worker.name and not fact.is_done and not fact.is_waiting
        ]
        until = max([self.now_s, *busy])
        away = []
        for since, till in worker.away:
            if till <= self.now_s:
                continue
            late = max(0, until - since) if busy and since < until else 0
            away.append((since + late, self._back_s(till) + late))
        return replace(worker, away=tuple(away))

    def _back_s(self, till_s: int) -> int:
        """Return when somebody is back: who leaves before the others is not called back for work after closing."""
        return dict(self.input.closed).get(till_s, till_s)


# ---------------------------------------------------------------------------------------------------- small pieces


def _to_end(activity: str, within_s: int, rule: str, source: Activity) -> Lag:
    return Lag(
        predecessor=NOW,
        successor=activity,
        at_least_s=None,
        at_most_s=within_s,
        successor_anchor=Anchor.END,
        rule=rule,
        span=source.span,
    )


def _from_now(lag: Lag, before_s: int) -> Lag:
    """Return a lag whose first moment lies ``before_s`` from now (mostly below 0)."""
    at_least = lag.at_least_s + before_s if lag.at_least_s is not None else None
    at_most = lag.at_most_s + before_s if lag.at_most_s is not None else None
    at_least = at_least if at_least is not None and at_least > 0 else None
    return replace(lag, predecessor=NOW, predecessor_anchor=Anchor.END, at_least_s=at_least, at_most_s=at_most)


def _until_now(lag: Lag, after_s: int) -> Lag:
    """Return a lag whose second moment lies ``after_s`` from now, seen from the first, which is still ahead."""
    at_most = after_s - lag.at_least_s if lag.at_least_s is not None else None
    at_least = after_s - lag.at_most_s if lag.at_most_s is not None else None
    return replace(
        lag,
        predecessor=NOW,
        predecessor_anchor=Anchor.END,
        successor=lag.predecessor,
        successor_anchor=lag.predecessor_anchor,
        at_least_s=at_least if at_least is not None and at_least > 0 else None,
        at_most_s=at_most,
    )


def _says_something(lag: Lag) -> bool:
    return lag.at_least_s is not None or lag.at_most_s is not None
