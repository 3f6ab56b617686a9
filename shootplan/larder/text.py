"""Ingredient text as words to compare: lower case, no accents, singular; shared by all look-ups of the larder."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

__all__ = ["find_phrase", "singular", "words"]

_WORD = re.compile(r"[a-z]+(?:'[a-z]+)?")
#: Words that end in "s" and are no plurals, or whose singular is irregular.
_IRREGULAR = {
    "leaves": "leaf", "loaves": "loaf", "halves": "half", "knives": "knife", "calves": "calf", "anchovies": "anchovy",
    "asparagus": "asparagus", "couscous": "couscous", "hummus": "hummus", "houmous": "houmous", "swiss": "swiss",
    "molasses": "molasses", "cress": "cress", "watercress": "watercress", "lemongrass": "lemongrass",
    "hibiscus": "hibiscus", "octopus": "octopus", "citrus": "citrus", "schnapps": "schnapps", "bass": "bass",
    "chips": "chip", "oats": "oat", "grits": "grits", "haggis": "haggis", "molluscs": "mollusc", "us": "us",
    "cookies": "cookie", "smoothies": "smoothie", "brownies": "brownie", "tortillas": "tortilla", "pies": "pie",
    "goes": "goes", "shoes": "shoe",
}  # fmt: skip


def singular(word: str) -> str:
    """Return the singular of an English kitchen word: "tomatoes" → "tomato", "berries" → "berry"."""
    if not word.endswith("s"):
        return word
    if word in _IRREGULAR:
        return _IRREGULAR[word]
    if len(word) > 4 and word.endswith("ies"):
        return word[:-3] + "y"
    if len(word) > 4 and word.endswith(("oes", "shes", "ches", "xes", "sses")):
        return word[:-2]
    if len(word) > 3 and not word.endswith(("ss", "us", "is")):
        return word[:-1]
    return word


@lru_cache(maxsize=8192)
def words(text: str) -> tuple[str, ...]:
    """Return the words of a text, folded and singular, punctuation and figures left out."""
    plain = text if text.isascii() else unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
    return tuple([singular(word.removesuffix("'s")) for word in _WORD.findall(plain.casefold())])


def find_phrase(phrase: tuple[str, ...], text: tuple[str, ...]) -> int:
    """Return where ``phrase`` stands in ``text`` as consecutive words, or -1."""
    if not phrase:
        return 0
    first, size = phrase[0], len(phrase)
    for place, word in enumerate(text):
        if word == first and text[place : place + size] == phrase:
            return place
    return -1
