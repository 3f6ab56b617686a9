"""Durations, waits, temperatures and other single values as people type them."""

from __future__ import annotations

from datetime import date, time
from decimal import Decimal
from fractions import Fraction

import pytest

from shootplan.model.clock import Range, Window
from shootplan.read.durations import (
    leading_duration,
    read_days,
    read_duration,
    read_known,
    read_range,
    read_temperature,
    read_wait,
)
from shootplan.read.values import (
    Wrong,
    exact_number,
    read_currency,
    read_date,
    read_locale,
    read_percent,
    read_price,
    read_time,
    read_time_window,
)


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        # SOURCE: BIPM, The International System of Units (SI Brochure), 9th ed., table 8: 1 min = 60 s, 1 h = 3600 s,
        # 1 d = 86 400 s.
        ("1 min", 60),
        ("1 h", 3600),
        ("1 d", 86_400),
        ("90 s", 90),
        ("14 days", 14 * 86_400),
        ("1 h 30 min", 5400),
        ("1 h and 5 min", 3900),
        ("1½ h", 5400),
        ("1 1/2 hours", 5400),
        ("1.5 h", 5400),
        ("1,5 h", 5400),
        ("½ min", 30),
        ("about 2 min", 120),
        ("ca. 2 minutes", 120),
        ("5min", 300),
        ("2 weeks", 14 * 86_400),
    ],
)
def test_a_duration_is_whole_seconds(text: str, seconds: int) -> None:
    """Units follow the SI's table of units accepted with it; sums and fractions are exact."""
    assert read_duration(text) == seconds


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("6–8 min", 360, 480),
        ("6-8 min", 360, 480),
        ("6 to 8 min", 360, 480),
        ("6 min – 8 min", 360, 480),
        ("45 min–1 h", 2700, 3600),
        ("1 h 15 min to 1 h 30 min", 4500, 5400),
        ("10–12 h", 36_000, 43_200),
        ("about 6–8 min", 360, 480),
        ("5 min", 300, 300),
    ],
)
def test_a_range_has_two_ends(text: str, low: int, high: int) -> None:
    """A unit behind the second number counts for both."""
    assert read_range(text) == Range(low, high)


@pytest.mark.parametrize(
    ("text", "window"),
    [
        ("at least 5 min, at most 15 min", Window(300, 900)),
        ("at least 5 min at most 15 min", Window(300, 900)),
        ("at least 10 h", Window(36_000, None)),
        ("at most 15 min", Window(0, 900)),
        ("within 5 min", Window(0, 300)),
        ("at once", Window(0, 0)),
        ("At least 1 h, at most 14 days", Window(3600, 14 * 86_400)),
    ],
)
def test_a_window_is_what_we_choose(text: str, window: Window) -> None:
    """ "At least" and "at most" make a window, whose planned length is its minimum."""
    assert read_wait(text) == window
    assert read_known(text) == window


def test_a_plain_range_is_not_a_window() -> None:
    """What the cue decides is a range, what we choose a window."""
    assert read_wait("5–10 min") is None
    assert read_known("5–10 min") == Range(300, 600)


@pytest.mark.parametrize(
    "text", ["", "soon", "6–8", "8–6 min", "1e999 min", "9" * 400 + " min", "1/0 min", "-5 min", "٣ min", "400 days"]
)
def test_what_is_no_duration_is_wrong(text: str) -> None:
    """Hostile numbers are refused as words are."""
    assert isinstance(read_range(text), Wrong)


@pytest.mark.parametrize(
    ("text", "celsius"),
    [
        # SOURCE: NIST Special Publication 811 (2008), appendix B.8: t/°C = (t/°F - 32)/1.8, worked by hand here; the
        # fixed points 32 °F = 0 °C and 212 °F = 100 °C, and -40 where the scales meet, follow from it.
        ("32 °F", 0),
        ("212 °F", 100),
        ("-40 °F", -40),
        ("350 °F", 177),
        ("400 F", 204),
        ("425°F", 218),
        ("200 °C", 200),
        ("200 C", 200),
        ("200°C", 200),
        ("-18 °C", -18),
    ],
)
def test_a_temperature_is_whole_degrees_celsius(text: str, celsius: int) -> None:
    """Fahrenheit is converted exactly and rounded half up to the degree, not to an oven's dial."""
    assert read_temperature(text) == celsius


@pytest.mark.parametrize("text", ["hot", "200", "200 K", "5000 °C", "-300 °C", "1e3 °C"])
def test_what_no_kitchen_reaches_is_wrong(text: str) -> None:
    """A temperature needs its scale and a value that an oven or a freezer has."""
    assert isinstance(read_temperature(text), Wrong)


def test_a_keeping_time_may_be_followed_by_words() -> None:
    """ "3 days in the fridge" begins with its time."""
    assert leading_duration("3 days in the fridge") == (3 * 86_400, "in the fridge")
    assert leading_duration("up to 24 h, covered") == (86_400, "covered")
    assert leading_duration("some days") is None


def test_a_price_age_is_whole_days() -> None:
    """Hours are not an age of prices."""
    assert read_days("30 days") == 30
    assert isinstance(read_days("36 h"), Wrong)
    assert isinstance(read_days("0 days"), Wrong)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("3/4", Fraction(3, 4)),
        ("⅜", Fraction(3, 8)),
        ("2 ½", Fraction(5, 2)),
        ("2 1/3", Fraction(7, 3)),
        ("0.1", Fraction(1, 10)),
    ],
)
def test_a_number_is_exact(text: str, value: Fraction) -> None:
    """No float comes between the text and the fraction."""
    assert exact_number(text) == value


def test_dates_and_times_follow_iso_8601() -> None:
    """SOURCE: ISO 8601-1:2019, extended formats YYYY-MM-DD and hh:mm; leap days from the Gregorian calendar."""
    assert read_date("2024-02-29") == date(2024, 2, 29)
    assert isinstance(read_date("2026-02-29"), Wrong)
    assert isinstance(read_date("20260229"), Wrong)
    assert read_time("09:05") == time(9, 5)
    assert isinstance(read_time("24:00"), Wrong)
    assert read_time_window("08:00–20:00") == (time(8), time(20))
    assert isinstance(read_time_window("20:00–08:00"), Wrong)


def test_money_is_a_decimal_as_typed() -> None:
    """The digits of a price are kept, a decimal comma is taken."""
    assert read_price("1.90") == Decimal("1.90")
    assert str(read_price("1,90")) == "1.90"
    assert isinstance(read_price("-1"), Wrong)
    assert isinstance(read_price("1.900,00"), Wrong)


def test_currencies_and_locales_are_codes() -> None:
    """Three capital letters (ISO 4217); language and region (CLDR)."""
    assert read_currency("SEK") == "SEK"
    assert isinstance(read_currency("kr"), Wrong)
    assert read_locale("en-GB") == "en_GB"
    assert read_locale("sv") == "sv"
    assert isinstance(read_locale("en_GB_and_more"), Wrong)


def test_a_share_lies_between_nothing_and_everything() -> None:
    """A yield of nothing would divide by zero, one above 100 % is a slip."""
    assert read_percent("79 %") == 79
    assert read_percent("79.5") == Fraction(159, 2)
    assert isinstance(read_percent("0 %"), Wrong)
    assert isinstance(read_percent("101 %"), Wrong)
