"""
One recipe's data → what we keep of it, and remarks on everything that we do not.

A mapping as ``find`` returns it comes in, a ``Brought`` goes out. A figure is taken over only where the data says what
it is; times of the whole recipe, which do not say whose hands they need, become remarks.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from shootplan.bring.brought import Brought, BroughtGroup, BroughtStep
from shootplan.bring.steps import Instructions, read_instructions
from shootplan.bring.tidy import Node, duration_words, items, local_name, paragraphs, text_of, texts_of, tidy

__all__ = ["brought_from"]

_MOST_LINES = 500
_LONGEST_LINE = 480
_LONGEST_TITLE = 200
_READ = frozenset(
    {
        *("name", "headline", "description", "recipeYield", "yield", "recipeIngredient", "ingredients", "supply"),
        *("recipeInstructions", "instructions", "tool", "keywords", "recipeCategory", "suitableForDiet", "url"),
        *("prepTime", "cookTime", "totalTime", "performTime", "estimatedCost", "type", "id", "context"),
        *("datePublished", "dateModified", "inLanguage"),
    }
)
_TIMES = (
    ("prepTime", "preparation"),
    ("performTime", "performing"),
    ("cookTime", "cooking"),
    ("totalTime", "all in all"),
)
_SIZES = re.compile(
    r"(?:serves|makes|yields?)?:?\s*([0-9]{1,3})\s*(?:hearty|large)?\s+or\s+([0-9]{1,3})\s+small\b.*", re.I
)
_SPAN = re.compile(r"([0-9]{1,3})\s*(?:-|–|—|to)\s*([0-9]{1,3})")
_PLAIN = re.compile(
    r"(?:about |around )?(?:(?:serves|makes|yields?|for)\b:?\s*)?(?:about |around )?([0-9]{1,3})\s*"
    r"(?:\(?(?P<noun>[a-z][a-z -]{0,30}?)\)?)?\s*\.?",
    re.I,
)
_SERVING_WORDS = frozenset({"serving", "servings", "portion", "portions", "people", "persons", "person", "serves"})
_OPTIONAL_GROUP = re.compile(r"\([^()]*\boptional\b[^()]*\)$")
_KEPT = ("Keeps", "Storage", "Reheats", "Freezes")


def brought_from(node: Node) -> Brought:
    """Return what can be read of a recipe's data."""
    instructions = read_instructions(_first(node, "recipeInstructions", "instructions"))
    settings, remarks = _settings(node)
    keep, kept = _keep(instructions)
    groups, lost = _groups(node)
    return Brought(
        title=tidy(text_of(_first(node, "name", "headline")))[:_LONGEST_TITLE] or "A recipe without a name",
        headnote="\n".join(paragraphs(text_of_raw(node.get("description")))),
        settings=(*settings, *kept),
        groups=groups,
        steps=instructions.steps,
        keep=keep,
        remarks=(*remarks, *lost, *_times(node), *instructions.remarks, *_others(node)),
    )


def text_of_raw(value: object) -> str:
    """Return the first text of a value with its line ends and markup."""
    for item in items(value):
        if isinstance(item, str):
            return item
    return text_of(value)


def _first(node: Node, *names: str) -> object:
    return next((node[name] for name in names if node.get(name)), None)


# ---------------------------------------------------------------------------------------------------- front matter


def _settings(node: Node) -> tuple[list[tuple[str, str]], list[str]]:
    serves, remark = _serves(texts_of(_first(node, "recipeYield", "yield")))
    diets = [local_name(text).removesuffix("Diet") for text in texts_of(node.get("suitableForDiet"))]
    address = text_of(node.get("url"))
    found = [
        ("serves", serves),
        ("course", ", ".join(texts_of(node.get("recipeCategory")))),
        ("tags", ", ".join(texts_of(node.get("keywords")))),
        ("diet", ", ".join(_spaced(name) for name in diets)),
        ("source", address if re.fullmatch(r"https?://\S{1,500}", address) else ""),
    ]
    return [(key, value[:500]) for key, value in found if value], [remark] if remark else []


def _spaced(name: str) -> str:
    """Return "gluten-free" of "GlutenFree"."""
    return re.sub(r"(?<=[a-z])(?=[A-Z])", "-", name).casefold()


def _serves(texts: list[str]) -> tuple[str, str]:
    """Return the number of servings as we write it, and a remark where it had to be chosen or cannot be read."""
    for text in texts:
        sizes = _SIZES.fullmatch(text)
        if sizes is not None and int(sizes[1]) <= int(sizes[2]) and int(sizes[1]):
            return f"{sizes[1]} large or {sizes[2]} small", ""
    for text in texts:
        span = _SPAN.search(text)
        if span is not None and int(span[1]):
            return span[1], f'the data says "{text[:60]}"; the smaller number is taken'
    numbers = [plain for plain in map(_PLAIN.fullmatch, texts) if plain is not None and int(plain[1])]
    for plain in sorted(numbers, key=lambda match: not _noun(match)):
        return f"{plain[1]} {_noun(plain)}".rstrip(), ""
    said = f' (the data says "{texts[0][:60]}")' if texts else ""
    return "", f'how many it serves is not known{said}: write "serves:"'


