"""
The acceptance scenarios of captions and of the edited length, from source text to the caption files.

Every expected figure was worked by hand by a home economist; the sums stand beside the figures.
"""

from __future__ import annotations

import csv
import io
from fractions import Fraction

import pysubs2
import pytest
import webvtt
from test_scenarios import method

from shootplan.app import load
from shootplan.app.edit import caption_files
from shootplan.app.script import Scripted, script
from shootplan.model.show import running_text
from shootplan.read.files import MemoryFiles

NB = "\u00a0"
EPISODE = """---
date: 2026-11-20
currency: GBP
measures: US label
captions: {captions}
---
# Test

## Recipes
1. [R1](recipes/r1.md)
"""
KITCHEN = """
[[people]]
name = "cook"
presenter = true
[cameras]
positions = ["front", "overhead"]
[pace]
words_per_minute = {pace}
picture = "4 s"
"""


def scripted(
    recipe: str, *, pace: int = 130, prices: str = "item,pack,price,date\n", captions: str = "derived"
) -> Scripted:
    """Read an episode of one recipe and return its script."""
    files = MemoryFiles(
        {
            "e/episode.md": EPISODE.format(captions=captions),
            "e/recipes/r1.md": recipe,
            "e/kitchen.toml": KITCHEN.format(pace=pace),
            "e/prices.csv": prices,
        }
    )
    return script(load("e", files=files))


# ------------------------------------------------------------------------------------------- 7 captions

PRICES = """item,pack,price,shop,date
barley,500 g,4.60,shop,2026-11-18
oil,1000 ml,1.00,shop,2026-11-18
walnuts,100 g,0.80,shop,2026-11-18
"""
INGREDIENTS = """- 531 g barley
- 30 ml (2 tbsp) oil
- 40 g walnuts, optional"""
#: Pictures of 20 and 19 s and a join after each: the third row begins at 0:40.0.
SOUP = method(
    "Wait | hands: 1 min | after: none | shot: overhead, pan, 20 s on screen | caption: none",
    "Look | hands: 1 min | shot: overhead, lid, 19 s on screen | caption: none",
    "Stir | hands: 1 min | shot: overhead, spoon, 9 s on screen | caption: {oil}",
    "Pour | hands: 1 min | shot: overhead, pot | caption: Drain",
    "Ten | hands: 1 min | shot: overhead, pot | caption: a23456 b23456 c2345 d2345 e2345 f2345 g2345 h2345 i2345 j2345",
    "Taste | hands: 1 min | shot: overhead, pot | caption: Soup: {price} a serving",
    "Serve | hands: 1 min | serves: yes | shot: front, bowl | caption: WALNUTS",
    ingredients=INGREDIENTS,
).replace("**Wait.**", "**Wait.** Mix [barley], [oil] and [walnuts].")
WALNUTS = "With the optional walnuts: {price with options} a serving"


@pytest.fixture(scope="module")
def soup() -> Scripted:
    """Return the script of the soup."""
    return scripted(SOUP.replace("WALNUTS", WALNUTS), prices=PRICES, captions="typed only")


@pytest.mark.parametrize(
    ("text", "words", "hold"),
    [
        ("2 tbsp (30 ml) oil", 5, "3.0"),
        ("Soup: £1.23 a serving", 4, "2.8"),
        ("With the optional walnuts: £1.31 a serving", 7, "3.4"),
        ("Drain", 1, "2.2"),
        ("a23456 b23456 c2345 d2345 e2345 f2345 g2345 h2345 i2345 j2345", 10, "5.0"),
    ],
)
def test_each_caption_is_held_as_worked_by_hand(soup: Scripted, text: str, words: int, hold: str) -> None:
    """
    0.2 s x 5 + 2 = 3.0; x 4 + 2 = 2.8; x 7 + 2 = 3.4; x 1 + 2 = 2.2; x 10 + 3 = 5.0.

    Amounts and prices come from the costing: 531 g of 500 g at 4.60 is 4.8852, oil 0.03, core 4.9152 / 4 = 1.2288;
    walnuts 0.32 more, 5.2352 / 4 = 1.3088.
    """
    found = {" ".join(item.text.replace(NB, " ").split("\n")): item for item in soup.cut.captions}[text]
    assert len(text.split(" ")) == words
    assert Fraction(found.need_ms, 1000) == Fraction(hold)
    assert found.hold_ms >= found.need_ms


