"""The table of texts with planted disagreements, and the demos, which have none."""

from __future__ import annotations

import sys
from collections import Counter
from pathlib import Path

import pytest

from shootplan.app import check

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "benchmarks"))

from agreement import Case, cases


@pytest.fixture(scope="module")
def table() -> list[Case]:
    """The texts of the table, read back."""
    return list(cases())


def test_the_table_plants_each_kind_three_times_and_has_sound_texts(table: list[Case]) -> None:
    """Enough texts that precision and recall mean something."""
    kinds = Counter(case.planted for case in table)
    assert kinds.pop("none") >= 60
    assert sum(kinds.values()) >= 100
    assert min(kinds.values()) >= 3


def test_planted_disagreements_are_found(table: list[Case]) -> None:
    """Every text with a figure planted wrong is found out."""
    assert [case.words for case in table if case.planted != "none" and not case.is_right] == []


def test_sound_texts_pass(table: list[Case]) -> None:
    """No sound text is called wrong."""
    wrong = [(case.words, case.found) for case in table if case.planted == "none" and not case.is_right]
    assert wrong == []


def test_the_demos_raise_no_false_alarm(demo: Path) -> None:
    """Each typed figure of the demos agrees or has no fact."""
    assert [item for item in check(demo).problems if item.code == "figure-differs"] == []
