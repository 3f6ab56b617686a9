"""
Every text of the episode with its placeholders replaced by computed figures, and what the typed figures in it say.

A ``FactBook`` comes in; a ``FilledEpisode``, the problems (unknown or ambiguous placeholders, figures that cannot be
known, figures typed by hand that differ) and a statement for each typed figure go out. Nothing is laid out here.
"""

from __future__ import annotations

import re
from dataclasses import field

from shootplan.facts.agreement import TextPlace, read_statements
from shootplan.facts.book import FactBook, Figure, Missing, Place
from shootplan.facts.derived import derived_captions, with_notices
from shootplan.facts.forms import unbroken, verbatim
from shootplan.facts.mentions import plain_instruction, without_parts
from shootplan.facts.say_out import say_out
from shootplan.model.agreement import FigureKind, Statement, Verdict
from shootplan.model.filled import CaptionText, FilledEpisode, FilledRecipe, FilledStep, FilledText
from shootplan.model.recipe import Step
from shootplan.model.resolved import ResolvedRecipe
from shootplan.problems import Problem, Severity, Span
from shootplan.records import dataclass

__all__ = ["fill_and_compare", "fill_episode"]

_PLACEHOLDER = re.compile(r"\{([^{}\n]*)\}")
_EMPHASIS = re.compile(r"[*`]+|(?<!\w)_+|_+(?!\w)")
_PRICE = re.compile(r"\bprice\b")
#: Fields of the episode that its audience reads, and that may hold figures.
_SHOWN = ("thumbnail", "disclosure")
#: Where a figure opens a sentence.
_SENTENCE_BEGINS = re.compile(r"(?:^|[.!?]\s+)$")
#: The kind of a caption with several figures is the first of these among them.
_KINDS = ("total", "price", "ingredient", "step", "notice")


def fill_episode(book: FactBook) -> tuple[FilledEpisode, tuple[Problem, ...]]:
    """
    Return all texts of the episode with figures in place, and what is wrong with them.

    A placeholder that cannot be filled stays as typed and is a problem; everything else goes on.
    """
    return fill_and_compare(book)[:2]


def fill_and_compare(book: FactBook) -> tuple[FilledEpisode, tuple[Problem, ...], tuple[Statement, ...]]:
    """Return what ``fill_episode`` does, and every figure that was typed by hand with what is known of it."""
    filler = _Filler(book)
    episode = book.resolved.episode
    filler.compare(episode.title, Place(), "title", episode.span)
    for attribute in episode.attributes:
        if attribute.key in _SHOWN:
            filler.compare(attribute.value, Place(), attribute.key, attribute.span)
    filled = FilledEpisode(
        headnote=filler.text(episode.headnote, Place(), "headnote", episode.span),
        opening=filler.rows(episode.opening),
        between=filler.rows(episode.between),
        closing=filler.rows(episode.closing),
        recipes=tuple(filler.recipe(recipe) for recipe in book.resolved.recipes),
    )
    if episode.has_derived_captions:
        filled = with_notices(book, filled)
    return filled, tuple(dict.fromkeys(filler.problems)), tuple(filler.statements)