def _noun(match: re.Match[str]) -> str:
    """Return what is made, empty where it is servings."""
    noun = " ".join((match["noun"] or "").split()).casefold()
    return "" if noun in _SERVING_WORDS else noun


# ---------------------------------------------------------------------------------------------------- ingredients


def _groups(node: Node) -> tuple[tuple[BroughtGroup, ...], list[str]]:
    lines = list(_lines(_first(node, "recipeIngredient", "ingredients")))
    remarks = [f"{len(lines) - _MOST_LINES} ingredients beyond the {_MOST_LINES}th"] if len(lines) > _MOST_LINES else []
    lines = lines[:_MOST_LINES]
    if not lines:
        return (), ["no ingredients were found"]
    headings = _headings(node, lines)
    groups: dict[str, list[str]] = {}
    for line, heading in zip(lines, headings, strict=True):
        if _OPTIONAL_GROUP.search(heading):
            line = line.removesuffix(", optional")
        groups.setdefault(heading, []).append(line)
    return tuple(BroughtGroup(heading=key, lines=tuple(found)) for key, found in groups.items()), remarks


def _lines(value: object) -> Iterator[str]:
    """Yield each ingredient on one line; a text with line ends holds several."""
    for item in items(value):
        parts = paragraphs(item) if isinstance(item, str) else [_quantity_line(item)]
        for part in parts:
            line = re.sub(r"^[-*•·▢□\s]+", "", _bare(part))[:_LONGEST_LINE].strip()
            if line:
                yield line


def _quantity_line(item: object) -> str:
    """Return a supply given as an object: its quantity before its name."""
    if not isinstance(item, dict):
        return text_of(item)
    quantity = next(iter(items(item.get("requiredQuantity"))), "")
    if isinstance(quantity, dict):
        quantity = f"{text_of(quantity.get('value'))} {text_of(quantity.get('unitText'))}"
    return tidy(f"{quantity} {text_of(item)}")


def _bare(text: str) -> str:
    """Return a line without the signs that mean something in ours."""
    return " ".join(text.translate(str.maketrans("[]{}", "()()", "\\`*_<>|#")).split())


def _headings(node: Node, lines: list[str]) -> list[str]:
    """Return the group of each line where supplies stand beside them one by one and name it, else no group."""
    supplies = [item for item in items(node.get("supply")) if isinstance(item, dict)]
    names = [_bare(text_of(item.get("name"))) for item in supplies]
    if len(names) != len(lines) or not all(name and name in line for name, line in zip(names, lines, strict=True)):
        return [""] * len(lines)
    return [_bare(text_of(item.get("description")))[:_LONGEST_TITLE] for item in supplies]


# ---------------------------------------------------------------------------------------------------- the rest


def _keep(instructions: Instructions) -> tuple[str, list[tuple[str, str]]]:
    """Return the storage notes as text, and those that are fields of the front matter."""
    names = {step.name.casefold() for step in instructions.steps}
    texts, settings = [], []
    for tip in instructions.keeping:
        what, colon, rest = tip.partition(": ")
        if colon and what in _KEPT:
            settings.append((what.casefold(), rest))
        elif not (colon and rest.startswith("keeps ") and len(what) < 60):
            texts.append(tip)
        elif what.casefold() not in names and not _is_known(what, instructions.steps):
            continue
    return "\n".join(texts), settings


def _is_known(what: str, steps: tuple[BroughtStep, ...]) -> bool:
    return any(dict(step.fields).get("makes", "").casefold() == what.casefold() for step in steps)


def _times(node: Node) -> list[str]:
    found = [(words, duration_words(text_of(node.get(key)))) for key, words in _TIMES]
    said = ", ".join(f"{words} {length}" for words, length in found if length)
    return [f"the data says: {said}; here times come from the steps alone"] if said else []


def _others(node: Node) -> list[str]:
    remarks = []
    tools = ", ".join(_bare(text) for text in texts_of(node.get("tool")))
    if tools:
        remarks.append(f'tools named: {tools[:300]}; write them under "uses:" or "holds:" of the steps')
    language = text_of(node.get("inLanguage")).casefold()
    if language and not language.startswith("en"):
        remarks.append(f"the text is in another language ({language[:20]}); units may not be understood")
    if node.get("estimatedCost"):
        remarks.append("the cost in the data is not taken: prices come from your own price list")
    left = sorted(key for key in node if key.lstrip("@") not in _READ and items(node[key]))
    if left:
        names = ", ".join(tidy(str(key))[:40] for key in left[:20])
        remarks.append(f"not read: {names}" + (f" and {len(left) - 20} more" if len(left) > 20 else ""))
    remarks.append('the sizes of cups and spoons are not in the data: write "measures:" if they are not the episode\'s')
    return remarks
