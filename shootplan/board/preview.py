"""
Building while somebody writes: every saved file is built, and the open page of a document is shown anew.

An episode's folder comes in; it returns when it is stopped. This machine only: nobody else needs an author's drafts.
"""

from __future__ import annotations

import asyncio
import json
import socket
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from shootplan.app import build, load
from shootplan.board.gate import Gate
from shootplan.board.serve import folders_of, is_source, listen, run_site
from shootplan.board.site import Feed, Guard
from shootplan.problems import InfeasiblePlan, InputError, OutputError
from shootplan.resources import templates_root

if TYPE_CHECKING:
    from starlette.applications import Starlette
    from starlette.requests import Request
    from starlette.responses import Response

__all__ = ["Preview", "make_preview_site", "watch"]

_SHELL = (
    "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; img-src 'self'; frame-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
_FILES = {
    "/": ("board/preview.html", "text/html"),
    "/style.css": ("style.css", "text/css"),
    "/preview.css": ("board/preview.css", "text/css"),
    "/preview.js": ("board/preview.js", "text/javascript"),
    "/icon.svg": ("board/icon.svg", "image/svg+xml"),
}


class Preview:
    """Builds an episode and remembers how that went, as JSON for the page."""

    def __init__(self, folder: Path, out: Path) -> None:
        self.folder, self.out = folder, out
        self._count = 0
        self.state = json.dumps({"build": 0, "words": "building", "faults": []})

    def build(self) -> str:
        """Build once; the earlier documents stay where that fails. Return what to tell whoever waits."""
        self._count += 1
        words, faults = "built", list[str]()
        try:
            built = build(self.folder, out=self.out)
            faults = [f"{item.span}: {item.message}" for item in built.publication.problems]
        except InputError as error:
            words = "not built: the files have errors"
            faults = [_fault(str(item.span), item.message, item.hint) for item in error.problems]
        except InfeasiblePlan as error:
            words = "not built: no plan keeps all of these rules together"
            faults = [item.rule for item in error.conflicts]
        except (OutputError, OSError) as error:
            words, faults = "not built", [str(error)]
        self.state = json.dumps({"build": self._count, "words": words, "faults": faults}, ensure_ascii=False)
        return "\n".join([words, *(f"  {fault}" for fault in faults)])


def _fault(place: str, message: str, hint: str | None) -> str:
    return f"{place}: {message}" + (f" ({hint})" if hint else "")


def make_preview_site(preview: Preview, gate: Gate, feed: Feed) -> Starlette:
    """Return the application: the frame around a document, the documents, and news of each build."""
    from starlette.applications import Starlette
    from starlette.middleware import Middleware
    from starlette.responses import Response, StreamingResponse
    from starlette.routing import Mount, Route
    from starlette.staticfiles import StaticFiles

    root = Path(str(templates_root()))
    texts = {path: ((root / name).read_bytes(), kind) for path, (name, kind) in _FILES.items()}

    async def file(request: Request) -> Response:
        content, kind = texts[request.url.path]
        headers = {"Content-Security-Policy": _SHELL}
        return Response(content, media_type=f"{kind}; charset=utf-8", headers=headers)

    async def events(request: Request) -> Response:
        return StreamingResponse(feed.listen(preview.state), media_type="text/event-stream")

    class Documents(StaticFiles):
        """The built files; each page brings its own policy, and only our frame may show it."""

        async def get_response(self, path: str, scope: object) -> Response:
            response = await super().get_response(path, scope)  # type: ignore[arg-type]
            response.headers["Content-Security-Policy"] = "frame-ancestors 'self'"
            return response

    routes = [
        *(Route(path, file, methods=["GET"]) for path in _FILES),
        Route("/events", events, methods=["GET"]),
        Mount("/out", Documents(directory=preview.out, check_dir=False, html=True)),
    ]
    return Starlette(routes=routes, middleware=[Middleware(Guard, gate=gate)])


def watch(folder: Path, *, out: Path | None, port: int, tell: Callable[[str], None]) -> None:
    """
    Build, then build again whenever a file of the episode is saved, until it is stopped.

    Parameters
    ----------
    folder
        The episode's folder.
    out
        Where the documents go; ``None`` for ``FOLDER/out``.
    port
        Where the page is served on this machine; 0 takes any that is free.
    tell
        Called with each line for whoever started it.

    Raises
    ------
    OSError
        If the port is taken.
    """
    listener = listen("127.0.0.1", port)
    try:
        preview = Preview(folder, out or folder / "out")
        tell(preview.build())
        tell(f"the documents are at http://127.0.0.1:{listener.getsockname()[1]}/")
        asyncio.run(_run(preview, listener, tell))
    finally:
        listener.close()


async def _run(preview: Preview, listener: socket.socket, tell: Callable[[str], None]) -> None:
    feed = Feed()
    feed.bind()
    site = make_preview_site(preview, Gate(None, "127.0.0.1", tell), feed)
    await run_site(site, feed, listener, lambda server: _build_on_change(preview, feed, tell))


async def _build_on_change(preview: Preview, feed: Feed, tell: Callable[[str], None]) -> None:
    from watchfiles import awatch

    async for changes in awatch(*_folders(preview.folder), step=100, debounce=300):
        if any(is_source(preview.folder, Path(path)) for _, path in changes):
            tell(await asyncio.to_thread(preview.build))
            feed.tell(preview.state)


def _folders(folder: Path) -> Sequence[Path]:
    """Return the folders to watch; only the episode's own while its files have errors."""
    try:
        return folders_of(load(folder).episode, folder)
    except InputError:
        return [folder.resolve()]
