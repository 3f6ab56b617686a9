"""The use cases of the edit: the files that go to the editor's desk with every build."""

from __future__ import annotations

from collections.abc import Mapping

from shootplan.model.cut import Cut
from shootplan.model.episode import Episode
from shootplan.model.timecode import Rate

__all__ = ["caption_files", "card_files", "chapter_files", "edit_files"]


def caption_files(cut: Cut) -> Mapping[str, str]:
    """Return the captions in every format by file name."""
    from shootplan.timing.caption_csv import write_caption_csv
    from shootplan.timing.subrip import write_subrip
    from shootplan.timing.ttml import write_ttml
    from shootplan.timing.webvtt import write_webvtt

    return {
        "captions.vtt": write_webvtt(cut),
        "captions.srt": write_subrip(cut),
        "captions.csv": write_caption_csv(cut),
        "captions.ttml": write_ttml(cut),
    }


def card_files(cut: Cut) -> Mapping[str, str]:
    """Return each caption as a transparent picture, in a folder of their own."""
    from shootplan.timing.cards import write_cards

    return {f"cards/{name}": text for name, text in write_cards(cut).items()}


def chapter_files(cut: Cut) -> Mapping[str, str]:
    """Return the chapters as a list to paste."""
    from shootplan.timing.chapters import write_chapter_list

    return {"chapters.txt": write_chapter_list(cut)}


def edit_files(episode: Episode, cut: Cut, *, rate: Rate | None = None) -> Mapping[str, str]:
    """Return the planned edit as an OpenTimelineIO file and as a CMX 3600 list, at the episode's frame rate."""
    from shootplan.timing.edit_list import write_edit_lists
    from shootplan.timing.edit_otio import write_otio

    rate = rate or episode.edit_rate
    return {"edit.otio": write_otio(cut, rate, episode.title), **write_edit_lists(cut, rate, episode.title)}
