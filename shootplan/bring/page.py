"""
What a page of HTML holds for machines: its JSON-LD blocks, and its microdata (WHATWG HTML, chapter "Microdata").

The page's text comes in; blocks with the line on which they begin, and items as mappings, go out. The standard
library's parser reads it, so that broken markup is no error; ``itemref`` is not followed and is said.
"""

from __future__ import annotations

import re
from dataclasses import field
from html.parser import HTMLParser
from typing import Any

from shootplan.bring.tidy import local_name, lower_ascii, without
from shootplan.records import dataclass

__all__ = ["data_blocks", "microdata_items"]

_VOID = frozenset(
    ("area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "param", "source", "track", "wbr")
)
_FROM_ATTRIBUTE = {
    "meta": "content", "a": "href", "area": "href", "link": "href", "img": "src", "audio": "src", "video": "src",
    "source": "src", "track": "src", "embed": "src", "iframe": "src", "object": "data", "data": "value",
    "meter": "value",
}  # fmt: skip
#: Elements whose end may be left out, and the starts that end them (HTML, "Optional tags"; the usual ones).
_ENDS = {
    "li": {"li"},
    "dt": {"dt", "dd"},
    "dd": {"dt", "dd"},
    "tr": {"tr"},
    "td": {"td", "th", "tr"},
    "p": {"p", "ul", "ol", "div", "table"},
}
_BLOCKS = frozenset(
    ("p", "div", "li", "tr", "h1", "h2", "h3", "h4", "h5", "h6", "br", "section", "article", "ul", "ol")
)
_IS_DATA = re.compile(r"\btype\s*=\s*[\"']?\s*application/ld\+json\b")
_DECLARATION = re.compile(r"<(?=[!?])")
_MOST_BLOCKS = 100
_MOST_DEPTH = 400
_MOST_ITEMS = 20_000
#: Text in all values together; values inside values hold it more than once.
_MOST_TEXT = 4 * 1024 * 1024


def data_blocks(text: str) -> list[tuple[int, str]]:
    """
    Return the JSON-LD blocks of a page, each with the line (from 1) on which its text begins.

    They are found by plain search, not by the parser: that takes time in proportion to the page, whatever is in it.
    """
    found: list[tuple[int, str]] = []
    at = 0
    lower = lower_ascii(text)
    while len(found) < _MOST_BLOCKS:
        start = lower.find("<script", at)
        opened = lower.find(">", start) if start >= 0 else -1
        if opened < 0:
            break
        end = lower.find("</script", opened)
        end = end if end >= 0 else len(text)
        if _IS_DATA.search(lower[start : min(opened, start + 2000)]):
            found.append((text.count("\n", 0, opened) + 1, text[opened + 1 : end]))
        at = end
    return found


def _bare_page(text: str) -> str:
    """Return a page without comments, scripts and declarations, and without a last tag that is never closed."""
    for opening, closing in (("<!--", "-->"), ("<script", "</script"), ("<style", "</style")):
        text = without(text, opening, closing)
    return _DECLARATION.sub("&lt;", text[: text.rfind(">") + 1])


def microdata_items(text: str) -> tuple[list[dict[str, Any]], tuple[tuple[int, str], ...]]:
    """Return the top items of a page's microdata, and what could not be read of them."""
    reader = _Items()
    reader.feed(_bare_page(text))
    reader.close()
    reader.close_all()
    return reader.top, tuple(reader.faults)


@dataclass(slots=True)
class _Open:
    """An element that is not closed yet: the item it makes, the property it fills, the text gathered in it."""

    tag: str
    names: tuple[str, ...] = ()
    item: dict[str, Any] | None = None
    value: str | None = None
    text: list[str] = field(default_factory=list)


class _Items(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.top: list[dict[str, Any]] = []
        self.faults: list[tuple[int, str]] = []
        self._open: list[_Open] = []
        self._count = 0
        self._noted = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._end_implied(tag)
        given = {key: value or "" for key, value in attrs}
        element = _Open(tag, tuple(local_name(name) for name in given.get("itemprop", "").split()[:10]))
        self._count += "itemscope" in given or bool(element.names)
        if self._count > _MOST_ITEMS or len(self._open) >= _MOST_DEPTH:
            element = _Open(tag)
        elif "itemscope" in given:
            element.item = {"@type": [local_name(kind) for kind in given.get("itemtype", "").split()[:10]]}
            if given.get("itemref"):
                self.faults.append(
                    (self.getpos()[0], "properties that stand elsewhere in the page (itemref) are not read")
                )
        elif element.names:
            element.value = self._attribute(tag, given)
        if tag in _BLOCKS:
            self._note("\n")
        if tag in _VOID:
            self._finish(element)
        else:
            self._open.append(element)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in _VOID and self._open and self._open[-1].tag == tag:
            self._finish(self._open.pop())

    def handle_endtag(self, tag: str) -> None:
        if not any(element.tag == tag for element in self._open):
            return
        while True:
            element = self._open.pop()
            self._finish(element)
            if element.tag == tag:
                break
        if tag in _BLOCKS:
            self._note("\n")

    def handle_data(self, data: str) -> None:
        if not self._open or self._open[-1].tag not in ("script", "style"):
            self._note(data)

    def close_all(self) -> None:
        """Finish what the page leaves open."""
        while self._open:
            self._finish(self._open.pop())

    @staticmethod
    def _attribute(tag: str, given: dict[str, str]) -> str | None:
        """Return the value that an attribute gives, ``None`` where the text of the element is the value."""
        if tag == "time" and "datetime" in given:
            return given["datetime"]
        if "content" in given:
            return given["content"]
        return given.get(_FROM_ATTRIBUTE.get(tag, ""))

    def _end_implied(self, tag: str) -> None:
        if self._open and tag in _ENDS.get(self._open[-1].tag, ()):
            self._finish(self._open.pop())

    def _note(self, text: str) -> None:
        """Put text into every element around it whose text is a value."""
        for element in self._open if self._noted < _MOST_TEXT else ():
            if element.names and element.item is None and element.value is None:
                element.text.append(text)
                self._noted += len(text)

    def _finish(self, element: _Open) -> None:
        value: Any = element.item
        if value is None:
            if not element.names:
                return
            value = element.value if element.value is not None else "".join(element.text)
        owner = next((outer.item for outer in reversed(self._open) if outer.item is not None), None)
        if not element.names or owner is None:
            if element.item is not None:
                self.top.append(element.item)
            return
        for name in element.names:
            owner.setdefault(name, []).append(value)
