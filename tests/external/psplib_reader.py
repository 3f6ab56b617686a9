"""PSPLIB (``.sm``) and ProGen/max (``.sch``) files as planner inputs; formats as described beside the data."""

from __future__ import annotations

from pathlib import Path

from shootplan.model.planning import Activity, ActivityKind, Anchor, Lag, PlanInput, Resource


def read_instance(path: Path) -> PlanInput:
    """Return the instance in a file, one second for one unit of time."""
    return _read_sm(path.read_text()) if path.suffix == ".sm" else _read_sch(path.read_text())


def _input(rows: list[tuple[int, int, list[int]]], lags: list[Lag], capacities: list[int]) -> PlanInput:
    activities = tuple(
        Activity(
            id=str(number),
            kind=ActivityKind.LEAVE,
            short_s=duration,
            long_s=duration,
            needs=tuple((f"r{k}", count) for k, count in enumerate(demand) if count),
        )
        for number, duration, demand in rows
    )
    resources = tuple(Resource(id=f"r{k}", capacity=capacity) for k, capacity in enumerate(capacities))
    return PlanInput(activities=activities, lags=tuple(lags), resources=resources)


def _read_sm(text: str) -> PlanInput:
    lines = text.splitlines()

    def section(title: str, skip: int) -> list[list[int]]:
        start = next(k for k, line in enumerate(lines) if line.startswith(title)) + skip
        found = []
        for line in lines[start:]:
            if line.startswith("*"):
                break
            if line.strip() and not line.startswith("-"):
                found.append([int(word) for word in line.split()])
        return found

    lags = [
        Lag(predecessor=str(row[0]), successor=str(successor))
        for row in section("PRECEDENCE RELATIONS", 2)
        for successor in row[3:]
    ]
    rows = [(row[0], row[2], row[3:]) for row in section("REQUESTS/DURATIONS", 3)]
    return _input(rows, lags, section("RESOURCEAVAILABILITIES", 2)[0])


def _read_sch(text: str) -> PlanInput:
    numbers = [[int(word.strip("[]")) for word in line.split()] for line in text.splitlines() if line.split()]
    count = numbers[0][0] + 2
    lags = []
    for row in numbers[1 : count + 1]:
        successors = row[3 : 3 + row[2]]
        for successor, weight in zip(successors, row[3 + row[2] :], strict=True):
            lags.append(
                Lag(
                    predecessor=str(row[0]),
                    successor=str(successor),
                    at_least_s=weight,
                    predecessor_anchor=Anchor.START,
                    successor_anchor=Anchor.START,
                )
            )
    rows = [(row[0], row[2], row[3:]) for row in numbers[count + 1 : 2 * count + 1]]
    return _input(rows, lags, numbers[2 * count + 1])
