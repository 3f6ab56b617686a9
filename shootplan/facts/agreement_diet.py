"""
Words on diet typed in free text ("vegan", "gluten-free"): only a recipe's own ``diet:`` may claim them (check C17).

A typed word with its place comes in, a ``Judgement`` or ``None`` (an ingredient's name, a denial) goes out. Ingredients
are held against a claim by the allergens that their names suggest; that none is found proves nothing.
"""

from __future__ import annotations

from shootplan.facts.book import FactBook
from shootplan.facts.figures import Typed
from shootplan.facts.judgement import Judgement, TextPlace, agrees, differs
from shootplan.facts.names import find_names
from shootplan.model.resolved import ResolvedRecipe

__all__ = ["judge_diet"]

#: What the groups of Regulation (EU) No 1169/2011 rule out of a diet; meat is not among them and is not judged.
_RULED_OUT = {
    "vegan": {"milk", "eggs", "egg", "fish", "crustaceans", "molluscs"},
    "plant-based": {"milk", "eggs", "egg", "fish", "crustaceans", "molluscs"},
    "vegetarian": {"fish", "crustaceans", "molluscs"},
    "gluten": {"gluten"},
    "dairy": {"milk"},
    "lactose": {"milk"},
    "nut": {"nuts", "tree nuts", "peanuts"},
    "egg": {"eggs", "egg"},
}


def judge_diet(typed: Typed, at: TextPlace, book: FactBook) -> Judgement | None:
    """Judge "vegan": the recipe's own ``diet:`` says so, and no ingredient speaks against it."""
    recipes = (at.place.recipe,) if at.place.recipe is not None else book.resolved.recipes
    word = typed.words.casefold().replace(" ", "-")
    if typed.lead.casefold().rstrip().endswith(("not", "n't", "n’t", "never", "or", "than")):
        return None
    if any(_is_of_an_ingredient(typed, recipe) for recipe in recipes):
        return None
    for recipe in recipes:
        declared = f"{recipe.recipe.attribute('diet')} {_episode_diet(book)}".casefold().replace(" ", "-")
        if word not in declared:
            return differs("no diet is stated for it", recipe.id)
        against = _RULED_OUT.get(word, _RULED_OUT.get(word.split("-")[0], set()))
        for line in recipe.lines:
            named = {group.casefold() for group in line.allergens} & against
            if named and not line.line.is_optional:
                return differs(f"{line.line.item} holds {min(named)}", recipe.id)
    return agrees("the diet as stated")


def _episode_diet(book: FactBook) -> str:
    return next((item.value for item in book.resolved.episode.attributes if item.key == "diet"), "")


def _is_of_an_ingredient(typed: Typed, recipe: ResolvedRecipe) -> bool:
    items = {line.line.id: line.line.item for line in recipe.lines}
    items |= {
        f"{line.line.id}/{k}": other.line.item for line in recipe.lines for k, other in enumerate(line.alternates)
    }
    first = typed.name.split()[:1]
    return bool(first) and bool(find_names(f"{typed.words} {first[0]}", items))
