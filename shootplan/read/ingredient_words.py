"""
Words that tell what an ingredient line is for: water, frying, leaveners, containers, preparation.

A name or a phrase comes in, a yes or no (or a ``Purpose``) goes out. The lists are the trade's own words (common
practice, no source); foods themselves are known to the larder only.
"""

from __future__ import annotations

import re
from functools import lru_cache

from shootplan.model.recipe import Purpose
from shootplan.problems import did_you_mean

__all__ = [
    "CONTAINERS",
    "holds_its_weight",
    "is_extra",
    "is_tight",
    "is_water",
    "misspelt_unit",
    "purpose_of",
    "shares_a_noun",
]

#: What a net weight is printed on: a weight beside it is that of one.
CONTAINERS = frozenset({
    "tin", "can", "jar", "pack", "packet", "carton", "bottle", "tub", "bag", "box", "sachet", "pouch", "punnet", "pot",
    "tube",
})  # fmt: skip
#: What may follow a weight and is then the thing that weighs so much: "a 400 g tin", "30 g bunch parsley".
_WEIGHED_WHOLE = (CONTAINERS - {"pot", "tube"}) | {"bunch", "block", "ball"}

_WATER = re.compile(
    r"(?:(?:hot|cold|warm|boiling|boiled|lukewarm|tepid|cool|tap|iced?|icy|just-boiled|freshly|salted|cooking|soaking|pasta)"
    r"[ ])*water|(?:crushed[ ])?ice(?:[ ]cubes?)?",
)
_TIGHT = re.compile(
    r"\b(?:baking[ ](?:powder|soda)|bicarb(?:onate)?(?:[ ]of[ ]soda)?|cream[ ]of[ ]tartar"
    r"|(?<!-)(?<!no[ ])salt(?![ ]?(?:cod|beef|pork|fish))"
    r"|(?<!nutritional[ ])yeast(?![ ](?:extract|flakes))|gelatine?|agar(?:[ -]agar)?|pectin)\b"
)
_PURPOSES = (
    (r"for (?:(?:deep|shallow|pan|stir)[- ]?)?frying|for the pan|for the griddle", Purpose.FRYING),
    (r"(?:for|to) (?:greas|brush|dust|oil|lin|roll|knead)(?:e|ing|ing out)?\b.*", Purpose.GREASING),
    (r"for the (?:tin|tray|mould|dish|board)s?", Purpose.GREASING),
    (r"(?:to|for) (?:serv|garnish|decorat|finish|sprinkl)(?:e|ing)?\b.*", Purpose.TO_SERVE),
    (r"for the table|(?:as|for) a garnish", Purpose.TO_SERVE),
)
_EXTRA = re.compile(r"(?:and |plus )?(?:some |a little )?(?:extra|more) ")
#: Words that need the noun behind them: in "red or white onions" both are onions.
_NEEDS_NOUN = frozenset({
    "red", "green", "yellow", "white", "brown", "black", "pink", "golden", "dark", "light", "pale", "fresh", "dried",
    "dry", "frozen", "tinned", "canned", "plain", "wholemeal", "wholegrain", "smooth", "crunchy", "coarse", "fine",
    "hot", "cold", "warm", "mild", "medium", "strong", "sharp", "salted", "unsalted", "sweet", "sour", "ripe", "raw",
    "cooked", "small", "large", "big", "long", "short", "round", "flat", "curly", "whole", "ground", "rolled",
    "smoked", "unsmoked", "toasted", "roasted", "semi-skimmed", "skimmed", "low-fat", "full-fat", "soft", "firm",
    "thick", "thin", "double", "single", "self-raising", "all-purpose", "english", "french",
})  # fmt: skip
_UNIT_SPELLINGS = (
    "tbsp", "tsp", "dsp", "tablespoon", "tablespoons", "teaspoon", "teaspoons", "dessertspoon", "grams", "kilogram",
    "kilograms", "millilitre", "millilitres", "milliliter", "ounce", "ounces", "pound", "pounds",
)  # fmt: skip
_SHORT = {"".join(sorted(unit)): unit for unit in ("tbsp", "tsp", "dsp", "tbsps")}


def is_water(item: str) -> bool:
    """Return whether the item is water or ice, which cost nothing ("coconut water" is not)."""
    return _WATER.fullmatch(item.casefold()) is not None


def is_tight(item: str) -> bool:
    """Return whether the item is a leavener, salt, yeast or setting agent, whose rounding limit is 5 % (rule A3)."""
    return _TIGHT.search(item.casefold()) is not None


def purpose_of(phrase: str) -> Purpose | None:
    """Return what "for frying", "for greasing" or "to serve" says; dusting and lining go with greasing."""
    key = _EXTRA.sub("", phrase.casefold())
    if not key.startswith(("for ", "to ", "as ")):
        return None
    return next((purpose for pattern, purpose in _PURPOSES if re.fullmatch(pattern, key)), None)


def is_extra(phrase: str) -> bool:
    """Return whether a phrase asks for more than the line's amount: "plus extra for greasing"."""
    return _EXTRA.match(phrase.casefold() + " ") is not None


def holds_its_weight(unit: str) -> bool:
    """Return whether "400 g UNIT" means one that weighs 400 g."""
    return unit in _WEIGHED_WHOLE


def shares_a_noun(words: str) -> bool:
    """Return whether the last of the words needs a noun behind it: "red" in "red or white onions"."""
    last = words.casefold().split()[-1:]
    return not last or last[0] in _NEEDS_NOUN


@lru_cache(maxsize=512)
def misspelt_unit(word: str) -> str | None:
    """Return a hint if the word is near a unit's name and is no food: "tbps", "tablspoon"."""
    key = word.casefold().rstrip(".")
    right = _SHORT.get("".join(sorted(key)))
    if right is not None and right != key:
        return f'did you mean "{right}"?'
    if len(key) < 5 or key in _UNIT_SPELLINGS:
        return None
    import difflib

    near = difflib.get_close_matches(key, _UNIT_SPELLINGS, n=1, cutoff=0.88)
    return did_you_mean(key, near) if near else None
