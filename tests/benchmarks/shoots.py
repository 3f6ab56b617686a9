"""
Generated shoots of growing size: how soon a good plan is there, how far the proof is, how the time grows.

``python tests/benchmarks/shoots.py [--sizes 25 50 …] [--shoots 3] [--write]``. Each shoot is made from a seed: dishes
of about ten steps with preparation, pots with look-ins and limits, bakes at two temperatures in one oven, rests and a
serving, for one cook, four rings and a few pans. The planner runs on one worker with a deterministic budget; times are
processor seconds of this process, so that a busy machine shows in them as little as may be. Every schedule is verified.
``--write`` puts the table into ``RESULTS.md`` beside this file, under the machine's name; CI does not run it.
"""

from __future__ import annotations

import argparse
import math
import random
import re
import statistics
import sys
import time
from dataclasses import dataclass, replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent))

from results import machine, write

from shootplan.model.planning import (
    Activity,
    ActivityKind,
    Lag,
    LookInTask,
    Occupation,
    OvenState,
    PlanInput,
    Resource,
    Worker,
)
from shootplan.plan import solve
from shootplan.plan.planner import DEFAULT_BUDGET
from shootplan.plan.verify import verify

MIN = 60


class _Maker:
    """Adds dish after dish until there are enough tasks."""

    def __init__(self, size: int, seed: int) -> None:
        self.random = random.Random(f"shoot {size} {seed}")
        self.activities: list[Activity] = []
        self.lags: list[Lag] = []
        self.held: list[Occupation] = []
        self.size = size

    def made(self) -> PlanInput:
        number = 0
        while len(self.activities) < self.size:
            number += 1
            self._dish(f"dish {number}")
        return PlanInput(
            activities=tuple(self.activities),
            lags=tuple(self.lags),
            resources=(Resource(id="ring", capacity=4), Resource(id="pot", capacity=2), Resource(id="pan", capacity=2)),
            occupations=tuple(self.held),
            workers=(Worker(name="cook"),),
            oven_shelves=(("oven", 2),),
            oven_tolerance_c=(("oven", 10),),
            oven_change_s=(("oven", 5 * MIN),),
        )

    def _dish(self, name: str) -> None:
        pick = self.random
        preps = [self._add(name, f"prep {k}", ActivityKind.HANDS, 3, 8) for k in range(pick.randint(2, 3))]
        vessel = pick.choice(("pot", "pan"))
        begin = self._add(name, "begin", ActivityKind.HANDS, 1, 3, on_ring=True, after=preps)
        cook = self._add(
            name, "cook", ActivityKind.LEAVE, 10, 40, on_ring=True, after=[begin], at_most=0, is_looked_in=True
        )
        stir = self._add(name, "stir", ActivityKind.HANDS, 2, 5, on_ring=True, after=[cook], at_most=5)
        self.held.append(Occupation(id=f"{name}/held", resource=vessel, first=begin.id, last=stir.id, after_s=3 * MIN))
        last = stir
        if pick.random() < 0.4:
            last = self._bake(name, stir)
        rest = self._add(name, "rest", ActivityKind.LEAVE, 5, 10, after=[last], at_most=5)
        sauce = self._add(name, "sauce", ActivityKind.HANDS, 3, 8)
        serve = self._add(name, "serve", ActivityKind.HANDS, 1, 3, after=[rest, sauce])
        self.lags.append(Lag(predecessor=rest.id, successor=serve.id, at_least_s=None, at_most_s=20 * MIN))

    def _bake(self, name: str, before: Activity) -> Activity:
        celsius = self.random.choice((180, 220))
        heat = replace(
            self._add(name, "heat", ActivityKind.HEAT, 12, 12),
            oven=OvenState(oven="oven", temperature_c=celsius),
        )
        self.activities[-1] = heat
        bake = self._add(name, "bake", ActivityKind.LEAVE, 20, 40, after=[before])
        bake = replace(bake, oven=OvenState(oven="oven", temperature_c=celsius, heat=heat.id))
        self.activities[-1] = bake
        return bake

    def _add(
        self,
        dish: str,
        word: str,
        kind: ActivityKind,
        low: int,
        high: int,
        *,
        on_ring: bool = False,
        after: list[Activity] | None = None,
        at_most: int | None = None,
        is_looked_in: bool = False,
    ) -> Activity:
        minutes = self.random.randint(low, high)
        is_hands = kind is ActivityKind.HANDS
        made = Activity(
            id=f"{dish}/{word}#work",
            kind=kind,
            short_s=round(0.8 * minutes) * MIN,
            long_s=minutes * MIN,
            workers=("cook",) if is_hands or is_looked_in else (),
            needs=(("ring", 1),) if on_ring else (),
            look_in=LookInTask(every_s=10 * MIN, for_s=MIN) if is_looked_in else None,
            is_pausable=is_hands and word.startswith("prep"),
            recipe=dish,
            step=word,
        )
        self.activities.append(made)
        for before in after or ():
            limit = None if at_most is None else at_most * MIN
            self.lags.append(Lag(predecessor=before.id, successor=made.id, at_most_s=limit))
        return made


