"""
What can be wrong: places, problems, findings and the exception family.

A ``Problem`` is a fault in the user's files and is a value: stages return them and go on. A ``Finding``
is what a check says of a sound episode. Exceptions are for callers that cannot go on; none of them knows of exit
codes or terminals.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import field
from enum import Enum

from shootplan.records import dataclass

__all__ = [
    "CODES",
    "Finding",
    "InfeasiblePlan",
    "InputError",
    "OutOfTime",
    "OutputError",
    "Problem",
    "ResourceError",
    "Severity",
    "ShootplanError",
    "Span",
    "did_you_mean",
]


@dataclass(frozen=True, slots=True, order=True)
class Span:
    """
    A place in a file: path as the user typed it, line and column counted from 1, columns in characters.

    ``end_column`` is the column just after the last character; a span never crosses lines.
    """

    path: str
    line: int = 1
    column: int = 1
    end_column: int = 2

    def __str__(self) -> str:
        return f"{self.path}:{self.line}:{self.column}"


class Severity(Enum):
    """How much a problem matters: an error stops a build, a warning does not unless ``--strict``."""

    ERROR = "error"
    WARNING = "warning"


#: Every problem and finding code with its meaning. DEVELOPERS.md lists the same; a test compares the two.
CODES: dict[str, str] = {}


def _codes(**meanings: str) -> None:
    for name, meaning in meanings.items():
        CODES[name.replace("_", "-")] = meaning


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """
    Something wrong in a user's file.

    ``message`` says what is wrong, quoting the text, in lower case without a full stop; ``hint`` says what to write
    instead. ``code`` is stable and must stand in ``CODES``.

    Raises
    ------
    ValueError
        If the code is not in ``CODES``.
    """

    span: Span
    code: str
    message: str
    severity: Severity = Severity.ERROR
    hint: str | None = None
    related: tuple[Span, ...] = ()

    def __post_init__(self) -> None:
        if self.code not in CODES:
            raise ValueError(f"problem code {self.code!r} is not in CODES")

    @property
    def is_error(self) -> bool:
        """Whether this problem stops a build."""
        return self.severity is Severity.ERROR

    @property
    def sort_key(self) -> tuple[Span, str, str]:
        """By path, line, column, then code and message: the order in which problems are printed."""
        return (self.span, self.code, self.message)


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """
    What a check says of a sound episode: a claim that fails, a caption that is too short, a caution.

    ``about`` names the recipe, step or document in the user's words; ``source`` names the publisher of the rule
    behind it, ``"common practice, no source"`` included.

    Raises
    ------
    ValueError
        If the code is not in ``CODES``.
    """

    code: str
    message: str
    about: str = ""
    span: Span | None = None
    hint: str | None = None
    source: str | None = None

    def __post_init__(self) -> None:
        if self.code not in CODES:
            raise ValueError(f"finding code {self.code!r} is not in CODES")


class ShootplanError(Exception):
    """Base of every error that a caller of the library may expect; anything else is a bug of ours."""


class InputError(ShootplanError):
    """The user's files have errors; ``problems`` holds all of them, sorted by place."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(sorted(problems, key=lambda problem: problem.sort_key))
        count = sum(problem.is_error for problem in self.problems)
        super().__init__(f"{count} error{'' if count == 1 else 's'} in the input")


@dataclass(frozen=True, slots=True, kw_only=True)
class Conflict:
    """One rule that cannot be kept together with the others, in the user's words, with the line it stands on."""

    rule: str
    span: Span | None = field(default=None, compare=False)


class InfeasiblePlan(ShootplanError):
    """No schedule satisfies the rules; ``conflicts`` is a smallest set of rules that clash."""

    def __init__(self, conflicts: Iterable[Conflict]) -> None:
        self.conflicts = tuple(conflicts)
        super().__init__("no plan keeps all of: " + "; ".join(c.rule for c in self.conflicts))


class OutOfTime(InfeasiblePlan):
    """No plan was found in the time that the planner may take: there may be one. ``hint`` says what to do."""

    def __init__(
        self, hint: str = "simplify the day: fewer dishes, fewer limits, or work that may be broken off"
    ) -> None:
        self.hint = hint
        super().__init__((Conflict(rule=f"no plan was found in the time that the planner may take; {hint}"),))


