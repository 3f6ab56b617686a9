"""
The use case ``retime``: captions, chapters, description and the clips of the blog moved onto the finished edit.

The finished edit is a file (an edit list, a timeline, markers, the subtitles of the speech) or only a length.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from shootplan.app import DiskFiles, Loaded, Progress, load, publish
from shootplan.app.edit import caption_files, chapter_files
from shootplan.model.agreement import CheckResult
from shootplan.model.cut import Cut
from shootplan.model.publication import Publication
from shootplan.model.retiming import FinishedEdit, Placing, RetimeReport
from shootplan.model.timecode import Rate
from shootplan.problems import InputError, Problem, Span
from shootplan.read.files import Files
from shootplan.records import dataclass

__all__ = ["Retimed", "place", "retime"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Retimed:
    """What was written, what moved, the checks on it (C12, C15, C16), and the problems of the files read."""

    folder: Path
    report: RetimeReport
    checks: tuple[CheckResult, ...]
    paths: tuple[str, ...]
    kept_aside: tuple[str, ...] = ()
    problems: tuple[Problem, ...] = ()


def retime(
    folder: str | Path,
    *,
    cut: str | Path | None = None,
    length_ms: int | None = None,
    out: str | Path | None = None,
    rate: Rate | None = None,
    start: str = "",
    over_cuts: bool = False,
    files: Files | None = None,
    progress: Progress | None = None,
) -> Retimed:
    """
    Write captions, chapters and description on the clock of the finished video; no other document is touched, but the
    pages of the blog where the episode gives the address of its video, whose clips they name.

    Parameters
    ----------
    folder
        The episode.
    cut
        The finished edit: CMX 3600 list, OpenTimelineIO, a list of markers, or the subtitles of its speech.
    length_ms
        The length of the finished video, where no file is given.
    out
        Where to write; default ``FOLDER/out``.
    rate, start
        Frames a second of the finished video (default: the episode's), and the timecode of its first frame (default:
        that of the first event).
    over_cuts
        Whether a caption that its picture is too short for may run on into the next one.

    Raises
    ------
    InputError
        If the episode or the edit cannot be read, or nothing of the script is found in the edit.
    InfeasiblePlan
        If no schedule keeps all rules.
    OutputError
        If the documents cannot be written; the earlier ones are untouched.
    ValueError
        If neither a file nor a length is given.
    """
    from shootplan import __version__
    from shootplan.readback.retimed import check_retimed
    from shootplan.render import render_blog, render_description
    from shootplan.timing.edit_rows import edit_rows
    from shootplan.timing.retime import retime_cut
    from shootplan.write import write_documents

    files = files or DiskFiles()
    loaded = load(folder, files=files)
    publication = publish(loaded, progress=progress)
    rate = rate or loaded.episode.edit_rate
    placing, problems = place(publication.cut, rate, cut=cut, length_ms=length_ms, start=start, files=files)
    rows = edit_rows(publication.cut, rate)
    report = retime_cut(publication.cut, rows, placing, rate, over_cuts=over_cuts)
    retimed = replace(publication, cut=report.cut)
    own = Path(folder) / "templates"
    templates = own if own.is_dir() else None
    texts = {
        **caption_files(report.cut),
        **chapter_files(report.cut),
        "description.txt": render_description(retimed, user_templates=templates),
    }
    if loaded.episode.video:  # the pages then name the clips of the video
        blog = render_blog(retimed, user_templates=templates)
        texts |= {name: text for name, text in blog.items() if name.endswith(".html")}
    target = Path(out) if out is not None else Path(folder) / "out"
    written = write_documents(target, texts, version=__version__, keep_others=True)
    return Retimed(
        folder=target,
        report=report,
        checks=check_retimed(publication.cut, report, placing, texts, over_cuts=over_cuts),
        paths=tuple(sorted(texts)),
        kept_aside=written.kept_aside,
        problems=(*_problems(loaded, publication), *problems),
    )


def place(
    cut_planned: Cut,
    rate: Rate,
    *,
    cut: str | Path | None = None,
    length_ms: int | None = None,
    start: str = "",
    files: Files | None = None,
) -> tuple[Placing, tuple[Problem, ...]]:
    """
    Return where the rows and captions of a planned cut stand in a finished edit, and what could not be read of it.

    Raises
    ------
    InputError
        If the file has errors, or holds nothing of the script.
    ValueError
        If neither a file nor a length is given.
    """
    from shootplan.timing.edit_rows import edit_rows
    from shootplan.timing.places import place_by_length

    rows = edit_rows(cut_planned, rate)
    if cut is None:
        if length_ms is None:
            raise ValueError("a file or a length is needed")
        return place_by_length(rows, length_ms * rate.frames_per_s / 1000), ()
    path = str(cut)
    text = _text(files or DiskFiles(), path)
    _check_start(start, rate, path)
    finished, problems = _read(text, path, cut_planned, rate, start)
    if any(problem.is_error for problem in problems):
        raise InputError(problems)
    placing = finished()
    if not placing.rows:
        message = "nothing of the script is found in this file"
        hint = "name clips or markers after the rows, as edit.edl and edit.otio do, or give the subtitles of the speech"
        nothing = Problem(span=Span(path), code="edit-empty", message=message, hint=hint)
        raise InputError((*problems, nothing))
    return placing, problems


def _check_start(start: str, rate: Rate, path: str) -> None:
    """Raise an InputError if the start that was given is no timecode of the edit's rate."""
    from shootplan.model.timecode import parse_label

    try:
        parse_label(start or "00:00:00:00", rate)
    except ValueError as error:
        hint = f"the edit is read at {rate.name} frames a second; give another with --rate"
        problem = Problem(span=Span(path), code="edit-time-bad", message=f"--start: {error}", hint=hint)
        raise InputError((problem,)) from error


