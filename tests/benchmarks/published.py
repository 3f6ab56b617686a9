"""
The planner beside a plain constraint model and PyJobShop, a general library for scheduling, on published instances.

``python tests/benchmarks/published.py PATH [--most 6] [--budget 0.5] [--write]``: PATH is a folder with
``best_known.csv`` and the ``.sm`` and ``.sch`` files it names (formats and publishers:
``tests/external/psplib/SOURCE.md``). All engines get the same deterministic limit and one worker; each schedule is
checked by the verifier. PyJobShop takes part where it is installed (``pip install pyjobshop``). ``--most`` takes so
many instances of each set, evenly spread over it. Nothing is asserted and CI does not run it.
"""

from __future__ import annotations

import argparse
import csv
import statistics
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from importlib.util import find_spec
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "external"))

from psplib_reader import read_instance
from results import machine, markdown_table, verdict, write

from shootplan.model.planning import Anchor, Assignment, PlanInput, Schedule, SolveStatus
from shootplan.plan import solve
from shootplan.plan.greedy import best_list_schedule
from shootplan.plan.planner import bound_of
from shootplan.plan.verify import verify
from shootplan.problems import InfeasiblePlan


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What an engine says of an instance: makespan if it found a plan, and whether it proved what it says."""

    makespan: int | None
    is_proven: bool
    is_sound: bool = True


def planner(plan_input: PlanInput, budget: float) -> Answer:
    """Ask the planner for what the others are asked: the makespan, neither early starts nor which rules clash."""
    try:
        result = solve(plan_input, budget=budget, is_tidy=False, is_explained=False)
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


def library(plan_input: PlanInput, budget: float) -> Answer:
    """Ask PyJobShop with the same solver underneath; raises ``ImportError`` where it is not installed."""
    import pyjobshop

    model = pyjobshop.Model()
    resources = {item.id: model.add_renewable(item.capacity) for item in plan_input.resources}
    tasks = {item.id: model.add_task() for item in plan_input.activities}
    for item in plan_input.activities:
        used = [resources[name] for name, _ in item.needs] or [next(iter(resources.values()))]
        demands = [count for _, count in item.needs] or [0]
        model.add_mode(tasks[item.id], used, item.long_s, demands)
    for lag in plan_input.lags:
        is_end = lag.predecessor_anchor is Anchor.END
        add = model.add_end_before_start if is_end else model.add_start_before_start
        add(tasks[lag.predecessor], tasks[lag.successor], lag.at_least_s or 0)
    result = model.solve(
        solver="ortools", time_limit=3600, display=False, num_workers=1, random_seed=0, max_deterministic_time=budget
    )
    status = result.status.name
    if status not in ("OPTIMAL", "FEASIBLE"):
        return Answer(makespan=None, is_proven=status == "INFEASIBLE")
    spans = {name: (found.start, found.end) for name, found in zip(tasks, result.best.tasks, strict=True)}
    schedule = Schedule(assignments=tuple(Assignment(activity=name, pieces=(span,)) for name, span in spans.items()))
    is_sound = not verify(plan_input, schedule)
    return Answer(makespan=schedule.makespan_s, is_proven=status == "OPTIMAL", is_sound=is_sound)


def first(plan_input: PlanInput) -> int | None:
    """Return the makespan of the planner's first plan, before any solver."""
    try:
        made = best_list_schedule(plan_input, bound_s=bound_of(plan_input))
    except InfeasiblePlan:
        return None
    return made.makespan_s if made is not None else None


@dataclass(slots=True)
class Tally:
    """The answers of one engine on one set."""

    gaps: list[float] = field(default_factory=list)
    seconds: list[float] = field(default_factory=list)
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


OURS, PLAIN, LIBRARY, FIRST = "planner", "plain CP-SAT", "PyJobShop", "first plan"
ENGINES: dict[str, Callable[[PlanInput, float], Answer]] = {OURS: planner, PLAIN: plain}
if find_spec("pyjobshop"):
    ENGINES[LIBRARY] = library

#: The most that the planner's mean gap may be of the plain model's, by set; 1 where nothing stands here.
GAPS = {"j60": 0.75, "j120": 0.55}
#: The most that the planner's median time may be of the plain model's.
TIME = 1.2


