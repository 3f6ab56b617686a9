"""
Whether a figure typed in free text says what was computed.

A text with its place and the book of facts come in; a ``Statement`` for each figure goes out: it agrees, it differs, or
nothing known is what it speaks of. Amounts, counts, shares, people and diets are judged here, times and heat in
``agreement_measured``, money in ``agreement_money``; units, both ends of a range and words such as "about" count.
"""

from __future__ import annotations

import re
from fractions import Fraction

from shootplan.facts.agreement_diet import judge_diet
from shootplan.facts.agreement_measured import judge_temperature, judge_time
from shootplan.facts.agreement_money import judge_money
from shootplan.facts.book import FactBook
from shootplan.facts.figures import Typed, find_figures
from shootplan.facts.judgement import Judgement, TextPlace, agrees, differs, is_about, no_fact
from shootplan.facts.known import kitchen_counts, oven_facts, serving_facts
from shootplan.facts.known_amounts import (
    find_line,
    find_line_before,
    fits,
    is_comparable,
    known_amounts,
    known_shares,
    used_here,
)
from shootplan.facts.names import name_words
from shootplan.model.agreement import FigureKind, Statement, Verdict
from shootplan.model.quantity import COUNT, Amount
from shootplan.model.resolved import ResolvedRecipe
from shootplan.model.show import amount_text
from shootplan.problems import Span
from shootplan.records import dataclass

__all__ = ["TextPlace", "read_statements"]

_SERVING_WORDS = {"small", "hearty", "large", "big", "servings", "portions"}
_COURSES = {"recipe", "dish", "course", "lunch", "dinner", "supper", "meal"}


def read_statements(text: str, at: TextPlace, book: FactBook) -> tuple[Statement, ...]:
    """Return a statement for each figure of a text; placeholders must be out of it."""
    found = []
    for typed in find_figures(text):
        judgement = _judge(typed, at, book)
        if judgement is not None:
            found.append(_statement(typed, judgement, text, at))
    return tuple(found)


def _statement(typed: Typed, judgement: Judgement, text: str, at: TextPlace) -> Statement:
    recipe, step, span = at.place.recipe, at.place.step, at.span
    if at.has_columns and "\n" not in text[: typed.start]:
        span = Span(span.path, span.line, span.column + typed.start, span.column + typed.end)
    return Statement(
        words=typed.words,
        kind=judgement.kind or typed.kind,
        verdict=judgement.verdict,
        fact=judgement.fact,
        about=judgement.about,
        text=at.text,
        recipe=recipe.id if recipe is not None else "",
        step=step.id if step is not None else "",
        span=span,
    )


def _judge(typed: Typed, at: TextPlace, book: FactBook) -> Judgement | None:
    """Return the verdict, or ``None`` for what is no figure at all ("one of them")."""
    match typed.kind:
        case FigureKind.AMOUNT:
            return _amount(typed, at, book)
        case FigureKind.COUNT:
            return _count(typed, at, book)
        case FigureKind.SHARE:
            return _share(typed, at)
        case FigureKind.SERVINGS:
            return _servings(typed, at, book)
        case FigureKind.TIME:
            return judge_time(typed, at, book)
        case FigureKind.TEMPERATURE:
            return judge_temperature(typed, at, book)
        case FigureKind.MONEY:
            return judge_money(typed, at, book)
        case FigureKind.DIET:
            return judge_diet(typed, at, book)
        case _:
            return _number(typed, at, book)


# ---------------------------------------------------------------------------------------------------- amounts


@dataclass(frozen=True, slots=True)
class _Named:
    """A line or product with the recipe that it is of."""

    key: str
    recipe: ResolvedRecipe


def _named(typed: Typed, at: TextPlace, book: FactBook) -> tuple[_Named, ...]:
    """Return what the words behind the figure name, else those before it: in one recipe, or in any of the episode."""
    recipes = (at.place.recipe,) if at.place.recipe is not None else book.resolved.recipes
    found = [
        _Named(key, recipe) for recipe in recipes if (key := find_line(typed.name, recipe, at.place.step)) is not None
    ]
    if not found and (not typed.name or _is_filler(typed.name)):
        found = [
            _Named(key, recipe) for recipe in recipes if (key := find_line_before(typed.before, recipe)) is not None
        ]
    return tuple(found)


