"""The page of the benchmarks' results: each section by itself, each figure judged by its aim."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from types import ModuleType

import pytest


@pytest.fixture
def results(root: Path) -> ModuleType:
    """The module, which is in no package."""
    spec = importlib.util.spec_from_file_location("results", root / "tests" / "benchmarks" / "results.py")
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_results_replace_their_own_section_only(results: ModuleType, tmp_path: Path) -> None:
    """What other benchmarks wrote stays; a second run replaces the first."""
    page = tmp_path / "RESULTS.md"
    page.write_text("# Results of the benchmarks\n\n## Other\n\nkept\n", encoding="utf-8")
    results.write("Generated shoots", "first", page=page)
    results.write("Generated shoots", "second", page=page)
    text = page.read_text(encoding="utf-8")
    assert text == "# Results of the benchmarks\n\n## Other\n\nkept\n\n## Generated shoots\n\nsecond\n"


def test_an_aim_that_is_just_reached_is_met(results: ModuleType) -> None:
    """No more than the aim, or no less where more is better."""
    assert [results.verdict(value, 1.5) for value in (1.5, 1.51)] == ["met", "not met"]
    assert [results.verdict(value, 10, is_least=True) for value in (10, 9)] == ["met", "not met"]
