"""
A recipe as its author wrote it: ingredient lines, method steps and their fields, each with its place.

Names are still names here ("floury potatoes", "Peel potatoes"); ``resolve`` ties them to prices, tables and each
other. Times are seconds on the kitchen clock.
"""

from __future__ import annotations

from dataclasses import field
from enum import Enum
from fractions import Fraction

from shootplan.model.clock import Known, Range
from shootplan.model.quantity import Amount
from shootplan.problems import Span
from shootplan.records import dataclass

__all__ = [
    "After",
    "Alternate",
    "Attribute",
    "Equipment",
    "Group",
    "IngredientLine",
    "LookIn",
    "Mention",
    "Part",
    "PartKind",
    "Purpose",
    "Recipe",
    "RecipeKind",
    "Serves",
    "Shot",
    "Step",
    "When",
]


def _span() -> Span:
    return Span("<made in code>")


class RecipeKind(Enum):
    """A dish that is served, or a sub-preparation that other recipes use by share of its batch."""

    DISH = "dish"
    SUB_PREPARATION = "sub-preparation"


class Purpose(Enum):
    """What an ingredient line is for; water and ice cost nothing but are listed (data dictionary, "purpose")."""

    DISH = "dish"
    GREASING = "greasing"
    FRYING = "frying"
    TO_SERVE = "to serve"
    WATER = "water"


@dataclass(frozen=True, slots=True)
class Serves:
    """How many hearty servings, and how many small ones where the author says so; ``noun`` is "servings" or "buns"."""

    hearty: int
    small: int | None = None
    noun: str = "servings"


