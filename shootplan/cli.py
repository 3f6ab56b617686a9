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

import json
import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from shootplan.app import Loaded
    from shootplan.problems import Finding, Problem

__all__ = ["app", "main"]

EXIT_INPUT, EXIT_INFEASIBLE, EXIT_FILE, EXIT_BUG = 1, 3, 4, 70

app = typer.Typer(
    name="shootplan",
    help="Plan, cost, script and caption a cooking episode from recipes, prices and a kitchen in plain text.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)

EpisodeFolder = Annotated[Path, typer.Argument(metavar="EPISODE", help="The episode's folder.", show_default=False)]
AsJson = Annotated[bool, typer.Option("--json", help="Print for machines.")]
Strict = Annotated[bool, typer.Option("--strict", help="Let warnings count as errors.")]
Debug = Annotated[bool, typer.Option("--debug", help="Show where a bug of ours happened.")]


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
            _print_json(_checked_json(checked.problems, checked.findings))
        else:
            _report(checked.problems)
            _print_findings(checked.findings)
        stops = checked.has_errors or (strict and bool(checked.problems))
        return EXIT_INPUT if stops else 0

    _guard(run, debug=debug)


@app.command()
def build(
    episode: EpisodeFolder,
    out: Annotated[Path | None, typer.Option(help="Where to write; default: EPISODE/out.", show_default=False)] = None,
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
            _refuse_warnings(load(episode))
        with _Progress() as progress:
            built = build_episode(episode, out=out, progress=progress.show, workers=workers)
        _report(built.publication.problems)
        if as_json:
            _print_json({"folder": str(built.folder), "files": list(built.paths), "kept_aside": list(built.kept_aside)})
            return 0
        from shootplan.render.terminal import build_view

        view = build_view(built.publication, folder=str(built.folder), kept_aside=built.kept_aside, colour=_is_colour())
        typer.echo(view)
        return 0

    _guard(run, debug=debug)


@app.command()
def times(episode: EpisodeFolder, as_json: AsJson = False, debug: Debug = False) -> None:
    """Show active, passive and elapsed time of each recipe and of the episode."""

    def run() -> int:
        from shootplan.app import load
        from shootplan.app import times as time_all
        from shootplan.render.terminal import times_json, times_view

        with _Progress() as progress:
            loaded = load(episode)
            progress.show("timing")
            result = time_all(loaded)
        _report(loaded.problems)
        if as_json:
            _print_json(times_json(loaded.resolved, result))
        else:
            typer.echo(times_view(loaded.resolved, result, colour=_is_colour()))
        return 0

    _guard(run, debug=debug)


@app.command()
def costs(episode: EpisodeFolder, as_json: AsJson = False, debug: Debug = False) -> None:
    """Show what each recipe costs, line by line, and whether each claim holds."""

    def run() -> int:
        from shootplan.app import cost, load
        from shootplan.render.terminal import costs_json, costs_view

        loaded = load(episode)
        result, findings = cost(loaded)
        _report(loaded.problems)
        if as_json:
            _print_json(costs_json(loaded.resolved, result))
        else:
            typer.echo(costs_view(loaded.resolved, result, colour=_is_colour()))
            _print_findings(findings)
        return 0

    _guard(run, debug=debug)


@app.command()
def shop(episode: EpisodeFolder, as_json: AsJson = False, debug: Debug = False) -> None:
    """Show what to buy for the whole episode, by kind of shop, and what it comes to at the till."""

    def run() -> int:
        from shootplan.app import load
        from shootplan.app import shop as shop_all
        from shootplan.render.terminal import printer_of, shopping_json, shopping_view

        loaded = load(episode)
        result = shop_all(loaded)
        _report(loaded.problems)
        if as_json:
            _print_json(shopping_json(result))
        else:
            typer.echo(shopping_view(loaded.resolved, result, printer_of(loaded.resolved, result.places)))
        return 0

    _guard(run, debug=debug)


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
        _report(loaded.problems)
        if as_json:
            _print_json({"schema_version": 1, "ingredient": ingredient, "sentences": list(sentences)})
        else:
            typer.echo("\n".join(sentences))
        return 0

    _guard(run, debug=debug)


@app.command()
def day(
    episode: EpisodeFolder,
    workers: Annotated[int, typer.Option(min=1, help="Solver threads; more than 1 is not repeatable.")] = 1,
    as_json: AsJson = False,
    debug: Debug = False,
) -> None:
    """Show the day by the clock: who does what, on which ring, and what runs meanwhile."""

    def run() -> int:
        from shootplan.app import Solver, load, plan
        from shootplan.render.terminal import day_json, day_view

        with _Progress() as progress:
            loaded = load(episode)
            progress.show("planning the day")
            planned = plan(loaded, solver=Solver(progress=progress.show, workers=workers))
        _report(loaded.problems)
        if as_json:
            _print_json(day_json(loaded.resolved, planned.result, planned.rows, planned.peaks))
        else:
            from shootplan.render.terminal import chain_view

            view = day_view(loaded.resolved, planned.result, planned.rows, planned.peaks, colour=_is_colour())
            view += "\n" + chain_view(loaded.resolved, planned.plan_input, planned.chain)
            typer.echo(view)
        return 0

    _guard(run, debug=debug)


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
        _report(problems)
        if as_json:
            _print_json(pace_json(fit))
        else:
            typer.echo(pace_view(fit))
        return 0

    _guard(run, debug=debug)


def main() -> None:
    """Run the command line."""
    app()


def _guard(run: Callable[[], int], *, debug: bool) -> None:
    """Run a command and turn the errors that users may meet into printed lines and exit codes."""
    from shootplan import problems as family

    try:
        code = run()
    except family.InputError as error:
        _report(error.problems)
        code = EXIT_INPUT
    except family.InfeasiblePlan as error:
        _tell_conflicts(error)
        code = EXIT_INFEASIBLE
    except (family.OutputError, family.ResourceError, OSError) as error:
        typer.echo(f"error: {error}", err=True)
        code = EXIT_FILE
    except Exception as error:
        if debug:
            raise
        typer.echo(
            f"error: a bug in shootplan ({type(error).__name__}: {error}); run again with --debug for the place",
            err=True,
        )
        code = EXIT_BUG
    if code:
        raise typer.Exit(code)


def _refuse_warnings(loaded: Loaded) -> None:
    from shootplan.problems import InputError

    if loaded.problems:
        raise InputError(loaded.problems)


def _tell_conflicts(error: Exception) -> None:
    typer.echo("error: no plan keeps all of these rules together:", err=True)
    for conflict in getattr(error, "conflicts", ()):
        place = f"{conflict.span}: " if conflict.span is not None else ""
        typer.echo(f"  - {place}{conflict.rule}", err=True)
    typer.echo("  loosen one of them, or give the kitchen more of what is short", err=True)


# ------------------------------------------------------------------------------------------------ printing


def _report(problems: Sequence[Problem]) -> None:
    """Print problems to stderr, each with its line, sorted, with a count at the end."""
    if not problems:
        return
    lines: dict[str, list[str]] = {}
    for problem in problems:
        span = problem.span
        typer.echo(f"{span}: {_paint(problem.severity.value)}[{problem.code}]: {problem.message}", err=True)
        source = _source_line(span.path, span.line, lines)
        if source:
            gutter = f"{span.line:>6} | "
            typer.echo(gutter + source, err=True)
            marks = "^" * max(1, min(span.end_column, len(source) + 1) - span.column)
            typer.echo(" " * (len(gutter) + span.column - 1) + marks, err=True)
        if problem.hint:
            typer.echo(f"  hint: {problem.hint}", err=True)
        for other in problem.related:
            typer.echo(f"  see also: {other}", err=True)
    typer.echo(_count_line(problems), err=True)


def _count_line(problems: Sequence[Problem]) -> str:
    errors = sum(problem.is_error for problem in problems)
    warnings = len(problems) - errors
    files = len({problem.span.path for problem in problems})
    return f"{_plural(errors, 'error')}, {_plural(warnings, 'warning')} in {_plural(files, 'file')}"


def _plural(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"


def _source_line(path: str, number: int, cache: dict[str, list[str]]) -> str:
    if path not in cache:
        try:
            cache[path] = Path(path).read_text(encoding="utf-8-sig").splitlines()
        except (OSError, UnicodeDecodeError, ValueError):
            cache[path] = []
    lines = cache[path]
    text = lines[number - 1] if 0 < number <= len(lines) else ""
    return text if len(text) <= 200 and text.isprintable() else ""


def _paint(severity: str) -> str:
    if not sys.stderr.isatty() or os.environ.get("NO_COLOR"):
        return severity
    return typer.style(severity, bold=True, fg="red" if severity == "error" else "yellow")


def _is_colour() -> bool:
    """Colour only on a terminal, and not where NO_COLOR asks for none."""
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR")


def _print_findings(findings: Sequence[Finding]) -> None:
    for finding in findings:
        about = f"{finding.about}: " if finding.about else ""
        source = f" ({finding.source})" if finding.source else ""
        typer.echo(f"note[{finding.code}]: {about}{finding.message}{source}")


def _checked_json(problems: Sequence[Problem], findings: Sequence[Finding]) -> dict[str, object]:
    return {
        "schema_version": 1,
        "problems": [
            {
                "path": item.span.path,
                "line": item.span.line,
                "column": item.span.column,
                "end_column": item.span.end_column,
                "severity": item.severity.value,
                "code": item.code,
                "message": item.message,
                "hint": item.hint,
            }
            for item in problems
        ],
        "findings": [
            {"code": item.code, "about": item.about, "message": item.message, "source": item.source}
            for item in findings
        ],
    }


def _print_json(value: object) -> None:
    typer.echo(json.dumps(value, ensure_ascii=False, indent=2, sort_keys=True))


class _Progress:
    """One line on a terminal that says what is being done; silent where nobody looks."""

    def __init__(self) -> None:
        self._is_shown = sys.stderr.isatty()
        self._width = 0

    def __enter__(self) -> _Progress:
        return self

    def show(self, words: str) -> None:
        """Replace the line by these words."""
        if self._is_shown:
            sys.stderr.write("\r" + words.ljust(self._width))
            sys.stderr.flush()
            self._width = len(words)

    def __exit__(self, *_: object) -> None:
        if self._is_shown and self._width:
            sys.stderr.write("\r" + " " * self._width + "\r")
            sys.stderr.flush()
