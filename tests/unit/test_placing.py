"""When captions stand, to the millisecond; every slot worked by hand from the rules."""

from __future__ import annotations

import pytest

from shootplan.timing.placing import Slot, place_captions

Row = tuple[int, int, list[int]]
Times = list[tuple[int, int]]


def slots(*rows: Row, words: list[list[int | None]] | None = None) -> list[Times]:
    """Return (in, out) of each row's captions."""
    placed = place_captions(rows, words or [])
    return [[(slot.in_ms, slot.out_ms) for slot in row] for row in placed]


# ------------------------------------------------------------------------------------------- one row


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        ((0, 9000, [3000]), [(1000, 4000)]),  # a second of lead-in (common practice, no source)
        ((5000, 9000, [3000]), [(6000, 9000)]),
        ((0, 3400, [3000]), [(400, 3400)]),  # as much lead-in as there is room
        ((0, 3000, [3000]), [(0, 3000)]),
        ((0, 9000, [2000, 3000]), [(1000, 3000), (3000, 6000)]),  # captions of a row are butted
        ((0, 4999, [3000]), [(1000, 4999)]),  # 999 ms would be left: held on to the end of the picture
        ((0, 5000, [3000]), [(1000, 4000)]),  # a full second may be left (BBC subtitle guidelines, section 4.5)
        ((0, 9000, []), []),
    ],
)
def test_captions_of_one_row(row: Row, expected: Times) -> None:
    """Lead-in, then one after the other, and no gap below a second at the end."""
    assert slots(row) == [expected]


# ------------------------------------------------------------------------------------------- rows after each other


@pytest.mark.parametrize(
    ("length_ms", "second", "expected"),
    [
        # the first ends at 4000; the second would come at 6000 and 5000: two seconds and one are gaps enough
        (5000, (5000, 9000, [3000]), ([(1000, 4000)], [(6000, 9000)])),
        (5000, (4000, 9000, [3000]), ([(1000, 4000)], [(5000, 8000)])),
        # it would come at 4900: it waits until 5000, where its row has room
        (5000, (3900, 9000, [3000]), ([(1000, 4000)], [(5000, 8000)])),
        (5000, (3900, 4100, [3000]), ([(1000, 4000)], [(5000, 8000)])),
        # no room for 1100 ms of waiting: the first is held on until it comes
        (5000, (3900, 4099, [3000]), ([(1000, 4900)], [(4900, 7999)])),
        (5000, (4001, 3000, [3000]), ([(1000, 4001)], [(4001, 7001)])),
        # it comes just as the first goes: butted as it is
        (5000, (4000, 3000, [3000]), ([(1000, 4000)], [(4000, 7000)])),
        (5000, (3000, 9000, [3000]), ([(1000, 4000)], [(4000, 7000)])),
    ],
)
def test_a_caption_keeps_clear_of_the_one_before(length_ms: int, second: Row, expected: tuple[Times, Times]) -> None:
    """Butted or at least a second apart."""
    assert slots((0, length_ms, [3000]), second) == list(expected)


def test_a_row_without_captions_changes_nothing_between_two_others() -> None:
    """The third row's caption would come at 4900 and waits until a second after the first row's."""
    assert slots((0, 5000, [3000]), (5000, 100, []), (3900, 9000, [3000])) == [[(1000, 4000)], [], [(5000, 8000)]]


# ------------------------------------------------------------------------------------------- the word of the figure


@pytest.mark.parametrize(
    ("needs", "words", "expected"),
    [
        ([3000], [2500], [(1000, 4000)]),  # said 1.5 s after the caption would come: early enough
        ([3000], [2501], [(2501, 5501)]),  # later than that: it waits for the word
        ([3000], [6500], [(6500, 10000)]),  # up to the end of the picture, as less than a second would be left
        ([3000], [9000], [(7000, 10000)]),  # never so late that it could not be read
        ([3000], [None], [(1000, 4000)]),
        # the second waits for its word at 6000; the first goes at 3000, as three seconds are left
        ([2000, 2000], [None, 6000], [(1000, 3000), (6000, 8000)]),
        # the second waits until 4600; the first goes, as 1.6 s are left
        ([2000, 2000], [None, 4600], [(1000, 3000), (4600, 6600)]),
        # the first waits until 3000 and goes at 5000, the second comes at 5000
        ([2000, 2000], [3000, 6500], [(3000, 5000), (5000, 7000)]),
        ([2000, 2000], [3000, 6501], [(3000, 5000), (6501, 8501)]),
        # three: the second may wait until 10000 - 2000 - 2000 = 6000 for a word at 7000
        ([2000, 2000, 2000], [None, 7000, None], [(1000, 3000), (6000, 8000), (8000, 10000)]),
        # the third until 8000
        ([2000, 2000, 2000], [None, None, 9500], [(1000, 3000), (3000, 5000), (8000, 10000)]),
    ],
)
def test_a_caption_waits_for_its_word(needs: list[int], words: list[int | None], expected: Times) -> None:
    """A row of ten seconds; a figure is shown at most 1.5 s before it is said, where there is room."""
    assert slots((0, 10000, needs), words=[words]) == [expected]
    moved = [(start + 20000, end + 20000) for start, end in expected]
    assert slots((20000, 10000, needs), words=[words]) == [moved]


@pytest.mark.parametrize(
    ("row_ms", "expected"),
    [
        # the second waits until row - 2000; from 5000 on the first is 999, 1000 or 1 ms away
        (7999, [(3000, 5999), (5999, 7999)]),
        (8000, [(3000, 5000), (6000, 8000)]),
        (7001, [(3000, 5001), (5001, 7001)]),
    ],
)
def test_the_one_before_is_held_on_where_less_than_a_second_is_left(row_ms: int, expected: Times) -> None:
    """The first waits for its word at 3000, the second for one that the row has no room for."""
    assert slots((0, row_ms, [2000, 2000]), words=[[3000, 9000]]) == [expected]


def test_words_are_given_for_each_caption() -> None:
    """A word too few or too many is a fault of ours."""
    for words in ([1000], [1000, 1000, 1000]):
        with pytest.raises(ValueError, match="zip"):
            place_captions([(0, 9000, [2000, 2000])], [words])


def test_no_rows_have_no_captions() -> None:
    """And a row without words is one without figures."""
    assert place_captions([]) == ()
    assert place_captions([(0, 4000, [2000])]) == ((Slot(1000, 3000),),)
