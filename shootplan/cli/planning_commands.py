"""The commands that ask about the day: swap-outs, what if, ranges and risk, plans that trade."""

from __future__ import annotations

from typing import Annotated

import typer

from shootplan.cli.console import AsJson, Debug, EpisodeFolder, Progress, guard, is_colour, print_json, report

__all__ = ["add_to"]

_TEN_MINUTES_S = 600


def add_to(app: typer.Typer) -> None:
    """Add the commands."""
    app.command()(swaps)


def swaps(
    episode: EpisodeFolder,
    any_wait: Annotated[
        bool, typer.Option("--any", help="Also waits of ten minutes or more that are unmarked.")
    ] = False,
    as_json: AsJson = False,
    debug: Debug = False,
) -> None:
    """Show what each duplicate, and useful combinations of them, would save of the day and cost."""

    def run() -> int:
        from shootplan.app import Solver, load
        from shootplan.app.swaps import swaps as find_swaps
        from shootplan.cost import minor_digits
        from shootplan.render.swaps_text import swaps_json, swaps_view
        from shootplan.render.terminal import printer_of

        with Progress() as progress:
            loaded = load(episode)
            progress.show("planning the day with duplicates")
            found = find_swaps(
                loaded, solver=Solver(progress=progress.show), least_s=_TEN_MINUTES_S if any_wait else None
            )
        report(loaded.problems)
        if as_json:
            print_json(swaps_json(found))
            return 0
        printer = printer_of(loaded.resolved, minor_digits(loaded.episode.currency))
        typer.echo(swaps_view(found, loaded.episode.call_time, printer, colour=is_colour()))
        return 0

    guard(run, debug=debug)
