"""
Hazards of a recipe as cautions: trigger words in its ingredients and steps, with exceptions, rule and publisher.

The program reminds; it certifies nothing. ``LOCAL_RULES`` is printed wherever a hazard is.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache, lru_cache

from shootplan.larder.tables import rows
from shootplan.larder.text import find_phrase, words
from shootplan.model.larder import Hazard
from shootplan.records import dataclass

__all__ = ["LOCAL_RULES", "hazards"]

LOCAL_RULES = "Follow your local food-safety and workplace rules; they override this."

#: Words behind a trigger that make it harmless for that rule, beside the row's own exceptions.
_PLANT_WORDS = {
    "poultry_core": ("stock", "seasoning"),
    "ground_meat_core": ("soya", "soy", "vegetarian", "fruit"),
    "cool_large_batch": ("cube", "flake", "powder", "sauce"),
}
#: Triggers so common in honest recipes that they are looked for in ingredients only.
_INGREDIENTS_ONLY = frozenset({"honey_infant", "poultry_core", "ground_meat_core", "shellfish", "liver_pregnancy"})
#: Triggers that only steps can hold; a name such as "custard" among the ingredients says nothing of leaving it out.
_STEPS_ONLY = frozenset({"two_hours", "thaw", "reheat", "wash_raw_chicken", "leftovers_days", "cool_large_batch"})
#: Our own order: what stops comes first.
_SEVERITY = {"stop": 0, "warn": 1, "note": 2}
#: Words that must all stand there, in any order: "dried kidney beans" and "kidney beans, dried", "egg yolks, raw",
#: "minced beef" (the words are common practice, no source; the rules behind them are the publishers').
_ALL_WORDS = {
    "raw_egg": (
        ("raw", "egg"),
        ("uncooked", "egg"),
        ("runny", "egg"),
        ("raw", "yolk"),
        ("aioli",),
        ("hollandaise",),
        ("carbonara",),
    ),
    "ground_meat_core": tuple(
        (how, meat)
        for how in ("minced", "ground")
        for meat in ("beef", "pork", "lamb", "veal", "turkey", "chicken", "meat")
    ),
    "quick_pickles": (("pickled", "onion"), ("pickled", "carrot"), ("pickled", "cucumber")),
    "kidney_bean_lectin": (("dried", "kidney", "bean"), ("dry", "kidney", "bean"), ("dried", "red", "bean")),
    "white_kidney_lectin": tuple(
        ("dried", kind, "bean") for kind in ("cannellini", "white", "borlotti", "black", "pinto", "haricot", "butter")
    ),
}


_SENTENCE_END = re.compile(r"[.;:!?\n]")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rule:
    row: dict[str, str]
    triggers: tuple[tuple[str, ...], ...]
    exceptions: tuple[tuple[str, ...], ...]
    #: One of these stands in every text that triggers the rule.
    first_words: frozenset[str]


@cache
def _rules() -> tuple[_Rule, ...]:
    return tuple(_rule(row) for row in rows("hazards"))


def _rule(row: dict[str, str]) -> _Rule:
    triggers = tuple(words(text) for text in row["trigger_words"].split(";") if words(text))
    return _Rule(
        row=row,
        triggers=triggers,
        exceptions=tuple(words(text) for text in row["not_when"].split(";") if words(text)),
        first_words=frozenset(phrase[0] for phrase in (*triggers, *_ALL_WORDS.get(row["id"], ()))),
    )


def hazards(ingredients: Iterable[str], steps: Iterable[str] = ()) -> tuple[Hazard, ...]:
    """
    Return the hazards of a recipe, what stops first, each once.

    An exception clears only the text that it stands in: tinned kidney beans do not excuse dried ones beside them.
    """
    lines = tuple(ingredients)
    method = tuple(steps)
    found = []
    for rule in _rules():
        name = rule.row["id"]
        texts = (() if name in _STEPS_ONLY else lines) + (() if name in _INGREDIENTS_ONLY else method)
        trigger = next(filter(None, (_trigger(rule, text) for text in texts)), "")
        if trigger:
            found.append(_hazard(rule.row, trigger))
    return tuple(sorted(found, key=lambda hazard: _SEVERITY.get(hazard.severity, 3)))


def _trigger(rule: _Rule, text: str) -> str:
    """Return the words of a text that trigger a rule, within one sentence, or an empty text."""
    return next(filter(None, (_trigger_in(rule, part) for part in _sentences(text))), "")


@lru_cache(maxsize=8192)
def _sentences(text: str) -> tuple[tuple[str, ...], ...]:
    return tuple(words(part) for part in _SENTENCE_END.split(text))


def _trigger_in(rule: _Rule, tokens: tuple[str, ...]) -> str:
    if rule.first_words.isdisjoint(tokens):
        return ""
    if any(find_phrase(phrase, tokens) >= 0 for phrase in rule.exceptions):
        return ""
    if set(_PLANT_WORDS.get(rule.row["id"], ())) & set(tokens):
        return ""
    for phrase in rule.triggers:
        if find_phrase(phrase, tokens) >= 0:
            return " ".join(phrase)
    for group in _ALL_WORDS.get(rule.row["id"], ()):
        if set(group) <= set(tokens):
            return " ".join(group)
    return ""


def _hazard(row: dict[str, str], trigger: str) -> Hazard:
    return Hazard(
        id=row["id"],
        title=row["hazard"],
        rule=row["rule"],
        severity=row["severity"],
        audience=row["audience"],
        trigger=trigger,
        source=row["source"],
        is_from_memory=row["confidence"] == "memory",
    )
