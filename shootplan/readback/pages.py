"""
Blog pages read back: amounts, costs, prices and dates in HTML and Markdown, and the recipe data (JSON-LD) beside them.

A publication and the texts of the pages come in, ``CheckResult`` values go out. Tags are stripped by a plain
expression: our pages are small and well-formed, and the tests read them with full parsers as well.
"""

from __future__ import annotations

import html
import json
import re
from collections.abc import Iterator, Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any

from shootplan.model.agreement import CheckResult
from shootplan.model.costing import RecipeCost
from shootplan.model.publication import Publication
from shootplan.model.quantity import Amount
from shootplan.model.resolved import ResolvedLine, ResolvedRecipe
from shootplan.printing import money_text

__all__ = ["check_data", "check_dates", "check_pages"]

_ESCAPED = re.compile(r"\\(.)")
_ROW = re.compile(r"<tr[^>]*>(.*?)</tr>", re.DOTALL)
_CELL = re.compile(r"<t[hd][^>]*>(.*?)</t[hd]>", re.DOTALL)
_TAG = re.compile(r"<[^>]+>")
_DATA = re.compile(r'<script type="application/ld\+json">(.*?)</script>', re.DOTALL)
_ISO = re.compile(r"P(?:(\d+)D)?(?:T(?:(\d+)H)?(?:(\d+)M)?(?:(\d+)S)?)?")
_GLYPHS = {"½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_GLYPHS |= {"⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6"}
_PARTS = frozenset(Fraction(text) for text in _GLYPHS.values())
_NUMBER = re.compile(rf"\d+(?:\.\d+)?(?:\s?[{''.join(_GLYPHS)}])?|[{''.join(_GLYPHS)}]")
_FIVE_MINUTES = 300


def check_pages(publication: Publication, files: Mapping[str, str]) -> CheckResult:
    """Return the part of C3 on the blog: amounts of each line, cost of each line, price of a serving."""
    compared, broken = 0, list[str]()
    for costs in publication.costs.recipes:
        recipe = publication.resolved.recipe(costs.recipe)
        for path in (f"blog/{costs.recipe}.html", f"blog/{costs.recipe}.md"):
            if recipe is None or path not in files:
                continue
            for is_same, sentence in _page(publication, costs, recipe, files[path]):
                compared += 1
                broken += [] if is_same else [f"{path}: {sentence}"]
    for is_same, sentence in _description(publication, files.get("description.txt", "")):
        compared += 1
        broken += [] if is_same else [f"description.txt: {sentence}"]
    return CheckResult(id="C3", title="", compared=compared, broken=tuple(broken))


def _description(publication: Publication, text: str) -> Iterator[tuple[bool, str]]:
    """Yield whether each chapter of a dish that shows a price shows the dish's own."""
    for costs in publication.costs.recipes:
        recipe = publication.resolved.recipe(costs.recipe)
        title = recipe.recipe.title if recipe is not None else ""
        price = _price(publication, costs.core_per.per_hearty.rounded(publication.costs.places).amount)
        for line in text.splitlines():
            if title and line[:1].isdigit() and line.endswith(")") and f" {title} " in line:
                yield price in line.replace("\u00a0", " "), f'"{line}" does not say {price}'


def _page(publication: Publication, costs: RecipeCost, recipe: ResolvedRecipe, text: str) -> Iterator[tuple[bool, str]]:
    rows = list(_html_rows(text)) if text.lstrip().startswith("<") else list(_md_rows(text))
    words = {line.line.id: _wanted_numbers(line) for line in recipe.lines}
    for line in recipe.lines:
        found = [row for row in rows if len(row) >= 2 and line.line.item in row[-1]]
        wanted = words[line.line.id]
        is_same = not wanted or any(wanted <= _numbers(" ".join(row[:-1])) for row in found)
        yield is_same, f"{line.line.item} is not shown with {', '.join(map(str, sorted(wanted)))}"
    shown = {cell for row in rows for cell in row}
    printed = [item.cost for item in costs.lines if item.cost is not None]
    for cost in (*printed, costs.core_per.per_hearty, costs.with_options_per.per_hearty):
        amount = cost.rounded(publication.costs.places).amount
        price = _price(publication, amount)
        yield not amount or price in shown, f"no cell shows {price}"


def _price(publication: Publication, amount: Decimal) -> str:
    from shootplan.model.money import Money

    costs = publication.costs
    text = money_text(Money(amount, costs.currency), publication.resolved.episode.locale, costs.places)
    return " ".join(text.replace("\u00a0", " ").split())


def _html_rows(text: str) -> Iterator[list[str]]:
    """Yield the rows of the tables; ingredient tables have the item last, cost tables the money."""
    for row in _ROW.findall(text):
        cells = [" ".join(html.unescape(_TAG.sub(" ", cell)).split()) for cell in _CELL.findall(row)]
        yield [cell.replace("–", "") if cell == "–" else cell for cell in cells]


def _md_rows(text: str) -> Iterator[list[str]]:
    """Yield table rows, and ingredient lines as [amounts, the whole line]."""
    for line in text.splitlines():
        if not line.startswith(("|", "- ")):
            continue
        plain = _ESCAPED.sub(r"\1", line.replace("*", ""))
        if line.startswith("|"):
            yield [" ".join(cell.replace("\u00a0", " ").split()) for cell in plain.strip("|").split("|")]
        else:
            yield [plain[2:], plain[2:]]


def _numbers(text: str) -> set[Fraction]:
    return {_value(match[0]) for match in _NUMBER.finditer(text)}


def _value(text: str) -> Fraction:
    whole, part = text.rstrip("".join(_GLYPHS)).strip(), text[-1]
    return Fraction(whole or 0) + (Fraction(_GLYPHS[part]) if part in _GLYPHS else 0)


def _wanted_numbers(line: ResolvedLine) -> set[Fraction]:
    """Return the numbers that both measures show; thirds of grams and the like are printed in decimals."""
    shown = [amount for amount in (line.measured.metric_shown, *line.measured.household_shown) if amount is not None]
    return {value for amount in shown for value in _ends(amount)}


def _ends(amount: Amount) -> Iterator[Fraction]:
    for value in (amount.low, amount.high):
        if value % 1 in _PARTS or value.denominator in (1, 2, 4, 5, 10, 20):
            yield value


# ---------------------------------------------------------------------------------------------------- data


def check_data(publication: Publication, files: Mapping[str, str]) -> CheckResult:
    """Return C4: the page's data says the lines, yield, times and cost that the page says."""
    compared, broken = 0, list[str]()
    for costs in publication.costs.recipes:
        path = f"blog/{costs.recipe}.html"
        recipe, found = publication.resolved.recipe(costs.recipe), _DATA.search(files.get(path, ""))
        if recipe is None or found is None:
            continue
        for is_same, sentence in _data(publication, costs, recipe, json.loads(found[1])):
            compared += 1
            broken += [] if is_same else [f"{path}: {sentence}"]
    title = "the page and the data in it say the same"
    return CheckResult(id="C4", title=title, compared=compared, broken=tuple(broken))


def _data(
    publication: Publication, costs: RecipeCost, recipe: ResolvedRecipe, data: dict[str, Any]
) -> Iterator[tuple[bool, str]]:
    lines = data.get("recipeIngredient", [])
    yield len(lines) == len(recipe.lines), f"the data has {len(lines)} ingredients, the recipe {len(recipe.lines)}"
    for text, line in zip(lines, recipe.lines, strict=False):
        yield line.line.item in text, f'the data has "{text}" where the recipe has {line.line.item}'
    served = data.get("recipeYield", [])
    is_batch = costs.is_sub_preparation or not served
    yield is_batch or served[0] == str(recipe.recipe.serves.hearty), f"the data yields {served}"
    cost = data.get("estimatedCost", {})
    value = cost.get("value", cost.get("minValue"))
    whole = Fraction(costs.core.rounded(publication.costs.places).amount)
    yield value is not None and Fraction(str(value)) == whole, f"the data costs {value}, the recipe {whole}"
    yield cost.get("currency") == publication.costs.currency, f"the data's currency is {cost.get('currency')}"
    times = publication.times.recipe(costs.recipe)
    if times is not None and not times.unknown:
        prep, cook, total = (_seconds(data.get(key, "")) for key in ("prepTime", "cookTime", "totalTime"))
        yield prep + cook == total, "preparing and cooking do not add up to the whole time"
        yield times.elapsed.high_s <= total < times.elapsed.high_s + _FIVE_MINUTES, f"the data takes {total} s"


def _seconds(text: str) -> int:
    match = _ISO.fullmatch(text)
    days, hours, minutes, seconds = (int(part or 0) for part in match.groups()) if match is not None else (0, 0, 0, 0)
    return ((days * 24 + hours) * 60 + minutes) * 60 + seconds


def check_dates(publication: Publication, files: Mapping[str, str]) -> CheckResult:
    """Return C18: a page that shows a price says of which day it is."""
    compared, broken = 0, list[str]()
    for costs in publication.costs.recipes:
        seen = {item.line.price.seen for item in costs.lines if item.line.price is not None and item.line.price.seen}
        for path in (f"blog/{costs.recipe}.html", f"blog/{costs.recipe}.md"):
            if path in files and seen:
                compared += 1
                if not any(day.isoformat() in files[path] for day in seen):
                    broken.append(f"{path} shows prices and no date of them")
    return CheckResult(id="C18", title="a price stands with its date", compared=compared, broken=tuple(broken))
