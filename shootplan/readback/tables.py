"""
Spreadsheets, ``plan.json`` and the chapters read back: costing, shopping, costs and times, starts and titles.

A publication and the texts of the files come in, ``CheckResult`` parts go out.
"""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Iterator, Mapping
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from itertools import pairwise

from shootplan.model.agreement import CheckResult
from shootplan.model.chapters import LEAST_CHAPTER_S, LEAST_CHAPTERS
from shootplan.model.publication import Publication

__all__ = ["check_chapters", "check_tables"]

_CHAPTER = re.compile(r"^(?:(\d+):)?(\d{1,2}):(\d\d) (.+)$", re.MULTILINE)


def check_tables(publication: Publication, files: Mapping[str, str], *, is_thorough: bool) -> CheckResult:
    """Return the part of C3 on costing.csv, shopping.csv and, if thorough, plan.json."""
    compared, broken = 0, list[str]()
    plan = _plan(publication, files) if is_thorough else ()
    for readings in (_costing(publication, files), _shopping(publication, files), plan):
        for is_same, sentence in readings:
            compared += 1
            broken += [] if is_same else [sentence]
    return CheckResult(id="C3", title="", compared=compared, broken=tuple(broken))


def _rows(text: str) -> Iterator[dict[str, str]]:
    yield from csv.DictReader(io.StringIO(text.removeprefix("\ufeff"), newline=""))


def _number(text: str) -> Fraction | None:
    try:
        return Fraction(Decimal(text.replace(",", "").strip()))
    except (InvalidOperation, ValueError):
        return None


def _costing(publication: Publication, files: Mapping[str, str]) -> Iterator[tuple[bool, str]]:
    if "costing.csv" not in files:
        return
    read: dict[str, list[dict[str, str]]] = {}
    for row in _rows(files["costing.csv"]):
        read.setdefault(row["recipe"], []).append(row)
    for costs in publication.costs.recipes:
        if costs.is_sub_preparation and costs.recipe not in read:
            continue
        lines = [row for row in read.get(costs.recipe, ()) if row["kind"] != "total"]
        yield len(lines) == len(costs.lines), f"costing.csv has {len(lines)} lines of {costs.recipe}"
        for row, line in zip(lines, costs.lines, strict=False):
            found = _number(row["cost used"])
            wanted = line.cost.exact if line.cost is not None else None
            near = found is not None and wanted is not None and abs(found - wanted) * 20000 <= 1
            is_same = near or wanted is None or (not wanted and found is None)
            yield is_same, f"costing.csv: {line.line.line.item} at {row['cost used']}"


def _shopping(publication: Publication, files: Mapping[str, str]) -> Iterator[tuple[bool, str]]:
    if publication.shopping is None or "shopping.csv" not in files:
        return
    read = {row["item"].removeprefix("'"): row for row in _rows(files["shopping.csv"])}
    for item in publication.shopping.items:
        row = read.get(item.item)
        is_same = row is not None and _number(row["till"]) == Fraction(item.till.amount)
        yield (
            is_same,
            f"shopping.csv: {item.item} at {row['till'] if row is not None else 'nothing'}, planned {item.till.amount}",
        )


def _plan(publication: Publication, files: Mapping[str, str]) -> Iterator[tuple[bool, str]]:
    if "plan.json" not in files:
        return
    record = json.loads(files["plan.json"])
    for read, costs in zip(record["costs"]["recipes"], publication.costs.recipes, strict=True):
        exact = Fraction(read["core_per"]["per_hearty"]["exact"])
        yield exact == costs.core_per.per_hearty.exact, f"plan.json: {costs.recipe} at {exact} a serving"
    for read, times in zip(record["times"]["recipes"], publication.times.recipes, strict=True):
        ends = (read["elapsed"]["low_s"], read["elapsed"]["high_s"])
        yield ends == (times.elapsed.low_s, times.elapsed.high_s), f"plan.json: {times.recipe} takes {ends} s"
    captions = [(item["in_ms"], item["out_ms"], item["text"]) for item in record["cut"]["captions"]]
    wanted = [(item.in_ms, item.out_ms, item.text) for item in publication.cut.captions]
    yield captions == wanted, "plan.json: the captions are not those of the cut"


def check_chapters(publication: Publication, files: Mapping[str, str]) -> CheckResult:
    """Return C20: first at 0:00, rising, at least three, each long enough, inside the video, titles unique."""
    title = "chapters begin at 0:00, rise, and are long enough"
    found = [(path, list(_chapters(files[path]))) for path in ("chapters.txt", "description.txt") if path in files]
    broken = [
        f"{path}: {fault}" for path, rows in found if rows for fault in _chapter_faults(rows, publication.cut.length_ms)
    ]
    return CheckResult(id="C20", title=title, compared=sum(len(rows) for _, rows in found), broken=tuple(broken))


def _chapters(text: str) -> Iterator[tuple[int, str]]:
    for match in _CHAPTER.finditer(text):
        yield (int(match[1] or 0) * 60 + int(match[2])) * 60 + int(match[3]), match[4]


def _chapter_faults(rows: list[tuple[int, str]], length_ms: int) -> Iterator[str]:
    starts, titles = [start for start, _ in rows], [title for _, title in rows]
    if starts[0] != 0:
        yield "the first chapter does not begin at 0:00"
    if len(rows) < LEAST_CHAPTERS:
        yield f"only {len(rows)} chapters"
    if len(set(titles)) != len(titles):
        yield "two chapters have one title"
    for (start, title), end in zip(rows, [*starts[1:], length_ms // 1000], strict=True):
        if end - start < LEAST_CHAPTER_S:
            yield f'chapter "{title}" lasts {end - start} s'
    if any(after <= before for before, after in pairwise(starts)):
        yield "the chapters do not rise"
