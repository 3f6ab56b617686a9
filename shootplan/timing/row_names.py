"""
Ids of rows and captions found again in what an edit calls its clips and markers.

A cut comes in, ids go out. Letters' case does not matter; an id may stand among other words ("opening.welcome take 2").
"""

from __future__ import annotations

import re

from shootplan.model.cut import Cut

__all__ = ["RowNames"]

#: A name is searched so far and no farther: clip names are short, a hostile one is not.
_LONGEST = 300


class RowNames:
    """The ids of a cut; captions are named by "ROW.NUMBER"."""

    def __init__(self, cut: Cut) -> None:
        self.rows = {row.id.casefold(): row.id for row in cut.rows}
        self.captions = {caption.id.casefold(): caption.id for caption in cut.captions}
        self._row = _pattern(self.rows)
        self._any = _pattern({**self.rows, **self.captions})

    def row(self, name: str) -> str:
        """Return the id of the row that a clip's name holds, or an empty text."""
        return self.rows.get(_found(self._row, name), "")

    def any(self, name: str) -> str:
        """Return the id of the caption or row that a marker's name holds, the caption's first, or an empty text."""
        found = _found(self._any, name)
        return self.captions.get(found) or self.rows.get(found, "")


def _pattern(ids: dict[str, str]) -> re.Pattern[str]:
    """Match any id that is not part of a longer word; the longest fitting one wins."""
    words = "|".join(re.escape(name) for name in sorted(ids, key=lambda name: (-len(name), name)))
    return re.compile(rf"(?<![^\W_])(?<![.-])(?:{words})(?![^\W_]|-)") if words else re.compile(r"(?!)")


def _found(pattern: re.Pattern[str], name: str) -> str:
    match = pattern.search(name[:_LONGEST].casefold())
    return match[0] if match is not None else ""
