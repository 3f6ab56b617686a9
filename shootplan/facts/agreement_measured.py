"""
Times and temperatures typed in free text, against the steps and the kitchen clock.

A typed figure with its place comes in, a ``Judgement`` goes out. A time shorter than its step in the written method may
be a part of the step, and a safety temperature is not the oven's: both have no fact here.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from fractions import Fraction

from shootplan.facts.book import FactBook
from shootplan.facts.figures import Typed
from shootplan.facts.judgement import Judgement, TextPlace, agrees, differs, is_about, no_fact
from shootplan.facts.known import (
    Fact,
    keeping_times,
    oven_facts,
    recipe_times,
    step_times,
)
from shootplan.facts.names import name_words
from shootplan.model.agreement import FigureKind
from shootplan.model.recipe import Step
from shootplan.model.resolved import ResolvedRecipe

__all__ = ["judge_temperature", "judge_time"]

_RELATIVE = re.compile(
    r"^\W*(?:longer|more|earlier|later|before|ago|extra|less|sooner|ahead|apart|old|further|after|to go)\b"
    r"|^\W*(?:each|a) side\b|^\W*(?:at a time|from (?:now|frozen|the fridge)|or so ago)\b",
    re.IGNORECASE,
)
_RELATIVE_LEAD = re.compile(
    r"\b(?:another|extra|last|first|next|every other|count(?:ed)? to|for the)\W*$", re.IGNORECASE
)
_KEEPS = re.compile(
    r"\b(?:keeps?|keep it|keep them|will keep)(?:\s+(?:for|up to|well for|chilled for|it for))*\W*$", re.IGNORECASE
)
_READY = re.compile(
    r"\b(?:ready|done|on the table|table|dinner|supper|lunch|cooked|start to finish|all told|altogether|in all)\b"
    r"(?:\W+\w+){0,2}\W+in\W*$|\b(?:start to (?:finish|table)|from start|takes|all told|altogether)\W*(?:\w+\W+){0,2}$",
    re.IGNORECASE,
)
_MEAL = re.compile(
    r"^(?:-|\s)?(?:\w+\s){0,2}(?:meal|soup|supper|dinner|lunch|recipe|dish|bake|rice|noodles|stew|curry|pancakes|chowder"
    r"|fritters|toast|crumble|cabbage|loaf|bread)\b",
    re.IGNORECASE,
)
_FAN_LEAD = re.compile(r"\bfan(?: oven)?(?: at)?\W*$", re.IGNORECASE)
_FAN_TAIL = re.compile(r"^\W{0,2}(?:with (?:a|the) |in a )?fan\b", re.IGNORECASE)
_GENERIC = {"let", "first", "second", "make", "take", "put", "add", "serve", "fill", "top", "the", "heat", "mix", "set"}


def _words(facts: Iterable[Fact]) -> str:
    found = tuple(facts)
    return " or ".join(dict.fromkeys(fact.words for fact in found if not fact.only_with or len(found) == 1))


def _within(typed: Typed, facts: Iterable[Fact]) -> Fact | None:
    """Return the first fact that holds the typed range, a tenth wider where it is given loosely."""
    slack = Fraction(1, 10) if is_about(typed) else Fraction(0)
    for fact in facts:
        if not fact.may_be(typed.sentence):
            continue
        if fact.low * (1 - slack) <= typed.low and typed.high <= fact.high * (1 + slack):
            return fact
        if typed.how == "time" and "-odd" in typed.words and typed.low <= fact.low and fact.high <= typed.high:
            return fact
    return None


# ---------------------------------------------------------------------------------------------------- time


def judge_time(typed: Typed, at: TextPlace, book: FactBook) -> Judgement:
    """Judge a length of time by the step it stands in, by the steps and the whole of the recipe elsewhere."""
    recipe, step = at.place.recipe, at.place.step
    if recipe is None:
        return _time_of_episode(typed, book)
    if step is not None and at.text != "title":
        return _time_in_step(typed, at, recipe, step, book)
    return _time_of_recipe(typed, at, recipe, book)


def _time_in_step(typed: Typed, at: TextPlace, recipe: ResolvedRecipe, step: Step, book: FactBook) -> Judgement:
    own = step_times(step)
    if (fact := _within(typed, own)) is not None:
        return agrees(fact.words, step.name)
    others = _named_steps(typed, recipe, step)
    for other in others:
        if (fact := _within(typed, step_times(other))) is not None:
            return agrees(fact.words, other.name)
    whole = (*recipe_times(recipe.id, book), *keeping_times(recipe))
    if (fact := _within(typed, whole)) is not None and not _is_of_the_step(typed):
        return agrees(fact.words, recipe.id)
    is_only_left = step.hands is None and step.watch is None
    is_part = at.text == "method" and own and not is_only_left and typed.high < min(fact.low for fact in own)
    if not own or is_part or _is_relative(typed):
        return no_fact()
    return differs(_words(own), step.name)


def _is_of_the_step(typed: Typed) -> bool:
    """Return whether a time stands alone or as an order: a whole recipe's time is then not what is meant."""
    return not re.search(
        r"\b(?:hands-on|active|waiting|start to|in all|altogether|keeps?|fridge)\b", typed.sentence, re.IGNORECASE
    )


