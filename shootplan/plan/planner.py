"""
The planner: bounds, then list schedules, then the solver, each only if the one before leaves something open.

A ``PlanInput`` comes in, a verified ``SolveResult`` goes out. Phases follow one another, never as one weighted sum: the
shortest day; among the shortest days one that is short too when everything takes its short end; early starts.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import field, replace
from typing import TYPE_CHECKING

from shootplan.model.planning import ActivityKind, Assignment, PlanInput, Schedule, SolveResult, SolveStatus
from shootplan.plan.bounds import lower_bound
from shootplan.plan.explain import circle_conflicts, conflicts_of, cycle_conflicts, obvious_conflicts
from shootplan.plan.fixed_order import fixed_order
from shootplan.plan.graph import Ends, PositiveCycle, network_of, precedence_cycle
from shootplan.plan.greedy import best_list_schedule
from shootplan.plan.verify import verify
from shootplan.problems import Conflict, InfeasiblePlan
from shootplan.records import dataclass

if TYPE_CHECKING:
    from shootplan.plan.cp_sat import Limits, Model, Outcome

__all__ = ["DEFAULT_BUDGET", "Progress", "bound_of", "explained", "heats_late", "horizon_of", "is_sound", "solve"]

#: Deterministic time units for all phases together; one is 1.5 to 4 s on the machines it was measured on.
DEFAULT_BUDGET = 12.0
#: The most pairs of people's and single things' work that the second phase orders.
_MOST_PAIRS = 4000
_TIDY_BUDGET = 0.15
#: A model of so many activities at most is first tried as it stands, for so many deterministic time units.
_MOST_EASY = 80
_EASY_BUDGET = 0.01
_EXPLAIN_BUDGET = 1.0

Progress = Callable[[str], None]


def solve(
    plan_input: PlanInput,
    *,
    budget: float = DEFAULT_BUDGET,
    workers: int = 1,
    seed: int = 0,
    progress: Progress | None = None,
    is_tidy: bool = True,
    is_explained: bool = True,
) -> SolveResult:
    """
    Return the shortest plan that is found, with a proven bound, run at both ends of its durations.

    Parameters
    ----------
    plan_input
        What is to be planned.
    budget
        Deterministic time units of the solver for all phases; the same budget gives the same plan on every machine.
    workers
        Solver threads. More than one may give another plan of the same length from run to run.
    seed
        Seed of the solver and of the list schedules.
    progress
        Called with a few words as plans are found.
    is_tidy
        Whether the plan is to be read by people: then steps that may start early do. Its lengths do not depend on it.
    is_explained
        Whether the rules that clash are looked for where there is no plan, which takes longer than to know that.

    Raises
    ------
    InfeasiblePlan
        If no plan keeps all rules; ``conflicts`` is a smallest set that clashes.
    RuntimeError
        If a plan breaks a rule: a bug of ours.
    """
    if not plan_input.activities:
        empty = Schedule(assignments=())
        return SolveResult(status=SolveStatus.OPTIMAL, schedule=empty, bound_s=0, engine="list", short_schedule=empty)
    bound_s = bound_of(plan_input, is_explained=is_explained)
    run = _Run(plan_input, bound_s, budget, workers, seed, progress or (lambda words: None), is_tidy, is_explained)
    return run.solve()


def is_sound(plan_input: PlanInput, result: SolveResult) -> bool:
    """Whether a result that was solved before still keeps every rule of this input at both ends."""
    ends = ((result.schedule, False), (result.short_schedule, True))
    return result.schedule is not None and not any(
        verify(plan_input, schedule, is_short=is_short) for schedule, is_short in ends if schedule is not None
    )


def bound_of(plan_input: PlanInput, *, is_explained: bool = True) -> int:
    """
    Return a true lower bound on the makespan in seconds; what clashes over several days is told if ``is_explained``.

    Raises
    ------
    InfeasiblePlan
        If it can be seen without planning that there is no plan.
    """
    obvious = obvious_conflicts(plan_input)
    if obvious:
        raise InfeasiblePlan(obvious)
    try:
        return lower_bound(plan_input, network_of(plan_input))
    except PositiveCycle as cycle:
        circle = circle_conflicts(plan_input, precedence_cycle(plan_input))
        # A chain that a closed time stretched does not name all that stretched it.
        is_stretched = bool(plan_input.closed) and is_explained
        chain = explained(plan_input) if is_stretched else cycle_conflicts(plan_input, cycle)
        raise InfeasiblePlan(circle or chain) from cycle


def horizon_of(plan_input: PlanInput) -> int:
    """
    Return seconds within which a plan fits if there is one at all.

    After the last release and the last time away or closed, the activities in a row, each with the longest wait that a
    lag asks for after it and the longest re-rig before it, need no more than the sum of those times.
    """
    if plan_input.horizon_s is not None:
        return plan_input.horizon_s
    fixed = [
        0,
        *(item.release_s for item in plan_input.activities),
        *(item.deadline_s or 0 for item in plan_input.activities),
    ]
    fixed += [till for worker in plan_input.workers for _, till in (*worker.away, *plan_input.closed)]
    waits = sum(max(0, lag.at_least_s or 0, lag.at_most_s or 0) for lag in plan_input.lags)
    change = max([0, *(seconds for _, seconds in plan_input.oven_change_s)])
    lengths = sum(max(item.long_s, change if item.kind is ActivityKind.HEAT else 0) for item in plan_input.activities)
    moves = {camera.name: max([0, *(seconds for _, _, seconds in camera.moves)]) for camera in plan_input.cameras}
    rerigs = sum(moves[item.film.camera] for item in plan_input.activities if item.film is not None)
    fixed += [camera.ready_s for camera in plan_input.cameras]
    return max(fixed) + lengths + waits + rerigs + sum(held.after_s for held in plan_input.occupations)


@dataclass(slots=True)
class _Run:
    """One run through the phases."""

    input: PlanInput
    bound_s: int
    budget: float
    workers: int
    seed: int
    tell: Progress
    is_tidy: bool
    is_explained: bool
    notes: list[str] = field(default_factory=list)
    is_stopped: bool = False
    short_bound_s: int = -1

    def solve(self) -> SolveResult:
        listed = best_list_schedule(self.input, bound_s=self.bound_s, seed=self.seed)
        if listed is not None:
            _check(self.input, listed)
            self.tell(f"a first plan of {listed.makespan_s // 60} min")
        if listed is not None and self._is_best_at_both_ends(listed):
            return self._both_ends(listed, "list")
        best = self._shortest(listed)
        if best is None:
            return SolveResult(
                status=SolveStatus.UNKNOWN,
                schedule=None,
                bound_s=self.bound_s,
                engine="cp-sat",
                notes=("no plan was found in the time allowed",),
                is_stopped=self.is_stopped,
            )
        return self._both_ends(self._also_short(best), "cp-sat")

    def _is_large(self) -> bool:
        return len(self.input.activities) > _MOST_EASY

    def _is_best_at_both_ends(self, schedule: Schedule) -> bool:
        """Whether a schedule meets the bound, and its short end the bound there: then no solver can help."""
        if schedule.makespan_s > self.bound_s:
            return False
        if not self._has_ranges():
            return True
        short = self._short(schedule)
        return short is not None and short.makespan_s <= self._short_bound()

    def _has_ranges(self) -> bool:
        """Whether the two ends differ at all."""
        return any(item.short_s != item.long_s for item in self.input.activities)

    # ------------------------------------------------------------------------------------------------ the phases

    def _shortest(self, listed: Schedule | None) -> Schedule | None:
        """Phase 1: the shortest makespan, whole first, then with pausable work broken off where that may help."""
        best, whole_bound, is_impossible = listed, self.bound_s, False
        if listed is None or listed.makespan_s > self.bound_s:
            outcome = self._of_large(listed) if self._is_large() else self._of_small(listed)
            best = outcome.schedule or listed
            is_impossible = outcome.status is SolveStatus.INFEASIBLE
            whole_bound = max(self.bound_s, outcome.bound)
        if not any(item.is_pausable for item in self.input.activities):
            if is_impossible:
                raise InfeasiblePlan(explained(self.input) if self.is_explained else ())
            self.bound_s = whole_bound
            return best
        if best is not None and best.makespan_s <= self.bound_s:
            return best
        if best is not None and self._is_large():
            return self._broken_off_in_stretches(best)
        return self._broken_off(best, is_impossible)

    def _of_small(self, listed: Schedule | None) -> Outcome:
        from shootplan.plan.cp_sat import Model

        upper = listed.makespan_s if listed is not None else horizon_of(self.input)
        model = Model(self.input, self.bound_s, upper)
        if listed is not None:
            model.hint(listed)
        model.shortest()
        return self._easily(model) or self._solved(model, self._limits(self._first_share()))

    def _of_large(self, listed: Schedule | None) -> Outcome:
        from shootplan.plan.large import shortest_of_large

        upper_s = listed.makespan_s if listed is not None else horizon_of(self.input)
        limits = self._limits(self._first_share())
        outcome = shortest_of_large(
            self.input, listed, bound_s=self.bound_s, upper_s=upper_s, limits=limits, tell=self.tell
        )
        return self._noted(outcome)

    def _first_share(self) -> float:
        """Return the share of the budget that the later phases leave to the first."""
        is_pausable = any(item.is_pausable for item in self.input.activities)
        return 0.95 - (0.35 if is_pausable else 0.0) - (0.2 if self._has_ranges() else 0.0)

    def _broken_off(self, whole: Schedule | None, is_impossible: bool) -> Schedule | None:
        from shootplan.plan.cp_sat import Model, time_unit

        upper = whole.makespan_s - time_unit(self.input) if whole is not None else horizon_of(self.input)
        model = Model(self.input, self.bound_s, upper, is_split=True)
        model.shortest()
        outcome = self._solved(model, self._limits(0.05))
        if outcome.status in (SolveStatus.FEASIBLE, SolveStatus.UNKNOWN) and not self.is_stopped:
            outcome = self._broken_off_linearly(model, outcome)
        if outcome.status is SolveStatus.INFEASIBLE:
            if whole is None and is_impossible:
                raise InfeasiblePlan(explained(self.input) if self.is_explained else ())
            if whole is not None:
                self.bound_s = whole.makespan_s
            return whole
        self.bound_s = max(self.bound_s, min(outcome.bound, upper))
        if outcome.schedule is None:
            return whole
        model.at_most_long(outcome.schedule.makespan_s)
        model.hint(outcome.schedule)
        model.earliest_starts()
        return self._noted(model.solve(self._limits(0.1))).schedule or outcome.schedule

    def _broken_off_linearly(self, model: Model, known: Outcome) -> Outcome:
        """Look again with linear relaxations: slow on whole work, they prove most where lengths of pieces are open."""
        if known.schedule is not None:
            model.hint(known.schedule)
        outcome = self._solved(model, replace(self._limits(0.25), linearization=2))
        model.forget_hints()
        if known.schedule is None or outcome.schedule is not None:
            return outcome
        return replace(known, bound=max(known.bound, outcome.bound))

    def _broken_off_in_stretches(self, whole: Schedule) -> Schedule:
        from shootplan.plan.stretches import made_shorter

        limits = self._limits(0.3)
        found = made_shorter(self.input, whole, bound_s=self.bound_s, limits=limits, tell=self.tell, is_split=True)
        self.is_stopped = self.is_stopped or found.is_stopped
        return found.schedule

    def _also_short(self, best: Schedule) -> Schedule:
        """Phases 2 and 3: among plans as long as the best, one that is short at the short end too; early starts."""
        if any(len(item.pieces) > 1 for item in best.assignments):
            self.notes.append("the short end is that of the plan found, which breaks work off")
            return best
        if self._has_ranges():
            best = self._short_end(best)
        return self._early(best) if self.is_tidy else best

    def _short_end(self, best: Schedule) -> Schedule:
        from shootplan.plan.cp_sat import Model

        least = self._short_bound()
        known = self._short(best)
        if known is not None and known.makespan_s <= least:
            return best
        model = Model(self.input, min(self.bound_s, best.makespan_s), best.makespan_s, is_pooled=False)
        if model.order_count() > _MOST_PAIRS:
            self.notes.append("the plan is too large to look for the best short end")
            return best
        model.share_orders(least, known.makespan_s if known is not None else None)
        model.hint(best)
        if known is not None:
            model.hint(known, is_short=True)
        model.shortest(is_short=True)
        outcome = self._easily(model, is_thorough=True) or self._noted(model.solve(self._limits(0.2)))
        if outcome.status is SolveStatus.INFEASIBLE:
            self.notes.append("no plan of this length keeps its limits at the short end")
        if outcome.status is SolveStatus.FEASIBLE:
            self.notes.append("a plan with a shorter short end may exist")
        return self._better(best, outcome.schedule)

    def _early(self, best: Schedule) -> Schedule:
        """Phase 3: early starts, within a small budget."""
        from shootplan.plan.cp_sat import Model

        model = Model(self.input, min(self.bound_s, best.makespan_s), best.makespan_s)
        model.hint(best)
        model.earliest_starts()
        limits = self._limits(1.0)
        limits = replace(limits, budget=min(_TIDY_BUDGET, limits.budget), is_thorough=True)
        return self._better(best, self._noted(model.solve(limits)).schedule)

    def _better(self, best: Schedule, other: Schedule | None) -> Schedule:
        """Return the other plan if it is no longer at either end."""
        if other is None:
            return best
        known, found = self._short(best), self._short(other)
        if known is not None and (found is None or found.makespan_s > known.makespan_s):
            return best
        return other if other.makespan_s <= best.makespan_s else best

    def _short_bound(self) -> int:
        if self.short_bound_s < 0:
            self.short_bound_s = self._bound_at_short_ends()
        return self.short_bound_s

    def _bound_at_short_ends(self) -> int:
        short = replace(
            self.input, activities=tuple(replace(item, long_s=item.short_s) for item in self.input.activities)
        )
        try:
            return lower_bound(short, network_of(short))
        except PositiveCycle:
            return 0

    def _short(self, schedule: Schedule) -> Schedule | None:
        return fixed_order(self.input, schedule, ends=Ends.SHORT)

    def _solved(self, model: Model, limits: Limits, *, is_told: bool = True) -> Outcome:
        """Solve, and remember whether the user wants no more (Ctrl-C): later phases then take next to no time."""
        return self._noted(model.solve(limits, self.tell if is_told else None))

    def _noted(self, outcome: Outcome) -> Outcome:
        self.is_stopped = self.is_stopped or outcome.is_stopped
        return outcome

    def _easily(self, model: Model, *, is_thorough: bool = False) -> Outcome | None:
        """Return the last word on a model if it is easy: on most kitchen days to simplify it first takes longer."""
        limits = replace(self._limits(1.0), is_presolved=False, is_thorough=is_thorough)
        if len(self.input.activities) > _MOST_EASY or limits.budget <= _EASY_BUDGET:
            return None
        # What is thorough is the second phase: its makespans are those of the short end, not to be told as plans.
        outcome = self._solved(model, replace(limits, budget=_EASY_BUDGET), is_told=not is_thorough)
        return outcome if outcome.status in (SolveStatus.OPTIMAL, SolveStatus.INFEASIBLE) else None

    def _limits(self, share: float) -> Limits:
        from shootplan.plan.cp_sat import Limits

        budget = 0.01 if self.is_stopped else share * self.budget
        return Limits(budget=budget, workers=self.workers, seed=self.seed)

    # ------------------------------------------------------------------------------------------------ the answer

    def _both_ends(self, schedule: Schedule, engine: str) -> SolveResult:
        """Move everything as early as the orders allow, heats as late as their bakes allow, and run the short end."""
        early = fixed_order(self.input, schedule, ends=Ends.LONG)
        if early is None:
            raise RuntimeError("a sound plan cannot keep its own orders")
        _check(self.input, early)
        long = heats_late(self.input, early)
        short: Schedule | None = long
        if self._has_ranges():
            short = self._short(early)
            if short is not None:
                _check(self.input, short, is_short=True)
                short = heats_late(self.input, short, is_short=True)
        is_proven = long.makespan_s <= self.bound_s
        return SolveResult(
            status=SolveStatus.OPTIMAL if is_proven else SolveStatus.FEASIBLE,
            schedule=long,
            bound_s=min(self.bound_s, long.makespan_s),
            engine=engine,
            short_schedule=short,
            notes=tuple(self.notes),
            is_stopped=self.is_stopped,
        )


def _check(plan_input: PlanInput, schedule: Schedule, *, is_short: bool = False) -> None:
    broken = verify(plan_input, schedule, is_short=is_short)
    if broken:
        raise RuntimeError(f"the planner broke a rule ({broken[0].rule}): {broken[0].message}")


def heats_late(plan_input: PlanInput, schedule: Schedule, *, is_short: bool = False) -> Schedule:
    """Move each heat towards its first bake as far as every rule allows, the last heat first: no oven runs empty."""
    for heat in sorted(_heats(plan_input), key=lambda name: -schedule.of(name).start_s):
        bakes = [item.id for item in plan_input.activities if item.oven is not None and item.oven.heat == heat]
        item = schedule.of(heat)
        if not bakes:
            continue
        later = min(schedule.of(bake).start_s for bake in bakes) - item.end_s
        moved = replace(item, pieces=((item.start_s + later, item.end_s + later),))
        tried = Schedule(assignments=tuple(_instead(old, moved) for old in schedule.assignments))
        if later > 0 and not verify(plan_input, tried, is_short=is_short):
            schedule = tried
    return schedule


def _heats(plan_input: PlanInput) -> list[str]:
    return [item.id for item in plan_input.activities if item.kind is ActivityKind.HEAT]


def _instead(old: Assignment, new: Assignment) -> Assignment:
    return new if old.activity == new.activity else old


# ---------------------------------------------------------------------------------------------------- no plan at all


def explained(plan_input: PlanInput) -> tuple[Conflict, ...]:
    """Return a smallest set of rules that no plan can keep."""
    return conflicts_of(plan_input, _is_impossible)


def _is_impossible(plan_input: PlanInput) -> bool:
    """Whether a plan certainly cannot be; within a small budget, so "no" may mean "not known"."""
    from shootplan.plan.cp_sat import Limits, Model

    if obvious_conflicts(plan_input):
        return True
    try:
        bound_s = lower_bound(plan_input, network_of(plan_input))
    except PositiveCycle:
        return True
    if plan_input.horizon_s is not None and bound_s > plan_input.horizon_s:
        return True
    is_split = any(item.is_pausable for item in plan_input.activities)
    model = Model(plan_input, 0, horizon_of(plan_input), is_split=is_split)
    return model.solve(Limits(budget=_EXPLAIN_BUDGET)).status is SolveStatus.INFEASIBLE
