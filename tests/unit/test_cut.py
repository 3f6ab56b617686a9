"""Rows, captions and lengths on the cut clock."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from script_factory import PATH, costs, episode, recipe, shot, step, times

from shootplan.facts import FactBook, fill_episode
from shootplan.model.cut import Cut
from shootplan.model.episode import Kitchen, Pace, Person
from shootplan.model.recipe import Step
from shootplan.model.resolved import ResolvedEpisode
from shootplan.problems import Finding, Span
from shootplan.timing import cut_episode
from shootplan.timing.placing import Slot, place_captions
from shootplan.timing.speech import script_band_ms, speech_band_ms, speech_ms, spoken_words, syllables


def cut(resolved: ResolvedEpisode) -> tuple[Cut, tuple[Finding, ...]]:
    """Return the cut of an episode and what was found."""
    filled, problems = fill_episode(FactBook(resolved, costs(), times()))
    assert problems == ()
    return cut_episode(resolved, filled)


def words(count: int) -> str:
    """Return a narration of that many words."""
    return " ".join(["word"] * count)


#: 60 characters in 8 words: 4.0 s; five words: 3.0 s; 52 characters in 7 words: 3.5 s; the two do not fit together.
FOUR_S = "xxxxxxx xxxxxxx xxxxxxx xxxxxxx xxxxxxx xxxxxxx xxxxxx xxxxx"
SIX_AND_A_HALF_S = "aaaaaa bbbbbb ccccc ddddd eeee\nxxxxxxx xxxxxxx xxxxxxx xxxxxxx xxxxxxx xxxxxx xxxxx"


def five_parts(words_per_minute: int) -> Cut:
    """Return the cut of the worked example: words, picture seconds and caption seconds of five parts."""
    parts = [(52, 20, ""), (26, 15, FOUR_S), (39, 9, ""), (13, 4, SIX_AND_A_HALF_S), (65, 35, "")]
    steps = [
        step(f"Part {number}", say=words(count), shot=shot(screen_s=picture_s), caption=caption)
        for number, (count, picture_s, caption) in enumerate(parts, start=1)
    ]
    return cut(episode(recipe(*steps), pace=Pace(words_per_minute=words_per_minute)))[0]


def test_the_edited_length_is_the_worked_one() -> None:
    """Five parts at 130 words a minute (worked by hand): speech 24, 12, 18, 6, 30; with four joins 100.5 s."""
    found = five_parts(130)
    assert [row.words for row in found.rows] == [52, 26, 39, 13, 65]
    assert [row.speech_ms for row in found.rows] == [24000, 12000, 18000, 6000, 30000]
    assert [row.length_ms for row in found.rows] == [24000, 15000, 18000, 6500, 35000]
    assert [row.start_ms for row in found.rows] == [0, 24500, 40000, 58500, 65500]
    assert found.length_ms == 100_500


def test_a_faster_voice_shortens_what_speech_decides() -> None:
    """The same parts at 150 words a minute (worked by hand): 20.8 + 15 + 15.6 + 6.5 + 35 + 2 = 94.9 s."""
    found = five_parts(150)
    assert [row.length_ms for row in found.rows] == [20800, 15000, 15600, 6500, 35000]
    assert found.length_ms == 94_900


# ---------------------------------------------------------------------------------------------------- captions


def test_the_next_caption_is_butted_or_a_second_later() -> None:
    """In at 0:41.0 for 3.0 s, a next one at 0:43.5 would overlap: it comes at 0:44.0 (worked by hand)."""
    ((first, second),) = place_captions([(41_000, 6_000, (3_000, 3_000))])
    assert first == Slot(41_000, 44_000)
    assert second == Slot(44_000, 47_000)


def test_a_caption_waits_for_its_picture_where_there_is_room() -> None:
    """A second after the picture; less in a short row."""
    assert place_captions([(0, 10_000, (3_000,))]) == ((Slot(1_000, 4_000),),)
    assert place_captions([(0, 3_400, (3_000,))]) == ((Slot(400, 3_400),),)


def test_a_caption_ends_with_its_picture_when_little_is_left() -> None:
    """Less than a second before the cut is filled."""
    assert place_captions([(0, 4_500, (3_000,))]) == ((Slot(1_000, 4_500),),)


def test_a_gap_of_half_a_second_is_closed_or_made_a_second() -> None:
    """Across a join: with room the second waits, without room the first is held on."""
    wait = place_captions([(0, 3_000, (3_000,)), (3_500, 4_000, (3_000,))])
    assert wait[1][0].in_ms - wait[0][0].out_ms >= 1_000
    hold = place_captions([(0, 3_000, (3_000,)), (3_500, 3_000, (3_000,))])
    assert hold == ((Slot(0, 3_500),), (Slot(3_500, 6_500),))


def test_captions_of_a_cut_are_tied_to_their_rows() -> None:
    """Each has an id, its row's id, its need, and stands inside its row."""
    found = five_parts(130)
    assert [caption.row for caption in found.captions] == [found.rows[index].id for index in (1, 3, 3)]
    assert [caption.need_ms for caption in found.captions] == [4000, 3000, 3500]
    assert found.rows[3].captions == tuple(caption.id for caption in found.captions[1:])
    assert all(caption.hold_ms >= caption.need_ms for caption in found.captions)
    assert (found.captions[1].in_ms, found.captions[2].out_ms) == (58_500, 65_000)


