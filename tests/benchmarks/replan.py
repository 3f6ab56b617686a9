"""
How long planning the rest of a day takes, as a ratio to the first plan of that day, both measured in the same process.

Run: ``.venv/bin/python tests/benchmarks/replan.py [--days 3] [--seed 0] [--write]``. Each demo is one day; so are the
first and the third together, and generated shoots cut to exactly 60 and 65 pieces of work. Every day is played with
delays of up to half as long again; the rest is planned after each step that is begun or done. Processor time of one
solver thread, the solver loaded beforehand. Not a test: nothing fails here.
"""

from __future__ import annotations

import argparse
import random
import statistics
import sys
import time
from dataclasses import replace
from pathlib import Path

from results import machine, markdown_table, verdict, write
from shoots import shoot

from shootplan.app import day_input, load
from shootplan.model.planning import PlanInput, Schedule
from shootplan.model.replanning import LogEvent, LogKind, RunState
from shootplan.plan import solve
from shootplan.plan.happened import runs_of
from shootplan.plan.planner import DEFAULT_BUDGET
from shootplan.plan.replan import replan
from shootplan.plan.verify import verify

ROOT = Path(__file__).resolve().parents[2]
#: Processor seconds that a replanned rest of 65 tasks may take, as a median; no published figure, our own aim.
MEDIAN_S = 0.5
DEMOS = ("tuesday-supper", "waiting-day", "six-lunches")


def together(one: PlanInput, other: PlanInput) -> PlanInput:
    """Return two days in the first one's kitchen, with whatever of the second one's it lacks."""
    have = {item.id for item in one.resources}
    first = one.workers[0].name
    named = tuple(
        replace(item, workers=(first,) if item.workers else ()) for item in (*one.activities, *other.activities)
    )
    return replace(
        one,
        activities=named,
        workers=one.workers[:1],
        lags=(*one.lags, *other.lags),
        resources=(*one.resources, *(item for item in other.resources if item.id not in have)),
        occupations=(*one.occupations, *other.occupations),
    )


def cut(size: int) -> PlanInput:
    """Return a generated shoot of exactly so many tasks: whole, less its last ones, which nothing else waits for."""
    whole = shoot(size, 0)
    kept = whole.activities[:size]
    names = {item.id for item in kept}
    return replace(
        whole,
        activities=kept,
        lags=tuple(lag for lag in whole.lags if {lag.predecessor, lag.successor} <= names),
        occupations=tuple(held for held in whole.occupations if {held.first, held.last} <= names),
    )


def play(plan_input: PlanInput, plan: Schedule, seed: int) -> tuple[list[float], int, int]:
    """Play a day; return the seconds of each replanning, how many were proven, how many broke a limit."""
    chance = random.Random(seed)
    runs = {run.id: run for run in runs_of(plan_input)}
    long_s = {run.id: sum(a.long_s for a in plan_input.activities if a.id in run.activities) for run in runs.values()}
    short_s = {run.id: sum(a.short_s for a in plan_input.activities if a.id in run.activities) for run in runs.values()}
    events: list[LogEvent] = []
    ends: dict[str, int] = {}
    spent: list[float] = []
    now, proven, late = 0, 0, 0
    for _ in range(10 * len(runs)):
        begun = time.process_time()
        answer = replan(plan_input, plan, events, now_s=now)
        spent.append(time.process_time() - begun)
        assert verify(answer.rest, answer.rest_schedule) == ()
        proven += answer.status.value == "optimal"
        late += bool(answer.broken)
        plan = answer.schedule
        if all(state is RunState.DONE for _, state in answer.states):
            break
        done = {event.run for event in events if event.kind is LogKind.DONE}
        starts = {run.id: plan.of(run.activities[0]).start_s for run in runs.values()}
        for name in sorted(runs):
            if name not in ends and starts[name] <= now and answer.state(name) is RunState.AHEAD:
                length = chance.uniform(short_s[name], 1.5 * long_s[name])
                ends[name] = now + max(60, round(length / 60) * 60)
                events.append(LogEvent(kind=LogKind.BEGUN, run=name, at_s=now))
        ahead = [at for name, at in starts.items() if name not in ends and answer.state(name) is RunState.AHEAD]
        now = min([*(at for at in ahead if at > now), *(end for name, end in ends.items() if name not in done)])
        for name, end in sorted(ends.items()):
            if end <= now and name not in done:
                events.append(LogEvent(kind=LogKind.DONE, run=name, at_s=end))
    return spent, proven, late


def main() -> int:
    """Print a line for each day."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--days", type=int, default=3, help="how often each day is played")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--budget", type=float, default=DEFAULT_BUDGET, help="deterministic units of the first plan")
    parser.add_argument("--write", action="store_true", help="write RESULTS.md")
    options = parser.parse_args()
    inputs = {name: day_input(load(ROOT / "demo_episodes" / name)) for name in DEMOS}
    inputs["supper and lunches"] = together(inputs[DEMOS[0]], inputs[DEMOS[2]])
    inputs |= {f"generated, {size}": cut(size) for size in (60, 65)}
    import ortools.sat.python.cp_model  # noqa: F401

    heads = ("tasks", "first s", "replans", "median s", "p90 s", "ratio", "proven", "late")
    rows: list[tuple[str, ...]] = []
    print(f"{'day':22}" + "".join(f"{head:>10}" for head in heads))
    for name, plan_input in inputs.items():
        begun = time.process_time()
        plan = solve(plan_input, budget=options.budget).schedule
        first = time.process_time() - begun
        assert plan is not None
        spent, proven, late = [], 0, 0
        for number in range(options.days):
            more, was_proven, was_late = play(plan_input, plan, options.seed + number)
            spent += more
            proven, late = proven + was_proven, late + was_late
        median, p90 = statistics.median(spent), statistics.quantiles(spent, n=10)[-1]
        cells = (f"{len(plan_input.activities)}", f"{first:.2f}", f"{len(spent)}", f"{median:.3f}", f"{p90:.3f}")
        shares = (f"{median / first:.3f}", f"{proven / len(spent):.0%}", f"{late / len(spent):.0%}")
        print(f"{name:22}" + "".join(f"{cell:>10}" for cell in (*cells, *shares)), flush=True)
        is_aimed = name == "generated, 65"
        rows.append((name, *cells, *shares, verdict(median, MEDIAN_S) if is_aimed else ""))
    if options.write:
        note = (
            f"{machine()}. Days played with delays of up to half as long again, {options.days} times each; the rest "
            "is planned after each step begun or done. Processor seconds; the ratio is the median to the first plan "
            f"of {options.budget:g} deterministic units; late: a limit could not be kept. Aim: a median of "
            f"{MEDIAN_S} s at 65 tasks.\n\n`python tests/benchmarks/replan.py "
            f"--days {options.days} --budget {options.budget:g} --write`"
        )
        write("Planning the rest of a day", f"{note}\n\n{markdown_table(('day', *heads, 'aim'), rows)}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
