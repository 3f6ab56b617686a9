"""An episode with its kitchen and price book, as the author wrote them, each value with its place."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import field
from datetime import date, datetime, time
from decimal import Decimal
from enum import Enum
from fractions import Fraction
from typing import Any

from shootplan.model.clock import Clock, Range
from shootplan.model.larder import OwnRow
from shootplan.model.price_rows import PriceRows
from shootplan.model.quantity import Amount
from shootplan.model.recipe import Attribute, Recipe, Step
from shootplan.model.timecode import RATES, Rate
from shootplan.problems import Span
from shootplan.records import dataclass

__all__ = [
    "CameraPosition",
    "Claim",
    "ClaimScope",
    "ClaimWord",
    "Correction",
    "Episode",
    "Hob",
    "Kitchen",
    "Oven",
    "Pace",
    "Person",
    "PriceBook",
    "PriceKind",
    "PriceRow",
    "SecondCurrency",
    "ShootDay",
    "StaplesPolicy",
    "SwapOut",
    "Together",
    "Vessel",
]


def _span() -> Span:
    return Span("<made in code>")


# ---------------------------------------------------------------------------------------------------- price book


class PriceKind(Enum):
    """Whether the price is the regular one; claims use regular prices only (rule M5)."""

    REGULAR = "regular"
    OFFER = "offer"
    MEMBER = "member"


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceRow:
    """
    One row of the price book (RFC 4180 CSV).

    ``pack`` is what ``price`` buys, in one or more measures that mean the same ("1 head", "700 g"). ``is_loose``
    goods are bought in any amount. ``until`` is the last day on which the price holds (an offer's end). ``stock`` is
    on hand. ``yield_percent`` and ``density_g_per_ml`` belong to the
    item; ``source`` is receipt, shelf or guess.
    """

    item: str
    pack: tuple[Amount, ...]
    price: Decimal
    currency: str
    shop: str = ""
    seen: date | None = None
    until: date | None = None
    note: str = ""
    kind: PriceKind = PriceKind.REGULAR
    regular_price: Decimal | None = None
    is_loose: bool = False
    deposit: Decimal = Decimal(0)
    density_g_per_ml: Fraction | None = None
    piece_g: Fraction | None = None
    yield_percent: Fraction | None = None
    is_staple: bool = False
    allergens: str = ""
    stock: Amount | None = None
    source: str = ""
    span: Span = field(default_factory=_span, compare=False, repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceBook:
    """All rows in file order; several rows an item, the newest valid one counts."""

    rows: Sequence[PriceRow] = ()
    path: str = ""

    @property
    def items(self) -> Sequence[str]:
        """The name of each row's item, without making the rows."""
        return self.rows.items if isinstance(self.rows, PriceRows) else [row.item for row in self.rows]

    def values(self, field: str) -> Callable[[int], Any]:
        """
        Return what tells a field's value in the row at a place (from 0), without making the row.

        For every field but ``item``, which ``items`` has, and ``is_loose``, ``stock`` and ``span``.
        """
        if isinstance(self.rows, PriceRows):
            return self.rows.values(field)
        return lambda place: getattr(self.rows[place], field)


# ---------------------------------------------------------------------------------------------------- kitchen


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """
    Somebody of the crew.

    ``role`` is "cook" (any step) or "helper" (steps with ``who: helper`` and, on the shoot day, unfilmed work).
    ``is_presenter`` marks whose hands may be in the picture. Hours are ``None`` where the kitchen's hold.
    """

    name: str
    role: str = "cook"
    is_presenter: bool = False
    skills: tuple[str, ...] = ()
    start: time | None = None
    end: time | None = None
    span: Span = field(default_factory=_span, compare=False, repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Hob:
    """Rings: how many, and their sizes in the user's words where given."""

    rings: int = 4
    sizes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Oven:
    """
    An oven holds one temperature at a time.

    The first heat takes ``heat_up_s``, a change ``change_s``; dishes within ``tolerance_c`` may share.
    ``fan_offset_c`` is subtracted for the fan setting shown beside (common practice, no source: 20 °C).
    """

    name: str = "oven"
    shelves: int = 2
    heat_up_s: Range = field(default_factory=lambda: Range(15 * 60, 15 * 60))
    change_s: int = 300
    tolerance_c: int = 10
    fan_offset_c: int = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Vessel:
    """A pan, dish, bowl or tool by kind and size, how many there are, and the minutes to wash one for its next use."""

    name: str
    count: int = 1
    wash_s: int = 180
    is_noisy: bool = False
    span: Span = field(default_factory=_span, compare=False, repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class CameraPosition:
    """A place where a camera stands ("overhead", "hob close"); ``camera`` names which camera can take it."""

    name: str
    camera: str = "camera"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace:
    """
    How fast the crew films and speaks.

    ``words_per_minute`` is used flat where given; else ``speech_factor`` goes with the syllables-and-pauses model
    (reference: narration experiment, default 1.13). ``filming_factor`` multiplies hands-on time on the shoot day.
    ``picture_s`` is the least length of a picture in the video where the step says nothing.
    """

    words_per_minute: int | None = None
    speech_factor: Fraction = Fraction(113, 100)
    filming_factor: Fraction = Fraction(1)
    picture_ms: int = 4000


@dataclass(frozen=True, slots=True, kw_only=True)
class Kitchen:
    """
    The kitchen, the crew and their hours.

    ``home_cooks``, ``home_rings`` and ``home_ovens`` are the kitchen of the blog's times (default 1 cook, 4 rings,
    1 oven). Times of day are local. ``frame_rate`` is the cameras' and the edit's. ``set_up_s`` is how long after call
    nothing is recorded yet, ``strike_s`` what clearing away takes after the last step. With ``pick_ups`` a shot that
    the camera cannot take while the dish is made is recorded later. With ``keeps_food_limits`` the filmed day keeps the
    limits of food safety on waiting; else it tells which it breaks.
    """

    people: tuple[Person, ...] = (Person(name="cook", is_presenter=True),)
    hob: Hob = Hob()
    ovens: tuple[Oven, ...] = (Oven(),)
    vessels: tuple[Vessel, ...] = ()
    positions: tuple[CameraPosition, ...] = ()
    rerig_s: int = 480
    rerig_between_s: tuple[tuple[str, str, int], ...] = ()
    pace: Pace = Pace()
    call: time = time(9, 0)
    latest_wrap: time | None = None
    staffed_from: time | None = None
    staffed_until: time | None = None
    evening_from: time | None = None
    evening_until: time | None = None
    set_up_s: int = 0
    strike_s: int = 0
    pick_ups: bool = True
    keeps_food_limits: bool = False
    meal_s: int = 1800
    meal_within_s: int = 6 * 3600
    home_cooks: int = 1
    home_rings: int = 4
    home_ovens: int = 1
    fridge_places: int | None = None
    frame_rate: Rate = RATES["25"]
    path: str = ""

    def vessel(self, name: str) -> Vessel | None:
        """Return the vessel or tool of that name, letters' case apart, or ``None``."""
        key = name.casefold()
        return next((item for item in self.vessels if item.name.casefold() == key), None)


# ---------------------------------------------------------------------------------------------------- episode


class ClaimWord(Enum):
    """The wording of a price or time claim."""

    UNDER = "under"
    JUST_UNDER = "just under"
    ABOUT = "about"
    FROM = "from"
    WITHIN_MINUTES = "minutes"


class ClaimScope(Enum):
    """What a claim speaks of: one recipe, every recipe, the mean of them, or the sum of one serving of each."""

    RECIPE = "recipe"
    EVERY = "every"
    AVERAGE = "average"
    TOTAL = "total"


@dataclass(frozen=True, slots=True, kw_only=True)
class Claim:
    """
    Something the episode says of itself: "under 1.30 per serving, without options".

    ``limit`` is money in the episode's currency, or minutes for ``WITHIN_MINUTES``. ``with_options`` is whether what
    is shown or said includes the optional lines. ``is_small`` marks a claim on the small serving (which rule M5
    refuses). ``text`` is the line as typed; ``shown_at`` names a step or a document. ``currency`` is that of ``limit``
    where it is the episode's second one (rule M7), else empty.
    """

    word: ClaimWord
    scope: ClaimScope
    limit: Decimal
    recipe: str = ""
    with_options: bool = False
    is_small: bool = False
    text: str = ""
    shown_at: str = ""
    currency: str = ""
    span: Span = field(default_factory=_span, compare=False, repr=False)


class StaplesPolicy(Enum):
    """How oil, salt and spices are charged: counted, free, or a flat sum a serving."""

    COUNT = "count"
    FREE = "free"
    FLAT = "flat"


@dataclass(frozen=True, slots=True, kw_only=True)
class SecondCurrency:
    """
    ``also: EUR at 1.17 on 2026-10-01``: one unit of ours is ``rate`` of ``currency`` (rule M7).

    With ``is_quoted_per_theirs`` (``also: 1 EUR = 11.20 SEK on 2026-10-01``) one unit of theirs is ``rate`` of ours.
    """

    currency: str
    rate: Decimal
    on: date
    source: str = ""
    is_quoted_per_theirs: bool = False

    @property
    def factor(self) -> Fraction:
        """How much of ``currency`` one unit of ours is, exact."""
        rate = Fraction(self.rate)
        return 1 / rate if self.is_quoted_per_theirs else rate


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """
    Two recipes land together.

    The last step of ``recipe`` ends within ``within_s`` of the last step of ``other``; with ``is_after`` not before it.
    """

    recipe: str
    other: str
    within_s: int
    is_after: bool = False
    span: Span = field(default_factory=_span, compare=False, repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class SwapOut:
    """A waiting step for which the shoot day has a duplicate ready: recipe id and step id."""

    recipe: str
    step: str
    span: Span = field(default_factory=_span, compare=False, repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShootDay:
    """
    A day, or the evening before the first one, on which somebody is there from ``opens`` to ``closes``.

    On an evening only what the recipes do ahead is done.
    """

    on: date
    opens: time
    closes: time
    is_evening: bool = False
    span: Span = field(default_factory=_span, compare=False, repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction:
    """One line of the corrections log: when, and what was put right."""

    on: date
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Episode:
    """
    One episode: everything the user wrote.

    ``recipes`` stand in screen order; ``opening``, ``between`` and ``closing`` are rows with the grammar of steps
    (name, say, caption, shot). ``between`` has one row before each recipe after the first where written;
    ``Step.number`` counts them. ``staples_flat`` is the flat sum a serving for that policy. ``locale`` is a CLDR
    locale ("en_GB") for money and numbers. With ``keeps_screen_order`` the dishes are served on the shoot day in that
    order. ``own_table`` are the kitchen's own weights (``larder.csv``). ``folder`` is the episode's folder as typed.
    ``caption_style`` is "wide" (16:9) or "vertical" (9:16); ``has_derived_captions`` is false where only typed ones
    are wanted. ``video`` is the address of the published video, where there is one. ``frame_rate`` is that of the
    finished video where it differs from the kitchen's. ``days`` are the days of a plan over several days, in order;
    empty where everything is done on ``shoot_date``.
    """

    title: str
    shoot_date: date
    currency: str
    recipes: tuple[Recipe, ...]
    kitchen: Kitchen
    prices: PriceBook
    id: str = ""
    locale: str = "en_GB"
    caption_style: str = "wide"
    has_derived_captions: bool = True
    frame_rate: Rate | None = None
    measures: str = "US customary"
    also: SecondCurrency | None = None
    budget: str = ""
    length_low_s: int | None = None
    length_high_s: int | None = None
    staples: StaplesPolicy = StaplesPolicy.COUNT
    staples_flat: Decimal = Decimal(0)
    max_price_age_days: int = 30
    call: time | None = None
    days: tuple[ShootDay, ...] = ()
    latest_wrap: time | None = None
    keeps_screen_order: bool = False
    publish_date: date | None = None
    video: str = ""
    headnote: str = ""
    opening: tuple[Step, ...] = ()
    between: tuple[Step, ...] = ()
    closing: tuple[Step, ...] = ()
    claims: tuple[Claim, ...] = ()
    together: tuple[Together, ...] = ()
    swap_outs: tuple[SwapOut, ...] = ()
    corrections: tuple[Correction, ...] = ()
    attributes: tuple[Attribute, ...] = ()
    own_table: tuple[OwnRow, ...] = ()
    folder: str = ""
    path: str = ""
    span: Span = field(default_factory=_span, compare=False, repr=False)

    def recipe(self, recipe_id: str) -> Recipe | None:
        """Return the recipe of that id, or ``None``."""
        return next((recipe for recipe in self.recipes if recipe.id == recipe_id), None)

    @property
    def call_time(self) -> time:
        """When the first of the days begins, else the episode's call, else the kitchen's."""
        return self.days[0].opens if self.days else self.call or self.kitchen.call

    @property
    def clock(self) -> Clock:
        """Second 0 of the plan: the call, with its date where the plan is over several days."""
        return datetime.combine(self.days[0].on, self.days[0].opens) if self.days else self.call_time

    @property
    def staffed_s(self) -> tuple[tuple[int, int], ...]:
        """From when to when somebody is there on each of the days, in seconds from the first call."""
        start = self.clock
        return tuple(
            (
                round((datetime.combine(day.on, day.opens) - start).total_seconds()),
                round((datetime.combine(day.on, day.closes) - start).total_seconds()),
            )
            for day in self.days
            if isinstance(start, datetime)
        )

    @property
    def edit_rate(self) -> Rate:
        """The frame rate of the edit: the episode's, else the kitchen's."""
        return self.frame_rate or self.kitchen.frame_rate
