"""
The instructions of a recipe's data → steps.

Whatever stands under ``recipeInstructions`` comes in: a text, texts, steps, sections of steps. Minutes are taken only
where a tip says in so many words whether hands are needed ("Hands-on 6–8 min; then leave 12–15 min"); a bare duration
becomes a remark and the step's time stays unknown.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import field
from typing import Any

from shootplan.bring.brought import BroughtStep
from shootplan.bring.tidy import Node, duration_words, items, local_name, paragraphs, text_of, tidy
from shootplan.records import dataclass

__all__ = ["Instructions", "read_instructions"]

_MOST_STEPS = 500
_LONGEST_TEXT = 4000
_MOST_DEPTH = 6
_NAME_WORDS = 6
_LONGEST_NAME = 60
_KEEPING = "make ahead and keep"
_WHEN = {"before the day": "day before", "before the day or on it": "may be ahead"}
_LENGTH = r"[0-9¼½¾][0-9 –¼½¾minhsday]{0,40}"
#: The minutes of a step as our own pages say them; anybody who says them so is understood.
_MINUTES = re.compile(
    rf"(?:hands-on (?P<hands>{_LENGTH}))?"
    rf"(?:(?:; then )?stand by (?P<watch>{_LENGTH}))?"
    rf"(?:(?:; then )?leave (?P<leave>at least {_LENGTH}(?:, at most {_LENGTH})?|{_LENGTH})"
    rf"(?:, looking in every (?P<every>{_LENGTH}) for (?P<for>{_LENGTH}))?)?"
    r"(?:, (?P<batches>[0-9]{1,3}) batches in a row)?",
    re.I,
)
_NUMBERED = re.compile(r"^(?:step\s*)?[0-9]{1,3}\s*[.):]\s*", re.I)
_PREFIXES = {"Until: ": "until", "Makes: ": "makes", "After: ": "after", "Keeps: ": "keeps", "Care: ": "caution"}
_GAP = re.compile(r"\s+(?:at once|within\s.*|at least\s.*)$")


@dataclass(frozen=True, slots=True)
class Instructions:
    """Steps in order, the storage notes among the instructions, and remarks."""

    steps: tuple[BroughtStep, ...] = ()
    keeping: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()


@dataclass(slots=True)
class _Draft:
    """A step while it is being read."""

    name: str = ""
    texts: list[str] = field(default_factory=list)
    fields: list[tuple[str, str]] = field(default_factory=list)
    bare_time: str = ""


def read_instructions(value: object) -> Instructions:
    """Return the steps in what stands under ``recipeInstructions``."""
    reader = _Reader()
    reader.read(value, "", 0)
    steps = reader.finished()
    remarks = [] if steps else ["no method was found"]
    return Instructions(steps, tuple(reader.keeping), (*remarks, *reader.remarks))


class _Reader:
    def __init__(self) -> None:
        self.drafts: list[_Draft] = []
        self.keeping: list[str] = []
        self.remarks: list[str] = []

    def read(self, value: object, section: str, depth: int) -> None:
        """Read a text, a list, a step or a section."""
        if depth > _MOST_DEPTH:
            self.remarks.append("instructions nested deeper than sections of steps")
            return
        for item in items(value):
            kinds = {local_name(kind) for kind in items(item.get("@type"))} if isinstance(item, Mapping) else set()
            if isinstance(item, str):
                self._texts(item, section)
            elif not isinstance(item, Mapping):
                continue
            elif "HowToSection" in kinds and text_of(item.get("name")).casefold() == _KEEPING:
                self.keeping += [
                    text_of(tip.get("text")) for tip in items(item.get("itemListElement")) if _is_node(tip)
                ]
            elif "HowToSection" in kinds or ("HowToStep" not in kinds and _holds_steps(item)):
                self.read(_inner(item), text_of(item.get("name")) or section, depth + 1)
            else:
                self._step(item, section)

    def _texts(self, text: str, section: str) -> None:
        for paragraph in paragraphs(text):
            self._add(_Draft(texts=[_NUMBERED.sub("", paragraph)]), section)

    def _step(self, item: Node, section: str) -> None:
        draft = _Draft(name=text_of(item.get("name")))
        for part in items(item.get("itemListElement")):
            kind = local_name(next(iter(items(part.get("@type"))), "")) if _is_node(part) else ""
            text = text_of(part.get("text")) if _is_node(part) else tidy(str(part))
            if kind != "HowToTip":
                draft.texts += [text] if text else []
                draft.bare_time = draft.bare_time or _bare_time(part)
            elif not _take_tip(draft, text):
                draft.texts.append(f"Tip: {text}")
        whole = tidy(
            " ".join(paragraphs(str(item.get("text"))))
            if isinstance(item.get("text"), str)
            else text_of(item.get("text"))
        )
        if whole and not draft.texts:
            draft.texts = [whole]
        draft.bare_time = draft.bare_time or _bare_time(item)
        self._add(draft, section)

    def _add(self, draft: _Draft, section: str) -> None:
        if len(self.drafts) >= _MOST_STEPS:
            if self.remarks[-1:] != [f"steps beyond the {_MOST_STEPS}th"]:
                self.remarks.append(f"steps beyond the {_MOST_STEPS}th")
            return
        if not draft.name and not draft.texts:
            return
        when = _WHEN.get(section.casefold())
        if when:
            draft.fields.append(("when", when))
        self.drafts.append(draft)

    def finished(self) -> tuple[BroughtStep, ...]:
        """Return the steps with names of their own, and note what is known of their times."""
        names: set[str] = set()
        steps: list[BroughtStep] = []
        for number, draft in enumerate(self.drafts, start=1):
            text = " ".join(draft.texts)[:_LONGEST_TEXT]
            name = _unlike(_name(draft.name, text, number), names)
            steps.append(BroughtStep(name=name, text=text or draft.name, fields=tuple(draft.fields)))
        self._times_of(steps)
        return tuple(_with_known_links(step, {name.casefold() for name in names}) for step in steps)

    def _times_of(self, steps: list[BroughtStep]) -> None:
        unknown = [
            (step, draft)
            for step, draft in zip(steps, self.drafts, strict=True)
            if not {"hands", "watch", "leave"} & set(dict(step.fields))
        ]
        for step, draft in unknown:
            if draft.bare_time:
                said = f'"{step.name}" takes {draft.bare_time} by the data, which does not say whether hands are needed'
                self.remarks.append(f"time unknown: {said}")
        bare = [step for step, draft in unknown if not draft.bare_time]
        if bare:
            names = ", ".join(f'"{step.name}"' for step in bare[:10])
            more = f" and {len(bare) - 10} more" if len(bare) > 10 else ""
            self.remarks.append(f'time unknown: {names}{more}; add "hands:", "watch:" or "leave:"')


def _is_node(value: object) -> bool:
    return isinstance(value, Mapping)


def _inner(item: Node) -> object:
    return item.get("itemListElement") or item.get("steps") or item.get("item")


def _holds_steps(item: Node) -> bool:
    inner = items(_inner(item))
    return bool(inner) and not item.get("text")


def _bare_time(part: Any) -> str:
    """Return a duration that the data gives without saying whose hands it needs."""
    if not _is_node(part):
        return ""
    found = (duration_words(text_of(part.get(key))) for key in ("totalTime", "performTime", "timeRequired", "prepTime"))
    return next((words for words in found if words), "")


def _take_tip(draft: _Draft, text: str) -> bool:
    """Take over what a tip says in the words of our pages; return whether it does."""
    if text == "Optional":
        draft.fields.append(("optional", "yes"))
        return True
    for prefix, key in _PREFIXES.items():
        if text.startswith(prefix):
            draft.fields += _kept(text.removeprefix(prefix)) if key == "keeps" else [(key, text.removeprefix(prefix))]
            return True
    match = _MINUTES.fullmatch(text) if text else None
    if match is None:
        return False
    draft.fields += [(key, match[key]) for key in ("hands", "watch", "leave") if match[key]]
    if match["every"]:
        draft.fields.append(("check", f"every {match['every']} for {match['for']}"))
    if match["batches"]:
        draft.fields.append(("batches", match["batches"]))
    return True


def _kept(text: str) -> Iterator[tuple[str, str]]:
    length, _, place = text.partition(", ")
    yield "keeps", length
    if place:
        yield "place", place


def _with_known_links(step: BroughtStep, names: set[str]) -> BroughtStep:
    """Return the step without an ``after`` that names steps which are not there."""
    after = dict(step.fields).get("after", "none")
    parts = [_GAP.sub("", part.strip()).casefold() for part in after.split(",")]
    if after == "none" or all(part in names for part in parts):
        return step
    kept = tuple((key, value) for key, value in step.fields if key != "after")
    return BroughtStep(name=step.name, text=step.text, fields=kept)


def _name(given: str, text: str, number: int) -> str:
    """Return a name without comma: the data's own, or the first words of the text."""
    given = _plain(given)
    if given and len(given) <= _LONGEST_NAME and (given.casefold() != _plain(text).casefold() or not text):
        return given
    words = _plain(re.split(r"[,;:.!?(]", text, maxsplit=1)[0]).split()[:_NAME_WORDS]
    name = " ".join(words)[:_LONGEST_NAME].strip()
    return name[:1].upper() + name[1:] or f"Step {number}"


def _plain(name: str) -> str:
    return " ".join(re.sub(r"[,;*_`\[\]{}<>\\|#]", " ", name).split()).rstrip(".: ")


def _unlike(name: str, names: set[str]) -> str:
    """Return a name that no step before has, and remember it."""
    taken = {known.casefold() for known in names}
    found, count = name, 1
    while found.casefold() in taken:
        count += 1
        found = f"{name} {count}"
    names.add(found)
    return found