def test_the_long_caption_stands_on_lines_of_26_and_15(soup: Scripted) -> None:
    """42 characters do not fit on one line of 37."""
    lines = next(item.text for item in soup.cut.captions if "walnuts" in item.text).split("\n")
    assert [len(line) for line in lines] == [26, 15]


def test_the_next_caption_does_not_come_before_the_first_is_gone() -> None:
    """In at 0:41.0 for 3.0 s, a next one wanted at 0:43.5 would overlap: the first ends 0:44.0, the next is butted."""
    ten_words = "a23456 b23456 c2345 d2345 e2345 f2345 g2345 h2345 i2345 j2345"
    both = SOUP.replace("- caption: {oil}", f"- caption: {{oil}} · {ten_words}").replace("WALNUTS", "none")
    first, second = scripted(both, prices=PRICES, captions="typed only").cut.captions[:2]
    assert (first.in_ms, first.out_ms) == (41_000, 44_000)
    assert second.in_ms == 44_000
    assert second.hold_ms >= 5_000


def test_every_caption_file_tells_the_same(soup: Scripted) -> None:
    """WebVTT by webvtt-py, SubRip by pysubs2, the list by the csv module: as many, the same times."""
    files = caption_files(soup.cut)
    times = [(item.in_ms, item.out_ms) for item in soup.cut.captions]
    assert len(times) == 5
    vtt = [(cue.start, cue.end) for cue in webvtt.from_string(files["captions.vtt"])]
    assert vtt == [(clock(start), clock(end)) for start, end in times]
    srt = pysubs2.SSAFile.from_string(files["captions.srt"], format_="srt")
    assert [(event.start, event.end) for event in srt] == times
    table = list(csv.DictReader(io.StringIO(files["captions.csv"].removeprefix("\ufeff"))))
    assert [(f"0{row['in']}", f"0{row['out']}") for row in table] == vtt


def clock(milliseconds: int) -> str:
    """Return a time as WebVTT writes it."""
    return f"00:{milliseconds // 60_000:02d}:{milliseconds // 1000 % 60:02d}.{milliseconds % 1000:03d}"


# ------------------------------------------------------------------------------------------- 8 edited length

FOUR_S = "xxxxxxx xxxxxxx xxxxxxx xxxxxxx xxxxxxx xxxxxxx xxxxxx xxxxx"
SIX_AND_A_HALF_S = "aaaaaa bbbbbb ccccc ddddd eeee · xxxxxxx xxxxxxx xxxxxxx xxxxxxx xxxxxxx xxxxxx xxxxx"
PARTS = ((52, 20, ""), (26, 15, FOUR_S), (39, 9, ""), (13, 4, SIX_AND_A_HALF_S), (65, 35, ""))


def five_parts(pace: int) -> Scripted:
    """Return the script of the five parts: words, picture seconds, caption seconds 0, 4, 0, 6.5, 0."""
    steps = [
        f"Part {n} | hands: 1 min | shot: overhead, pan, {picture} s on screen | say: {'word ' * words}"
        f"| caption: {caption or 'none'}"
        for n, (words, picture, caption) in enumerate(PARTS, start=1)
    ]
    return scripted(method(*steps), pace=pace)


def test_the_edited_length_at_130_words_a_minute() -> None:
    """Speech 24, 12, 18, 6, 30; parts 24 + 15 + 18 + 6.5 + 35 = 98.5; four joins 2.0; 100.5 s = 1:40.5."""
    cut = five_parts(130).cut
    assert [row.speech_ms for row in cut.rows] == [24_000, 12_000, 18_000, 6_000, 30_000]
    assert [row.caption_ms for row in cut.rows] == [0, 4_000, 0, 6_500, 0]
    assert [row.length_ms for row in cut.rows] == [24_000, 15_000, 18_000, 6_500, 35_000]
    assert [row.decides for row in cut.rows] == ["narration", "picture", "narration", "captions", "picture"]
    assert cut.length_ms == 100_500
    assert running_text(cut.length_ms, tenths=True) == "1:40.5"


def test_the_edited_length_at_150_words_a_minute() -> None:
    """20.8 + 15 + 15.6 + 6.5 + 35 + 2 = 94.9 s."""
    cut = five_parts(150).cut
    assert [row.length_ms for row in cut.rows] == [20_800, 15_000, 15_600, 6_500, 35_000]
    assert cut.length_ms == 94_900
