"""
How long 1,000 ingredient lines take against a price book of 20,000 rows, as ratios to the csv module on the same file.

Run: ``.venv/bin/python tests/benchmarks/larder.py [--rounds 9] [--write]``. The book has three dated rows for each of
6,667 items; 100 of them carry the names of foods, so that look-ups in the tables take part. Floor and stages are
measured interleaved in one process, in processor time, the garbage collector set as the program sets it; the least
counts. Before each measurement the book is read anew and everything that the program remembers of lines, names and
amounts is forgotten, as in a new process; only shipped tables and units are loaded already. ``--write`` puts the table
into ``RESULTS.md``. Not a test: nothing fails here.
"""

from __future__ import annotations

import argparse
import csv
import functools
import gc
import io
import time
from collections.abc import Callable
from datetime import date

from results import machine, markdown_table, verdict, write

from shootplan.__main__ import _OBJECTS_BEFORE_A_SEARCH
from shootplan.larder import identify_line
from shootplan.model.episode import Episode, Kitchen, PriceBook
from shootplan.model.recipe import IngredientLine, Recipe, Serves
from shootplan.problems import Span
from shootplan.read.ingredient import read_ingredient_line
from shootplan.read.prices import read_prices
from shootplan.resolve import resolve_episode
from shootplan.resolve.prices import Prices

ROWS, LINES = 20_000, 1_000
FLOOR = "csv module on the book, the floor"
RESOLVED = "resolve 1,000 lines: book read, every line's row and food found"
QUOTED_FLOOR = "csv module on that book with a quoted cell in every row"
QUOTED = "the same where every row of the book has a quoted cell"
#: Bounded by reading the file, not by matching.
AIM = 3.0
FOODS = (
    "carrots", "onions", "plain flour", "caster sugar", "butter", "whole milk", "rolled oats", "long-grain rice",
    "dried red lentils", "tinned chickpeas", "olive oil", "honey", "eggs", "garlic", "fresh ginger", "soy sauce",
    "peanut butter", "parsley", "leeks", "potatoes",
)  # fmt: skip
AMOUNTS = (
    "{grams} g", "{size} cups", "{size} tbsp ({grams} g)", "{size}½ tsp", "{size}", "{grams} g ({size} medium)",
    "{grams} ml", "{size}–{grams} tbsp",
)  # fmt: skip