@dataclass(frozen=True, slots=True, kw_only=True)
class Attribute:
    """A front-matter field kept as text with its place, for fields that are printed rather than computed with."""

    key: str
    value: str
    span: Span = field(default_factory=_span, compare=False, repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternate:
    """What may be used instead of an ingredient: another item, with its own amount or (``None``) the base's."""

    item: str
    amount: Amount | None = None
    span: Span = field(default_factory=_span, compare=False, repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class IngredientLine:
    """
    One line of the ingredients, in the author's order.

    ``id`` is unique in the recipe ("floury-potatoes"); ``item`` is the name to find in the price book and the
    larder. ``amount`` is the first measure as typed, ``second`` the one in brackets ("5 medium" is a count with
    ``second_size`` "medium"); where that is a sum of units whose sizes depend on the measure system, ``second_plus`` is
    what is added ("¼ cup + 2 tbsp"). ``each`` and ``drained`` are the net and drained weight of one tin or pack ("2
    tins
    (400 g, 235 g drained)"). ``amount`` is ``None`` for "to taste" without an amount: not costed, and listed
    so (rule M8). ``is_prepared`` says that the amount is what is left after trimming; it is then divided by
    ``yield_percent`` (own value, else the price book's or the larder's). ``group`` is the id of the ``###`` group.
    ``single_use`` is what one retake loses. ``is_tight`` marks leaveners, salt, yeast and setting agents, whose
    rounding limit is 5 % (rule A3).
    """

    id: str
    item: str
    amount: Amount | None
    second: Amount | None = None
    second_plus: Amount | None = None
    second_size: str = ""
    size: str = ""
    form: str = ""
    each: Amount | None = None
    drained: Amount | None = None
    is_prepared: bool = False
    yield_percent: Fraction | None = None
    is_optional: bool = False
    is_to_taste: bool = False
    is_approximate: bool = False
    alternates: tuple[Alternate, ...] = ()
    is_staple: bool | None = None
    purpose: Purpose = Purpose.DISH
    single_use: Amount | None = None
    is_tight: bool = False
    group: str | None = None
    buy: str | None = None
    text: str = ""
    span: Span = field(default_factory=_span, compare=False, repr=False)
    item_span: Span = field(default_factory=_span, compare=False, repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """
    A ``###`` group of ingredients.

    With ``makes`` it is a sub-preparation: its lines cost by the share of the batch that steps use, and some step's
    ``makes`` carries its name. Without, it is only a heading.
    """

    id: str
    title: str
    makes: Amount | None = None
    is_optional: bool = False
    keeps: str = ""
    span: Span = field(default_factory=_span, compare=False, repr=False)


class PartKind(Enum):
    """
    Which part of a line or product a step uses: ``[oil]``, ``[oil: half]``, ``[milk: all but 2 tbsp]`` …

    ``HELD_BACK`` is the later use of what an earlier step set aside (``[milk: held back]``).
    """

    WHOLE = "whole"
    FRACTION = "fraction"
    AMOUNT = "amount"
    ALL_BUT = "all but"
    REST = "rest"
    HELD_BACK = "held back"


@dataclass(frozen=True, slots=True)
class Part:
    """A part as written; ``fraction`` for FRACTION, ``amount`` for AMOUNT and ALL_BUT."""

    kind: PartKind
    fraction: Fraction | None = None
    amount: Amount | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Mention:
    """
    A ``[name]`` or ``[name: part]`` in a step: something is used there.

    ``is_held_back`` marks ``[milk: hold back 60 ml]``: the step sets the part aside in its own bowl, and a later
    mention uses it; such a mention uses nothing itself.
    """

    name: str
    part: Part
    is_held_back: bool = False
    span: Span = field(default_factory=_span, compare=False, repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class LookIn:
    """Looking in while a step is left: ``for_s`` of somebody's hands every ``every_s``, none at the end (rule T1)."""

    every_s: int
    for_s: int

    def count(self, duration_s: int) -> int:
        """Return how many look-ins a left step of ``duration_s`` has: ceil(d / every) - 1, at least 0 (rule T1)."""
        return max(0, -(-duration_s // self.every_s) - 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class After:
    """
    This step starts after another ends: at least ``at_least_s`` later and, where given, at most ``at_most_s`` later.

    ``step`` is the name as written; "at once" is ``at_most_s`` 0. ``recipe`` is empty for the same recipe, else the
    other recipe's id.
    """

    step: str
    at_least_s: int = 0
    at_most_s: int | None = None
    recipe: str = ""
    span: Span = field(default_factory=_span, compare=False, repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Equipment:
    """
    Something of the kitchen that a step needs: a ring, the oven at a temperature, a vessel or tool by name.

    ``kind`` is "ring", "oven", or the vessel's or tool's name in ``kitchen.toml``. ``temperature_c`` and ``shelves``
    are for ovens only. ``is_noisy`` clashes with sync sound.
    """

    kind: str
    count: int = 1
    temperature_c: int | None = None
    shelves: int = 1
    is_noisy: bool = False
    span: Span = field(default_factory=_span, compare=False, repr=False)


class When(Enum):
    """When a step is done: on the day, on the day or before, or before the day only."""

    DAY = "on the day"
    MAY_BE_AHEAD = "may be ahead"
    AHEAD = "ahead"


@dataclass(frozen=True, slots=True, kw_only=True)
class Shot:
    """
    How a step is filmed.

    ``set_up`` is the camera position, ``framing`` what is in the picture. ``screen_s`` is the picture's least length
    in the video (``None``: the kitchen's default), ``action_s`` the useful action, ``reset_s`` the reset between
    takes. ``is_repeatable`` is false for what can be done once only. ``moment`` is "start" where the picture is of
    how a step begins, "end" where it is of what a wait has come to, empty where any moment of the wait will do.
    ``has_hands`` is whether hands are in the picture of something that is left alone.
    """

    set_up: str
    framing: str = ""
    action_s: int | None = None
    screen_s: int | None = None
    takes: int = 1
    reset_s: int = 120
    is_repeatable: bool = True
    has_sync_sound: bool = True
    is_noisy: bool = False
    moment: str = ""
    has_hands: bool = False
    span: Span = field(default_factory=_span, compare=False, repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """
    One step of the method.

    In order of time it carries hands-on time (``hands``), time somebody must watch (``watch``: person bound though
    nothing to do) and time left alone (``leave``; a ``Window`` where we choose), each ``None`` if absent; all three
    ``None`` means the time is unknown. ``after`` is ``None`` where the author wrote nothing (the step above), empty
    for "none". ``uses`` is equipment during the step, ``holds`` from here until the step that ``frees`` it. ``heats``
    is the oven heated (or set) by this step: the first heat of the day takes ``leave``, a later one the kitchen's
    change time. ``fit_s`` is how long the result stays fit to serve or shoot. ``may_stand_overnight`` is
    whether what is left alone may go on while nobody is there, ``None`` where the author says nothing. ``lead`` is the
    bold name, ``text`` the instruction as typed behind it (CommonMark, mentions included).
    """

    id: str
    name: str
    number: int
    text: str = ""
    hands: Range | None = None
    watch: Range | None = None
    leave: Known | None = None
    check: LookIn | None = None
    until: str = ""
    core_temperature_c: int | None = None
    after: tuple[After, ...] | None = None
    when: When = When.DAY
    ahead_place: str = ""
    keeps_s: int | None = None
    keeps: str = ""
    uses: tuple[Equipment, ...] = ()
    holds: tuple[Equipment, ...] = ()
    frees: tuple[Equipment, ...] = ()
    heats: Equipment | None = None
    is_pausable: bool | None = None
    may_stand_overnight: bool | None = None
    batches: int = 1
    fit_s: int | None = None
    is_optional: bool = False
    who: str = ""
    makes: str = ""
    makes_amount: Amount | None = None
    mentions: tuple[Mention, ...] = ()
    shot: Shot | None = None
    say: str = ""
    caption: str = ""
    caution: str = ""
    may_swap_out: bool | None = None
    is_serving: bool = False
    span: Span = field(default_factory=_span, compare=False, repr=False)
    field_spans: tuple[tuple[str, Span], ...] = field(default=(), compare=False, repr=False)

    @property
    def has_time(self) -> bool:
        """Whether any of the three times is known."""
        return not (self.hands is None and self.watch is None and self.leave is None)

    @property
    def is_on_heat(self) -> bool:
        """Whether the step uses a ring or an oven, which makes hands-on work not pausable by default."""
        return any(use.kind in ("ring", "oven") for use in (*self.uses, *self.holds))

    def place(self, field_name: str) -> Span:
        """Return where a field of this step stands, or the step's own place."""
        return dict(self.field_spans).get(field_name, self.span)


@dataclass(frozen=True, slots=True, kw_only=True)
class Recipe:
    """
    One recipe file.

    ``id`` is the file's stem. ``measures`` names the cup and spoon system ("US customary", "US label", "metric",
    "Australian", "dl"), empty for the episode's. ``scale`` multiplies every amount, never a time (rule A4).
    """

    id: str
    title: str
    serves: Serves
    kind: RecipeKind = RecipeKind.DISH
    makes: Amount | None = None
    makes_name: str = ""
    portion: Amount | None = None
    measures: str = ""
    scale: Fraction = Fraction(1)
    budget: str = ""
    headnote: str = ""
    lines: tuple[IngredientLine, ...] = ()
    groups: tuple[Group, ...] = ()
    steps: tuple[Step, ...] = ()
    serve: str = ""
    keep: str = ""
    notes: str = ""
    attributes: tuple[Attribute, ...] = ()
    path: str = ""
    span: Span = field(default_factory=_span, compare=False, repr=False)

    def step(self, name: str) -> Step | None:
        """Return the step of that name or id, letters' case apart, or ``None``."""
        key = name.casefold()
        return next((step for step in self.steps if key in (step.name.casefold(), step.id)), None)

    def line(self, line_id: str) -> IngredientLine | None:
        """Return the ingredient line of that id, or ``None``."""
        return next((line for line in self.lines if line.id == line_id), None)

    def attribute(self, key: str) -> str:
        """Return a printed front-matter field, or an empty text."""
        return next((item.value for item in self.attributes if item.key == key), "")
