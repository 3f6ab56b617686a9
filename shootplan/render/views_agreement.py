"""
The agreement report as it is printed, in the terminal, on a page, and for machines.

An ``Agreement`` comes in, ready texts go out.
"""

from __future__ import annotations

from typing import Any

from shootplan.model.agreement import Agreement, CheckResult, CheckStatus, Statement, Verdict
from shootplan.records import dataclass
from shootplan.render.basis import Basis

__all__ = ["AgreementView", "agreement_json", "agreement_text", "agreement_view"]

_SAID = {CheckStatus.HOLDS: "holds", CheckStatus.BROKEN: "broken", CheckStatus.NOT_ASKED: "nothing to compare"}


@dataclass(frozen=True, slots=True, kw_only=True)
class StatementRow:
    """One typed figure: where it stands, what it says, what is known."""

    where: str
    text: str
    words: str
    kind: str
    about: str
    fact: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckRow:
    """One check with its verdict in words."""

    id: str
    title: str
    verdict: str
    compared: int
    is_broken: bool
    broken: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class AgreementView:
    """The page: the sum in a sentence, what differs, the checks, what agrees and what has no fact."""

    summary: str
    differing: tuple[StatementRow, ...]
    agreeing: tuple[StatementRow, ...]
    unknown: tuple[StatementRow, ...]
    checks: tuple[CheckRow, ...]


def agreement_view(basis: Basis, agreement: Agreement) -> AgreementView:
    """Return the report of an episode."""
    return AgreementView(
        summary=_summary(agreement),
        differing=tuple(_row(basis, item) for item in agreement.of(Verdict.DIFFERS)),
        agreeing=tuple(_row(basis, item) for item in agreement.of(Verdict.AGREES)),
        unknown=tuple(_row(basis, item) for item in agreement.of(Verdict.NO_FACT)),
        checks=tuple(_check(item) for item in agreement.checks),
    )


def _summary(agreement: Agreement) -> str:
    counts = {verdict: len(agreement.of(verdict)) for verdict in Verdict}
    held = sum(item.status is CheckStatus.HOLDS for item in agreement.checks)
    broken = sum(item.status is CheckStatus.BROKEN for item in agreement.checks)
    return (
        f"{sum(counts.values())} figures typed by hand: {counts[Verdict.AGREES]} agree, "
        f"{counts[Verdict.DIFFERS]} differ, {counts[Verdict.NO_FACT]} speak of nothing that is computed here. "
        f"Of {len(agreement.checks)} checks {held} hold, {broken} are broken, "
        f"{len(agreement.checks) - held - broken} have nothing to compare."
    )


def _row(basis: Basis, item: Statement) -> StatementRow:
    step = basis.step(item.recipe, item.step) if item.step else None
    dish = basis.title(item.recipe) if item.recipe else basis.episode.title
    return StatementRow(
        where=f"{dish}: {step.name}" if step is not None else dish,
        text=item.text,
        words=item.words,
        kind=item.kind.value,
        about=item.about,
        fact=item.fact,
    )


def _check(item: CheckResult) -> CheckRow:
    is_broken = item.status is CheckStatus.BROKEN
    return CheckRow(
        id=item.id,
        title=item.title,
        verdict=_SAID[item.status],
        compared=item.compared,
        is_broken=is_broken,
        broken=item.broken,
    )


def agreement_text(basis: Basis, agreement: Agreement) -> str:
    """Return the report for the terminal: what differs, the checks, what has no fact."""
    from shootplan.render.table_text import table

    view = agreement_view(basis, agreement)
    lines = [view.summary, ""]
    if view.differing:
        rows = [(row.where, row.text, row.words, row.about, row.fact) for row in view.differing]
        lines += [table(("where", "text", "says", "of", "known is"), rows), ""]
    checks = [(row.id, row.title, row.verdict, str(row.compared)) for row in view.checks]
    lines += [table(("check", "what it holds together", "verdict", "compared"), checks), ""]
    lines += [f"{row.id}: {text}" for row in view.checks for text in row.broken]
    if view.unknown:
        told = [(row.where, row.text, row.words) for row in view.unknown]
        lines += ["typed figures that speak of nothing computed here:", table(("where", "text", "says"), told)]
    return "\n".join(lines).rstrip()


def agreement_json(agreement: Agreement) -> dict[str, Any]:
    """Return the report for machines."""
    return {
        "schema_version": 1,
        "statements": [
            {
                "path": item.span.path,
                "line": item.span.line,
                "column": item.span.column,
                "recipe": item.recipe,
                "step": item.step,
                "text": item.text,
                "words": item.words,
                "kind": item.kind.value,
                "verdict": item.verdict.value,
                "about": item.about,
                "fact": item.fact,
            }
            for item in agreement.statements
        ],
        "checks": [
            {
                "id": item.id,
                "title": item.title,
                "status": item.status.value,
                "compared": item.compared,
                "broken": list(item.broken),
            }
            for item in agreement.checks
        ],
    }
