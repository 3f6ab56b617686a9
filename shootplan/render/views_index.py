"""
The cover page: what it costs, how long it takes, when it wraps, how long the video is, what to mind, where the rest is.

A publication and the names of the other documents come in, ready strings go out.
"""

from __future__ import annotations

from collections.abc import Iterable

from shootplan.model.show import join_words, range_text, running_text
from shootplan.records import dataclass
from shootplan.render.basis import Basis
from shootplan.render.views_costing import ClaimView, claim_views, price_with_options, serving_noun
from shootplan.render.views_day import ahead_rows, proof_text, wrap_text
from shootplan.render.views_days import dates_text
from shootplan.render.views_notes import NoteView, all_notes
from shootplan.render.views_times import episode_times, exact_times

__all__ = ["DishRow", "DocumentLink", "IndexView", "index_view"]

_WORDS = {
    "shooting_order.html": "Shooting order, by the clock",
    "shooting_order.md": "Shooting order as plain text",
    "shoot_day.html": "Shoot day with cameras, by the clock and by set-up",
    "shoot_day.md": "Shoot day as plain text",
    "agreement.html": "Agreement of all texts and documents",
    "agreement.md": "Agreement as plain text",
    "board.html": "Board for the wall: the running order, large, with a line that follows the clock",
    "call_sheet.html": "Call sheet: people, hours, safety, look-ins, equipment",
    "call_sheet.md": "Call sheet as plain text",
    "prep.html": "Prep: before the day, fridge, trays, labels",
    "prep.md": "Prep as plain text",
    "prep.ics": "Prep as a calendar with alarms",
    "shopping.html": "Shopping list",
    "shopping.md": "Shopping list as plain text",
    "shopping.csv": "Shopping list for a spreadsheet",
    "costing.html": "Costing sheet",
    "costing.csv": "Costing sheet for a spreadsheet",
    "script.html": "Script, picture against sound",
    "script.md": "Script as plain text",
    "reading.html": "Reading view for the presenter",
    "captions.vtt": "Captions, WebVTT",
    "captions.srt": "Captions, SubRip",
    "captions.csv": "Captions as a list",
    "captions.ttml": "Captions, TTML (IMSC text)",
    "chapters.txt": "Chapters, to paste",
    "description.txt": "Description of the video, to paste",
    "edit.otio": "The edit, OpenTimelineIO",
    "edit.edl": "The edit, CMX 3600 list",
    "timeline.svg": "The day as a chart",
    "plan.json": "Everything computed, for machines",
}


