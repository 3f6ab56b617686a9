"""Fixtures shared by all tests."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from shootplan.model.publication import Publication

ROOT = Path(__file__).resolve().parent.parent
DEMOS = ROOT / "demo_episodes"
DEMO_NAMES = ("tuesday-supper", "waiting-day", "six-lunches")


def pytest_addoption(parser: pytest.Parser) -> None:
    """Add ``--update-golden``, which rewrites the golden files instead of comparing."""
    parser.addoption("--update-golden", action="store_true", help="rewrite the golden files")


@pytest.fixture(scope="session", autouse=True)
def own_cache(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Keep compiled templates and solved plans of a test run out of the user's cache, and theirs out of the run."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("SHOOTPLAN_CACHE", str(tmp_path_factory.mktemp("cache")))
        yield


@pytest.fixture(scope="session")
def root() -> Path:
    """The checkout."""
    return ROOT


@pytest.fixture(scope="session", params=DEMO_NAMES)
def demo(request: pytest.FixtureRequest) -> Path:
    """Each demo episode's folder in turn."""
    return DEMOS / str(request.param)


@lru_cache(maxsize=len(DEMO_NAMES))
def published(name: str) -> Publication:
    """Return everything computed for a demo, once in a session."""
    from shootplan.app import load, publish

    return publish(load(DEMOS / name))


@pytest.fixture(scope="session")
def supper_publication() -> Publication:
    """Everything computed for the first demo."""
    return published(DEMO_NAMES[0])


@pytest.fixture(scope="session")
def demo_publication(demo: Path) -> Publication:
    """Everything computed for each demo in turn."""
    return published(demo.name)


@pytest.fixture(scope="session")
def demo_documents(demo_publication: Publication) -> Mapping[str, str]:
    """All documents of each demo in turn, by relative path."""
    from shootplan.app import documents

    return documents(demo_publication)
