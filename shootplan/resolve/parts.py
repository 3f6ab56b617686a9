"""
What each step uses: mentions tied to lines and products, their parts added up, products in the order of the work.

A recipe comes in; uses, products and problems go out. Amounts are shares of the whole here; the caller measures them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import field
from fractions import Fraction

from shootplan.model.money import half_up
from shootplan.model.quantity import Amount
from shootplan.model.recipe import Mention, PartKind, Purpose, Recipe, RecipeKind, Step, When
from shootplan.problems import Problem, Severity, Span, did_you_mean
from shootplan.records import dataclass
from shootplan.resolve.ledger import Ledger, share_of
from shootplan.resolve.names import plain
from shootplan.resolve.things import Found, Thing, find, things_of

__all__ = ["Parts", "ShareUsed", "parts_of"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShareUsed:
    """One mention tied to its thing: in which step, how much of the whole, and how it stands to setting aside."""

    step: Step
    thing: Thing
    share: Fraction
    is_held_back: bool = False
    from_held_back: bool = False


@dataclass(slots=True)
class Parts:
    """The uses of a recipe in step order, the account of each thing by key, and the problems found."""

    recipe: Recipe
    system: str
    staples: frozenset[str]
    things: tuple[Thing, ...]
    uses: list[ShareUsed] = field(default_factory=list)
    ledgers: dict[str, Ledger] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    doubted: set[str] = field(default_factory=set)

    def ledger(self, thing: Thing) -> Ledger:
        """Return the account of a thing."""
        return self.ledgers.setdefault(thing.key, Ledger())

    def fault(self, span: Span, code: str, message: str, hint: str | None = None, *, is_warning: bool = False) -> None:
        """Note a problem."""
        severity = Severity.WARNING if is_warning else Severity.ERROR
        self.problems.append(Problem(span=span, code=code, message=message, hint=hint, severity=severity))


def parts_of(recipe: Recipe, *, system: str, staples: frozenset[str] = frozenset()) -> Parts:
    """
    Return what the steps of a recipe use, with every part added up.

    ``staples`` are ids of lines that are staples by the price book: unused, they earn a warning only.
    """
    parts = Parts(recipe=recipe, system=system, staples=staples, things=things_of(recipe))
    for step in recipe.steps:
        for mention in step.mentions:
            _tie(parts, step, mention)
    if recipe.steps:  # without a method nothing is known of uses
        for thing in parts.things:
            _check_sum(parts, thing)
        _check_products(parts)
    return parts


# ------------------------------------------------------------------------------------------------ mentions


def _tie(parts: Parts, step: Step, mention: Mention) -> None:
    """Tie one mention to its thing and enter it into the account."""
    found = find(mention.name, parts.things)
    if found.thing is None:
        _not_found(parts, mention, found)
        return
    thing = found.thing
    if any(maker.id == step.id for maker in thing.makers):
        hint = "name what goes in, and let a later step use what comes out"
        parts.fault(mention.span, "product-self", f'"{step.name}" uses "{thing.name}", which it makes itself', hint)
        return
    share = share_of(mention, thing, parts.ledger(thing), parts.system)
    if share is None:
        _not_comparable(parts, mention, thing)
        return
    _enter(parts, step, mention, thing, share)


def _not_found(parts: Parts, mention: Mention, found: Found) -> None:
    """Note an unknown or ambiguous name, and remember the things it may have meant: they are not "unused"."""
    names = [thing.name for thing in parts.things]
    if found.candidates:
        listed = " or ".join(f'"{name}"' for name in found.candidates)
        message = f'"{mention.name}" could be {listed}'
        parts.fault(mention.span, "mention-ambiguous", message, "use words that only one of them has")
        parts.doubted |= {plain(name) for name in found.candidates}
        return
    hint = did_you_mean(mention.name, dict.fromkeys(names))
    message = f'"{mention.name}" is neither an ingredient nor something that a step makes'
    parts.fault(mention.span, "mention-unknown", message, hint or "list it under Ingredients, or remove the brackets")
    parts.doubted |= {plain(name) for name in names if f'"{name}"' in (hint or "")}


def _not_comparable(parts: Parts, mention: Mention, thing: Thing) -> None:
    amount = mention.part.amount
    text = say(amount) if amount is not None else "a part"
    have = " or ".join(say(whole) for whole in thing.measures)
    what = f"which is given as {have}" if have else "which has no amount"
    hint = "give the part in the same kind of measure, or as a fraction"
    parts.fault(mention.span, "part-unit", f'"{text}" cannot be taken from "{thing.name}", {what}', hint)
    parts.doubted.add(plain(thing.name))


def _enter(parts: Parts, step: Step, mention: Mention, thing: Thing, share: Fraction) -> None:
    ledger = parts.ledger(thing)
    is_from_held = mention.part.kind is PartKind.HELD_BACK
    if is_from_held and not ledger.held:
        _nothing_held(parts, mention, thing, ledger)
        return
    if mention.part.kind is PartKind.REST and share == 0:
        _nothing_left(parts, mention, thing, ledger)
        return
    if mention.is_held_back:
        ledger.hold_back(share)
    elif is_from_held:
        ledger.use_held()
    else:
        ledger.take(share, is_whole=mention.part.kind is PartKind.WHOLE)
    use = ShareUsed(step=step, thing=thing, share=share, is_held_back=mention.is_held_back, from_held_back=is_from_held)
    parts.uses.append(use)


def _nothing_left(parts: Parts, mention: Mention, thing: Thing, ledger: Ledger) -> None:
    message = f'nothing is left of "{thing.name}" for "rest"'
    is_held = ledger.held > 0
    hint = f"use what was held back: [{thing.name}: held back]" if is_held else "check the parts in the steps before"
    parts.fault(mention.span, "rest-empty", message, hint)
    parts.doubted.add(plain(thing.name))


def _nothing_held(parts: Parts, mention: Mention, thing: Thing, ledger: Ledger) -> None:
    if ledger.was_held:
        message = f'what was held back of "{thing.name}" is used already'
    else:
        message = f'"{thing.name}" is used from what was held back before any of it is held back'
    hint = f"let an earlier step say [{thing.name}: hold back AMOUNT]"
    parts.fault(mention.span, "held-back-before", message, hint)
    parts.doubted.add(plain(thing.name))


# ------------------------------------------------------------------------------------------------ sums


def _check_sum(parts: Parts, thing: Thing) -> None:
    """Check that the parts of a thing come to exactly the whole (a batch may leave a rest)."""
    ledger = parts.ledger(thing)
    if plain(thing.name) in parts.doubted or thing.key in parts.doubted:
        return
    if ledger.mentions == 0:
        _unused(parts, thing)
        return
    if ledger.held > 0:
        message = f'{_part_words(thing, ledger.held)} of "{thing.name}" is held back and never used'
        parts.fault(_place(parts, thing), "held-back-unused", message, f"use it: [{thing.name}: held back]")
        return
    if not _must_add_up(thing) or ledger.total == 1:
        return
    if ledger.whole_uses > 1:
        message = f'all of "{thing.name}" is used {ledger.whole_uses} times'
        hint = f"say which part each step uses: [{thing.name}: half], or drop the brackets where it is only spoken of"
        parts.fault(_place(parts, thing), "used-twice", message, hint)
    elif ledger.total > 1:
        parts.fault(_place(parts, thing), "parts-over", _sum_words(thing, ledger.total), "make the parts add up")
    elif not thing.may_be_left_over:
        hint = f"use what is left: [{thing.name}: rest]"
        parts.fault(_place(parts, thing), "parts-short", _sum_words(thing, ledger.total), hint)


def _must_add_up(thing: Thing) -> bool:
    """Return whether the parts must come to the whole: not for water, nor for what has no amount."""
    if thing.line is None:
        return True
    return thing.line.amount is not None and thing.line.purpose is not Purpose.WATER


def _unused(parts: Parts, thing: Thing) -> None:
    line = thing.line
    if line is None:
        if not _is_the_result(parts.recipe, thing):
            message = f'"{thing.name}" is made and never used'
            parts.fault(_place(parts, thing), "product-unused", message, f"use it in a later step: [{thing.name}]")
        return
    is_minor = (
        thing.is_optional
        or line.is_to_taste
        or line.purpose is not Purpose.DISH
        or bool(line.is_staple)
        or line.id in parts.staples
    )
    hint = f"mark where it goes in: [{line.item}]"
    message = f'"{line.item}" is listed and no step uses it'
    parts.fault(line.item_span, "ingredient-unused", message, hint, is_warning=is_minor)


def _is_the_result(recipe: Recipe, thing: Thing) -> bool:
    """Return whether a product is what the recipe is for: made by a serving or last step, or the batch itself."""
    if recipe.kind is RecipeKind.SUB_PREPARATION and plain(thing.name) in (
        plain(recipe.makes_name),
        plain(recipe.title),
    ):
        return True
    return any(maker.is_serving or maker is recipe.steps[-1] for maker in thing.makers)


def _place(parts: Parts, thing: Thing) -> Span:
    """Return where a thing stands: its line, its group, or the step that makes it."""
    if thing.line is not None:
        return thing.line.item_span
    if thing.group is not None:
        return thing.group.span
    return thing.makers[0].place("makes") if thing.makers else parts.recipe.span


def _sum_words(thing: Thing, total: Fraction) -> str:
    return f'the steps use {_part_words(thing, total)} of "{thing.name}", of {_part_words(thing, Fraction(1))}'


def _part_words(thing: Thing, share: Fraction) -> str:
    if thing.measures:
        return say(thing.measures[0].upper().scaled(share))
    return "the whole" if share == 1 else f"{_number(share)} of the whole"


def say(amount: Amount) -> str:
    """Return an amount for a problem's sentence: "60 ml", "1/3 tin"."""
    low, high = _number(amount.low), _number(amount.high)
    number = low if low == high else f"{low}–{high}"
    return f"{number} {amount.unit}".strip()


