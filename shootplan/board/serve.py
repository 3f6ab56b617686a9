"""
Running the board: the server, the watch on the episode's files, and what is told to whoever started it.

An episode's folder, an address and a port come in; it returns when it is stopped.
"""

from __future__ import annotations

import asyncio
import socket
from collections.abc import Callable, Coroutine
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from shootplan.app import load
from shootplan.app.following import follow
from shootplan.app.replanning import moment_of
from shootplan.board.day import Clock, LiveDay
from shootplan.board.gate import Gate, is_loopback
from shootplan.board.site import Feed, make_site
from shootplan.board.store import Store
from shootplan.model.episode import Episode

if TYPE_CHECKING:
    import uvicorn
    from starlette.applications import Starlette

__all__ = ["folders_of", "is_source", "listen", "log_folder", "run_site", "serve"]

_OWN = ("day-log", "out")
#: So long before the first day and after the last the board still shows them without a word.
_NEAR_S = 12 * 3600


def log_folder(folder: Path) -> Path:
    """Return where an episode's days are kept."""
    return folder / "day-log"


def serve(
    folder: Path,
    *,
    host: str,
    port: int,
    rehearse: str = "",
    is_filmed: bool = False,
    tell: Callable[[str], None],
) -> None:
    """
    Serve the board until it is stopped.

    Parameters
    ----------
    folder
        The episode's folder; ticks are kept in ``day-log`` in it.
    host, port
        Where to listen; port 0 takes any that is free.
    rehearse
        A time of day to begin a rehearsal at, whose ticks are kept apart; empty for the real clock. Over several days
        it may have its date before it, and is of the first one if it has none.
    is_filmed
        Whether it is the filmed day with cameras, takes and the meal.
    tell
        Called with each line for whoever started it.

    Raises
    ------
    InputError
        If the files have errors.
    InfeasiblePlan
        If the day cannot be planned.
    OSError
        If the address is taken, or ``day-log`` cannot be written.
    """
    loaded = load(folder)
    episode = loaded.episode
    rehearse_s = moment_of(loaded, rehearse, "--rehearse") if rehearse else None
    listener = listen(host, port)
    name = (_name_of(episode) if rehearse_s is None else "rehearsal") + ("-filmed" if is_filmed else "")
    store = Store(log_folder(folder) / f"{name}.sqlite3")
    try:
        tell("planning the day" if len(episode.days) < 2 else f"planning {len(episode.days)} days")
        clock = _clock(episode, store, rehearse_s, tell)
        day = LiveDay(folder, store, clock, loaded=loaded, followed=follow(loaded, folder, is_filmed=is_filmed))
        url = f"http://{_shown(host)}:{listener.getsockname()[1]}/"
        gate = Gate(store, host, lambda code: tell(f"code for the next device: {code}"))
        tell(f"the day's board is at {url}")
        if not is_loopback(host):
            tell("everybody on this network can reach it; a device must give the code to see or tick anything")
            tell("what is sent is not encrypted: open it on a network that you trust")
        asyncio.run(_run(day, gate, listener))
    finally:
        store.close()
        listener.close()


def folders_of(episode: Episode, folder: Path) -> tuple[Path, ...]:
    """Return the folders whose files an episode is made of: its own, its kitchen's and its price book's."""
    own = folder.resolve()
    paths = [Path(path).resolve().parent for path in (episode.kitchen.path, episode.prices.path) if path]
    return (own, *sorted({path for path in paths if path.is_dir() and not path.is_relative_to(own)}))


def listen(host: str, port: int) -> socket.socket:
    """Return a socket that is bound to an address, so that its port is known before anything is served."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    return socket.create_server((host, port), family=family)


def _shown(host: str) -> str:
    """Return a name by which another device reaches the board."""
    if host not in ("0.0.0.0", "::"):
        return f"[{host}]" if ":" in host else host
    return f"{socket.gethostname().split('.')[0]}.local"


def _name_of(episode: Episode) -> str:
    """Return what the file of the ticks is called: by today's date, and over several days by the first and the last."""
    if len(episode.days) < 2:
        return Clock.today()
    return f"{episode.days[0].on.isoformat()}-to-{episode.days[-1].on.isoformat()}"


def _clock(episode: Episode, store: Store, rehearse_s: int | None, tell: Callable[[str], None]) -> Clock:
    """Return the clock of the day or days; that of a rehearsal goes on after a restart."""
    call = episode.call_time
    call_s = call.hour * 3600 + call.minute * 60 + call.second
    begins = episode.clock if isinstance(episode.clock, datetime) and len(episode.days) > 1 else None
    if rehearse_s is None:
        clock = Clock(call_s, begins=begins)
        if begins is not None and not -_NEAR_S <= clock.now_s() <= episode.staffed_s[-1][1] + _NEAR_S:
            first, last = episode.days[0].on.isoformat(), episode.days[-1].on.isoformat()
            tell(f"today is none of the days from {first} to {last}; --rehearse {call:%H:%M} begins a rehearsal")
        return clock
    known = store.fact("shift")
    if known is not None:
        tell(f"going on with the rehearsal in {store.path}; remove that file to begin another")
        return Clock(call_s, int(known), begins=begins)
    real_s = Clock(0).now_s() - call_s if begins is None else Clock(call_s, begins=begins).now_s()
    store.keep("shift", str(int(rehearse_s - real_s)))
    return Clock(call_s, int(rehearse_s - real_s), begins=begins)


async def _run(day: LiveDay, gate: Gate, listener: socket.socket) -> None:
    feed = Feed()
    feed.bind()
    day.publish = feed.tell
    day.start()
    try:
        await run_site(make_site(day, gate, feed), feed, listener, lambda server: _watch(day, server))
    finally:
        day.stop()


async def run_site(
    site: Starlette,
    feed: Feed,
    listener: socket.socket,
    beside: Callable[[uvicorn.Server], Coroutine[Any, Any, None]],
) -> None:
    """Serve until somebody ends it, with some work beside; the open streams are ended first."""
    import uvicorn

    config = uvicorn.Config(
        site,
        log_level="warning",
        access_log=False,
        server_header=False,
        timeout_graceful_shutdown=3,
        lifespan="off",
        ws="none",
    )
    server = uvicorn.Server(config)
    tasks = [asyncio.create_task(beside(server)), asyncio.create_task(_end_streams(server, feed))]
    try:
        await server.serve(sockets=[listener])
    finally:
        for task in tasks:
            task.cancel()
            with suppress(asyncio.CancelledError):
                await task


async def _end_streams(server: uvicorn.Server, feed: Feed) -> None:
    while not server.should_exit:
        await asyncio.sleep(0.1)
    feed.close()


async def _watch(day: LiveDay, server: uvicorn.Server) -> None:
    """Plan with the files as they are saved: the episode's folder, and those of its kitchen and price book."""
    from watchfiles import awatch

    stop = asyncio.Event()
    async for changes in awatch(*folders_of(day.episode, day.folder), stop_event=stop, step=100, debounce=300):
        if server.should_exit:
            return
        if any(is_source(day.folder, Path(path)) for _, path in changes):
            day.files_changed()


def is_source(folder: Path, path: Path) -> bool:
    """Whether a changed file is one that a user writes, not one that we write."""
    with suppress(ValueError):
        parts = path.resolve().relative_to(folder.resolve()).parts
        if parts and parts[0] in _OWN:
            return False
    return path.suffix in (".md", ".csv", ".toml")
