"""
What of the derived captions of a step stands on the screen: as much as can be read while the row lasts.

Items with weights and the time of the row come in, captions go out. A derived caption never makes its row longer, but
for the price that a dish or the episode is shown with.
"""

from __future__ import annotations

from collections.abc import Sequence

from shootplan.model.filled import CaptionText
from shootplan.timing.holds import ITEM_MARK, CaptionStyle, caption_need_ms, fits, split_caption

__all__ = ["chosen", "join_captions"]

#: At most so many items in one row, so that the picture is not covered by a list (common practice, no source).
_MOST_ITEMS = 4
_STANDS = ("price", "total")
#: A caption of several items is of the first of these kinds among them.
_KINDS = ("total", "price", "ingredient", "step", "notice")


def chosen(items: Sequence[CaptionText], room_ms: int, style: CaptionStyle) -> tuple[CaptionText, ...]:
    """
    Return the captions of a row: the heaviest items that can be read in ``room_ms``, in the order given.

    Items too long for the screen are left out, and so is what comes after ``_MOST_ITEMS``.
    """
    kept: list[int] = []
    for index in sorted(range(len(items)), key=lambda index: (-items[index].weight, index)):
        captions = join_captions([items[at] for at in sorted([*kept, index])], style)
        is_readable = all(fits(tuple(caption.text.split("\n")), style) for caption in captions)
        needs_ms = sum(caption_need_ms(caption.text) for caption in captions)
        if is_readable and (needs_ms <= room_ms or (not kept and items[index].kind in _STANDS)):
            kept.append(index)
        if len(kept) == _MOST_ITEMS:
            break
    return join_captions([items[at] for at in sorted(kept)], style)


def join_captions(items: Sequence[CaptionText], style: CaptionStyle) -> tuple[CaptionText, ...]:
    """Return captions of as many neighbouring items each as fit on the screen together."""
    groups: list[list[CaptionText]] = []
    for item in items:
        if groups and len(split_caption(_joined([*groups[-1], item]), style)) == 1:
            groups[-1].append(item)
        else:
            groups.append([item])
    return tuple(_caption(group, text) for group in groups for text in split_caption(_joined(group), style))


def _joined(group: Sequence[CaptionText]) -> str:
    return ITEM_MARK.join(item.text for item in group)


def _caption(group: Sequence[CaptionText], text: str) -> CaptionText:
    kinds = {item.kind for item in group}
    return CaptionText(
        text=text,
        kind=next((kind for kind in _KINDS if kind in kinds), "step"),
        source=", ".join(dict.fromkeys(item.source for item in group if item.source)),
        has_price=any(item.has_price for item in group),
    )
