"""A solver that runs out of time, a full disk, a folder that may not be written in: each is told plainly."""

from __future__ import annotations

import errno
import shutil
from pathlib import Path

import pytest
from typer.testing import CliRunner

from shootplan.cli import app
from shootplan.model.planning import SolveStatus
from shootplan.plan import planner
from shootplan.plan.cp_sat import Model, Outcome
from shootplan.write.disk import Disk
from tests.planning_helpers import pot_and_pan

RUNNER = CliRunner()


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("SHOOTPLAN_CACHE", "off")
    return pot_and_pan(tmp_path / "night")


@pytest.fixture
def no_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the solver end its time without an answer."""

    def solve(self: Model, *_: object, **__: object) -> Outcome:
        return Outcome(status=SolveStatus.UNKNOWN, schedule=None, bound=0, spent=0.0)

    monkeypatch.setattr(Model, "solve", solve)


def state(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_the_best_plan_is_kept_with_its_gap_when_the_time_ends(
    folder: Path, no_time: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """
    The first plan stands, not called the shortest, with the bound under which there is none.

    The bound is put at 30 min, so that the first plan, of an hour, is not the shortest for certain.
    """
    monkeypatch.setattr(planner._Run, "_is_best_at_both_ends", lambda self, schedule: False)
    monkeypatch.setattr(planner, "lower_bound", lambda *_: 30 * 60)
    done = RUNNER.invoke(app, ["day", str(folder)])
    assert done.exit_code == 0, done.output
    assert "a shorter plan may exist; none is under 30 min" in done.output
    assert "no shorter plan exists" not in done.output


@pytest.mark.parametrize("command", ["day", "times", "build"])
def test_no_plan_in_the_time_is_not_called_impossible(
    folder: Path, no_time: None, monkeypatch: pytest.MonkeyPatch, command: str
) -> None:
    """No rule is blamed, no bug is claimed, nothing is written."""
    monkeypatch.setattr(planner, "best_list_schedule", lambda *_, **__: None)
    done = RUNNER.invoke(app, [command, str(folder)])
    assert done.exit_code == 3, done.output
    assert "no plan was found in the time that the planner may take" in done.output
    assert "rules together" not in done.output and "bug" not in done.output
    assert not (folder / "out").exists()


@pytest.mark.parametrize(("code", "words"), [(errno.ENOSPC, "the disk is full"), (errno.EROFS, "it is read-only")])
def test_whichever_document_the_disk_refuses_the_old_ones_stay(
    folder: Path, monkeypatch: pytest.MonkeyPatch, code: int, words: str
) -> None:
    """The first, a middle and the last document cannot be written: code 4, why, and the output of before, whole."""
    assert RUNNER.invoke(app, ["build", str(folder)]).exit_code == 0
    before, real = state(folder / "out"), Disk.write
    written, refused = 0, -1

    def write(self: Disk, path: Path, content: bytes) -> None:
        nonlocal written
        written += 1
        if written == refused:
            raise OSError(code, "refused")
        real(self, path, content)

    monkeypatch.setattr(Disk, "write", write)
    (folder / "episode.md").write_text((folder / "episode.md").read_text("utf-8").replace("# Test", "# Night"), "utf-8")
    again = shutil.copytree(folder, folder.parent / "again")
    assert RUNNER.invoke(app, ["build", str(again)]).exit_code == 0
    most = written
    assert most > 10
    for number in (1, most // 2, most):
        written, refused = 0, number
        done = RUNNER.invoke(app, ["build", str(folder)])
        assert done.exit_code == 4, done.output
        assert words in done.output
        assert state(folder / "out") == before
