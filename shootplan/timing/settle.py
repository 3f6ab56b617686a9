"""
Captions on whole frames of the finished video: each inside its own picture, long enough to be read, none on another.

Places and needs come in, slots in frames and reasons for what has none go out. A hold is never below its need; two
captions are butted or a second apart; none runs over the cut to another picture unless that is allowed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import field
from fractions import Fraction

from shootplan.model.retiming import Place
from shootplan.model.timecode import Rate, least_frames
from shootplan.records import dataclass
from shootplan.timing.placing import LEAST_GAP_MS

__all__ = ["Settled", "Wanted", "settle"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """A caption before it is settled: its planned hold and its need in frames; ``order`` is its place in the script."""

    id: str
    place: Place
    hold_f: int
    need_f: int
    order: int


@dataclass(slots=True, kw_only=True)
class Settled:
    """
    A caption's frames, end not included, and what was done to it.

    Its own picture lasts from ``low_f`` to ``high_f``; beyond ``limit_f`` it may not run.
    """

    id: str
    in_f: int
    out_f: int
    need_f: int
    low_f: int
    high_f: int
    limit_f: int
    remarks: list[str] = field(default_factory=list)

    @property
    def least_out_f(self) -> int:
        """The earliest frame at which it may go."""
        return self.in_f + self.need_f


def settle(
    wanted: Sequence[Wanted], rate: Rate, length_f: int, *, over_cuts: bool = False
) -> tuple[tuple[Settled, ...], dict[str, str]]:
    """
    Return the settled captions by their in-points, and {id: reason} of those that find no place.

    Parameters
    ----------
    wanted
        Captions with their places.
    rate
        Frames a second.
    length_f
        Frames of the whole video.
    over_cuts
        Whether a caption may run on into the next picture rather than be left out.
    """
    lost: dict[str, str] = {}
    gap_f = least_frames(LEAST_GAP_MS, rate)
    done: list[Settled] = []
    inside = [_inside(item, rate, length_f, over_cuts=over_cuts) for item in wanted]
    order = {item.id: item.order for item in wanted}
    slots = []
    for item, slot in zip(wanted, inside, strict=True):
        if isinstance(slot, str):
            lost[item.id] = slot
        else:
            slots.append(slot)
    for slot in sorted(slots, key=lambda found: (found.in_f, order[found.id])):
        reason = _follow(done, slot, gap_f, rate) if done else ""
        if reason:
            lost[slot.id] = reason
        else:
            done.append(slot)
    return tuple(done), lost


# ---------------------------------------------------------------------------------------------------- one caption


def _inside(item: Wanted, rate: Rate, length_f: int, *, over_cuts: bool) -> Settled | str:
    """Return a caption in its own picture with the planned hold as far as there is room, or why it does not fit."""
    low_f, high_f = max(0, _up(item.place.low_f)), min(length_f, _down(item.place.high_f))
    in_f = max(low_f, _near(item.place.at_f))
    remarks = [item.place.remark] if item.place.remark else []
    if high_f - in_f < item.need_f <= high_f - low_f:
        in_f = high_f - item.need_f
        remarks.append("comes in earlier, to be read before the cut")
    elif high_f - in_f < item.need_f:
        if not over_cuts or in_f + item.need_f > length_f:
            room = _seconds(max(0, high_f - low_f), rate)
            return f"needs {_seconds(item.need_f, rate)} s, its picture lasts {room} s"
        remarks.append("runs over the cut")
    return Settled(
        id=item.id,
        in_f=in_f,
        out_f=min(in_f + item.hold_f, max(high_f, in_f + item.need_f)),
        need_f=item.need_f,
        low_f=low_f,
        high_f=high_f,
        limit_f=length_f if over_cuts else high_f,
        remarks=remarks,
    )


def _near(value: Fraction) -> int:
    """Return the nearest frame, half up."""
    return (2 * value.numerator + value.denominator) // (2 * value.denominator)


def _up(value: Fraction) -> int:
    return -(-value.numerator // value.denominator)


def _down(value: Fraction) -> int:
    return value.numerator // value.denominator


def _seconds(frames: int, rate: Rate) -> str:
    return f"{float(frames / rate.frames_per_s):.1f}"


# ---------------------------------------------------------------------------------------------------- two captions


def _follow(done: list[Settled], slot: Settled, gap_f: int, rate: Rate) -> str:
    """Set a caption behind the last one; return why there is no room for it, an empty text if there is."""
    last = done[-1]
    if slot.in_f < last.out_f:
        reason = _part(done, slot, gap_f, rate)
        if reason:
            return reason
    if 0 < slot.in_f - last.out_f < gap_f:
        _close_or_widen(last, slot, gap_f)
    return ""


def _part(done: list[Settled], slot: Settled, gap_f: int, rate: Rate) -> str:
    """Take two captions apart: the first one goes at its need, the second waits, or the first one comes earlier."""
    last = done[-1]
    kept_f = last.out_f
    last.out_f = max(last.least_out_f, min(last.out_f, slot.in_f))
    if slot.in_f >= last.out_f:
        return ""
    if last.out_f + slot.need_f <= slot.limit_f:
        _move(slot, last.out_f)
        slot.remarks.append("waits for the one before" + (", over the cut" if slot.out_f > slot.high_f else ""))
        return ""
    before_f = done[-2].out_f if len(done) > 1 else None
    out_f = slot.high_f - slot.need_f
    in_f = out_f - last.need_f
    if in_f >= last.low_f and (before_f is None or in_f == before_f or in_f >= before_f + gap_f):
        last.in_f, last.out_f = in_f, out_f
        last.remarks.append("comes in earlier, for the one behind it")
        _move(slot, out_f)
        return ""
    missing_f = last.out_f + slot.need_f - slot.high_f
    last.out_f = kept_f
    return f"stands on the one before; {_seconds(missing_f, rate)} s of picture are missing"


def _move(slot: Settled, in_f: int) -> None:
    """Let a caption come in at another frame and keep its hold as far as there is room."""
    hold_f = slot.out_f - slot.in_f
    slot.in_f = in_f
    slot.out_f = max(in_f + slot.need_f, min(in_f + hold_f, slot.high_f))


def _close_or_widen(last: Settled, slot: Settled, gap_f: int) -> None:
    """Make a short gap none, or a second at least; where neither can be done it is left and said."""
    if slot.in_f <= last.high_f:
        last.out_f = slot.in_f
        last.remarks.append("held until the next one")
    elif last.out_f + gap_f + (slot.out_f - slot.in_f) <= slot.high_f:
        _move(slot, last.out_f + gap_f)
        slot.remarks.append("comes a second after the one before")
    elif slot.in_f - gap_f >= last.least_out_f:
        last.out_f = slot.in_f - gap_f
    elif last.out_f >= slot.low_f:
        _move(slot, last.out_f)
        slot.remarks.append("comes right behind the one before")
    elif last.out_f + gap_f + slot.need_f <= slot.high_f:
        slot.in_f = last.out_f + gap_f
        slot.out_f = slot.high_f
        slot.remarks.append("comes a second after the one before")
    else:
        slot.remarks.append("less than a second after the one before")