# ---------------------------------------------------------------------------------------------------- rows


def test_a_step_that_is_neither_seen_nor_heard_has_no_row() -> None:
    """A shot, narration or a caption makes a row; "shot: none" makes one only with narration."""
    unfilmed = (("shot", Span(PATH, 50)),)
    found, findings = cut(
        episode(
            recipe(
                step("Silent"),
                step("Seen", shot=shot()),
                step("Said", say="Now stir"),
                step("Told", caption="Drain"),
                step("Unfilmed", field_spans=unfilmed),
                step("Unfilmed but said", say="Overnight", field_spans=unfilmed),
            )
        )
    )
    assert [row.step for row in found.rows] == ["seen", "said", "told", "unfilmed-but-said"]
    assert [row.picture_ms for row in found.rows] == [4000, 4000, 4000, 0]
    assert findings == ()


def test_sections_stand_in_story_order() -> None:
    """Opening, each recipe with its transition before it, closing; titles for chapters."""
    first = recipe(step("Cook", say="One"))
    other = replace(first, recipe=replace(first.recipe, id="oat-crumble", title="Oat crumble"))
    said = {"say": "Hello there", "shot": shot("front")}
    resolved = episode(
        first,
        other,
        opening=(step("Hello", **said),),
        between=(step("And now", **said),),
        closing=(step("Goodbye", **said),),
    )
    found, _ = cut(resolved)
    assert [(section.id, section.title, len(section.rows)) for section in found.sections] == [
        ("opening", "Tuesday supper", 1),
        ("leek-bean-bake", "Leek and butter bean bake", 1),
        ("oat-crumble", "Oat crumble", 2),
        ("closing", "Goodbye", 1),
    ]
    assert [row.step for row in found.sections[2].rows] == ["and-now", "cook"]
    assert len({row.id for row in found.rows}) == 5


def test_the_presenter_speaks_to_the_front_camera() -> None:
    """Elsewhere the narration lies over the picture."""
    resolved = episode(recipe(step("Cook", say="Hello", shot=shot("front")), step("Stir", say="So", shot=shot())))
    kitchen = Kitchen(people=(Person(name="host", is_presenter=True),), pace=Pace(words_per_minute=130))
    found, _ = cut(replace(resolved, episode=replace(resolved.episode, kitchen=kitchen)))
    assert [row.speaker for row in found.rows] == ["host", "voice-over"]


def test_narration_is_spoken_with_figures_said_out() -> None:
    """The row carries what is said, and counts its words: one tablespoon of oil."""
    found, _ = cut(episode(recipe(step("Cook", say="{oil}", shot=shot()))))
    assert (found.rows[0].say, found.rows[0].words) == ("One tablespoon of oil", 4)


def test_an_episode_without_rows_has_no_length() -> None:
    """Nothing said, nothing shown."""
    found, _ = cut(episode(recipe(step("Cook"))))
    assert (found.sections, found.captions, found.length_ms) == ((), (), 0)


# ---------------------------------------------------------------------------------------------------- findings


def test_a_caption_nobody_would_see_is_found() -> None:
    """It stands on a step with neither picture nor narration."""
    unfilmed = (("shot", Span(PATH, 50)), ("caption", Span(PATH, 51)))
    _, (found,) = cut(episode(recipe(step("Soak", caption="Overnight", field_spans=unfilmed))))
    assert (found.code, found.span) == ("caption-unseen", Span(PATH, 51))


