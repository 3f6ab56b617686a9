"""What a running process keeps from one build to the next never shows: the same text tells the same, a new one not."""

from __future__ import annotations

from pathlib import Path

import pytest

from shootplan.facts.figures import find_figures
from shootplan.problems import InputError
from shootplan.read.recipe import read_recipe
from shootplan.render import environment
from shootplan.render.environment import make_renderer

FAULTY = """---
serves: 4
---
# Soup

## Ingredients

- 2 tbps oil

## Method

1. **Fry** the [oil].
   - hands: 5 min
"""


def test_the_same_file_read_twice_has_the_same_problems() -> None:
    """A fault that is not mended is told again at the next build, once."""
    first, second = (read_recipe("soup.md", FAULTY) for _ in range(2))
    assert first == second
    assert [problem.span.line for problem in second[1]] == [8]


def test_a_mended_file_has_none() -> None:
    """The text decides, not the name; the same text under another name is told of under that name."""
    read_recipe("soup.md", FAULTY)
    assert read_recipe("soup.md", FAULTY.replace("tbps", "tbsp"))[1] == ()
    assert {problem.span.path for problem in read_recipe("stew.md", FAULTY)[1]} == {"stew.md"}


def test_a_comma_is_read_as_the_episode_says() -> None:
    """The same text with a comma is two readings: one and a half, or not."""
    text = FAULTY.replace("2 tbps", "1,5 tbsp")
    assert read_recipe("soup.md", text, decimal_comma=True) != read_recipe("soup.md", text, decimal_comma=False)


def test_a_text_is_read_by_what_it_says_now() -> None:
    """Three eggs, then four."""
    assert [typed.low for text in ("3 eggs", "4 eggs", "3 eggs") for typed in find_figures(text)] == [3, 4, 3]


def test_a_changed_template_of_ours_is_loaded_anew(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Who works on the templates sees the change without a new process; the sandbox is for a user's folder only."""
    monkeypatch.setattr(environment, "templates_root", lambda: tmp_path)
    page = tmp_path / "page.md.j2"
    page.write_text("first {{ name }}", encoding="utf-8")
    assert make_renderer(None, {}).render("page.md.j2", {"name": "soup"}) == "first soup"
    page.write_text("now the second {{ name }}", encoding="utf-8")
    assert make_renderer(None, {}).render("page.md.j2", {"name": "stew"}) == "now the second stew"
    own = tmp_path / "own"
    own.mkdir()
    (own / "page.md.j2").write_text("{{ name.__class__ }}", encoding="utf-8")
    with pytest.raises(InputError) as caught:
        make_renderer(own, {}).render("page.md.j2", {"name": "soup"})
    assert "unsafe" in caught.value.problems[0].message
