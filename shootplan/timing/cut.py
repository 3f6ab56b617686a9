"""
The finished video: rows of narration and picture in story order, their lengths, and the captions over them.

The resolved episode and its filled texts come in; a ``Cut`` in whole milliseconds and findings go out. Footage is not
known: lengths are what the script asks for.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from shootplan.model.cut import Caption, CaptionKind, Cut, Row, Section
from shootplan.model.filled import CaptionText, FilledEpisode
from shootplan.model.resolved import ResolvedEpisode
from shootplan.model.show import running_text
from shootplan.problems import Finding
from shootplan.timing.collisions import tell_collisions
from shootplan.timing.drafts import Draft, drafts_of, has_row, is_unfilmed, picture_ms, with_captions
from shootplan.timing.holds import VERTICAL, WIDE, CaptionStyle, caption_need_ms, fits
from shootplan.timing.length import fit_length
from shootplan.timing.placing import place_captions
from shootplan.timing.speech import script_band_ms, speech_band_ms, speech_ms, spoken_syllables, spoken_words
from shootplan.timing.waits import wait_words

__all__ = ["JOIN_MS", "cut_episode"]

#: What a join between two rows adds to the length: the breath between two pieces of narration (0.3 to 0.6 s).
JOIN_MS = 500
#: (narration, caption) → where in the narration the first figure of the caption is said.
FirstSpoken = Callable[[str, str], int | None]


def cut_episode(
    resolved: ResolvedEpisode, filled: FilledEpisode, first_spoken: FirstSpoken | None = None
) -> tuple[Cut, tuple[Finding, ...]]:
    """
    Return the video's rows and captions on the cut clock, and what is wrong with them.

    ``first_spoken`` tells where in a narration the figure of a caption is said: the caption then waits for it.

    Sections stand in story order: opening, each recipe with its transition row before it, closing. There is a row for
    each step with a shot, narration or a caption; a step that is not filmed has one only if something is said. A row
    lasts as long as the longest of narration, picture and captions together; a join between rows adds half a second.
    Captions that outlast narration and picture merge where they fit on the screen together; where none is typed, what
    can be read in the time of the row is derived from what the step uses.
    """
    episode = resolved.episode
    style = VERTICAL if episode.caption_style == "vertical" else WIDE
    drafts = tuple(drafts_of(resolved, filled, style))
    kept = with_captions(tuple(draft for draft in drafts if has_row(draft)), resolved, filled, style)
    rows = _timed(tuple(_row(draft, resolved) for draft in kept), kept)
    words = _words(rows, kept, resolved, first_spoken) if first_spoken is not None else ()
    captions = _captions(rows, kept, words)
    cut = _whole(rows, kept, captions, resolved)
    low_ms, high_ms = (value and value * 1000 for value in (episode.length_low_s, episode.length_high_s))
    cut = fit_length(cut, low_ms, high_ms)
    return cut, (*_unseen(drafts), *_too_wide(kept, style), *_collisions(cut, kept), *_length(resolved, cut))


def _whole(
    rows: tuple[Row, ...], drafts: tuple[Draft, ...], captions: tuple[Caption, ...], resolved: ResolvedEpisode
) -> Cut:
    said_ms = sum(row.speech_ms for row in rows)
    low_ms, high_ms = script_band_ms(said_ms, resolved.episode.kitchen.pace)
    return Cut(
        sections=_sections(rows, drafts),
        captions=captions,
        length_ms=rows[-1].start_ms + rows[-1].length_ms if rows else 0,
        is_vertical=resolved.episode.caption_style == "vertical",
        speech_ms=said_ms,
        speech_low_ms=low_ms,
        speech_high_ms=high_ms,
    )


# ---------------------------------------------------------------------------------------------------- rows


def _row(draft: Draft, resolved: ResolvedEpisode) -> Row:
    """Return a row without its place on the clock."""
    step = draft.step
    shot = None if is_unfilmed(step) else step.shot
    spoken = draft.filled.say.spoken.strip()
    said_ms = speech_ms(spoken, resolved.episode.kitchen.pace)
    said_low_ms, said_high_ms = speech_band_ms(said_ms, resolved.episode.kitchen.pace)
    shown_ms = picture_ms(step, resolved)
    caption_ms = sum(caption_need_ms(caption.text) for caption in draft.captions)
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
        picture_ms=shown_ms,
        length_ms=max(said_ms, shown_ms, caption_ms),
        action=step.name,
        wait=wait_words(step) if not is_unfilmed(step) else "",
        caution=step.caution,
        syllables=spoken_syllables(spoken),
        speech_low_ms=said_low_ms,
        speech_high_ms=said_high_ms,
        caption_ms=caption_ms,
    )


def _row_id(draft: Draft) -> str:
    """Return "bake.peel-potatoes"; a transition row is "bake.between.NAME", so that no two rows share an id."""
    place = (
        f"{draft.section}.between"
        if draft.section not in ("opening", "closing") and not draft.recipe
        else draft.section
    )
    return f"{place}.{draft.step.id}"


def _speaker(draft: Draft, resolved: ResolvedEpisode) -> str:
    """Return who speaks: the presenter where the front camera hears sound, else a voice over the picture."""
    shot = draft.step.shot
    presenters = [person.name for person in resolved.episode.kitchen.people if person.is_presenter]
    if presenters and shot is not None and shot.set_up.casefold() == "front" and shot.has_sync_sound:
        return presenters[0]
    return "voice-over"


def _timed(rows: tuple[Row, ...], drafts: tuple[Draft, ...]) -> tuple[Row, ...]:
    """Return the rows one after the other, a join between them, with the ids of their captions."""
    placed = []
    at_ms = 0
    for row, draft in zip(rows, drafts, strict=True):
        ids = tuple(f"{row.id}.{number}" for number in range(1, len(draft.captions) + 1))
        placed.append(replace(row, start_ms=at_ms, captions=ids))
        at_ms += row.length_ms + JOIN_MS
    return tuple(placed)


def _sections(rows: tuple[Row, ...], drafts: tuple[Draft, ...]) -> tuple[Section, ...]:
    titles = {draft.section: draft.title for draft in drafts}
    return tuple(
        Section(id=section, title=title, rows=tuple(row for row in rows if row.section == section))
        for section, title in titles.items()
    )


def _words(
    rows: tuple[Row, ...], drafts: tuple[Draft, ...], resolved: ResolvedEpisode, first_spoken: FirstSpoken
) -> tuple[tuple[int | None, ...], ...]:
    """Return for each caption of each row how long after the row's start its figure is said, if it is."""
    pace = resolved.episode.kitchen.pace
    found = []
    for row, draft in zip(rows, drafts, strict=True):
        places = [first_spoken(row.say, caption.text) for caption in draft.captions]
        found.append(tuple(None if at is None else speech_ms(row.say[:at], pace) for at in places))
    return tuple(found)


