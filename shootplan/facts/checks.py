"""
The checks over narration, captions, costs and the cut that need no built document (C1, C2, C5–C14, C17).

A publication and the statements of its texts come in; a ``CheckResult`` for each check goes out. C15 is
about a re-timed edit, and C3, C4, C16, C18–C20 about written files: they are asked elsewhere.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction
from itertools import pairwise

from shootplan.facts.agreement import read_statements
from shootplan.facts.book import FactBook, Place
from shootplan.facts.figures import Typed, find_figures
from shootplan.facts.judgement import TextPlace
from shootplan.facts.known_amounts import find_line, find_line_before, fits, is_comparable
from shootplan.facts.spoken_order import check_order
from shootplan.model.agreement import CheckResult, FigureKind, Statement, Verdict
from shootplan.model.cut import Caption, Cut, Row
from shootplan.model.money import half_up
from shootplan.model.publication import Publication
from shootplan.model.quantity import Amount
from shootplan.model.resolved import ResolvedRecipe
from shootplan.problems import Span

__all__ = ["TITLES", "check_texts"]

#: What each check holds together; the list is the one of our reference on scripts and captions.
TITLES = {
    "C1": "every figure in free text speaks of a fact",
    "C2": "what is spoken is what is shown",
    "C3": "what is shown is what is published",
    "C4": "the page and the data in it say the same",
    "C5": "one number of servings everywhere",
    "C6": "price of a serving × servings = total",
    "C7": "claim words hold for the exact and the printed figure",
    "C8": "one rounding, and the sum of lines is explained",
    "C9": "one currency",
    "C10": "both measures of a line agree",
    "C11": "times spoken, shown and published agree",
    "C12": "every caption stays long enough",
    "C13": "a caption keeps close to the spoken figure",
    "C14": "rows add up to the video and hold their narration",
    "C15": "the re-timed edit has every caption",
    "C16": "all times lie on frames",
    "C17": "words on diet are stated by the recipe",
    "C18": "a price stands with its date",
    "C19": "texts come through escaping unchanged",
    "C20": "chapters begin at 0:00, rise, and are long enough",
}
#: A row, a caption over it, an ingredient, what is said of it and what is shown.
_Pair = tuple[Row, Caption, str, Typed, Typed]


def check_texts(
    publication: Publication, statements: tuple[Statement, ...], length_of: Callable[[str], int]
) -> tuple[CheckResult, ...]:
    """Return the checks in their order, with what each compared and found; ``length_of`` times a spoken text."""
    book = FactBook(publication.resolved, publication.costs, publication.times)
    pairs = list(_pairs(_overlaps(publication.cut), book))
    checks: dict[str, Callable[[], tuple[int, list[str]]]] = {
        "C1": lambda: _told(statements, tuple(FigureKind)),
        "C2": lambda: _spoken_and_shown(publication.cut, pairs, book),
        "C5": lambda: _servings(publication, statements),
        "C6": lambda: _products(publication),
        "C7": lambda: _claims(publication, statements),
        "C8": lambda: _rounding(publication),
        "C9": lambda: _currency(publication, statements),
        "C10": lambda: _measures(publication),
        "C11": lambda: _told(statements, (FigureKind.TIME,)),
        "C12": lambda: _holds(publication.cut),
        "C13": lambda: check_order(publication.cut, length_of),
        "C14": lambda: _lengths(publication.cut),
        "C17": lambda: _told(statements, (FigureKind.DIET,)),
    }
    found = []
    for name, check in checks.items():
        compared, broken = check()
        found.append(CheckResult(id=name, title=TITLES[name], compared=compared, broken=tuple(broken)))
    return tuple(found)


def _told(statements: tuple[Statement, ...], kinds: tuple[FigureKind, ...]) -> tuple[int, list[str]]:
    asked = [item for item in statements if item.kind in kinds and item.verdict is not Verdict.NO_FACT]
    return len(asked), [_sentence(item) for item in asked if item.verdict is Verdict.DIFFERS]


def _sentence(item: Statement) -> str:
    place = " ".join(word for word in (item.recipe or "episode", item.step) if word)
    return f'{place}, {item.text}: "{item.words}", known is {item.fact}'


# ---------------------------------------------------------------------------------------------------- spoken, shown


def _overlaps(cut: Cut) -> list[tuple[Row, Caption]]:
    """Return each caption with the rows whose narration it stands over."""
    return [
        (row, caption)
        for row in cut.rows
        for caption in cut.captions
        if row.say and caption.in_ms < row.start_ms + row.speech_ms and row.start_ms < caption.out_ms
    ]


def _pairs(rows: list[tuple[Row, Caption]], book: FactBook) -> Iterator[_Pair]:
    """Yield amounts of one ingredient that are spoken and shown at one time."""
    for row, caption in rows:
        recipe = book.resolved.recipe(row.recipe)
        if recipe is None or not any(sign.isdigit() for sign in caption.text):
            continue
        said, shown = _amounts(row.say, recipe), _amounts(caption.text.replace("\n", ". "), recipe)
        for key in said.keys() & shown.keys():
            for one in said[key]:
                for other in shown[key]:
                    if is_comparable(one.unit, Amount(other.low, other.high, other.unit), recipe.measures):
                        yield row, caption, key, one, other


def _amounts(text: str, recipe: ResolvedRecipe) -> dict[str, list[Typed]]:
    found: dict[str, list[Typed]] = {}
    for typed in find_figures(text):
        if typed.kind in (FigureKind.AMOUNT, FigureKind.COUNT):
            key = find_line(typed.name, recipe) or find_line_before(typed.before, recipe)
            if key is not None:
                found.setdefault(key, []).append(typed)
    return found


def _spoken_and_shown(cut: Cut, pairs: list[_Pair], book: FactBook) -> tuple[int, list[str]]:
    """Read what is said and shown in the finished rows back, placeholders filled, and pair what stands at one time."""
    read = [item for row in cut.rows for item in _read_row(row, cut, book) if item.verdict is not Verdict.NO_FACT]
    paired, differing = _paired(pairs, book)
    return len(read) + paired, [_sentence(item) for item in read if item.verdict is Verdict.DIFFERS] + differing


def _read_row(row: Row, cut: Cut, book: FactBook) -> Iterator[Statement]:
    recipe = book.resolved.recipe(row.recipe)
    step = recipe.recipe.step(row.step) if recipe is not None else None
    shown = [item.text.replace("\n", " · ") for item in cut.captions if item.row == row.id]
    for kind, text in (("narration", row.say), *(("caption", text) for text in shown)):
        yield from read_statements(text, TextPlace(Place(recipe, step), kind, Span("cut")), book)


def _paired(pairs: list[_Pair], book: FactBook) -> tuple[int, list[str]]:
    seen: dict[tuple[str, str, str], list[tuple[bool, str]]] = {}
    for row, caption, key, said, shown in pairs:
        recipe = book.resolved.recipe(row.recipe)
        measures = recipe.measures if recipe is not None else ""
        amount = Amount(shown.low, shown.high, shown.unit)
        same = fits(said.low, said.high, said.unit, amount, measures, slack=Fraction(0))
        words = f'row {row.id}: says "{said.words}" and shows "{shown.words}" of {key}'
        seen.setdefault((row.id, caption.id, key), []).append((same, words))
    return len(seen), [told[0][1] for told in seen.values() if not any(same for same, _ in told)]


def _holds(cut: Cut) -> tuple[int, list[str]]:
    short = [item for item in cut.captions if item.hold_ms < item.need_ms]
    return len(cut.captions), [f"caption {item.id} stays {item.hold_ms} ms and needs {item.need_ms}" for item in short]


def _lengths(cut: Cut) -> tuple[int, list[str]]:
    rows = cut.rows
    broken = [
        f"row {row.id}: {row.speech_ms} ms of narration in {row.length_ms} ms"
        for row in rows
        if row.speech_ms > row.length_ms
    ]
    for before, after in pairwise(rows):
        if before.start_ms + before.length_ms > after.start_ms:
            broken.append(f"row {after.id} begins before {before.id} ends")
    if rows and rows[-1].start_ms + rows[-1].length_ms != cut.length_ms:
        broken.append(f"the rows end at {rows[-1].start_ms + rows[-1].length_ms} ms, the video at {cut.length_ms}")
    return len(rows), broken


# ---------------------------------------------------------------------------------------------------- money


def _servings(publication: Publication, statements: tuple[Statement, ...]) -> tuple[int, list[str]]:
    compared, broken = _told(statements, (FigureKind.SERVINGS,))
    for costs in publication.costs.recipes:
        recipe = publication.resolved.recipe(costs.recipe)
        if recipe is not None and not costs.is_sub_preparation:
            compared += 1
            if (costs.hearty, costs.small) != (recipe.recipe.serves.hearty, recipe.recipe.serves.small):
                broken.append(f"{costs.recipe} serves {recipe.recipe.serves.hearty} and is costed for {costs.hearty}")
    return compared, broken


def _products(publication: Publication) -> tuple[int, list[str]]:
    places = publication.costs.places
    compared, broken = 0, []
    for item in publication.costs.recipes:
        if item.is_sub_preparation:
            continue
        for total, per in ((item.core, item.core_per), (item.with_options, item.with_options_per)):
            compared += 1
            if per.per_hearty.times(item.hearty).exact != total.exact:
                broken.append(f"{item.recipe}: a serving times {item.hearty} is not the total")
            off = abs(Fraction(per.per_hearty.rounded(places).amount) - per.per_hearty.exact)
            if 2 * off * 10**places > 1:
                broken.append(f"{item.recipe}: the printed serving is more than half a minor unit off")
    return compared, broken


def _claims(publication: Publication, statements: tuple[Statement, ...]) -> tuple[int, list[str]]:
    verdicts = publication.costs.verdicts
    compared, broken = _told(statements, (FigureKind.MONEY,))
    broken += [f'claim "{item.claim.text}": {"; ".join(item.reasons)}' for item in verdicts if not item.is_allowed]
    return compared + len(verdicts), broken


def _rounding(publication: Publication) -> tuple[int, list[str]]:
    """Exact lines add up to the exact total; printed ones may differ by half a minor unit a line, which is told."""
    places = publication.costs.places
    compared, broken = 0, []
    for item in publication.costs.recipes:
        lines = [line.cost.exact for line in item.lines if line.cost is not None]
        if item.is_sub_preparation or item.staples_flat is not None:
            continue
        compared += 1
        printed = sum((Fraction(half_up(value, places)) for value in lines), Fraction(0))
        if sum(lines, Fraction(0)) != item.with_options.exact:
            broken.append(f"{item.recipe}: the lines do not add up to the total")
        if abs(printed - item.with_options.exact) * 2 * 10**places > len(lines):
            broken.append(f"{item.recipe}: the printed lines are further from the total than rounding explains")
    return compared, broken


def _currency(publication: Publication, statements: tuple[Statement, ...]) -> tuple[int, list[str]]:
    code, also = publication.costs.currency, publication.resolved.episode.also
    named = [
        line.line.price for item in publication.costs.recipes for line in item.lines if line.line.price is not None
    ]
    broken = [f"{row.item} is priced in {row.currency}" for row in named if row.currency != code]
    told = [item for item in statements if item.about == "currency" and item.verdict is Verdict.DIFFERS]
    if also is not None and also.currency == code:
        broken.append("the second currency is the first")
    return len(named), broken + [_sentence(item) for item in told]


def _measures(publication: Publication) -> tuple[int, list[str]]:
    both = [line for recipe in publication.resolved.recipes for line in recipe.lines if line.line.second is not None]
    differ = [problem for problem in publication.problems if problem.code == "measures-differ"]
    return len(both), [problem.message for problem in differ]