def _text(files: Files, path: str) -> str:
    try:
        return files.text(path)
    except UnicodeDecodeError as error:
        message = f'"{path}" is not UTF-8 text (byte {error.start})'
        problem = Problem(span=Span(path), code="file-unreadable", message=message, hint="save the file as UTF-8")
        raise InputError((problem,)) from error


def _read(text: str, path: str, cut: Cut, rate: Rate, start: str) -> tuple[Callable[[], Placing], tuple[Problem, ...]]:
    """Return how to place by what the file turns out to be, and the problems of reading it."""
    from shootplan.timing.edit_rows import edit_rows
    from shootplan.timing.finished_list import looks_like_list, read_edit_list
    from shootplan.timing.finished_marks import read_marks
    from shootplan.timing.finished_otio import read_otio
    from shootplan.timing.places import place_by_points
    from shootplan.timing.row_names import RowNames

    rows, names, kind = edit_rows(cut, rate), RowNames(cut), Path(path).suffix.casefold()
    if kind == ".otio" or text.lstrip()[:1] == "{":
        edit, problems = read_otio(text, path, names=names, rate=rate)
        return lambda: _by_edit(cut, edit, rate), problems
    if kind == ".edl" or looks_like_list(text):
        reels = {item.reel: item.row.id for item in rows}
        edit, problems = read_edit_list(text, path, names=names, reels=reels, rate=rate, start=start)
        return lambda: _by_edit(cut, edit, rate), problems
    if kind not in (".vtt", ".srt") and "-->" not in text:
        points, problems = read_marks(text, path, names=names, rate=rate, start=start)
        if points or not _has_bracketed_times(text):
            return lambda: place_by_points(rows, points), problems
    return _by_speech(text, path, cut, rate)


def _by_edit(cut: Cut, edit: FinishedEdit, rate: Rate) -> Placing:
    """Return the places by shots where any is known, else by markers."""
    from shootplan.timing.edit_rows import edit_rows
    from shootplan.timing.places import place_by_points, place_by_shots

    rows = edit_rows(cut, rate)
    if any(shot.row for shot in edit.shots) or not edit.points:
        return place_by_shots(rows, edit)
    return place_by_points(rows, edit.points, edit.length_f)


def _by_speech(text: str, path: str, cut: Cut, rate: Rate) -> tuple[Callable[[], Placing], tuple[Problem, ...]]:
    from shootplan.facts.say_out import say_out
    from shootplan.timing.edit_rows import edit_rows
    from shootplan.timing.speech_places import place_by_speech
    from shootplan.timing.timed_text import read_timed_text

    lines, problems = read_timed_text(text, path)
    return lambda: place_by_speech(edit_rows(cut, rate), lines, rate, say_out), problems


def _has_bracketed_times(text: str) -> bool:
    return any(line.lstrip().startswith("[") for line in text[:100_000].split("\n"))


def _problems(loaded: Loaded, publication: Publication) -> tuple[Problem, ...]:
    return publication.problems or loaded.problems