def names() -> list[str]:
    """Return the names of all items: foods as they come in kinds, then things nobody has a table for."""
    kinds = [f"{food} no {number}" if number else food for food in FOODS for number in range(5)]
    return kinds + [f"article {number}" for number in range(ROWS // 3 + 1 - len(kinds))]


def price_list() -> str:
    """Return the price book as CSV."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(("item", "pack", "price", "shop", "date", "note", "density", "piece"))
    items = names()
    for number in range(ROWS):
        item = items[number % len(items)]
        seen = date(2026, 1 + number // len(items) * 4, 1 + number % 28).isoformat()
        price = f"{number % 900 / 100 + 0.5:.2f}"
        writer.writerow((item, f"{(number % 40 + 1) * 50} g", price, "corner shop", seen, "", "0.9", "60"))
    return out.getvalue()


def ingredient_texts() -> list[str]:
    """Return the lines as a cook types them, each of an item of the book."""
    items = names()
    return [f"{amount_of(n)} {items[n * 7 % len(items)]}, chopped" for n in range(LINES)]


def amount_of(number: int) -> str:
    """Return an amount, in the usual spellings and many sizes."""
    size = number // len(AMOUNTS) % 40 + 1
    return AMOUNTS[number % len(AMOUNTS)].format(size=size, grams=10 * size)


def lines() -> tuple[IngredientLine, ...]:
    """Read the lines; the same article may stand in several."""
    made, taken = [], set()
    for number, text in enumerate(ingredient_texts()):
        line, _ = read_ingredient_line(text, span=Span("r.md", number + 1), taken_ids=taken)
        assert line is not None
        taken.add(line.id)
        made.append(line)
    return tuple(made)


def episode(made: tuple[IngredientLine, ...], book: PriceBook) -> Episode:
    """Return an episode of ten recipes with a hundred lines each."""
    parts = [made[start : start + 100] for start in range(0, len(made), 100)]
    recipes = [Recipe(id=f"r{n}", title=f"R {n}", serves=Serves(4), lines=part) for n, part in enumerate(parts)]
    return Episode(
        title="Bench", shoot_date=date(2026, 11, 25), currency="GBP", measures="metric", recipes=tuple(recipes),
        kitchen=Kitchen(), prices=book,
    )  # fmt: skip


def find_all(book: PriceBook, made: tuple[IngredientLine, ...]) -> list[object]:
    """Tie every line to its row of the day and to its food of the tables: the index is made anew."""
    prices = Prices.of(episode(made, book))
    return [(prices.find(line.item), identify_line(line.item, form=line.form)) for line in made]


#: Of the run's own memories those that are loaded once and not of any line: units and the sizes of spoons.
_LOADED = frozenset({"_registry", "_factor", "_ratio", "spoon_sizes"})


def forget() -> None:
    """Empty what the program remembers of texts and amounts; shipped tables (``cache`` without limit) stay."""
    for memory in gc.get_objects():
        if isinstance(memory, functools._lru_cache_wrapper) and (memory.__module__ or "").startswith("shootplan"):
            is_bounded = memory.cache_parameters()["maxsize"] is not None
            if is_bounded and getattr(memory, "__name__", "") not in _LOADED:
                memory.cache_clear()


def seconds(run: Callable[[], object]) -> float:
    """Return the processor time of one call, without the garbage of the one before."""
    forget()
    gc.collect()
    start = time.process_time()
    run()
    return time.process_time() - start


def main() -> None:
    """Measure the stages against the csv module, interleaved, and print the least time of each and its ratio."""
    gc.set_threshold(_OBJECTS_BEFORE_A_SEARCH, 10, 10)
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--rounds", type=int, default=9)
    options.add_argument("--write", action="store_true", help="write RESULTS.md")
    chosen = options.parse_args()
    text = price_list()
    quoted = text.replace("corner shop", '"corner shop, late"')
    made = lines()
    book = fresh(text)
    resolved, _ = resolve_episode(episode(made, book))
    assert sum(line.as_bought is not None for recipe in resolved.recipes for line in recipe.lines) >= LINES * 9 // 10

    stages: dict[str, Callable[[], object]] = {
        FLOOR: lambda: list(csv.reader(io.StringIO(text, newline=""))),
        QUOTED_FLOOR: lambda: list(csv.reader(io.StringIO(quoted, newline=""))),
        RESOLVED: lambda: find_all(fresh(text), made),
        QUOTED: lambda: find_all(fresh(quoted), made),
        "of this: read the book": lambda: fresh(text),
        "of this: find the rows and foods": lambda: find_all(book, made),
        "read the lines": lines,
        "both measures and what is bought of each": lambda: resolve_episode(episode(made, book)),
        "all: book and lines read, all of this resolved": lambda: resolve_episode(episode(lines(), fresh(text))),
    }
    found: dict[str, list[float]] = {name: [] for name in stages}
    for _ in range(chosen.rounds):
        for name, run in stages.items():
            book = fresh(text)
            found[name].append(seconds(run))
    rows: list[tuple[str, ...]] = []
    for name, times in found.items():
        ratio = min(times) / min(found[QUOTED_FLOOR if name in (QUOTED, QUOTED_FLOOR) else FLOOR])
        aim = (f"{AIM:g}", verdict(ratio, AIM)) if name in (RESOLVED, QUOTED) else ("", "")
        rows.append((name, f"{min(times) * 1000:.0f}", f"{ratio:.2f}", *aim))
        print(f"{name:68} {min(times) * 1000:8.1f} ms {ratio:7.2f} x {' '.join(aim)}")
    if chosen.write:
        note = (
            f"{machine()}. {LINES:,} ingredient lines against a price book of {ROWS:,} rows: least processor time of "
            f"{chosen.rounds} rounds, and its ratio to the csv module on the same file (the quoted book: on that one). "
            f"Each measurement begins with a fresh book and without what earlier ones left in memory.\n\n"
            f"`python tests/benchmarks/larder.py --rounds {chosen.rounds} --write`"
        )
        write("Larder", f"{note}\n\n{markdown_table(('stage', 'ms', 'ratio', 'aim', ''), rows)}")


def fresh(text: str) -> PriceBook:
    """Read the book, which has no fault."""
    book, problems = read_prices("prices.csv", text, currency="GBP")
    assert len(book.rows) == ROWS and not problems
    return book


if __name__ == "__main__":
    main()
