"""The command that brings in recipes of other pages."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from shootplan.cli.console import AsJson, Debug, guard, print_json, report

__all__ = ["add_to"]


def add_to(app: typer.Typer) -> None:
    """Add ``bring-in``."""

    @app.command(name="bring-in")
    def bring_in(
        file: Annotated[
            Path,
            typer.Argument(metavar="FILE", help="A page or a JSON file with a schema.org Recipe.", show_default=False),
        ],
        out: Annotated[Path, typer.Option(help="The folder for the recipe files; nothing there is replaced.")] = Path(),
        as_json: AsJson = False,
        debug: Debug = False,
    ) -> None:
        """Turn a schema.org recipe into a recipe file, and list what could not be read."""

        def run() -> int:
            from shootplan.app.bring_in import bring_in as bring

            brought = bring(file, out=out)
            report([problem for recipe in brought for problem in recipe.problems])
            if as_json:
                print_json(
                    {"recipes": [{"path": i.path, "title": i.title, "remarks": list(i.remarks)} for i in brought]}
                )
                return 0
            for recipe in brought:
                typer.echo(f"{recipe.title}: {recipe.path}")
                for remark in recipe.remarks:
                    typer.echo(f"  - {remark}")
            return 0

        guard(run, debug=debug)
