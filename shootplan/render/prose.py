"""
The author's CommonMark as HTML, and plain text made safe for Markdown.

Text comes in, text goes out. HTML that the author wrote passes a sanitiser with a short list of what marks text:
nothing that runs, loads, floats or looks like a part of our page gets through.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from markdown_it import MarkdownIt
    from markdown_it.token import Token
    from markupsafe import Markup

    from shootplan.render.views_servings import StepPart

__all__ = ["cell", "first_upper", "line_html", "md_text", "parts_marked", "plain_text", "to_html"]

#: What an author's HTML may hold: what CommonMark itself makes, and marks of text.
_TAGS = (
    *(
        "p",
        "br",
        "hr",
        "em",
        "strong",
        "code",
        "pre",
        "blockquote",
        "ul",
        "ol",
        "li",
        "a",
        "h3",
        "h4",
        "h5",
        "h6",
        "img",
    ),
    *("abbr", "b", "i", "u", "s", "del", "ins", "kbd", "mark", "q", "small", "sub", "sup", "time", "dl", "dt", "dd"),
    *("table", "caption", "thead", "tbody", "tr", "th", "td"),
)
_ATTRIBUTES = {
    "a": ("href", "title"),
    "abbr": ("title",),
    "img": ("alt", "title"),
    "ol": ("start",),
    "time": ("datetime",),
    "th": ("scope",),
}
_SPECIAL = re.compile(r"([\\`*_\[\]<>|#])")


def to_html(text: str) -> Markup:
    """Return CommonMark as HTML blocks."""
    from markupsafe import Markup

    return Markup(_clean(text, _parser().render(text)).strip())


def line_html(text: str) -> Markup:
    """Return one line of CommonMark as inline HTML."""
    from markupsafe import Markup

    return Markup(_clean(text, _parser().renderInline(text)).strip())


def _clean(source: str, made: str) -> str:
    """Return HTML through the sanitiser; without a tag or a picture in the source, all of it is our parser's own."""
    if "<" not in source and "![" not in source:
        return made
    import nh3

    return nh3.clean(
        made,
        tags=set(_TAGS),
        clean_content_tags={"script", "style"},
        attributes={name: set(keys) for name, keys in _ATTRIBUTES.items()},
        attribute_filter=_kept_attribute,
        url_schemes={"https", "http", "mailto"},
        link_rel=None,
    )


def _kept_attribute(tag: str, name: str, value: str) -> str | None:
    """Keep an attribute, but no address of a picture: a page of ours asks for nothing from elsewhere."""
    return None if tag == "img" and name == "src" else value


def plain_text(text: str) -> str:
    """Return the words of CommonMark without its marks: paragraphs by line feeds, each on one line."""
    kinds = ("inline", "fence", "code_block", "html_block")
    blocks = (block for block in _parser().parse(text) if block.type in kinds)
    return "\n".join(line for line in (" ".join(_words(block).split()) for block in blocks) if line)


def parts_marked(html: Markup, parts: Iterable[StepPart]) -> Markup:
    """Return a step's HTML with each amount of a part, as it stands before "of the", in a place of its own."""
    from markupsafe import Markup, escape

    text = str(html)
    for part in parts:
        words = str(escape(part.words))
        text = text.replace(f"{words} of ", f'<span data-part="{part.key}">{words}</span> of ', 1)
    return Markup(text)


def _words(block: Token) -> str:
    if block.type == "html_block":
        return _bare(block.content)
    if not block.children:
        return block.content
    return "".join(_word(child) for child in block.children)


def _word(token: Token) -> str:
    if token.type in ("softbreak", "hardbreak"):
        return " "
    return "" if token.type == "html_inline" else token.content


def _bare(source: str) -> str:
    """Return the text of HTML."""
    import html

    import nh3

    return html.unescape(nh3.clean(source, tags=set(), clean_content_tags={"script", "style"}))


def md_text(text: str) -> str:
    """Return plain text so that Markdown shows it as it is."""
    return _SPECIAL.sub(r"\\\1", text)


def cell(text: str) -> str:
    """Return CommonMark text for one cell of a Markdown table: no bar, no line break."""
    return " ".join(text.replace("|", "\\|").split())


def first_upper(text: str) -> str:
    """Return a text with its first letter as a capital, the rest as it is."""
    return text[:1].upper() + text[1:]


@lru_cache(maxsize=1)
def _parser() -> MarkdownIt:
    """Return the one parser: it keeps nothing from one text to the next."""
    from markdown_it import MarkdownIt

    return MarkdownIt("commonmark", {"html": True})
