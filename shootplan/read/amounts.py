"""
Amounts as cooks write them: "1½ cups", "2–3 tbsp", "half a", "a pinch of", "about 300 g", "a dozen".

Text comes in; the exact amount at its start and the text behind it go out. Our own grammar: nothing here evaluates
text, and numbers are short (six digits), so no input is slow. Sizes of spoons and cups are not known here, and names of
foods are not looked at.
"""

from __future__ import annotations

import re
import unicodedata
from fractions import Fraction

from shootplan.model.quantity import Amount
from shootplan.records import dataclass

__all__ = ["COUNTED", "MEASURES", "AmountMatch", "read_amount", "read_unit"]


@dataclass(frozen=True, slots=True, kw_only=True)
class AmountMatch:
    """
    The amount at the start of a text; ``rest`` is ``text[length:]``.

    ``size`` is small, medium or large ("2 medium tomatoes"), ``manner`` how a spoon is filled ("heaped", "level",
    "scant"), ``unit_text`` the unit as typed. ``is_approximate`` is for "about", "heaped" and the like.
    """

    amount: Amount
    rest: str
    length: int
    size: str = ""
    manner: str = ""
    unit_text: str = ""
    is_approximate: bool = False


#: Weights and volumes: canonical word → every usual spelling (letters' case apart; "T" and "t" are in _CASED).
MEASURES: dict[str, tuple[str, ...]] = {
    "mg": ("mg", "mgs", "milligram", "milligrams", "milligramme", "milligrammes"),
    "g": ("g", "gr", "gm", "gms", "gram", "grams", "gramme", "grammes"),
    "kg": ("kg", "kgs", "kilo", "kilos", "kilogram", "kilograms", "kilogramme", "kilogrammes"),
    "oz": ("oz", "ozs", "ounce", "ounces"),
    "lb": ("lb", "lbs", "pound", "pounds"),
    "ml": ("ml", "mls", "cc", "millilitre", "millilitres", "milliliter", "milliliters"),
    "cl": ("cl", "centilitre", "centilitres", "centiliter", "centiliters"),
    "dl": ("dl", "decilitre", "decilitres", "deciliter", "deciliters"),
    "l": ("l", "ltr", "ltrs", "litre", "litres", "liter", "liters"),
    "tsp": ("tsp", "tsps", "teaspoon", "teaspoons", "teaspoonful", "teaspoonfuls"),
    "dsp": ("dsp", "dsps", "dstspn", "dessertspoon", "dessertspoons", "dessertspoonful", "dessertspoonfuls"),
    "tbsp": (
        "tbsp", "tbsps", "tbs", "tbl", "tbls", "tblsp", "tblsps", "tablespoon", "tablespoons", "tablespoonful",
        "tablespoonfuls",
    ),
    "cup": ("cup", "cups", "c", "cupful", "cupfuls"),
    "fl oz": ("fl oz", "fl ozs", "floz", "fluid ounce", "fluid ounces"),
    "pint": ("pint", "pints", "pt", "pts"),
    "quart": ("quart", "quarts", "qt", "qts"),
    "pinch": ("pinch", "pinches"),
    "dash": ("dash", "dashes"),
    "drop": ("drop", "drops"),
}  # fmt: skip

#: Nouns that are counted. "tin" and "can" stay apart as words, because what the author says is what is shown;
#: whoever compares them treats them as one (``resolve.amounts.same_count``).
COUNTED = frozenset({
    "bag", "ball", "bar", "batch", "block", "bottle", "box", "bulb", "bunch", "can", "carton", "clove", "cube",
    "dollop", "drizzle", "ear", "fillet", "glug", "handful", "head", "jar", "knob", "leaf", "loaf", "pack", "packet",
    "piece", "portion", "pot", "pouch", "punnet", "rasher", "rib", "sachet", "scoop", "sheet", "slice", "splash",
    "sprig", "squeeze", "stalk", "stick", "strip", "tin", "tub", "tube", "wedge",
})  # fmt: skip
_IRREGULAR = {"leaves": "leaf", "loaves": "loaf"}
#: One letter that means two things by its case, a habit of North American kitchens (common practice, no source).
_CASED = {"T": "tbsp", "t": "tsp"}
#: Units that the model does not keep: so many of another one, in every measure system.
_TOLD_AS = {"gallon": (4, "quart"), "gallons": (4, "quart"), "gal": (4, "quart"), "hg": (100, "g")}
#: Metric units of one kind, so that "500 g to 1 kg" is a range.
_IN_BASE = {
    "mg": (Fraction(1, 1000), "g"), "g": (Fraction(1), "g"), "kg": (Fraction(1000), "g"),
    "ml": (Fraction(1), "ml"), "cl": (Fraction(10), "ml"), "dl": (Fraction(100), "ml"), "l": (Fraction(1000), "ml"),
}  # fmt: skip
#: A rib of celery is counted, a rib of meat is the thing itself.
_NOT_COUNTED = re.compile(r"ribs?[ -](?:eye|steak|roast)", re.IGNORECASE)

