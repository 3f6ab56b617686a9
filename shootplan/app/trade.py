"""The use case "trade-offs": a few plans of the day, none of which is as good as another in everything."""

from __future__ import annotations

from shootplan.app import Loaded, Solver, day_input
from shootplan.model.planning import PlanInput, SolveResult
from shootplan.model.trade import TradePlan, Wish
from shootplan.problems import InfeasiblePlan, OutOfTime

__all__ = ["trade_offs"]

#: Minutes between ready and served that are tried, the loosest first.
_WITHIN_MIN = (30, 15, 10, 5, 2, 0)
#: Dishes in work at once that are tried, the most first.
_DISHES = (3, 2, 1)
#: Deterministic time units for each wish: enough for a good plan; whether it is the shortest is said.
_BUDGET = 0.6


def trade_offs(loaded: Loaded, *, solver: Solver | None = None) -> tuple[TradePlan, ...]:
    """
    Return plans of the day, or of several days, that trade, the earliest wrap first.

    The day as it is planned; with ever fewer dishes in work at once; with every dish served ever sooner when it is
    ready. Each is as short as its wish allows. Those that are no better than another in wrap, changes of dish and
    longest wait are left out.

    Raises
    ------
    InfeasiblePlan
        If the day has no plan at all.
    """
    solve = solver or Solver()
    finder = _Finder(loaded, solve)
    first = finder.worth(Wish(), day_input(loaded), solve(day_input(loaded)))
    if first is None:
        raise OutOfTime
    plans = [first, *finder.fewer_dishes(first), *finder.served_sooner(first)]
    kept: list[TradePlan] = []
    for number, plan in enumerate(plans):
        later_twins = [other for other in plans[number + 1 :] if other.worth != plan.worth]
        if not any(plan.is_no_better_than(other) for other in (*kept, *later_twins)):
            kept.append(plan)
    return tuple(sorted(kept, key=lambda plan: plan.worth))


class _Finder:
    """Plans the day with one wish after the other."""

    def __init__(self, loaded: Loaded, solver: Solver) -> None:
        from shootplan.plan.trade import ahead_of, served_after

        self._solver = solver
        self._base: PlanInput = day_input(loaded)
        self._served = served_after(loaded.resolved, self._base)
        self._ahead = ahead_of(loaded.resolved, self._base)

    def plan(self, wish: Wish) -> TradePlan | None:
        """Return the shortest plan with a wish, ``None`` if there is none."""
        from shootplan.plan import is_sound, solve
        from shootplan.plan.trade import with_wish
        from shootplan.plan.variants import at_long_end

        plan_input = with_wish(at_long_end(self._base), wish, self._served, self._ahead)
        run = self._solver

        def solved() -> SolveResult:
            return solve(
                plan_input,
                budget=_BUDGET,
                progress=run.progress,
                workers=run.workers,
                is_tidy=False,
                is_explained=False,
            )

        try:
            found = run.keep(plan_input, f"wish {_BUDGET}", solved, lambda result: is_sound(plan_input, result))
        except InfeasiblePlan:
            return None
        return self.worth(wish, plan_input, found)

    def worth(self, wish: Wish, plan_input: PlanInput, result: SolveResult) -> TradePlan | None:
        """Return a plan with what it is worth, ``None`` without a schedule."""
        from shootplan.plan.trade import changes_of_dish, dishes_at_once, waits_of

        if result.schedule is None:
            return None
        waits = waits_of(result.schedule, self._served)
        return TradePlan(
            wish=wish,
            plan_input=plan_input,
            result=result,
            wrap_s=result.schedule.makespan_s,
            changes=changes_of_dish(plan_input, result.schedule),
            longest_wait_s=max(waits, default=0),
            wait_s=sum(waits),
            dishes=dishes_at_once(plan_input, result.schedule, self._ahead),
        )

    def fewer_dishes(self, first: TradePlan) -> list[TradePlan]:
        """Return plans with ever fewer dishes in work at once, until that cannot be."""
        return self._until_impossible([Wish(dishes=count) for count in _DISHES if count < first.dishes])

    def served_sooner(self, first: TradePlan) -> list[TradePlan]:
        """
        Return plans in which dishes are served sooner each time, until that cannot be.

        From a middle limit on: where it costs no wrap, looser ones have nothing to offer.
        """
        tried = [60 * minutes for minutes in _WITHIN_MIN if 60 * minutes < first.longest_wait_s]
        looser, tighter = tried[: len(tried) // 2], tried[len(tried) // 2 :]
        found = self._until_impossible([Wish(served_within_s=seconds) for seconds in tighter])
        if found and found[0].wrap_s <= first.wrap_s:
            return found
        return self._until_impossible([Wish(served_within_s=seconds) for seconds in looser]) + found

    def _until_impossible(self, wishes: list[Wish]) -> list[TradePlan]:
        """Return a plan for each wish in turn, tighter each time; one that the plan before fulfils is passed over."""
        found: list[TradePlan] = []
        for wish in wishes:
            if found and _is_fulfilled(wish, found[-1]):
                continue
            plan = self.plan(wish)
            if plan is None:
                break
            found.append(plan)
        return found


def _is_fulfilled(wish: Wish, plan: TradePlan) -> bool:
    if wish.dishes is not None and plan.dishes > wish.dishes:
        return False
    return wish.served_within_s is None or plan.longest_wait_s <= wish.served_within_s
