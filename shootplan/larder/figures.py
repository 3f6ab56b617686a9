"""
Figures of a food with their source: grams of a household measure, density, edible yield, storage, simmering.

Every look-up climbs down the same ladder and records the rung: the kitchen's own table, the exact row, another measure
of the same food and state, the median of its category where the foods of it lie close together, unknown. Unknown is
``value=None``, never zero.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from fractions import Fraction
from functools import cache

from shootplan.larder.tables import Weight, categories, rows, weights, yields
from shootplan.larder.text import find_phrase, words
from shootplan.model.larder import Figure, Identity, OwnRow, Rung, StorageLife

__all__ = ["DISAGREEMENT", "density", "disagreement", "edible_yield", "fridge_life", "grams", "simmering"]

#: US customary cup in millilitres (NIST Handbook 44, Appendix C): the cup of the USDA tables.
US_CUP_ML = Fraction(2365882365, 10_000_000)
_MEASURE_ML = {"cup": US_CUP_ML, "tbsp": US_CUP_ML / 16, "tsp": US_CUP_ML / 48, "fl oz": US_CUP_ML / 8}
#: An explicit weight further than this from the table earns a warning.
DISAGREEMENT = Fraction(15, 100)
#: A category median is used only where its quartiles lie this close (upper / lower).
_CLOSE = Fraction(125, 100)
_SKIN = re.compile(r"skin|paring|peel", re.I)
_SKIN_SOURCE = "USDA SR28, the description of the food weighed"
_SPOONS = ("cup", "tbsp", "tsp")
_SAME_MEASURE = {"can": "tin", "tin": "can", "": "piece", "piece": "", "ear": "cob", "stalk": "stick", "stick": "stalk"}


def grams(
    identity: Identity, measure: str, *, measure_ml: Fraction | None = None, own: Iterable[OwnRow] = ()
) -> Figure:
    """
    Return the grams of ONE ``measure`` ("cup", "clove", "piece" …) of a food.

    ``measure_ml`` is how many millilitres the measure holds in the recipe's system; the USDA rows are for US customary
    cups and spoons and are scaled to it.
    """
    own_row = _own_row(identity, measure, own)
    if own_row is not None:
        return Figure(value=own_row.grams, unit="g", rung=Rung.OWN_TABLE, source=own_row.source or "own table")
    if not identity.is_known:
        return _unknown("g", identity.why_not)
    found = weights(identity.food, identity.state)
    exact = _best(found, measure, identity)
    if exact is not None:
        factor = _system_factor(measure, measure_ml)
        note = _assumption(identity, exact)
        return Figure(
            value=exact.grams * factor, unit="g", rung=Rung.EXACT, source=exact.source, note=note, form=exact.form,
            has_skin=exact.has_skin,
        )  # fmt: skip
    if measure_ml is not None:
        thick = density(identity)
        if thick.value is not None:
            scaled = [None if v is None else v * measure_ml for v in (thick.value, thick.low, thick.high)]
            return Figure(
                value=scaled[0], low=scaled[1], high=scaled[2], unit="g", rung=thick.rung, source=thick.source,
                note=thick.note,
            )  # fmt: skip
    return _unknown("g", f"no weight of one {measure or 'piece'} of {identity.food} in the tables")


def density(identity: Identity, *, measure: str = "cup") -> Figure:
    """
    Return grams per millilitre.

    From the food's own row for the ``measure`` asked for, else its cup (exact); from its spoons (other measure); or the
    median of its category (estimate).
    """
    if not identity.is_known:
        return _unknown("g/ml", identity.why_not)
    found = weights(identity.food, identity.state)
    for name in dict.fromkeys((measure if measure in _SPOONS else "cup", *_SPOONS)):
        row, rung = _best(found, name, identity), Rung.EXACT if name in (measure, "cup") else Rung.OTHER_MEASURE
        if row is not None:
            note = f"from one {name}: {float(row.grams):g} g" + (f"; {row.form}" if row.form else "")
            value = row.grams / _MEASURE_ML[name]
            return Figure(value=value, unit="g/ml", rung=rung, source=row.source, note=note, has_skin=row.has_skin)
    median = categories().get((identity.category, identity.state))
    if median is not None and median.high / median.low <= _CLOSE:
        return Figure(
            value=median.median, low=median.low, high=median.high, unit="g/ml", rung=Rung.ESTIMATE,
            source=median.source, note=f"median of {median.foods} foods: {identity.category}, {identity.state}",
        )  # fmt: skip
    return _unknown("g/ml", f"no cup or spoon weight of {identity.food} in the tables")


def edible_yield(identity: Identity, *, in_skin: bool = False) -> Figure:
    """
    Return the usable part of a food as purchased in percent; where two sources differ, the lower, both named.

    ``in_skin`` asks for the food that is left in its skin, as some published weights are: a loss of skin or parings is
    none then, and where nothing else is lost the whole is usable.

    The lower one buys enough (USDA Refuse against the open textbook's kitchen table differ by up to 14 points).
    """
    found = [item for item in yields().get(identity.food, ()) if item.state == identity.state] if identity.food else []
    if not found:
        return _unknown("%", identity.why_not or f"no yield of {identity.food} in the tables")
    if in_skin:
        found = [item for item in found if item.lost and not _SKIN.search(item.lost)]
        if not found:
            return Figure(
                value=Fraction(100), unit="%", rung=Rung.EXACT, source=_SKIN_SOURCE, note="weighed in its skin"
            )
    low = min(found, key=lambda item: (item.percent, item.source))
    others = [f"{float(item.percent):g} % ({item.source})" for item in found if item.percent != low.percent]
    note = f"lost: {low.lost}" if low.lost else ""
    if others:
        note = "; ".join(filter(None, (note, "other source: " + ", ".join(dict.fromkeys(others)))))
    return Figure(
        value=low.percent, low=low.percent, high=max(i.percent for i in found), unit="%", rung=Rung.EXACT,
        source=low.source, note=note,
    )  # fmt: skip


def disagreement(stated_g: Fraction, figure: Figure) -> Fraction | None:
    """Return by which part an author's weight differs from the table's, or ``None`` within 15 % or without a figure."""
    if figure.value is None or figure.value == 0:
        return None
    part = (stated_g - figure.value) / figure.value
    return part if abs(part) > DISAGREEMENT else None


def _life(row: dict[str, str]) -> StorageLife:
    return StorageLife(
        food=row["food"],
        fridge_days=_days(row["fridge_min_days"], row["fridge_max_days"]),
        freezer_days=_days(row["freezer_min_days"], row["freezer_max_days"]),
        opened_days=int(row["opened_max_days"]) if row["opened_max_days"] else None,
        pantry_days=int(row["pantry_max_days"]) if row["pantry_max_days"] else None,
        counted_from=row["fridge_counted"],
        source=row["source"],
    )


def fridge_life(item: str) -> StorageLife | None:
    """
    Return how long a thing as bought keeps in the fridge, or ``None``; fit to be printed beside the item.

    Only where the item's whole name is the publisher's own heading ("Butter", "Carrots, parsnips"), the days count from
    purchase, and all rows of that heading agree: a life too long makes people ill, so nothing near is taken.
    """
    found = _bought_lives().get(words(item), [])
    if not found or len({(row["fridge_min_days"], row["fridge_max_days"]) for row in found}) > 1:
        return None
    return _life(found[0])


@cache
def _bought_lives() -> dict[tuple[str, ...], list[dict[str, str]]]:
    """Return the rows of things as bought by each name of their heading."""
    lives: dict[tuple[str, ...], list[dict[str, str]]] = {}
    for row in rows("storage"):
        for name in dict.fromkeys(_headings(row["food"])) if _is_as_bought(row) else ():
            if name:
                lives.setdefault(name, []).append(row)
    return lives


def _headings(food: str) -> list[tuple[str, ...]]:
    """Return the names before the brackets of a publisher's entry."""
    return [words(part) for part in food.partition("(")[0].split(",")]


def _is_as_bought(row: dict[str, str]) -> bool:
    return bool(row["fridge_max_days"]) and row["fridge_counted"] == "from purchase"


def simmering(text: str) -> dict[str, str] | None:
    """Return the soak (hours) and simmer (minutes) ranges of a dried pulse or grain with its source, or ``None``."""
    tokens = words(text)
    best: tuple[int, dict[str, str]] | None = None
    for row in rows("simmering"):
        for name in (row["food"], *row["synonyms"].split(";")):
            phrase = words(name)
            if phrase and find_phrase(phrase, tokens) >= 0 and (best is None or len(phrase) > best[0]):
                best = (len(phrase), row)
    return best[1] if best else None


def _days(low: str, high: str) -> tuple[int, int] | None:
    if not high:
        return None
    return (int(low or high), int(high))


def _unknown(unit: str, why: str) -> Figure:
    return Figure(value=None, unit=unit, rung=Rung.UNKNOWN, note=why)


def _own_row(identity: Identity, measure: str, own: Iterable[OwnRow]) -> OwnRow | None:
    """Return the user's row for this food and measure; the longest name that stands in the text wins."""
    tokens = words(identity.text)
    fitting = [
        row
        for row in own
        if row.measure in (measure, _SAME_MEASURE.get(measure))
        and find_phrase(words(row.food), tokens) >= 0
        and row.state in ("", identity.state)
    ]
    return max(fitting, key=lambda row: len(words(row.food)), default=None)


def _best(found: Iterable[Weight], measure: str, identity: Identity) -> Weight | None:
    """Return the row for a measure: same size and form first, then the medium or plain one."""
    same = [row for row in found if row.measure in (measure, _SAME_MEASURE.get(measure))]
    if "whipped" not in identity.text:  # air is not in the carton
        same = [row for row in same if "whipped" not in row.form]
    if identity.size:
        same = [row for row in same if row.size == identity.size] or [row for row in same if not row.size]
    if not same:
        return None

    def rank(row: Weight) -> tuple[int, int]:
        form = 0 if identity.form and identity.form in row.form else 1 if not row.form else 2
        size = 0 if row.size in (identity.size, "medium") else 1
        return (form, size)

    return min(same, key=rank)


def _assumption(identity: Identity, row: Weight) -> str:
    said = []
    if identity.state_is_assumed:
        said.append(f"taken as {identity.state}")
    if row.form and row.form != identity.form:
        said.append(f"for {row.form}")
    if row.size and not identity.size and row.size not in row.form:
        said.append(f"for {row.size} size")
    return "; ".join(said)


def _system_factor(measure: str, measure_ml: Fraction | None) -> Fraction:
    """Return how much larger the recipe's cup or spoon is than the US customary one of the tables."""
    if measure_ml is None or measure not in _MEASURE_ML:
        return Fraction(1)
    return measure_ml / _MEASURE_ML[measure]