_GLYPHS = "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"
_SLASH = r"[ ]?[/⁄][ ]?"
_BETWEEN = r"(?:[ ]+and[ ]+|[ ]+|-)"
#: What may not follow a number: more digits, a sum, a share, a compound word ("5-spice").
_END = r"(?![\d⁄/:'\"′″]|[.,]\d|-[^\W\d]|[ ]?[*^%°])"
_DIGITS = re.compile(
    rf"(?:(?P<mixed>\d{{1,6}}){_BETWEEN}(?P<mtop>\d{{1,3}}){_SLASH}(?P<mbottom>\d{{1,3}})"
    rf"|(?P<whole>\d{{1,6}})(?:{_BETWEEN})?(?P<glyph>[{_GLYPHS}])"
    rf"|(?P<only>[{_GLYPHS}])"
    rf"|(?P<top>\d{{1,3}}){_SLASH}(?P<bottom>\d{{1,3}})"
    rf"|(?P<decimal>\d{{1,6}}(?:[.,]\d{{1,6}})?|\.\d{{1,6}}))(?<![.,]){_END}",
    re.ASCII,
)
_SMALL_NUMBERS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_NUMBER_WORDS = {word: Fraction(value) for value, word in enumerate(_SMALL_NUMBERS, start=1)}
_PARTS = {"half": Fraction(1, 2), "third": Fraction(1, 3), "thirds": Fraction(1, 3)}
_PARTS |= {"quarter": Fraction(1, 4), "quarters": Fraction(1, 4)}
_OF_ONE = r"(?:[ ]+(?:of[ ]+)?(?:an?|the|one)(?=[ ]))?"
_WORDS = re.compile(
    r"(?:(?P<half_dozen>half[ ]+a[ ]+dozen)"
    rf"|(?P<count>{'|'.join(_SMALL_NUMBERS)})[ ]+and[ ]+a[ ]+(?P<plus>half|quarter)"
    rf"|(?:(?P<times>a|an|one|two|three)[ -]+)?(?P<part>half|thirds?|quarters?){_OF_ONE}"
    r"|(?P<couple>(?:a[ ]+)?(?:couple|pair)[ ]+of)"
    rf"|(?P<word>an?|{'|'.join(_SMALL_NUMBERS)}))(?![\w-])",
    re.IGNORECASE,
)
_DOZEN = re.compile(r"[ ]*dozen(?![\w-])", re.IGNORECASE)
_TO = re.compile(r"[ ]*[-–—][ ]*|[ ]+(?:to|or)[ ]+", re.IGNORECASE)
_ABOUT = re.compile(r"(?:about|approximately|approx\.?|around|roughly|circa|~)[ ]*(?![\w-]*-)", re.IGNORECASE)
_MANNERS = {"heaped": "heaped", "heaping": "heaped", "rounded": "rounded", "level": "level", "scant": "scant"}
_MANNERS |= {"generous": "generous", "good": "generous"}
_MANNER = re.compile(rf"[ ]*(?P<word>{'|'.join(_MANNERS)})(?=[ ])", re.IGNORECASE)
_SIZE = re.compile(r"[ ]*(?P<word>small|medium|large)(?:-sized?)?(?![\w/-])", re.IGNORECASE)
_UNIT = re.compile(
    r"[ ]?(?P<two>(?i:fl(?:uid|\.)?[ ](?:oz|ozs|ounces?)))\b\.?(?![\w-])|[ ]*(?P<one>[^\W\d_]+)(?![\w-])"
)
_ABBREVIATED_DOT = re.compile(r"\.(?=[ ]|$)")
_OF = re.compile(r"[ ]+of(?=[ ])", re.IGNORECASE)
#: With which words an amount may begin: most texts that are asked for one are others, and one glance tells.
_BEGINNING = re.compile(
    rf"an?\b|about|approx|around|roughly|circa|couple|pair|{'|'.join((*_SMALL_NUMBERS, *_PARTS, *_MANNERS))}",
    re.IGNORECASE,
)
_BLANK = re.compile(r"[^\S ]")
#: Longer texts than any amount: what stands further back is never looked at.
_LOOK_AT = 200


