"""What every command shares: its usual options, errors as printed lines and exit codes, printing."""

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

__all__ = [
    "EXIT_INPUT",
    "AsJson",
    "Debug",
    "EpisodeFolder",
    "Progress",
    "Strict",
    "checked_json",
    "guard",
    "is_colour",
    "print_findings",
    "print_json",
    "refuse_warnings",
    "report",
]

EXIT_INPUT, EXIT_INFEASIBLE, EXIT_FILE, EXIT_BUG = 1, 3, 4, 70

EpisodeFolder = Annotated[Path, typer.Argument(metavar="EPISODE", help="The episode's folder.", show_default=False)]
AsJson = Annotated[bool, typer.Option("--json", help="Print for machines.")]
Strict = Annotated[bool, typer.Option("--strict", help="Let warnings count as errors.")]
Debug = Annotated[bool, typer.Option("--debug", help="Show where a bug of ours happened.")]


def guard(run: Callable[[], int], *, debug: bool) -> None:
    """Run a command and turn the errors that users may meet into printed lines and exit codes."""
    from shootplan import problems as family

    try:
        code = run()
    except family.InputError as error:
        report(error.problems)
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


def refuse_warnings(loaded: Loaded) -> None:
    """Raise the warnings as if they were errors."""
    from shootplan.problems import InputError

    if loaded.problems:
        raise InputError(loaded.problems)


def _tell_conflicts(error: Exception) -> None:
    from shootplan.problems import OutOfTime

    if isinstance(error, OutOfTime):
        typer.echo(
            "error: no plan was found in the time that the planner may take; there may be one all the same", err=True
        )
        typer.echo(f"  {error.hint}", err=True)
        return
    typer.echo("error: no plan keeps all of these rules together:", err=True)
    for conflict in getattr(error, "conflicts", ()):
        place = f"{conflict.span}: " if conflict.span is not None else ""
        typer.echo(f"  - {place}{conflict.rule}", err=True)
    typer.echo("  loosen one of them, or give the kitchen more of what is short", err=True)


# ------------------------------------------------------------------------------------------------ printing


def report(problems: Sequence[Problem]) -> None:
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
            cache[path] = Path(path).read_text(encoding="utf-8-sig").split("\n")
        except (OSError, UnicodeDecodeError, ValueError):
            cache[path] = []
    lines = cache[path]
    text = lines[number - 1] if 0 < number <= len(lines) else ""
    return text if len(text) <= 200 and text.isprintable() else ""


def _paint(severity: str) -> str:
    if not sys.stderr.isatty() or os.environ.get("NO_COLOR"):
        return severity
    return typer.style(severity, bold=True, fg="red" if severity == "error" else "yellow")


def is_colour() -> bool:
    """Colour only on a terminal, and not where NO_COLOR asks for none."""
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR")


def print_findings(findings: Sequence[Finding]) -> None:
    """Print what the checks say of a sound episode, a line each."""
    for finding in findings:
        about = f"{finding.about}: " if finding.about else ""
        source = f" ({finding.source})" if finding.source else ""
        typer.echo(f"note[{finding.code}]: {about}{finding.message}{source}")


def checked_json(problems: Sequence[Problem], findings: Sequence[Finding]) -> dict[str, object]:
    """Return problems and findings for machines."""
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


def print_json(value: object) -> None:
    """Print a value as JSON with sorted keys."""
    typer.echo(json.dumps(value, ensure_ascii=False, indent=2, sort_keys=True))


class Progress:
    """One line on a terminal that says what is being done; silent where nobody looks."""

    def __init__(self) -> None:
        self._is_shown = sys.stderr.isatty()
        self._width = 0

    def __enter__(self) -> Progress:
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
