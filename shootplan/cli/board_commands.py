"""The commands that serve pages: the day's board, and the documents while somebody writes."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from shootplan.cli.console import Debug, EpisodeFolder, guard

__all__ = ["add_to"]

_Host = Annotated[str, typer.Option(help="The address to listen on; 0.0.0.0 for the kitchen's network.")]
_Port = Annotated[int, typer.Option(min=0, max=65535, help="The port; 0 for any that is free.")]
_Rehearse = Annotated[
    str,
    typer.Option(
        metavar="TIME",
        help="Play a rehearsal that begins at this time; of several days, like '2026-10-06 09:00', else on the first.",
        show_default=False,
    ),
]
_Filmed = Annotated[bool, typer.Option("--filmed", help="The filmed day: cameras, takes, the meal.")]
_Out = Annotated[Path | None, typer.Option(help="Where the documents go; EPISODE/out unless told.", show_default=False)]


def add_to(app: typer.Typer) -> None:
    """Add the commands."""
    app.command()(board)
    app.command()(watch)


def board(
    episode: EpisodeFolder,
    host: _Host = "127.0.0.1",
    port: _Port = 8642,
    rehearse: _Rehearse = "",
    filmed: _Filmed = False,
    debug: Debug = False,
) -> None:
    """Serve the day's board: now, next, what runs by itself, limits; tick what is done and the rest is planned anew."""

    def run() -> int:
        from shootplan.board.serve import serve

        serve(episode, host=host, port=port, rehearse=rehearse, is_filmed=filmed, tell=typer.echo)
        return 0

    guard(run, debug=debug)


def watch(episode: EpisodeFolder, out: _Out = None, port: _Port = 8643, debug: Debug = False) -> None:
    """Build whenever a file is saved, and show the documents in a page that follows."""

    def run() -> int:
        from shootplan.board.preview import watch as watch_files

        watch_files(episode, out=out, port=port, tell=typer.echo)
        return 0

    guard(run, debug=debug)