def main() -> None:
    """Run and print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("path", type=Path, help="folder with best_known.csv and the instances")
    parser.add_argument("--part", default="bench", help="the part of the table to run (bench or tests)")
    parser.add_argument("--set", dest="only", default="", help="only this set, such as j60")
    parser.add_argument("--most", type=int, default=0, help="at most so many instances of each set, evenly spread")
    parser.add_argument("--budget", type=float, default=2.0, help="deterministic time units for each instance")
    parser.add_argument("--write", action="store_true", help="write RESULTS.md")
    chosen = parser.parse_args()
    with (chosen.path / "best_known.csv").open(newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["part"] == chosen.part]
    kinds = {row["set"] if row["family"] == "rcpsp" else "RCPSP/max" for row in rows}
    names = [name for name in ("j30", "j60", "j90", "j120", "RCPSP/max") if name in kinds]
    table: list[tuple[str, ...]] = []
    aims: list[tuple[str, ...]] = []
    warm = read_instance(chosen.path / rows[0]["file"])
    for ask in ENGINES.values():  # what is loaded once is no engine's time
        ask(warm, 0.01)
    print(" | ".join(HEADS))
    for name in names:
        if chosen.only and name != chosen.only:
            continue
        own = [row for row in rows if name == (row["set"] if row["family"] == "rcpsp" else "RCPSP/max")]
        count = min(chosen.most, len(own)) if chosen.most else len(own)
        some = [own[k * len(own) // count] for k in range(count)]
        tallies = run_set(some, chosen.path, chosen.budget)
        lines = [line(name, engine, tally) for engine, tally in tallies.items()]
        print(*(" | ".join(cells) for cells in lines), sep="\n", flush=True)
        table += lines
        aims += judged(name, tallies)
    if chosen.write:
        missing = "" if LIBRARY in ENGINES else " PyJobShop was not installed and did not take part."
        note = (
            f"{machine()}. {chosen.budget:g} deterministic units for an instance, one worker; at most "
            f"{chosen.most or 'all'} instances of a set, evenly spread over it. Gap: mean distance to the best "
            "makespan known. Processor seconds of everything, the planner's own search in Python too; first plan: the "
            "planner's, before any search or solver; the planner is not asked which rules clash. Wrong: better "
            f"than is possible, or a false proof.{missing}\n\n"
            f"`python tests/benchmarks/published.py PATH --most {chosen.most} --budget {chosen.budget:g} --write`"
        )
        judgement = markdown_table(("planner beside the plain model", "figure", "aim", ""), aims)
        write("Published instances", f"{note}\n\n{markdown_table(HEADS, table)}\n\n{judgement}")


HEADS = ("set", "instances", "engine", "found", "proven %", "gap %", "median s", "mean s", "wrong")


def run_set(rows: list[dict[str, str]], path: Path, budget: float) -> dict[str, Tally]:
    """Run all engines on one set, instance by instance."""
    tallies = {engine: Tally() for engine in (*ENGINES, FIRST)}
    for row in rows:
        plan_input = read_instance(path / row["file"])
        for engine, ask in ENGINES.items():
            begun = time.process_time()
            answer = ask(plan_input, budget)
            tallies[engine].add(answer, row, time.process_time() - begun)
        begun = time.process_time()
        makespan = first(plan_input)
        tallies[FIRST].add(Answer(makespan=makespan, is_proven=False), row, time.process_time() - begun)
    return tallies


def line(name: str, engine: str, tally: Tally) -> tuple[str, ...]:
    """Return a line of the table."""
    share = 100.0 * tally.proven / len(tally.seconds)
    gap = f"{statistics.mean(tally.gaps):.2f}" if tally.gaps else "–"
    median, mean = (f"{kind(tally.seconds):.3f}" for kind in (statistics.median, statistics.mean))
    return name, str(len(tally.seconds)), engine, str(tally.found), f"{share:.0f}", gap, median, mean, str(tally.wrong)


def judged(name: str, tallies: dict[str, Tally]) -> list[tuple[str, ...]]:
    """Return the planner's figures beside their aims: gap, proofs and time against the plain model's."""
    ours, other = tallies[OURS], tallies[PLAIN]
    gap = statistics.mean(ours.gaps or [0]) / statistics.mean(other.gaps) if any(other.gaps) else None
    found: list[tuple[str, ...]] = []
    aim = GAPS.get(name, 1.0)
    if gap is not None:
        found.append((f"{name}: mean gap", f"{gap:.2f}×", f"{aim:g}×", verdict(gap, aim)))
    else:
        ours_gap = statistics.mean(ours.gaps or [0])
        found.append(
            (f"{name}: mean gap where the plain model has none", f"{ours_gap:.2f} %", "0", verdict(ours_gap, 0))
        )
    is_met = verdict(ours.proven, other.proven, is_least=True)
    found.append((f"{name}: proofs", str(ours.proven), f"{other.proven}", is_met))
    ratio = statistics.mean(ours.seconds) / statistics.mean(other.seconds)
    found.append((f"{name}: mean time (beside the gap: no aim)", f"{ratio:.2f}×", "", ""))
    if name == "RCPSP/max":
        ratio = statistics.median(ours.seconds) / statistics.median(other.seconds)
        found.append((f"{name}: median time", f"{ratio:.2f}×", f"{TIME:g}×", verdict(ratio, TIME)))
        found.append((f"{name}: wrong answers", str(ours.wrong), "0", verdict(ours.wrong, 0)))
    return found


if __name__ == "__main__":
    main()
