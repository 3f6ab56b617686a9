"""How long a caption stays and how it is broken into lines (numbers worked by hand)."""

from __future__ import annotations

import pytest

from shootplan.timing.holds import caption_need_ms, caption_words, fits, split_caption, wrap

NB = "\u00a0"
NEEDS = [
    # BCAP rule for superimposed text as published by Clearcast; worked by hand
    ("2 tbsp (30 ml) oil", 5, 3000),
    (f"2{NB}tbsp (30{NB}ml) oil", 5, 3000),
    ("Soup: £1.23 a serving", 4, 2800),
    ("With the optional walnuts: £1.31 a serving", 7, 3400),
    ("Drain", 1, 2200),
    ("a23456 b23456 c2345 d2345 e2345 f2345 g2345 h2345 i2345 j2345", 10, 5000),
    ("", 0, 0),
    # 60 characters in 8 words: 4.0 s by 15 characters a second, 3.6 s by words
    ("xxxxxxx xxxxxxx xxxxxxx xxxxxxx\nxxxxxxx xxxxxxx xxxxxx xxxxx", 8, 4000),
    # 31 words: 0.3 s each (9.3 s) is more than 0.2 s each + 3 s (9.2 s)
    (" ".join(["a"] * 31), 31, 9300),
]


@pytest.mark.parametrize(("text", "words", "need_ms"), NEEDS)
def test_a_hold_is_the_longest_of_the_rules(text: str, words: int, need_ms: int) -> None:
    """Words, recognition, the floor a word and the characters a second, up to the next tenth."""
    assert caption_words(text) == words
    assert caption_need_ms(text) == need_ms


def test_two_lines_break_after_a_colon() -> None:
    """42 characters become lines of 26 and 15."""
    lines = wrap("With the optional walnuts: £1.31 a serving")
    assert lines == ("With the optional walnuts:", "£1.31 a serving")
    assert [len(line) for line in lines] == [26, 15]


def test_two_lines_break_after_a_plus() -> None:
    """A sum keeps its second half together."""
    assert wrap("350 g strong white flour + 150 g rye flour") == ("350 g strong white flour +", "150 g rye flour")


def test_lines_break_at_spaces_where_they_are_most_alike() -> None:
    """No stop to break after: the middle."""
    assert wrap("nine hundred grams of the flouriest potatoes") == ("nine hundred grams of", "the flouriest potatoes")


def test_a_line_never_breaks_inside_a_figure() -> None:
    """A no-break space holds number and unit together."""
    assert wrap(f"the very longest caption line: 1200{NB}ml of milk") == (
        "the very longest caption line:",
        f"1200{NB}ml of milk",
    )
    assert wrap(f"words up to the edge of the line, 900{NB}g") == ("words up to the edge of the line,", f"900{NB}g")


def test_two_items_stand_on_two_lines() -> None:
    """A dot between spaces parts items of one caption."""
    assert split_caption("2 tbsp butter · 60 ml milk") == ("2 tbsp butter\n60 ml milk",)


def test_many_items_share_lines_and_captions() -> None:
    """Three short items stay together; what does not fit on two lines becomes the next caption."""
    assert split_caption("2 onions · 2 carrots · celeriac") == ("2 onions · 2 carrots · celeriac",)
    found = split_caption(" · ".join(["one quite long ingredient"] * 5))
    assert len(found) > 1
    assert all(fits(tuple(text.split("\n"))) for text in found)
    assert " ".join(found).count("one quite long ingredient") == 5


def test_a_text_too_long_is_kept_whole() -> None:
    """Nothing is lost; the lines tell that they do not fit."""
    text = "a caption of far too many words that nobody could ever read in the time that a picture of soup lasts"
    lines = tuple(split_caption(text)[0].split("\n"))
    assert " ".join(lines) == text
    assert not fits(lines)
    assert not fits(("x" * 38,))
