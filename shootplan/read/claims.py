"""
What an episode says of itself, and what must land together.

``leek-bake: under 1.30 per serving, without options``; ``every recipe: under 2.75 per serving``; ``fried-rice: 20
minutes``; ``cabbage within 5 min of bake``; ``2026-10-01: text`` of the corrections. List items come in, values go
out; whether a claim is true is not known here.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from shootplan.model.episode import Claim, ClaimScope, ClaimWord, Correction, Together
from shootplan.problems import Span, did_you_mean
from shootplan.read.durations import read_duration
from shootplan.read.markdown import Item
from shootplan.read.passage import Log, Passage
from shootplan.read.values import Wrong, quoted, read_date
from shootplan.records import dataclass

__all__ = ["ClaimReader", "KnownRecipes", "read_corrections", "read_together"]

_SCOPES = {"every recipe": ClaimScope.EVERY, "average": ClaimScope.AVERAGE, "total": ClaimScope.TOTAL}
_WORDS = {
    "just under": ClaimWord.JUST_UNDER,
    "under": ClaimWord.UNDER,
    "about": ClaimWord.ABOUT,
    "from": ClaimWord.FROM,
}
_MONEY = re.compile(
    r"^(?P<word>just under|under|about|from)\s+(?:(?P<before>[A-Z]{3})\s+)?(?P<sign>[^\s\w.,-]{0,3})\s*"
    r"(?P<limit>[0-9]{1,7}(?:[.,][0-9]{1,4})?)"
    r"\s*(?P<code>[A-Za-z]{1,3}|[^\s\w.,-]{1,3})?\s+(?:per|a|each)\s+(?P<small>small\s+)?(?P<noun>[^\W\d_][\w-]*)$",
    re.I,
)
_TIME = re.compile(r"^(?:(?:ready\s+)?(?:in|within)\s+)?(?P<minutes>[0-9]{1,5})[\s-]+min(?:utes?)?$", re.I)
_HINT = 'write for example "soup: under 1.30 per serving, without options" or "soup: 20 minutes"'
_TOGETHER = re.compile(r"^(?P<recipe>[\w-]+)\s+within\s+(?P<gap>.+?)\s+(?P<how>of|after)\s+(?P<other>[\w-]+)$", re.I)


@dataclass(frozen=True, slots=True)
class KnownRecipes:
    """
    The ids of an episode's recipes.

    ``is_complete`` is false if a listed recipe could not be read: a name that is not among the ids may be that
    recipe's, and is not complained of a second time.
    """

    ids: tuple[str, ...]
    is_complete: bool = True

    def has(self, name: str, span: Span, log: Log, *others: str) -> bool:
        """Return whether ``name`` is one of the recipes, and report it if it cannot be; ``others`` may stand there."""
        if name in self.ids:
            return True
        if self.is_complete:
            known = (*self.ids, *others)
            hint = did_you_mean(name[:80], known) or "known are " + ", ".join(known)
            log.fault(span, "recipe-unknown", f"no recipe {quoted(name)} in this episode", hint)
        return False


@dataclass(frozen=True, slots=True)
class ClaimReader:
    """Reads claims of an episode in ``currency``, or in its ``second`` currency where a claim names that."""

    currency: str
    recipes: KnownRecipes
    log: Log
    second: str = ""

    def read(self, items: Iterable[Item]) -> tuple[Claim, ...]:
        """Return the claims of a list, in order."""
        found = [self._one(item.text.on_one_line()) for item in items]
        return tuple(claim for claim in found if claim is not None)

    def budget(self, text: Passage, scope: ClaimScope, recipe: str = "") -> tuple[Claim, ...]:
        """Return the claim that a ``budget:`` makes, or none."""
        claim = self._claim(text, text, scope, recipe)
        return () if claim is None else (claim,)

    def _one(self, text: Passage) -> Claim | None:
        scope_text, colon, _ = text.text.partition(":")
        if not colon:
            self.log.fault(text.span(), "claim-bad", f"{quoted(text.text)} does not say of what", _HINT)
            return None
        about = text.part(0, len(scope_text))
        scope = _SCOPES.get(about.text.casefold(), ClaimScope.RECIPE)
        recipe = about.text if scope is ClaimScope.RECIPE else ""
        if recipe and not self.recipes.has(recipe, about.span(), self.log, *_SCOPES):
            return None
        return self._claim(text, text.part(len(scope_text) + 1), scope, recipe)

    def _claim(self, whole: Passage, said: Passage, scope: ClaimScope, recipe: str) -> Claim | None:
        pieces = said.pieces(r",\s")
        values = self._figure(pieces[0]) if pieces else None
        if values is None:
            self.log.fault(said.span(), "claim-bad", f"{quoted(said.text)} is not a claim", _HINT)
            return None
        for piece in pieces[1:]:
            self._condition(piece, values)
        return Claim(scope=scope, recipe=recipe, text=whole.text, span=whole.span(), **values)

    def _figure(self, piece: Passage) -> dict[str, Any] | None:
        timed = _TIME.match(piece.text)
        if timed is not None:
            return {"word": ClaimWord.WITHIN_MINUTES, "limit": Decimal(timed["minutes"])}
        money = _MONEY.match(" ".join(piece.text.split()))
        code = (money["before"] or money["code"] or "") if money is not None else ""
        if money is None or not self._is_ours(code) or (money["before"] and money["code"]):
            return None
        limit = Decimal(money["limit"].replace(",", "."))
        # What is not said holds for the plate with everything on it, the dearer case: it must be true both ways.
        word = _WORDS[money["word"].casefold()]
        values = {"word": word, "limit": limit, "is_small": bool(money["small"]), "with_options": True}
        return values | ({"currency": self.second} if self._is_second(code) else {})

    def _is_ours(self, code: str) -> bool:
        """A three-letter code must be the episode's currency; signs and words such as "kr" are taken as read."""
        return not re.fullmatch(r"[A-Z]{3}", code) or code in (self.currency, self.second)

    def _is_second(self, code: str) -> bool:
        return bool(code) and code == self.second != self.currency

    def _condition(self, piece: Passage, values: dict[str, Any]) -> None:
        options = re.fullmatch(r"(with|without)\s+options", piece.text, re.I)
        shown = re.fullmatch(r"shown\s+(?:at|in)\s+(.+)", piece.text, re.I)
        if options is not None:
            values["with_options"] = options[1].casefold() == "with"
        elif shown is not None:
            values["shown_at"] = shown[1]
        else:
            hint = 'write "with options", "without options" or "shown at STEP"'
            self.log.fault(piece.span(), "claim-bad", f"{quoted(piece.text)} says nothing of a claim", hint)