def _is_filler(words: str) -> bool:
    """Return whether the words behind a figure name nothing: "in", "at a time", "each"."""
    return words.split()[0].casefold() in {
        *("in", "into", "at", "and", "for", "to", "with", "or", "on", "is", "are", "go", "goes", "now", "then", "each"),
        *("first", "here", "please", "will", "do", "of", "from", "more", "over", "come", "comes", "it", "them", "as"),
    }


def _amount(typed: Typed, at: TextPlace, book: FactBook) -> Judgement:
    named = _named(typed, at, book)
    if named:
        return _compare_amounts(typed, named, at)
    if typed.name and not _is_filler(typed.name):
        return no_fact()
    return _unnamed_amount(typed, at)


def _compare_amounts(typed: Typed, named: tuple[_Named, ...], at: TextPlace) -> Judgement:
    slack = Fraction(1, 10) if is_about(typed) else Fraction(0)
    comparable: list[Amount] = []
    for item in named:
        measures = item.recipe.measures
        for amount in known_amounts(item.key, item.recipe, at.place.step):
            if fits(typed.low, typed.high, typed.unit, amount, measures, slack=slack):
                return agrees(amount_text(amount), _item(item))
            if is_comparable(typed.unit, amount, measures):
                comparable.append(amount)
    if not comparable:
        return no_fact()
    alike = [amount for amount in comparable if amount.unit == typed.unit] or comparable
    return differs(" or ".join(dict.fromkeys(amount_text(amount) for amount in alike)), _item(named[0]))


def _item(named: _Named) -> str:
    line = named.recipe.line(named.key)
    return line.line.item if line is not None else named.key


def _unnamed_amount(typed: Typed, at: TextPlace) -> Judgement:
    """Judge "Half a cube." by what the step uses: one of its uses has it, or its only use in such a unit has not."""
    recipe, step = at.place.recipe, at.place.step
    if recipe is None or step is None:
        return no_fact()
    keys = dict.fromkeys(use.line or use.product for use in recipe.uses_in(step.id))
    likely: dict[str, list[Amount]] = {}
    for key in keys:
        for amount in known_amounts(key, recipe, step):
            if fits(typed.low, typed.high, typed.unit, amount, recipe.measures, slack=Fraction(0)):
                return agrees(amount_text(amount), _item(_Named(key, recipe)))
            if is_comparable(typed.unit, amount, recipe.measures):
                likely.setdefault(key, []).append(amount)
    is_some_of_it = re.match(r"\W*(?:first|at a time|each|more|left)\b", typed.tail, re.IGNORECASE) is not None
    if len(likely) != 1 or typed.name or is_some_of_it:
        return no_fact()
    ((key, amounts),) = likely.items()
    return differs(" or ".join(dict.fromkeys(map(amount_text, amounts))), _item(_Named(key, recipe)))


def _count(typed: Typed, at: TextPlace, book: FactBook) -> Judgement | None:
    first = name_words(typed.name)[:1]
    if first and first[0] in _SERVING_WORDS and _speaks_of_servings(typed):
        return _servings(typed, at, book)
    recipe = at.place.recipe
    if recipe is not None and first and first == name_words(recipe.recipe.serves.noun)[:1]:
        return _made(typed, recipe)
    named = _named(typed, at, book) if typed.name else ()
    is_one_by_one = typed.tail.lstrip().casefold().startswith(typed.name.casefold() + " at a time")
    counts = [
        (item, amount)
        for item in named
        for amount in (*known_amounts(item.key, item.recipe, at.place.step), *_typed_counts(item))
        if amount.dimension == COUNT and amount.unit not in ("pinch", "handful")
    ]
    if counts and not is_one_by_one and " at a time" not in typed.tail.casefold():
        for item, amount in counts:
            if amount.low <= typed.low and typed.high <= amount.high:
                return agrees(amount_text(amount), _item(item))
        bare = [amount for item, amount in counts if not amount.unit]
        if bare:
            return differs(" or ".join(dict.fromkeys(map(amount_text, bare))), _item(counts[0][0]))
    return _number(typed, at, book)


def _typed_counts(named: _Named) -> tuple[Amount, ...]:
    line = named.recipe.line(named.key)
    is_used = used_here(named.key, named.recipe, None)
    if line is None or is_used:
        return ()
    return tuple(amount for amount in (line.line.amount, line.line.second) if amount is not None)