class ResourceError(ShootplanError):
    """A file that ships with the program cannot be found."""


class OutputError(ShootplanError):
    """A file could not be read or written; the earlier output is untouched."""


def did_you_mean(word: str, known: Iterable[str], *, count: int = 3) -> str | None:
    """
    Return ``'did you mean "x"?'`` for the names in ``known`` that are near ``word``, or ``None``.

    Letters' case does not matter. Names come in order of likeness, at most ``count`` of them.
    """
    by_lower = {name.casefold(): name for name in sorted(known, reverse=True)}
    near = difflib.get_close_matches(word.casefold(), sorted(by_lower), n=count, cutoff=0.6)
    if not near:
        return None
    names = [f'"{by_lower[name]}"' for name in near]
    if len(names) == 1:
        return f"did you mean {names[0]}?"
    return f"did you mean {', '.join(names[:-1])} or {names[-1]}?"


_codes(
    file_missing="a file that the episode needs is not there",
    file_unreadable="a file is not UTF-8 text, is too large, or cannot be opened",
    path_outside="a path leaves the folders that the episode may read",
)

# the steps' equipment and people, as the planner needs them
_codes(
    equipment_unknown="a step uses a vessel, tool, ring or oven that the kitchen does not have",
    oven_without_temperature="a step uses or heats the oven without a temperature",
    heat_and_bake="a step heats the oven and bakes in it",
    frees_without_hold="a step frees a vessel that no step before it holds",
    swap_out_refused="a swap-out is chosen for a step that says no to it or that is no wait of the day",
    swap_out_unknown="a swap-out is chosen for a step that does not exist, or that several recipes have",
    person_unknown="a step asks for somebody who is not in the crew",
    overnight_bad="a step is left overnight that is on heat without a caution, is looked in on, or says no limit",
)

# a plan over several days
_codes(
    days_bad="the days of the episode cannot be read, or are not in order",
    days_unused="a setting or command is for one day, and the episode is planned over several",
    rest_short="there are fewer than 11 hours between two days",
)

# the user's own food table
_codes(
    own_table_column="the own food table lacks a column or has an unknown one",
    own_table_row="a row of the own food table has no food or no usable weight",
)

# two editions compared
_codes(
    saved_broken="a saved plan is not JSON",
    saved_foreign="a saved plan lacks a part or has one of another kind",
    saved_version="a saved plan is of another schema version",
    price_correction_bad="a corrected price cannot be read, or its item has no price",
)

# the user's own templates
_codes(
    template_broken="a template of the user's cannot be read, asks for an unknown value, or does what is forbidden",
)

# names, prices, amounts and parts, as they are tied together
_codes(
    amount_missing="an ingredient that must be priced has no amount",
    batch_circular="a sub-preparation is, by way of others, an ingredient of itself",
    batch_too_small="the recipes use more of a sub-preparation than one batch makes",
    held_back_before="a held-back part is used before it is held back, or a second time",
    held_back_unused="a held-back part is never used",
    ingredient_unused="an ingredient is listed and no step uses it",
    measures_differ="the two measures of a line disagree by more than the rounding limit",
    mention_ambiguous="a name in square brackets fits several ingredients or products",
    mention_unknown="a name in square brackets is neither an ingredient nor a product",
    part_unit="a part is given in a measure that cannot be compared with the whole",
    parts_over="the steps use more of an ingredient than there is",
    parts_short="the steps use less of an ingredient than is listed",
    price_currency="a price is in another currency than the episode",
    price_jump="a price per unit is far from the item's row before: a pack price read as a unit price",
    price_missing="an ingredient has no price on the day of the episode",
    price_zero="a price is 0 for something that is not water",
    product_before_made="a product is used before the step that makes it",
    product_doubled="two steps make a product of the same name",
    product_not_awaited="a step uses a product and does not wait for the step that makes it",
    product_not_made="no step makes a sub-preparation",
    product_self="a step uses what it makes itself",
    product_unused="a product is made and never used",
    rest_empty="the rest of something is used where nothing is left",
    stock_unit="what is in stock is given in a measure that the pack does not have, so it counts as none",
    unit_unconvertible="an amount cannot be told in the unit in which the item is sold",
    used_twice="all of an ingredient is used more than once",
    yield_missing="a prepared amount has no known yield",
)

