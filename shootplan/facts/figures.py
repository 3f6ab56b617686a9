"""
Every figure of a free text, read back: amounts, shares, times, temperatures, servings, money, counts, words on diet.

A text comes in, ``Typed`` figures go out in the order in which they stand, each with the sentence around it. In digits
or words, single or a range ("two or three", "10–12"); nothing is compared here. English only.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from functools import cache, lru_cache

from shootplan.facts.number_words import PAIR, Digits, with_digits
from shootplan.facts.say_out import GLYPHS, SPACE, read_number
from shootplan.facts.spoken import UNIT_WORDS
from shootplan.model.agreement import FigureKind
from shootplan.records import dataclass

__all__ = ["DIETS", "HOUR", "Typed", "find_figures"]

HOUR = 3600
#: Seconds in each word for time; a month is left out because nothing here is known to the month.
_TIME_WORDS = {"s": 1, "sec": 1, "second": 1, "min": 60, "minute": 60, "h": HOUR, "hr": HOUR, "hour": HOUR}
_TIME_WORDS |= {"d": 24 * HOUR, "day": 24 * HOUR, "night": 24 * HOUR, "week": 7 * 24 * HOUR}
_COUNT_UNITS = (
    *("tin", "can", "clove", "slice", "cube", "leaf", "sprig", "stick", "bunch", "jar", "sheet", "rasher", "head"),
    *("handful", "pinch", "knob", "stalk", "ball", "sachet", "packet", "pack", "block", "dash", "drop"),
)
_SAID = {word: unit for unit, words in UNIT_WORDS.items() for word in words if unit not in ("s", "min", "h", "d")}
_SAID |= {"liter": "l", "liters": "l", "litre": "l", "litres": "l", "cups": "cup", "grammes": "g", "gramme": "g"}
_SAID |= {"kilo": "kg", "kilos": "kg", "mil": "ml", "mils": "ml", "ounce": "oz", "tsps": "tsp", "tbsps": "tbsp"}
_SAID |= {f"{unit}s": unit for unit in _COUNT_UNITS}
_SAID |= {"leaves": "leaf", "bunches": "bunch", "pinches": "pinch", "can": "tin", "cans": "tin", "dashes": "dash"}
_UNITS = {"mg", "g", "kg", "ml", "cl", "dl", "l", "tsp", "dsp", "tbsp", "oz", "lb", "cup", *_COUNT_UNITS}
_SIZES = r"cm|mm|inch(?:es)?|centimetres?|millimetres?|metres?|m"
_SIGNS = {"£": "GBP", "€": "EUR", "$": "$", "US$": "USD", "CA$": "CAD", "A$": "AUD", "NZ$": "NZD", "¥": "JPY"}
_CODES = "EUR|GBP|USD|CAD|AUD|NZD|SEK|NOK|DKK|CHF|PLN|CZK|INR|ZAR|JPY"
_MONEY_WORDS = {"pound": "GBP", "pounds": "GBP", "quid": "GBP", "euro": "EUR", "euros": "EUR", "dollar": "$"}
_MONEY_WORDS |= {"dollars": "$", "bucks": "$", "kr": "kr", "krona": "kr", "kronor": "kr", "crowns": "kr", "yen": "JPY"}
_PENCE = {"p": "GBP", "pence": "GBP", "penny": "GBP", "cent": "cent", "cents": "cent", "öre": "kr"}
#: Words for diets that only a recipe's own ``diet:`` may claim.
DIETS = (
    *("vegan", "vegetarian", "plant-based", "gluten-free", "gluten free", "dairy-free", "dairy free", "nut-free"),
    *("nut free", "egg-free", "egg free", "lactose-free", "coeliac-safe", "halal", "kosher"),
)


def _any(words: object) -> str:
    return "|".join(sorted((re.escape(str(word)) for word in words), key=len, reverse=True))  # type: ignore[attr-defined]


#: A number loosely: what is no number of a kitchen is turned away by ``read_number``. Cheap to compile, which every
#: start pays: no class of many characters beyond U+00FF, and no search for capitals where there are no letters.
_GLYPH = "[¼-¾⅐-⅞]"
NUMBER = rf"(?-i:\d+(?:[.,]\d+)*(?:{SPACE}?{_GLYPH}|{SPACE}\d\d?/\d\d?|/\d\d?)?|{_GLYPH})"
_DASH = rf"(?:{SPACE}?[–-]{SPACE}?|{SPACE}(?:to|or){SPACE})"
_ENDS = rf"(?P<low>{NUMBER})(?P<odd>-odd)?(?:{_DASH}(?P<high>{NUMBER}))?"
_HEAD = r"(?<![\w.,/:])(?<!–)"
_ADJECTIVES = rf"(?:{SPACE}(?:hot|good|full|whole|short|long|more|extra|level|heaped|small|large|big|fat|generous))?"
_NAME = rf"[^\W\d_][\w'’-]*(?:{SPACE}[^\W\d_][\w'’-]*){{0,4}}"
_FEEDS = r"(?:serves|serving|feeds|fills|enough(?:\s+\w+)?\s+for|plates? up|dinner for|lunch for|supper for)"
_EATERS = r"(?:servings?|portions?|helpings?|people|persons|diners|appetites|eaters|mouths)"
#: In the order in which they are tried; a pattern is compiled for the first text that may hold its figure.
_PATTERNS: tuple[tuple[FigureKind, str, str], ...] = (
    (FigureKind.NUMBER, "date", r"(?<!\d)\d{4}-\d{2}-\d{2}(?!\d)"),
    (FigureKind.NUMBER, "clock", r"(?<![\d:.])\d{1,2}:[0-5]\d(?![\d:])"),
    (FigureKind.NUMBER, "year", r"(?<![\w.,/:£€$–-])(?:19|20)\d\d(?![\w/]|[.,]\d|[ \u00a0]?(?:g|ml|kcal)\b)"),
    (FigureKind.MONEY, "signed", rf"(?P<mark>US\$|CA\$|NZ\$|A\$|[£€$¥]|\b(?:{_CODES})\b){SPACE}?{_ENDS}"),
    (FigureKind.MONEY, "pence", rf"{_HEAD}{_ENDS}{SPACE}?(?P<part>{_any(_PENCE)})(?![\w’'])"),
    (
        FigureKind.MONEY,
        "worded",
        rf"{_HEAD}{_ENDS}{SPACE}?(?P<mark>€|{_CODES}|{_any(_MONEY_WORDS)})(?![\w’'])(?!{SPACE}of\b)"
        rf"(?:(?:{SPACE}and)?{SPACE}(?P<rest>\d{{1,2}})(?![\w/]|\.\d|{SPACE}?(?:g|ml|%|min|°))(?:{SPACE}(?:{_any(_PENCE)})\b)?)?",
    ),
    (
        FigureKind.TEMPERATURE,
        "degrees",
        rf"{_HEAD}{_ENDS}{SPACE}?(?:°|degrees?\b){SPACE}?(?P<scale>C|F|celsius|fahrenheit|centigrade)?(?!\w)",
    ),
    (
        FigureKind.TIME,
        "hour and",
        rf"\b(?:an|1){SPACE}hour{SPACE}and{SPACE}(?P<more>a{SPACE}half|1/2|a{SPACE}quarter|1/4)\b",
    ),
    (
        FigureKind.TIME,
        "two units",
        rf"{_HEAD}(?P<hours>\d{{1,2}}){SPACE}?(?:h|hrs?|hours?)(?:{SPACE}and)?{SPACE}(?P<minutes>\d{{1,2}}){SPACE}?(?:min|minutes?)\b",
    ),
    (
        FigureKind.TIME,
        "time",
        rf"{_HEAD}{_ENDS}{_ADJECTIVES}(?:{SPACE}of)?(?:{SPACE}an?)?[ \u00a0-]?"
        rf"(?P<time>mins?|minutes?|h|hrs?|hours?|s|secs?|seconds?|days?|nights?|weeks?)(?!\w)",
    ),
    (FigureKind.TIME, "hour", rf"\b(?:(?:an|half){SPACE}hour|a{SPACE}(?:week|fortnight))(?!\w)"),
    (FigureKind.NUMBER, "size", rf"{_HEAD}{_ENDS}[ \u00a0-]?(?:{_SIZES}|per cent|%|percent)(?!\w)"),
    (FigureKind.NUMBER, "vessel", rf"{_HEAD}{_ENDS}-(?:l|ml|litre|liter|cup|cm|inch|oz|lb)\b"),
    (FigureKind.NUMBER, "place", rf"\b(?:step|page|part|number|no\.|chapter){SPACE}(?P<low>\d{{1,3}})\b"),
    (
        FigureKind.SHARE,
        "eaten",
        rf"\b(?:1|an?|each|every|per){SPACE}(?:serving|portion){SPACE}(?:is|means){SPACE}(?P<low>{NUMBER}){SPACE}of\b",
    ),
    (
        FigureKind.SERVINGS,
        "feeds",
        rf"\b{_FEEDS}{SPACE}(?:about{SPACE})?{_ENDS}(?!{SPACE}?[%°])(?:{SPACE}?(?P<unit>[^\W\d_]+))?",
    ),
    (
        FigureKind.SERVINGS,
        "eaters",
        rf"{_HEAD}{_ENDS}(?:{SPACE}(?:large|small|hearty|big|generous|hungry|smaller|full)){{0,2}}{SPACE}{_EATERS}\b",
    ),
    (
        FigureKind.SHARE,
        "share",
        rf"(?<!\w)(?P<share>half|\d/\d|[½⅓⅔¼¾⅛])(?:{SPACE}of)?{SPACE}(?:the|your|that|this|our|its)"
        rf"(?:{SPACE}(?:remaining|rest{SPACE}of{SPACE}the))?{SPACE}(?P<name>{_NAME})",
    ),
    (
        FigureKind.AMOUNT,
        "amount",
        rf"{_HEAD}{_ENDS}{_ADJECTIVES}{SPACE}?(?:an?{SPACE}|of{SPACE}an?{SPACE}|-)?"
        rf"(?P<unit>[^\W\d_]{{1,14}})(?!\w)"
        rf"(?!{SPACE}(?:packs?|bags?|packets?|boxes|box|bottles?)\b)",
    ),
    (FigureKind.NUMBER, "pair", rf"{_HEAD}(?P<low>\d{{1,2}}){PAIR}(?P<high>\d{{1,2}})(?!\w)"),
    (FigureKind.COUNT, "count", rf"{_HEAD}{_ENDS}(?:{SPACE}(?:an?{SPACE})?(?P<name>{_NAME}))"),
    (FigureKind.NUMBER, "bare", rf"{_HEAD}{_ENDS}(?![\w/]|[.,]\d)"),
)
_DIET = re.compile(rf"(?<![\w-])(?:{_any(DIETS)})(?![\w-])", re.IGNORECASE)
#: Without any of these a text holds no figure: most texts are let go at once.
_HINT = re.compile(
    r"\d|[½⅓⅔¼¾⅛⅜⅝⅞⅕⅖⅗⅘⅙⅚]|\b(?:one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|[a-z]+teen|twenty|thirty|forty"
    r"|fifty|sixty|seventy|eighty|ninety|hundred|thousand|zero|half|quarters?|thirds?|fifths?|eighths?|dozen|couple|pair"
    rf"|hour|week|fortnight)\b|{_any(DIETS)}",
    re.IGNORECASE,
)
#: A pattern is tried only where the text has one of these.
_CODE_SIGNS = tuple(code.casefold() for code in _CODES.split("|"))
_ONLY_WITH: dict[str, tuple[str, ...]] = {
    "date": ("-",),
    "clock": (":",),
    "signed": ("£", "€", "$", "¥", *_CODE_SIGNS),
    "pence": ("p", "cent", "öre"),
    "worded": ("€", *_CODE_SIGNS, *_MONEY_WORDS),
    "degrees": ("°", "degree"),
    "hour and": ("hour and",),
    "hour": ("hour", "week", "fortnight"),
    "size": ("cm", "mm", "inch", "met", "m", "%", "per"),
    "vessel": ("-",),
    "place": ("step", "page", "part", "number", "no.", "chapter"),
    "eaten": ("serving", "portion"),
    "pair": (PAIR,),
    "share": ("half", "/", *GLYPHS),
}
#: Characters of a text that are read: more than any narration or headnote has, few enough never to stall.
_LONGEST = 10_000
#: Texts whose figures a running process keeps: an episode has some three hundred, of which a save changes one.
_TEXTS_KEPT = 512
_SENTENCE = re.compile(r"[^.!?;\n]*(?:[.](?=\d)[^.!?;\n]*)*")
_ASIDE = re.compile(rf"\([^()]*\){SPACE}?|,{SPACE}optional(?={SPACE})")
_AFTER = re.compile(
    rf"^\)?(?:{SPACE}?\([^()]*\))?{SPACE}?(?:of{SPACE})?(?:the{SPACE}|your{SPACE}|that{SPACE})?(?P<name>{_NAME})"
)
_BEFORE = re.compile(rf"(?P<name>{_NAME}){SPACE}?(?:[:,(–-]|is|are|at|comes? to){SPACE}?$|(?P<bare>{_NAME}){SPACE}$")


@dataclass(frozen=True, slots=True, kw_only=True)
class Typed:
    """
    One figure as typed.

    ``low`` and ``high`` are in ``unit``: seconds for times, °C or °F ("C", "F", "" unsaid) for temperatures, units of
    account for money (``unit`` the currency, or "$", "kr", "cent" where the word leaves it open). ``name`` is what
    follows, ``before`` what stands before, ``sentence`` the sentence around, ``lead`` its words before the figure and
    ``tail`` those after it, figures as digits. ``how`` names the pattern.
    """

    kind: FigureKind
    how: str
    words: str
    start: int
    end: int
    low: Fraction = Fraction(0)
    high: Fraction = Fraction(0)
    unit: str = ""
    name: str = ""
    before: str = ""
    lead: str = ""
    tail: str = ""

    @property
    def sentence(self) -> str:
        """The sentence around, without the figure."""
        return f"{self.lead} {self.tail}"


@lru_cache(maxsize=4096)
@lru_cache(maxsize=_TEXTS_KEPT)
def find_figures(text: str) -> tuple[Typed, ...]:
    """Return every figure and word on diet of a text, in order, none inside another; of a very long text the head's."""
    text = text[:_LONGEST]
    if _HINT.search(text) is None:
        return ()
    digits = with_digits(text.replace("\u202f", "\u00a0"))
    taken: list[tuple[int, int]] = []
    found: list[Typed] = []
    lower = digits.text.casefold()
    for kind, how, pattern in _PATTERNS:
        if how in _ONLY_WITH and not any(sign in lower for sign in _ONLY_WITH[how]):
            continue
        for match in _compiled(pattern).finditer(digits.text):
            start, end = _reach(match, how)
            if any(start < other_end and other < end for other, other_end in taken):
                continue
            typed = _typed(kind, how, match, digits, text, (start, end))
            if typed is not None:
                taken.append((start, end))
                found.append(typed)
    found += _diets(text)
    return tuple(sorted(found, key=lambda item: (item.start, item.end)))


