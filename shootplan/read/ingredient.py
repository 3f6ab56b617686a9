"""
One ingredient line as a cook writes it → ``IngredientLine``.

The text of one list item comes in, with its place; a line and problems go out. Amounts are read by ``amounts``, the
nested fields of a line by whoever calls this. Which food a name means, and what it costs, is not known here.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import field, replace
from fractions import Fraction

from shootplan.model.quantity import COUNT, Amount
from shootplan.model.recipe import Alternate, IngredientLine, Purpose
from shootplan.problems import Problem, Severity, Span
from shootplan.read.amounts import AmountMatch, read_amount, read_unit
from shootplan.read.ingredient_words import (
    CONTAINERS,
    holds_its_weight,
    is_extra,
    is_tight,
    is_water,
    misspelt_unit,
    purpose_of,
    shares_a_noun,
)
from shootplan.read.passage import slug
from shootplan.read.values import quoted
from shootplan.records import dataclass

__all__ = ["read_ingredient_line"]

_MAX_LENGTH = 500
_BLANK = re.compile(r"[^\S ]")
_CUT = re.compile(r"[,;](?!(?<=\d,)\d)")
_BRACKET = re.compile(r"\(([^()]*)\)")
_PART_OF = re.compile(
    r"(?:the[ ])?(?P<part>(?:finely[ ]|freshly[ ])?(?:grated[ ]|squeezed[ ])?(?:zest|juice|rind|peel)"
    r"(?:[ ](?:and|&)[ ](?:zest|juice|rind))?)[ ](?:of|from)[ ]+",
    re.IGNORECASE,
)
_SOME = re.compile(r"(?P<words>a few|some|several|a little|a bit of|plenty of|lots of)[ ]+", re.IGNORECASE)
_LENGTH = re.compile(
    r"(?:(?P<count>an?|one|\d{1,2})[ ]+)?(?P<length>\d{1,3}(?:[–-]\d{1,3})?[ ]?-?[ ]?(?:cm|mm|inch(?:es)?|in))[ -]+"
    r"(?P<noun>piece|knob|stick|length|chunk)s?(?:[ ]of)?[ ]+",
    re.IGNORECASE,
)
_TIMES = re.compile(r"[x×][ ]*(?=[\d¼½¾])", re.IGNORECASE)
_PLUS = re.compile(r"(?:\+|plus[ ])[ ]*", re.IGNORECASE)
_OR = re.compile(r"[ ]+or[ ]+", re.IGNORECASE)
_TO_TASTE = re.compile(
    r"(?:(?:or|and)[ ])?(?:(?:more|less)[ ])?(?:or[ ](?:more|less)[ ])?to[ ](?:your[ ])?taste", re.IGNORECASE
)
_AS_NEEDED = re.compile(r"(?:or[ ])?(?:more|less|so|as needed|more if needed|as required)", re.IGNORECASE)
_PREPARED = re.compile(r"prepared(?:[ ]weight)?|(?:trimmed|peeled|shelled|cleaned|edible)[ ]weight", re.IGNORECASE)
_DRAINED_AFTER = re.compile(r"(?:when[ ])?drained(?:[ ]weight)?", re.IGNORECASE)
_DRAINED_BEFORE = re.compile(r"drained(?:[ ]weight)?:?[ ]+", re.IGNORECASE)
_EACH_AFTER = re.compile(r"each|apiece|(?:per|a)[ ]\w+|net(?:[ ]weight)?", re.IGNORECASE)
_LENGTH_AFTER = re.compile(r"(?:cm|mm|inch|inches|in)\b", re.IGNORECASE)
_TRAILING = re.compile(
    r"[ ]+(?P<phrase>(?:(?:or[ ](?:more[ ])?)?to[ ]taste|optional"
    r"|for[ ](?:deep[- ]?|shallow[- ]?|pan[- ]?|stir[- ]?)?frying"
    r"|for[ ](?:greasing|brushing|dusting|serving|garnish|the[ ](?:tin|pan|tray))"
    r"|to[ ](?:serve|garnish|finish|decorate)|(?:plus|\+)[ ].*))$",
    re.IGNORECASE,
)
#: "2 garlic cloves" is garlic counted in cloves; of these the whole name is the food.
_TRAILING_NOUN = re.compile(
    r"(?P<item>.+?)[ ]+(?P<noun>cloves?|sticks?|stalks?|ribs?|sprigs?|heads?|bulbs?)", re.IGNORECASE
)
_KEEPS_NOUN = (
    "cinnamon",
    "bread",
    "whole",
    "ground",
    "dried",
    "liquorice",
    "crab",
    "fish",
    "spare",
    "short",
    "pork",
    "beef",
)
#: What may stand between an amount and a name.
_MARKS = ("–", "—", "-", ":", ".", " ")
_NAMED_BY_UNIT = frozenset({"clove", "loaf", "fillet", "rasher"})
_NUMBER_STARTS = re.compile(r"[-+~.]?[ ]?[\d¼½¾⅓⅔⅛⅜⅝⅞⅕⅖⅗⅘⅙⅚]")
#: Units of one fixed size, of which a sum is exact without knowing the measure system: base units in each.
_FIXED = {
    "mg": ("mass", Fraction(1, 1000)), "g": ("mass", Fraction(1)), "kg": ("mass", Fraction(1000)),
    "oz": ("pound", Fraction(1)), "lb": ("pound", Fraction(16)),
    "ml": ("volume", Fraction(1)), "cl": ("volume", Fraction(10)), "dl": ("volume", Fraction(100)),
    "l": ("volume", Fraction(1000)), "pint": ("pint", Fraction(1)), "quart": ("pint", Fraction(2)),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Piece:
    """A stretch of the line without blanks at its ends, and where it starts."""

    text: str
    at: int

    @classmethod
    def cut(cls, text: str, start: int, end: int) -> _Piece:
        piece = text[start:end]
        return cls(piece.strip(), start + len(piece) - len(piece.lstrip()))

    def after(self, length: int) -> _Piece:
        piece = self.text[length:].lstrip()
        return _Piece(piece.rstrip(), self.at + len(self.text) - len(piece))

    def moved(self, by: int) -> _Piece:
        return _Piece(self.text, self.at + by)


@dataclass(slots=True)
class _Draft:
    """A line while it is being read."""

    span: Span
    decimal_comma: bool
    item: _Piece = _Piece("", 0)
    amount: Amount | None = None
    size: str = ""
    second: Amount | None = None
    second_plus: Amount | None = None
    second_size: str = ""
    each: Amount | None = None
    drained: Amount | None = None
    forms: list[str] = field(default_factory=list)
    is_prepared: bool = False
    is_optional: bool = False
    is_to_taste: bool = False
    is_approximate: bool = False
    purpose: Purpose = Purpose.DISH
    alternates: list[Alternate] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)

    def place(self, piece: _Piece) -> Span:
        """Return where a piece stands in the file."""
        first = self.span.column + piece.at
        return Span(self.span.path, self.span.line, first, first + max(1, len(piece.text)))

    def say(self, piece: _Piece, code: str, message: str, hint: str, *, is_warning: bool = False) -> None:
        """Note a problem at a piece."""
        severity = Severity.WARNING if is_warning else Severity.ERROR
        place = self.place(piece)
        self.problems.append(Problem(span=place, code=code, message=message, hint=hint, severity=severity))

    def read(self, text: str) -> AmountMatch | None:
        """Return the amount at the start of a text."""
        return read_amount(text, decimal_comma=self.decimal_comma)


def read_ingredient_line(
    text: str, *, span: Span, taken_ids: Collection[str], decimal_comma: bool = False
) -> tuple[IngredientLine | None, tuple[Problem, ...]]:
    """
    Return one ingredient line and what is wrong with it.

    Parameters
    ----------
    text
        The list item without its mark: "2 tins (400 g, 240 g drained) chickpeas, drained".
    span
        Where ``text`` starts; its first column is that of the first character.
    taken_ids
        Ids that the recipe's other lines already have.
    decimal_comma
        Whether "1,5" is one and a half.

    Returns
    -------
    tuple[IngredientLine | None, tuple[Problem, ...]]
        The line, ``None`` only where it has no name or is no line at all, and the problems by place.
    """
    draft = _Draft(span, decimal_comma)
    shown = _BLANK.sub(" ", text)
    if len(shown) > _MAX_LENGTH:
        hint = "write one ingredient a line, and what to do with it in the method"
        draft.say(_Piece("", 0), "ingredient-too-long", f"this line has {len(shown)} characters", hint)
        return None, tuple(draft.problems)
    outside, brackets = _brackets(draft, shown)
    pieces = _at_commas(outside)
    _read_head(draft, pieces[0])
    for piece in pieces[1:]:
        _read_piece(draft, piece)
    alternates_from = draft.alternates[0].span.column if draft.alternates else None
    for bracket in brackets:
        if alternates_from is None or span.column + bracket.at < alternates_from:
            _read_bracket(draft, bracket)
    return _finished(draft, text, taken_ids), tuple(sorted(draft.problems, key=lambda problem: problem.sort_key))


# ---------------------------------------------------------------------------------------------------- cutting


def _brackets(draft: _Draft, shown: str) -> tuple[str, list[_Piece]]:
    """Return the text with its brackets blanked out, places kept, and what stood in them."""
    if "(" not in shown and ")" not in shown:
        return shown, []
    plain = _BRACKET.sub(lambda bracket: " " * len(bracket[0]), shown)
    if "(" not in plain and ")" not in plain:  # none in another and none left open
        return plain, [_Piece.cut(shown, *bracket.span(1)) for bracket in _BRACKET.finditer(shown)]
    outside = list(shown)
    found, start, depth = [], 0, 0
    for at, character in enumerate(shown):
        if character == "(":
            start, depth = (at, 1) if depth == 0 else (start, depth + 1)
        if depth or character == ")":
            outside[at] = " "
        if character == ")":
            if depth == 0:
                _bracket_problem(draft, at)
            depth = max(0, depth - 1)
            if depth == 0:
                found.append(_Piece.cut(shown, start + 1, at))
    if depth:
        _bracket_problem(draft, start)
        found.append(_Piece.cut(shown, start + 1, len(shown)))
    return "".join(outside), found


def _bracket_problem(draft: _Draft, at: int) -> None:
    hint = "put both brackets round the second measure"
    draft.say(_Piece(" ", at), "bracket-open", "this bracket has no partner", hint)


def _at_commas(text: str) -> list[_Piece]:
    """Return the pieces between commas and semicolons, except commas inside a number."""
    pieces, start = [], 0
    for mark in _CUT.finditer(text):
        pieces.append(_Piece.cut(text, start, mark.start()))
        start = mark.end()
    pieces.append(_Piece.cut(text, start, len(text)))
    return [pieces[0], *[piece for piece in pieces[1:] if piece.text]]


# ---------------------------------------------------------------------------------------------------- amount and name


def _read_head(draft: _Draft, head: _Piece) -> None:
    """Read the amount and the name."""
    part = _PART_OF.match(head.text)
    if part:
        draft.forms.append(_tidy(part["part"]).casefold())
        head = head.after(part.end())
    length = _LENGTH.match(head.text)
    some = _SOME.match(head.text)
    match = None if length or some else draft.read(head.text)
    if length:
        rest = _read_length(draft, head, length)
    elif some:
        rest = _read_some(draft, head, some)
    elif match:
        rest = _read_measure(draft, head, match)
    else:
        rest = _without_amount(draft, head)
    _read_name(draft, rest)


def _read_length(draft: _Draft, head: _Piece, match: re.Match[str]) -> _Piece:
    """Read "a 2 cm piece of ginger": counted, and so long."""
    count = match["count"] or "1"
    noun = match["noun"].casefold()
    draft.amount = Amount.of(int(count) if count.isdigit() else 1, noun if noun in ("knob", "stick") else "piece")
    draft.forms.append(_tidy(match["length"]))
    return head.after(match.end())


def _read_some(draft: _Draft, head: _Piece, match: re.Match[str]) -> _Piece:
    """Read "a few sprigs of thyme": no amount that could be counted."""
    rest = head.after(match.end())
    unit = read_unit(rest.text)
    typed = rest.text[: unit[1]].strip() if unit else ""
    words = match["words"].casefold().removesuffix(" of")
    draft.forms.append(f"{words} {typed.removesuffix(' of')}".strip())
    draft.is_approximate = True
    return rest.after(unit[1]) if unit else rest


def _without_amount(draft: _Draft, head: _Piece) -> _Piece:
    if _NUMBER_STARTS.match(head.text):
        hint = 'write the amount first, as in "1 1/2 cups", "0.5 l" or "2–3 tbsp"'
        draft.say(head, "amount-unreadable", f"{quoted(head.text)} does not begin with a plain amount", hint)
        letters = re.search(r"[^\W\d_]", head.text)
        return head.after(letters.start() if letters else len(head.text))
    return head


def _read_measure(draft: _Draft, head: _Piece, match: AmountMatch) -> _Piece:
    """Read the first measure and what is tied to it: "2 x 400 g tins", "300 ml/½ pint", "1 lb 4 oz"."""
    draft.amount, draft.size = match.amount, match.size
    draft.is_approximate = match.is_approximate
    if match.manner:
        draft.forms.append(match.manner)
    rest = head.after(match.length)
    rest = _read_each(draft, rest)
    rest = _read_slash(draft, rest)
    rest = _read_sum(draft, rest)
    if not rest.text and match.amount.unit in _NAMED_BY_UNIT and draft.amount is match.amount:
        draft.amount = replace(match.amount, unit="")
        at = head.text.rfind(match.unit_text)
        return _Piece(match.unit_text, head.at + at)
    if draft.amount.high == 0:
        draft.say(
            head, "amount-zero", f"{quoted(head.text)} is an amount of zero", "leave the line out, or write how much"
        )
    return rest


def _read_each(draft: _Draft, rest: _Piece) -> _Piece:
    """Read the weight of one: "2 x 400 g tins", "a 400 g tin", "400 g tin"."""
    assert draft.amount is not None
    if draft.amount.dimension != COUNT:
        unit = read_unit(rest.text)
        is_one = unit is not None and holds_its_weight(unit[0]) and re.match(rf"{unit[0]}\b", rest.text, re.IGNORECASE)
        if unit is None or not is_one:
            return rest
        draft.each, draft.amount = draft.amount, Amount.of(1, unit[0])
        return rest.after(unit[1])
    times = _TIMES.match(rest.text)
    inner = rest.after(times.end()) if times else rest
    each = draft.read(inner.text) if draft.amount.unit == "" else None
    if each is None or each.amount.dimension == COUNT:
        return rest
    after = inner.after(each.length)
    unit = read_unit(after.text)
    draft.each = each.amount
    draft.amount = replace(draft.amount, unit=unit[0] if unit else "")
    return after.after(unit[1]) if unit else after


def _read_slash(draft: _Draft, rest: _Piece) -> _Piece:
    """Read a second measure behind a stroke: "300 ml/½ pint milk"."""
    if not rest.text.startswith("/"):
        return rest
    after = rest.after(1)
    match = draft.read(after.text)
    if match is None:
        return after
    draft.second, draft.second_size = match.amount, match.size
    return after.after(match.length)


def _read_sum(draft: _Draft, rest: _Piece) -> _Piece:
    """Read a sum of one kind of unit, "1 lb 4 oz"; a sum of spoons and cups is not exact without the measures."""
    assert draft.amount is not None
    plus = _PLUS.match(rest.text)
    more = rest.after(plus.end()) if plus else rest
    match = draft.read(more.text) if draft.amount.unit else None
    if match is None or match.amount.dimension == COUNT or draft.amount.dimension == COUNT:
        return rest
    total = _total(draft.amount, match.amount)
    if total is None and plus:
        hint = 'write it as the second measure: "75 g (¼ cup + 2 tbsp) sugar"'
        draft.say(rest, "amount-sum", f"{quoted(rest.text)} is added to another measure", hint)
    if total is None:
        return rest if not plus else more.after(match.length)
    draft.amount = total
    return more.after(match.length)


def _total(one: Amount, other: Amount) -> Amount | None:
    """Return the exact sum in the unit of ``other``, or ``None`` if it depends on the measure system."""
    first, second = _FIXED.get(one.unit), _FIXED.get(other.unit)
    if one.unit == other.unit:
        return Amount(one.low + other.low, one.high + other.high, one.unit)
    if first is None or second is None or first[0] != second[0]:
        return None
    factor = first[1] / second[1]
    return Amount(one.low * factor + other.low, one.high * factor + other.high, other.unit)


def _read_name(draft: _Draft, rest: _Piece) -> None:
    """Read the name and the phrases behind it that have no comma: "oil for frying", "salt to taste"."""
    if rest.text.startswith(_MARKS):
        rest = rest.after(len(rest.text) - len(rest.text.lstrip("".join(_MARKS))))
    if rest.text.casefold().startswith("of "):
        rest = rest.after(3)
    phrase = _TRAILING.search(rest.text)
    if phrase:
        _read_piece(draft, _Piece.cut(rest.text, phrase.start("phrase"), len(rest.text)).moved(rest.at))
        rest = _Piece(rest.text[: phrase.start()].strip(), rest.at)
    rest = _split_or(draft, rest)
    rest = _counted_by_last_word(draft, rest)
    _check_unit(draft, rest)
    draft.item = _Piece(rest.text.rstrip(". "), rest.at)


def _split_or(draft: _Draft, name: _Piece) -> _Piece:
    """Return the name without an alternative behind "or"; "red or white onions" is one name."""
    match = _OR.search(name.text)
    if match is None:
        return name
    left, right = _Piece(name.text[: match.start()], name.at), name.after(match.end())
    if draft.read(right.text) is None:
        if shares_a_noun(left.text):
            return name
        if len(left.text.split()) != len(right.text.split()):
            hint = f'write "{left.text}, or {right.text}", or the whole name on both sides'
            draft.say(name, "or-unclear", f"{quoted(name.text)} may mean two things", hint, is_warning=True)
            return name
    _add_alternate(draft, right)
    return left


def _counted_by_last_word(draft: _Draft, name: _Piece) -> _Piece:
    """Return "garlic" for the name in "2 garlic cloves", and count it in cloves."""
    match = _TRAILING_NOUN.fullmatch(name.text)
    if (
        match is None
        or draft.amount is None
        or draft.amount.unit
        or match["item"].casefold().split()[-1] in _KEEPS_NOUN
    ):
        return name
    unit = read_unit(match["noun"])
    if unit is not None:
        draft.amount = replace(draft.amount, unit=unit[0])
    return _Piece(match["item"], name.at)


def _check_unit(draft: _Draft, name: _Piece) -> None:
    """Complain about a misspelt unit, which would otherwise be taken for the beginning of a name."""
    first, _, others = name.text.partition(" ")
    if draft.amount is None or draft.amount.unit or not others:
        return
    hint = misspelt_unit(first)
    if hint is not None:
        draft.say(_Piece(first, name.at), "unit-unknown", f"unknown unit {quoted(first)}", hint)


# ---------------------------------------------------------------------------------------------------- what follows


def _read_piece(draft: _Draft, piece: _Piece) -> None:
    """Read what stands behind a comma, or a phrase at the end of a name."""
    text = piece.text
    if text.casefold().split(" ")[0] == "optional":
        draft.is_optional = True
    elif _TO_TASTE.fullmatch(text):
        draft.is_to_taste = True
    elif _AS_NEEDED.fullmatch(text):
        draft.is_approximate = True
    elif _PREPARED.fullmatch(text):
        draft.is_prepared = True
        draft.forms += [] if text.casefold() == "prepared" else [text]
    elif text.casefold().startswith("or "):
        _read_alternative(draft, piece.after(3))
    elif _PLUS.match(text) or is_extra(text):
        _read_extra(draft, piece)
    elif purpose := purpose_of(text):
        draft.purpose = purpose
        draft.forms.append(text)
    elif not _read_own_measure(draft, piece):
        draft.forms.append(text)


def _read_alternative(draft: _Draft, piece: _Piece) -> None:
    """Read what follows "or": another item, another measure of this one, or another way to prepare it."""
    match = draft.read(piece.text)
    if match is not None and not match.rest:
        draft.second = draft.second or match.amount
    elif match is None and re.fullmatch(r"\w+(?:ed|ly)(?: \w+(?:ed|ly))?|similar|other.*", piece.text, re.IGNORECASE):
        draft.forms.append(f"or {piece.text}")
    else:
        _add_alternate(draft, piece)


def _add_alternate(draft: _Draft, piece: _Piece) -> None:
    match = draft.read(piece.text)
    name = piece.after(match.length) if match else piece
    if not name.text:
        return
    place = draft.place(piece)
    draft.alternates.append(Alternate(item=_tidy(name.text), amount=match.amount if match else None, span=place))


def _read_extra(draft: _Draft, piece: _Piece) -> None:
    """Keep "plus a tin of water" as a note; say that other extras are not counted."""
    draft.forms.append(piece.text)
    plus = _PLUS.match(piece.text)
    more = piece.after(plus.end()) if plus else piece
    match = draft.read(more.text)
    name = match.rest if match else more.text
    if not is_water(_tidy(name)):
        hint = "give it a line of its own, so that it is bought and counted"
        message = f"{quoted(piece.text)} is listed and not counted"
        draft.say(piece, "extra-not-counted", message, hint, is_warning=True)


def _read_own_measure(draft: _Draft, piece: _Piece) -> bool:
    """Read a piece that is an amount alone: "butter, 30 g"; return whether it was one."""
    drained = _DRAINED_BEFORE.match(piece.text)
    match = draft.read(piece.text[drained.end() :] if drained else piece.text)
    if match is None:
        return False
    if (drained and not match.rest) or _DRAINED_AFTER.fullmatch(match.rest):
        draft.drained = match.amount
        return True
    if match.rest:
        if piece.text[0].isdigit() and match.amount.unit and not _LENGTH_AFTER.match(match.rest):
            hint = "write one ingredient a line"
            draft.say(piece, "ingredients-in-one", f"{quoted(piece.text)} looks like another ingredient", hint)
        return False
    _put_measure(draft, match)
    return True


# ---------------------------------------------------------------------------------------------------- brackets


def _read_bracket(draft: _Draft, bracket: _Piece) -> None:
    for piece in _at_commas(bracket.text):
        if piece.text:
            _read_bracketed(draft, piece.moved(bracket.at))


def _read_bracketed(draft: _Draft, piece: _Piece) -> None:
    """Read one part of a bracket: a measure, the weight of one, the drained weight, or a note."""
    match = draft.read(piece.text)
    if match is None:
        if _NUMBER_STARTS.match(piece.text):
            hint = 'write it as in "(400 g)", "(5 medium)" or "(½ cup + 2 tbsp)"'
            draft.say(piece, "amount-unreadable", f"{quoted(piece.text)} does not begin with a plain amount", hint)
        else:
            _read_piece(draft, piece)
        return
    rest = piece.after(match.length)
    times = _TIMES.match(rest.text)
    if times and (each := draft.read(rest.after(times.end()).text)):
        draft.each = each.amount
    elif _DRAINED_AFTER.fullmatch(rest.text):
        draft.drained = match.amount
    elif rest.text and _EACH_AFTER.fullmatch(rest.text):
        draft.each = match.amount
    else:
        _put_measure(draft, match)
        _read_behind_measure(draft, rest)


def _put_measure(draft: _Draft, match: AmountMatch) -> None:
    """Put a measure where there is room: the first, the weight of one container, or the second."""
    amount = match.amount
    if draft.amount is None and not draft.is_approximate:
        draft.amount, draft.size = amount, match.size
    elif _is_of_one(draft, amount):
        draft.each = amount
    elif draft.second is None:
        draft.second, draft.second_size = amount, match.size


def _is_of_one(draft: _Draft, amount: Amount) -> bool:
    first = draft.amount
    return first is not None and first.unit in CONTAINERS and draft.each is None and amount.dimension != COUNT


def _read_behind_measure(draft: _Draft, rest: _Piece) -> None:
    """Read what follows a measure in its bracket: another measure to add, a third one, or a note such as "raw"."""
    plus = _PLUS.match(rest.text)
    match = draft.read(rest.after(plus.end()).text) if plus else None
    if match is not None and not match.rest and draft.second is not None:
        total = _total(draft.second, match.amount)
        draft.second, draft.second_plus = (total, None) if total else (draft.second, match.amount)
    elif rest.text and not rest.text.startswith("/"):
        draft.forms.append(rest.text)


# ---------------------------------------------------------------------------------------------------- the line


def _tidy(text: str) -> str:
    return " ".join(text.split())


def _finished(draft: _Draft, text: str, taken_ids: Collection[str]) -> IngredientLine | None:
    """Return the line, or ``None`` and a problem if it has no name."""
    item = _tidy(draft.item.text)
    if not any(map(str.isalpha, item)):
        hint = 'write what it is behind the amount, as in "300 g (1½ cups) pearl barley, rinsed"'
        whole = _Piece(text.rstrip(), 0)
        draft.say(whole, "ingredient-nameless", f"{quoted(text)} has no name of an ingredient", hint)
        return None
    water = is_water(item) and draft.purpose is Purpose.DISH
    return IngredientLine(
        id=slug(item, taken_ids),
        item=item,
        amount=draft.amount,
        second=draft.second,
        second_plus=draft.second_plus,
        second_size=draft.second_size,
        size=draft.size,
        form=", ".join(_tidy(form) for form in draft.forms),
        each=draft.each,
        drained=draft.drained,
        is_prepared=draft.is_prepared,
        is_optional=draft.is_optional,
        is_to_taste=draft.is_to_taste,
        is_approximate=draft.is_approximate,
        alternates=tuple(draft.alternates),
        purpose=Purpose.WATER if water else draft.purpose,
        is_tight=is_tight(item),
        text=text,
        span=draft.span,
        item_span=draft.place(draft.item),
    )
