"""The command about the finished edit."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from shootplan.cli.console import (
    EXIT_INPUT,
    AsJson,
    Debug,
    EpisodeFolder,
    Progress,
    Strict,
    guard,
    print_findings,
    print_json,
    report,
)

if TYPE_CHECKING:
    from shootplan.model.timecode import Rate

__all__ = ["add_to"]

_LENGTH = re.compile(r"(?:([0-9]{1,2}):)?([0-9]{1,3}):([0-5][0-9])(?:[.,]([0-9]{1,3}))?")


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(retime)


def retime(
    episode: EpisodeFolder,
    cut: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE",
            help="The finished edit: CMX 3600 list, OpenTimelineIO, markers, or subtitles of its speech.",
            show_default=False,
        ),
    ] = None,
    length: Annotated[
        str | None, typer.Option(metavar="M:SS", help="Only the new length, for a first guess.", show_default=False)
    ] = None,
    out: Annotated[Path | None, typer.Option(help="Where to write; default: EPISODE/out.", show_default=False)] = None,
    rate: Annotated[
        str | None, typer.Option(help="Frames a second of the edit; default: the episode's.", show_default=False)
    ] = None,
    start: Annotated[
        str | None,
        typer.Option(
            metavar="TIMECODE",
            help="Timecode of the video's first frame; default: the first event's.",
            show_default=False,
        ),
    ] = None,
    over_cuts: Annotated[
        bool, typer.Option("--over-cuts", help="Let captions run on over a cut rather than leave them out.")
    ] = False,
    as_json: AsJson = False,
    strict: Strict = False,
    debug: Debug = False,
) -> None:
    """Move captions, chapters and description onto the finished edit; tell what moved and what is lost."""
    if (cut is None) == (length is None):
        raise typer.BadParameter("give the finished edit with --cut, or only its length with --length")
    length_ms = _length_ms(length) if length is not None else None
    frames = _rate(rate, start)

    def run() -> int:
        from shootplan.app.retime import retime as retime_all
        from shootplan.render.retime_text import checks_json, checks_view, retime_json, retime_view

        with Progress() as progress:
            found = retime_all(
                episode,
                cut=cut,
                length_ms=length_ms,
                out=out,
                rate=frames,
                start=start or "",
                over_cuts=over_cuts,
                progress=progress.show,
            )
        report(found.problems)
        if as_json:
            written = {"folder": str(found.folder), "files": list(found.paths), "kept_aside": list(found.kept_aside)}
            print_json({**retime_json(found.report), "checks": checks_json(found.checks), **written})
        else:
            typer.echo(retime_view(found.report))
            print_findings(found.report.findings)
            typer.echo(checks_view(found.checks))
            typer.echo(f"written to {found.folder}: {', '.join(found.paths)}")
            for name in found.kept_aside:
                typer.echo(f"your own version was kept as {name}")
        is_whole = not any(move.is_lost for move in found.report.captions) and not found.problems
        is_whole = is_whole and not any(check.broken for check in found.checks)
        return EXIT_INPUT if strict and not is_whole else 0

    guard(run, debug=debug)


def _length_ms(text: str) -> int:
    match = _LENGTH.fullmatch(text.strip())
    if match is None:
        raise typer.BadParameter(f'"{text}" is not a length; write minutes and seconds, as in 11:20')
    hours, minutes, seconds = (int(part or 0) for part in match.groups()[:3])
    length_ms = ((hours * 60 + minutes) * 60 + seconds) * 1000 + int((match[4] or "").ljust(3, "0"))
    if not length_ms:
        raise typer.BadParameter("a video without length has no captions")
    return length_ms


def _rate(text: str | None, start: str | None) -> Rate | None:
    """Return the rate that was given; a start that is no timecode at all is refused here."""
    from shootplan.model.timecode import RATES, parse_label, parse_rate

    try:
        rate = parse_rate(text) if text is not None else None
        if start is not None:
            parse_label(start, rate or RATES["60"])
    except ValueError as error:
        raise typer.BadParameter(str(error)) from error
    return rate
