"""How the figures of one ingredient came about, as sentences, each with its source."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from shootplan.larder.allergens import LABEL_NOTE, allergens
from shootplan.larder.figures import density, edible_yield, fridge_life, grams, simmering
from shootplan.larder.identity import identify, near_foods
from shootplan.model.larder import Figure, OwnRow, Rung

__all__ = ["explain"]


def explain(
    item: str, *, measure: str = "", measure_ml: Fraction | None = None, own: Iterable[OwnRow] = ()
) -> tuple[str, ...]:
    """
    Return what the larder knows of ``item`` and why: food, weight of one ``measure``, density, yield, allergens, life.

    Every sentence names its source; what is not known is said so.
    """
    identity = identify(item)
    if identity.is_known:
        state = f"{identity.state}, assumed" if identity.state_is_assumed else identity.state
        lines = [f'"{item}" is taken as {identity.food} ({state}), by the words "{identity.matched}"']
    else:
        hints = near_foods(item) if not identity.matched else ()
        near = f"; near: {', '.join(hints)}" if hints else ""
        lines = [f'"{item}" is not known: {identity.why_not}{near}']
    lines.append(_sentence(f"one {measure or 'piece'}", grams(identity, measure, measure_ml=measure_ml, own=own)))
    lines.append(_sentence("density", density(identity)))
    lines.append(_sentence("usable part as bought", edible_yield(identity)))
    lines += _allergen_lines(item)
    lines += _life_lines(item)
    return tuple(lines)


def _sentence(what: str, figure: Figure) -> str:
    if figure.value is None:
        return f"{what}: unknown ({figure.note})"
    span = ""
    if figure.rung is Rung.ESTIMATE and figure.low is not None and figure.high is not None:
        span = f" (between {_number(figure.low)} and {_number(figure.high)})"
    note = f"; {figure.note}" if figure.note else ""
    return f"{what}: {_number(figure.value)} {figure.unit}{span}, {figure.rung.value}{note} [{figure.source}]"


def _number(value: Fraction) -> str:
    thousandths = round(value * 1000)
    return f"{thousandths // 1000}.{thousandths % 1000:03}".rstrip("0").rstrip(".")


def _allergen_lines(item: str) -> list[str]:
    notes = allergens(item)
    lines = [f'allergen: {n.certainty.value} {n.group} (by "{n.trigger}") [{n.source}]' for n in notes]
    return [*lines, f"allergens: {LABEL_NOTE}" if notes else f"allergens: none named by these words. {LABEL_NOTE}"]


def _life_lines(item: str) -> list[str]:
    lines = []
    life = fridge_life(item)
    if life is not None and life.fridge_days is not None:
        low, high = life.fridge_days
        days = f"{low}" if low == high else f"{low}–{high}"
        lines.append(f"keeps in the fridge {days} days {life.counted_from} [{life.source}]")
    cooking = simmering(item)
    if cooking is not None and cooking["simmer_max_min"]:
        soak = (
            f"soak {cooking['soak_min_h']}–{cooking['soak_max_h']} h, "
            if cooking["soak_max_h"] not in ("", "0")
            else ""
        )
        lines.append(f"{soak}simmer {cooking['simmer_min_min']}–{cooking['simmer_max_min']} min [{cooking['source']}]")
    return lines