def test_a_caption_too_wide_is_found() -> None:
    """Two lines of 37 characters are the most."""
    _, findings = cut(episode(recipe(step("Cook", caption="word " * 20))))
    assert findings[0].code == "caption-too-wide"


def test_captions_that_outlast_their_row_are_merged_and_the_rest_lengthens_it() -> None:
    """Two short captions that outlast the row's four seconds become one; ten words need 5 s, and the row grows."""
    made, findings = cut(episode(recipe(step("Cook", shot=shot(), caption="1 onion\n3 leeks"))))
    assert [found.code for found in findings] == ["caption-merged"]
    assert len(made.captions) == 1
    assert made.length_ms == 4000
    _, findings = cut(episode(recipe(step("Cook", shot=shot(), caption="a b c d e f g h i j"))))
    assert [found.code for found in findings] == ["caption-lengthens"]
    assert "1.0 s" in findings[0].message


def test_what_is_done_about_collisions_is_told() -> None:
    """A caption that stands later than its lead-in is named as moved, a merged pair as merged."""
    from shootplan.model.cut import Caption, CaptionKind, Row
    from shootplan.timing.collisions import tell_collisions

    row = Row(id="r", section="s", picture="Peel", start_ms=0, length_ms=9000)
    late = Caption(id="c", row="r", kind=CaptionKind.STEP, text="x", in_ms=6000, out_ms=8200, need_ms=2200, source="")
    findings = list(tell_collisions([row], [late], ["Peel"], []))
    assert [found.code for found in findings] == ["caption-moved", "caption-merged"]
    assert all(found.source for found in findings)


@pytest.mark.parametrize(("low_s", "high_s", "word"), [(600, None, "shorter"), (None, 3, "longer"), (1, 60, "")])
def test_a_script_outside_the_length_asked_for_is_found(low_s: int | None, high_s: int | None, word: str) -> None:
    """One row of four seconds against the length asked for."""
    made: Step = step("Cook", shot=shot())
    _, findings = cut(episode(recipe(made), length_low_s=low_s, length_high_s=high_s))
    assert [found.code for found in findings] == (["length-outside"] if word else [])
    assert all(word in found.message for found in findings)


# ---------------------------------------------------------------------------------------------------- speech


def test_without_a_pace_syllables_and_pauses_count() -> None:
    """Four syllables, a comma and a stop: 1.13 x (0.8 + 0.25 + 0.55) = 1.808 s (worked by hand)."""
    assert speech_ms("Tomato, stir.", Pace()) == 1808
    assert speech_ms("Tomato, stir.", Pace(speech_factor=Fraction(1))) == 1600


def test_no_words_take_no_time() -> None:
    """Stops alone are not spoken."""
    assert speech_ms(" … ", Pace()) == 0


def test_a_pace_is_above_zero() -> None:
    """A programmer's slip is refused."""
    with pytest.raises(ValueError, match="pace"):
        speech_ms("word", Pace(words_per_minute=0))


def test_hyphens_part_spoken_words() -> None:
    """ "Same-size" is two words, an apostrophe parts none."""
    assert spoken_words("Same-size chunks – don't rush.") == 5


SYLLABLES = [("bake", 1), ("baked", 1), ("salted", 2), ("table", 2), ("litres", 2), ("boxes", 2), ("hundred", 2)]
SYLLABLES += [("variety", 4), ("patient", 2), ("drying", 2), ("the", 1), ("completely", 3), ("people", 2)]


@pytest.mark.parametrize(("word", "count"), SYLLABLES)
def test_silent_and_heard_endings(word: str, count: int) -> None:
    """A last e is silent unless it carries the syllable (counted by ear)."""
    assert syllables(word) == count


def test_bands_lie_around_the_estimate() -> None:
    """A tenth for a row, 3 % for the script; 16 and 6 % with a flat rate of words."""
    assert speech_band_ms(10_000, Pace()) == (9_000, 11_000)
    assert script_band_ms(100_000, Pace()) == (97_000, 103_000)
    assert speech_band_ms(10_000, Pace(words_per_minute=130)) == (8_400, 11_600)
    assert script_band_ms(100_000, Pace(words_per_minute=130)) == (94_000, 106_000)
