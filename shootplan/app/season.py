"""
The use case "season": check, cost or build every episode under a folder, on all cores or on a cluster.

An episode is gone through again only if something that it read has changed. Each is one ``Order`` that any
``concurrent.futures.Executor`` may carry out; whoever outgrows one machine hands in a cluster's.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Executor, ProcessPoolExecutor, as_completed
from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path

from shootplan.app import DiskFiles, Loaded, build, check, cost, load
from shootplan.model.costing import EpisodeCost
from shootplan.model.episode import Episode
from shootplan.model.season import ClaimToday, EpisodeReview, Order, SeasonReport, Task
from shootplan.problems import InfeasiblePlan, InputError, OutputError, Problem
from shootplan.write.kept import Kept

__all__ = ["episode_folders", "review", "review_many", "season"]

_MOST_KEPT = 20_000
_MOST_SHOWN = 5
_PLACES = 4
#: Episodes that travel to a worker together: few enough to share the work, enough to be worth the way.
_BATCH = 8


def season(
    folder: str | Path,
    *,
    task: Task = Task.CHECK,
    on: date | None = None,
    corrections: Iterable[str] = (),
    executor: Executor | None = None,
    workers: int | None = None,
    is_anew: bool = False,
    progress: Callable[[str], None] | None = None,
) -> SeasonReport:
    """
    Return what was found in every episode under ``folder``.

    Parameters
    ----------
    folder
        Looked through at any depth for folders with an ``episode.md``.
    task
        What to do with each; ``COSTS`` judges the claims, ``BUILD`` writes the documents too.
    on
        The day whose prices count instead of each episode's own.
    corrections
        Prices to try, "rolled oats=2.10"; what they touch is named.
    executor
        Who carries the orders out; ``None`` for processes on this machine.
    workers
        How many processes, by default one for each core.
    is_anew
        Go through every episode, whether something has changed or not.
    progress
        Called with a few words as episodes are done.

    Raises
    ------
    FileNotFoundError
        If there is no such folder.
    InputError
        If a correction cannot be read.
    """
    from shootplan.app.changes import check_corrections

    tell = progress or (lambda words: None)
    tried = tuple(corrections)
    check_corrections(tried)
    orders = [Order(folder=place, task=task, on=on, corrections=tried) for place in episode_folders(folder)]
    kept = _kept()
    looks = _Looks()
    found = {} if is_anew else {order: old for order in orders if (old := _fresh(kept, order, looks)) is not None}
    waiting = [order for order in orders if order not in found]
    taken_over = len(found)
    for order, new in _carried_out(waiting, executor, workers):
        found[order] = new
        if kept is not None:
            kept.put(_told(order), new)
        tell(f"{len(found)} of {len(orders)} episodes")
    if kept is not None:
        kept.tidy()
    reviews = sorted(found.values(), key=lambda item: (item.day or date.min, item.folder))
    return SeasonReport(reviews=tuple(reviews), kept=taken_over)


def episode_folders(folder: str | Path) -> tuple[str, ...]:
    """
    Return the folders with an ``episode.md`` at any depth, sorted; links and hidden folders are not followed.

    Raises
    ------
    FileNotFoundError
        If there is no such folder.
    """
    top = Path(folder)
    if not top.is_dir():
        raise FileNotFoundError(f'there is no folder "{folder}"')
    found = []
    for place, below, names in os.walk(top):
        below[:] = sorted(name for name in below if not name.startswith("."))
        if "episode.md" in names:
            found.append(place)
    return tuple(sorted(found))


# --------------------------------------------------------------------------------------------------- the orders


def _carried_out(
    orders: list[Order], executor: Executor | None, workers: int | None
) -> Iterator[tuple[Order, EpisodeReview]]:
    if not orders:
        return
    count = workers or os.cpu_count() or 1
    if executor is None and (count == 1 or len(orders) == 1):
        for order in orders:
            yield order, review(order)
        return
    if executor is not None:
        yield from _sent(orders, executor)
        return
    with ProcessPoolExecutor(max_workers=min(count, len(orders))) as pool:
        yield from _sent(orders, pool)


def _sent(orders: list[Order], executor: Executor) -> Iterator[tuple[Order, EpisodeReview]]:
    size = max(1, min(_BATCH, len(orders) // (2 * (os.cpu_count() or 1))))
    batches = [tuple(orders[start : start + size]) for start in range(0, len(orders), size)]
    waiting = {executor.submit(review_many, batch): batch for batch in batches}
    for future in as_completed(waiting):
        yield from zip(waiting[future], future.result(), strict=True)


def review_many(orders: tuple[Order, ...]) -> tuple[EpisodeReview, ...]:
    """Carry out several orders, one after the other."""
    return tuple(review(order) for order in orders)


def review(order: Order) -> EpisodeReview:
    """Carry out one order; faults of the user's files are told, never raised."""
    files = _NotedFiles()
    try:
        done = _done(order, files)
    except InputError as error:
        done = _with_problems(_blank(order), error.problems)
    except InfeasiblePlan as error:
        rules = "; ".join(conflict.rule for conflict in error.conflicts)
        done = replace(_blank(order), failure=f"no plan keeps all of these rules together: {rules}")
    except (OutputError, OSError) as error:
        done = replace(_blank(order), failure=str(error))
    if order.task is Task.BUILD:
        for path in (_manifest(order), *sorted((Path(order.folder) / "templates").rglob("*.j2"))):
            files.note_bytes(str(path))
    return replace(done, read=files.read())