@cache
def _compiled(pattern: str) -> re.Pattern[str]:
    return re.compile(pattern, re.IGNORECASE)


def _reach(match: re.Match[str], how: str) -> tuple[int, int]:
    """Return the figure's own reach: the name behind a count is not part of it."""
    if how == "count":
        return match.start(), match.end("high") if match["high"] else match.end("odd" if match["odd"] else "low")
    if how == "share":
        return match.start(), match.end("share")
    if how == "eaten":
        return match.start("low"), match.end("low")
    if how == "feeds":
        return match.start(), match.end("high") if match["high"] else match.end("low")
    return match.start(), match.end()


def _typed(
    kind: FigureKind, how: str, match: re.Match[str], digits: Digits, text: str, reach: tuple[int, int]
) -> Typed | None:
    try:
        low, high, unit = _value(how, match)
    except (ValueError, ZeroDivisionError):
        return None
    start, end = digits.place(*reach)
    lead, tail = _around(digits.text, reach)
    groups = match.groupdict()
    name = groups.get("name") or _found(_AFTER, tail)
    return Typed(
        kind=kind,
        how=how,
        words=text[start:end].strip(),
        start=start,
        end=end,
        low=low,
        high=high,
        unit=unit,
        name=name,
        before=_found(_BEFORE, _ASIDE.sub("", lead)),
        lead=lead,
        tail=tail,
    )


