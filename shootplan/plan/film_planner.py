"""
The planner of the filmed day: pick-ups, the shortest wrap, the meal, then what was asked for, each in its own phase.

A resolved episode comes in, a verified ``FilmedPlan`` goes out. Never one weighted sum: each phase keeps what those
before it reached, and says whether it is proven.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import field, replace
from functools import partial
from typing import TYPE_CHECKING

from shootplan.model.filming import Meal, PickUp, PickUps, SolvePhase
from shootplan.model.planning import Activity, ActivityKind, PlanInput, Schedule, SolveResult, SolveStatus
from shootplan.model.resolved import ResolvedEpisode
from shootplan.plan.cp_rerigs import tie_rules
from shootplan.plan.film_food import broken_food_limits, food_limits
from shootplan.plan.film_pickups import clash_conflicts, find_pick_ups
from shootplan.plan.film_search import fit_in_dishes, made_shorter
from shootplan.plan.film_tasks import build_filmed_plan
from shootplan.plan.films import camera_work
from shootplan.plan.fixed_order import fixed_network, fixed_order
from shootplan.plan.graph import EdgeKind, Ends, PositiveCycle
from shootplan.plan.keeping import Keep, made_anew
from shootplan.plan.planner import Progress, bound_of, explained, heats_late, horizon_of, is_sound
from shootplan.plan.task_lags import minutes
from shootplan.plan.task_people import seconds_of_day
from shootplan.plan.verify import verify
from shootplan.problems import Conflict, InfeasiblePlan
from shootplan.records import dataclass

if TYPE_CHECKING:
    from shootplan.plan.cp_sat import Limits, Model, Outcome

__all__ = [
    "AIMS",
    "FILM_BUDGET",
    "FilmedPlan",
    "filmed_day_input",
    "is_countable",
    "notes_of",
    "plan_filmed_day",
    "solve_filmed",
    "time_to_wrap",
]

#: Deterministic time units for all phases of a filmed day together; one is 1.5 to 4 s on the machines measured.
FILM_BUDGET = 20.0
#: What may be asked for after the shortest wrap: the word for it and its unit.
AIMS = {"rerigs": "re-rigs", "camera": "camera needed", "fresh": "standing before it is plated"}
_SHARES = {
    "pick-ups": 0.075, "easy": 0.02, "fewest": 0.5, "set-ups": 0.15, "wrap": 0.25, "rest": 0.1, "stretch": 0.006,
    "dish": 0.05, "proof": 0.075, "aim": 0.06, "early": 0.015,
}  # fmt: skip
#: A model with more rules than this for the ties of its set-ups proves nothing in the budget (here 56 shots: 31,812).
_MOST_RULES = 100_000
_MEAL = "#meal"


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmedPlan:
    """What was planned for the filmed day, the answer, and the shots that are picked up."""

    plan_input: PlanInput
    result: SolveResult
    pick_ups: tuple[PickUp, ...] = ()


def plan_filmed_day(
    resolved: ResolvedEpisode,
    *,
    aims: Sequence[str] = ("rerigs",),
    budget: float = FILM_BUDGET,
    workers: int = 1,
    progress: Progress | None = None,
    with_options: bool = False,
    pick_ups: tuple[PickUp, ...] | None = None,
    keep: Keep = made_anew,
    is_explained: bool = True,
) -> FilmedPlan:
    """
    Return the filmed day of an episode.

    Parameters
    ----------
    resolved
        The episode.
    aims
        What is asked for after the shortest wrap, in order: keys of ``AIMS``.
    budget
        Deterministic time units of the solver for everything; the same budget gives the same plan on every machine.
    workers
        Solver threads; more than one may give another plan from run to run.
    progress
        Called with a few words as plans are found.
    with_options
        Whether optional steps are planned.
    pick_ups
        The shots that are picked up later, ``None`` to look for the fewest.
    keep
        Where what was solved is kept for another run; the usual keeps nothing.
    is_explained
        Whether the rules that clash are looked for where there is no plan, which takes longer than to know that.

    Raises
    ------
    InfeasiblePlan
        If no plan keeps all rules, the latest wrap included.
    RuntimeError
        If a plan breaks a rule: a bug of ours.
    """
    tell = progress or (lambda words: None)
    kitchen = resolved.episode.kitchen
    plan_input = _filmed_input(resolved, with_options=with_options)
    limit_s = time_to_wrap(resolved)
    phases: list[SolvePhase] = []
    bound_of(plan_input if not kitchen.pick_ups else _unfilmed(plan_input))
    if not kitchen.pick_ups and (clashing := clash_conflicts(plan_input)):
        raise InfeasiblePlan(clashing)
    if kitchen.pick_ups and pick_ups is None:
        tell("looking for shots that cannot be taken live")
        found = _pick_ups_of(plan_input, _SHARES["pick-ups"] * budget, limit_s, keep)
        pick_ups = found.shots
        phases.append(SolvePhase(name="shots to pick up", value=len(pick_ups), unit="", is_proven=found.is_proven))
    pick_ups = pick_ups or ()
    plan_input = _filmed_input(resolved, pick_ups=pick_ups, with_options=with_options)
    meal = Meal(activity="", length_s=kitchen.meal_s, within_s=kitchen.meal_within_s, from_s=kitchen.meal_within_s // 2)
    plan_input = with_earlier_meals(replace(plan_input, meal=meal), resolved)

    def solved() -> SolveResult:
        return solve_filmed(
            plan_input,
            aims=aims,
            budget=budget,
            workers=workers,
            progress=tell,
            latest_s=limit_s,
            is_explained=is_explained,
        )[1]

    settings = f"filmed {tuple(aims)} {budget} {limit_s}"
    result = keep(plan_input, settings, solved, lambda kept: is_sound(_as_solved(plan_input, kept), kept))
    plan_input = _as_solved(plan_input, result)
    notes = (*notes_of(resolved, plan_input, result.schedule), *result.notes)
    result = replace(result, phases=(*phases, *result.phases), notes=notes)
    return FilmedPlan(plan_input=plan_input, result=result, pick_ups=pick_ups)


def _pick_ups_of(plan_input: PlanInput, budget: float, limit_s: int | None, keep: Keep) -> PickUps:
    names = {(item.recipe, item.step) for item in plan_input.activities if item.film is not None}
    return keep(
        plan_input,
        f"pick-ups {budget} {limit_s}",
        lambda: find_pick_ups(plan_input, budget=budget, horizon_s=limit_s),
        lambda kept: all((shot.recipe, shot.step) in names for shot in kept.shots),
    )


def _as_solved(plan_input: PlanInput, result: SolveResult) -> PlanInput:
    """Return the input of a result: with the meal break where the plan has one."""
    placed = result.schedule.assignments if result.schedule is not None else ()
    return _with_meal(plan_input) if any(item.activity == _MEAL for item in placed) else plan_input


def notes_of(resolved: ResolvedEpisode, plan_input: PlanInput, schedule: Schedule | None) -> tuple[str, ...]:
    """Return what is to be said of a plan: limits of food safety that it breaks, portions for further takes."""
    broken = broken_food_limits(food_limits(plan_input, resolved), schedule) if schedule is not None else ()
    return (*broken, *_portions(resolved, plan_input))


def _portions(resolved: ResolvedEpisode, plan_input: PlanInput) -> tuple[str, ...]:
    """Say of which shots each take needs a portion of its own: those on heat and those that are done once (T9)."""
    filmed = {(item.recipe, item.step): item for item in plan_input.activities if item.film is not None}
    found = []
    for recipe in resolved.recipes:
        for step in recipe.recipe.steps:
            item = filmed.get((recipe.id, step.id))
            if item is None or step.shot is None or step.shot.takes < 2:
                continue
            if step.is_on_heat or not step.shot.is_repeatable:
                found.append(f"{recipe.id}: {step.name} has {step.shot.takes} takes: prepare a portion for each")
    return tuple(found)


def _filmed_input(
    resolved: ResolvedEpisode, *, pick_ups: tuple[PickUp, ...] = (), with_options: bool = False
) -> PlanInput:
    """Return the filmed plan, with the limits of food safety where the kitchen file makes them rules."""
    plan_input = build_filmed_plan(resolved, pick_ups=pick_ups, with_options=with_options)
    if not resolved.episode.kitchen.keeps_food_limits:
        return plan_input
    return replace(plan_input, lags=(*plan_input.lags, *food_limits(plan_input, resolved)))


def filmed_day_input(
    resolved: ResolvedEpisode, *, pick_ups: tuple[PickUp, ...], has_meal: bool, with_options: bool = False
) -> PlanInput:
    """Return the planner's input of a filmed day whose pick-ups are known, with its break if there is one."""
    kitchen = resolved.episode.kitchen
    plan_input = _filmed_input(resolved, pick_ups=pick_ups, with_options=with_options)
    meal = Meal(activity="", length_s=kitchen.meal_s, within_s=kitchen.meal_within_s, from_s=kitchen.meal_within_s // 2)
    plan_input = with_earlier_meals(replace(plan_input, meal=meal), resolved)
    return _with_meal(plan_input) if has_meal else plan_input


def solve_filmed(
    plan_input: PlanInput,
    *,
    aims: Sequence[str] = (),
    budget: float = FILM_BUDGET,
    workers: int = 1,
    progress: Progress | None = None,
    latest_s: int | None = None,
    is_explained: bool = True,
) -> tuple[PlanInput, SolveResult]:
    """
    Return the shortest filmed day with its input, to which the meal break was added if it is due.

    Parameters
    ----------
    plan_input
        What is to be planned; its ``meal`` is the rule, not yet an activity.
    aims
        What is asked for after the shortest wrap, in order: keys of ``AIMS``.
    budget
        Deterministic time units of the solver for everything.
    workers
        Solver threads.
    progress
        Called with a few words as plans are found.
    latest_s
        Seconds from call to the latest wrap, ``None`` for no limit.
    is_explained
        Whether the rules that clash are looked for where there is no plan.

    Raises
    ------
    InfeasiblePlan
        If no plan keeps all rules.
    """
    nobody = _shots_of_nobody(plan_input)
    if nobody:
        raise InfeasiblePlan(nobody)
    run = _Run(plan_input, tuple(aims), budget, workers, progress or (lambda words: None), latest_s, is_explained)
    return run.solve()


def _shots_of_nobody(plan_input: PlanInput) -> tuple[Conflict, ...]:
    """Return the filmed work that is only for people who may not be in the picture."""
    words = "is filmed, and only a presenter's hands may be in the picture"
    return tuple(
        Conflict(rule=f"{item.label or item.id} {words}", span=item.span)
        for item in plan_input.activities
        if item.film is not None and not item.workers and item.kind in (ActivityKind.HANDS, ActivityKind.WATCH)
    )


def time_to_wrap(resolved: ResolvedEpisode) -> int | None:
    """Return the seconds from call to the latest wrap, the strike not in them; ``None`` where nothing limits them."""
    episode = resolved.episode
    latest = episode.latest_wrap or episode.kitchen.latest_wrap
    if latest is None or episode.days:
        return None
    left_s = seconds_of_day(latest) - seconds_of_day(episode.call_time) - episode.kitchen.strike_s
    return left_s if left_s > 0 else None


def with_earlier_meals(plan_input: PlanInput, resolved: ResolvedEpisode) -> PlanInput:
    """Return the plan with a break on each long day before the last, whose own is due only if it gets long."""
    episode, rule = resolved.episode, plan_input.meal
    if not episode.days or rule is None:
        return plan_input
    meals = [
        replace(rule, activity=f"{_MEAL} {number}", from_s=opens_s + rule.from_s, within_s=opens_s + rule.within_s)
        for number, (opens_s, closes_s) in enumerate(episode.staffed_s, start=1)
        if closes_s - opens_s > rule.within_s and number < len(episode.days)
    ]
    last_s = episode.staffed_s[-1][0]
    return replace(
        plan_input,
        activities=(*plan_input.activities, *(_break(meal, meal.activity) for meal in meals)),
        earlier_meals=tuple(meals),
        meal=replace(rule, from_s=last_s + rule.from_s, within_s=last_s + rule.within_s),
    )


def _unfilmed(plan_input: PlanInput) -> PlanInput:
    """Return the plan without its recordings: what must be possible before any camera is looked at."""
    bare = tuple(replace(item, film=None) for item in plan_input.activities)
    return replace(plan_input, activities=bare, cameras=())


def _with_meal(plan_input: PlanInput) -> PlanInput:
    rule = plan_input.meal
    if rule is None:
        return plan_input
    activities = (*plan_input.activities, _break(rule, _MEAL))
    return replace(plan_input, activities=activities, meal=replace(rule, activity=_MEAL))


def _break(rule: Meal, name: str) -> Activity:
    return Activity(
        id=name,
        kind=ActivityKind.BREAK,
        short_s=rule.length_s,
        long_s=rule.length_s,
        label="the meal break",
        release_s=rule.from_s,
        deadline_s=rule.within_s + rule.length_s,
    )


@dataclass(slots=True)
class _Run:
    """One run through the phases."""

    input: PlanInput
    aims: tuple[str, ...]
    budget: float
    workers: int
    tell: Callable[[str], None]
    latest_s: int | None
    is_explained: bool = True
    bound_s: int = 0
    least_rerigs: int = 0
    is_stopped: bool = False
    phases: list[SolvePhase] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def solve(self) -> tuple[PlanInput, SolveResult]:
        best = self._shortest()
        rule = self.input.meal
        if best is None or (rule is not None and best.makespan_s > rule.within_s):
            without_s = self.bound_s
            self.input = _with_meal(self.input)
            best = self._shortest(at_least_s=without_s)
            if rule is not None and without_s <= rule.within_s:
                self.bound_s = without_s
        if best is None:
            return self.input, self._nothing()
        if self.latest_s is not None and best.makespan_s > self.latest_s:
            raise InfeasiblePlan((self._overrun(best),))
        is_proven = best.makespan_s <= self.bound_s
        self.phases.append(SolvePhase(name="wrap", value=best.makespan_s, unit="s", is_proven=is_proven))
        for aim in self.aims:
            best = self._aim(best, aim)
        return self.input, self._answer(self._early(best))

    def _nothing(self) -> SolveResult:
        return SolveResult(
            status=SolveStatus.UNKNOWN,
            schedule=None,
            bound_s=self.bound_s,
            engine="cp-sat",
            notes=("no plan was found in the time allowed",),
            is_stopped=self.is_stopped,
        )

    # ------------------------------------------------------------------------------------------------ the phases

    def _shortest(self, at_least_s: int = 0) -> Schedule | None:
        """Phase 1: the shortest day within the latest wrap, else the shortest at all, to say by how much it is over."""
        self.bound_s = max(at_least_s, bound_of(self.input), self._recorded_s(self.least_rerigs))
        horizon = horizon_of(self.input)
        limits = [min(horizon, self.latest_s)] if self.latest_s is not None and self.latest_s >= self.bound_s else []
        for upper in (*limits, horizon):
            outcome = self._within(upper)
            if outcome.schedule is not None:
                self.bound_s = max(self.bound_s, outcome.bound)
                return self._shorter(outcome.schedule)
            if outcome.status is SolveStatus.INFEASIBLE and upper == horizon:
                raise InfeasiblePlan(explained(self.input) if self.is_explained else ())
            # What was proven of days within the latest wrap holds for no longer one.
            is_none = outcome.status is SolveStatus.INFEASIBLE
            self.bound_s = upper + 1 if is_none else min(self.bound_s, upper + 1)
            self.least_rerigs = 0
            if self.is_stopped:
                break
        return None

    def _within(self, upper_s: int) -> Outcome:
        """Return the shortest day within so many seconds: at once if easy, else dish by dish, then by its set-ups."""
        easy = self._wrapped(upper_s, "easy")
        if self.is_stopped or easy.status in (SolveStatus.OPTIMAL, SolveStatus.INFEASIBLE):
            return easy
        self.bound_s = max(self.bound_s, min(easy.bound, upper_s))
        plans, last = [easy.schedule, self._dish_by_dish(upper_s)], "wrap"
        if self._is_countable():
            last = "rest"
            fewest = self._fewest(upper_s, _shortest_of(plans))
            if fewest.status is SolveStatus.INFEASIBLE:
                return fewest
            plans.append(fewest.schedule)
            if fewest.schedule is not None:
                few = self._wrapped(upper_s, "set-ups", start=fewest.schedule, most=fewest.value)
                self._bound_by(fewest, few)
                plans.append(few.schedule)
        best = _shortest_of(plans)
        if not self.is_stopped and (best is None or best.makespan_s > self.bound_s):
            known_s = best.makespan_s if best is not None else upper_s + 1
            rest = self._wrapped(known_s - 1, last, start=best)
            is_none = rest.status is SolveStatus.INFEASIBLE
            self.bound_s = known_s if is_none else max(self.bound_s, min(rest.bound, known_s))
            if is_none and best is None:
                return rest
            best = rest.schedule or best
        return replace(easy, schedule=best, bound=self.bound_s)

    def _is_countable(self) -> bool:
        return is_countable(self.input)

    def _wrapped(self, upper_s: int, phase: str, *, start: Schedule | None = None, most: int | None = None) -> Outcome:
        """Ask for the shortest day, from a plan that is known, and with so many re-rigs at most if that is said."""
        from shootplan.plan.cp_sat import Model

        model = Model(self.input, min(self.bound_s, upper_s), upper_s)
        if start is not None:
            model.hint(start)
        if most is not None:
            model.with_rerigs(self.least_rerigs, most)
        model.shortest()
        return self._outcome(model, self._limits(phase), self.tell)

    def _fewest(self, upper_s: int, start: Schedule | None) -> Outcome:
        """Ask for the fewest re-rigs of any day within so many seconds, and remember what they say of the wrap."""
        from shootplan.plan.cp_sat import Model

        self.tell("looking for the fewest re-rigs")
        model = Model(self.input, min(self.bound_s, upper_s), upper_s)
        if start is not None:
            model.hint(start)
        model.aim("rerigs", start)
        outcome = self._outcome(model, replace(self._limits("fewest"), linearization=1, is_thorough=True))
        self.least_rerigs = max(self.least_rerigs, outcome.value_bound)
        self.bound_s = max(self.bound_s, self._recorded_s(self.least_rerigs))
        return outcome

    def _outcome(self, model: Model, limits: Limits, tell: Progress | None = None) -> Outcome:
        outcome = model.solve(limits, tell)
        self.is_stopped = self.is_stopped or outcome.is_stopped
        return outcome

    def _recorded_s(self, rerigs: int) -> int:
        """Return a bound: a camera that alone is moved needs its recordings and so many re-rigs, one after another."""
        moved = [work for work in camera_work(self.input) if work.least_move_s]
        return moved[0].least_s(rerigs) if len(moved) == 1 else 0

    def _bound_by(self, fewest: Outcome, found: Outcome) -> None:
        """Raise the bound where the fewest re-rigs, and the shortest day with so many, are both proven."""
        if fewest.status is not SolveStatus.OPTIMAL:
            return
        with_more_s = self._recorded_s(fewest.value + 1)
        if found.status is SolveStatus.OPTIMAL and found.schedule is not None:
            self.bound_s = max(self.bound_s, min(found.schedule.makespan_s, with_more_s))

    def _shorter(self, schedule: Schedule) -> Schedule:
        """Make stretches of a plan anew where it is not proven the shortest."""
        if schedule.makespan_s <= self.bound_s or self.is_stopped:
            return schedule
        self.tell("making stretches of the day anew")
        return made_shorter(self.input, schedule, self._solved, least_s=self.bound_s)

    def _dish_by_dish(self, upper_s: int) -> Schedule | None:
        """Return a plan that is soon there however large the day, if it keeps within the time."""
        self.tell("fitting in one dish after the other")
        found = fit_in_dishes(self.input, partial(self._solved, phase="dish"))
        return found if found is not None and found.makespan_s <= upper_s else None

    def _solved(
        self, plan_input: PlanInput, orders: list[tuple[str, str]], upper_s: int, *, phase: str = "stretch"
    ) -> Schedule | None:
        from shootplan.plan.cp_sat import Model

        if self.is_stopped:
            return None
        model = Model(plan_input, 0, upper_s)
        model.in_order(orders)
        model.shortest()
        outcome = model.solve(self._limits(phase))
        self.is_stopped = self.is_stopped or outcome.is_stopped
        return outcome.schedule

    def _overrun(self, best: Schedule) -> Conflict:
        assert self.latest_s is not None
        over = minutes(best.makespan_s - self.latest_s)
        proof = "no plan ends" if self.bound_s > self.latest_s else "no plan was found that ends"
        rule = f"{proof} by the latest wrap, {minutes(self.latest_s)} after call: the shortest found is {over} over"
        return Conflict(rule=rule)

    def _aim(self, best: Schedule, aim: str) -> Schedule:
        """Ask for one thing more, with the wrap and what was asked before kept."""
        is_rerigs = aim == "rerigs"
        if is_rerigs and self._value(best, aim) <= self.least_rerigs:
            self.phases.append(SolvePhase(name=AIMS[aim], value=self.least_rerigs, unit="", is_proven=True))
            return best
        if is_rerigs and not self._is_countable():
            value = self._value(best, aim)
            self.phases.append(SolvePhase(name=AIMS[aim], value=value, unit="", is_proven=not value))
            return best
        outcome = self._asked(best, aim, "proof" if is_rerigs else "aim")
        found = outcome.schedule or best
        if is_rerigs and outcome.status is not SolveStatus.OPTIMAL:
            # On a large day the relaxation that proves takes too long; without it more is found in the same time.
            outcome = self._asked(found, aim, "aim")
            found = outcome.schedule or found
        self.phases.append(
            SolvePhase(
                name=AIMS[aim],
                value=self._value(found, aim),
                unit="" if aim == "rerigs" else "s",
                is_proven=outcome.status is SolveStatus.OPTIMAL,
            )
        )
        return found

    def _asked(self, best: Schedule, aim: str, phase: str) -> Outcome:
        from shootplan.plan.cp_sat import Model

        model = Model(self.input, min(self.bound_s, best.makespan_s), best.makespan_s)
        model.hint(best)
        for earlier in self.aims[: self.aims.index(aim)]:
            model.keep(earlier, self._value(best, earlier), best)
        model.aim(aim, best)
        limits = self._limits(phase, share_of=len(self.aims))
        outcome = model.solve(replace(limits, linearization=1) if phase == "proof" else limits)
        self.is_stopped = self.is_stopped or outcome.is_stopped
        return outcome

    def _value(self, schedule: Schedule, aim: str) -> int:
        """Return what a schedule reaches: counted from the schedule, not taken from the solver."""
        placed = {item.activity: item for item in schedule.assignments}
        if aim == "rerigs":
            return rerig_count(self.input, schedule)
        if aim == "camera":
            return sum(
                max(placed[item.id].end_s for item in work.shots) - min(placed[item.id].start_s for item in work.shots)
                for work in camera_work(self.input)
            )
        return sum(
            placed[lag.successor].start_s - placed[lag.predecessor].end_s
            for lag in self.input.lags
            if lag.successor in self.input.heroes and lag.at_least_s is not None and lag.at_least_s >= 0
        )

    def _early(self, best: Schedule) -> Schedule:
        """Last phase: early starts, with everything reached so far kept, within a small budget."""
        from shootplan.plan.cp_sat import Model

        model = Model(self.input, min(self.bound_s, best.makespan_s), best.makespan_s)
        model.hint(best)
        for aim in self.aims:
            model.keep(aim, self._value(best, aim), best)
        model.earliest_starts()
        outcome = model.solve(self._limits("early"))
        self.is_stopped = self.is_stopped or outcome.is_stopped
        return outcome.schedule or best

    def _limits(self, phase: str, share_of: int = 1) -> Limits:
        from shootplan.plan.cp_sat import Limits

        budget = 0.01 if self.is_stopped else _SHARES[phase] * self.budget / share_of
        return Limits(budget=budget, workers=self.workers)

    # ------------------------------------------------------------------------------------------------ the answer

    def _answer(self, best: Schedule) -> SolveResult:
        """
        Move everything as early as the orders allow, heats as late as their bakes allow, and run the short end.

        Where moving would lose what was asked for (plates stand longer), the plan stays as the solver left it.
        """
        early = fixed_order(self.input, best, ends=Ends.LONG)
        if early is None:
            raise RuntimeError("a sound plan cannot keep its own orders")
        if any(self._value(early, aim) > self._value(best, aim) for aim in self.aims):
            early = best
        self._check(early)
        short = self._short(early)
        long = heats_late(self.input, early)
        is_proven = long.makespan_s <= self.bound_s
        return SolveResult(
            status=SolveStatus.OPTIMAL if is_proven else SolveStatus.FEASIBLE,
            schedule=long,
            bound_s=min(self.bound_s, long.makespan_s),
            engine="cp-sat",
            short_schedule=short,
            notes=tuple(self.notes),
            phases=tuple(self._reached(phase, long) for phase in self.phases),
            least_rerigs=self.least_rerigs,
            is_stopped=self.is_stopped,
        )

    def _reached(self, phase: SolvePhase, schedule: Schedule) -> SolvePhase:
        """Return a phase with what the plan that is given reaches: moving it early may have made it better still."""
        if phase.name == "wrap":
            return replace(phase, value=schedule.makespan_s, is_proven=schedule.makespan_s <= self.bound_s)
        aim = next(key for key, words in AIMS.items() if words == phase.name)
        return replace(phase, value=self._value(schedule, aim))

    def _short(self, schedule: Schedule) -> Schedule | None:
        """Run the plan with everything at its short end; where a limit breaks there, say which."""
        try:
            fixed_network(self.input, schedule, ends=Ends.SHORT).earliest()
        except PositiveCycle as cycle:
            limits = [edge for edge in cycle.edges if edge.kind is EdgeKind.LIMIT]
            limits.sort(key=lambda edge: edge.weight_s == 0)  # one that gives room first, "at once" after
            words = limits[0].reason if limits else "a limit"
            self.notes.append(f"if everything takes its short end, this order breaks: {words}")
            return None
        short = fixed_order(self.input, schedule, ends=Ends.SHORT)
        return short if short is not None and not verify(self.input, short, is_short=True) else None

    def _check(self, schedule: Schedule) -> None:
        broken = verify(self.input, schedule)
        if broken:
            raise RuntimeError(f"the planner broke a rule ({broken[0].rule}): {broken[0].message}")


def _shortest_of(plans: Iterable[Schedule | None]) -> Schedule | None:
    return min((plan for plan in plans if plan is not None), key=lambda plan: plan.makespan_s, default=None)


def is_countable(plan_input: PlanInput) -> bool:
    """Return whether a camera is moved at all, and the model that counts how often is not too large to be solved."""
    return any(work.least_move_s for work in camera_work(plan_input)) and tie_rules(plan_input) <= _MOST_RULES


def rerig_count(plan_input: PlanInput, schedule: Schedule) -> int:
    """Return how often a camera is moved in a schedule."""
    from shootplan.plan.film_orders import recordings_of

    return sum(1 for item in recordings_of(plan_input, schedule) if item.rerig_s)