# figures in texts
_codes(
    placeholder_unknown="a text puts something in braces that names no figure",
    placeholder_ambiguous="a text puts words in braces that may mean several ingredients",
    figure_unknown="a text asks for a figure that cannot be known, such as an unknown price",
    figure_differs="an amount typed by hand differs from the recipe's",
)

# captions and the length of the video
_codes(
    caption_unseen="a caption stands on a step that is neither filmed nor spoken",
    caption_too_wide="a caption does not fit on two lines",
    length_outside="the script is longer or shorter than the length asked for",
)

# what costing finds
_codes(
    claim_refused="a claim of price or time may not be made as worded",
    claim_thin="a claim holds with less than 2 % to spare",
    cost_at_least="a recipe has lines without a price, so its figures are lower bounds",
    not_costed="lines that are listed and not costed: to taste, or for a purpose without an amount",
    price_guessed="a price is a guess",
    price_offer="a price is an offer without a known regular price",
    price_stale="a price is older than the episode's limit, or undated",
    staples_policy="staples are not counted by the line, which must be said beside the price",
)

# reading: any file
_codes(
    file_too_long="a file has more characters than a file of an episode may have",
    line_too_long="a line has more characters than can be read",
    character_hidden="a control character stands in the text",
    character_direction="an invisible mark changes the direction of the text",
)

# reading: front matter, titles and sections of Markdown files
_codes(
    front_matter_open="the front matter is never closed",
    front_matter_line="a line of the front matter is not key and value",
    key_unknown="a key that is not known, in front matter or in the kitchen file",
    key_twice="a key of the front matter is given twice",
    key_missing="the episode has no date or no currency",
    value_missing="a key or field has no value",
    title_missing="a file has no title",
    title_twice="a file has a second title",
    section_unknown="a section is not one of those that are read",
    section_twice="a section stands in a file twice",
    text_unused="text stands where only a list is read",
)

# reading: values
_codes(
    alternate_bad="an alternate names no ingredient",
    amount_bad="a text is not an amount",
    choice_unknown="a word is not one of the few that a field knows",
    currency_bad="a text is not a currency code",
    address_bad="a text is not the address of a page on the web",
    date_bad="a text is not a date",
    duration_bad="a text is not a time that something takes",
    locale_bad="a text is not a locale",
    money_bad="a text is not a price",
    number_bad="a text is not the number that is asked for",
    percent_bad="a text is not a share in percent",
    serves_bad="a text is not a number of servings",
    temperature_bad="a text is not a temperature",
    time_bad="a text is not a time of day",
    yes_no_bad="a text is neither yes nor no",
)

# reading: recipes
_codes(
    makes_missing="a sub-preparation does not say how much it makes",
    serves_missing="a recipe does not say how many it serves",
    method_missing="a recipe has no steps",
    lines_too_many="a recipe has more ingredients than can be read",
    steps_too_many="a recipe has more steps than can be read",
    group_bad="the brackets behind a group of ingredients say something unknown",
    step_not_numbered="a list item in a method is not a step",
    step_name_missing="a step has no name in bold",
    step_name_comma="a step's name has a comma or semicolon",
    step_twice="two steps of a recipe have the same name",
    field_unknown="a field that is not known here",
    field_form="a nested list item is not a field",
    field_twice="a field is given twice",
    field_outside="a field stands under no step",
    nested_too_deep="a list is nested under a field",
    check_bad="a field does not say when to look in",
    heats_bad="a step does not heat one oven to one temperature",
    mention_bad="square brackets in a step name nothing",
    part_bad="a mention does not say which part of an ingredient is used",
)

# reading: what steps say about each other
_codes(
    after_unknown="a step waits for a step that does not exist",
    after_self="a step waits for itself",
    after_cycle="steps wait for each other in a circle",
    after_without_step="a wait is given without the step that it counts from",
    within_alone="a limit on waiting has no step to count from",
    check_without_leave="a step is looked in on but never left",
    minutes_missing="a step has no minutes",
    cue_missing="a step on the heat says no cue",
)

