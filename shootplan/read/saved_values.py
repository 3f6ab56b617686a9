"""
Values out of JSON that nobody can trust: each is asked for by name and kind, and a wrong one names its place.

Decoded JSON comes in, plain values go out; ``WrongPart`` says where the file is not what it should be.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from shootplan.model.quantity import Amount
from shootplan.records import dataclass

__all__ = ["Part", "WrongPart"]

#: No figure of an episode comes near it; a larger one could not be printed.
_MOST = 10**12
_EXACT = re.compile(r"-?[0-9]{1,400}/[0-9]{1,400}")
_HIDDEN = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ud800-\udfff]")


class WrongPart(Exception):
    """A part of the file is missing or of another kind; ``place`` is its path, ``want`` what should be there."""

    def __init__(self, place: str, want: str) -> None:
        super().__init__(f"{place} is not {want}")
        self.place, self.want = place, want


@dataclass(frozen=True, slots=True)
class Part:
    """One value of the file with its path ("costs.recipes[0].core")."""

    value: Any
    place: str = ""

    def __getitem__(self, name: str) -> Part:
        """Return a member that must be there."""
        if not isinstance(self.value, dict):
            raise WrongPart(self.place or "the file", "an object")
        if name not in self.value:
            raise WrongPart(self._below(name), "there")
        return Part(self.value[name], self._below(name))

    def get(self, name: str) -> Part | None:
        """Return a member, or ``None`` where it is missing or null."""
        if not isinstance(self.value, dict):
            raise WrongPart(self.place or "the file", "an object")
        found = self.value.get(name)
        return None if found is None else Part(found, self._below(name))

    def __iter__(self) -> Iterator[Part]:
        """Yield the items of a list."""
        if not isinstance(self.value, list):
            raise WrongPart(self.place, "a list")
        return (Part(item, f"{self.place}[{number}]") for number, item in enumerate(self.value))

    def text(self) -> str:
        """Return a text without control characters: it may go to a terminal."""
        if not isinstance(self.value, str):
            raise WrongPart(self.place, "a text")
        return _HIDDEN.sub("\ufffd", self.value)

    def whole(self) -> int:
        """Return a whole number."""
        if not isinstance(self.value, int) or isinstance(self.value, bool):
            raise WrongPart(self.place, "a whole number")
        if abs(self.value) > _MOST:
            raise WrongPart(self.place, "a number of a plausible size")
        return self.value

    def is_true(self) -> bool:
        """Return a yes or no."""
        if not isinstance(self.value, bool):
            raise WrongPart(self.place, "true or false")
        return self.value

    def exact(self) -> Fraction:
        """Return the exact fraction of a figure, its member ``exact``: "3/4"."""
        text = self["exact"].text()
        if not _EXACT.fullmatch(text) or not int(text.partition("/")[2]):
            raise WrongPart(self._below("exact"), 'a fraction like "3/4"')
        value = Fraction(text)
        if abs(value) > _MOST:
            raise WrongPart(self._below("exact"), "a number of a plausible size")
        return value

    def amount(self) -> Amount:
        """Return an amount with its two ends and its unit."""
        low, high = self["low"].exact(), self["high"].exact()
        if not 0 <= low <= high:
            raise WrongPart(self.place, "an amount whose ends are in order")
        return Amount(low, high, self["unit"].text())

    def _below(self, name: str) -> str:
        return f"{self.place}.{name}" if self.place else name
