"""What must be minded with a dish: allergens by part, hazards, and vegetable portions, each with its publisher."""

from __future__ import annotations

from fractions import Fraction

from shootplan.model.larder import AllergenNote, Hazard
from shootplan.records import dataclass

__all__ = ["AllergenPart", "Portions", "RecipeCare"]


@dataclass(frozen=True, slots=True, kw_only=True)
class AllergenPart:
    """
    The allergens of one part of a dish: "" for the core, else an option or "ALTERNATE instead of BASE".

    ``stated`` are words of the price book. ``not_assessed`` are ingredients that nothing here knows: silence about them
    means nothing, and nothing is ever called free from an allergen.
    """

    name: str
    notes: tuple[AllergenNote, ...] = ()
    stated: tuple[str, ...] = ()
    not_assessed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Portions:
    """
    Portions of vegetables and fruit in one hearty serving, of 80 g each, rounded down to halves.

    ``counted`` are the items that were counted; ``unknown`` could count and have no known weight. Potatoes and other
    starchy roots never count, and pulses count once at most.
    """

    portions: Fraction
    grams: Fraction
    counted: tuple[str, ...]
    unknown: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RecipeCare:
    """All of it for one recipe: the core first, then options, then alternates."""

    recipe: str
    core: AllergenPart
    options: tuple[AllergenPart, ...] = ()
    alternates: tuple[AllergenPart, ...] = ()
    hazards: tuple[Hazard, ...] = ()
    portions: Portions | None = None
