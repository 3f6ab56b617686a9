"""Only the command that is asked for is prepared, and nobody can tell."""

from __future__ import annotations

import sys

import pytest
from typer.main import get_command

from shootplan.cli import _name, app, main


def _said(arguments: list[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> tuple[str, int]:
    monkeypatch.setattr(sys, "argv", ["shootplan", *arguments])
    with pytest.raises(SystemExit) as stop:
        main()
    said = capsys.readouterr()
    return said.out + said.err, int(stop.value.code or 0)


def test_names_are_those_of_the_help() -> None:
    """A command is found under the name by which the user calls it."""
    assert {_name(command) for command in app.registered_commands} == set(get_command(app).commands)  # type: ignore[attr-defined]


@pytest.mark.parametrize("name", ["build", "what-if", "real-minutes"])
def test_a_command_alone_stays_a_command(
    name: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Its help is as before, and afterwards all commands stand again."""
    every = list(app.registered_commands)
    text, code = _said([name, "--help"], monkeypatch, capsys)
    assert code == 0
    assert f" {name} [OPTIONS]" in text
    assert app.registered_commands == every


def test_a_wrong_name_is_told_among_all_commands(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A slip of the pen ends as before: exit code 2 and the near name."""
    text, code = _said(["biuld"], monkeypatch, capsys)
    assert code == 2
    assert "biuld" in text
    assert "build" in text.replace("biuld", "")
