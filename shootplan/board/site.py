"""
The board's few addresses: the page with its style and script, the state, its changes as they come, ticks, pairing.

Requests come in; every one passes the gate first. Changes go out as server-sent events (WHATWG HTML, section 9.2): the
whole state each time, so that a page that missed some is right with the next.
"""

from __future__ import annotations

import asyncio
import json
import re
from collections.abc import AsyncIterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shootplan.board.day import LiveDay
from shootplan.board.gate import COOKIE, Gate
from shootplan.board.store import UNDO, Tick
from shootplan.model.replanning import LogKind
from shootplan.resources import templates_root

if TYPE_CHECKING:
    from starlette.applications import Starlette
    from starlette.requests import Request
    from starlette.responses import Response
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

__all__ = ["POLICY", "Feed", "Guard", "make_site", "read_ticks"]

#: Nothing from anywhere else, no inline style or script, no frame around the page.
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; img-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
_HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cache-Control": "no-store",
}
_FILES = {
    "/": ("board/board.html", "text/html"),
    "/icon.svg": ("board/icon.svg", "image/svg+xml"),
    "/style.css": ("style.css", "text/css"),
    "/board.css": ("board/board.css", "text/css"),
    "/board.js": ("board/board.js", "text/javascript"),
    "/queue.js": ("board/queue.js", "text/javascript"),
    "/strip.js": ("board/strip.js", "text/javascript"),
    "/times.js": ("board/times.js", "text/javascript"),
}
_MOST_BYTES = 256 * 1024
_MOST_TICKS = 500
_HEARTBEAT_S = 10.0
#: A plan over several days lies within a week.
_PAIRED_FOR_S = 8 * 86400
_ID = re.compile(r"^[A-Za-z0-9_-]{8,64}$")
_KINDS = frozenset({UNDO, *(kind.value for kind in LogKind)})
_DAY_S = 86400
_MOST_S = 10 * _DAY_S


class Feed:
    """Tells every open page the latest state; called from any thread."""

    def __init__(self) -> None:
        self._loop: asyncio.AbstractEventLoop | None = None
        self._open: set[asyncio.Queue[str | None]] = set()

    def bind(self) -> None:
        """Remember the running loop, in which the pages are served."""
        self._loop = asyncio.get_running_loop()

    def tell(self, text: str) -> None:
        """Hand a state to all pages; one that is slow gets the latest only."""
        if self._loop is not None and not self._loop.is_closed():
            self._loop.call_soon_threadsafe(self._spread, text)

    def _spread(self, text: str) -> None:
        for queue in self._open:
            while not queue.empty():
                queue.get_nowait()
            queue.put_nowait(text)

    def close(self) -> None:
        """End the streams of all pages; they come back when they can."""
        for queue in self._open:
            queue.put_nowait(None)

    async def listen(self, first: str) -> AsyncIterator[str]:
        """Yield the events of one page, the state of now first, a remark while nothing happens."""
        queue: asyncio.Queue[str | None] = asyncio.Queue()
        self._open.add(queue)
        try:
            yield _event(first)
            while True:
                try:
                    text = await asyncio.wait_for(queue.get(), _HEARTBEAT_S)
                except TimeoutError:
                    yield ": still here\n\n"
                    continue
                if text is None:
                    return
                yield _event(text)
        finally:
            self._open.discard(queue)


def _event(text: str) -> str:
    return f"retry: 1000\nevent: state\ndata: {text}\n\n"


def read_ticks(body: bytes, *, now_s: float) -> tuple[Tick, ...] | str:
    """
    Return the ticks of a request's body, or what is wrong with it.

    A tick from the future is one of now: no device's clock goes before ours.
    """
    try:
        found = json.loads(body)["ticks"]
        if not isinstance(found, list) or len(found) > _MOST_TICKS:
            return f"at most {_MOST_TICKS} ticks at a time"
        return tuple(_tick(item, int(now_s)) for item in found)
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return "these are not ticks"


def _tick(item: dict[str, Any], now_s: int) -> Tick:
    texts = {name: item.get(name, "") for name in ("id", "kind", "run", "label", "device")}
    if any(not isinstance(text, str) or len(text) > 300 for text in texts.values()):
        raise ValueError("a text is none, or too long")
    numbers = (item["at_s"], item.get("late_s", 0))
    is_int = all(isinstance(number, int) and not isinstance(number, bool) for number in numbers)
    if not is_int or any(abs(number) > _MOST_S for number in numbers):
        raise ValueError("a time is none")
    if not _ID.match(texts["id"]) or texts["kind"] not in _KINDS or not 0 <= numbers[1] <= _DAY_S:
        raise ValueError("not a tick")
    return Tick(at_s=min(numbers[0], now_s), late_s=numbers[1], **texts)


