"""
Block structure of a Markdown file: headings, lists with nested field lists, everything else as text, all with places.

markdown-it-py (CommonMark, no HTML) says which lines belong to which block; the columns are found here, once. Nothing
inside a line is interpreted: mentions, links and emphasis stay as typed.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import field
from typing import TYPE_CHECKING

from shootplan.problems import Span
from shootplan.read.passage import Passage
from shootplan.records import dataclass

if TYPE_CHECKING:
    from markdown_it.token import Token

__all__ = ["Block", "Heading", "Item", "Page", "parse_page"]


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading of level 1 to 6; ``line_idx`` and ``end_idx`` count lines from 0, end not included."""

    level: int
    title: Passage
    line_idx: int
    end_idx: int


@dataclass(slots=True)
class Item:
    """A list item: its paragraphs joined by blank lines, and the items of lists nested in it."""

    is_numbered: bool
    text: Passage
    children: list[Item] = field(default_factory=list)
    extra: list[Passage] = field(default_factory=list)

    @property
    def span(self) -> Span:
        """The place of the item's text."""
        return self.text.span()


@dataclass(frozen=True, slots=True)
class Block:
    """A paragraph, quotation, code or anything else that is neither heading nor list item: its first line."""

    text: Passage


@dataclass(frozen=True, slots=True)
class Page:
    """A file's blocks in order; list items stand alone, whichever list they were in."""

    path: str
    lines: tuple[str, ...]
    blocks: tuple[Heading | Item | Block, ...]

    def source(self, start_idx: int, end_idx: int) -> str:
        """Return the lines from ``start_idx`` up to ``end_idx`` (not included, both from 0) as typed, trimmed."""
        return "\n".join(self.lines[start_idx:end_idx]).strip()


def parse_page(path: str, text: str, *, first_line_idx: int = 0) -> Page:
    """Return the blocks of ``text``; lines before ``first_line_idx`` (front matter) are passed over."""
    from markdown_it import MarkdownIt

    lines = tuple(text.split("\n"))
    body = "\n" * first_line_idx + "\n".join(lines[first_line_idx:])
    parser = MarkdownIt("commonmark", {"html": False}).disable(["inline", "reference"])
    walker = _Walker(path, lines)
    return Page(path, lines, tuple(walker.blocks(parser.parse(body))))


@dataclass(slots=True)
class _Walker:
    """Turns the parser's flat tokens into blocks."""

    path: str
    lines: tuple[str, ...]

    def blocks(self, tokens: list[Token]) -> Iterator[Heading | Item | Block]:
        position = 0
        while position < len(tokens):
            end = _end_of(tokens, position)
            yield from self._block(tokens[position : end + 1])
            position = end + 1

    def _block(self, tokens: list[Token]) -> Iterator[Heading | Item | Block]:
        first = tokens[0]
        if first.type == "heading_open":
            yield self._heading(first, tokens[1])
        elif first.type in ("bullet_list_open", "ordered_list_open"):
            yield from self._items(tokens)
        elif first.map is not None and first.type != "hr":
            yield Block(self._line(first.map[0]))

    def _heading(self, opening: Token, inline: Token) -> Heading:
        start, end = opening.map or (0, 1)
        return Heading(int(opening.tag[1]), self._passage(inline), start, end)

    def _items(self, tokens: list[Token]) -> list[Item]:
        """Return the items of one list; an explicit stack, so that depth cannot exhaust ours."""
        top: list[Item] = []
        numbered: list[bool] = []
        open_items: list[Item] = []
        for token in tokens:
            if token.type in ("bullet_list_open", "ordered_list_open"):
                numbered.append(token.type == "ordered_list_open")
            elif token.type in ("bullet_list_close", "ordered_list_close"):
                numbered.pop()
            elif token.type == "list_item_open":
                item = Item(numbered[-1], self._line((token.map or (0, 1))[0]))
                (open_items[-1].children if open_items else top).append(item)
                open_items.append(item)
            elif token.type == "list_item_close":
                _settle(open_items.pop())
            elif token.type == "inline":
                open_items[-1].extra.append(self._passage(token))
            elif token.type in ("fence", "code_block") and token.map is not None:
                open_items[-1].extra.append(self._line(token.map[0]))
        return top

    def _passage(self, inline: Token) -> Passage:
        """Return an inline token's text with the place of each of its lines, found by its end in the source line."""
        start = (inline.map or (0, 1))[0]
        pieces: list[str] = []
        starts: list[tuple[int, int, int]] = []
        offset = 0
        for number, content in enumerate(inline.content.split("\n")):
            text = content.strip()
            source = self.lines[start + number] if start + number < len(self.lines) else ""
            starts.append((offset, start + number + 1, max(source.rfind(text), 0) + 1))
            pieces.append(text)
            offset += len(text) + 1
        return Passage("\n".join(pieces), self.path, tuple(starts))

    def _line(self, line_idx: int) -> Passage:
        source = self.lines[line_idx] if line_idx < len(self.lines) else ""
        text = source.strip()
        return Passage.on_line(text, self.path, line_idx + 1, len(source) - len(source.lstrip()) + 1)


def _settle(item: Item) -> None:
    """Join an item's paragraphs to its text; an item without any keeps its source line less the list mark."""
    paragraphs = item.extra
    if not paragraphs:
        mark = re.match(r"(?:[-+*]|\d+[.)])\s*", item.text.text)
        item.text = item.text.part(mark.end() if mark else 0)
        return
    text, starts = "", []
    for paragraph in paragraphs:
        text += "\n\n" if text else ""
        starts += [(at + len(text), line, column) for at, line, column in paragraph.starts]
        text += paragraph.text
    item.text = Passage(text, item.text.path, tuple(starts))


def _end_of(tokens: list[Token], start: int) -> int:
    """Return the position of the token that closes the one at ``start``."""
    depth = 0
    for position in range(start, len(tokens)):
        depth += tokens[position].nesting
        if depth == 0:
            return position
    return len(tokens) - 1
