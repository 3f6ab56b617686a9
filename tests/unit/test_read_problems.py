"""Every way in which an episode's files can be wrong: one sound episode, broken in one place at a time."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

import pytest

import shootplan.read
from shootplan.problems import CODES, Problem
from shootplan.read import read_episode, read_recipe
from shootplan.read.files import MemoryFiles

HERE = Path(__file__).parent / "problems"
SOUND = {
    str(Path("show") / path.relative_to(HERE / "sound")): path.read_text(encoding="utf-8")
    for path in sorted((HERE / "sound").rglob("*"))
    if path.is_file()
}
_ESCAPES = {r"\n": "\n", r"\t": "\t", r"\x07": "\x07", r"\u202e": "\u202e"}


@dataclass(frozen=True)
class Case:
    """One broken place: which file, what is replaced by what, and what must be said of it."""

    code: str
    title: str
    file: str
    find: str
    put: str
    hint: str
    at: str = ""
    also: str = ""
    loose: str = ""

    def files(self) -> dict[str, str]:
        path = f"show/{self.file}"
        assert SOUND[path].count(self.find) == 1, f"{self.find!r} must stand in {path} once"
        plain = self.put.replace("«", "").replace("»", "")
        return SOUND | {path: SOUND[path].replace(self.find, plain)}

    def place(self) -> tuple[str, int, int]:
        if self.at:
            line, column = self.at.split(":")
            return f"show/{self.file}", int(line), int(column)
        marked = SOUND[f"show/{self.file}"].replace(self.find, self.put)
        before = marked[: marked.index("«")]
        return f"show/{self.file}", before.count("\n") + 1, len(before) - (before.rfind("\n") + 1) + 1

    def end_column(self) -> int:
        inside = self.put[self.put.index("«") + 1 : self.put.index("»")]
        return self.place()[2] + len(inside)


def _cases() -> list[Case]:
    text = (HERE / "cases.txt").read_text(encoding="utf-8")
    found = []
    for block in re.split(r"\n(?=\[)", text)[1:]:
        heading, *lines = block.rstrip("\n").split("\n")
        code, title = re.fullmatch(r"\[([a-z-]+)\] (.+)", heading).groups()  # type: ignore[union-attr]
        values = {}
        for line in lines:
            if line:
                key, _, value = line.partition(":")
                value = value.removeprefix(" ")
                for mark, character in _ESCAPES.items():
                    value = value.replace(mark, character)
                values[key] = value
        found.append(Case(code=code, title=title, **values))
    return found


CASES = _cases()
#: Provoked below rather than in the table, because the text would be too long for it or another file is needed.
LONG = {
    *("file-unreadable", "file-too-long", "line-too-long", "steps-too-many", "lines-too-many", "recipes-too-many"),
    "recipe-name-taken",
}
#: Every code that the reading stage raises, the ones of single ingredient lines left out.
READING_CODES = (
    "address-bad",
    "after-cycle",
    "after-self",
    "after-unknown",
    "after-without-step",
    "also-bad",
    "alternate-bad",
    "amount-bad",
    "cell-extra",
    "cell-missing",
    "character-direction",
    "character-hidden",
    "check-bad",
    "check-without-leave",
    "choice-unknown",
    "claim-bad",
    "column-missing",
    "column-twice",
    "column-unknown",
    "correction-bad",
    "csv-broken",
    "cue-missing",
    "currency-bad",
    "date-bad",
    "days-bad",
    "days-unused",
    "duration-bad",
    "field-form",
    "field-outside",
    "field-twice",
    "field-unknown",
    "file-missing",
    "file-too-long",
    "file-unreadable",
    "front-matter-line",
    "front-matter-open",
    "group-bad",
    "heats-bad",
    "key-missing",
    "key-twice",
    "key-unknown",
    "line-too-long",
    "lines-too-many",
    "link-bad",
    "locale-bad",
    "makes-missing",
    "meal-bad",
    "mention-bad",
    "method-missing",
    "minutes-missing",
    "money-bad",
    "name-missing",
    "name-twice",
    "nested-too-deep",
    "number-bad",
    "overnight-bad",
    "pack-bad",
    "part-bad",
    "path-outside",
    "percent-bad",
    "position-unknown",
    "recipe-name-taken",
    "recipe-twice",
    "recipe-unknown",
    "recipes-missing",
    "recipes-too-many",
    "rest-short",
    "section-twice",
    "section-unknown",
    "serves-bad",
    "serves-missing",
    "step-name-comma",
    "step-name-missing",
    "step-not-numbered",
    "step-twice",
    "steps-too-many",
    "swap-out-refused",
    "swap-out-unknown",
    "temperature-bad",
    "text-unused",
    "time-bad",
    "title-missing",
    "title-twice",
    "together-bad",
    "toml-broken",
    "value-kind",
    "value-missing",
    "within-alone",
    "yes-no-bad",
)


def problems_of(files: dict[str, str]) -> tuple[Problem, ...]:
    return read_episode("show", MemoryFiles(files))[1]


def test_the_sound_episode_has_no_problem() -> None:
    """What the cases break is sound before."""
    episode, problems = read_episode("show", MemoryFiles(SOUND))
    assert problems == ()
    assert episode is not None and [recipe.id for recipe in episode.recipes] == ["pea-soup", "flat-bread"]


def test_every_code_of_the_stage_is_provoked() -> None:
    """The list is complete, and each of its codes has a broken place."""
    sources = "\n".join(path.read_text(encoding="utf-8") for path in _sources())
    assert [code for code in sorted(CODES) if f'"{code}"' in sources] == list(READING_CODES)
    assert set(READING_CODES) - LONG == {case.code for case in CASES}


def _sources() -> list[Path]:
    folder = Path(shootplan.read.__file__).parent
    elsewhere = ("amounts.py", "day_log.py", "ingredient.py", "saved.py")  # each in a test of its own
    return [path for path in folder.glob("*.py") if path.name not in elsewhere]


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case.code}: {case.title}")
def test_a_broken_place_is_named_with_its_hint(case: Case) -> None:
    """The problem has the code, points at the fault and says what to write instead; nothing else is reported."""
    problems = problems_of(case.files())
    found = [problem for problem in problems if problem.code == case.code]
    assert len(found) == 1, problems
    span = found[0].span
    assert (span.path, span.line) == case.place()[:2]
    if not case.loose:
        assert span.column == case.place()[2]
    if not case.at and not case.loose:
        assert span.end_column == case.end_column()
    assert found[0].hint == case.hint
    rest = {problem.code for problem in problems} - {case.code}
    assert rest <= set(case.also.split())


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case.code}: {case.title}")
def test_messages_read_as_sentences_in_small_letters(case: Case) -> None:
    """Messages begin with a small letter or a quotation and end without a full stop."""
    for problem in problems_of(case.files()):
        assert not problem.message[0].isupper() or problem.message.startswith("TOML")
        assert not problem.message.endswith(".")


def test_a_file_that_cannot_be_decoded_is_named() -> None:
    """A byte that is not UTF-8 becomes a problem where the file is named."""

    class Broken(MemoryFiles):
        def text(self, path: str) -> str:
            return b"caf\xe9".decode() if path.endswith("prices.csv") else super().text(path)

    _, problems = read_episode("show", Broken(SOUND))
    assert [(p.code, str(p.span), p.hint) for p in problems] == [
        ("file-unreadable", "show/episode.md:1:1", "save the file as UTF-8")
    ]


def test_a_file_of_more_than_a_mebibyte_is_refused() -> None:
    """A file that is not a recipe is not read at all."""
    recipe, problems = read_recipe("big.md", "x\n" * 600_000)
    assert recipe is None
    assert [(p.code, str(p.span), p.hint) for p in problems] == [
        ("file-too-long", "big.md:1:1", "keep a file under 1,048,576 characters")
    ]


def test_a_line_of_more_than_ten_thousand_characters_is_left_out() -> None:
    """The other lines are read; the problem points at the first character too many."""
    text = SOUND["show/recipes/flat-bread.md"] + "\n## Notes\n\n" + "[" * 12_000 + "\n"
    recipe, problems = read_recipe("flat-bread.md", text)
    assert recipe is not None and len(recipe.steps) == 4
    found = [problem for problem in problems if problem.code == "line-too-long"]
    assert [(p.span.line, p.span.column, p.hint) for p in found] == [
        (text.count("\n"), 10_001, "break it before 10,000")
    ]


def test_more_than_five_hundred_steps_are_not_read() -> None:
    """The 501st step is named, the first 500 are kept."""
    steps = "".join(f"{n}. **Step {n}.** x\n     - hands: 1 min\n" for n in range(1, 503))
    recipe, problems = read_recipe("long.md", f"---\nserves: 1\n---\n# Long\n\n## Method\n\n{steps}")
    assert recipe is not None and len(recipe.steps) == 500
    assert [(p.code, p.span.line, p.span.column, p.hint) for p in problems] == [
        ("steps-too-many", 8 + 2 * 500, 6, "split the recipe in two")
    ]


def test_more_than_five_hundred_ingredients_are_not_read() -> None:
    """The 501st line is named, the first 500 are kept."""
    lines = "".join(f"- {n} g salt\n" for n in range(1, 503))
    text = f"---\nserves: 1\n---\n# Long\n\n## Ingredients\n\n{lines}\n## Method\n\n1. **A.** b\n   - hands: 1 min\n"
    recipe, problems = read_recipe("long.md", text)
    assert recipe is not None and len(recipe.lines) == 500
    found = [problem for problem in problems if problem.code == "lines-too-many"]
    assert [(p.span.line, p.span.column, p.hint) for p in found] == [(508, 3, "split the recipe in two")]


def test_more_than_fifty_recipes_are_not_read() -> None:
    """The 51st entry is named."""
    links = "".join(f"- [Soup {n}](recipes/pea-soup.md)\n" for n in range(51))
    text = SOUND["show/episode.md"].replace("2. [Flat bread](recipes/flat-bread.md)\n", "\n" + links)
    found = [p for p in problems_of(SOUND | {"show/episode.md": text}) if p.code == "recipes-too-many"]
    assert [(p.span.column, p.hint) for p in found] == [(3, "split the episode")]


def test_all_problems_of_all_files_come_together_in_order() -> None:
    """One run names faults in all four kinds of file, sorted by path and line."""
    broken = dict(SOUND)
    for case_file, find, put in (
        ("show/episode.md", "call: 09:00", "call: nine"),
        ("show/kitchen.toml", "rings = 2", "rings = -2"),
        ("show/prices.csv", "900 g,1.80", "900 g,cheap"),
        ("show/recipes/pea-soup.md", "hands: 2–3 min", "hands: soon"),
    ):
        broken[case_file] = broken[case_file].replace(find, put)
    problems = problems_of(broken)
    assert [problem.code for problem in problems] == ["time-bad", "value-kind", "money-bad", "duration-bad"]
    assert [problem.span for problem in problems] == sorted(problem.span for problem in problems)


@pytest.mark.parametrize("name", ["index", "Index"])
def test_no_recipe_takes_the_name_of_the_blogs_first_page(name: str) -> None:
    """``blog/index.html`` is the page of the whole episode; on some disks ``Index.html`` is the same file."""
    files = SOUND | {f"show/recipes/{name}.md": SOUND["show/recipes/flat-bread.md"]}
    entry = "[Flat bread](recipes/flat-bread.md)"
    assert entry in files["show/episode.md"]
    files["show/episode.md"] = files["show/episode.md"].replace(entry, f"[Flat bread](recipes/{name}.md)")
    _, problems = read_episode("show", MemoryFiles(files))
    (problem,) = [item for item in problems if item.code == "recipe-name-taken"]
    line = files["show/episode.md"].splitlines()[problem.span.line - 1]
    assert line[problem.span.column - 1 :].startswith("[Flat bread]")
    assert problem.is_error
    assert problem.hint == 'rename the file after the dish, as in "recipes/pea-soup.md"'
