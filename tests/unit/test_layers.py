"""The arrows between the parts of the program point one way."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parents[2] / "shootplan"
STAGES = ("read", "resolve", "cost", "plan", "facts", "timing", "render", "write")
LARDER_USERS = {"resolve", "cost", "larder"}
#: The one home of each heavy library; no other part may import it, and nobody at module level.
HOMES = {
    "markdown_it": {"read", "render"},
    "pint": {"resolve"},
    "ortools": {"plan"},
    "networkx": {"plan"},
    "numpy": {"plan"},
    "jinja2": {"render"},
    "num2words": {"facts"},
    "babel": {"cost", "facts", "printing"},
    "nh3": {"render"},
    "icalendar": {"render"},
    "typer": {"cli"},
    "starlette": {"board"},
    "uvicorn": {"board"},
    "watchfiles": {"board"},
}
LAZY = (
    *("numpy", "pint", "ortools", "networkx", "jinja2", "num2words", "babel", "nh3", "icalendar", "markdown_it"),
    *("starlette", "uvicorn", "watchfiles"),
)


def imports(path: Path) -> Iterator[tuple[int, str, bool]]:
    """Yield (line, module, is at module level and run) for each import of a file."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    top = {id(node) for node in tree.body}
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield node.lineno, alias.name, id(node) in top
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.lineno, node.module, id(node) in top


def part(path: Path) -> str:
    """Return the stage, "model", or the module's own name for the few files at the top."""
    relative = path.relative_to(PACKAGE)
    return relative.parts[0] if len(relative.parts) > 1 else relative.stem


FILES = sorted(PACKAGE.rglob("*.py"))


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_a_part_imports_only_what_lies_below_it(path: Path) -> None:
    """Stages meet in app.py: none imports another, and model imports nothing of the stages."""
    here = part(path)
    if here in ("app", "cli", "__main__", "__init__"):
        return
    allowed = {here, "model", "problems", "resources", "printing", "records"}
    if here == "board":
        allowed |= {"app"}
    if here == "model":
        allowed = {"model", "problems", "records"}
    if here in LARDER_USERS:
        allowed |= {"larder"}
    wrong = []
    for line, module, _ in imports(path):
        if module.startswith("shootplan.") and module.split(".")[1] not in allowed:
            wrong.append(f"{path}:{line} imports {module}")
    assert not wrong


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_each_heavy_library_has_one_home_and_loads_late(path: Path) -> None:
    """A heavy library is imported by its stage only, and inside the function that needs it."""
    here = part(path)
    wrong = []
    for line, module, is_top in imports(path):
        library = module.split(".")[0]
        if library in HOMES and here not in HOMES[library]:
            wrong.append(f"{path}:{line} {here} is not the home of {library}")
        if library in LAZY and is_top:
            wrong.append(f"{path}:{line} imports {library} at module level")
    assert not wrong


def test_the_model_uses_the_standard_library_only() -> None:
    """Frozen dataclasses and arithmetic add no dependency to the core."""
    import sys

    wrong = []
    for path in sorted((PACKAGE / "model").glob("*.py")):
        for line, module, _ in imports(path):
            top = module.split(".")[0]
            if top != "shootplan" and top not in sys.stdlib_module_names:
                wrong.append(f"{path}:{line} {module}")
    assert not wrong


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_records_are_made_by_our_own_decorator(path: Path) -> None:
    """The standard decorator takes 0.4 ms a class; ``shootplan.records`` does the same for less."""
    if path.name in ("records.py", "build_tables.py"):
        return
    text = path.read_text(encoding="utf-8")
    assert "from dataclasses import dataclass" not in text, "import dataclass from shootplan.records"
