"""
The command line: parse the arguments, call ``app``, print, end with an exit code. No decision is made here.

| exit code | meaning |
|---|---|
| 0 | done; warnings allowed unless ``--strict`` |
| 1 | the input has errors, all of them printed |
| 2 | wrong command line |
| 3 | sound input, but no schedule satisfies it |
| 4 | a file could not be read or written |
| 70 | a bug of ours |
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer
from typer.models import CommandInfo

from shootplan.cli import (
    agreement_commands,
    board_commands,
    bring_commands,
    changes_commands,
    film_commands,
    pack_commands,
    planning_commands,
    replan_commands,
    retime_commands,
    script_commands,
    season_commands,
)
from shootplan.cli.console import (
    EXIT_INPUT,
    AsJson,
    Debug,
    EpisodeFolder,
    Progress,
    Strict,
    checked_json,
    guard,
    is_colour,
    print_findings,
    print_json,
    refuse_warnings,
    report,
)

__all__ = ["app", "main"]

app = typer.Typer(
    name="shootplan",
    help="Plan, cost, script and caption a cooking episode from recipes, prices and a kitchen in plain text.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)


def _version(wanted: bool) -> None:
    if wanted:
        from shootplan import __version__

        typer.echo(f"shootplan {__version__}")
        raise typer.Exit


@app.callback()
def _start(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    """Plan, cost, script and caption a cooking episode from recipes, prices and a kitchen in plain text."""


@app.command()
def check(episode: EpisodeFolder, as_json: AsJson = False, strict: Strict = False, debug: Debug = False) -> None:
    """Read everything and print every problem and caution; write nothing."""

    def run() -> int:
        from shootplan.app import check as check_episode

        checked = check_episode(episode)
        if as_json:
            print_json(checked_json(checked.problems, checked.findings))
        else:
            report(checked.problems)
            print_findings(checked.findings)
        stops = checked.has_errors or (strict and bool(checked.problems))
        return EXIT_INPUT if stops else 0

    guard(run, debug=debug)


@app.command()
def build(
    episode: EpisodeFolder,
    out: Annotated[Path | None, typer.Option(help="Where to write; default: EPISODE/out.", show_default=False)] = None,
    cards: Annotated[
        bool, typer.Option("--cards", help="Also write each caption as a transparent SVG of the picture's size.")
    ] = False,
    filmed: Annotated[
        bool, typer.Option("--filmed", help="Also plan the day with cameras and write the shoot day; takes longer.")
    ] = False,
    workers: Annotated[int, typer.Option(min=1, help="Solver threads; more than 1 is not repeatable.")] = 1,
    as_json: AsJson = False,
    strict: Strict = False,
    debug: Debug = False,
) -> None:
    """Write every document of the episode."""

    def run() -> int:
        from shootplan.app import build as build_episode
        from shootplan.app import load

        if strict:
            refuse_warnings(load(episode))
        with Progress() as progress:
            built = build_episode(
                episode, out=out, progress=progress.show, workers=workers, with_cards=cards, with_film=filmed
            )
        report(built.publication.problems)
        if as_json:
            print_json({"folder": str(built.folder), "files": list(built.paths), "kept_aside": list(built.kept_aside)})
            return 0
        from shootplan.render.terminal import build_view

        view = build_view(built.publication, folder=str(built.folder), kept_aside=built.kept_aside, colour=is_colour())
        typer.echo(view)
        return 0

    guard(run, debug=debug)


@app.command()
def times(episode: EpisodeFolder, as_json: AsJson = False, debug: Debug = False) -> None:
    """Show active, passive and elapsed time of each recipe and of the episode."""

    def run() -> int:
        from shootplan.app import load
        from shootplan.app import times as time_all
        from shootplan.render.terminal import times_json, times_view

        with Progress() as progress:
            loaded = load(episode)
            progress.show("timing")
            result = time_all(loaded)
        report(loaded.problems)
        if as_json:
            print_json(times_json(loaded.resolved, result))
        else:
            typer.echo(times_view(loaded.resolved, result, colour=is_colour()))
        return 0

    guard(run, debug=debug)


@app.command()
def costs(episode: EpisodeFolder, as_json: AsJson = False, debug: Debug = False) -> None:
    """Show what each recipe costs, line by line, and whether each claim holds."""

    def run() -> int:
        from shootplan.app import cost, load
        from shootplan.render.terminal import costs_json, costs_view

        loaded = load(episode)
        result, findings = cost(loaded)
        report(loaded.problems)
        if as_json:
            print_json(costs_json(loaded.resolved, result))
        else:
            typer.echo(costs_view(loaded.resolved, result, colour=is_colour()))
            print_findings(findings)
        return 0

    guard(run, debug=debug)


@app.command()
def shop(episode: EpisodeFolder, as_json: AsJson = False, debug: Debug = False) -> None:
    """Show what to buy for the whole episode, by kind of shop, and what it comes to at the till."""

    def run() -> int:
        from shootplan.app import load
        from shootplan.app import shop as shop_all
        from shootplan.render.terminal import printer_of, shopping_json, shopping_view

        loaded = load(episode)
        result = shop_all(loaded)
        report(loaded.problems)
        if as_json:
            print_json(shopping_json(result))
        else:
            typer.echo(shopping_view(loaded.resolved, result, printer_of(loaded.resolved, result.places)))
        return 0

    guard(run, debug=debug)


@app.command()
def explain(
    episode: EpisodeFolder,
    ingredient: Annotated[str, typer.Argument(help="Words of an ingredient, like leeks.", show_default=False)],
    as_json: AsJson = False,
    debug: Debug = False,
) -> None:
    """Tell how each figure of an ingredient came about: price row, pack, yield, tables, each with its source."""

    def run() -> int:
        from shootplan.app import explain as explain_all
        from shootplan.app import load

        loaded = load(episode)
        sentences = explain_all(loaded, ingredient)
        report(loaded.problems)
        if as_json:
            print_json({"schema_version": 1, "ingredient": ingredient, "sentences": list(sentences)})
        else:
            typer.echo("\n".join(sentences))
        return 0

    guard(run, debug=debug)


@app.command()
def day(
    episode: EpisodeFolder,
    is_filmed: Annotated[
        bool, typer.Option("--filmed", help="With cameras, re-rigs, takes and the meal break.")
    ] = False,
    then: Annotated[
        list[film_commands.Aim] | None,
        typer.Option(help="With --filmed: asked for after the shortest wrap, in order; default: rerigs."),
    ] = None,
    time_limit: Annotated[
        float | None,
        typer.Option(
            min=0.1,
            help="With --filmed: solver time in steps of work, not seconds (one takes about 1.5 to 4 s); "
            "the same limit gives the same plan everywhere.",
            show_default=False,
        ),
    ] = None,
    workers: Annotated[int, typer.Option(min=1, help="Solver threads; more than 1 is not repeatable.")] = 1,
    as_json: AsJson = False,
    debug: Debug = False,
) -> None:
    """Show the day by the clock: who does what, on which ring, what runs meanwhile. Ctrl-C keeps the best so far."""

    def run() -> int:
        if is_filmed:
            return film_commands.show_filmed_day(
                episode, aims=then or (), time_limit=time_limit, workers=workers, as_json=as_json
            )
        from shootplan.app import Solver, load, plan
        from shootplan.render.terminal import day_json, day_view

        with Progress() as progress:
            loaded = load(episode)
            progress.show("planning the day")
            planned = plan(loaded, solver=Solver(progress=progress.show, workers=workers))
        report(loaded.problems)
        if as_json:
            print_json(
                day_json(
                    loaded.resolved,
                    planned.result,
                    planned.rows,
                    planned.peaks,
                    explained=(planned.plan_input, planned.chain, planned.gaps),
                )
            )
        else:
            from shootplan.render.terminal import chain_view, explained_view

            view = day_view(loaded.resolved, planned.result, planned.rows, planned.peaks, colour=is_colour())
            if planned.result.schedule is not None:
                schedule, rows = planned.result.schedule, planned.rows
                view += "\n" + explained_view(loaded.resolved, planned.plan_input, schedule, rows, planned.gaps)
            view += "\n" + chain_view(loaded.resolved, planned.plan_input, planned.chain)
            typer.echo(view)
        return 0

    guard(run, debug=debug)


@app.command()
def pace(
    file: Annotated[
        Path,
        typer.Argument(
            metavar="FILE", help="Timed text of a past episode: WebVTT, SubRip or [m:ss] lines.", show_default=False
        ),
    ],
    as_json: AsJson = False,
    debug: Debug = False,
) -> None:
    """Measure how fast a presenter speaks, and print the line for the kitchen file."""

    def run() -> int:
        from shootplan.app import pace as measure
        from shootplan.render.pace_text import pace_json, pace_view

        fit, problems = measure(file)
        report(problems)
        if as_json:
            print_json(pace_json(fit))
        else:
            typer.echo(pace_view(fit))
        return 0

    guard(run, debug=debug)


changes_commands.add_to(app)
script_commands.add_to(app)
agreement_commands.add_to(app)
pack_commands.add_to(app)
planning_commands.add_to(app)
bring_commands.add_to(app)
replan_commands.add_to(app)
board_commands.add_to(app)
retime_commands.add_to(app)
season_commands.add_to(app)


def main() -> None:
    """Run the command line; of a command that is named only its own options are prepared, which starts faster."""
    every = app.registered_commands
    asked = [command for command in every if sys.argv[1:2] == [_name(command)]]
    app.registered_commands = asked or every
    try:
        app()
    finally:
        app.registered_commands = every


def _name(command: CommandInfo) -> str:
    return command.name or (command.callback.__name__.replace("_", "-") if command.callback is not None else "")
