"""
Steps of a method, and the rows of opening, between and closing, which share their grammar.

List items come in, ``Step`` values go out: the bold lead is the name, the text behind it is kept with its mentions,
the nested fields are read by ``fields``. What steps say about each other is checked in ``structure``.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import field, replace

from shootplan.model.recipe import After, Step, When
from shootplan.problems import Span
from shootplan.read.fields import ROW_FIELDS, STEP_FIELDS, Values, read_fields, step_values
from shootplan.read.markdown import Item
from shootplan.read.mentions import read_mentions
from shootplan.read.passage import Log, Passage, slug
from shootplan.read.text import MAX_STEPS
from shootplan.read.values import quoted
from shootplan.records import dataclass

__all__ = ["read_rows", "read_steps"]

_LEAD = re.compile(r"^(\*\*|__)(?P<name>(?:(?!\1).)+?)\1", re.S)


def read_steps(items: Iterable[Item], log: Log, *, decimal_comma: bool = False) -> tuple[Step, ...]:
    """Return the steps of a method in order; those beyond ``MAX_STEPS`` are left out."""
    reader = _Reader(log, tuple(STEP_FIELDS), decimal_comma)
    return reader.read(items)


def read_rows(items: Iterable[Item], log: Log) -> tuple[Step, ...]:
    """Return the rows of an opening, a between or a closing."""
    return _Reader(log, ROW_FIELDS, False).read(items)


@dataclass(slots=True)
class _Reader:
    """Reads one list of steps; remembers their names so that ids stay unique and doubles are found."""

    log: Log
    fields: tuple[str, ...]
    decimal_comma: bool
    steps: list[Step] = field(default_factory=list)
    names: dict[str, Span] = field(default_factory=dict)

    def read(self, items: Iterable[Item]) -> tuple[Step, ...]:
        for item in items:
            if len(self.steps) >= MAX_STEPS:
                self.log.fault(item.span, "steps-too-many", f"more than {MAX_STEPS} steps", "split the recipe in two")
                break
            if item.is_numbered:
                self._add(item)
            else:
                self._not_a_step(item)
        return tuple(self.steps)

    def _not_a_step(self, item: Item) -> None:
        key = item.text.text.partition(":")[0].casefold().strip()
        if key in self.fields:
            hint = "indent it so far that it stands under the step's text (4 blanks from step 10 on)"
            self.log.fault(item.span, "field-outside", f'"{key}:" belongs to no step', hint)
        else:
            message = f"{quoted(item.text.text)} is not a step"
            self.log.fault(item.span, "step-not-numbered", message, 'begin each step with its number: "1. **Name.** …"')

    def _add(self, item: Item) -> None:
        number = len(self.steps) + 1
        name, name_span, text = self._lead(item.text, number)
        values, spans = self._values(item)
        id_ = slug(name, {step.id for step in self.steps})
        mentions = read_mentions(text, self.log, decimal_comma=self.decimal_comma)
        self._note_name(name, name_span)
        step = Step(
            id=id_,
            name=name,
            number=number,
            text=text.text,
            mentions=mentions,
            span=name_span,
            field_spans=spans,
            **values,
        )
        self.steps.append(step)

    def _lead(self, text: Passage, number: int) -> tuple[str, Span, Passage]:
        """Split a step's text into its bold name and what follows."""
        lead = _LEAD.match(text.text)
        name = " ".join(lead["name"].split()).rstrip(".: ") if lead is not None else ""
        if lead is None or not name:
            message = f"step {number} has no name in bold"
            self.log.fault(text.span(), "step-name-missing", message, 'begin it with "**Name.**"')
            return f"step {number}", text.span(), text
        span = text.part(lead.start("name"), lead.end("name")).span()
        if "after" in self.fields and re.search("[,;]", name):
            hint = "leave the comma out: other steps list names with commas between them"
            self.log.fault(span, "step-name-comma", f"the name {quoted(name)} has a comma or semicolon", hint)
        return name, span, text.part(lead.end())

    def _note_name(self, name: str, span: Span) -> None:
        key = name.casefold()
        first = self.names.get(key)
        if first is not None:
            hint = f'call this one "{name} again"'
            self.log.fault(span, "step-twice", f"two steps are called {quoted(name)}", hint, first)
        self.names.setdefault(key, span)

    def _values(self, item: Item) -> tuple[Values, tuple[tuple[str, Span], ...]]:
        fields = read_fields(item.children, self.fields, self.log)
        values = step_values(fields, self.log)
        spans = tuple((found.key, found.value.span()) for found in fields)
        values = self._with_common_gap(values, dict(spans))
        return values, spans

    def _with_common_gap(self, values: Values, spans: dict[str, Span]) -> Values:
        """Apply ``within:`` and ``at least:`` to each ``after`` that says nothing itself."""
        within, least = values.pop("within_s", None), values.pop("at_least_s", 0)
        if within is None and not least:
            return values
        after = values.get("after")
        place = spans.get("within") or spans["at least"]
        if after is None:
            before = self._step_above(values)
            after = (After(step=before.name, span=place),) if before is not None else ()
        if not after:
            message = "a wait with no step to count from"
            self.log.fault(place, "within-alone", message, 'name the step it counts from: "after: Boil within 5 min"')
        elif within is not None and within < least:
            hint = 'make "within:" the longer of the two'
            self.log.fault(place, "duration-bad", '"within:" is shorter than "at least:"', hint)
        else:
            values["after"] = tuple(_filled(link, least, within) for link in after)
        return values

    def _step_above(self, values: Values) -> Step | None:
        """The step that is meant where ``after:`` is left out: optional and ahead ones do not count for others."""
        is_optional, when = values.get("is_optional", False), values.get("when", When.DAY)
        fits = (s for s in reversed(self.steps) if s.is_optional <= is_optional and s.when in (When.DAY, when))
        return next(fits, None)


def _filled(link: After, at_least_s: int, at_most_s: int | None) -> After:
    if link.at_least_s or link.at_most_s is not None:
        return link
    return replace(link, at_least_s=at_least_s, at_most_s=at_most_s)
