"""
Which food an ingredient text means: longest name first, in the state the text says, never across states silently.

Near spellings give hints only. Nothing here knows amounts; ``figures`` does.
"""

from __future__ import annotations

import difflib
from collections.abc import Collection
from dataclasses import replace
from functools import lru_cache

from shootplan.larder.tables import named_categories, phrases, weights
from shootplan.larder.text import words
from shootplan.model.larder import Identity

__all__ = ["identify", "identify_line", "near_foods"]

_STATES = {
    "tinned": "canned", "canned": "canned", "tin": "canned", "jarred": "canned",
    "frozen": "frozen", "dried": "dry", "dry": "dry", "cooked": "cooked", "boiled": "cooked", "leftover": "cooked",
    "raw": "raw", "fresh": "raw", "ripe": "raw",
}  # fmt: skip
#: Categories whose bare name means the dry goods that a shop sells (common practice, no source).
_SOLD_DRY = frozenset({"grain", "pasta", "flour", "sugar", "spice", "herb dried", "nut", "seed", "leavener", "starch"})
_SIZES = frozenset({"small", "medium", "large", "baby", "jumbo"})
_FORMS = (
    "chopped", "diced", "sliced", "grated", "shredded", "mashed", "crumbled", "ground", "whole", "halved", "cubed",
    "packed", "melted", "minced", "pureed", "sifted", "quartered", "slivered", "flaked",
)  # fmt: skip
_FORM_WORDS = frozenset(_FORMS)
#: Words that make another food of the name before them: "chilli flakes" is no chilli, "tomato soup" no tomato.
_CHANGERS = frozenset(
    {
        "flake", "powder", "sauce", "oil", "juice", "flour", "paste", "soup", "stock", "milk", "butter", "vinegar",
        "seed", "jam", "jelly", "syrup", "extract", "essence", "leaf", "crisp", "chip", "bread", "cake", "pie", "wine",
        "puree", "ketchup", "chutney", "pickle", "salt", "sugar", "cream", "cheese", "noodle", "curd", "water", "tea",
    }
)  # fmt: skip
_TINS = ("tin", "can")
#: Categories that a tin changes: tinned peaches are no raw peaches, where a tin of treacle is treacle.
_TINNED_OTHERWISE = frozenset(
    {"vegetable", "leafy", "tomato", "fruit", "pulse", "legume", "fish", "shellfish", "meat", "poultry", "grain"}
)
#: Foods that come in tins whatever one calls them (common practice, no source).
_SOLD_TINNED = frozenset(
    {("coconut", "milk"), ("coconut", "cream"), ("refried", "bean"), ("water", "chestnut"), ("pumpkin", "puree")}
)
#: Foods whose leaves are the food (common practice, no source).
_LEAFY = frozenset(
    {
        "spinach", "basil", "parsley", "mint", "coriander", "cilantro", "sage", "tarragon", "rocket", "arugula", "kale",
        "chard", "lettuce", "cabbage", "thyme", "oregano", "marjoram", "dill", "rosemary", "watercress", "sorrel",
    }
)  # fmt: skip
#: Pulses that are cooked from dry so commonly that the bare name means it (common practice, no source).
_DRY_PULSES = frozenset({"lentil", "split", "dal"})
_LONGEST = 7


@lru_cache(maxsize=8192)
def identify(text: str) -> Identity:
    """
    Return the food that a text means, or an identity without a food that says why and what is near.

    The longest name in the table that stands in the text wins; of two equally long the one nearer the end, since
    English puts the food last ("tomato soup"). A state in the text ("tinned", "dried", "cooked", "frozen") must be
    a state of the food: "tinned chickpeas" never takes dried chickpeas' figures.
    """
    tokens = words(_named(text))
    size = next((word for word in tokens if word in _SIZES), "")
    form = _form_of({*tokens, *text.casefold().split()})
    states = _asked_states(text)
    if len(states) > 1:
        return Identity(text=text, size=size, form=form, why_not=f"say which: {' or '.join(states)}")
    asked = "".join(states)
    for phrase in _longest_first(tokens):
        chosen, assumed, why_not = _choose(phrases()[phrase], asked, phrase)
        if chosen is None:
            return Identity(text=text, size=size, form=form, matched=" ".join(phrase), why_not=why_not)
        food, state = chosen
        return Identity(
            text=text,
            food=food,
            category=_category(food, state),
            state=state,
            state_is_assumed=assumed,
            form=form,
            size=size,
            matched=" ".join(phrase),
        )
    return Identity(text=text, size=size, form=form, why_not="not in the tables")


