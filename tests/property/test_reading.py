"""Whatever stands in the files, reading returns a model or problems inside the files, never a traceback."""

from __future__ import annotations

import random
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shootplan.model.clock import Range
from shootplan.problems import Problem
from shootplan.read import read_episode, read_kitchen, read_prices, read_recipe
from shootplan.read.durations import read_known, read_range, read_temperature
from shootplan.read.files import MemoryFiles
from shootplan.read.values import Wrong, exact_number

SOUND = Path(__file__).parents[1] / "unit" / "problems" / "sound"
FILES = {
    f"show/{path.relative_to(SOUND)}": path.read_text(encoding="utf-8")
    for path in sorted(SOUND.rglob("*"))
    if path.is_file()
}
QUICK = settings(max_examples=60, derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])

#: Pieces that mean something to one of the readers, put together in any order.
PIECES = st.sampled_from(
    [
        "---\n", "# ", "## Ingredients\n", "## Method\n", "### ", "- ", "1. ", "10) ", "   - ", "**", "Boil.", "[", "]",
        "(", ")", "[oil: half]", "hands: ", "after: ", "6–8 min", "at least 5 min, at most ", "1e999", "9" * 400, "½",
        "oven 200 °C", ", ", ": ", "\n", "\n\n", "\t", " " * 5, "> ", "```\n", "serves: 4\n", "\x00", "\u202e",
        "\ufeff", "\r\n", "\r", "\u2028", "{", "}", '"', "'", "=", "[[", "]]", "1/0", "²", "٣", "Ⅷ", "none",
        "item,pack,price\n",
        "(makes 250 g, optional)", "a" * 300, "🍲", "e\u0301", "rings = 2\n", "[hob]\n", "[[ovens]]\n", "- - - - -",
    ]
)  # fmt: skip
TEXTS = st.one_of(st.text(max_size=300), st.lists(PIECES, max_size=60).map("".join))


def check_places(problems: tuple[Problem, ...], files: dict[str, str]) -> None:
    """Every place lies in one of the files, at most one column behind the end of its line."""
    for problem in problems:
        text = files[problem.span.path].removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
        lines = text.split("\n")
        assert 1 <= problem.span.line <= len(lines), problem
        assert 1 <= problem.span.column <= len(lines[problem.span.line - 1]) + 1, problem
        assert problem.span.end_column > problem.span.column


@QUICK
@given(TEXTS)
def test_any_text_is_a_recipe_or_problems(text: str) -> None:
    """Arbitrary text as a recipe file."""
    recipe, problems = read_recipe("any.md", text)
    assert recipe is not None or problems
    check_places(problems, {"any.md": text})


@QUICK
@given(TEXTS)
def test_any_text_is_a_price_list_or_problems(text: str) -> None:
    """Arbitrary text as a price list."""
    book, problems = read_prices("any.csv", text, currency="EUR")
    assert book.rows or problems or "item" in text.casefold()
    check_places(problems, {"any.csv": text})


@QUICK
@given(TEXTS)
def test_any_text_is_a_kitchen_or_problems(text: str) -> None:
    """Arbitrary text as a kitchen file."""
    kitchen, problems = read_kitchen("any.toml", text)
    assert kitchen.people
    check_places(problems, {"any.toml": text})


@QUICK
@given(TEXTS)
def test_any_text_is_an_episode_or_problems(text: str) -> None:
    """Arbitrary text as the episode file, beside sound other files."""
    files = FILES | {"show/episode.md": text}
    episode, problems = read_episode("show", MemoryFiles(files))
    assert episode is not None or problems
    check_places(problems, files)


@QUICK
@given(
    st.sampled_from(sorted(FILES)), st.integers(0, 10_000), st.integers(0, 12), st.one_of(PIECES, st.text(max_size=8))
)
def test_a_nearly_sound_episode_is_read_or_named(path: str, at: int, cut: int, put: str) -> None:
    """One place of a sound episode is overwritten with something else."""
    text = FILES[path]
    at %= len(text)
    files = FILES | {path: text[:at] + put + text[at + cut :]}
    episode, problems = read_episode("show", MemoryFiles(files))
    assert episode is not None or any(problem.is_error for problem in problems)
    check_places(problems, files)


@QUICK
@given(st.randoms(use_true_random=False))
def test_shuffled_lines_of_a_recipe_are_read_or_named(chance: random.Random) -> None:
    """The lines of a recipe in any order."""
    lines = FILES["show/recipes/pea-soup.md"].split("\n")
    chance.shuffle(lines)
    recipe, problems = read_recipe("any.md", "\n".join(lines))
    assert recipe is not None
    check_places(problems, {"any.md": "\n".join(lines)})


@QUICK
@given(st.permutations(sorted(FILES)))
def test_the_order_of_files_does_not_matter(order: list[str]) -> None:
    """The model and the problems are the same however the files are handed in."""
    assert read_episode("show", MemoryFiles({path: FILES[path] for path in order})) == read_episode(
        "show", MemoryFiles(FILES)
    )


@QUICK
@given(TEXTS)
def test_small_values_never_raise(text: str) -> None:
    """Readers of single values return the value or what is wrong."""
    assert isinstance(read_range(text), Range | Wrong)
    assert read_known(text) is not None
    assert isinstance(read_temperature(text), int | Wrong)
    assert exact_number(text) is None or exact_number(text) >= 0  # type: ignore[operator]


@QUICK
@given(
    st.integers(0, 500), st.integers(0, 500), st.sampled_from(["s", "min", "h"]), st.sampled_from(["–", "-", " to "])
)
def test_a_written_range_reads_back(low: int, more: int, unit: str, dash: str) -> None:
    """A range written with any dash and unit is the same range in seconds."""
    factor = {"s": 1, "min": 60, "h": 3600}[unit]
    expected = Range(low * factor, (low + more) * factor)
    assert read_range(f"{low}{dash}{low + more} {unit}") == expected


@QUICK
@given(st.integers(1, 59), st.integers(1, 59), st.integers(1, 23))
def test_hours_minutes_and_seconds_add_up(seconds: int, minutes: int, hours: int) -> None:
    """ "2 h 5 min 3 s" is the sum of its pieces."""
    total = hours * 3600 + minutes * 60 + seconds
    assert read_range(f"{hours} h {minutes} min {seconds} s") == Range(total, total)