def _is_relative(typed: Typed) -> bool:
    return _RELATIVE.search(typed.tail) is not None or _RELATIVE_LEAD.search(typed.lead) is not None


def _named_steps(typed: Typed, recipe: ResolvedRecipe, step: Step | None) -> tuple[Step, ...]:
    """Return the other steps whose verb the sentence says ("then it bakes for half an hour")."""
    said = set(re.findall(r"[a-z]+", typed.sentence.casefold()))
    return tuple(
        other
        for other in recipe.recipe.steps
        if other is not step and any(_is_form(word, _verb(other)) for word in said)
    )


def _verb(step: Step) -> str:
    words = [word for word in re.findall(r"[a-z]+", step.name.casefold()) if word not in _GENERIC]
    return words[0] if words else ""


def _is_form(word: str, verb: str) -> bool:
    stem = verb.removesuffix("e")
    ends = ("", "e", "s", "es", "ed", "ing", "d")
    return len(stem) > 2 and word.startswith(stem) and word[len(stem) :].removeprefix(stem[-1:]) in ends


def _time_of_recipe(typed: Typed, at: TextPlace, recipe: ResolvedRecipe, book: FactBook) -> Judgement:
    whole = recipe_times(recipe.id, book)
    if _is_claim(typed):
        return _time_claim(typed, recipe, book)
    for words, fact in zip(("hands-on", "waiting"), whole, strict=False):
        if words in typed.sentence.casefold() or (words == "hands-on" and "active" in typed.sentence.casefold()):
            found = _within(typed, (fact,))
            return agrees(fact.words, recipe.id) if found is not None else differs(fact.words, recipe.id)
    keeping = keeping_times(recipe)
    if _KEEPS.search(typed.lead) and keeping:
        found = _within(typed, keeping)
        return agrees(found.words, "keeping") if found is not None else differs(_words(keeping), "keeping")
    return _time_of_steps(typed, at, recipe, keeping)


def _time_of_steps(typed: Typed, at: TextPlace, recipe: ResolvedRecipe, keeping: tuple[Fact, ...]) -> Judgement:
    """Judge by the steps whose verb is said, and by how long things keep; a mere equal proves nothing."""
    named = _named_steps(typed, recipe, None)
    for step in named:
        if (fact := _within(typed, step_times(step))) is not None:
            return agrees(fact.words, step.name)
    if (fact := _within(typed, keeping)) is not None:
        return agrees(fact.words, "keeping")
    last = re.findall(r"[a-z]+", typed.lead.casefold())[-4:]
    told = [step for step in named if any(_is_form(word, _verb(step)) for word in last) and step_times(step)]
    if len(told) == 1 and at.text in ("headnote", "serve", "notes", "title") and not _is_relative(typed):
        return differs(_words(step_times(told[0])), told[0].name)
    return no_fact()


