"""
Findings as they are printed, each with the publisher of the rule behind it, and the standing safety sentence.

Findings come in; notes of ready strings go out: for a recipe's page only what a reader at home needs.
"""

from __future__ import annotations

from collections.abc import Iterable

from shootplan.problems import Finding
from shootplan.records import dataclass
from shootplan.render.basis import Basis

__all__ = ["LABELS", "LOCAL_RULES", "SET_CAUTIONS", "NoteView", "all_notes", "notes_of"]

#: The sentence that stands wherever cautions do: we remind, local rules decide.
LOCAL_RULES = "Follow your local food-safety and workplace rules; they override this."
#: The sentence that stands with every list of allergens.
LABELS = "Read every label: what is not named here may still be in it."
#: What is said to everybody on a set where food is cooked, before work begins (common practice, no source).
SET_CAUTIONS = (
    "Somebody is named at the hob for every minute that a ring is on, breaks included.",
    "Cables, lamps and tripods stand clear of the hob; pan handles point inwards.",
    "The smoke alarm is never covered; extinguisher, fire blanket and first aider are known to all.",
    "No talking to camera while a blade moves fast or hot oil, milk or sugar is on the heat.",
    "Ask everybody on set about allergies, and act on it; read every label.",
)
_FOR_READERS = ("caution", "hazard", "safety", "storage", "allergen", "food")


@dataclass(frozen=True, slots=True, kw_only=True)
class NoteView:
    """One finding: ``about`` and ``source`` may be empty."""

    code: str
    about: str
    text: str
    hint: str
    source: str
    is_caution: bool


def all_notes(basis: Basis) -> tuple[NoteView, ...]:
    """Return every finding, cautions first, each once."""
    notes = tuple(dict.fromkeys(_note(basis, finding) for finding in basis.publication.findings))
    return tuple(sorted(notes, key=lambda note: not note.is_caution))


def notes_of(basis: Basis, recipe_id: str) -> tuple[NoteView, ...]:
    """Return the cautions about one recipe that its readers need; findings for the crew stay out."""
    found = (
        finding
        for finding in basis.publication.findings
        if _is_caution(finding) and _names_recipe(finding, (recipe_id, basis.title(recipe_id)))
    )
    return tuple(dict.fromkeys(_note(basis, finding) for finding in found))


def _note(basis: Basis, finding: Finding) -> NoteView:
    return NoteView(
        code=finding.code,
        about=basis.title(finding.about) if finding.about else "",
        text=finding.message,
        hint=finding.hint or "",
        source=finding.source or "",
        is_caution=_is_caution(finding),
    )


def _is_caution(finding: Finding) -> bool:
    return any(word in finding.code.split("-") for word in _FOR_READERS)


def _names_recipe(finding: Finding, names: Iterable[str]) -> bool:
    about = finding.about.casefold()
    return any(about == name.casefold() or about.startswith(f"{name.casefold()}:") for name in names)
