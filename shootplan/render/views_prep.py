"""
The crew's preparation as it is printed: jobs before the day, what leaves the fridge when, trays, labels to write.

A publication with its ``Prep`` comes in, rows of ready strings go out, times of day counted from call.
"""

from __future__ import annotations

from itertools import groupby

from shootplan.model.prep import AheadJob, Bowl, FridgeItem, Prep
from shootplan.model.show import amount_text, minutes_text, range_text
from shootplan.records import dataclass
from shootplan.render.basis import Basis, step_name
from shootplan.render.views_amounts import IngredientRow, measures
from shootplan.render.views_days import date_of

__all__ = ["AheadRow", "PrepView", "Tray", "ahead_row", "best_slot", "prep_view"]

_DAY_S = 24 * 3600
#: Parts of a spoon, cup or piece that a kitchen measures.
_SPOON_PARTS = (1, 2, 3, 4, 8)


@dataclass(frozen=True, slots=True, kw_only=True)
class AheadRow:
    """One job before the day; ``window`` is empty and ``refused`` says why where it cannot be done."""

    window: str
    evening: str
    do: str
    hands: str
    dish: str
    used: str
    limit: str
    label: str
    refused: str
    is_optional: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class FridgeRow:
    """One thing that leaves the fridge; ``window`` only for what must soften or thaw."""

    clock: str
    what: str
    dish: str
    window: str
    used: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BowlRow:
    """One bowl: its letter, what is in it, for which step, when; ``spare`` stands beside it."""

    mark: str
    amount: str
    item: str
    step: str
    clock: str
    is_held_back: bool
    is_optional: bool
    spare: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Tray:
    """The bowls of one dish in order of use, and when the first of them is wanted."""

    number: int
    dish: str
    first: str
    bowls: tuple[BowlRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PrepView:
    """The page: what is impossible first, then the lists in order of time."""

    refused: tuple[AheadRow, ...]
    ahead: tuple[AheadRow, ...]
    fridge: tuple[FridgeRow, ...]
    softening: tuple[FridgeRow, ...]
    trays: tuple[Tray, ...]
    labels: tuple[tuple[str, str, str, str], ...]


def prep_view(basis: Basis, prep: Prep) -> PrepView:
    """Return everything that the crew prepares."""
    rows = tuple(ahead_row(basis, job) for job in prep.ahead)
    fridge = tuple((item, _fridge(basis, item)) for item in prep.fridge)
    return PrepView(
        refused=tuple(row for row in rows if row.refused),
        ahead=tuple(row for row in rows if not row.refused),
        fridge=tuple(row for item, row in fridge if item.latest_s is None),
        softening=tuple(row for item, row in fridge if item.latest_s is not None),
        trays=_trays(basis, prep.bowls),
        labels=_labels(basis, prep),
    )


def best_slot(basis: Basis, job: AheadJob) -> tuple[int, int] | None:
    """Return the part of a job's slots in the evening window if there is one, else the first slot."""
    kitchen, call = basis.episode.kitchen, basis.episode.call_time
    if not job.slots:
        return None
    first, last = job.slots[0]
    if kitchen.evening_from is not None and first < 0 and not basis.episode.days:
        evening = (kitchen.evening_from.hour - call.hour) * 3600 + (kitchen.evening_from.minute - call.minute) * 60
        if first <= evening - _DAY_S <= last:
            return evening - _DAY_S, last
    return first, last


def ahead_row(basis: Basis, job: AheadJob) -> AheadRow:
    """Return one job in words."""
    slot, best = (job.slots[0] if job.slots else None), best_slot(basis, job)
    on_the_day = "" if basis.episode.days else " on the day"
    more = f", or {_slot(basis, job.slots[1])}{on_the_day}" if len(job.slots) > 1 else ""
    return AheadRow(
        window=f"{_slot(basis, slot)}{more}" if slot is not None else "",
        evening=_slot(basis, best) if best is not None and best != slot else "",
        do=", then ".join(job.steps),
        hands=minutes_text(job.hands_s) if job.hands_s else "no hands",
        dish=basis.title(job.recipe),
        used=f"{basis.clock(job.used_at_s)}, {job.used_by}",
        limit=_limit(basis, job, best),
        label=f"{job.what.upper()}, {basis.title(job.recipe)}, begun ____:____",
        refused=job.refused,
        is_optional=job.is_optional,
    )


def _slot(basis: Basis, slot: tuple[int, int]) -> str:
    """Return "19:00–19:56 the day before"; one moment alone."""
    first, last = basis.clock(slot[0]), basis.clock(slot[1])
    if first == last:
        return last
    if first[5:] == last[5:]:
        return f"{first[:5]}–{last}"
    return f"{first} to {last}"


def _limit(basis: Basis, job: AheadJob, best: tuple[int, int] | None) -> str:
    least, most = job.left_s
    words = []
    if most is None:
        words.append(f"leave at least {minutes_text(least)}" if least else "")
    else:
        words.append(f"leave {range_text(least, most)}")
    if job.chilled_s is not None:
        words.append(f"chilled up to {minutes_text(job.chilled_s)}")
        wait = job.used_at_s - best[0] - job.hands_s if best is not None else 0
        if most is not None and wait > most:
            words.append(
                f"begun at {basis.clock(best[0])} it waits {minutes_text(wait)}: in the fridge" if best else ""
            )
    elif job.keeps:
        words.append(f"keeps {job.keeps}")
    if job.earliest_s is not None and best is not None:
        first, planned = (date_of(basis.episode, seconds) for seconds in (job.earliest_s, best[0]))
        words.append(f"not before {first.isoformat()}" if first < planned else "")
    if job.place:
        words.append(f"place: {job.place}")
    return "; ".join(word for word in words if word)


def _fridge(basis: Basis, item: FridgeItem) -> FridgeRow:
    window = ""
    if item.latest_s is not None:
        first = item.earliest_s if item.earliest_s is not None else item.latest_s
        window = _slot(basis, (first, item.latest_s))
    return FridgeRow(
        clock=basis.clock(item.planned_s),
        what=item.what,
        dish=basis.title(item.recipe),
        window=window,
        used=f"{basis.clock(item.used_at_s)}, {item.used_by}" if item.latest_s is not None else item.used_by,
    )


def _trays(basis: Basis, bowls: tuple[Bowl, ...]) -> tuple[Tray, ...]:
    dishes = [(recipe, tuple(found)) for recipe, found in groupby(bowls, key=lambda bowl: bowl.recipe)]
    firsts = {recipe: min((b.clock_s for b in found if b.clock_s is not None), default=0) for recipe, found in dishes}
    dishes.sort(key=lambda pair: firsts[pair[0]])
    return tuple(
        Tray(
            number=number,
            dish=basis.title(recipe),
            first=basis.clock(firsts[recipe]),
            bowls=tuple(_bowl(basis, bowl) for bowl in found),
        )
        for number, (recipe, found) in enumerate(dishes, start=1)
    )


def _bowl(basis: Basis, bowl: Bowl) -> BowlRow:
    metric, household = measures(bowl.measured)
    if any(amount.high.denominator not in _SPOON_PARTS for amount in bowl.measured.household_shown):
        household = ""
    amount = IngredientRow(item="", metric=metric, household=household).amount
    if not amount and bowl.typed is not None:
        amount = amount_text(bowl.typed)
    return BowlRow(
        mark=bowl.mark,
        amount=amount,
        item=f"{bowl.item}, {bowl.form}" if bowl.form else bowl.item,
        step=bowl.step,
        clock=_bowl_clock(basis, bowl),
        is_held_back=bowl.is_held_back,
        is_optional=bowl.is_optional,
        spare=amount_text(bowl.spare) if bowl.spare is not None else "",
    )


def _bowl_clock(basis: Basis, bowl: Bowl) -> str:
    """Return when a bowl is wanted: by its step's clock, before the day, or by when an unplanned option is wanted."""
    if bowl.clock_s is not None:
        return basis.clock(bowl.clock_s)
    return f"not planned, by {basis.clock(bowl.by_s)}" if bowl.by_s is not None else "before the day"


def _labels(basis: Basis, prep: Prep) -> tuple[tuple[str, str, str, str], ...]:
    """Return (what, dish, made, use by) of everything that stands about and could be taken for something else."""
    found = []
    for job in prep.ahead:
        if not job.refused:
            by = f"{basis.clock(job.used_at_s)} on {date_of(basis.episode, job.used_at_s).isoformat()}"
            found.append((job.what, basis.title(job.recipe), "____:____", by))
    for bowl in prep.bowls:
        if bowl.is_held_back:
            row = _bowl(basis, bowl)
            what = f"{row.amount} {row.item} HELD BACK".strip()
            found.append((what, basis.title(bowl.recipe), f"bowl {bowl.mark}", f"{row.clock}, {bowl.step}"))
    swaps = basis.publication.swaps
    for swap in swaps.steps if swaps is not None else ():
        keeps = f"keeps {swap.keeps}" if swap.keeps else "____:____"
        found.append((f"DUPLICATE: {step_name(swap.label)}", basis.title(swap.recipe), "____:____", keeps))
    return tuple(found)
