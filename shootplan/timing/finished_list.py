"""
A finished edit as a CMX 3600 list: which shot stands when, how fast it runs, and its markers.

Text comes in, a ``FinishedEdit`` and problems go out. Only the picture counts; of a dissolve the incoming shot counts
from the start of the dissolve. Layout: device manuals and the notes that editing programs add (clip names, markers).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import field
from fractions import Fraction

from shootplan.model.retiming import FinishedEdit, Point, Shot
from shootplan.model.timecode import Rate, parse_label
from shootplan.problems import Problem, Severity, Span
from shootplan.records import dataclass
from shootplan.timing.row_names import RowNames

__all__ = ["looks_like_list", "read_edit_list"]

_TIME = r"[0-9]{2,3}:[0-9]{2}:[0-9]{2}[:;.][0-9]{2,3}"
_FOUR = re.compile(rf"({_TIME})\s+({_TIME})\s+({_TIME})\s+({_TIME})\s*$")
_HEAD = re.compile(r"^\s*[0-9]{1,6}\s+(\S{1,128})\s+(\S{1,16})\s+([CDWK][0-9A-Z]{0,3})\b")
_EVENT_START = re.compile(r"^\s*[0-9]{1,6}\s+\S+\s+\S")
_NOTE = re.compile(r"^\s*\*?\s*(FROM CLIP NAME|TO CLIP NAME|LOC)\s*:\s*(.*)$", re.I)
_SPEED = re.compile(rf"^\s*M2\s+(\S+)\s+([+-]?[0-9]{{1,5}}(?:\.[0-9]{{1,6}})?)(?:\s+({_TIME}))?\s*$")
_MARK = re.compile(rf"^({_TIME})\s+(.*)$")
_LINE, _EVENTS = 2000, 20_000
_EXAMPLE = "an event reads: 001  AX  V  C  00:00:00:00 00:00:04:12 01:00:00:00 01:00:04:12"
#: How far source and record length may disagree by rounding, in frames.
_SLACK = 1


def looks_like_list(text: str) -> bool:
    """Return whether a text has an event line or the head of a list."""
    lines = text[:200_000].split("\n")
    return any((_FOUR.search(line) and _HEAD.match(line)) or line.startswith("FCM:") for line in lines)


@dataclass(slots=True)
class _Event:
    """An event line while its notes are still to come; all times in frames."""

    number: int
    line: str
    reel: str
    kind: str
    times: tuple[int, int, int, int]
    is_picture: bool
    names: dict[str, str] = field(default_factory=dict)
    speed: Fraction | None = None
    entry: int | None = None


def read_edit_list(
    text: str, path: str, *, names: RowNames, reels: Mapping[str, str], rate: Rate, start: str = ""
) -> tuple[FinishedEdit, tuple[Problem, ...]]:
    """
    Return what a list says of the rows.

    Parameters
    ----------
    text, path
        The list and the file's name as typed.
    names
        Finds rows in clip names.
    reels
        {reel that the planned list gave a row: row}; such a reel counts its source from the start of the row.
    rate
        Frames a second; whether labels drop is what the list says.
    start
        The record time of the first frame of the video ("01:00:00:00"); left out, the first event's.
    """
    reader = _Reader(path, names, reels, rate)
    for number, line in enumerate(text.split("\n"), start=1):
        reader.take(number, line.rstrip("\r"))
    return reader.edit(start), tuple(reader.problems)


class _Reader:
    def __init__(self, path: str, names: RowNames, reels: Mapping[str, str], rate: Rate) -> None:
        self.path, self.names, self.rate = path, names, rate
        self.reels = {reel.casefold(): row for reel, row in reels.items()}
        self.problems: list[Problem] = []
        self.events: list[_Event] = []
        self.marks: list[tuple[int, str]] = []
        self.is_drop: bool | None = None

    # ------------------------------------------------------------------------------------------ lines

    def take(self, number: int, line: str) -> None:
        """Read one line; what is neither event nor a note that matters is passed over."""
        if len(line) > _LINE:
            self._fault(
                number, line[:_LINE], "edit-line-bad", "the line is too long to be one of an edit list", _EXAMPLE
            )
        elif line.startswith("FCM:"):
            self._mode(number, line)
        elif note := _NOTE.match(line):
            self._note(number, line, note[1].upper(), note[2].strip())
        elif line.lstrip().startswith("M2"):
            self._motion(number, line)
        elif _EVENT_START.match(line):
            self._event(number, line)

    def _mode(self, number: int, line: str) -> None:
        self.is_drop = "NON" not in line.upper() and "DROP" in line.upper()
        if self.is_drop and not _may_drop(self.rate):
            message = f"the list counts drop-frame, and {self.rate.name} frames a second have no drop-frame labels"
            self._fault(number, line, "edit-rate-differs", message, 'give the edit\'s rate, as in --rate "29.97 drop"')
            self.is_drop = False

    def _event(self, number: int, line: str) -> None:
        head, four = _HEAD.match(line), _FOUR.search(line)
        if head is None or four is None:
            self._fault(
                number, line, "edit-line-bad", f'"{line.strip()[:60]}" is not an event of an edit list', _EXAMPLE
            )
            return
        times = tuple(self._frame(number, line, four.start(k), four[k]) for k in (1, 2, 3, 4))
        if None in times:
            return
        source_in, source_out, record_in, record_out = (int(value or 0) for value in times)
        if record_out < record_in:
            self._fault(number, line, "edit-line-bad", "the event ends before it begins", "check its record times")
            return
        if len(self.events) >= _EVENTS:
            if len(self.events) == _EVENTS:
                self._fault(number, line, "edit-line-bad", f"more than {_EVENTS} events", "split the list")
            return
        track = head[2].upper()
        self.events.append(
            _Event(
                number=number,
                line=line,
                reel=head[1],
                kind=head[3][0],
                times=(source_in, source_out, record_in, record_out),
                is_picture="V" in track or track == "B",
            )
        )

    def _note(self, number: int, line: str, kind: str, words: str) -> None:
        if kind != "LOC":
            if self.events:
                self.events[-1].names.setdefault(kind, words)
            return
        mark = _MARK.match(words)
        frame = self._frame(number, line, line.find(words), mark[1], Severity.WARNING) if mark is not None else None
        found = self.names.any(mark[2]) if mark is not None else ""
        if frame is not None and found:
            self.marks.append((frame, found))

    def _motion(self, number: int, line: str) -> None:
        match = _SPEED.match(line)
        if match is None or not self.events:
            hint = "a speed reads: M2 AX 050.0 00:00:00:00, behind its event"
            self._fault(number, line, "edit-line-bad", f'"{line.strip()[:60]}" is not a change of speed', hint)
            return
        event = self.events[-1]
        if len(self.events) > 1 and event.reel != match[1] and self.events[-2].reel == match[1]:
            event = self.events[-2]
        event.speed = Fraction(match[2]) / self.rate.frames_per_s
        if match[3]:
            event.entry = self._frame(number, line, match.start(3), match[3])

    def _frame(self, number: int, line: str, column: int, text: str, severity: Severity = Severity.ERROR) -> int | None:
        is_drop = self.is_drop if self.is_drop is not None else self.rate.is_drop
        has_drop_mark = text[-3] in ";." or text[-4] in ";."
        may_drop = _may_drop(self.rate) and (is_drop or has_drop_mark)
        try:
            return parse_label(text, Rate(self.rate.frames_per_s, is_drop=may_drop))
        except ValueError as error:
            span = Span(self.path, number, column + 1, column + 1 + len(text))
            hint = f'the list is read at {self.rate.name} frames a second; give another with --rate, as in --rate "30"'
            self.problems.append(
                Problem(span=span, code="edit-time-bad", message=str(error), severity=severity, hint=hint)
            )
            return None

    def _fault(
        self, number: int, line: str, code: str, message: str, hint: str, severity: Severity = Severity.ERROR
    ) -> None:
        span = Span(self.path, number, 1, len(line) + 1)
        self.problems.append(Problem(span=span, code=code, message=message, severity=severity, hint=hint))

    # ------------------------------------------------------------------------------------------ the whole

    def edit(self, start: str) -> FinishedEdit:
        """Return the shots and markers, counted from the start of the video."""
        start_f = min((event.times[2] for event in self.events), default=0)
        if start:
            given = self._frame(1, "", 0, start)
            start_f = given if given is not None else start_f
        shots = [self._shot(event, start_f) for event in self.events if event.is_picture]
        if not shots and not any(problem.is_error for problem in self.problems):
            self._fault(1, "", "edit-empty", "there is no event with a picture in this list", _EXAMPLE)
        ends = [event.times[3] - start_f for event in self.events]
        kept = sorted((shot for shot in shots if shot.out_f > max(shot.in_f, Fraction(0))), key=lambda shot: shot.in_f)
        points = (Point(id=name, at_f=Fraction(frame - start_f)) for frame, name in self.marks)
        return FinishedEdit(shots=tuple(kept), points=tuple(points), length_f=Fraction(max(0, *ends) if ends else 0))

    def _shot(self, event: _Event, start_f: int) -> Shot:
        source_in, source_out, record_in, record_out = event.times
        speed = self._speed(event)
        source_f = source_in
        if speed < 0:
            source_f = event.entry if event.entry not in (None, source_in) else source_out - 1
        # Of a dissolve or wipe the incoming clip is the one that is named second.
        order = ("FROM CLIP NAME", "TO CLIP NAME") if event.kind in "CK" else ("TO CLIP NAME", "FROM CLIP NAME")
        name = next((event.names[key] for key in order if event.names.get(key)), "")
        own = self.reels.get(event.reel.casefold(), "")
        row = self.names.row(name) or ("" if name else own)
        return Shot(
            name=name,
            reel=event.reel,
            row=row,
            in_f=Fraction(record_in - start_f),
            out_f=Fraction(record_out - start_f),
            source_f=Fraction(source_f),
            speed=speed,
            base_f=Fraction(0) if row and own == row else None,
        )

    def _speed(self, event: _Event) -> Fraction:
        """Return the speed that the list gives, else what the two lengths make; told where they disagree."""
        source_in, source_out, record_in, record_out = event.times
        source_f, record_f = source_out - source_in, record_out - record_in
        if record_f == 0:
            return Fraction(1)
        if event.speed is None:
            if source_f == record_f:
                return Fraction(1)
            message = f"{source_f} frames of source fill {record_f} frames of the video, and no speed is given"
            self._fault(
                event.number, event.line, "edit-speed-unclear", message,
                "the speed is taken from the two lengths; a list gives it as M2 behind the event", Severity.WARNING,
            )  # fmt: skip
            return Fraction(source_f, record_f) if source_f > 0 else Fraction(1)
        if abs(abs(event.speed) * record_f - source_f) > _SLACK and event.speed:
            message = f"{record_f} frames at the given speed do not make the {source_f} frames of source"
            self._fault(
                event.number, event.line, "edit-speed-unclear", message,
                "the speed of the M2 line is taken", Severity.WARNING,
            )  # fmt: skip
        return event.speed


def _may_drop(rate: Rate) -> bool:
    return rate.frames_per_s in (Fraction(30000, 1001), Fraction(60000, 1001))
