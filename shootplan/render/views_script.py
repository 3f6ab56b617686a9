"""
The two-column script: one row a picture, with running time, sound, captions, and what to do where the length is missed.

The cut clock of a publication comes in, ready strings go out; nothing is timed here.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from shootplan.model.cut import Caption, Cut, Row
from shootplan.model.episode import Episode, Pace
from shootplan.model.show import decimal_text, number_text, range_text, running_text
from shootplan.records import dataclass

__all__ = [
    "CaptionCell",
    "ReadingPart",
    "ReadingRow",
    "ScriptRow",
    "ScriptSection",
    "ScriptView",
    "pace_text",
    "reading_parts",
    "script_view",
    "seconds_text",
]

#: What makes a row as long as it is, in words.
_DECIDES = {
    "narration": "as long as the narration",
    "picture": "as long as the picture",
    "captions": "for the captions",
}
#: How far narration may be off, by syllables and pauses or by a flat rate of words.
_BANDS = {True: "one row within a tenth, the whole within 3 %", False: "one row within 16 %, the whole within 6 %"}
#: A silence of the presenter that is worth a word in the reading view.
_PAUSE_MS = 2000


@dataclass(frozen=True, slots=True, kw_only=True)
class CaptionCell:
    """One caption: its lines, when it comes in, how long it stays."""

    lines: tuple[str, ...]
    comes_in: str
    hold: str
    kind: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ScriptRow:
    """
    One picture.

    ``sound`` is (seconds, likely band, words) of the narration, empty strings without one. ``advice`` says what to cut
    or to fill, ``tight`` that the narration may outlast the picture.
    """

    number: int
    at: str
    seconds: str
    set_up: str
    framing: str
    action: str
    wait: str
    speaker: str
    say: str
    sound: tuple[str, str, str]
    captions: tuple[CaptionCell, ...]
    decides: str
    advice: str
    tight: bool
    caution: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ScriptSection:
    """A part of the video: its title, when it begins, how long it is, its rows."""

    title: str
    at: str
    length: str
    rows: tuple[ScriptRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ScriptView:
    """
    The whole script: figures at a glance (what, figure, detail), sentences about the length, sections.

    ``band`` says how far the narration of a row and of the whole may be off.
    """

    figures: tuple[tuple[str, str, str], ...]
    length: tuple[str, ...]
    band: str
    sections: tuple[ScriptSection, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingRow:
    """
    One piece of narration: number of its row, who speaks, the words, what the video has left from its beginning.

    ``pause`` are seconds of pictures without narration before the next piece, empty where there are fewer than two.
    """

    number: int
    speaker: str
    say: str
    left: str
    left_ms: int
    pause: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingPart:
    """A part of the video with its pieces of narration."""

    title: str
    rows: tuple[ReadingRow, ...]


def script_view(episode: Episode, cut: Cut) -> ScriptView:
    """Return the script of a cut."""
    captions = {caption.id: caption for caption in cut.captions}
    numbers = {row.id: number for number, row in enumerate(cut.rows, start=1)}
    sections = tuple(
        ScriptSection(
            title=section.title,
            at=running_text(section.rows[0].start_ms),
            length=running_text(section.rows[-1].start_ms + section.rows[-1].length_ms - section.rows[0].start_ms),
            rows=tuple(_row(row, numbers[row.id], captions) for row in section.rows),
        )
        for section in cut.sections
        if section.rows
    )
    return ScriptView(
        figures=tuple(_figures(episode, cut)),
        length=tuple(_length(episode, cut)),
        band=_BANDS[episode.kitchen.pace.words_per_minute is None],
        sections=sections,
    )


def reading_parts(cut: Cut) -> tuple[ReadingPart, ...]:
    """Return what is spoken, part by part; rows and parts without narration are left out."""
    numbers = {row.id: number for number, row in enumerate(cut.rows, start=1)}
    spoken = [row for row in cut.rows if row.say]
    nexts = {row.id: later.start_ms for row, later in pairwise(spoken)}
    parts = (
        ReadingPart(
            title=section.title,
            rows=tuple(
                ReadingRow(
                    number=numbers[row.id],
                    speaker=row.speaker,
                    say=row.say,
                    left=running_text(cut.length_ms - row.start_ms),
                    left_ms=cut.length_ms - row.start_ms,
                    pause=_pause(nexts.get(row.id, cut.length_ms) - row.start_ms - row.speech_ms),
                )
                for row in section.rows
                if row.say
            ),
        )
        for section in cut.sections
    )
    return tuple(part for part in parts if part.rows)


def _pause(milliseconds: int) -> str:
    return seconds_text(milliseconds) if milliseconds >= _PAUSE_MS else ""


def seconds_text(milliseconds: int) -> str:
    """Return a length in seconds with one decimal, rounded half up: "3.7"."""
    return decimal_text(Fraction(milliseconds, 1000), 1)


def _row(row: Row, number: int, captions: dict[str, Caption]) -> ScriptRow:
    return ScriptRow(
        number=number,
        at=running_text(row.start_ms, tenths=True),
        seconds=seconds_text(row.length_ms),
        set_up=row.set_up,
        framing="" if row.picture == row.action else row.picture,
        action=row.action,
        wait=row.wait,
        speaker=row.speaker,
        say=row.say,
        sound=_sound(row),
        captions=tuple(_caption(captions[name]) for name in row.captions if name in captions),
        decides=_DECIDES[row.decides],
        advice=_advice(row),
        tight=row.may_run_over,
        caution=row.caution,
    )


def _sound(row: Row) -> tuple[str, str, str]:
    if not row.say:
        return "", "", ""
    words = f"{row.words} word{'' if row.words == 1 else 's'}"
    band = f"{seconds_text(row.speech_low_ms)}–{seconds_text(row.speech_high_ms)}"
    return seconds_text(row.speech_ms), band, words


def _caption(caption: Caption) -> CaptionCell:
    return CaptionCell(
        lines=tuple(caption.text.split("\n")),
        comes_in=running_text(caption.in_ms, tenths=True),
        hold=seconds_text(caption.hold_ms),
        kind=caption.kind.value,
    )


def _advice(row: Row) -> str:
    if row.cut_ms:
        syllables = f"{row.cut_syllables} syllable{'' if row.cut_syllables == 1 else 's'}"
        return f"cut {syllables}, {seconds_text(row.cut_ms)} s"
    return f"fill {seconds_text(row.fill_ms)} s" if row.fill_ms else ""


def _figures(episode: Episode, cut: Cut) -> Iterator[tuple[str, str, str]]:
    yield "Length of the video", running_text(cut.length_ms), _wanted(episode)
    band = f"likely {running_text(cut.speech_low_ms)}–{running_text(cut.speech_high_ms)}"
    yield "Narration", running_text(cut.speech_ms), f"{band}, {pace_text(episode.kitchen.pace)}"
    rows, captions = len(cut.rows), len(cut.captions)
    yield "Pictures", str(rows), f"{captions} caption{'' if captions == 1 else 's'}"


def _wanted(episode: Episode) -> str:
    low, high = episode.length_low_s, episode.length_high_s
    if low is not None and high is not None:
        return f"wanted: {range_text(low, high)}"
    return "no length is asked for" if high is None else f"wanted: at most {range_text(high, high)}"


def pace_text(pace: Pace) -> str:
    """Say what the lengths of narration were reckoned with."""
    if pace.words_per_minute is not None:
        return f"at {pace.words_per_minute} words a minute"
    return f"by syllables and pauses, pace {number_text(pace.speech_factor)}"


def _length(episode: Episode, cut: Cut) -> Iterator[str]:
    """Yield what to do about the length, empty where nothing is asked for."""
    if episode.length_low_s is None and episode.length_high_s is None:
        return
    if not cut.over_ms:
        yield "The script keeps to the length asked for."
    elif cut.over_ms < 0:
        yield (
            f"{running_text(-cut.over_ms, tenths=True)} too short: let pictures run on, add a cutaway or say more; "
            "each row says how many seconds are its share."
        )
    else:
        syllables = sum(row.cut_syllables for row in cut.rows)
        yield (
            f"{running_text(cut.over_ms, tenths=True)} too long: {syllables} syllables less of narration save "
            f"{seconds_text(cut.over_ms - cut.stuck_ms)} s; each row says its share."
        )
        if cut.stuck_ms:
            yield (
                f"{seconds_text(cut.stuck_ms)} s cannot be saved by fewer words: pictures and captions need them. "
                "Take a picture out, or give a caption to a longer row."
            )
