"""
The rows of the video before they have a place on the clock: which there are, and what each shows and says.

The resolved episode and its filled texts come in; drafts in story order go out.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from shootplan.model.filled import CaptionText, FilledEpisode, FilledStep
from shootplan.model.recipe import Step
from shootplan.model.resolved import ResolvedEpisode
from shootplan.records import dataclass
from shootplan.timing.chosen import chosen, join_captions
from shootplan.timing.collisions import merge_captions
from shootplan.timing.holds import CaptionStyle, caption_need_ms, split_caption
from shootplan.timing.speech import speech_ms

__all__ = ["Draft", "drafts_of", "has_row", "is_unfilmed", "picture_ms", "with_captions"]

#: Where no camera stands there is no picture of the step's own.
_UNFILMED = "none"
#: The parts of the video that frame the dishes.
_FRAME = ("opening", "closing")


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """A row before it has a place on the clock: step, texts, captions; ``merged`` counts captions shown as one."""

    section: str
    title: str
    recipe: str
    step: Step
    filled: FilledStep
    captions: tuple[CaptionText, ...]
    merged: int = 0


def drafts_of(resolved: ResolvedEpisode, filled: FilledEpisode, style: CaptionStyle) -> Iterator[Draft]:
    """Yield a draft for each step, rowless ones included, its typed captions split as the screen asks."""
    episode = resolved.episode
    texts = {recipe.id: recipe.steps for recipe in filled.recipes}
    yield from _part("opening", episode.title, "", episode.opening, filled.opening, style)
    for index, recipe in enumerate(resolved.recipes):
        title = recipe.recipe.title
        if index:
            steps, rows = episode.between[index - 1 : index], filled.between[index - 1 : index]
            yield from _part(recipe.id, title, "", steps, rows, style)
        yield from _part(recipe.id, title, recipe.id, recipe.recipe.steps, texts.get(recipe.id, ()), style)
    closing = episode.closing[0].name if episode.closing else ""
    yield from _part("closing", closing or "Closing", "", episode.closing, filled.closing, style)


def _part(
    section: str,
    title: str,
    recipe: str,
    steps: tuple[Step, ...],
    texts: tuple[FilledStep, ...],
    style: CaptionStyle,
) -> Iterator[Draft]:
    for step, filled in zip(steps, texts, strict=True):
        captions = tuple(
            replace(caption, text=text) for caption in filled.captions for text in split_caption(caption.text, style)
        )
        yield Draft(section=section, title=title, recipe=recipe, step=step, filled=filled, captions=captions)


def is_unfilmed(step: Step) -> bool:
    """Return whether the author wrote that no camera films the step."""
    if step.shot is not None:
        return step.shot.set_up.casefold() == _UNFILMED
    return any(name == "shot" for name, _ in step.field_spans)


def has_row(draft: Draft) -> bool:
    """Return whether the video shows or says the step: a shot, narration or a typed caption makes a row."""
    says = bool(draft.filled.say.spoken.strip())
    if is_unfilmed(draft.step):
        return says
    return says or draft.step.shot is not None or bool(draft.captions)


def picture_ms(step: Step, resolved: ResolvedEpisode) -> int:
    """Return the least length of a step's picture: its own, else the kitchen's; none where no camera stands."""
    if is_unfilmed(step):
        return 0
    if step.shot is not None and step.shot.screen_s is not None:
        return step.shot.screen_s * 1000
    return resolved.episode.kitchen.pace.picture_ms


# ---------------------------------------------------------------------------------------------------- captions


def with_captions(
    drafts: tuple[Draft, ...], resolved: ResolvedEpisode, filled: FilledEpisode, style: CaptionStyle
) -> tuple[Draft, ...]:
    """
    Return the drafts of rows with what the screen shows.

    Typed captions merge as far as the row needs it; where none is typed, what can be read in the time of the row is
    chosen of the derived items. Notices go where there is room for them.
    """
    settled = [_settled(draft, resolved, style) for draft in drafts]
    for notice in filled.notices:
        captions = join_captions(notice.captions, style)
        at = _place_of(settled, captions, notice.recipe, resolved)
        if at is not None:
            settled[at] = replace(settled[at], captions=(*settled[at].captions, *captions))
    return tuple(settled)


def _settled(draft: Draft, resolved: ResolvedEpisode, style: CaptionStyle) -> Draft:
    room_ms = _time_ms(draft, resolved)
    if not draft.captions and not is_unfilmed(draft.step):
        return replace(draft, captions=chosen(draft.filled.derived, room_ms, style))
    captions, merged = merge_captions(draft.captions, room_ms, style)
    return replace(draft, captions=captions, merged=merged)


def _time_ms(draft: Draft, resolved: ResolvedEpisode) -> int:
    """Return how long the row lasts whatever its captions are."""
    said_ms = speech_ms(draft.filled.say.spoken, resolved.episode.kitchen.pace)
    return max(said_ms, picture_ms(draft.step, resolved))


def _place_of(
    drafts: list[Draft], captions: tuple[CaptionText, ...], recipe: str, resolved: ResolvedEpisode
) -> int | None:
    """
    Return where a notice stands: the first row with room for it, else the one that it lengthens least.

    A dish's notice stands in its part of the video; that of the prices behind one of them, or at least in the opening
    or closing.
    """
    need_ms = sum(caption_need_ms(caption.text) for caption in captions)
    ranks = {}
    for at, draft in enumerate(drafts):
        has_price = any(caption.has_price for caption in draft.captions)
        is_fit = draft.section == recipe if recipe else has_price or draft.section in _FRAME
        if is_fit and not draft.filled.is_clear and not is_unfilmed(draft.step):
            used_ms = sum(caption_need_ms(caption.text) for caption in draft.captions)
            longer_ms = max(0, used_ms + need_ms - max(used_ms, _time_ms(draft, resolved)))
            ranks[at] = (longer_ms, not recipe and not has_price, at)
    return min(ranks, key=lambda at: ranks[at], default=None)