def _number(value: Fraction) -> str:
    """Return a decimal where it ends within three places, else a fraction."""
    if (value * 1000).denominator == 1:
        return f"{half_up(value, 3).normalize():f}"
    return str(value)


# ------------------------------------------------------------------------------------------------ products


def _check_products(parts: Parts) -> None:
    """Check who makes what: once, somewhere, and before it is used."""
    for thing in parts.things:
        if not thing.is_product:
            continue
        if not thing.makers:
            hint = f"let the step that finishes it say makes: {thing.name}"
            message = f'no step makes "{thing.name}"'
            parts.fault(_place(parts, thing), "product-not-made", message, hint)
        if len(thing.makers) > 1:
            names = " and ".join(f'"{maker.name}"' for maker in thing.makers)
            message = f'"{thing.name}" is made by {names}'
            parts.fault(thing.makers[1].place("makes"), "product-doubled", message, "give the two different names")
    ancestors = _ancestors(parts.recipe)
    for use in parts.uses:
        if use.thing.is_product and len(use.thing.makers) == 1:
            _check_order(parts, use, use.thing.makers[0], ancestors)


def _check_order(parts: Parts, use: ShareUsed, maker: Step, ancestors: dict[str, set[str]]) -> None:
    """Check that a product's use waits for its making."""
    if maker.id in ancestors[use.step.id] or (maker.when is When.AHEAD and use.step.when is not When.AHEAD):
        return
    span = next((m.span for m in use.step.mentions if find(m.name, parts.things).thing is use.thing), use.step.span)
    if maker.number > use.step.number:
        message = f'"{use.step.name}" uses "{use.thing.name}" before "{maker.name}" makes it'
        parts.fault(span, "product-before-made", message, "put the making step first")
    else:
        message = f'"{use.step.name}" uses "{use.thing.name}" and does not wait for "{maker.name}"'
        parts.fault(span, "product-not-awaited", message, f"add after: {maker.name}", is_warning=True)


def _ancestors(recipe: Recipe) -> dict[str, set[str]]:
    """Return for each step the steps of the recipe that come before it by ``after``, near and far."""
    direct = {step.id: set(_direct(recipe, step, place)) for place, step in enumerate(recipe.steps)}
    return {step_id: _closure(step_id, direct) for step_id in direct}


def _direct(recipe: Recipe, step: Step, place: int) -> Iterator[str]:
    if step.after is None:
        if place > 0:
            yield recipe.steps[place - 1].id
        return
    for after in step.after:
        earlier = recipe.step(after.step) if after.recipe in ("", recipe.id) else None
        if earlier is not None:
            yield earlier.id


def _closure(start: str, direct: dict[str, set[str]]) -> set[str]:
    seen: set[str] = set()
    waiting: list[str] = [*direct[start]]
    while waiting:
        step_id = waiting.pop()
        if step_id not in seen:
            seen.add(step_id)
            waiting.extend(_known(direct, step_id))
    return seen


def _known(direct: dict[str, set[str]], step_id: str) -> Iterable[str]:
    return sorted(direct.get(step_id, ()))
