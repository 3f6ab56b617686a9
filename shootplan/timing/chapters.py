"""
Chapters as a list to paste, and what a platform would say of them.

A ``Cut`` comes in, text and findings go out. Which chapters there are is decided in ``model.chapters``.
"""

from __future__ import annotations

from collections.abc import Iterator

from shootplan.model.chapters import LEAST_CHAPTER_S, LEAST_CHAPTERS, chapters_of
from shootplan.model.cut import Cut
from shootplan.model.show import join_words, running_text
from shootplan.problems import Finding
from shootplan.timing.caption_text import clean_lines

__all__ = ["chapter_findings", "write_chapter_list"]

_RULE = "common platform rule: the first chapter at 0:00, at least three, each at least 10 s"


def write_chapter_list(cut: Cut) -> str:
    """Return one line for each chapter: "4:40 Savoy cabbage"; starts are cut down to whole seconds."""
    lines = (f"{running_text(item.start_ms)} {' '.join(clean_lines(item.title))}" for item in chapters_of(cut))
    return "".join(f"{line.strip()}\n" for line in lines)


def chapter_findings(cut: Cut) -> Iterator[Finding]:
    """Yield which sections are too short for a chapter of their own, and whether there are too few chapters."""
    chapters = chapters_of(cut)
    titles = {section.id: section.title for section in cut.sections}
    for chapter in chapters:
        if len(chapter.sections) > 1:
            parts = join_words(f'"{titles[name]}"' for name in chapter.sections)
            yield Finding(
                code="chapter-joined",
                message=f'{parts} make one chapter, "{chapter.title}": one of them is under {LEAST_CHAPTER_S} s',
                source=_RULE,
            )
    if 0 < len(chapters) < LEAST_CHAPTERS:
        yield Finding(
            code="chapters-few",
            message=f"the video has {len(chapters)} chapters, platforms show them from {LEAST_CHAPTERS} up",
            source=_RULE,
        )
