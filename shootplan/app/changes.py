"""
The use case "what changes": two saved plans compared, or an episode with corrected prices compared with itself.

A price touches neither the plan nor the times, so nothing is planned again: costs, texts and captions are computed for
both states and laid side by side.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

from shootplan.app import DiskFiles, Loaded, cost, load
from shootplan.app import times as times_of
from shootplan.model.changes import Change, ChangeReport, Edition, Fact, FactKind
from shootplan.model.episode import Episode, PriceKind, PriceRow
from shootplan.model.times import EpisodeTimes
from shootplan.problems import InputError, Problem, Span
from shootplan.read.files import Files

__all__ = ["CARRIERS", "changes_between", "changes_by_price", "check_corrections", "compare", "corrected"]

_COSTING, _BLOG = ("costing.csv", "costing.html"), ("blog/{recipe}.html", "blog/{recipe}.md")
_SHOPPING, _COVER = ("shopping.csv", "shopping.html", "shopping.md"), ("index.html",)
_PREP, _CALL = ("prep.html", "prep.ics", "prep.md"), ("call_sheet.html", "call_sheet.md")
_DAY = ("shooting_order.html", "shooting_order.md", "board.html", "timeline.svg", *_PREP, *_CALL)
_CAPTIONS, _EDIT = ("captions.csv", "captions.srt", "captions.ttml", "captions.vtt"), ("edit.edl", "edit.otio")
_CHAPTERS, _DESCRIPTION = ("chapters.txt",), ("description.txt",)
_BLOG_COVER, _SCRIPT = ("blog/index.html", "blog/index.md"), ("reading.html", "script.html", "script.md")
_AGREEMENT = ("agreement.html", "agreement.md")
#: What lists all dishes with their prices.
_LISTS = (*_COVER, *_BLOG_COVER, *_DESCRIPTION)
#: Which documents carry which kind of fact. ``{recipe}`` is the recipe's id; a fact of no recipe is on every blog page.
CARRIERS: dict[FactKind, tuple[str, ...]] = {
    FactKind.EPISODE: (*_COSTING, *_BLOG, *_LISTS, *_DAY, *_SHOPPING, *_CAPTIONS, *_SCRIPT),
    FactKind.RECIPE: (*_COSTING, *_BLOG, *_LISTS, *_DAY, *_SHOPPING, *_SCRIPT),
    FactKind.PRICE_ROW: (*_COSTING, *_SHOPPING, *_DESCRIPTION),
    FactKind.LINE: (*_COSTING, *_BLOG, *_AGREEMENT),
    FactKind.SERVING: (*_COSTING, *_BLOG, *_LISTS, *_AGREEMENT),
    FactKind.TOTAL: (*_COSTING, *_LISTS, *_AGREEMENT),
    FactKind.CLAIM: ("costing.html", *_COVER, *_DESCRIPTION, *_AGREEMENT),
    FactKind.AMOUNT: (*_COSTING, *_BLOG, *_SHOPPING, *_PREP, *_AGREEMENT),
    FactKind.ALLERGEN: (*_BLOG, *_COVER, *_DAY, *_DESCRIPTION),
    FactKind.TIME: (*_BLOG, *_LISTS, *_AGREEMENT),
    FactKind.DAY: (*_COVER, *_DAY),
    FactKind.FILMED: (*_COVER, "shoot_day.html", "shoot_day.md", "board.html", *_PREP, *_CALL),
    FactKind.LENGTH: (*_COVER, *_CHAPTERS, *_EDIT, *_DESCRIPTION, *_SCRIPT),
    FactKind.CAPTION: (*_CAPTIONS, *_EDIT, *_SCRIPT, *_AGREEMENT),
    FactKind.NARRATION: (*_EDIT, *_SCRIPT, *_AGREEMENT),
    FactKind.TEXT: (*_BLOG, *_AGREEMENT),
}


def changes_between(old: str | Path, new: str | Path, *, files: Files | None = None) -> ChangeReport:
    """
    Return what differs between two saved plans.

    Raises
    ------
    InputError
        If one of them is not a plan of this schema version; the faults of both files are in it.
    OSError
        If one of them cannot be opened.
    """
    editions: list[Edition] = []
    problems: list[Problem] = []
    for path in (str(old), str(new)):
        edition, faults = _saved(path, files or DiskFiles())
        problems += faults
        editions += [edition] if edition is not None else []
    if problems:
        raise InputError(problems)
    return compare(*editions)


def changes_by_price(folder: str | Path, corrections: Iterable[str], *, files: Files | None = None) -> ChangeReport:
    """
    Return what changes when the newest price of items is corrected: "rolled oats=2.10".

    Raises
    ------
    InputError
        If the episode has errors, a correction cannot be read, or its item has no price on the day.
    """
    loaded = load(folder, files=files)
    wanted = tuple(corrections)
    state = load(folder, files=files, edit=lambda episode: corrected(episode, wanted))
    kitchen_times = times_of(loaded)
    return compare(_computed(loaded, kitchen_times, "as it is"), _computed(state, kitchen_times, "with the new price"))


def compare(old: Edition, new: Edition) -> ChangeReport:
    """Return the facts that differ, part by part; a part that only one edition holds is named, not compared."""
    shared = [name for name in old.parts if name in new.parts]
    found = [change for name in shared for change in _differences(old.parts[name], new.parts[name])]
    return ChangeReport(
        old=old.name,
        new=new.name,
        title=new.title,
        changes=tuple(found),
        not_compared=tuple(sorted(set(old.parts) ^ set(new.parts))),
    )


def _differences(old: Iterable[Fact], new: Iterable[Fact]) -> Iterator[Change]:
    before, after = ({fact.key: fact for fact in facts} for facts in (old, new))
    for key in dict.fromkeys((*before, *after)):
        was, now = before.get(key), after.get(key)
        if was is None or now is None or was.compared != now.compared:
            yield _change(was, now)


def _change(was: Fact | None, now: Fact | None) -> Change:
    fact = now or was
    if fact is None:
        raise ValueError("a change needs a fact")
    old, new = was.shown if was is not None else "", now.shown if now is not None else ""
    return Change(
        kind=fact.kind, about=fact.about, label=fact.label, old=old, new=new, documents=_carriers(fact),
        prints_alike=old == new,
    )  # fmt: skip


def _carriers(fact: Fact) -> tuple[str, ...]:
    """Return the documents that carry a fact; the episode's own texts stand on the cover page."""
    if fact.kind is FactKind.TEXT and not fact.about:
        return (*_COVER, *_BLOG_COVER)
    return tuple(name.format(recipe=fact.about or "*") for name in CARRIERS[fact.kind])


