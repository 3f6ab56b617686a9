"""The command ``season``: every episode under a folder."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from shootplan.cli.console import EXIT_INPUT, AsJson, Debug, Progress, guard, print_json
from shootplan.model.season import Task

__all__ = ["add_to"]


def season(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Holds episodes at any depth.", show_default=False)],
    do: Annotated[Task, typer.Option("--do", help="What to do with each episode.")] = Task.COSTS,
    on: Annotated[
        datetime | None,
        typer.Option(formats=["%Y-%m-%d"], help="Judge claims at the prices of this day.", show_default=False),
    ] = None,
    price: Annotated[
        list[str] | None,
        typer.Option(
            metavar="ITEM=PRICE", help="A price to try, like rolled oats=2.10; may be repeated.", show_default=False
        ),
    ] = None,
    workers: Annotated[
        int | None, typer.Option(min=1, help="Processes; default: one for each core.", show_default=False)
    ] = None,
    anew: Annotated[bool, typer.Option("--anew", help="Also what has not changed since the last time.")] = False,
    as_json: AsJson = False,
    debug: Debug = False,
) -> None:
    """Check, cost or build every episode of a season; tell which published claims fail at other prices."""

    def run() -> int:
        from shootplan.app.season import season as go_through
        from shootplan.render.season_text import season_json, season_view

        with Progress() as progress:
            report = go_through(
                folder,
                task=do,
                on=on.date() if on is not None else None,
                corrections=price or (),
                workers=workers,
                is_anew=anew,
                progress=progress.show,
            )
        if as_json:
            print_json(season_json(report))
        else:
            typer.echo(season_view(report))
        return 0 if all(review.is_sound for review in report.reviews) else EXIT_INPUT

    guard(run, debug=debug)


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(season)