def _found(pattern: re.Pattern[str], text: str) -> str:
    match = pattern.search(text)
    return next((group for group in match.groups() if group), "") if match is not None else ""


def _around(text: str, reach: tuple[int, int]) -> tuple[str, str]:
    """Return the rest of the sentence before and after a figure."""
    for match in _SENTENCE.finditer(text):
        if match.start() <= reach[0] < match.end():
            return text[match.start() : reach[0]], text[reach[1] : max(match.end(), reach[1])]
    return "", ""


def _value(how: str, match: re.Match[str]) -> tuple[Fraction, Fraction, str]:
    groups = match.groupdict()
    if how in ("date", "clock", "year"):
        return Fraction(0), Fraction(0), ""
    if how == "share":
        share = Fraction(1, 2) if groups["share"].casefold() == "half" else read_number(groups["share"])
        return share, share, ""
    if how in ("hour and", "two units", "hour"):
        seconds = _hours(how, groups, match[0])
        return seconds, seconds, "s"
    low = read_number(groups["low"])
    high = read_number(groups["high"]) if groups.get("high") else low
    if groups.get("odd"):
        high = low + 9
    if how == "time":
        factor = _TIME_WORDS[re.sub("s$", "", groups["time"].casefold()) or "s"]
        return low * factor, high * factor, "s"
    if how in ("signed", "worded", "pence"):
        return _money(groups, low, high)
    if how == "degrees":
        return low, high, (groups.get("scale") or "")[:1].upper()
    if how == "amount":
        return low, high, _unit(groups["unit"] or "")
    if how == "feeds" and (_is_unit(groups["unit"] or "") or (groups["unit"] or "").startswith("min")):
        raise ValueError("an amount is served, not people")
    return low, high, ""