def _done(order: Order, files: _NotedFiles) -> EpisodeReview:
    if order.task is Task.CHECK:
        checked = check(order.folder, files=files)
        if checked.has_errors:
            return _with_problems(_blank(order), checked.problems)
    loaded = load(order.folder, files=files)
    done = _with_problems(_blank(order), loaded.problems)
    done = replace(done, title=loaded.episode.title, day=loaded.episode.shoot_date)
    if order.task is Task.BUILD:
        built = build(order.folder, files=files)
        done = replace(done, documents=len(built.paths))
    if order.task is not Task.CHECK or order.on is not None or order.corrections:
        published, now = _costs_of(loaded, order, files)
        done = replace(done, claims=_claims(published, now), moved=_moved(published, now))
    return done


def _costs_of(loaded: Loaded, order: Order, files: _NotedFiles) -> tuple[EpisodeCost, EpisodeCost]:
    """Return the costs as published and at the prices asked for."""
    from shootplan.app.changes import corrected

    published, _ = cost(loaded)
    if order.on is None and not order.corrections:
        return published, published

    def edit(episode: Episode) -> Episode:
        dated = replace(episode, shoot_date=order.on) if order.on is not None else episode
        return corrected(dated, order.corrections, is_lenient=True)

    now, _ = cost(load(order.folder, files=files, edit=edit))
    return published, now


def _claims(published: EpisodeCost, now: EpisodeCost) -> tuple[ClaimToday, ...]:
    return tuple(
        ClaimToday(
            text=new.claim.text,
            was_allowed=old.is_allowed,
            is_allowed=new.is_allowed,
            wording=new.wording,
            reason="" if new.is_allowed else "; ".join(new.reasons),
        )
        for old, new in zip(published.verdicts, now.verdicts, strict=True)
    )


def _moved(published: EpisodeCost, now: EpisodeCost) -> tuple[str, ...]:
    """Return the servings whose cost is another at the prices asked for, to four places."""
    moved = []
    for old, new in zip(published.recipes, now.recipes, strict=True):
        for name, before, after in (
            ("without options", old.core_per, new.core_per),
            ("with options", old.with_options_per, new.with_options_per),
        ):
            if before.per_hearty != after.per_hearty:
                was, is_now = (item.per_hearty.rounded(_PLACES).amount for item in (before, after))
                moved.append(f"{old.recipe}, a serving {name}: {was} → {is_now} {now.currency}")
    return tuple(dict.fromkeys(moved))


def _blank(order: Order) -> EpisodeReview:
    return EpisodeReview(folder=order.folder, title=Path(order.folder).name, day=None, errors=0, warnings=0)


def _with_problems(review: EpisodeReview, problems: Iterable[Problem]) -> EpisodeReview:
    told = tuple(problems)
    errors = sum(problem.is_error for problem in told)
    first = sorted(told, key=lambda problem: (not problem.is_error, problem.sort_key))[:_MOST_SHOWN]
    lines = tuple(f"{item.span}: {item.severity.value}[{item.code}]: {item.message}" for item in first)
    return replace(review, errors=errors, warnings=len(told) - errors, problems=lines)


# ------------------------------------------------------------------------------------- what has not changed since


class _NotedFiles(DiskFiles):
    """The disk, with a note of what was read."""

    def __init__(self) -> None:
        self._seen: dict[str, str] = {}

    def text(self, path: str) -> str:
        """Return the text and note its digest, also of a file that is not there."""
        self.note_bytes(path)
        return super().text(path)

    def names(self, folder: str) -> tuple[str, ...]:
        """Return the names and note their digest."""
        names = super().names(folder)
        self._seen[folder + "/"] = _digest("\n".join(names).encode())
        return names

    def note_bytes(self, path: str) -> None:
        """Note what stands in a file now."""
        self._seen[path] = _file_digest(path)

    def read(self) -> tuple[tuple[str, str], ...]:
        """Return all notes, sorted."""
        return tuple(sorted(self._seen.items()))


class _Looks:
    """What stands in files now, each looked at once though many episodes share a price book."""

    def __init__(self) -> None:
        self._seen: dict[str, str] = {}
        self._disk = DiskFiles()

    def is_as_noted(self, notes: Iterable[tuple[str, str]]) -> bool:
        """Whether everything still stands as it was read."""
        return all(self._now(path) == digest for path, digest in notes)

    def _now(self, path: str) -> str:
        if path not in self._seen:
            is_folder = path.endswith("/")
            names = "\n".join(self._disk.names(path[:-1])) if is_folder else ""
            self._seen[path] = _digest(names.encode()) if is_folder else _file_digest(path)
        return self._seen[path]


def _file_digest(path: str) -> str:
    try:
        return _digest(Path(path).read_bytes())
    except OSError:
        return ""


def _digest(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _manifest(order: Order) -> Path:
    return Path(order.folder) / "out" / "manifest.json"


def _kept() -> Kept | None:
    from shootplan.resources import cache_folder

    folder = cache_folder("season")
    return Kept(folder, most=_MOST_KEPT) if folder is not None else None


def _told(order: Order) -> str:
    """Return everything but the files that a review depends on: the order and the program itself."""
    return f"{_program()}\n{Path(order.folder).resolve()}\n{order!r}"


@cache
def _program() -> str:
    from shootplan import __file__ as place
    from shootplan import __version__
    from shootplan.resources import templates_root

    files = sorted((*Path(place).parent.rglob("*.py"), *templates_root().rglob("*.*")))
    stamps = ((path.name, path.stat().st_size, path.stat().st_mtime_ns) for path in files)
    return f"{__version__} {_digest(repr(tuple(stamps)).encode())}"


def _fresh(kept: Kept | None, order: Order, looks: _Looks) -> EpisodeReview | None:
    if kept is None:
        return None
    found = kept.get(_told(order))
    return found if isinstance(found, EpisodeReview) and looks.is_as_noted(found.read) else None
