"""The command ``changes``: two saved plans, or an episode with a corrected price."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from shootplan.cli.console import AsJson, Debug, guard, is_colour, print_json

__all__ = ["add_to"]


def changes(
    old: Annotated[
        Path,
        typer.Argument(metavar="OLD", help="A saved plan.json, or the episode's folder.", show_default=False),
    ],
    new: Annotated[
        Path | None, typer.Argument(metavar="NEW", help="The plan.json to compare it with.", show_default=False)
    ] = None,
    price: Annotated[
        list[str] | None,
        typer.Option(
            metavar="ITEM=PRICE", help="A corrected price, like rolled oats=2.10; may be repeated.", show_default=False
        ),
    ] = None,
    as_json: AsJson = False,
    debug: Debug = False,
) -> None:
    """Show what changes from OLD to NEW, or with a corrected price, and what a finished video holds for good."""
    if (new is None) == (not price):
        raise typer.BadParameter("give two saved plans, or an episode and --price ITEM=PRICE")

    def run() -> int:
        from shootplan.app.changes import changes_between, changes_by_price
        from shootplan.render.changes_text import changes_json, changes_view

        report = changes_by_price(old, price or ()) if new is None else changes_between(old, new)
        if as_json:
            print_json(changes_json(report))
        else:
            typer.echo(changes_view(report, colour=is_colour()))
        return 0

    guard(run, debug=debug)


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(changes)
