"""Every problem code is raised somewhere, listed in the contributor's guide, and provoked by some test."""

from __future__ import annotations

from pathlib import Path

import pytest

from shootplan.problems import CODES, Problem, Span, did_you_mean

ROOT = Path(__file__).resolve().parents[2]


def _sources(folder: str) -> str:
    return "\n".join(path.read_text(encoding="utf-8") for path in sorted((ROOT / folder).rglob("*.py")))


HEADING = "## Problem and finding codes"


def _table() -> str:
    rows = "".join(f"| `{code}` | {meaning} |\n" for code, meaning in sorted(CODES.items()))
    return f"\n\n| code | meaning |\n| --- | --- |\n{rows}"


def test_the_guide_lists_exactly_the_codes_that_exist(request: pytest.FixtureRequest) -> None:
    """DEVELOPERS.md ends with a table of all codes and their meanings; ``--update-golden`` rewrites it."""
    guide = ROOT / "DEVELOPERS.md"
    text = guide.read_text(encoding="utf-8")
    if request.config.getoption("--update-golden"):
        guide.write_text(text.split(HEADING, 1)[0] + HEADING + _table(), encoding="utf-8")
        text = guide.read_text(encoding="utf-8")
    assert text.split(HEADING, 1)[1] == _table()


def test_every_code_is_used_by_the_program() -> None:
    """A code that nothing raises is dead and goes."""
    text = _sources("shootplan")
    unused = [code for code in CODES if f'"{code}"' not in text]
    assert unused == []


def test_every_code_is_provoked_by_a_test() -> None:
    """Each code stands in a test that asserts it."""
    text = _sources("tests")
    untested = [code for code in CODES if f'"{code}"' not in text]
    assert untested == []


def test_an_unlisted_code_is_refused() -> None:
    """A programmer's slip in a code is found at once."""
    with pytest.raises(ValueError, match="not in CODES"):
        Problem(span=Span("a.md"), code="no-such-code", message="x")


def test_did_you_mean_names_the_nearest_in_order() -> None:
    """The hint quotes up to three near names and is absent when nothing is near."""
    assert did_you_mean("tbps", ["tbsp", "tsp", "cup"]) == 'did you mean "tbsp"?'
    assert did_you_mean("pant", ["Pan", "pint", "cup"]) == 'did you mean "Pan" or "pint"?'
    assert did_you_mean("zzz", ["tbsp"]) is None