@dataclass(slots=True)
class _Filler:
    """Fills text after text and gathers the problems."""

    book: FactBook
    problems: list[Problem] = field(default_factory=list)
    statements: list[Statement] = field(default_factory=list)

    def rows(self, steps: tuple[Step, ...]) -> tuple[FilledStep, ...]:
        return tuple(self.step(step, Place(None, step), step.text) for step in steps)

    def recipe(self, resolved: ResolvedRecipe) -> FilledRecipe:
        recipe, place = resolved.recipe, Place(resolved)
        self.compare(recipe.title, place, "title", recipe.span)
        kinds = ("headnote", "serve", "keep", "notes")
        headnote, serve, keep, notes = (self.text(getattr(recipe, kind), place, kind, recipe.span) for kind in kinds)
        steps = tuple(
            self.step(step, Place(resolved, step), plain_instruction(step, resolved)) for step in recipe.steps
        )
        return FilledRecipe(id=resolved.id, headnote=headnote, serve=serve, keep=keep, notes=notes, steps=steps)

    def step(self, step: Step, place: Place, instruction: str) -> FilledStep:
        self.compare(without_parts(step.text), place, "method", step.span)
        return FilledStep(
            id=step.id,
            text=self.filled(instruction, place, step.span, has_columns=False)[0],
            say=self.text(step.say, place, "narration", step.place("say"), has_columns=True),
            captions=self.captions(step, place),
            derived=self.derived(step, place),
            is_clear=_is_clear(step),
        )

    def derived(self, step: Step, place: Place) -> tuple[CaptionText, ...]:
        """Return what the screen may show of a recipe's step whose captions nobody typed."""
        is_derived = self.book.resolved.episode.has_derived_captions and not step.caption.strip()
        return derived_captions(self.book, place.recipe, step) if is_derived and place.recipe is not None else ()

    def captions(self, step: Step, place: Place) -> tuple[CaptionText, ...]:
        """Return the captions of a step: one for each line of its ``caption:``; without one, or for "none", none."""
        found: list[CaptionText] = []
        if _is_clear(step):
            return ()
        for line in step.caption.split("\n"):
            if not line.strip():
                continue
            span = step.place("caption")
            self.compare(line.strip(), place, "caption", span, has_columns="\n" not in step.caption)
            text, figures = self.filled(line.strip(), place, span, has_columns=True)
            kinds = [figure.kind for figure in figures]
            kind = next((kind for kind in _KINDS if kind in kinds), "step" if place.recipe else "notice")
            source = ", ".join(dict.fromkeys(figure.source for figure in figures))
            has_price = any(_PRICE.search(match[1]) for match in _PLACEHOLDER.finditer(line))
            caption = CaptionText(text=text.shown, kind=kind, source=source or _where(place), has_price=has_price)
            found.append(caption)
        return tuple(found)

    def text(self, text: str, place: Place, kind: str, span: Span, *, has_columns: bool = False) -> FilledText:
        self.compare(text, place, kind, span, has_columns=has_columns)
        return self.filled(text, place, span, has_columns=has_columns)[0]

    def filled(
        self, text: str, place: Place, span: Span, *, has_columns: bool
    ) -> tuple[FilledText, tuple[Figure, ...]]:
        """Return a text in three forms and the figures in it."""
        printed, shown, spoken, figures, end = "", "", "", [], 0
        for match in _PLACEHOLDER.finditer(text):
            typed = text[end : match.start()]
            figure = self.figure(match, text, place, span, has_columns=has_columns)
            forms = figure.text if isinstance(figure, Figure) else verbatim(match[0])
            if isinstance(figure, Figure):
                figures.append(figure)
            printed, shown = printed + typed + forms.printed, shown + unbroken(typed) + forms.shown
            spoken += self.said(typed)
            spoken += _capital(forms.spoken) if _SENTENCE_BEGINS.search(spoken) else forms.spoken
            end = match.end()
        rest = text[end:]
        filled = FilledText(
            printed=printed + rest, shown=shown + unbroken(rest), spoken=_led(spoken + self.said(rest), text)
        )
        return filled, tuple(figures)

    def figure(
        self, match: re.Match[str], text: str, place: Place, span: Span, *, has_columns: bool
    ) -> Figure | Missing:
        found = self.book.look_up(match[1], place)
        if isinstance(found, Missing):
            where = _part_of(span, text, match) if has_columns else span
            severity = Severity.WARNING if found.code == "figure-unknown" else Severity.ERROR
            self.problems.append(
                Problem(span=where, code=found.code, message=found.message, hint=found.hint, severity=severity)
            )
        return found

    def said(self, typed: str) -> str:
        currency = self.book.costs.currency
        return say_out(_EMPHASIS.sub("", typed), currency=currency, is_american=self.book.forms.is_american)

    def compare(self, text: str, place: Place, kind: str, span: Span, *, has_columns: bool = False) -> None:
        """Read the typed figures of a text back; placeholders, which cannot differ, leave a gap of the same length."""
        typed = _PLACEHOLDER.sub(lambda match: " . ".ljust(len(match[0]))[: len(match[0])], text)
        found = read_statements(typed, TextPlace(place, kind, span, has_columns), self.book)
        self.statements += found
        self.problems += [_problem(item) for item in found if item.verdict is Verdict.DIFFERS]


def _problem(statement: Statement) -> Problem:
    about = f" of {statement.about}" if statement.about and statement.kind is not FigureKind.DIET else ""
    return Problem(
        span=statement.span,
        code="figure-differs",
        severity=Severity.WARNING,
        message=f'"{statement.words}"{about} in the {statement.text} differs from what is known: {statement.fact}',
        hint="put a placeholder in braces there, so that the figure cannot drift",
    )


def _is_clear(step: Step) -> bool:
    """Return whether the author wants nothing on the screen here: "caption: none"."""
    return step.caption.strip().casefold() == "none"


def _part_of(span: Span, text: str, match: re.Match[str]) -> Span:
    """Return the place of a placeholder in a field that begins at ``span``; of the field where it has several lines."""
    if "\n" in text[: match.start()]:
        return span
    return Span(span.path, span.line, span.column + match.start(), span.column + match.end())


def _capital(spoken: str) -> str:
    return spoken[:1].upper() + spoken[1:]


def _led(spoken: str, text: str) -> str:
    """Return the spoken text with a capital where it was typed with a digit in front."""
    return _capital(spoken) if text.lstrip()[:1].isdigit() else spoken


def _where(place: Place) -> str:
    words = (place.recipe.id if place.recipe else "episode", place.step.id if place.step else "")
    return " ".join(word for word in words if word)
