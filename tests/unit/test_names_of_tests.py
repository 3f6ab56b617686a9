"""Test modules have names of their own: pytest imports them by their bare name, so of two alike one hides the other."""

from __future__ import annotations

from collections import Counter
from pathlib import Path


def test_no_two_test_modules_share_a_name() -> None:
    """Helpers that tests import are among them."""
    names = Counter(path.name for path in Path(__file__).parents[1].rglob("*.py"))
    assert [name for name, count in names.items() if count > 1 and name not in ("conftest.py", "__init__.py")] == []