def read_together(items: Iterable[Item], recipes: KnownRecipes, log: Log) -> tuple[Together, ...]:
    """Return the rules of what lands together, in order."""
    found = [_together(item.text.on_one_line(), recipes, log) for item in items]
    return tuple(rule for rule in found if rule is not None)


def _together(text: Passage, recipes: KnownRecipes, log: Log) -> Together | None:
    match = _TOGETHER.match(text.text)
    if match is None:
        hint = 'write for example "cabbage within 5 min of bake" or "crumble within 30 min after bake"'
        log.fault(text.span(), "together-bad", f"{quoted(text.text)} does not say what lands together", hint)
        return None
    gap = read_duration(match["gap"])
    if isinstance(gap, Wrong):
        log.fault(text.part(*match.span("gap")).span(), gap.code, gap.message, gap.hint)
        return None
    names = [text.part(*match.span(group)) for group in ("recipe", "other")]
    are_known = [recipes.has(name.text, name.span(), log) for name in names]
    if not all(are_known):
        return None
    is_after = match["how"].casefold() == "after"
    return Together(recipe=names[0].text, other=names[1].text, within_s=gap, is_after=is_after, span=text.span())


def read_corrections(items: Iterable[Item], log: Log) -> tuple[Correction, ...]:
    """Return the corrections log in the author's order."""
    found: list[Correction] = []
    for item in items:
        text = item.text.on_one_line()
        day, colon, said = text.text.partition(":")
        when = read_date(day.strip())
        if isinstance(when, Wrong) or not colon or not said.strip():
            hint = 'write for example "2026-10-01: the oven stood at 180 °C, not 200 °C"'
            log.fault(text.span(), "correction-bad", f"{quoted(text.text)} is not a dated correction", hint)
        else:
            found.append(Correction(on=when, text=said.strip()))
    return tuple(found)
