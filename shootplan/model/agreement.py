"""Figures read back out of free text and what they were compared with, and the verdicts of the twenty checks."""

from __future__ import annotations

from dataclasses import field
from enum import Enum

from shootplan.problems import Span
from shootplan.records import dataclass

__all__ = ["Agreement", "CheckResult", "CheckStatus", "FigureKind", "Statement", "Verdict"]


class FigureKind(Enum):
    """What a figure in a text counts or measures."""

    AMOUNT = "amount"
    COUNT = "count"
    SHARE = "share"
    TIME = "time"
    TEMPERATURE = "temperature"
    SERVINGS = "servings"
    MONEY = "money"
    DIET = "diet"
    NUMBER = "number"


class Verdict(Enum):
    """Whether a figure says what was computed; ``NO_FACT`` where nothing computed is what it speaks of."""

    AGREES = "agrees"
    DIFFERS = "differs"
    NO_FACT = "no fact"


@dataclass(frozen=True, slots=True, kw_only=True)
class Statement:
    """
    One figure that somebody typed: ``words`` as they stand, ``about`` what it is said of, ``fact`` what is known of it.

    ``recipe`` and ``step`` are ids, empty for the episode's own texts; ``text`` names the kind of text ("narration").
    """

    words: str
    kind: FigureKind
    verdict: Verdict
    fact: str = ""
    about: str = ""
    text: str = ""
    recipe: str = ""
    step: str = ""
    span: Span = field(default_factory=lambda: Span("<made in code>"), compare=False, repr=False)


class CheckStatus(Enum):
    """``NOT_ASKED`` where the episode has nothing for the check to look at."""

    HOLDS = "holds"
    BROKEN = "broken"
    NOT_ASKED = "not asked"


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckResult:
    """One of the twenty checks: its id ("C5"), how many things it compared, and a sentence for each that differs."""

    id: str
    title: str
    compared: int = 0
    broken: tuple[str, ...] = ()

    @property
    def status(self) -> CheckStatus:
        """Broken if anything differs, not asked if nothing was there to compare."""
        if self.broken:
            return CheckStatus.BROKEN
        return CheckStatus.HOLDS if self.compared else CheckStatus.NOT_ASKED


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreement:
    """Every figure typed in free text, in the order of the texts, and the checks over everything."""

    statements: tuple[Statement, ...] = ()
    checks: tuple[CheckResult, ...] = ()

    def of(self, verdict: Verdict) -> tuple[Statement, ...]:
        """Return the statements with that verdict."""
        return tuple(item for item in self.statements if item.verdict is verdict)

    @property
    def is_broken(self) -> bool:
        """Whether anything differs."""
        return bool(self.of(Verdict.DIFFERS)) or any(item.broken for item in self.checks)
