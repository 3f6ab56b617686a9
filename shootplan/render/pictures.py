"""
Small pictures for the pages: what a dish costs line by line, hands-on beside waiting, equipment at its peak, the cut.

A publication comes in; shapes in units of a narrow page go out, which a template turns into SVG. A picture is drawn for
a phone and grows with the page, so that its letters never shrink. Solid, hatched and hollow tell things apart, never a
colour; every figure also stands in words.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import field
from fractions import Fraction

from shootplan.model.chapters import chapters_of
from shootplan.model.money import Cost
from shootplan.model.show import range_text, running_text
from shootplan.records import dataclass
from shootplan.render.basis import Basis
from shootplan.render.views_day import peak_rows
from shootplan.render.views_times import exact_times

__all__ = ["Picture", "Shape", "Words", "cost_picture", "cut_picture", "peaks_picture", "times_picture"]

_WIDTH = 340
_ROW, _BAR = 42, 14
#: Width of one letter in these units, wider than any of the fonts have it on the average.
_LETTER = 7.2
_MOST_LINES = 8
_MOST_BOXES = 16


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """A rectangle; ``style`` is "solid", "hatched" or "hollow"."""

    x: float
    y: float
    width: float
    height: float
    style: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """A text at a place; ``anchor`` as in SVG, ``is_strong`` for what leads its row."""

    x: float
    y: float
    text: str
    anchor: str = "start"
    is_strong: bool = False
    is_inverse: bool = False


@dataclass(slots=True, kw_only=True)
class Picture:
    """A picture with its name and its description in words; ``id`` is unique in a page."""

    id: str
    title: str
    description: str
    width: int = _WIDTH
    height: int = 0
    shapes: list[Shape] = field(default_factory=list)
    words: list[Words] = field(default_factory=list)

    def row(self, label: str, figure: str) -> float:
        """Begin a row with a label at the left and a figure at the right; return where its bar begins."""
        top = self.height
        room = int((_WIDTH - len(figure) * _LETTER - 8) / _LETTER)
        self.words.append(Words(x=0, y=top + 14, text=_cut(label, room), is_strong=True))
        self.words.append(Words(x=_WIDTH, y=top + 14, text=figure, anchor="end"))
        self.height = top + _ROW
        return top + 20

    def bar(self, x: float, y: float, width: float, style: str) -> None:
        """Draw a bar; one that is not nothing is never thinner than can be seen."""
        self.shapes.append(Shape(x=round(x, 1), y=y, width=round(max(width, 2.0), 1), height=_BAR, style=style))

    def key(self, entries: Sequence[tuple[str, str]]) -> None:
        """Say what the fillings mean, in one row."""
        x = 0.0
        for style, text in entries:
            self.shapes.append(Shape(x=x, y=self.height + 4, width=22, height=12, style=style))
            self.words.append(Words(x=x + 28, y=self.height + 14, text=text))
            x += 28 + len(text) * _LETTER + 16
        self.height += 24


def _cut(text: str, room: int) -> str:
    return text if len(text) <= room else text[: max(room - 1, 1)].rstrip() + "…"


# ---------------------------------------------------------------------------------------------------- costs


def cost_picture(basis: Basis, recipe_id: str) -> Picture | None:
    """Return the lines of a dish by what they cost, dearest first, options hollow; ``None`` if nothing has a price."""
    cost = basis.cost(recipe_id)
    known = [(line.line.line.item, line.cost, line.is_optional) for line in cost.lines if line.cost and line.cost.exact]
    if not known:
        return None
    core = sorted((row for row in known if not row[2]), key=lambda row: -row[1].exact)
    options = sorted((row for row in known if row[2]), key=lambda row: -row[1].exact)
    most = max(row[1].exact for row in known)
    picture = Picture(
        id=f"cost-{recipe_id}", title=f"{basis.title(recipe_id)}: what the money goes into", description=""
    )
    said: list[str] = []
    for place, (item, amount, is_optional) in enumerate([*core[:_MOST_LINES], *options]):
        if place == _MOST_LINES:
            _rest(basis, picture, core[_MOST_LINES:], said)
        share = "" if is_optional or not cost.core.exact else f", {_percent(amount.exact / cost.core.exact)} %"
        figure = f"{basis.printer.line(amount)}{share}"
        y = picture.row(item, figure)
        picture.bar(0, y, float(amount.exact / most * _WIDTH), "hollow" if is_optional else "solid")
        said.append(f"{item} {figure}{' (optional)' if is_optional else ''}")
    if not options:
        _rest(basis, picture, core[_MOST_LINES:], said)
    picture.key((("solid", "in the dish"), ("hollow", "optional")) if options else (("solid", "in the dish"),))
    picture.description = f"{'; '.join(said)}."
    return picture


def _rest(basis: Basis, picture: Picture, rows: list[tuple[str, Cost, bool]], said: list[str]) -> None:
    if rows:
        total = sum((row[1] for row in rows[1:]), rows[0][1])
        words = f"{len(rows)} more lines" if len(rows) > 1 else "1 more line"
        picture.words.append(Words(x=0, y=picture.height + 10, text=f"and {words}: {basis.printer.line(total)}"))
        picture.height += 22
        said.append(f"{words} {basis.printer.line(total)}")


def _percent(share: Fraction) -> int:
    return int(share * 100 + Fraction(1, 2))


# ---------------------------------------------------------------------------------------------------- times


def times_picture(basis: Basis) -> Picture | None:
    """Return hands-on and waiting of each dish alone, long end, on one scale; ``None`` if nothing is timed."""
    known = [(basis.title(item.recipe), item) for item in basis.publication.times.recipes if item.elapsed.high_s]
    if not known:
        return None
    longest = max(item.elapsed.high_s for _, item in known)
    picture = Picture(id="times", title="Hands-on and waiting, each dish alone, at the long end", description="")
    said: list[str] = []
    for title, item in known:
        active, passive, _ = exact_times(item)
        whole = range_text(item.elapsed.high_s, item.elapsed.high_s)
        y = picture.row(title, whole)
        hands = item.active.high_s / longest * _WIDTH
        picture.bar(0, y, hands, "solid")
        waiting = item.elapsed.high_s - item.active.high_s
        if waiting > 0:
            picture.bar(hands, y, waiting / longest * _WIDTH, "hatched")
        said.append(f"{title}: hands-on {active}, waiting {passive}")
    picture.key((("solid", "hands-on"), ("hatched", "waiting")))
    picture.description = f"{'; '.join(said)}."
    return picture


# ---------------------------------------------------------------------------------------------------- equipment


def peaks_picture(basis: Basis) -> Picture | None:
    """Return a box for each piece of what there are several of, solid in use at the peak; ``None`` without any."""
    rows = [row for row in peak_rows(basis) if 1 < row.capacity <= _MOST_BOXES]
    if not rows:
        return None
    picture = Picture(id="peaks", title="Of what there are several: in use at once, at most", description="")
    said: list[str] = []
    for row in rows:
        figure = f"{row.peak} of {row.capacity}, {row.at}"
        y = picture.row(row.label, figure)
        size = min(20.0, _WIDTH / row.capacity)
        for place in range(row.capacity):
            style = "solid" if place < row.peak else "hollow"
            picture.shapes.append(Shape(x=round(place * size, 1), y=y, width=size - 4, height=_BAR, style=style))
        said.append(f"{row.label} {row.peak} of {row.capacity}, first at {row.at}")
    picture.key((("solid", "in use"), ("hollow", "free")))
    picture.description = f"{'; '.join(said)}."
    return picture


# ---------------------------------------------------------------------------------------------------- the cut


def cut_picture(basis: Basis) -> Picture | None:
    """Return the finished video as a strip of its chapters to scale, captions as marks below; ``None`` without one."""
    cut = basis.publication.cut
    chapters = chapters_of(cut) if cut.length_ms else ()
    if not chapters:
        return None
    ends_ms = [*(item.start_ms for item in chapters), cut.length_ms][1:]
    picture = Picture(id="cut", title=f"The video, {running_text(cut.length_ms)} long", description="")
    for number, (chapter, end_ms) in enumerate(zip(chapters, ends_ms, strict=True), start=1):
        x, right = (moment / cut.length_ms * _WIDTH for moment in (chapter.start_ms, end_ms))
        style = "solid" if number % 2 else "hollow"
        picture.shapes.append(Shape(x=round(x, 1), y=2, width=round(right - x, 1), height=26, style=style))
        if right - x > len(str(number)) * _LETTER + 6:
            middle = round((x + right) / 2, 1)
            words = Words(
                x=middle, y=20, text=str(number), anchor="middle", is_strong=True, is_inverse=style == "solid"
            )
            picture.words.append(words)
    for mark in _caption_marks(basis):
        picture.shapes.append(mark)
    picture.height = 50
    said = list(_chapter_rows(picture, [(item.start_ms, item.title) for item in chapters]))
    picture.words.append(Words(x=0, y=picture.height + 14, text="below the strip: where a caption stands"))
    picture.height += 24
    picture.description = f"{'; '.join(said)}. {len(cut.captions)} captions."
    return picture


def _caption_marks(basis: Basis) -> Iterator[Shape]:
    cut = basis.publication.cut
    for caption in cut.captions:
        x, right = (moment / cut.length_ms * _WIDTH for moment in (caption.in_ms, caption.out_ms))
        yield Shape(x=round(x, 1), y=33, width=round(max(right - x, 1.0), 1), height=5, style="solid")


def _chapter_rows(picture: Picture, chapters: Sequence[tuple[int, str]]) -> Iterator[str]:
    for number, (start_ms, title) in enumerate(chapters, start=1):
        at = running_text(start_ms)
        room = int((_WIDTH - 76) / _LETTER)
        picture.words.append(Words(x=0, y=picture.height + 14, text=str(number), is_strong=True))
        picture.words.append(Words(x=62, y=picture.height + 14, text=at, anchor="end"))
        picture.words.append(Words(x=76, y=picture.height + 14, text=_cut(title, room)))
        picture.height += 20
        yield f"{number} {title} from {at}"
