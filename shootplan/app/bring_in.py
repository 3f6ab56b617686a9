"""The use case of bringing in recipes of other pages: a file of theirs in, recipe files of ours out."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from shootplan.problems import InputError, Problem, Severity, Span
from shootplan.read.files import Files
from shootplan.records import dataclass

__all__ = ["BroughtIn", "bring_in"]


@dataclass(frozen=True, slots=True, kw_only=True)
class BroughtIn:
    """One recipe file: its path, its text, remarks on what was not read, problems that ``check`` will find in it."""

    path: str
    title: str
    text: str
    remarks: tuple[str, ...]
    problems: tuple[Problem, ...]


def bring_in(file: str | Path, *, out: str | Path, files: Files | None = None) -> tuple[BroughtIn, ...]:
    """
    Write each schema.org recipe of a file (JSON-LD, or a page with JSON-LD or microdata) as a recipe file in ``out``.

    A file that is there already is never touched; either all recipes are written or none.

    Raises
    ------
    InputError
        If the file holds no recipe, or cannot be read as text.
    OutputError
        If a file of that name is there already, or the folder cannot be written.
    OSError
        If the file cannot be opened.
    """
    from shootplan.app import DiskFiles
    from shootplan.bring import brought_from, markdown_of, recipes_in
    from shootplan.read.recipe import read_recipe
    from shootplan.write.new_files import write_new

    path = str(file)
    found = recipes_in(_text(files or DiskFiles(), path))
    faults = [
        Problem(span=Span(path, line), code="recipe-data-broken", message=what, severity=Severity.WARNING)
        for line, what in found.faults
    ]
    if not found.recipes:
        hint = "give a page that holds a schema.org Recipe, or its JSON-LD"
        none = Problem(span=Span(path), code="recipe-data-missing", message="there is no recipe in the file", hint=hint)
        raise InputError((*faults, none))
    brought = [brought_from(node) for node in found.recipes]
    texts = [markdown_of(recipe, source=Path(path).name) for recipe in brought]
    names = _names([recipe.title for recipe in brought])
    write_new(Path(out), dict(zip(names, texts, strict=True)))
    return tuple(
        BroughtIn(
            path=str(Path(out) / name),
            title=recipe.title,
            text=text,
            remarks=recipe.remarks,
            problems=(*faults, *read_recipe(str(Path(out) / name), text)[1]),
        )
        for name, recipe, text in zip(names, brought, texts, strict=True)
    )


def _text(files: Files, path: str) -> str:
    try:
        return files.text(path)
    except UnicodeDecodeError as error:
        message = f"the file is not UTF-8 text (byte {error.start})"
        problem = Problem(span=Span(path), code="file-unreadable", message=message, hint="save the page as UTF-8")
        raise InputError((problem,)) from error


def _names(titles: Sequence[str]) -> list[str]:
    """Return a file name for each title, all different."""
    from shootplan.read.passage import slug

    taken: set[str] = set()
    names = []
    for title in titles:
        name = slug(title[:60] or "recipe", taken)
        taken.add(name)
        names.append(f"{name}.md")
    return names