def _captions(
    rows: tuple[Row, ...], drafts: tuple[Draft, ...], words: tuple[tuple[int | None, ...], ...]
) -> tuple[Caption, ...]:
    needs = [tuple(caption_need_ms(caption.text) for caption in draft.captions) for draft in drafts]
    slots = place_captions([(row.start_ms, row.length_ms, need) for row, need in zip(rows, needs, strict=True)], words)
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


def _unseen(drafts: tuple[Draft, ...]) -> Iterator[Finding]:
    for draft in drafts:
        if draft.captions and not has_row(draft):
            yield Finding(
                code="caption-unseen",
                message=f'the caption "{_flat(draft.captions[0])}" stands on a step that is neither filmed nor spoken',
                about=f"{draft.section} {draft.step.name}",
                span=draft.step.place("caption"),
                hint="give the step a shot or narration, or take the caption out",
            )


def _too_wide(drafts: tuple[Draft, ...], style: CaptionStyle) -> Iterator[Finding]:
    for draft in drafts:
        for caption in draft.captions:
            if not fits(tuple(caption.text.split("\n")), style):
                yield Finding(
                    code="caption-too-wide",
                    message=f'the caption "{_flat(caption)}" is too long for {_room(style)}',
                    about=f"{draft.section} {draft.step.name}",
                    span=draft.step.place("caption"),
                    hint="shorten it, or part its items by a dot between spaces",
                    source=f"BBC subtitle guidelines: {_room(style)}",
                )


def _room(style: CaptionStyle) -> str:
    return f"{'two' if style.lines == 2 else 'three'} lines of {style.characters} characters"


def _collisions(cut: Cut, drafts: tuple[Draft, ...]) -> Iterator[Finding]:
    merged = [draft.step.name for draft in drafts for _ in range(draft.merged)]
    longer = [(row.action, row.length_ms - max(row.speech_ms, row.picture_ms)) for row in cut.rows]
    return tell_collisions(cut.rows, cut.captions, merged, [item for item in longer if item[1] > 0])


def _length(resolved: ResolvedEpisode, cut: Cut) -> Iterator[Finding]:
    if not cut.over_ms:
        return
    episode = resolved.episode
    by = f"{running_text(abs(cut.over_ms), tenths=True)} {'longer' if cut.over_ms > 0 else 'shorter'}"
    yield Finding(
        code="length-outside",
        message=f"the script makes {running_text(cut.length_ms)}, {by} than asked",
        about=episode.title,
        span=episode.span,
        hint="change narration, pictures or the length asked for: the script says how much in each row",
    )


def _flat(caption: CaptionText) -> str:
    return " ".join(caption.text.split("\n"))