def identify_line(text: str, *, counted_in: str = "", form: str = "") -> Identity:
    """
    Return the food of an ingredient line: its size and item, what it is counted in, and its form behind the comma.

    "1 tin chickpeas" means tinned ones; "1 cup carrots, grated" is weighed grated. The form never changes the state.
    """
    food = identify(text)
    if counted_in in _TINS and food.state != "canned":
        tinned = identify(f"tinned {text}")
        if tinned.is_known or food.category in _TINNED_OTHERWISE:
            food = replace(tinned, text=text)
    weighed_as = "" if food.form or not food.is_known else _form_of(words(form))
    return replace(food, form=weighed_as) if weighed_as else food


def _form_of(spoken: Collection[str]) -> str:
    """Return the form in which a food may have been weighed that words name ("coarsely grated" → "grated"), or ""."""
    return "" if _FORM_WORDS.isdisjoint(spoken) else next(form for form in _FORMS if form in spoken)


def _named(text: str) -> str:
    """Return what is named, without what it is for: "salt for the pickle" is salt."""
    folded = text.casefold()
    for word in (" for ", " to serve", " in oil", " in brine", " in water"):
        if word in folded:
            folded = folded.split(word, 1)[0]
    return folded


def _asked_states(text: str) -> tuple[str, ...]:
    """Return the states that the text itself names, each once: none, one, or several that contradict each other."""
    spoken = text.casefold().replace("-", " ").replace(",", " ").split()
    return tuple(dict.fromkeys([_STATES[word] for word in spoken if word in _STATES]))


def _longest_first(tokens: tuple[str, ...]) -> list[tuple[str, ...]]:
    """Return the names that stand in the text, longest first, then nearest to the end."""
    known = phrases()
    found = []
    for size in range(min(_LONGEST, len(tokens)), 0, -1):
        for place in range(len(tokens) - size, -1, -1):
            phrase = tokens[place : place + size]
            if phrase in known and not _is_changed(phrase, tokens[place + size : place + size + 1]):
                found.append(phrase)
    return found


def _is_changed(phrase: tuple[str, ...], behind: tuple[str, ...]) -> bool:
    """Return whether the word behind a name makes another food of it."""
    is_leafy = behind == ("leaf",) and phrase[-1] in _LEAFY
    return not is_leafy and not _CHANGERS.isdisjoint(behind)


def _choose(
    foods: tuple[tuple[str, str], ...], asked: str, phrase: tuple[str, ...]
) -> tuple[tuple[str, str] | None, bool, str]:
    """Return the (food, state) meant, whether its state was assumed, and why none was chosen."""
    exact = [pair for pair in foods if words(pair[0]) == phrase]
    if asked:
        fitting = [pair for pair in exact or foods if pair[1] == asked] or [p for p in foods if p[1] == asked]
        if fitting:
            return fitting[0], False, ""
        states = ", ".join(sorted({state for _, state in foods}))
        return None, False, f"the tables have it {states}, not {asked}"
    candidates = exact or list(foods)
    all_states = list(dict.fromkeys(state for _, state in foods))
    is_pulse = any(_category(food, state) == "pulse" for food, state in foods)
    if is_pulse and not _DRY_PULSES.intersection(phrase):
        return None, False, "say which: dried, tinned or cooked"
    if len(all_states) == 1:
        if _is_only_as(candidates[0], phrase):
            return None, False, f"the tables have it {all_states[0]} only: write so, or give the weight"
        return candidates[0], False, ""
    default = _default_state(foods)
    if default is None:
        return None, False, f"say which: {' or '.join(all_states)}"
    return next((p for p in candidates if p[1] == default), next(p for p in foods if p[1] == default)), True, ""


def _is_only_as(food: tuple[str, str], phrase: tuple[str, ...]) -> bool:
    """
    Return whether the table's food is a cooked, tinned or frozen one by its name, and the text names the bare food.

    "Tuna" is not "tuna, canned"; "coconut milk" and "crispy bacon" say themselves what they are.
    """
    name, state = words(food[0]), food[1]
    return state in name and phrase not in _SOLD_TINNED and set(phrase) < set(name)


def _default_state(foods: tuple[tuple[str, str], ...]) -> str | None:
    """Return the state that a bare name means: dry for dry goods, else raw, else none."""
    states = {state for _, state in foods}
    kinds = {_category(food, state) for food, state in foods}
    if "dry" in states and kinds & _SOLD_DRY:
        return "dry"
    return "raw" if "raw" in states else None


def _category(food: str, state: str) -> str:
    found = weights(food, state)
    return found[0].category if found else named_categories().get((food, state), "")


def near_foods(text: str) -> tuple[str, ...]:
    """Return up to three foods with a near name, for the user to choose from; never used as a match."""
    tokens = words(_named(text))
    names = {" ".join(phrase): phrase for phrase in phrases()}
    near: list[str] = []
    for size in (3, 2, 1):
        if len(tokens) >= size:
            near += difflib.get_close_matches(" ".join(tokens[-size:]), sorted(names), n=3, cutoff=0.75)
    foods = [phrases()[names[name]][0][0] for name in near]
    return tuple(dict.fromkeys(foods))[:3]
