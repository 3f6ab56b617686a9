"""Timecode against SMPTE ST 12-1, with the libraries ``timecode`` as an independent oracle on what exists."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shootplan.model.timecode import RATES, Rate, frame_of_ms, label, ms_of_frame, parse_label, parse_rate

NTSC = RATES["29.97 drop"]
NTSC_60 = RATES["59.94 drop"]


@pytest.mark.parametrize(
    ("frame", "rate", "expected"),
    [  # SMPTE ST 12-1 counting rule; each confirmed by two independent libraries when collected
        (1799, NTSC, "00:00:59;29"),
        (1800, NTSC, "00:01:00;02"),
        (3597, NTSC, "00:01:59;29"),
        (3598, NTSC, "00:02:00;02"),
        (17981, NTSC, "00:09:59;29"),
        (17982, NTSC, "00:10:00;00"),
        (19781, NTSC, "00:10:59;29"),
        (19782, NTSC, "00:11:00;02"),
        (107892, NTSC, "01:00:00;00"),
        (9905, NTSC, "00:05:30;15"),
        (107891, NTSC, "00:59:59;29"),
        (3600, NTSC_60, "00:01:00;04"),
        (1500, RATES["25"], "00:01:00:00"),
        (112, RATES["25"], "00:00:04:12"),
        (1440, RATES["24"], "00:01:00:00"),
        (17982, RATES["29.97"], "00:09:59:12"),
    ],
)
def test_labels_count_as_the_standard_counts(frame: int, rate: Rate, expected: str) -> None:
    """Frame numbers and labels agree both ways."""
    assert label(frame, rate) == expected
    assert parse_label(expected, rate) == frame


@pytest.mark.parametrize("text", ["00:01:00;00", "00:07:00;00", "00:01:00;01", "00:59:00;00"])
def test_a_label_that_is_skipped_does_not_exist(text: str) -> None:
    """SMPTE ST 12-1: drop-frame counting has no such label; common libraries accept it, we do not."""
    with pytest.raises(ValueError, match="does not exist"):
        parse_label(text, NTSC)


@pytest.mark.parametrize(
    "text", ["", "1:02:03:04", "00:60:00:00", "00:00:61:00", "00:00:00:25", "00:00:00", "aa:bb:cc:dd"]
)
def test_what_is_no_timecode_is_refused(text: str) -> None:
    """Too few digits, impossible minutes, seconds or frames."""
    with pytest.raises(ValueError, match=r"timecode|frames"):
        parse_label(text, RATES["25"])


def test_times_of_frames_are_exact_fractions_rounded_once() -> None:
    """1800 frames of 30000/1001 last 60.060 s, 107892 last 3599.996 s; 2.5 s is frame 75, 3.7 s at 25 is frame 93."""
    assert ms_of_frame(1800, RATES["29.97"]) == 60060
    assert ms_of_frame(107892, RATES["29.97"]) == 3599996
    assert frame_of_ms(2500, RATES["29.97"]) == 75
    assert frame_of_ms(3700, RATES["25"]) == 93


@given(frame=st.integers(0, 24 * 3600 * 60), name=st.sampled_from(sorted(RATES)))
@settings(max_examples=200, derandomize=True)
def test_every_frame_has_one_label_and_returns(frame: int, name: str) -> None:
    """Label and frame are inverse at every rate."""
    assert parse_label(label(frame, RATES[name]), RATES[name]) == frame


@pytest.mark.parametrize("frame", [0, 1, 1799, 1800, 1801, 17981, 17982, 53946, 107891])
def test_the_library_timecode_counts_the_same(frame: int) -> None:
    """The library ``timecode`` (it counts frames from one) prints the same drop-frame labels."""
    from timecode import Timecode

    assert str(Timecode("29.97", frames=frame + 1)) == label(frame, NTSC)


def test_a_rate_has_a_name_or_is_refused() -> None:
    """Rates are exact; an unknown name lists the known ones; only 29.97 and 59.94 drop."""
    assert parse_rate("29.97 Drop").frames_per_s == Fraction(30000, 1001)
    with pytest.raises(ValueError, match="known are"):
        parse_rate("26")
    with pytest.raises(ValueError, match="drop-frame"):
        Rate(Fraction(25), is_drop=True)
    with pytest.raises(ValueError, match="above zero"):
        Rate(Fraction(0))
    with pytest.raises(ValueError, match="from zero"):
        label(-1, RATES["25"])