def shoot(size: int, seed: int) -> PlanInput:
    """Return a generated shoot of at least ``size`` tasks; the same seed gives the same shoot."""
    return _Maker(size, seed).made()


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """One shoot: processor seconds, wrap in minutes."""

    tasks: int
    first_s: float
    first_wrap: int
    good_s: float
    all_s: float
    best_wrap: int
    gap_percent: float


def measure(plan_input: PlanInput, budget: float) -> Run:
    """Plan a shoot and note when each better plan is there."""
    begun = time.process_time()
    told: list[tuple[float, int]] = []

    def note(words: str) -> None:
        minutes = re.search(r"plan of (\d+) min", words)
        if minutes is not None:
            told.append((time.process_time() - begun, int(minutes[1])))

    result = solve(plan_input, budget=budget, progress=note)
    all_s = time.process_time() - begun
    if result.schedule is None or verify(plan_input, result.schedule):
        raise RuntimeError("no sound plan")
    told.append((all_s, result.schedule.makespan_s // MIN))
    best = min(wrap for _, wrap in told)
    return Run(
        tasks=len(plan_input.activities),
        first_s=told[0][0],
        first_wrap=told[0][1],
        good_s=min(seconds for seconds, wrap in told if wrap <= 1.01 * best),
        all_s=all_s,
        best_wrap=best,
        gap_percent=result.gap_percent,
    )


def table(runs: dict[int, list[Run]]) -> str:
    """Return the results as a Markdown table, medians over the shoots of a size."""
    lines = [
        "| tasks | shoots | first plan s | over best % | within 1 % of best s | growth | all s | gap % | proven |",
        "|---:|---:|---:|---:|---:|---:|---:|---:|---:|",
    ]
    before: tuple[float, float] | None = None
    for some in runs.values():
        middle = {
            name: statistics.median(getattr(run, name) for run in some)
            for name in ("tasks", "first_s", "good_s", "all_s", "gap_percent")
        }
        over = statistics.median(100 * (run.first_wrap / run.best_wrap - 1) for run in some)
        tasks, good = middle["tasks"], middle["good_s"]
        growth = "" if before is None else f"n^{math.log(good / before[1]) / math.log(tasks / before[0]):.1f}"
        before = (tasks, good)
        proven = sum(run.gap_percent == 0 for run in some)
        lines.append(
            f"| {tasks:.0f} | {len(some)} | {middle['first_s']:.2f} | {over:.1f} | {good:.2f} | {growth} "
            f"| {middle['all_s']:.1f} | {middle['gap_percent']:.1f} | {proven} |"
        )
    return "\n".join(lines)


def main() -> None:
    """Measure and print, and write if asked."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--sizes", type=int, nargs="+", default=[25, 50, 100, 200, 400])
    parser.add_argument("--shoots", type=int, default=3)
    parser.add_argument("--budget", type=float, default=DEFAULT_BUDGET, help="deterministic units for each shoot")
    parser.add_argument("--write", action="store_true", help="write RESULTS.md")
    options = parser.parse_args()
    runs: dict[int, list[Run]] = {}
    for size in options.sizes:
        for seed in range(options.shoots):
            runs.setdefault(size, []).append(measure(shoot(size, seed), options.budget))
            print(size, seed, runs[size][-1], flush=True)
    note = (
        f"{machine()}. {options.budget:g} deterministic units for a shoot, one worker; processor seconds, medians over "
        "the shoots of a size. First plan: how soon, and how far its wrap is over the best one found. Growth: the "
        "exponent of the time to within 1 % between one size and the next. Gap: of the best plan to its proven bound; "
        "0 is a proof.\n\n`python tests/benchmarks/shoots.py "
        f"--shoots {options.shoots} --budget {options.budget:g} --write`"
    )
    text = f"{note}\n\n{table(runs)}"
    print(text)
    if options.write:
        write("Generated shoots", text)


if __name__ == "__main__":
    main()
