"""
The planner beside a plain constraint model on published instances, in one run.

``python tests/benchmarks/psplib.py PATH``: PATH is a folder with ``best_known.csv`` and the ``.sm`` and ``.sch`` files
it names (formats and publishers: ``tests/external/psplib/SOURCE.md``). Both engines get the same deterministic limit
and one worker; each schedule is checked by the verifier. A table goes to standard output; nothing is asserted and CI
does not run it.
"""

from __future__ import annotations

import argparse
import csv
import statistics
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "external"))

from psplib_reader import read_instance

from shootplan.model.planning import Anchor, Assignment, PlanInput, Schedule, SolveStatus
from shootplan.plan import solve
from shootplan.plan.verify import verify
from shootplan.problems import InfeasiblePlan


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What an engine says of an instance: makespan if it found a plan, and whether it proved what it says."""

    makespan: int | None
    is_proven: bool
    is_sound: bool = True


def planner(plan_input: PlanInput, budget: float) -> Answer:
    """Ask the planner of this project."""
    try:
        result = solve(plan_input, budget=budget)
    except InfeasiblePlan:
        return Answer(makespan=None, is_proven=True)
    if result.schedule is None:
        return Answer(makespan=None, is_proven=False)
    is_sound = not verify(plan_input, result.schedule)
    is_proven = result.status is SolveStatus.OPTIMAL
    return Answer(makespan=result.schedule.makespan_s, is_proven=is_proven, is_sound=is_sound)


def plain(plan_input: PlanInput, budget: float) -> Answer:
    """Ask CP-SAT with intervals, lags and cumulatives, no bounds, no first plan, default parameters."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    waits = [abs(lag.at_least_s or 0) for lag in plan_input.lags]
    horizon = sum(item.long_s for item in plan_input.activities) + sum(waits)
    start = {item.id: model.new_int_var(0, horizon, item.id) for item in plan_input.activities}
    length = {item.id: item.long_s for item in plan_input.activities}
    end = model.new_int_var(0, horizon, "end")
    for item in plan_input.activities:
        model.add(end >= start[item.id] + item.long_s)
    for lag in plan_input.lags:
        before: Any = start[lag.predecessor]
        after: Any = start[lag.successor]
        before = before + length[lag.predecessor] if lag.predecessor_anchor is Anchor.END else before
        after = after + length[lag.successor] if lag.successor_anchor is Anchor.END else after
        model.add(after >= before + (lag.at_least_s or 0))
    for resource in plan_input.resources:
        uses = [(a, count) for a in plan_input.activities for name, count in a.needs if name == resource.id]
        intervals = [model.new_fixed_size_interval_var(start[a.id], a.long_s, a.id) for a, _ in uses]
        model.add_cumulative(intervals, [count for _, count in uses], resource.capacity)
    model.minimize(end)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 0
    solver.parameters.max_deterministic_time = budget
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Answer(makespan=None, is_proven=status == cp_model.INFEASIBLE)
    spans = {name: (solver.value(value), solver.value(value) + length[name]) for name, value in start.items()}
    schedule = Schedule(assignments=tuple(Assignment(activity=name, pieces=(span,)) for name, span in spans.items()))
    is_sound = not verify(plan_input, schedule)
    return Answer(makespan=schedule.makespan_s, is_proven=status == cp_model.OPTIMAL, is_sound=is_sound)


@dataclass(slots=True)
class Tally:
    """The answers of one engine on one set."""

    gaps: list[float]
    seconds: list[float]
    proven: int = 0
    found: int = 0
    wrong: int = 0

    def add(self, answer: Answer, row: dict[str, str], seconds: float) -> None:
        """Count an answer against the published bounds; a better one than is possible is wrong."""
        self.seconds.append(seconds)
        self.proven += answer.is_proven
        is_infeasible = row["status"] == "infeasible"
        if answer.makespan is None:
            self.wrong += answer.is_proven and not is_infeasible
            return
        self.found += 1
        too_good = is_infeasible or answer.makespan < int(row["best_lb"])
        self.wrong += too_good or not answer.is_sound or (answer.is_proven and answer.makespan > int(row["best_ub"]))
        if not is_infeasible:
            self.gaps.append(100.0 * (answer.makespan - int(row["best_ub"])) / int(row["best_ub"]))


ENGINES: dict[str, Callable[[PlanInput, float], Answer]] = {"planner": planner, "plain CP-SAT": plain}


def main() -> None:
    """Run and print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("path", type=Path, help="folder with best_known.csv and the instances")
    parser.add_argument("--part", default="bench", help="the part of the table to run (bench or tests)")
    parser.add_argument("--set", dest="only", default="", help="only this set, such as j60")
    parser.add_argument("--most", type=int, default=0, help="at most so many instances of each set")
    parser.add_argument("--budget", type=float, default=2.0, help="deterministic time units for each instance")
    chosen = parser.parse_args()
    with (chosen.path / "best_known.csv").open(newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["part"] == chosen.part]
    print(f"{'set':12} {'n':>3} {'engine':13} {'found':>5} {'proven %':>8} {'gap %':>10} {'median s':>8} {'wrong':>5}")
    for name in dict.fromkeys(f"{row['family']}:{row['set']}" for row in rows):
        if chosen.only and not name.endswith(f":{chosen.only}"):
            continue
        own = [row for row in rows if f"{row['family']}:{row['set']}" == name]
        run_set(name, own[: chosen.most or None], chosen.path, chosen.budget)


def run_set(name: str, rows: list[dict[str, str]], path: Path, budget: float) -> None:
    """Run both engines on one set, instance by instance, and print a line for each engine."""
    tallies = {engine: Tally([], []) for engine in ENGINES}
    for row in rows:
        plan_input = read_instance(path / row["file"])
        for engine, ask in ENGINES.items():
            begun = time.perf_counter()
            answer = ask(plan_input, budget)
            tallies[engine].add(answer, row, time.perf_counter() - begun)
    for engine, tally in tallies.items():
        gap = f"{statistics.mean(tally.gaps):.3f}" if tally.gaps else "–"
        median = statistics.median(tally.seconds)
        share = 100.0 * tally.proven / len(rows)
        print(
            f"{name.split(':')[1]:12} {len(rows):3} {engine:13} {tally.found:5} {share:8.1f} {gap:>10} {median:8.3f} "
            f"{tally.wrong:5}",
            flush=True,
        )


if __name__ == "__main__":
    main()