def _share(typed: Typed, at: TextPlace) -> Judgement | None:
    recipe, step = at.place.recipe, at.place.step
    if typed.how == "eaten":
        counts = [fact.low for fact in serving_facts(recipe)] if recipe is not None else []
        words = " or ".join(f"1/{count}" for count in dict.fromkeys(counts))
        is_right = any(typed.low == 1 / count for count in counts)
        return no_fact() if not counts else agrees(words, "servings") if is_right else differs(words, "servings")
    key = find_line(typed.name, recipe, step) if recipe is not None else None
    if recipe is None or key is None:
        return None if name_words(typed.name)[:1] in (("way",), ("time",)) else no_fact()
    shares = known_shares(key, recipe, step)
    words = " or ".join("all of it" if share == 1 else f"{share} of it" for share in shares)
    if typed.low in shares:
        return agrees(words, _item(_Named(key, recipe)))
    if not shares or recipe.line(key) is None:
        return no_fact()
    return differs(words, _item(_Named(key, recipe)))


# ---------------------------------------------------------------------------------------------------- people


def _speaks_of_servings(typed: Typed) -> bool:
    return any(word in typed.lead.casefold() for word in ("serve", "feed", "fill", "enough for", "portion"))


def _servings(typed: Typed, at: TextPlace, book: FactBook) -> Judgement | None:
    if typed.low == typed.high == 1:
        return None
    recipes = (at.place.recipe,) if at.place.recipe is not None else book.resolved.recipes
    facts = [fact for recipe in recipes for fact in serving_facts(recipe)]
    words = ", ".join(dict.fromkeys(fact.words for fact in facts[:2]))
    said = f"{typed.words} {re.split('[,;]|or', typed.tail)[0]}"
    known = {end for fact in facts if fact.may_be(said) for end in (fact.low, fact.high)}
    if {typed.low, typed.high} <= known:
        return agrees(words, "servings", FigureKind.SERVINGS)
    return differs(words, "servings", FigureKind.SERVINGS)


def _made(typed: Typed, recipe: ResolvedRecipe) -> Judgement:
    """Judge "makes 16 buns": only what is said to be made is held to it."""
    facts = serving_facts(recipe)
    words = facts[0].words
    if any(fact.low == typed.low and typed.high == fact.high for fact in facts):
        return agrees(words, "servings", FigureKind.SERVINGS)
    lead = typed.lead.casefold()
    is_made = any(word in lead for word in ("make", "give", "get", "yield", "serve"))
    return differs(words, "servings", FigureKind.SERVINGS) if is_made else no_fact(FigureKind.NUMBER)


def _number(typed: Typed, at: TextPlace, book: FactBook) -> Judgement | None:
    """Judge a number with nothing known behind it: a dial, a spoken price, how many dishes and rings there are."""
    if typed.how == "pair":
        price = judge_money(typed, at, book)
        if price is not None and price.verdict is not Verdict.NO_FACT:
            return price
    value = typed.low * 100 + typed.high if typed.how == "pair" else typed.low
    step, kitchen = at.place.step, book.resolved.episode.kitchen
    offset = kitchen.ovens[0].fan_offset_c if kitchen.ovens else 20
    is_dial = typed.how in ("pair", "bare") or (typed.how == "count" and _is_filler(typed.name))
    if step is not None and is_dial and 100 <= value <= 300 and oven_facts(step, offset):
        return judge_temperature(typed, at, book, value=value)
    if typed.how == "count" and at.place.recipe is None:
        return _episode_count(typed, book)
    return None if typed.words.casefold() in ("one", "a hundred") else no_fact(FigureKind.NUMBER)


def _episode_count(typed: Typed, book: FactBook) -> Judgement | None:
    words = name_words(typed.name)[:3]
    if typed.words.casefold() == "one":
        return None
    for noun, fact in kitchen_counts(book):
        if noun == "ring" and "ring" in words:
            return agrees(fact.words) if typed.low == fact.low else no_fact(FigureKind.NUMBER)
        if noun == "recipe" and _COURSES & set(words[:2]):
            return agrees(fact.words, "episode") if typed.low == fact.low else differs(fact.words, "episode")
    return no_fact(FigureKind.NUMBER)