def _unit(word: str) -> str:
    """
    Return the unit that a word names.

    Raises
    ------
    ValueError
        If it names none.
    """
    if not _is_unit(word):
        raise ValueError(f"{word!r} is no unit")
    return _SAID.get(word.casefold(), word.casefold())


def _is_unit(word: str) -> bool:
    return word.casefold() in _UNITS or word.casefold() in _SAID


def _hours(how: str, groups: dict[str, str | None], words: str) -> Fraction:
    if how == "two units":
        return Fraction(int(groups["hours"] or 0) * HOUR + int(groups["minutes"] or 0) * 60)
    if how == "hour":
        weeks = {"week": 1, "fortnight": 2}.get(words.casefold().split()[-1], 0)
        return Fraction(weeks * _TIME_WORDS["week"] or HOUR, 2 if words.casefold().startswith("half") else 1)
    more = groups["more"] or ""
    return HOUR + Fraction(HOUR, 2 if "half" in more or "1/2" in more else 4)


def _money(groups: dict[str, str | None], low: Fraction, high: Fraction) -> tuple[Fraction, Fraction, str]:
    part, mark = (groups.get("part") or "").casefold(), groups.get("mark") or ""
    if part:
        return low / 100, high / 100, _PENCE[part]
    rest = Fraction(int(groups.get("rest") or 0), 100)
    return low + rest, high + rest, _SIGNS.get(mark) or _MONEY_WORDS.get(mark.casefold()) or mark.upper()


def _diets(text: str) -> Iterator[Typed]:
    for match in _DIET.finditer(text):
        lead, tail = _around(text, match.span())
        yield Typed(
            kind=FigureKind.DIET,
            how="diet",
            words=match[0],
            start=match.start(),
            end=match.end(),
            name=_found(_AFTER, tail),
            lead=lead,
            tail=tail,
        )
