"""The commands of the day itself: the rest of the day from what happened, planned against real minutes."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from shootplan.cli.console import AsJson, Debug, EpisodeFolder, Progress, guard, is_colour, print_json, report

__all__ = ["add_to"]

_At = Annotated[
    str,
    typer.Option(metavar="TIME", help="The time of day now, like 11:40 or '2026-10-06 11:40'.", show_default=False),
]
_Done = Annotated[
    list[str] | None,
    typer.Option(metavar="STEP@10:05-10:12", help="A step that is done, from when to when.", show_default=False),
]
_Running = Annotated[
    list[str] | None, typer.Option(metavar="STEP@11:30", help="A step that runs, since when.", show_default=False)
]
_Late = Annotated[
    list[str] | None,
    typer.Option(metavar="'STEP 20 min'", help="A step that is so much later than planned.", show_default=False),
]
_Swapped = Annotated[
    list[str] | None,
    typer.Option(metavar="STEP", help="A step whose wait a dish made earlier stands in for.", show_default=False),
]
_Log = Annotated[Path | None, typer.Option(metavar="FILE", help="The day's log.", show_default=False)]
_Filmed = Annotated[bool, typer.Option("--filmed", help="The filmed day: cameras, takes, the meal.")]
_LogArgument = Annotated[Path, typer.Argument(metavar="LOG", help="The day's log.", show_default=False)]


def add_to(app: typer.Typer) -> None:
    """Add the commands."""
    app.command()(replan)
    app.command(name="real-minutes")(real_minutes)


def replan(
    episode: EpisodeFolder,
    at: _At,
    done: _Done = None,
    running: _Running = None,
    late: _Late = None,
    swapped: _Swapped = None,
    log: _Log = None,
    filmed: _Filmed = False,
    as_json: AsJson = False,
    debug: Debug = False,
) -> None:
    """Plan the rest of the day from what has really happened: next steps, new wrap, limits, what moved and why."""

    def run() -> int:
        from shootplan.app import load
        from shootplan.app.replanning import read_log, read_words, replan_day
        from shootplan.render.replan_text import replan_json, replan_view

        lines, problems = read_log(log) if log is not None else ((), ())
        told, more = read_words(done=done or (), running=running or (), late=late or (), swapped=swapped or ())
        with Progress() as progress:
            loaded = load(episode)
            progress.show("planning the rest of the day")
            answer = replan_day(
                loaded,
                episode,
                at=at,
                lines=(*lines, *told),
                problems=(*problems, *more),
                is_filmed=filmed,
                progress=progress.show,
            )
        report((*loaded.problems, *answer.problems))
        if as_json:
            print_json(replan_json(loaded.resolved, answer.replan))
        else:
            typer.echo(replan_view(loaded.resolved, answer.replan, colour=is_colour()))
        return 0

    guard(run, debug=debug)


def real_minutes(episode: EpisodeFolder, log: _LogArgument, as_json: AsJson = False, debug: Debug = False) -> None:
    """Compare planned with real minutes of each step in a day's log, and offer ranges that hold both."""

    def run() -> int:
        from shootplan.app import load
        from shootplan.app.replanning import measure, read_log
        from shootplan.render.replan_text import measured_json, measured_view

        lines, problems = read_log(log)
        loaded = load(episode)
        found, problems = measure(loaded, lines, problems)
        report((*loaded.problems, *problems))
        if as_json:
            print_json(measured_json(found))
        else:
            typer.echo(measured_view(found, colour=is_colour()))
        return 0

    guard(run, debug=debug)
