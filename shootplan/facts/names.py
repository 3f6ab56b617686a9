"""
Which thing a few words name: an exact id or item first, else the one item that contains all of them.

Words and candidates come in, ids go out. Nothing is guessed: no match or several matches are the caller's problem.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache

__all__ = ["find_names", "name_words", "slug_words"]


_IRREGULAR = {"leaves": "leaf", "loaves": "loaf", "halves": "half"}


def _singular(word: str) -> str:
    """Return a word without its plain English plural, enough to let "potato" find "potatoes"."""
    if word in _IRREGULAR:
        return _IRREGULAR[word]
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word.endswith(("oes", "ches", "shes", "sses", "xes")):
        return word[:-2]
    if word.endswith("s") and not word.endswith("ss") and len(word) > 3:
        return word[:-1]
    return word


@lru_cache(maxsize=8192)
def name_words(text: str) -> tuple[str, ...]:
    """Return the words of a name, letters' case and plain plurals apart."""
    return tuple(_singular(word) for word in re.findall(r"[^\W_]+(?:['’][^\W_]+)?", text.casefold()))


@lru_cache(maxsize=2048)
def slug_words(identifier: str) -> tuple[str, ...]:
    """Return the words of an id ("floury-potatoes")."""
    return name_words(identifier.replace("-", " "))


def find_names(text: str, candidates: Mapping[str, str]) -> tuple[str, ...]:
    """
    Return the ids that ``text`` names, in the order of ``candidates`` (id to item): one, none or several.

    An exact id or item wins over an item that only contains the words.
    """
    if text.strip() in candidates:
        return (text.strip(),)
    wanted = name_words(text)
    if not wanted:
        return ()
    known = {key: name_words(item) for key, item in candidates.items()}
    exact = tuple(key for key, words in known.items() if words == wanted or slug_words(key) == wanted)
    if exact:
        return exact
    return tuple(key for key, words in known.items() if set(wanted) <= set(words))
