"""
The finished video: rows of narration and picture in story order, their lengths, and the captions over them.

The resolved episode and its filled texts come in; a ``Cut`` in whole milliseconds and findings go out. Footage is not
known: lengths are what the script asks for.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from shootplan.model.cut import Caption, CaptionKind, Cut, Row, Section
from shootplan.model.filled import CaptionText, FilledEpisode, FilledStep
from shootplan.model.recipe import Step
from shootplan.model.resolved import ResolvedEpisode
from shootplan.model.show import running_text
from shootplan.problems import Finding
from shootplan.timing.holds import LINE_CHARACTERS, caption_need_ms, fits, split_caption
from shootplan.timing.placing import place_captions
from shootplan.timing.speech import speech_ms, spoken_words

__all__ = ["JOIN_MS", "cut_episode"]

#: What a join between two rows adds to the length.
JOIN_MS = 500
#: Where no camera stands there is no picture of the step's own.
_UNFILMED = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Draft:
    """A row before it has a place on the clock: its step, texts and captions."""

    section: str
    title: str
    recipe: str
    step: Step
    filled: FilledStep
    captions: tuple[CaptionText, ...]


def cut_episode(resolved: ResolvedEpisode, filled: FilledEpisode) -> tuple[Cut, tuple[Finding, ...]]:
    """
    Return the video's rows and captions on the cut clock, and what is wrong with them.

    Sections stand in story order: opening, each recipe with its transition row before it, closing. There is a row for
    each step with a shot, narration or a caption; a step that is not filmed has one only if something is said. A row
    lasts as long as the longest of narration, picture and captions together; a join between rows adds half a second.
    """
    drafts = tuple(_drafts(resolved, filled))
    kept = tuple(draft for draft in drafts if _has_row(draft))
    rows = _timed(tuple(_row(draft, resolved) for draft in kept), kept)
    captions = _captions(rows, kept)
    length_ms = rows[-1].start_ms + rows[-1].length_ms if rows else 0
    cut = Cut(sections=_sections(rows, kept), captions=captions, length_ms=length_ms)
    return cut, (*_unseen(drafts), *_too_wide(kept), *_length(resolved, length_ms))


# ---------------------------------------------------------------------------------------------------- which rows


def _drafts(resolved: ResolvedEpisode, filled: FilledEpisode) -> Iterator[_Draft]:
    episode = resolved.episode
    yield from _part("opening", episode.title, "", episode.opening, filled.opening)
    texts = {recipe.id: recipe.steps for recipe in filled.recipes}
    for index, recipe in enumerate(resolved.recipes):
        title = recipe.recipe.title
        if index:
            steps, rows = episode.between[index - 1 : index], filled.between[index - 1 : index]
            yield from _part(recipe.id, title, "", steps, rows)
        yield from _part(recipe.id, title, recipe.id, recipe.recipe.steps, texts.get(recipe.id, ()))
    closing = episode.closing[0].name if episode.closing else ""
    yield from _part("closing", closing or "Closing", "", episode.closing, filled.closing)


def _part(
    section: str, title: str, recipe: str, steps: tuple[Step, ...], texts: tuple[FilledStep, ...]
) -> Iterator[_Draft]:
    for step, filled in zip(steps, texts, strict=True):
        captions = tuple(
            replace(caption, text=text) for caption in filled.captions for text in split_caption(caption.text)
        )
        yield _Draft(section=section, title=title, recipe=recipe, step=step, filled=filled, captions=captions)


def _is_unfilmed(step: Step) -> bool:
    """Return whether the author wrote that no camera films the step."""
    if step.shot is not None:
        return step.shot.set_up.casefold() == _UNFILMED
    return any(name == "shot" for name, _ in step.field_spans)


def _has_row(draft: _Draft) -> bool:
    says = bool(draft.filled.say.spoken.strip())
    if _is_unfilmed(draft.step):
        return says
    return says or draft.step.shot is not None or bool(draft.captions)


# ---------------------------------------------------------------------------------------------------- rows


def _row(draft: _Draft, resolved: ResolvedEpisode) -> Row:
    """Return a row without its place on the clock."""
    kitchen, step = resolved.episode.kitchen, draft.step
    shot = None if _is_unfilmed(step) else step.shot
    picture_ms = kitchen.pace.picture_ms
    if shot is not None and shot.screen_s is not None:
        picture_ms = shot.screen_s * 1000
    spoken = draft.filled.say.spoken.strip()
    said_ms = speech_ms(spoken, kitchen.pace)
    picture_ms = 0 if _is_unfilmed(step) else picture_ms
    return Row(
        id=_row_id(draft),
        section=draft.section,
        recipe=draft.recipe,
        step=step.id,
        picture=(shot.framing if shot is not None else "") or step.name,
        set_up=shot.set_up if shot is not None else "",
        say=spoken,
        speaker=_speaker(draft, resolved) if spoken else "",
        words=spoken_words(spoken),
        speech_ms=said_ms,
        picture_ms=picture_ms,
        length_ms=max(said_ms, picture_ms, sum(caption_need_ms(caption.text) for caption in draft.captions)),
    )


def _row_id(draft: _Draft) -> str:
    """Return "bake.peel-potatoes"; a transition row is "bake.between.NAME", so that no two rows share an id."""
    place = (
        f"{draft.section}.between"
        if draft.section not in ("opening", "closing") and not draft.recipe
        else draft.section
    )
    return f"{place}.{draft.step.id}"


def _speaker(draft: _Draft, resolved: ResolvedEpisode) -> str:
    """Return who speaks: the presenter where the front camera hears sound, else a voice over the picture."""
    shot = draft.step.shot
    presenters = [person.name for person in resolved.episode.kitchen.people if person.is_presenter]
    if presenters and shot is not None and shot.set_up.casefold() == "front" and shot.has_sync_sound:
        return presenters[0]
    return "voice-over"


def _timed(rows: tuple[Row, ...], drafts: tuple[_Draft, ...]) -> tuple[Row, ...]:
    """Return the rows one after the other, a join between them, with the ids of their captions."""
    placed = []
    at_ms = 0
    for row, draft in zip(rows, drafts, strict=True):
        ids = tuple(f"{row.id}.{number}" for number in range(1, len(draft.captions) + 1))
        placed.append(replace(row, start_ms=at_ms, captions=ids))
        at_ms += row.length_ms + JOIN_MS
    return tuple(placed)


def _sections(rows: tuple[Row, ...], drafts: tuple[_Draft, ...]) -> tuple[Section, ...]:
    titles = {draft.section: draft.title for draft in drafts}
    return tuple(
        Section(id=section, title=title, rows=tuple(row for row in rows if row.section == section))
        for section, title in titles.items()
    )


def _captions(rows: tuple[Row, ...], drafts: tuple[_Draft, ...]) -> tuple[Caption, ...]:
    needs = [tuple(caption_need_ms(caption.text) for caption in draft.captions) for draft in drafts]
    slots = place_captions([(row.start_ms, row.length_ms, need) for row, need in zip(rows, needs, strict=True)])
    return tuple(
        Caption(
            id=identifier,
            row=row.id,
            kind=CaptionKind(caption.kind),
            text=caption.text,
            in_ms=slot.in_ms,
            out_ms=slot.out_ms,
            need_ms=caption_need_ms(caption.text),
            source=caption.source,
        )
        for row, draft, row_slots in zip(rows, drafts, slots, strict=True)
        for identifier, caption, slot in zip(row.captions, draft.captions, row_slots, strict=True)
    )


# ---------------------------------------------------------------------------------------------------- findings


def _unseen(drafts: tuple[_Draft, ...]) -> Iterator[Finding]:
    for draft in drafts:
        if draft.captions and not _has_row(draft):
            yield Finding(
                code="caption-unseen",
                message=f'the caption "{_flat(draft.captions[0])}" stands on a step that is neither filmed nor spoken',
                about=f"{draft.section} {draft.step.name}",
                span=draft.step.place("caption"),
                hint="give the step a shot or narration, or take the caption out",
            )


def _too_wide(drafts: tuple[_Draft, ...]) -> Iterator[Finding]:
    for draft in drafts:
        for caption in draft.captions:
            if not fits(tuple(caption.text.split("\n"))):
                yield Finding(
                    code="caption-too-wide",
                    message=f'the caption "{_flat(caption)}" is too long for two lines of {LINE_CHARACTERS} characters',
                    about=f"{draft.section} {draft.step.name}",
                    span=draft.step.place("caption"),
                    hint="shorten it, or part its items by a dot between spaces",
                    source="BBC subtitle guidelines: 37 characters a line, two lines",
                )


def _length(resolved: ResolvedEpisode, length_ms: int) -> Iterator[Finding]:
    episode = resolved.episode
    low_ms, high_ms = (value and value * 1000 for value in (episode.length_low_s, episode.length_high_s))
    too_long, too_short = high_ms and length_ms > high_ms, low_ms and length_ms < low_ms
    if too_long or too_short:
        yield Finding(
            code="length-outside",
            message=f"the script makes {running_text(length_ms)}, {'longer' if too_long else 'shorter'} than asked",
            about=episode.title,
            span=episode.span,
            hint="change narration, pictures or the length asked for",
        )


def _flat(caption: CaptionText) -> str:
    return " ".join(caption.text.split("\n"))
