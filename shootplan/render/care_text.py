"""
What must be minded with a dish, as sentences: allergens of each part, and portions of vegetables and fruit.

Care comes in, sentences go out. Nothing is ever called free from an allergen, and a part of which nothing is known to
name is left out rather than cleared.
"""

from __future__ import annotations

from shootplan.model.care import AllergenPart, Portions, RecipeCare
from shootplan.model.larder import Certainty
from shootplan.model.show import join_words

__all__ = ["part_texts", "portions_text"]

_WORDS = {
    Certainty.CONTAINS: "contains",
    Certainty.USUALLY: "usually contains",
    Certainty.MAY: "may contain",
}


def part_texts(care: RecipeCare) -> tuple[str, ...]:
    """Return a sentence for the core, each option and each alternate that names an allergen or was not assessed."""
    heads = [("The dish without options", care.core)]
    heads += [(f"The option {part.name}", part) for part in care.options]
    heads += [(f"With {part.name}", part) for part in care.alternates]
    return tuple(f"{head}: {'; '.join(said)}." for head, part in heads if (said := _said(part)))


def portions_text(portions: Portions | None) -> str:
    """Return the portions in a serving, "at least" because what has no known weight is not in it; empty if below ½."""
    if portions is None or not portions.portions:
        return ""
    whole, half = divmod(portions.portions, 1)
    number = (str(whole) if whole else "") + ("½" if half else "")
    noun = "portion" if portions.portions <= 1 else "portions"
    missing = f" Not counted, weight not known: {join_words(portions.unknown)}." if portions.unknown else ""
    return (
        f"At least {number} {noun} of vegetables and fruit a serving, without options, counting only "
        f"{join_words(portions.counted)} ({portions.source}).{missing}"
    )


def _said(part: AllergenPart) -> list[str]:
    said = []
    for certainty, verb in _WORDS.items():
        named = [f"{note.group} ({note.trigger})" for note in part.notes if note.certainty is certainty]
        said += [f"{verb} {join_words(named)}"] if named else []
    said += [f"by the price list: {join_words(part.stated)}"] if part.stated else []
    said += [f"not assessed: {', '.join(part.not_assessed)}"] if part.not_assessed else []
    return said