def read_amount(text: str, *, decimal_comma: bool = False) -> AmountMatch | None:
    """
    Return the amount at the start of ``text``, or ``None`` if there is none that is plain.

    Parameters
    ----------
    text
        For example "1½ cups sugar", "1 to 2 tbsp oil", "half a lemon", "a pinch of salt". Blanks at the start, and "of"
        behind the amount, count as read.
    decimal_comma
        Whether "1,5" is one and a half. Otherwise a comma inside a number makes it unreadable, for it may also part
        thousands.

    Returns
    -------
    AmountMatch | None
        Ranges have both ends; the unit is the canonical word of ``model.quantity``, or "" for a bare count.
        ``None`` also where a number is too long (more than six digits), ends in a sum ("9**9"), or a range runs
        downwards.
    """
    start = text.lstrip()
    if start[:1].isalpha() and not _BEGINNING.match(start):
        return None
    shown = _plain(text[:_LOOK_AT])
    at = len(text) - len(start)
    about = _ABOUT.match(shown, at)
    at = about.end() if about else at
    manner, at = _manner_at(shown, at)
    low = _number_at(shown, at, decimal_comma)
    if low is None:
        return None
    return _with_unit(text, shown, low, manner=manner, is_about=about is not None, decimal_comma=decimal_comma)


def read_unit(text: str) -> tuple[str, int] | None:
    """Return the unit word at the start of ``text`` (canonical) and the characters read, "of" and blanks included."""
    shown = _plain(text[:_LOOK_AT])
    found = _unit_word(shown, 0)
    if found is None or found[1] != 1:
        return None
    return found[0], _behind(shown, _Unit(found[0], 1, "", "", "", found[2]))


def _plain(text: str) -> str:
    """Return the text with every blank as a plain space, one for one, so that places stay true."""
    return _BLANK.sub(" ", text)


@dataclass(frozen=True, slots=True)
class _Number:
    value: Fraction
    end: int


@dataclass(frozen=True, slots=True)
class _Unit:
    """A unit word: canonical name, how many of it the word means, size, manner, text as typed, place behind it."""

    name: str
    times: int
    size: str
    manner: str
    typed: str
    end: int


def _with_unit(
    text: str, shown: str, low: _Number, *, manner: str, is_about: bool, decimal_comma: bool
) -> AmountMatch | None:
    """Return the match for a number, its unit, and the other end if it is a range."""
    first = _unit_at(shown, low.end)
    to = _TO.match(shown, first.end)
    high = _number_at(shown, to.end(), decimal_comma) if to else None
    last = _unit_at(shown, high.end) if high else first
    if high is None:
        amount = _amount(low.value, low.value, first)
    elif first.name and first.name != last.name:
        amount = _across(low.value, first, high.value, last)
    else:
        amount = _amount(low.value, high.value, last)
    if amount is None or _glued(shown, (high or low).end, last):
        return None
    end = _behind(shown, last)
    how = manner or last.manner
    return AmountMatch(
        amount=amount,
        rest=text[end:],
        length=end,
        size=last.size or first.size,
        manner=how,
        unit_text=last.typed,
        is_approximate=is_about or how not in ("", "level"),
    )


def _glued(shown: str, number_end: int, unit: _Unit) -> bool:
    """Whether letters that are no unit stick to the number: "1e999", "7up"."""
    return unit.end == number_end and shown[number_end : number_end + 1].isalpha() and shown[number_end - 1].isdigit()


def _behind(shown: str, unit: _Unit) -> int:
    """Return the place behind the unit, the word "of" behind it, and blanks."""
    of = _OF.match(shown, unit.end) if unit.name else None
    end = of.end() if of else unit.end
    return len(shown) - len(shown[end:].lstrip(" "))


def _amount(low: Fraction, high: Fraction, unit: _Unit) -> Amount | None:
    if low is not high and low > high:
        return None
    return Amount(low, high, unit.name).scaled(unit.times)


def _across(low: Fraction, first: _Unit, high: Fraction, last: _Unit) -> Amount | None:
    """Return a range whose ends have two metric units of one kind, in the unit of the first: "500 g to 1 kg"."""
    one, other = _IN_BASE.get(first.name), _IN_BASE.get(last.name)
    if one is None or other is None or one[1] != other[1]:
        return None
    return _amount(low * first.times, high * last.times * other[0] / one[0], first)


