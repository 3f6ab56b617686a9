"""
How many planted disagreements are found, and how many sound texts are called wrong: precision and recall.

The table ``agreement.tsv`` holds texts about our three demo episodes, each with one figure planted wrong (and of which
kind) or none. Run by hand: ``python tests/benchmarks/agreement.py``; a test holds the result to its marks.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from shootplan.app import cost, load, times
from shootplan.facts.agreement import read_statements
from shootplan.facts.book import FactBook, Place
from shootplan.facts.judgement import TextPlace
from shootplan.model.agreement import Statement, Verdict
from shootplan.problems import Span

ROOT = Path(__file__).resolve().parents[2]
TABLE = Path(__file__).with_suffix(".tsv")


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One text of the table with what is said of it; ``planted`` is "none" for a sound text."""

    words: str
    planted: str
    found: tuple[Statement, ...]

    @property
    def is_right(self) -> bool:
        """Whether a planted disagreement was found, or a sound text let pass."""
        return bool(self.found) is (self.planted != "none")


def cases() -> Iterator[Case]:
    """Yield the texts of the table, read back."""
    books: dict[str, FactBook] = {}
    with TABLE.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file, delimiter="\t", quoting=csv.QUOTE_NONE):
            name = row["episode"]
            if name not in books:
                loaded = load(ROOT / "demo_episodes" / name)
                books[name] = FactBook(loaded.resolved, cost(loaded)[0], times(loaded))
            yield _case(row, books[name])


def _case(row: dict[str, str], book: FactBook) -> Case:
    recipe = book.resolved.recipe(row["recipe"]) if row["recipe"] else None
    step = recipe.recipe.step(row["step"]) if recipe is not None and row["step"] else None
    at = TextPlace(Place(recipe, step), row["text"], Span("table"))
    found = read_statements(row["words"], at, book)
    wrong = tuple(item for item in found if item.verdict is Verdict.DIFFERS)
    return Case(words=row["words"], planted=row["planted"], found=wrong)


def main() -> None:
    """Print precision and recall, by kind and in all, and every text that was judged wrong."""
    table = list(cases())
    planted = [case for case in table if case.planted != "none"]
    hits = sum(case.is_right for case in planted)
    false = sum(not case.is_right for case in table if case.planted == "none")
    print(f"{len(planted)} planted, {len(table) - len(planted)} sound")
    for kind in dict.fromkeys(case.planted for case in planted):
        of_kind = [case for case in planted if case.planted == kind]
        print(f"  {kind}: {sum(case.is_right for case in of_kind)} of {len(of_kind)}")
    print(f"recall {hits / len(planted):.3f}, precision {hits / max(hits + false, 1):.3f}")
    for case in table:
        if not case.is_right:
            print(f"  wrong ({case.planted}): {case.words} -> {[(item.words, item.fact) for item in case.found]}")


if __name__ == "__main__":
    main()