#: What a document is for, by the first word of its name; what stands in no group comes under the last heading.
_GROUPS = (
    ("For the day", ("shooting_order", "shoot_day", "call_sheet", "prep", "trays", "timeline", "board", "safety")),
    ("Money and shopping", ("costing", "shopping", "swaps")),
    ("For the video", ("script", "reading", "captions", "cards/", "edit", "chapters")),
    ("To publish", ("blog/", "description")),
    ("To check, and for other programs", ()),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class DishRow:
    """One dish: prices a serving, times alone with one cook in the home kitchen."""

    id: str
    title: str
    price: str
    noun: str
    options: str
    small: str
    active: str
    passive: str
    elapsed: str
    page: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DocumentLink:
    """A document: relative path and what it is."""

    path: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class IndexView:
    """The cover page; ``figures`` are (what, figure, detail)."""

    title: str
    headnote: str
    date: str
    figures: tuple[tuple[str, str, str], ...]
    dishes: tuple[DishRow, ...]
    has_small: bool
    has_options: bool
    together: tuple[str, ...]
    ahead: tuple[tuple[str, str], ...]
    claims: tuple[ClaimView, ...]
    notes: tuple[NoteView, ...]
    warnings: tuple[str, ...]
    documents: tuple[DocumentLink, ...]

    @property
    def document_groups(self) -> tuple[tuple[str, tuple[DocumentLink, ...]], ...]:
        """The documents under headings that say what they are for, each once; empty headings are left out."""
        found: dict[str, list[DocumentLink]] = {heading: [] for heading, _ in _GROUPS}
        for link in self.documents:
            fitting = (heading for heading, starts in _GROUPS if link.path.startswith(starts))
            found[next(fitting, _GROUPS[-1][0])].append(link)
        return tuple((heading, tuple(links)) for heading, links in found.items() if links)


def index_view(basis: Basis, paths: Iterable[str]) -> IndexView:
    """Return the cover; ``paths`` are the other documents of the build."""
    dishes = tuple(_dish(basis, item.id) for item in basis.dishes)
    publication = basis.publication
    return IndexView(
        title=basis.episode.title,
        headnote=publication.filled.headnote.printed or basis.episode.headnote,
        date=dates_text(basis.episode),
        figures=tuple(_figures(basis)),
        dishes=dishes,
        has_small=any(dish.small for dish in dishes),
        has_options=any(dish.options for dish in dishes),
        together=_together(basis),
        ahead=ahead_rows(basis),
        claims=claim_views(basis),
        notes=all_notes(basis),
        warnings=tuple(f"{problem.span}: {problem.message}" for problem in publication.problems),
        documents=_documents(basis, sorted(paths, key=_reading_order)),
    )


def _dish(basis: Basis, recipe_id: str) -> DishRow:
    cost, times = basis.cost(recipe_id), basis.publication.times.recipe(recipe_id)
    active, passive, elapsed = exact_times(times) if times is not None else ("", "", "")
    small = cost.core_per.per_small
    return DishRow(
        id=recipe_id,
        title=basis.title(recipe_id),
        price=basis.price(cost.core_per.per_hearty, cost),
        noun=serving_noun(basis, recipe_id),
        options=price_with_options(basis, cost),
        small=basis.price(small, cost) if small is not None else "",
        active=active,
        passive=passive,
        elapsed=elapsed,
        page=f"blog/{recipe_id}.html",
    )


def _figures(basis: Basis) -> list[tuple[str, str, str]]:
    costs, cut = basis.publication.costs, basis.publication.cut
    is_complete = all(item.is_complete for item in costs.recipes)
    found = []
    if costs.head_core is not None and len(costs.recipes) > 1:
        price = basis.printer.money(costs.head_core, at_least=not is_complete)
        everything = basis.printer.money(costs.head_with_options, at_least=not is_complete)
        found.append(("One serving of each", price, f"{everything} with every option" if everything != price else ""))
    call, wrap = basis.clock(0), wrap_text(basis)
    proof = f"the cooking alone, {proof_text(basis.publication.plan)}"
    filmed = basis.publication.filmed
    if filmed is not None:
        proof, wrap = f"{proof_text(filmed.result)}; the cooking alone ends {wrap}", basis.clock(filmed.parts.total_s)
    found.append(("Call to wrap", f"{call}–{wrap}" if wrap else call, proof))
    active, free, _ = episode_times(basis.publication.times)
    found.append(("Hands-on, all dishes", active, f"hands free {free}"))
    found.append(("Length of the video", running_text(cut.length_ms), _length_wanted(basis)))
    found.append(("To mind", *_to_mind(basis)))
    return found


def _to_mind(basis: Basis) -> tuple[str, str]:
    """Return how many cautions there are, and how many findings and warnings about the files."""
    notes = all_notes(basis)
    cautions = sum(note.is_caution for note in notes)
    warnings = len(basis.publication.problems)
    counts = ((len(notes) - cautions, "finding"), (warnings, "warning"))
    rest = join_words(f"{count} {noun}{'' if count == 1 else 's'}" for count, noun in counts if count)
    return f"{cautions} caution{'' if cautions == 1 else 's'}", rest


def _length_wanted(basis: Basis) -> str:
    low, high = basis.episode.length_low_s, basis.episode.length_high_s
    return f"wanted: {range_text(low, high)}" if low is not None and high is not None else ""


def _together(basis: Basis) -> tuple[str, ...]:
    times = basis.publication.times
    active, free, elapsed = episode_times(times)
    cooks = "one cook" if times.cooks == 1 else f"{times.cooks} cooks"
    alone = range_text(times.sum_elapsed.low_s, times.sum_elapsed.high_s)
    return (
        f"All dishes in one go with {cooks}: hands-on {active}, hands free {free}, start to table {elapsed}.",
        f"One after the other they would take {alone}.",
    )


def _reading_order(path: str) -> tuple[bool, bool, str]:
    """Pages first, those of the day before the recipes; then everything else."""
    return (not path.endswith(".html"), path.startswith("blog/"), path)


def _documents(basis: Basis, paths: list[str]) -> tuple[DocumentLink, ...]:
    """Return a link to each document; the cards of captions, of which there are many, share one to the first."""
    cards = [path for path in paths if path.startswith("cards/")]
    links = tuple(_link(basis, path) for path in paths if not path.startswith("cards/"))
    words = f"Captions as {len(cards)} transparent pictures, the first of them"
    return (*links, DocumentLink(path=cards[0], words=words)) if cards else links


def _link(basis: Basis, path: str) -> DocumentLink:
    if path.startswith("blog/"):
        name, _, kind = path.removeprefix("blog/").rpartition(".")
        form = "page" if kind == "html" else "plain text"
        if name == "index":
            return DocumentLink(path=path, words=f"The recipes of the episode, {form}")
        return DocumentLink(path=path, words=f"{basis.title(name)}, {form}")
    return DocumentLink(path=path, words=_WORDS.get(path, path))
