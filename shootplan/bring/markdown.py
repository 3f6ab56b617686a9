"""
A brought recipe as a recipe file of ours.

A ``Brought`` comes in, Markdown goes out; remarks stand as comments at its top. Every value is on one line and
escaped, so that no foreign text can become a heading, a field, a mention or a placeholder.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from shootplan.bring.brought import Brought, BroughtStep

__all__ = ["markdown_of"]

_INLINE = re.compile(r"([\\`*_\[\]<>])")
_BLOCK = re.compile(r"^([#+\-=>~|]|[0-9]{1,9}(?=[.)]))")
_NOT_NAMES = frozenset(("a", "an", "and", "the", "of", "or", "with", "for", "to", "in", "on", "as"))
_ALONE = frozenset(("fresh", "large", "small", "medium", "hot", "cold", "warm", "dried", "ground", "fine", "whole"))
_PART = r"(?:(?P<part>[0-9½¼¾][0-9½¼¾.,/ ]{0,8} ?(?:mg|g|kg|ml|cl|dl|l|tbsp|tsp|cups?)) of (?:the )?)?"


def markdown_of(brought: Brought, *, source: str) -> str:
    """Return the recipe's file; ``source`` is named in it as where the recipe came from."""
    marked, unmarked = _marked(brought)
    remarks = [
        *brought.remarks,
        "each ingredient is marked in the first text that names it, all of it: part it by hand",
    ]
    if unmarked:
        names = ", ".join(f'"{name}"' for name in unmarked[:10])
        more = f" and {len(unmarked) - 10} more" if len(unmarked) > 10 else ""
        remarks.append(f"in which step these are used is not known: {names}{more}; put [name] into the step's text")
    parts = [
        "---",
        f"# Brought in from {_line(source)}. Look at every line before you use it.",
        *(f"# {_line(remark)}" for remark in remarks),
        *(f"{key}: {_line(value)}" for key, value in brought.settings),
        "---",
        "",
        f"# {_no_braces(_line(brought.title)).lstrip('#').strip() or 'A recipe'}",
        "",
        *_prose(brought.headnote),
        "## Ingredients",
        "",
        *_ingredients(brought),
        "## Method",
        "",
        *(line for number, step in enumerate(marked, start=1) for line in _step(number, step)),
        "",
        *(["## Keep", "", *_prose(brought.keep)] if brought.keep else []),
    ]
    return "\n".join(parts).rstrip() + "\n"


def _line(text: str) -> str:
    return " ".join(text.split())


def _no_braces(text: str) -> str:
    """Return a text in which nothing is taken for a placeholder."""
    return text.replace("{", "(").replace("}", ")")


def _prose(text: str) -> Iterator[str]:
    for paragraph in text.split("\n"):
        if paragraph.strip():
            yield _BLOCK.sub(r"\\\1", _inline(paragraph))
            yield ""


def _inline(text: str) -> str:
    """Return plain text as CommonMark that shows it, without our own signs in it."""
    return _no_braces(_INLINE.sub(r"\\\1", _line(text)))


def _ingredients(brought: Brought) -> Iterator[str]:
    for group in brought.groups:
        if group.heading:
            yield f"### {_line(group.heading)}"
            yield ""
        yield from (f"- {_line(line)}" for line in group.lines)
        yield ""


def _step(number: int, step: BroughtStep) -> Iterator[str]:
    mark = f"{number}. "
    yield f"{mark}**{step.name}.** {step.text}".rstrip()
    yield from (f"{' ' * len(mark)}- {key}: {_field(key, value)}" for key, value in step.fields)


def _field(key: str, value: str) -> str:
    return _inline(value) if key in ("caution",) else _no_braces(_line(value))


# ---------------------------------------------------------------------------------------------------- mentions


def _marked(brought: Brought) -> tuple[tuple[BroughtStep, ...], list[str]]:
    """
    Return the steps with each ingredient marked at its first mention, and those that no step names.

    An ingredient is marked only under words that name no other: the most of its own last words that stand in the text.
    """
    lines = [line for group in brought.groups for line in group.lines]
    texts = [_inline(step.text) for step in brought.steps]
    words = [_words(line) for line in lines]
    unmarked = []
    for index, own in enumerate(words):
        others = [set(other) for at, other in enumerate(words) if at != index]
        if not any(_mark(texts, phrase) for phrase in _phrases(own, others)):
            unmarked.append(lines[index][:60])
    _mark_products(brought.steps, texts)
    steps = (
        BroughtStep(name=step.name, text=text, fields=step.fields)
        for step, text in zip(brought.steps, texts, strict=True)
    )
    return tuple(steps), unmarked


def _mark_products(steps: tuple[BroughtStep, ...], texts: list[str]) -> None:
    """Mark what one step makes where a later one uses it, with the part that the text names."""
    for at, step in enumerate(steps):
        makes = dict(step.fields).get("makes", "")
        name = re.sub(r"^[0-9½¼¾.,/ ]+(?:mg|g|kg|ml|cl|dl|l)\s+", "", makes)
        if not name:
            continue
        pattern = re.compile(rf"{_PART}(?<![\w\[-])(?P<name>{re.escape(name)})(?![\w\]-])", re.I)
        for index in range(at + 1, len(texts)):
            match = pattern.search(texts[index])
            if match is not None:
                part = f": {match['part']}" if match["part"] else ""
                start, end = match.span()
                texts[index] = f"{texts[index][:start]}[{match['name']}{part}]{texts[index][end:]}"
                break


def _words(line: str) -> list[str]:
    """Return the words that can name an ingredient: those before the first comma, without amounts and brackets."""
    name = re.sub(r"\([^()]*\)", " ", line).split(",")[0]
    return [word.casefold() for word in re.findall(r"[^\W\d_]+(?:['’-][^\W\d_]+)*", name)]


def _phrases(own: list[str], others: list[set[str]]) -> Iterator[str]:
    """Yield the last words of a name, most first, that are within no other ingredient's words."""
    for start in range(len(own)):
        phrase = own[start:]
        is_name = phrase[0] not in _NOT_NAMES and any(len(word) > 2 and word not in _ALONE for word in phrase)
        if is_name and not any({_stem(w) for w in phrase} <= {_stem(w) for w in other} for other in others):
            yield " ".join(phrase)


def _stem(word: str) -> str:
    return word[:-1] if word.endswith("s") and not word.endswith("ss") else word


def _mark(texts: list[str], phrase: str) -> bool:
    """Put brackets around the first place where a text has that phrase outside brackets; return whether one has."""
    pattern = re.compile(rf"(?<![\w\[-]){re.escape(phrase)}(?![\w\]-])", re.I)
    for index, text in enumerate(texts):
        for match in pattern.finditer(text):
            if text.count("[", 0, match.start()) == text.count("]", 0, match.start()):
                texts[index] = f"{text[: match.start()]}[{match[0]}]{text[match.end() :]}"
                return True
    return False
