"""
One function a reader: any text at all goes in, and nothing but problems may come out.

``run.py`` drives them with coverage-guided changes, ``test_corpus.py`` with what was found before.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path

from shootplan.app import check
from shootplan.bring import brought_from, markdown_of, recipes_in
from shootplan.model.publication import Publication
from shootplan.problems import InputError
from shootplan.read.day_log import read_day_log
from shootplan.read.files import MemoryFiles
from shootplan.read.recipe import read_recipe
from shootplan.read.saved import read_saved
from shootplan.timing.timed_text import read_timed_text

__all__ = ["TARGETS", "seeds"]

DEMO = Path(__file__).resolve().parents[2] / "demo_episodes" / "tuesday-supper"


@cache
def _demo() -> dict[str, str]:
    names = ("episode.md", "prices.csv", "kitchen.toml", *(f"recipes/{path.name}" for path in _recipes()))
    return {f"demo/{name}": (DEMO / name).read_text(encoding="utf-8") for name in names}


def _recipes() -> list[Path]:
    return sorted((DEMO / "recipes").glob("*.md"))


def _checked(name: str, text: str) -> None:
    """Check the demo with one of its files replaced: what was found has a place in that text."""
    checked = check("demo", files=MemoryFiles(_demo() | {name: text}))
    for problem in checked.problems:
        assert problem.message
        assert problem.span.line >= 1
        assert problem.span.column >= 1


def recipe(text: str) -> None:
    """A recipe of an episode."""
    _checked(f"demo/recipes/{_recipes()[0].name}", text)


def episode(text: str) -> None:
    """The episode's own file."""
    _checked("demo/episode.md", text)


def prices(text: str) -> None:
    """The price book."""
    _checked("demo/prices.csv", text)


def kitchen(text: str) -> None:
    """The kitchen."""
    _checked("demo/kitchen.toml", text)


def page(text: str) -> None:
    """Pages and JSON-LD with schema.org recipes; what comes out can be read as a recipe of ours."""
    for node in recipes_in(text).recipes[:5]:
        made = markdown_of(brought_from(node), source="page.html")
        found, problems = read_recipe("page.md", made)
        assert found is not None or problems


def timed_text(text: str) -> None:
    """WebVTT, SubRip and marked lines."""
    lines, problems = read_timed_text(text, "speech.vtt")
    assert all(line.text for line in lines)
    assert all(problem.message for problem in problems)


def finished_edit(text: str) -> None:
    """CMX 3600 lists, OpenTimelineIO, markers, subtitles."""
    from shootplan.app.retime import place

    publication = _published()
    try:
        place(publication.cut, publication.resolved.episode.edit_rate, cut="edit", files=MemoryFiles({"edit": text}))
    except InputError as error:
        assert error.problems


@cache
def _published() -> Publication:
    from shootplan.app import load, publish

    return publish(load(DEMO))


def saved_plan(text: str) -> None:
    """A saved plan.json."""
    edition, problems = read_saved("plan.json", text)
    assert edition is not None or problems


def day_log(text: str) -> None:
    """The log of a day."""
    lines, problems = read_day_log(text, "day.log")
    assert len(lines) <= text.count("\n") + text.count("\r") + 1
    assert all(problem.message for problem in problems)


#: Reader → its function.
TARGETS: dict[str, Callable[[str], None]] = {
    "recipe": recipe,
    "episode": episode,
    "prices": prices,
    "kitchen": kitchen,
    "page": page,
    "timed_text": timed_text,
    "finished_edit": finished_edit,
    "saved_plan": saved_plan,
    "day_log": day_log,
}


def seeds(name: str) -> list[str]:
    """Return sound texts that the changes start from."""
    demo = _demo()
    if name == "recipe":
        return [demo[f"demo/recipes/{path.name}"] for path in _recipes()]
    known = {"episode": "demo/episode.md", "prices": "demo/prices.csv", "kitchen": "demo/kitchen.toml"}
    if name in known:
        return [demo[known[name]]]
    folder = Path(__file__).with_name("corpus") / name
    return [path.read_bytes().decode("utf-8", "replace") for path in sorted(folder.glob("*"))]
