"""Trade-offs from the command line."""

from __future__ import annotations

import json
import sys
from pathlib import Path

from typer.testing import CliRunner

from shootplan.cli import app

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from planning_helpers import pot_and_pan


def run(*words: str) -> tuple[int, str, str]:
    """Run the command line in this process: exit code, stdout, stderr."""
    result = CliRunner().invoke(app, list(words))
    return result.exit_code, result.stdout, result.stderr


def test_plans_stand_side_by_side_and_each_can_be_printed(tmp_path: Path) -> None:
    """
    Pot: chop 10, simmer 45, plate 5. Pan: mix 12, rest 20, fry 10, plate 5.

    Together 62; one after the other 60 + 47 = 107. The pot waits for its plate while the pan is plated first or not
    at all, so the plans differ in changes of dish.
    """
    folder = str(pot_and_pan(tmp_path / "e"))
    code, out, err = run("trade-offs", folder, "--json")
    assert (code, err) == (0, "")
    plans = json.loads(out)["plans"]
    assert (plans[0]["wrap_s"], plans[-1]["wrap_s"]) == (62 * 60, 107 * 60)
    assert plans[-1]["changes"] == 1
    code, out, _ = run("trade-offs", folder)
    assert code == 0
    assert "one dish after the other" in out
    last = plans[-1]["plan"]
    code, out, _ = run("trade-offs", folder, "--show", last.lower())
    assert code == 0
    assert "call 09:00, wrap 10:47" in out
    code, _, err = run("trade-offs", folder, "--show", "Z")
    assert code == 2
    assert "no plan 'Z'; plans are A" in err