# ------------------------------------------------------------------------------------------------------ editions


def _saved(path: str, files: Files) -> tuple[Edition | None, tuple[Problem, ...]]:
    """Read a saved plan; a folder stands for the plan.json in it or in its ``out``."""
    from shootplan.read.saved import read_saved

    folder = Path(path)
    if folder.is_dir():
        known = [item for item in (folder / "plan.json", folder / "out" / "plan.json") if item.is_file()]
        if not known:
            raise FileNotFoundError(f'there is no plan.json in "{folder}": build the episode first')
        path = str(known[0])
    try:
        text = files.text(path)
    except UnicodeDecodeError as error:
        message = f"the file is not UTF-8 text (byte {error.start})"
        return None, (Problem(span=Span(path), code="file-unreadable", message=message, hint="give a plan.json"),)
    return read_saved(path, text)


def _computed(loaded: Loaded, kitchen_times: EpisodeTimes, name: str) -> Edition:
    """Return the facts of an episode as they are now, without its day: prices do not change the times."""
    from shootplan.app import fill_and_cut
    from shootplan.read.saved import edition_of
    from shootplan.render.plan_json import figures_json

    costs, _ = cost(loaded)
    filled, cut, costs = fill_and_cut(loaded, costs, kitchen_times)
    record = figures_json(loaded.resolved, costs=costs, times=kitchen_times, filled=filled, cut=cut)
    edition, problems = edition_of(name, record)
    if edition is None:
        raise ValueError(f"our own record cannot be read back: {problems[0].message}")
    return edition


# --------------------------------------------------------------------------------------------------- corrections


def corrected(episode: Episode, corrections: tuple[str, ...], *, is_lenient: bool = False) -> Episode:
    """
    Return the episode with the prices of the rows that count replaced.

    ``is_lenient`` passes over an item that this episode's price book does not have: of many episodes few use it.

    Raises
    ------
    InputError
        If a correction cannot be read, or its item has no price on the day.
    """
    from shootplan.resolve.prices import Prices

    prices = Prices.of(episode)
    swapped: dict[PriceRow, PriceRow] = {}
    problems: list[Problem] = []
    for text in corrections:
        item, price = _correction(text)
        row = prices.find(item)
        if price is None:
            problems.append(_unreadable(text))
        elif row is None and not is_lenient:
            hint = prices.near(item) or f"the items stand in {episode.prices.path}"
            problems.append(_bad(text, f'"{item}" has no price on the day of the episode', hint))
        elif row is not None:
            swapped[row] = _with_price(row, price)
    if problems:
        raise InputError(problems)
    rows = tuple(swapped.get(row, row) for row in episode.prices.rows)
    return replace(episode, prices=replace(episode.prices, rows=rows))


def check_corrections(corrections: Iterable[str]) -> None:
    """
    Refuse corrections that are not an item and a price.

    Raises
    ------
    InputError
        With a problem for each that cannot be read.
    """
    problems = [_unreadable(text) for text in corrections if _correction(text)[1] is None]
    if problems:
        raise InputError(problems)


def _unreadable(text: str) -> Problem:
    return _bad(text, f'"{text}" is not an item and a price', 'write "rolled oats=2.10"')


def _correction(text: str) -> tuple[str, Decimal | None]:
    from shootplan.read.values import Wrong, read_price

    item, _, price = text.rpartition("=")
    found = read_price(price.strip())
    return " ".join(item.split()), None if isinstance(found, Wrong) or not item.strip() else found


def _with_price(row: PriceRow, price: Decimal) -> PriceRow:
    """Return the row with what is charged for it replaced: the regular price where an offer names one (rule M5)."""
    if row.kind is not PriceKind.REGULAR and row.regular_price is not None:
        return replace(row, regular_price=price)
    return replace(row, price=price)


def _bad(text: str, message: str, hint: str) -> Problem:
    return Problem(span=Span("--price", 1, 1, len(text) + 1), code="price-correction-bad", message=message, hint=hint)
