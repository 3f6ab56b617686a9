"""
Allergens named by an ingredient: EU Annex II groups and US groups, with how sure they are without the label.

Exact words only, longest first; a guard ("coconut milk", "butter beans") covers the words it consists of, so
that the milk and the butter in them do not count. Nothing near is ever matched, and silence never means "free from".
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache, lru_cache

from shootplan.larder.tables import rows
from shootplan.larder.text import words
from shootplan.model.larder import AllergenNote, Certainty
from shootplan.records import dataclass

__all__ = ["EU_GROUPS", "LABEL_NOTE", "allergens", "allergens_of_all"]

#: The 14 groups of Regulation (EU) No 1169/2011, Annex II, in its order, in short words.
EU_GROUPS = (
    "gluten", "crustaceans", "eggs", "fish", "peanuts", "soya", "milk", "nuts", "celery", "mustard", "sesame",
    "sulphites", "lupin", "molluscs",
)  # fmt: skip
LABEL_NOTE = "Read the labels: only the pack decides, and what is not named here was not assessed."

_CERTAINTY = {"contains": Certainty.CONTAINS, "usually": Certainty.USUALLY, "may": Certainty.MAY}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Trigger:
    """Words that name allergen groups, or a guard that hides the words inside it (and may name groups itself)."""

    words: tuple[str, ...]
    text: str
    groups: tuple[tuple[str, str], ...]
    certainty: Certainty | None
    is_guard: bool
    note: str
    source: str


@cache
def _triggers() -> tuple[_Trigger, ...]:
    """Return guards first, then triggers, each longest first."""
    made = [_trigger(row) for row in rows("allergens") if row["match"] in ("word", "guard")]
    return tuple(sorted(made, key=lambda item: (not item.is_guard, -len(item.words), item.text)))


def _trigger(row: dict[str, str]) -> _Trigger:
    eu = [group for group in row["eu14"].split(";") if group not in ("", "-")]
    us = row["us9"].split(";")
    return _Trigger(
        words=words(row["trigger"]),
        text=row["trigger"],
        groups=tuple((group, _us(us, place)) for place, group in enumerate(eu)),
        certainty=_CERTAINTY.get(row["certainty"]),
        is_guard=row["match"] == "guard",
        note=row["note"],
        source=row["source"],
    )


def _us(groups: list[str], place: int) -> str:
    name = groups[place] if place < len(groups) else groups[-1] if groups else ""
    return "" if name in ("-", "") else name


@lru_cache(maxsize=4096)
def allergens(text: str) -> tuple[AllergenNote, ...]:
    """
    Return the allergen groups that an ingredient's text names, in the order of Annex II, one note a group.

    Words inside a guard count for the guard only: in "peanut butter" nobody sees butter, in "coconut milk" no milk.
    """
    tokens = words(text)
    hidden = [False] * len(tokens)
    found: dict[str, AllergenNote] = {}
    for trigger in _possible(tokens):
        exact = {trigger.words} if trigger.is_guard else set()
        for place in _places(trigger.words, tokens, hidden, exact):
            if trigger.is_guard:
                hidden[place : place + len(trigger.words)] = [True] * len(trigger.words)
            if trigger.certainty is not None:
                _record(trigger, trigger.certainty, text, found)
    return tuple(sorted(found.values(), key=lambda note: EU_GROUPS.index(note.group)))


def _possible(tokens: tuple[str, ...]) -> Iterable[_Trigger]:
    """Return the triggers whose first word stands in the text, in the order of ``_triggers``."""
    index = _by_first_word()
    found = [numbered for token in dict.fromkeys(tokens) if token in index for numbered in index[token]]
    return [trigger for _, trigger in sorted(found, key=_number)]


def _number(numbered: tuple[int, _Trigger]) -> int:
    return numbered[0]


@cache
def _by_first_word() -> dict[str, tuple[tuple[int, _Trigger], ...]]:
    """Return the triggers with their place in the order, by their first word."""
    found: dict[str, list[tuple[int, _Trigger]]] = {}
    for number, trigger in enumerate(_triggers()):
        if trigger.words:
            found.setdefault(trigger.words[0], []).append((number, trigger))
    return {word: tuple(triggers) for word, triggers in found.items()}


def _places(
    phrase: tuple[str, ...], tokens: tuple[str, ...], hidden: list[bool], guards: set[tuple[str, ...]]
) -> Iterable[int]:
    """Yield where a phrase stands: a guard anywhere not hidden yet, a trigger where no guard hides a word of it."""
    size = len(phrase)
    for place in range(len(tokens) - size + 1):
        if size and tokens[place : place + size] == phrase:
            inside = hidden[place : place + size]
            if not any(inside) or (not guards and phrase in _guard_words() and all(inside)):
                yield place


@cache
def _guard_words() -> frozenset[tuple[str, ...]]:
    """Return the words of every guard: a trigger with the very same words speaks of the whole."""
    return frozenset(trigger.words for trigger in _triggers() if trigger.is_guard)


_RANK = {Certainty.CONTAINS: 0, Certainty.USUALLY: 1, Certainty.MAY: 2}


def _record(trigger: _Trigger, certainty: Certainty, text: str, found: dict[str, AllergenNote]) -> None:
    for group, us_group in trigger.groups:
        old = found.get(group)
        if group in EU_GROUPS and (old is None or _RANK[certainty] < _RANK[old.certainty]):
            found[group] = AllergenNote(
                group=group, us_group=us_group, certainty=certainty, trigger=trigger.text, ingredient=text,
                note=trigger.note, source=trigger.source,
            )  # fmt: skip


def allergens_of_all(texts: Iterable[str]) -> tuple[AllergenNote, ...]:
    """Return one note a group over several ingredients: the surest, and of equally sure ones the first."""
    best: dict[str, AllergenNote] = {}
    for text in texts:
        for note in allergens(text):
            old = best.get(note.group)
            if old is None or _RANK[note.certainty] < _RANK[old.certainty]:
                best[note.group] = note
    return tuple(sorted(best.values(), key=lambda note: EU_GROUPS.index(note.group)))
