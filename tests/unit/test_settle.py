"""Captions on whole frames: what is done about two that come too near, worked by hand at 25 frames a second."""

from __future__ import annotations

from fractions import Fraction

import pytest

from shootplan.model.retiming import Place
from shootplan.model.timecode import RATES
from shootplan.timing.settle import Wanted, settle

#: (at, low, high, hold, need) of a caption, in frames.
Case = tuple[int, int, int, int, int]


def settled(*cases: Case, over_cuts: bool = False, length: int = 1000) -> list[tuple[int, int] | str]:
    """Return (in, out) of each caption, or why it has no place."""
    wanted = [
        Wanted(
            id=str(order),
            place=Place(at_f=Fraction(at), low_f=Fraction(low), high_f=Fraction(high)),
            hold_f=hold,
            need_f=need,
            order=order,
        )
        for order, (at, low, high, hold, need) in enumerate(cases)
    ]
    slots, lost = settle(wanted, RATES["25"], length, over_cuts=over_cuts)
    found: dict[str, tuple[int, int] | str] = {slot.id: (slot.in_f, slot.out_f) for slot in slots}
    return [{**found, **lost}[str(order)] for order in range(len(cases))]


@pytest.mark.parametrize(
    ("first", "second", "expected"),
    [
        # one on the other: the first goes when the second comes, as far as its need allows
        ((0, 0, 100, 60, 40), (50, 0, 100, 50, 50), [(0, 50), (50, 100)]),
        # its need lasts longer: the second waits
        ((0, 0, 200, 60, 60), (50, 0, 200, 50, 50), [(0, 60), (60, 110)]),
        # no room to wait: the first comes earlier, both end with the picture
        ((40, 0, 100, 30, 30), (60, 0, 100, 40, 40), [(30, 60), (60, 100)]),
        # no room at all: 60 + 50 frames in 100, 10 are missing; the first keeps its planned hold
        (
            (0, 0, 100, 80, 60),
            (50, 0, 100, 50, 50),
            [(0, 80), "stands on the one before; 0.4 s of picture are missing"],
        ),
        # 10 frames apart in one picture: the first is held on
        ((0, 0, 100, 40, 40), (50, 0, 100, 50, 50), [(0, 50), (50, 100)]),
        # 10 frames apart, another picture: the second comes a second after, with its hold
        ((0, 0, 50, 50, 40), (60, 60, 200, 60, 50), [(0, 50), (75, 135)]),
        # no room for that: the first goes sooner, not below its need
        ((0, 0, 50, 50, 30), (60, 60, 125, 60, 50), [(0, 35), (60, 120)]),
        # nor for that: the second comes a second after with less than its planned hold
        ((0, 0, 50, 50, 40), (60, 60, 125, 60, 50), [(0, 50), (75, 125)]),
        # pictures that follow each other: the second comes right behind the first
        ((0, 0, 50, 50, 45), (60, 50, 115, 55, 50), [(0, 50), (50, 105)]),
        # nothing helps: they stay 10 frames apart, and the check after it says so
        ((0, 0, 50, 50, 40), (60, 60, 120, 60, 50), [(0, 50), (60, 120)]),
        # a second apart or more: nothing is done
        ((0, 0, 100, 40, 40), (65, 0, 200, 50, 50), [(0, 40), (65, 115)]),
    ],
)
def test_two_captions(first: Case, second: Case, expected: list[tuple[int, int] | str]) -> None:
    """Each way in its order."""
    assert settled(first, second) == expected


@pytest.mark.parametrize(
    ("case", "expected"),
    [
        ((10, 0, 100, 50, 40), (10, 60)),  # as planned
        ((70, 0, 100, 50, 25), (70, 100)),  # the cut comes sooner: less than planned, not less than needed
        ((80, 0, 100, 50, 40), (60, 100)),  # earlier, to be read before the cut
        ((0, 0, 30, 50, 40), "needs 1.6 s, its picture lasts 1.2 s"),
        ((-5, 0, 100, 50, 40), (0, 50)),  # never before the picture
        ((990, 900, 2000, 50, 40), (960, 1000)),  # never beyond the video
    ],
)
def test_one_caption(case: Case, expected: tuple[int, int] | str) -> None:
    """Inside its own picture."""
    assert settled(case) == [expected]


def test_over_cuts_is_used_only_where_it_is_needed() -> None:
    """A caption that fits ends with its picture; one that does not runs on for its need; none leaves the video."""
    assert settled((70, 0, 100, 50, 25), over_cuts=True) == [(70, 100)]
    assert settled((10, 0, 30, 50, 40), over_cuts=True) == [(10, 50)]
    assert settled((0, 0, 30, 50, 40), over_cuts=True, length=35) == ["needs 1.6 s, its picture lasts 1.2 s"]
    assert settled((0, 0, 60, 60, 60), (30, 0, 60, 30, 30), over_cuts=True) == [(0, 60), (60, 90)]


def test_two_at_one_place_keep_the_order_of_the_script() -> None:
    """Both come at frame 10: the first of the script first."""
    assert settled((10, 0, 200, 40, 40), (10, 0, 200, 40, 40)) == [(10, 50), (50, 90)]
