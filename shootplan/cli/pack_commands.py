"""The command that prints the day's papers."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from shootplan.cli.console import Debug, EpisodeFolder, Progress, guard

__all__ = ["add_to"]


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(pack)


def pack(
    episode: EpisodeFolder,
    out: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Where; default: EPISODE/out/pack.pdf.", show_default=False)
    ] = None,
    debug: Debug = False,
) -> None:
    """Print the day's papers (call sheet, order, prep, shopping) into one PDF; needs Chromium or WeasyPrint."""

    def run() -> int:
        from shootplan.app.pack import pack as pack_all

        with Progress() as progress:
            target = pack_all(episode, out=out, progress=progress.show)
        typer.echo(f"written to {target}")
        return 0

    guard(run, debug=debug)
