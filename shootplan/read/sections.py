"""
The outline that recipes and episodes share: one ``# Title``, a headnote, then ``##`` sections of known names.

A page of blocks comes in, the title and the sections go out; headings that are unknown, doubled or missing are
reported. What stands in a section is its reader's business.
"""

from __future__ import annotations

from collections.abc import Iterator

from shootplan.problems import Span, did_you_mean
from shootplan.read.markdown import Block, Heading, Item, Page
from shootplan.read.passage import Log, Passage
from shootplan.read.values import quoted
from shootplan.records import dataclass

__all__ = ["Outline", "Section", "split_sections"]


@dataclass(frozen=True, slots=True)
class Section:
    """A section's heading, its blocks in order, and its text as typed."""

    heading: Heading
    blocks: tuple[Heading | Item | Block, ...]
    source: str

    def items(self, log: Log) -> Iterator[Item]:
        """Return the list items; text and headings between them are reported, because nothing reads them."""
        for block in self.blocks:
            if isinstance(block, Item):
                yield block
            else:
                warn_unused(block, self.heading.title.text, log)


@dataclass(frozen=True, slots=True)
class Outline:
    """A page's title (``None`` if there is none), headnote and sections by their name in small letters."""

    title: Passage | None
    headnote: str
    sections: dict[str, Section]
    span: Span

    def source(self, name: str) -> str:
        """Return the text of a section as typed, empty where there is none."""
        return self.sections[name].source if name in self.sections else ""

    def items(self, name: str, log: Log) -> tuple[Item, ...]:
        """Return the list items of a section, none where there is none."""
        return tuple(self.sections[name].items(log)) if name in self.sections else ()


def split_sections(page: Page, known: tuple[str, ...], log: Log, *, body_idx: int = 0) -> Outline:
    """Return the outline of a page whose sections should be among ``known`` (capitalised as they are shown)."""
    tops = [(at, block) for at, block in enumerate(page.blocks) if isinstance(block, Heading) and block.level <= 2]
    title = _title(page, [heading for _, heading in tops], log, body_idx)
    sections: dict[str, Section] = {}
    for number, (at, heading) in enumerate(tops):
        if heading.level == 1:
            continue
        last = number + 1 == len(tops)
        end, end_idx = (
            (len(page.blocks), len(page.lines)) if last else (tops[number + 1][0], tops[number + 1][1].line_idx)
        )
        section = Section(heading, page.blocks[at + 1 : end], page.source(heading.end_idx, end_idx))
        _add(section, sections, known, log)
    start_idx = title.end_idx if title is not None else body_idx
    second = next((h.line_idx for _, h in tops if h.line_idx >= start_idx and h is not title), len(page.lines))
    span = title.title.span() if title is not None else Span(page.path, min(body_idx + 1, len(page.lines)))
    return Outline(title.title if title else None, page.source(start_idx, second), sections, span)


def warn_unused(block: Heading | Block, section: str, log: Log) -> None:
    """Report text that stands where only a list is read."""
    text = block.title if isinstance(block, Heading) else block.text
    message = f'{quoted(text.text)} is not in the list of "{section}" and is not used'
    log.doubt(text.span(), "text-unused", message, 'make it a list item, or move it under "## Notes" or the title')


def _title(page: Page, headings: list[Heading], log: Log, body_idx: int) -> Heading | None:
    titles = [heading for heading in headings if heading.level == 1 and heading.title.text]
    if not titles:
        span = Span(page.path, min(body_idx + 1, len(page.lines)))
        log.fault(span, "title-missing", "the file has no title", 'write "# Title" above the text')
        return None
    for extra in titles[1:]:
        hint = 'use "##" for sections'
        log.fault(
            extra.title.span(),
            "title-twice",
            f"{quoted(extra.title.text)} is a second title",
            hint,
            titles[0].title.span(),
        )
    return titles[0]


def _add(section: Section, sections: dict[str, Section], known: tuple[str, ...], log: Log) -> None:
    title = section.heading.title
    name = title.text.casefold()
    by_name = {word.casefold(): word for word in known}
    if name not in by_name:
        hint = did_you_mean(title.text[:80], known) or "sections are " + ", ".join(known)
        log.fault(title.span(), "section-unknown", f"unknown section {quoted(title.text)}", hint)
    elif name in sections:
        first = sections[name].heading.title.span()
        log.fault(title.span(), "section-twice", f"{quoted(title.text)} stands here twice", "join the two", first)
    else:
        sections[name] = section
