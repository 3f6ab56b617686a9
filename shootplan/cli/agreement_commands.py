"""The command about what texts and documents say of the facts."""

from __future__ import annotations

import typer

from shootplan.cli.console import EXIT_INPUT, AsJson, Debug, EpisodeFolder, Progress, Strict, guard, print_json, report

__all__ = ["add_to"]


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(agree)


def agree(episode: EpisodeFolder, as_json: AsJson = False, strict: Strict = False, debug: Debug = False) -> None:
    """Compare every typed figure with its fact, run the twenty checks, read the documents back."""

    def run() -> int:
        from shootplan.app import load
        from shootplan.app.agreement import agree as agree_all
        from shootplan.render.basis import Basis
        from shootplan.render.views_agreement import agreement_json, agreement_text

        with Progress() as progress:
            loaded = load(episode)
            own = episode / "templates"
            agreement, publication = agree_all(loaded, progress=progress.show, templates=own if own.is_dir() else None)
        report(publication.problems)
        if as_json:
            print_json(agreement_json(agreement))
        else:
            typer.echo(agreement_text(Basis.of(publication), agreement))
        return EXIT_INPUT if strict and agreement.is_broken else 0

    guard(run, debug=debug)
