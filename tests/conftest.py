"""Fixtures shared by all tests."""

from __future__ import annotations

from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
DEMOS = ROOT / "demo_episodes"
DEMO_NAMES = ("tuesday-supper", "waiting-day", "six-lunches")


def pytest_addoption(parser: pytest.Parser) -> None:
    """Add ``--update-golden``, which rewrites the golden files instead of comparing."""
    parser.addoption("--update-golden", action="store_true", help="rewrite the golden files")


@pytest.fixture(scope="session")
def root() -> Path:
    """The checkout."""
    return ROOT


@pytest.fixture(scope="session", params=DEMO_NAMES)
def demo(request: pytest.FixtureRequest) -> Path:
    """Each demo episode's folder in turn."""
    return DEMOS / str(request.param)
