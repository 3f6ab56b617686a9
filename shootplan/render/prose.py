"""
The author's CommonMark as HTML, and plain text made safe for Markdown.

Text comes in, text goes out. Raw HTML in the author's text is shown, never run; links keep only the schemes that the
Markdown library thinks harmless.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from markdown_it import MarkdownIt
    from markdown_it.token import Token
    from markupsafe import Markup

    from shootplan.render.views_servings import StepPart

__all__ = ["cell", "first_upper", "line_html", "md_text", "parts_marked", "plain_text", "to_html"]

_SPECIAL = re.compile(r"([\\`*_\[\]<>|#])")


def to_html(text: str) -> Markup:
    """Return CommonMark as HTML blocks."""
    from markupsafe import Markup

    return Markup(_parser().render(text).strip())


def line_html(text: str) -> Markup:
    """Return one line of CommonMark as inline HTML."""
    from markupsafe import Markup

    return Markup(_parser().renderInline(text).strip())


def plain_text(text: str) -> str:
    """Return the words of CommonMark without its marks: paragraphs by line feeds, each on one line."""
    blocks = (block for block in _parser().parse(text) if block.type in ("inline", "fence", "code_block"))
    return "\n".join(" ".join(_words(block).split()) for block in blocks)


def parts_marked(html: Markup, parts: Iterable[StepPart]) -> Markup:
    """Return a step's HTML with each amount of a part, as it stands before "of the", in a place of its own."""
    from markupsafe import Markup, escape

    text = str(html)
    for part in parts:
        words = str(escape(part.words))
        text = text.replace(f"{words} of ", f'<span data-part="{part.key}">{words}</span> of ', 1)
    return Markup(text)


def _words(block: Token) -> str:
    if not block.children:
        return block.content
    return "".join(" " if child.type in ("softbreak", "hardbreak") else child.content for child in block.children)


def md_text(text: str) -> str:
    """Return plain text so that Markdown shows it as it is."""
    return _SPECIAL.sub(r"\\\1", text)


def cell(text: str) -> str:
    """Return CommonMark text for one cell of a Markdown table: no bar, no line break."""
    return " ".join(text.replace("|", "\\|").split())


def first_upper(text: str) -> str:
    """Return a text with its first letter as a capital, the rest as it is."""
    return text[:1].upper() + text[1:]


def _parser() -> MarkdownIt:
    from markdown_it import MarkdownIt

    return MarkdownIt("commonmark", {"html": False})
