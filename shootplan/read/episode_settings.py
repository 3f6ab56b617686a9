"""
The settings at the top of ``episode.md``: which keys there are, how each is read, and the model's name for it.

Texts of single values come in, values or ``Wrong`` go out; the lines themselves are read by ``front_matter``.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from decimal import Decimal

from shootplan.model.episode import SecondCurrency, StaplesPolicy
from shootplan.model.timecode import RATES
from shootplan.read.durations import read_days, read_range
from shootplan.read.paths import read_path
from shootplan.read.recipe import MEASURES
from shootplan.read.values import (
    Wrong,
    choice,
    exact_number,
    not_among,
    quoted,
    read_currency,
    read_date,
    read_locale,
    read_price,
    read_time,
    read_web_address,
)

__all__ = ["MODEL_NAMES", "PRINTED", "SETTINGS", "has_decimal_comma"]

#: Front-matter fields that are printed as written.
PRINTED = ("disclosure", "link", "presenter", "series", "number", "tags", "diet", "music", "thanks", "thumbnail")
#: Locales of languages that write "1,5" (CLDR, decimal separator of each language; the list is from memory).
_COMMA_LANGUAGES = re.compile(
    r"(?:cs|da|de|el|es|et|fi|fr|hr|hu|id|is|it|lt|lv|nb|nl|nn|no|pl|pt|ro|ru|sk|sl|sv|tr|uk)(?:_.*)?"
)


def has_decimal_comma(locale: str) -> bool:
    """Return whether amounts may be written with a decimal comma in a locale."""
    return _COMMA_LANGUAGES.fullmatch(locale) is not None


def _also(text: str) -> SecondCurrency | Wrong:
    """Read "EUR at 1.17 on 2026-10-01" or "1 EUR = 11.20 SEK on 2026-10-01", a source behind a comma."""
    figure = r"(?P<rate>[0-9]{1,9}(?:[.,][0-9]{1,9})?)"
    end = r"\s+on\s+(?P<on>[0-9-]+)(?:,\s*(?P<source>.+))?"
    ours = re.fullmatch(rf"(?P<code>[A-Z]{{3}})\s+at\s+{figure}{end}", text)
    theirs = re.fullmatch(rf"1\s+(?P<code>[A-Z]{{3}})\s*=\s*{figure}\s+(?P<ours>[A-Z]{{3}}){end}", text)
    match = ours or theirs
    hint = 'write "EUR at 1.17 on 2026-10-01" or "1 EUR = 11.20 SEK on 2026-10-01"'
    rate = exact_number(match["rate"]) if match is not None else None
    if match is None or not rate:
        return Wrong("also-bad", f"{quoted(text)} is not a second currency", hint)
    on = read_date(match["on"])
    if isinstance(on, Wrong):
        return on
    figure_read = Decimal(match["rate"].replace(",", "."))
    return SecondCurrency(
        currency=match["code"],
        rate=figure_read,
        on=on,
        source=match["source"] or "",
        is_quoted_per_theirs=theirs is not None,
    )


def _staples(text: str) -> tuple[StaplesPolicy, Decimal] | Wrong:
    word, _, rest = text.casefold().partition(" ")
    if word == StaplesPolicy.FLAT.value and rest:
        flat = read_price(rest.strip())
        return flat if isinstance(flat, Wrong) else (StaplesPolicy.FLAT, flat)
    policies = {policy.value: policy for policy in StaplesPolicy if policy is not StaplesPolicy.FLAT}
    if rest or word not in policies:
        return not_among(text, (*policies, "flat 0.05"))
    return policies[word], Decimal(0)


#: A reader for each key with a meaning.
SETTINGS: Mapping[str, Callable[[str], object]] = {
    "date": read_date,
    "currency": read_currency,
    "locale": read_locale,
    "measures": choice(MEASURES),
    "also": _also,
    "budget": str,
    "length": read_range,
    "caption style": choice({"wide": "wide", "vertical": "vertical"}),
    "captions": choice({"derived": True, "typed only": False}),
    "frame rate": choice(RATES),
    "kitchen": read_path,
    "prices": read_path,
    "staples": _staples,
    "price age": read_days,
    "call": read_time,
    "days": str,
    "latest wrap": read_time,
    "shooting order": choice({"free": False, "as on screen": True}),
    "publish": read_date,
    "video": read_web_address,
    "swap-outs": str,
}
#: Keys whose value goes into the episode as it is, and the model's name for it.
MODEL_NAMES = {
    "date": "shoot_date",
    "currency": "currency",
    "locale": "locale",
    "measures": "measures",
    "also": "also",
    "budget": "budget",
    "caption style": "caption_style",
    "captions": "has_derived_captions",
    "frame rate": "frame_rate",
    "price age": "max_price_age_days",
    "call": "call",
    "latest wrap": "latest_wrap",
    "shooting order": "keeps_screen_order",
    "publish": "publish_date",
    "video": "video",
}
