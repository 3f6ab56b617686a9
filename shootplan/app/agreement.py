"""The use case agree: every typed figure against its fact, the twenty checks, and the built documents read back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from shootplan.app import Loaded, Progress, publish
from shootplan.model.agreement import Agreement, CheckResult, Statement
from shootplan.model.publication import Publication
from shootplan.problems import Problem, Severity, Span

__all__ = ["agree", "document_problems", "of_texts", "with_documents"]


def agree(
    loaded: Loaded, *, progress: Progress | None = None, templates: Path | None = None
) -> tuple[Agreement, Publication]:
    """
    Return what all texts and documents of the episode say of its facts; nothing is written.

    Raises
    ------
    InputError
        If a placeholder names nothing that is known.
    InfeasiblePlan
        If no schedule keeps all rules.
    """
    from shootplan.app import documents

    publication = publish(loaded, progress=progress)
    return with_documents(publication, documents(publication, templates=templates)), publication


def of_texts(publication: Publication, statements: tuple[Statement, ...]) -> Agreement:
    """Return the statements with the checks that need no built document."""
    from shootplan.facts.checks import check_texts
    from shootplan.timing.speech import speech_ms

    pace = publication.resolved.episode.kitchen.pace
    checks = check_texts(publication, statements, lambda text: speech_ms(text, pace))
    return Agreement(statements=statements, checks=checks)


def with_documents(publication: Publication, files: Mapping[str, str], *, is_thorough: bool = True) -> Agreement:
    """Return the publication's agreement with the checks on its documents, all twenty in order."""
    from shootplan.facts.checks import TITLES
    from shootplan.readback import read_back

    agreement = publication.agreement or Agreement()
    found = {item.id: item for item in (*agreement.checks, *read_back(publication, files, is_thorough=is_thorough))}
    checks = tuple(found.get(name, CheckResult(id=name, title=title)) for name, title in TITLES.items())
    return replace(agreement, checks=checks)


def document_problems(agreement: Agreement, *, has_templates: bool) -> tuple[Problem, ...]:
    """Return a warning for each thing that a built document says differently."""
    hint = (
        "compare your own template with the built-in one of that name" if has_templates else "this is a fault of ours"
    )
    return tuple(
        Problem(span=Span("out"), code="document-differs", severity=Severity.WARNING, message=text, hint=hint)
        for check in agreement.checks
        if check.id in ("C3", "C4", "C16", "C18", "C19", "C20")
        for text in check.broken
    )
