"""What the larder says of an ingredient: which food it is, its figures with their source, allergens and hazards."""

from __future__ import annotations

from enum import Enum
from fractions import Fraction

from shootplan.records import dataclass

__all__ = ["AllergenNote", "Certainty", "Figure", "Hazard", "Identity", "OwnRow", "Rung", "StorageLife"]


class Rung(Enum):
    """How a figure was found: the fallback ladder, from the best rung down."""

    AUTHOR = "the author's own weight"
    OWN_TABLE = "the kitchen's own table"
    EXACT = "exact row"
    OTHER_MEASURE = "other measure of the same food"
    ESTIMATE = "estimate"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True, kw_only=True)
class Identity:
    """
    Which food a text means. ``food`` is empty where it is not in the tables.

    ``state`` is raw, dry, cooked, canned or frozen; ``state_is_assumed`` that the text did not say so. ``matched`` are
    the words that decided.
    """

    text: str
    food: str = ""
    category: str = ""
    state: str = ""
    state_is_assumed: bool = False
    form: str = ""
    size: str = ""
    matched: str = ""
    why_not: str = ""

    @property
    def is_known(self) -> bool:
        """Whether a food of the tables was found."""
        return bool(self.food)


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """
    A figure with the rung it stands on and its source; ``value`` is ``None`` for unknown, never zero.

    An estimate has the range ``low`` to ``high``. ``form`` is the form that was weighed ("chopped"), empty for as it
    is; ``has_skin`` that it was weighed in its skin.
    """

    value: Fraction | None
    unit: str
    rung: Rung
    source: str = ""
    low: Fraction | None = None
    high: Fraction | None = None
    note: str = ""
    form: str = ""
    has_skin: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnRow:
    """A row of the user's own table: ``grams`` for one ``measure`` of ``food`` (in ``state``, any if empty)."""

    food: str
    measure: str
    grams: Fraction
    state: str = ""
    source: str = ""


class Certainty(Enum):
    """How sure an allergen is without the label; only the label decides."""

    CONTAINS = "contains"
    USUALLY = "usually"
    MAY = "may"


@dataclass(frozen=True, slots=True, kw_only=True)
class AllergenNote:
    """An allergen group named by an ingredient: EU Annex II name, US name (may be empty), and what triggered it."""

    group: str
    us_group: str
    certainty: Certainty
    trigger: str
    ingredient: str
    note: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hazard:
    """A caution for a recipe: the rule, who it concerns, the words that triggered it, and its publisher."""

    id: str
    title: str
    rule: str
    severity: str
    audience: str
    trigger: str
    source: str
    is_from_memory: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class StorageLife:
    """How long a food keeps, in days; ``None`` where the source gives nothing."""

    food: str
    fridge_days: tuple[int, int] | None
    freezer_days: tuple[int, int] | None
    opened_days: int | None
    pantry_days: int | None
    counted_from: str
    source: str
