"""
When two names mean the same thing: letters' case, spaces and plain English plurals apart, and nothing else.

Near names never match; they are hints for the author.
"""

from __future__ import annotations

from functools import lru_cache

__all__ = ["is_within", "plain"]

_IRREGULAR = {"leaves": "leaf", "loaves": "loaf", "halves": "half"}
_ES_AFTER = ("sh", "ch", "ss", "x", "z", "o")
_NOT_PLURAL = ("ss", "us", "is")


@lru_cache(maxsize=4096)
def plain(name: str) -> str:
    """Return a name as it is compared: "Floury  Potatoes" and "floury potato" are the same."""
    return " ".join(_singular(word) for word in name.casefold().replace("-", " ").split())


def is_within(words: str, name: str) -> bool:
    """Return whether every word of ``words`` stands in ``name``, both compared as ``plain`` does."""
    asked = set(plain(words).split())
    return bool(asked) and asked <= set(plain(name).split())


def _singular(word: str) -> str:
    """Return a word without its plain plural ending."""
    if word in _IRREGULAR:
        return _IRREGULAR[word]
    if len(word) > 4 and word.endswith("ies"):
        return word[:-3] + "y"
    if len(word) > 4 and word.endswith("es") and word[:-2].endswith(_ES_AFTER):
        return word[:-2]
    if len(word) > 3 and word.endswith("s") and not word.endswith(_NOT_PLURAL):
        return word[:-1]
    return word