def make_site(day: LiveDay, gate: Gate, feed: Feed) -> Starlette:
    """Return the application."""
    from starlette.applications import Starlette
    from starlette.middleware import Middleware
    from starlette.routing import Route

    pages = _Pages(day, gate, feed)
    routes = [
        *(Route(path, pages.file, methods=["GET"]) for path in _FILES),
        Route("/state", pages.state, methods=["GET"]),
        Route("/events", pages.events, methods=["GET"]),
        Route("/log.txt", pages.log, methods=["GET"]),
        Route("/ticks", pages.ticks, methods=["POST"]),
        Route("/pair", pages.pair, methods=["POST"]),
    ]
    return Starlette(routes=routes, middleware=[Middleware(Guard, gate=gate)])


class Guard:
    """Asks the gate before anything else, and says in every answer what the page may do unless that says it itself."""

    def __init__(self, app: ASGIApp, gate: Gate) -> None:
        self._app, self._gate = app, gate

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request (ASGI)."""
        from starlette.datastructures import Headers, MutableHeaders
        from starlette.responses import PlainTextResponse

        if scope["type"] != "http":
            return

        async def guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in _HEADERS.items():
                    headers.setdefault(name, value)
            await send(message)

        refusal = self._gate.refusal(Headers(scope=scope), scope["method"])
        app = PlainTextResponse(f"refused: {refusal}\n", 403) if refusal else self._app
        await app(scope, receive, guarded)


class _Pages:
    def __init__(self, day: LiveDay, gate: Gate, feed: Feed) -> None:
        self.day, self.gate, self.feed = day, gate, feed
        root = Path(str(templates_root()))
        self.files = {path: ((root / name).read_bytes(), kind) for path, (name, kind) in _FILES.items()}

    def _is_paired(self, request: Request) -> bool:
        return self.gate.is_paired(request.cookies.get(COOKIE))

    async def file(self, request: Request) -> Response:
        """The page, its style and its script hold nothing of the day; anybody who reaches them may have them."""
        from starlette.responses import Response

        content, kind = self.files[request.url.path]
        return Response(content, media_type=f"{kind}; charset=utf-8")

    async def state(self, request: Request) -> Response:
        from starlette.responses import Response

        if not self._is_paired(request):
            return _not_paired()
        return Response(self.day.view(), media_type="application/json")

    async def events(self, request: Request) -> Response:
        from starlette.responses import StreamingResponse

        if not self._is_paired(request):
            return _not_paired()
        return StreamingResponse(self.feed.listen(self.day.view()), media_type="text/event-stream")

    async def log(self, request: Request) -> Response:
        from starlette.responses import PlainTextResponse

        return PlainTextResponse(self.day.log_text()) if self._is_paired(request) else _not_paired()

    async def ticks(self, request: Request) -> Response:
        """Keep ticks; the answer comes after they are on the disk."""
        from starlette.concurrency import run_in_threadpool
        from starlette.responses import JSONResponse

        if not self._is_paired(request):
            return _not_paired()
        body = await _body(request)
        ticks = read_ticks(body, now_s=self.day.clock.now_s()) if body is not None else "too long"
        if isinstance(ticks, str):
            return JSONResponse({"error": ticks}, 400)
        await run_in_threadpool(self.day.tick, ticks)
        return JSONResponse({"kept": [tick.id for tick in ticks]})

    async def pair(self, request: Request) -> Response:
        """Let a device in for the right code; a wrong one takes a second to be told."""
        from starlette.responses import JSONResponse

        body = await _body(request)
        try:
            code = json.loads(body or b"")["code"]
        except (ValueError, KeyError, TypeError, RecursionError):
            code = None
        token = self.gate.pair(code) if isinstance(code, str) and len(code) <= 40 else None
        if token is None:
            await asyncio.sleep(1)
            return JSONResponse({"error": "this is not the code"}, 403)
        response = JSONResponse({"paired": True})
        response.set_cookie(COOKIE, token, max_age=_PAIRED_FOR_S, httponly=True, samesite="strict", path="/")
        return response


async def _body(request: Request) -> bytes | None:
    """Return a request's body, ``None`` if it is longer than any page of ours sends."""
    found = bytearray()
    async for part in request.stream():
        found += part
        if len(found) > _MOST_BYTES:
            return None
    return bytes(found)


def _not_paired() -> Response:
    from starlette.responses import JSONResponse

    return JSONResponse({"error": "give the code first"}, 401)
