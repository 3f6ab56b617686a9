"""The generated shoots of the benchmark: the same from a seed, of the size asked for, and results kept by section."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest

from shootplan.plan.graph import network_of


@pytest.fixture
def shoots(root: Path, monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    """The benchmark's module, which is no package."""
    spec = importlib.util.spec_from_file_location("shoots", root / "tests" / "benchmarks" / "shoots.py")
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    monkeypatch.setitem(sys.modules, "shoots", module)
    spec.loader.exec_module(module)
    return module


def test_a_seed_gives_one_shoot_of_about_the_size(shoots: ModuleType) -> None:
    """A dish has at most twelve tasks, so the last one goes over by eleven at most; its limits contradict nothing."""
    for size in (25, 100):
        made = shoots.shoot(size, 1)
        assert made == shoots.shoot(size, 1)
        assert made != shoots.shoot(size, 2)
        assert size <= len(made.activities) <= size + 11
        network_of(made).earliest()


def test_the_table_tells_growth_from_size_to_size(shoots: ModuleType) -> None:
    """From 10 tasks in 1 s to 20 in 4 s the exponent is 2; a gap of 0 counts as proven."""

    def run(tasks: int, good_s: float, gap: float) -> object:
        return shoots.Run(
            tasks=tasks, first_s=0.5, first_wrap=110, good_s=good_s, all_s=9.0, best_wrap=100, gap_percent=gap
        )

    lines = shoots.table({10: [run(10, 1.0, 0.0)], 20: [run(20, 4.0, 2.5)]}).splitlines()
    assert lines[2] == "| 10 | 1 | 0.50 | 10.0 | 1.00 |  | 9.0 | 0.0 | 1 |"
    assert lines[3] == "| 20 | 1 | 0.50 | 10.0 | 4.00 | n^2.0 | 9.0 | 2.5 | 0 |"
