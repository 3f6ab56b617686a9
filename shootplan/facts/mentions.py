"""
Instructions in plain words: ``[oil: half]`` becomes "half the oil".

A step's text with its mentions and what ``resolve`` found for them comes in, text without brackets goes out. Links and
placeholders stay as they are.
"""

from __future__ import annotations

import re

from shootplan.facts.forms import readable
from shootplan.facts.spoken import say_number
from shootplan.model.recipe import Mention, Part, PartKind, Step
from shootplan.model.resolved import ResolvedRecipe, Use
from shootplan.model.show import amount_text

__all__ = ["plain_instruction", "without_parts"]

_MENTION = re.compile(r"(?<![!\\\]])\[([^\[\]]{1,300})\](?![(\[])")
#: Words of the author that already say which part is meant: the mention then adds its name only.
_SAYS_PART = re.compile(r"(?:\bof(?: the)?|\bhalf(?: the| a| an)?|\b(?:rest|remaining)(?: the)?)\s$", re.IGNORECASE)
_ARTICLE = re.compile(r"\b(?:the|your|that|this)\s$", re.IGNORECASE)


def plain_instruction(step: Step, recipe: ResolvedRecipe) -> str:
    """
    Return a step's text with every mention in words: "oil", "half the oil", "60 ml of the milk".

    The author's words before a mention decide: after "half the" or "of the" only the name follows, after "the" a part
    comes behind in brackets ("the milk (300 ml)").
    """
    found = list(_MENTION.finditer(step.text))
    is_paired = len(found) == len(step.mentions)
    pieces: list[str] = []
    end = 0
    for index, match in enumerate(found):
        before = step.text[end : match.start()]
        mention = step.mentions[index] if is_paired else None
        pieces += [before, _words(match[1], mention, _use_of(index, step, recipe), before)]
        end = match.end()
    return "".join([*pieces, step.text[end:]])


def without_parts(text: str) -> str:
    """Return the text with each mention's name alone: what the author typed outside brackets stays."""
    return _MENTION.sub(lambda match: match[1].partition(":")[0].strip(), text)


def _use_of(index: int, step: Step, recipe: ResolvedRecipe) -> Use | None:
    """Return the use of that mention; uses stand in the order of the mentions."""
    uses = recipe.uses_in(step.id)
    return uses[index] if len(uses) == len(step.mentions) and index < len(uses) else None


def _words(text: str, mention: Mention | None, use: Use | None, before: str) -> str:
    name, _, part_text = (piece.strip() for piece in text.partition(":"))
    if not part_text or _SAYS_PART.search(before):
        return name
    head, tail = _phrase(part_text, mention.part if mention is not None else None, use)
    if _ARTICLE.search(before):
        return f"{head} {name}" if head and not tail else f"{name} ({(tail or part_text).strip()})"
    return (
        f"the {head} {name}"
        if head and not tail
        else f"{tail} the {name}"
        if _is_half(tail)
        else f"{tail} of the {name}"
    )


def _is_half(tail: str) -> bool:
    return tail == "half"


def _phrase(part_text: str, part: Part | None, use: Use | None) -> tuple[str, str]:
    """Return (adjective, "") for "held-back", else ("", what comes before "of the NAME")."""
    lower = part_text.casefold()
    if lower == "held back" or (part is not None and part.kind is PartKind.HELD_BACK):
        return "held-back", ""
    if lower == "rest" or (part is not None and part.kind is PartKind.REST):
        return "", "the rest"
    if part is not None and part.kind is PartKind.FRACTION and part.fraction is not None:
        return "", say_number(part.fraction)
    if part is not None and part.kind is PartKind.ALL_BUT:
        return "", part_text
    return "", _amount(part_text.removeprefix("hold back").strip(), part, use)


def _amount(typed: str, part: Part | None, use: Use | None) -> str:
    """Return the part's amount as computed, in the measure the author used; as typed where nothing is computed."""
    if use is None or part is None or part.amount is None:
        return typed
    if use.measured.metric is not None and readable(use.measured.metric) == readable(part.amount):
        return amount_text(readable(part.amount))
    shown = [use.measured.metric_shown] if use.measured.metric_shown else []
    for amount in (*use.measured.household_shown, *shown):
        if amount.unit == part.amount.unit and len(use.measured.household_shown) < 2:
            return amount_text(amount)
    return typed if part.amount.unit in ("", "pinch") or not shown else amount_text(readable(shown[0]))
