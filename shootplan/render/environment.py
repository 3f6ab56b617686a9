"""
Where templates run: the built-in ones as they are, with the user's own in front of them in a sandbox.

A folder of the user's templates (or none) comes in; a renderer goes out, which turns a template's name and its values
into text. A fault in a user's template becomes a ``Problem`` with file and line; one in ours stays an exception.
"""

from __future__ import annotations

import traceback
from collections.abc import Callable, Mapping
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shootplan.problems import InputError, Problem, Span
from shootplan.render.template_cache import template_cache
from shootplan.resources import templates_root

if TYPE_CHECKING:
    from jinja2 import BaseLoader, Environment
    from jinja2.sandbox import ImmutableSandboxedEnvironment

__all__ = ["Renderer", "make_renderer"]

#: What a user's template may multiply or raise at most: enough for any layout, too little to fill the memory.
_MAX_LENGTH = 1_000_000
_Filters = tuple[tuple[str, Callable[..., Any]], ...]
_MARKUP = (".html.j2", ".svg.j2")


class Renderer:
    """Renders templates by name; ``user_root`` is the folder of the user's own."""

    def __init__(self, environment: Environment, user_root: Path | None) -> None:
        self._environment = environment
        self._user_root = user_root

    def render(self, name: str, values: Mapping[str, Any]) -> str:
        """
        Return the text of a template.

        Raises
        ------
        InputError
            If a template of the user's is broken, asks for a value that is not there, or does what the sandbox forbids.
        """
        try:
            return self._environment.get_template(name).render(values)
        except Exception as error:
            problem = self._problem(error)
            if problem is None:
                raise
            raise InputError([problem]) from error

    def source(self, name: str) -> str:
        """Return a file of the template folders as it is: the style sheet."""
        loader = self._environment.loader
        if loader is None:
            raise RuntimeError("the environment has no loader")
        return loader.get_source(self._environment, name)[0]

    def _problem(self, error: Exception) -> Problem | None:
        """Return the fault as a problem in the user's template, or ``None`` if the template is not the user's."""
        from jinja2 import TemplateSyntaxError

        if self._user_root is None:
            return None
        if isinstance(error, TemplateSyntaxError):
            place, line = error.filename or error.name or "", error.lineno
        else:
            place, line = self._last_place(error)
        if not place or not Path(place).is_relative_to(self._user_root):
            return None
        words = str(error).splitlines()[0] if str(error) else type(error).__name__
        return Problem(
            span=Span(place, max(line, 1)),
            code="template-broken",
            message=f"the template cannot be used: {words}",
            hint="compare with the built-in template of the same name, or remove yours to use the built-in one",
        )

    def _last_place(self, error: Exception) -> tuple[str, int]:
        frames = traceback.extract_tb(error.__traceback__)
        places = [(frame.filename, frame.lineno or 1) for frame in frames if frame.filename.endswith(".j2")]
        return places[-1] if places else ("", 1)


def make_renderer(user_templates: Path | None, filters: Mapping[str, Callable[..., Any]]) -> Renderer:
    """
    Return a renderer for the built-in templates, overridden file by file by those in ``user_templates``.

    Raises
    ------
    ResourceError
        If the built-in templates cannot be found.
    """
    root, named = templates_root(), tuple(filters.items())
    if user_templates is None:
        environment = _own_environment(root, named)
    else:
        environment = _environment_of((user_templates, root), named, is_sandboxed=True)
    environment.bytecode_cache = template_cache(is_sandboxed=user_templates is not None)
    return Renderer(environment, user_templates)


@lru_cache(maxsize=4)
def _own_environment(root: Path, filters: _Filters) -> Environment:
    """Return the environment of ours alone, the same at each build of a running process: its templates stay loaded."""
    return _environment_of((root,), filters, is_sandboxed=False)


def _environment_of(folders: tuple[Path, ...], filters: _Filters, *, is_sandboxed: bool) -> Environment:
    from jinja2 import ChoiceLoader, Environment, StrictUndefined

    # Ours alone need no sandbox, which looks at every attribute before it is read.
    environment = (_sandbox_class() if is_sandboxed else Environment)(
        loader=ChoiceLoader([_loader(folder) for folder in folders]),
        undefined=StrictUndefined,
        autoescape=lambda name: name is None or name.endswith(_MARKUP),
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    for name in ("lipsum", "cycler", "joiner"):
        environment.globals.pop(name, None)
    environment.filters.pop("format", None)
    environment.filters.update(filters)
    return environment


def _loader(folder: Path) -> BaseLoader:
    """Return a loader that does not follow a link out of its folder."""
    from jinja2 import FileSystemLoader, TemplateNotFound

    class Loader(FileSystemLoader):
        def get_source(self, environment: Environment, template: str) -> tuple[str, str, Callable[[], bool]]:
            source, filename, is_current = super().get_source(environment, template)
            if not Path(filename).resolve().is_relative_to(folder.resolve()):
                raise TemplateNotFound(template, f'"{filename}" is a link that leads out of the template folder')
            return source, filename, is_current

    return Loader(folder, encoding="utf-8")


def _sandbox_class() -> type[ImmutableSandboxedEnvironment]:
    from jinja2.exceptions import SecurityError
    from jinja2.sandbox import ImmutableSandboxedEnvironment

    class Sandbox(ImmutableSandboxedEnvironment):
        """Also bounds what ``*``, ``**`` and ``%`` may make of a text or number, so that memory is not filled."""

        intercepted_binops = frozenset({"*", "**", "%"})

        def call_binop(self, context: Any, operator: str, left: Any, right: Any) -> Any:
            if operator == "%" and isinstance(left, str):
                raise SecurityError("texts are not formatted with % in a template")
            if operator == "**" or (operator == "*" and _is_too_long(left, right)):
                raise SecurityError(f"{operator} would make too much in a template")
            return super().call_binop(context, operator, left, right)

    return Sandbox


def _is_too_long(left: Any, right: Any) -> bool:
    for text, times in ((left, right), (right, left)):
        if isinstance(text, str | list | tuple) and isinstance(times, int) and len(text) * times > _MAX_LENGTH:
            return True
    return False
