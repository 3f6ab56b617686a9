"""Results of costing: exact costs of lines, recipes and the episode, and the verdict on each claim."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from shootplan.model.episode import Claim
from shootplan.model.money import Cost, Money
from shootplan.model.quantity import Amount
from shootplan.model.resolved import ResolvedLine
from shootplan.records import dataclass

__all__ = [
    "AlternateCost",
    "ClaimFix",
    "ClaimVerdict",
    "EpisodeCost",
    "LineCost",
    "OptionCost",
    "RecipeCost",
    "Servings",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class LineCost:
    """
    The cost used of one line (rule M1), exact; ``cost`` is ``None`` where it cannot be known.

    ``pack_price`` is what was charged for a pack: the regular price, also of a row on offer that names one (rule M5).
    ``share`` is the part of a sub-preparation's batch that is used, already in ``cost``. ``is_left_out`` marks a staple
    that the policy does not count: its cost is then zero and the printed policy says so.
    """

    line: ResolvedLine
    cost: Cost | None
    pack_price: Money | None = None
    is_left_out: bool = False
    is_optional: bool = False
    group: str | None = None
    share: Fraction = Fraction(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Servings:
    """A cost per hearty and per small serving, exact (``per_small`` is ``None`` without small servings)."""

    per_hearty: Cost
    per_small: Cost | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionCost:
    """
    One option alone: its own cost and what a serving costs with it and no other (rule M4).

    An optional sub-preparation is one option of several ``lines``; ``line`` is the first, ``group`` its id. ``name``
    is how a reader calls it ("flat-leaf parsley", "pickled red onion").
    """

    line: ResolvedLine
    cost: Cost | None
    per_serving_with: Cost
    name: str = ""
    group: str | None = None
    lines: tuple[ResolvedLine, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class AlternateCost:
    """An alternate's cost instead of its base line: delta of the whole recipe and of a serving (rule M4 and M5)."""

    base: ResolvedLine
    alternate: ResolvedLine
    delta: Cost | None
    per_serving_delta: Cost | None
    allergens_added: tuple[str, ...] = ()
    allergens_removed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RecipeCost:
    """
    What a recipe costs: core, with all options, each option alone, alternates as deltas.

    With ``missing`` lines (ids) the totals are lower bounds and print "at least". ``not_costed`` lists "to taste" lines
    (rule M8). ``offers``, ``stale`` and ``guessed`` name items whose price is an offer without a known regular price,
    older than the limit or undated, or a guess; ``estimated`` items whose weight is only an estimate. ``staples_flat``
    is the flat sum of that policy, contained in ``core``.
    A sub-preparation's own cost is of a whole batch; it is in no total (rule M4).
    """

    recipe: str
    hearty: int
    small: int | None
    lines: tuple[LineCost, ...]
    core: Cost
    with_options: Cost
    core_per: Servings
    with_options_per: Servings
    options: tuple[OptionCost, ...] = ()
    alternates: tuple[AlternateCost, ...] = ()
    missing: tuple[str, ...] = ()
    not_costed: tuple[str, ...] = ()
    offers: tuple[str, ...] = ()
    stale: tuple[str, ...] = ()
    guessed: tuple[str, ...] = ()
    estimated: tuple[str, ...] = ()
    staples_flat: Cost | None = None
    is_sub_preparation: bool = False

    @property
    def is_complete(self) -> bool:
        """Whether every line that must cost something has a price."""
        return not self.missing


@dataclass(frozen=True, slots=True, kw_only=True)
class ClaimFix:
    """One line of one recipe cut so far that the claim just passes: ``amount`` instead of ``amount_now``."""

    recipe: str
    item: str
    amount_now: Amount
    amount: Amount
    cut_percent: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class ClaimVerdict:
    """
    Whether a claim may be made (rule M5), and why.

    ``figure`` is the exact per-serving cost tested (or minutes), ``shown`` the same as printed.
    ``headroom_percent`` follows M6 and is ``None`` for refused or time claims. ``is_thin`` warns under 2 %.
    ``reasons`` are codes with words, in the order tested. ``tipping_line`` is the line that pushes it over.
    ``wording`` is what may be said instead (or as asked). ``failing`` names the recipes that break an EVERY claim.
    ``fixes`` are amounts that would just pass, the smallest cut first. The price of ``dearest_item`` alone may rise by
    ``dearest_may_rise_percent`` before the claim fails.
    """

    claim: Claim
    is_allowed: bool
    figure: Cost | Fraction | None
    shown: Money | int | None
    headroom_percent: Decimal | None = None
    is_thin: bool = False
    reasons: tuple[str, ...] = ()
    tipping_line: str = ""
    wording: str = ""
    failing: tuple[str, ...] = ()
    fixes: tuple[ClaimFix, ...] = ()
    dearest_item: str = ""
    dearest_may_rise_percent: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class EpisodeCost:
    """Costs of all recipes in screen order, the totals, and the verdicts in the order of the claims."""

    currency: str
    places: int
    recipes: tuple[RecipeCost, ...]
    core: Cost
    with_options: Cost
    verdicts: tuple[ClaimVerdict, ...] = ()
    average_core: Cost | None = None
    average_with_options: Cost | None = None
    head_core: Cost | None = None
    head_with_options: Cost | None = None

    def recipe(self, recipe_id: str) -> RecipeCost | None:
        """Return the cost of that recipe, or ``None``."""
        return next((item for item in self.recipes if item.recipe == recipe_id), None)
