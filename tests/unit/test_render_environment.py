"""Templates run in a sandbox, and the user's own stand in front of ours."""

from __future__ import annotations

from pathlib import Path

import pytest

from shootplan.problems import InputError, Problem, ResourceError
from shootplan.render.environment import make_renderer
from shootplan.resources import templates_root


def render(folder: Path, template: str, **values: object) -> str:
    """Render a template of the user's."""
    (folder / "own.html.j2").write_text(template, encoding="utf-8")
    return make_renderer(folder, {}).render("own.html.j2", values)


def fault(folder: Path, template: str, **values: object) -> Problem:
    """Return the one problem that a template of the user's gives."""
    with pytest.raises(InputError) as caught:
        render(folder, template, **values)
    (problem,) = caught.value.problems
    assert problem.code == "template-broken"
    return problem


def test_values_are_escaped_in_markup(tmp_path: Path) -> None:
    """Text from the files cannot become markup."""
    assert render(tmp_path, "{{ x }}", x="<b>&") == "&lt;b&gt;&amp;"


def test_plain_text_is_not_escaped(tmp_path: Path) -> None:
    """A Markdown document keeps its signs."""
    (tmp_path / "own.md.j2").write_text("{{ x }}", encoding="utf-8")
    assert make_renderer(tmp_path, {}).render("own.md.j2", {"x": "a & b"}) == "a & b"


def test_a_missing_value_is_told_with_its_line(tmp_path: Path) -> None:
    """Nothing is left blank silently."""
    problem = fault(tmp_path, "one\ntwo {{ no_such }}\n")
    assert problem.span.line == 2
    assert problem.span.path.endswith("own.html.j2")
    assert "no_such" in problem.message


def test_a_slip_of_syntax_is_told_with_its_line(tmp_path: Path) -> None:
    """The line is the template's."""
    assert fault(tmp_path, "one\ntwo\n{% if %}\n").span.line == 3


@pytest.mark.parametrize(
    "template",
    [
        "{{ x.__class__ }}",
        "{{ x|attr('__class__') }}",
        "{{ items.append(1) }}",
        "{{ 'x' * 10000000000 }}",
        "{{ 10 ** 100 }}",
        "{{ '%999999999d' % 1 }}",
        "{{ '%999999999d'|format(1) }}",
        "{{ lipsum(n=1000000) }}",
        "{% include '../../etc/passwd' %}",
        "{% include '/etc/passwd' %}",
    ],
)
def test_the_sandbox_forbids(tmp_path: Path, template: str) -> None:
    """Ways out of the sandbox, into other files or into all memory end in a problem."""
    fault(tmp_path, template, x="text", items=[])


def test_small_sums_are_allowed(tmp_path: Path) -> None:
    """Layout may count and repeat."""
    assert render(tmp_path, "{{ 3 * 4 }}{{ '-' * 3 }}{{ 7 % 4 }}") == "12---3"


def test_a_link_out_of_the_folder_is_not_followed(tmp_path: Path) -> None:
    """A symbolic link cannot bring in a file from elsewhere."""
    (tmp_path / "secret.html.j2").write_text("secret", encoding="utf-8")
    folder = tmp_path / "templates"
    folder.mkdir()
    (folder / "linked.html.j2").symlink_to(tmp_path / "secret.html.j2")
    problem = fault(folder, "{% include 'linked.html.j2' %}")
    assert "linked.html.j2" in problem.message


def test_the_users_template_stands_in_front(tmp_path: Path) -> None:
    """A file of the same name replaces ours; the others stay."""
    (tmp_path / "style.css").write_text("body { color: #000 }", encoding="utf-8")
    renderer = make_renderer(tmp_path, {})
    assert renderer.source("style.css") == "body { color: #000 }"
    assert "<!DOCTYPE html>" in renderer.source("page.html.j2")


def test_a_fault_in_our_own_template_is_a_bug(tmp_path: Path) -> None:
    """Without the values that a page needs, our page raises; it is not the user's problem."""
    from jinja2 import UndefinedError

    with pytest.raises(UndefinedError):
        make_renderer(tmp_path, {}).render("page.html.j2", {})


def test_the_templates_are_beside_the_package_in_a_checkout(root: Path) -> None:
    """In the checkout they are the top-level folder."""
    assert templates_root() == root / "templates"


def test_the_templates_are_inside_an_installed_package(tmp_path: Path) -> None:
    """A wheel carries them in the package."""
    (tmp_path / "shootplan" / "_templates").mkdir(parents=True)
    assert templates_root(tmp_path / "shootplan") == tmp_path / "shootplan" / "_templates"


def test_missing_templates_name_both_places(tmp_path: Path) -> None:
    """The message says where they were looked for."""
    with pytest.raises(ResourceError, match=r"_templates.*templates"):
        templates_root(tmp_path / "shootplan")
