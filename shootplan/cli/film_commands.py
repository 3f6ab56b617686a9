"""The filmed day on the command line: what ``day EPISODE --filmed`` does."""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from pathlib import Path

import typer

from shootplan.cli.console import Progress, is_colour, print_json, report

__all__ = ["Aim", "show_filmed_day"]


class Aim(StrEnum):
    """What is asked for after the shortest wrap."""

    RERIGS = "rerigs"
    CAMERA = "camera"
    FRESH = "fresh"


def show_filmed_day(
    episode: Path, *, aims: Sequence[Aim], time_limit: float | None, workers: int, as_json: bool
) -> int:
    """Plan and print the filmed day; return the exit code."""
    from shootplan.app import load
    from shootplan.app.film import film
    from shootplan.render.film_text import film_json, film_text

    with Progress() as progress:
        loaded = load(episode)
        progress.show("planning the filmed day")
        asked = tuple(dict.fromkeys(aim.value for aim in aims)) or (Aim.RERIGS.value,)
        day = film(loaded, aims=asked, budget=time_limit, workers=workers, progress=progress.show)
    report(loaded.problems)
    if as_json:
        print_json(film_json(loaded.resolved, day))
    else:
        typer.echo(film_text(loaded.resolved, day, colour=is_colour()))
    return 0
