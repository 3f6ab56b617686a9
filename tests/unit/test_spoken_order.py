"""Captions and the narration that says their figures: which go together, how far apart they may be (check C13)."""

from __future__ import annotations

import pytest

from shootplan.facts.spoken_order import check_order, first_spoken
from shootplan.model.cut import Caption, CaptionKind, Cut, Row, Section
from shootplan.timing.placing import Slot, place_captions


@pytest.mark.parametrize(
    ("say", "shown", "words"),
    [
        ("Now add two tablespoons of oil.", "2 tbsp oil", "two"),
        ("It comes to one pound twenty-eight a head.", "£1.28 a head", "one pound"),
        ("Leave it for ten minutes.", "10–15 min", "ten"),
        ("Half an hour at two hundred degrees.", "200 °C / fan 180 °C", "two hundred"),
        ("That is two pounds forty-five, or two pounds fifty-eight.", "£2.58; £2.45", "two pounds forty"),
    ],
)
def test_the_first_figure_that_both_have_is_found(say: str, shown: str, words: str) -> None:
    """The place is where the figure's words begin."""
    assert first_spoken(say, shown) == say.index(words)


@pytest.mark.parametrize(
    ("say", "shown"),
    [
        ("Now add two tablespoons of oil.", "3 tbsp oil"),
        ("Now add two tablespoons of oil.", "2 tbsp milk"),
        ("Now add two tablespoons of oil.", "2 tsp oil"),
        ("It comes to one pound twenty-eight a head.", "£1.82 a head"),
        ("Leave it for ten minutes.", "10 °C"),
        ("Stir.", "2 tbsp oil"),
        ("", "2 tbsp oil"),
        ("Now add two tablespoons of oil.", ""),
    ],
)
def test_other_figures_are_not_paired(say: str, shown: str) -> None:
    """Another value, thing, unit or kind is another figure."""
    assert first_spoken(say, shown) is None


_SAY = "Warm the pan, and then, once it is good and hot, in go two tablespoons of oil."


def _cut(in_ms: int, *, row: str = "a", text: str = "2 tbsp oil") -> Cut:
    """Return a row of 10 s, spoken evenly to its end, a quiet one of 10 s behind it, and a caption over one of them."""
    rows = (
        Row(id="a", section="s", say=_SAY, speech_ms=10_000, length_ms=10_000),
        Row(id="b", section="s", start_ms=10_000, length_ms=10_000),
    )
    caption = Caption(
        id="c", row=row, kind=CaptionKind.INGREDIENT, text=text, in_ms=in_ms, out_ms=in_ms + 2000, need_ms=2000
    )
    return Cut(sections=(Section(id="s", title="S", rows=rows),), captions=(caption,), length_ms=20_000)


#: By letters, "two" begins 55 of 78 into the row: 7.05 s; a fifth of that, 1.41 s, may be the estimate's fault.
_EARLIEST, _LATEST = 4142, 10_461


@pytest.mark.parametrize(("in_ms", "row"), [(7000, "a"), (4150, "a"), (9000, "a"), (10_400, "b")])
def test_a_caption_near_its_word_holds(in_ms: int, row: str) -> None:
    """Up to 1.5 s before the word and 2 s behind it, and a fifth of the way there; also over the row behind."""
    assert _SAY.index("two") == 55
    assert len(_SAY) == 78
    assert _EARLIEST < in_ms < _LATEST
    assert check_order(_cut(in_ms, row=row), len) == (1, [])


@pytest.mark.parametrize(
    ("in_ms", "row", "told"),
    [
        (1000, "a", "6.1 s before"),
        (4100, "a", "3.0 s before"),
        (10_500, "b", "3.4 s after"),
        (15_000, "b", "7.9 s after"),
    ],
)
def test_a_caption_far_from_its_word_is_told(in_ms: int, row: str, told: str) -> None:
    """Too early in its own row, or too late in the next one."""
    compared, (broken,) = check_order(_cut(in_ms, row=row), len)
    assert compared == 1
    assert broken == f'row a: the caption "2 tbsp oil" comes {told} its figure is said'


def test_a_caption_of_another_figure_is_not_asked() -> None:
    """Nothing is compared."""
    assert check_order(_cut(1000, text="3 tbsp oil"), len) == (0, [])


def test_a_caption_waits_for_its_word_as_far_as_there_is_room() -> None:
    """A word at 6 s; in a row of 8 s a caption of 3 s can wait until 5; one at 2.5 s is near enough to the lead-in."""
    assert place_captions([(0, 20_000, (3000,))], [(6000,)]) == ((Slot(6000, 9000),),)
    assert place_captions([(0, 8000, (3000,))], [(6000,)]) == ((Slot(5000, 8000),),)
    assert place_captions([(0, 20_000, (3000,))], [(2500,)]) == ((Slot(1000, 4000),),)


def test_only_the_caption_with_the_word_waits() -> None:
    """The one before goes after its hold; where half a second would be left it is held until the other comes."""
    assert place_captions([(0, 20_000, (3000, 3000))], [(None, 8000)]) == ((Slot(1000, 4000), Slot(8000, 11_000)),)
    assert place_captions([(0, 20_000, (3000, 3000))], [(2000, 5900)]) == ((Slot(1000, 4000), Slot(5900, 8900)),)
    assert place_captions([(0, 20_000, (4400, 3000))], [(None, 7000)]) == ((Slot(1000, 5400), Slot(7000, 10_000)),)
    assert place_captions([(0, 9000, (4000, 3000))], [(None, 8000)]) == ((Slot(1000, 5000), Slot(6000, 9000)),)
    assert place_captions([(0, 8500, (4400, 3000))], [(None, 8000)]) == ((Slot(1000, 5500), Slot(5500, 8500)),)
