"""
When two names mean the same thing: letters' case, spaces and plain English plurals apart, and nothing else.

Near names never match; they are hints for the author.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

__all__ = ["NameIndex", "is_within", "plain"]

_IRREGULAR = {"leaves": "leaf", "loaves": "loaf", "halves": "half"}
_ES_AFTER = ("sh", "ch", "ss", "x", "z", "o")
_NOT_PLURAL = ("ss", "us", "is")


@lru_cache(maxsize=4096)
def plain(name: str) -> str:
    """Return a name as it is compared: "Floury  Potatoes" and "floury potato" are the same."""
    return " ".join([_singular(word) for word in name.casefold().replace("-", " ").split()])


#: Every kind of space of ``str.isspace`` but the line feed.
_SPACES = (
    "\t\v\f\r\x1c\x1d\x1e\x1f \x85\xa0\u1680\u2000\u2001\u2002\u2003\u2004\u2005\u2006\u2007\u2008\u2009\u200a"
    "\u2028\u2029\u202f\u205f\u3000"
)
#: What ``plain`` may drop or change at the end of a word, and the spaces.
_LOOSE = str.maketrans("", "", f"seiyfv-{_SPACES}")


class NameIndex:
    """
    Places of names, found by ``plain`` name without comparing with every name.

    All names are folded at once, with what a plural ending may change left out; the few names of one folded form are
    then compared by ``plain``.
    """

    __slots__ = ("_by_fold", "_names")

    def __init__(self, names: Iterable[str]) -> None:
        self._names = tuple(names)
        folds = _folded("\n".join(self._names)).split("\n")
        if len(folds) != len(self._names):  # none at all, or one that holds a line end itself
            folds = [_folded(name) for name in self._names]
        self._by_fold: dict[str, list[int]] = {}
        for place, fold in enumerate(folds):
            if fold in self._by_fold:
                self._by_fold[fold].append(place)
            else:
                self._by_fold[fold] = [place]

    def find(self, name: str) -> tuple[int, ...]:
        """Return the places of every name that means the same, in order."""
        wanted = plain(name)
        near = self._by_fold.get(_folded(name), ())
        return tuple([at for at in near if self._names[at] == name or plain(self._names[at]) == wanted])


def _folded(text: str) -> str:
    return text.casefold().translate(_LOOSE)


def is_within(words: str, name: str) -> bool:
    """Return whether every word of ``words`` stands in ``name``, both compared as ``plain`` does."""
    asked = set(plain(words).split())
    return bool(asked) and asked <= set(plain(name).split())


def _singular(word: str) -> str:
    """Return a word without its plain plural ending."""
    if not word.endswith("s"):
        return word
    if word in _IRREGULAR:
        return _IRREGULAR[word]
    if len(word) > 4 and word.endswith("ies"):
        return word[:-3] + "y"
    if len(word) > 4 and word.endswith("es") and word[:-2].endswith(_ES_AFTER):
        return word[:-2]
    if len(word) > 3 and not word.endswith(_NOT_PLURAL):
        return word[:-1]
    return word
