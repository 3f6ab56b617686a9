"""How long a caption stays and how it is broken into lines (numbers worked by hand)."""

from __future__ import annotations

import pytest

from shootplan.timing.holds import VERTICAL, caption_need_ms, caption_words, fits, split_caption, wrap

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
    # the last of the short captions: nine words, 1.8 s and 2 s
    ("a b c d e f g h i", 9, 3800),
    # 40 words: 12 s at 0.3 s each, 11 s by recognition
    (" ".join(["a"] * 40), 40, 12000),
    # one word of 37 characters: 2.47 s by characters, 2.2 s by words
    ("x" * 37, 1, 2500),
]


@pytest.mark.parametrize(("text", "words", "need_ms"), NEEDS)
def test_a_hold_is_the_longest_of_the_rules(text: str, words: int, need_ms: int) -> None:
    """Words, recognition, the floor a word and the characters a second, up to the next tenth."""
    assert caption_words(text) == words
    assert caption_need_ms(text) == need_ms
    assert isinstance(caption_need_ms(text), int)


def test_two_lines_break_after_a_colon() -> None:
    """42 characters become lines of 26 and 15."""
    lines = wrap("With the optional walnuts: £1.31 a serving")
    assert lines == ("With the optional walnuts:", "£1.31 a serving")
    assert [len(line) for line in lines] == [26, 15]


def test_a_break_after_a_stop_is_better_than_an_even_one() -> None:
    """A first line of one word and a second of all 37 characters, though 24 and 18 would be more even."""
    assert wrap(f"Salt: {'b' * 18} {'c' * 18}") == ("Salt:", f"{'b' * 18} {'c' * 18}")


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


def test_lines_as_typed_are_kept_where_they_fit() -> None:
    """Two lines on a wide picture, three on an upright one; three on a wide one are too many and fill lines anew."""
    assert wrap("one\ntwo") == ("one", "two")
    assert wrap("one\ntwo\nthree", VERTICAL) == ("one", "two", "three")
    assert wrap("one\ntwo\nthree") == ("one two three",)
    assert wrap("three hundred grams of leeks\nand peas", VERTICAL) == ("three hundred grams", "of leeks and peas")


def test_a_line_holds_thirty_seven_characters_and_no_more() -> None:
    """The BBC's 37 for 16:9; 38 characters are two lines, two words of 37 one line each."""
    assert fits(("x" * 37,))
    assert wrap("x" * 18 + " " + "y" * 18) == ("x" * 18 + " " + "y" * 18,)
    assert wrap("x" * 19 + " " + "y" * 18) == ("x" * 19, "y" * 18)
    assert wrap("x" * 37 + " " + "y" * 37) == ("x" * 37, "y" * 37)
    assert wrap("x" * 37 + " y") == ("x" * 37, "y")


def test_no_line_begins_or_ends_with_a_space() -> None:
    """Of several spaces between two words one is left, and none where the line breaks."""
    assert wrap("  two   onions ") == ("two onions",)
    assert wrap("x" * 20 + "    " + "y" * 20) == ("x" * 20, "y" * 20)
    assert wrap("two\n \nonions") == ("two", "onions")


def test_the_dot_between_items_gives_way_to_a_break() -> None:
    """Of the breaks after a dot the evenest (22 and 18 characters): the dot that ends a line is not shown."""
    assert wrap("2 onions · 2 carrots · 1 celeriac · thyme") == ("2 onions · 2 carrots", "1 celeriac · thyme")


def test_three_lines_break_after_stops_twice() -> None:
    """
    On an upright picture (25 characters a line) every break counts, not only the first.

    By hand: 21, 22 and 16 characters with both breaks after a comma; 21, 17 and 21 would be more even, but parts "in"
    from "all".
    """
    text = "flour: 2000 g in all, water: 1500 ml in all, salt: 5 g in all"
    assert wrap(text, VERTICAL) == ("flour: 2000 g in all,", "water: 1500 ml in all,", "salt: 5 g in all")


def test_a_text_too_long_fills_its_lines() -> None:
    """By hand: 36 characters ("nobody" would make 43), 34 ("that" would make 39), the rest; figures stay together."""
    assert wrap(
        "a caption of far too many words that nobody could ever read in the time that a picture of soup lasts"
    ) == ("a caption of far too many words that", "nobody could ever read in the time", "that a picture of soup lasts")
    z, w = "z" * 37, f"{'w' * 30}{NB}ml"
    assert wrap(f"{'x' * 30} {'y' * 6} {z} {w}") == (f"{'x' * 30} {'y' * 6}", z, w)
    assert wrap(f"{'x' * 30} {'y' * 7} {z} {w}") == ("x" * 30, "y" * 7, z, w)


def test_items_of_an_upright_picture_are_held_to_its_own_lines() -> None:
    """25 characters a line, three lines: what would fit on a wide picture is broken, what would not stays together."""
    assert split_caption("2 onions · 2 carrots · celeriac", VERTICAL) == ("2 onions\n2 carrots · celeriac",)
    assert split_caption("three hundred grams of beans · one lemon", VERTICAL) == (
        "three hundred grams\nof beans · one lemon",
    )
    assert split_caption("900 g floury potatoes · 250 ml whole milk · 60 g salted butter", VERTICAL) == (
        "900 g floury potatoes\n250 ml whole milk\n60 g salted butter",
    )


def test_two_items_too_long_for_a_line_each_become_two_captions() -> None:
    """Each of 44 characters needs two lines of its own."""
    first, second = "one quite long ingredient that fills a line", "another quite long one that fills it as well"
    assert split_caption(f"{first} · {second}") == (
        "one quite long ingredient\nthat fills a line",
        "another quite long one\nthat fills it as well",
    )


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