def _is_claim(typed: Typed) -> bool:
    is_adjective = "-" in typed.words and _MEAL.search(typed.tail) is not None
    return is_adjective or _READY.search(typed.lead) is not None


def _time_claim(typed: Typed, recipe: ResolvedRecipe, book: FactBook) -> Judgement:
    """Judge "a 30-minute meal" by the unrounded long end (rule T8), a range by the published one."""
    times = book.times.recipe(recipe.id) if book.times is not None else None
    if times is None:
        return no_fact()
    fact = recipe_times(recipe.id, book)[-1]
    if typed.low != typed.high:
        return agrees(fact.words, recipe.id) if _within(typed, (fact,)) else differs(fact.words, recipe.id)
    is_kept = times.elapsed.high_s <= typed.high
    return agrees(fact.words, recipe.id) if is_kept else differs(fact.words, recipe.id)


def _time_of_episode(typed: Typed, book: FactBook) -> Judgement:
    if book.times is None:
        return no_fact()
    said = {word for word in name_words(typed.sentence) if len(word) > 3}
    named = [recipe for recipe in book.resolved.recipes if said & set(name_words(recipe.id.replace("-", " ")))]
    if _is_claim(typed) and len(named) == 1:
        return _time_claim(typed, named[0], book)
    facts = [fact for recipe in book.resolved.recipes for fact in recipe_times(recipe.id, book)]
    found = _within(typed, facts)
    return agrees(found.words) if found is not None else no_fact()


# ---------------------------------------------------------------------------------------------------- heat


def judge_temperature(
    typed: Typed, at: TextPlace, book: FactBook, *, value: Fraction | None = None
) -> Judgement | None:
    """Judge a temperature by the step's oven, core and cue, elsewhere by the recipe's ovens; 5 °F is rounding (C10)."""
    recipe, step = at.place.recipe, at.place.step
    if recipe is None:
        return no_fact()
    kitchen = book.resolved.episode.kitchen
    offset = kitchen.ovens[0].fan_offset_c if kitchen.ovens else 20
    own = oven_facts(step, offset) if step is not None else ()
    low, high = (typed.low, typed.high) if value is None else (value, value)
    facts = own or tuple(fact for other in recipe.recipe.steps for fact in oven_facts(other, offset))
    is_fan = _FAN_LEAD.search(typed.lead) is not None or _FAN_TAIL.search(typed.tail) is not None
    likely = [fact for fact in facts if fact.words.startswith("fan") == is_fan] if facts else []
    for fact in likely:
        if _is_heat(low, high, typed.unit, fact):
            return agrees(fact.words, step.name if step is not None else recipe.id, FigureKind.TEMPERATURE)
    is_hot = _celsius(low, typed.unit) >= 100
    if not likely or not (own or (is_hot and "oven" in typed.sentence.casefold())):
        return no_fact(FigureKind.TEMPERATURE)
    if not is_hot and all(fact.low >= 100 for fact in likely):
        return no_fact(FigureKind.TEMPERATURE)
    return differs(_words(likely), step.name if step is not None else recipe.id, FigureKind.TEMPERATURE)


def _is_heat(low: Fraction, high: Fraction, unit: str, fact: Fact) -> bool:
    if unit == "F" or (not unit and low > 260):
        ends = [value * Fraction(9, 5) + 32 for value in (fact.low, fact.high)]
        return ends[0] - 5 <= low and high <= ends[1] + 5
    return fact.low <= low and high <= fact.high


def _celsius(value: Fraction, unit: str) -> Fraction:
    return (value - 32) * Fraction(5, 9) if unit == "F" or value > 260 else value
