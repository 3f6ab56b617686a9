"""The commands about the script and the finished video."""

from __future__ import annotations

import typer

from shootplan.cli.console import (
    AsJson,
    Debug,
    EpisodeFolder,
    Progress,
    guard,
    is_colour,
    print_findings,
    print_json,
    report,
)

__all__ = ["add_to"]


def add_to(app: typer.Typer) -> None:
    """Add the commands."""
    app.command()(script)


def script(episode: EpisodeFolder, as_json: AsJson = False, debug: Debug = False) -> None:
    """Show the timed script: picture against sound, captions, and where the length is missed."""

    def run() -> int:
        from shootplan.app import Solver, load
        from shootplan.app.script import script as script_all

        with Progress() as progress:
            loaded = load(episode)
            progress.show("timing the script")
            made = script_all(loaded, solver=Solver(progress=progress.show))
        report(made.problems)
        if as_json:
            from shootplan.render.script_text import script_json

            print_json(script_json(loaded.episode, made.cut))
        else:
            from shutil import get_terminal_size

            from shootplan.render.script_text import script_text

            width = get_terminal_size((120, 24)).columns
            typer.echo(script_text(loaded.episode, made.cut, width=width, colour=is_colour()))
            print_findings(made.findings)
        return 0

    guard(run, debug=debug)