def _number_at(shown: str, at: int, decimal_comma: bool) -> _Number | None:
    digits = _DIGITS.match(shown, at)
    if digits is not None:
        value = _digits_value(digits, decimal_comma)
        found = _Number(value, digits.end()) if value is not None else None
    else:
        words = _WORDS.match(shown, at)
        found = _Number(_words_value(words), words.end()) if words else None
    dozen = _DOZEN.match(shown, found.end) if found else None
    return _Number(found.value * 12, dozen.end()) if found and dozen else found


def _digits_value(match: re.Match[str], decimal_comma: bool) -> Fraction | None:
    decimal = match["decimal"]
    if decimal is not None:
        if decimal.isdecimal():
            return Fraction(int(decimal))
        return None if "," in decimal and not decimal_comma else Fraction(decimal.replace(",", "."))
    if match["mixed"] is not None:
        return _mixed(int(match["mixed"]), int(match["mtop"]), int(match["mbottom"]))
    glyph = match["glyph"] or match["only"]
    if glyph is not None:
        return int(match["whole"] or 0) + _glyph(glyph)
    return Fraction(int(match["top"]), int(match["bottom"])) if int(match["bottom"]) else None


def _mixed(whole: int, top: int, bottom: int) -> Fraction | None:
    """Return "1 1/2"; a whole number before an improper fraction is more likely a slip than a sum."""
    return whole + Fraction(top, bottom) if top < bottom else None


def _glyph(glyph: str) -> Fraction:
    top, _, bottom = unicodedata.normalize("NFKC", glyph).partition("⁄")
    return Fraction(int(top), int(bottom))


def _words_value(match: re.Match[str]) -> Fraction:
    part = {name: (text or "").casefold() for name, text in match.groupdict().items()}
    if part["half_dozen"]:
        return Fraction(6)
    if part["count"]:
        return _NUMBER_WORDS[part["count"]] + _PARTS[part["plus"]]
    if part["part"]:
        return _NUMBER_WORDS.get(part["times"], Fraction(1)) * _PARTS[part["part"]]
    if part["couple"]:
        return Fraction(2)
    return _NUMBER_WORDS.get(part["word"], Fraction(1))


def _manner_at(shown: str, at: int) -> tuple[str, int]:
    match = _MANNER.match(shown, at)
    if match is None:
        return "", at
    end = match.end()
    while shown[end : end + 1] == " ":
        end += 1
    return _MANNERS[match["word"].casefold()], end


def _unit_at(shown: str, at: int) -> _Unit:
    """Return the unit behind a number, with the words for size and filling before it; a bare count if there is none."""
    manner, after_manner = _manner_at(shown, at)
    size = _SIZE.match(shown, after_manner)
    start = size.end() if size else after_manner
    word = size["word"].casefold() if size else ""
    found = _unit_word(shown, start)
    if found is None:
        # without a unit, "good" and "level" belong to the food: "2 good tomatoes"
        size = _SIZE.match(shown, at)
        return _Unit("", 1, size["word"].casefold() if size else "", "", "", size.end() if size else at)
    name, times, end = found
    return _Unit(name, times, word, manner, shown[start:end].strip(), end)


def _unit_word(shown: str, at: int) -> tuple[str, int, int] | None:
    """Return (canonical unit, how many of it, place behind it) for the word at ``at``."""
    match = _UNIT.match(shown, at)
    if match is None:
        return None
    if match["two"]:
        return "fl oz", 1, match.end()
    word = match["one"]
    name, times = _canonical(word)
    if name is None or _NOT_COUNTED.match(shown, match.start("one")):
        return None
    dot = _ABBREVIATED_DOT.match(shown, match.end()) if name not in COUNTED else None
    return name, times, dot.end() if dot else match.end()


def _canonical(word: str) -> tuple[str | None, int]:
    if word in _CASED:
        return _CASED[word], 1
    key = word.casefold()
    times, told = _TOLD_AS.get(key, (1, key))
    return _BY_SPELLING.get(told), times


def _spellings() -> dict[str, str]:
    """Return every spelling, in lower case, with its canonical word."""
    found = {spelling: name for name, spellings in MEASURES.items() for spelling in spellings}
    for noun in COUNTED:
        found[noun] = noun
        found[noun + ("es" if noun.endswith(("s", "x", "ch", "sh")) else "s")] = noun
    return found | _IRREGULAR


_BY_SPELLING = _spellings()