# reading: the episode
_codes(
    recipes_missing="the episode lists no recipes",
    recipes_too_many="the episode lists more recipes than can be read",
    recipe_name_taken="a recipe has the name of a page that the blog needs itself",
    recipe_twice="two recipes of an episode have the same id",
    recipe_unknown="a recipe is named that is not in the episode",
    link_bad="an entry of the recipes is not a link",
    also_bad="the second currency cannot be read",
    claim_bad="a claim cannot be read",
    together_bad="a rule of what lands together cannot be read",
    correction_bad="an entry of the corrections has no date or no text",
    position_unknown="a shot is taken from a camera position that the kitchen does not have",
)

# reading: the price list
_codes(
    csv_broken="a row of the price list cannot be split into cells",
    column_unknown="a column that is not known",
    column_missing="a column that the price list needs is not there",
    column_twice="a column stands in the price list twice",
    cell_missing="a row of the price list lacks something that it needs",
    cell_extra="a row of the price list has more cells than there are columns",
    pack_bad="a text is not the size of a pack",
)

# reading: the kitchen file
_codes(
    toml_broken="the kitchen file is not TOML",
    value_kind="a value of the kitchen file is of the wrong kind",
    name_missing="an entry of the kitchen file has no name",
    name_twice="two entries of the kitchen file have the same name",
    meal_bad="the rule for the meal break cannot be read",
)

# ingredient lines
_codes(
    amount_unreadable="a line begins with a number that is not a plain amount",
    amount_sum="an ingredient begins with a sum of spoons or cups, whose size depends on the measures",
    amount_zero="an ingredient has an amount of zero",
    bracket_open="a bracket is opened and not closed, or closed and not opened",
    extra_not_counted="an ingredient asks for something extra that has no line of its own",
    ingredient_nameless="an ingredient line has no name",
    ingredient_too_long="an ingredient line is too long to be one",
    ingredients_in_one="an ingredient line seems to hold two ingredients",
    or_unclear="an ingredient line says or, and it is not clear between which two",
    unit_unknown="a word stands where a unit is expected and looks like a misspelt one",
)

# pace, script, captions and prep
_codes(
    timed_text_bad="a line of a timed text cannot be used",
    pace_too_short="a timed text has too little speech to measure a pace",
    caption_moved="captions wait until the one before is gone",
    caption_merged="captions that would outlast their row are shown as one",
    caption_lengthens="rows are longer so that their captions can be read",
)

# what happened on the day
_codes(
    log_line_bad="a line of the day's log, or what is told in its place, cannot be read",
    log_step_unknown="the day's log names a step that is not in the plan",
    log_step_ambiguous="the day's log names a step by words that fit several",
    rest_stuck="the rest of the day cannot be planned on the board",
    log_day_unclear="the day of an entry of the log is not clear, or is none of the episode's",
    log_ahead="the day's log tells of something after the moment that is asked for",
)

# weights from tables
_codes(
    pack_size_differs="a piece of the line and a piece of the pack are of different weights",
    weight_differs="the author's weight of a household measure is far from the table's",
    weight_estimated="a weight is only an estimate from similar foods",
)

# what must be minded with a dish
_codes(
    food_hazard="a dish holds something that can make people ill, with the rule that keeps it safe",
)

# chapters and the edit
_codes(
    chapter_joined="sections too short for a chapter of their own join a neighbour",
    chapters_few="the video has fewer chapters than platforms show",
)

# recipes of other pages
_codes(
    recipe_data_broken="a block of data in a page cannot be read",
    recipe_data_missing="a file that should hold a schema.org recipe holds none",
)

# agreement of texts and documents
_codes(
    document_differs="a built document says something else than the model it was made from",
)

# the finished edit
_codes(
    edit_line_bad="a line of an edit list cannot be used",
    edit_time_bad="a timecode of an edit does not exist at its frame rate",
    edit_rate_differs="an edit list counts frames in another way than its rate allows",
    edit_speed_unclear="the speed of a shot of the edit is not given, or does not fit its lengths",
    edit_timeline_bad="a timeline cannot be read",
    edit_empty="an edit holds nothing that can be placed",
    marker_bad="a line of a list of markers cannot be used",
    cut_row_lost="a row of the script is not in the finished video",
    cut_row_twice="a row of the script stands in the finished video more than once",
    cut_caption_lost="a caption finds no place in the finished video",
    cut_hold_short="a caption of the finished video is shown for less than it needs",
    cut_collision="a caption of the finished video stands on another",
    cut_gap_short="two captions of the finished video are less than a second apart and not butted",
    cut_provisional="places in the finished video are a first guess",
)
