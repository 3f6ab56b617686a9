"""The day under other conditions: what is changed, and when it would wrap."""

from __future__ import annotations

from dataclasses import fields
from datetime import time

from shootplan.model.clock import Clock
from shootplan.model.show import clock_text, join_words
from shootplan.records import dataclass

__all__ = ["Change", "WhatIf", "WhatIfRow"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """
    Conditions that differ from the kitchen file's and the episode's; ``None`` (and no recipes) for no difference.

    ``oven_order`` says in words which bakes come before which, where they came after them.
    """

    cooks: int | None = None
    rings: int | None = None
    ovens: int | None = None
    call: time | None = None
    without: tuple[str, ...] = ()
    oven_order: str | None = None

    @property
    def label(self) -> str:
        """The change in words: "2 cooks, 3 rings and without oat-crumble"; "as it is" for none."""
        words = [
            _counted(self.cooks, "cook"),
            _counted(self.rings, "ring"),
            _counted(self.ovens, "oven"),
            f"call {clock_text(self.call, 0)}" if self.call is not None else "",
            f"without {join_words(self.without)}" if self.without else "",
            self.oven_order or "",
        ]
        return join_words(words) or "as it is"

    def parts(self) -> tuple[Change, ...]:
        """Return each of the changes alone, recipes one by one, in order."""
        found: list[Change] = []
        for item in fields(self):
            value = getattr(self, item.name)
            if item.name == "without":
                found += [Change(without=(recipe,)) for recipe in value]
            elif value is not None:
                found.append(Change(**{item.name: value}))
        return tuple(found)


def _counted(count: int | None, noun: str) -> str:
    if count is None:
        return ""
    return f"{count or 'no'} {noun}{'' if count == 1 else 's'}"


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIfRow:
    """
    The day with a change: ``wrap_s`` and ``bound_s`` in seconds from ``call``, ``None`` where there is no plan.

    ``earlier_s`` is how much shorter the day is than as it is (below 0: longer). ``why_not`` names a smallest set of
    rules that clash where no plan keeps them all. ``pick_ups`` counts the shots of a filmed day that are taken later.
    """

    change: Change
    call: Clock
    wrap_s: int | None
    earlier_s: int = 0
    bound_s: int = 0
    is_proven: bool = True
    why_not: tuple[str, ...] = ()
    pick_ups: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIf:
    """The day as it is and each changed one, in the order asked."""

    as_it_is: WhatIfRow
    rows: tuple[WhatIfRow, ...]
